//! The number in which one revolution of the engine is written: one value, or as many as some vector registers hold.
//!
//! [`Lanes`] carries the token of its registers inside, so a law reads like scalar arithmetic and is compiled for every set of
//! registers: [`One`] is the scalar model, [`Abreast`] runs many engines side by side. Every operation is either exact in IEEE 754
//! (`+ - * /`, `sqrt`, `mul_add`, comparisons) or built from those alone ([`Lanes::exp`], [`Lanes::ln`]), never from the system's
//! approximations and fused only where it is written, so a lane gives the same bits in any registers, on any processor and on any
//! operating system.

mod instructions;
mod plain;
mod registers;

pub use instructions::Instructions;
pub(crate) use instructions::{Alone, InRegisters, MOST_LANES, Width};
pub use plain::{exp, ln, powf};
pub use registers::{Abreast, One, Registers};

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// Independent values that go through the same operations, in the registers `R`.
#[derive(Clone, Copy, Debug)]
pub struct Lanes<R: Registers> {
    registers: R,
    value: R::Value,
}

/// A number or lanes: what an operation takes on its other side, so that laws need no splat.
pub trait Operand<R: Registers>: Copy {
    /// The same in every lane, or the lanes themselves.
    fn lanes(self, registers: R) -> Lanes<R>;
}

impl<R: Registers> Operand<R> for f64 {
    #[inline(always)]
    fn lanes(self, registers: R) -> Lanes<R> {
        Lanes {
            registers,
            value: registers.splat(self),
        }
    }
}

impl<R: Registers> Operand<R> for Lanes<R> {
    #[inline(always)]
    fn lanes(self, _: R) -> Self {
        self
    }
}

/// Base-2 logarithm of e, and ln 2 split into a part with trailing zero bits and its remainder (Cody and Waite 1980).
const LOG2_E: f64 = std::f64::consts::LOG2_E;
const LN_2_HIGH: f64 = 6.931_471_803_691_238e-1;
const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;
/// Adding 1.5·2^52 leaves the nearest integer in the low bits of the mantissa.
const ROUNDING: f64 = 6_755_399_441_055_744.0;
/// 2^52.
const INTEGER: f64 = 4_503_599_627_370_496.0;

/// `e^r` on |r| ≤ ln 2 / 2, by the power of r.
const EXP: [f64; 12] = [
    1.0,
    1.0,
    0.500_000_000_000_001_8,
    0.166_666_666_666_661_7,
    0.041_666_666_666_492_63,
    0.008_333_333_333_559_434,
    0.001_388_888_895_126_104,
    0.000_198_412_694_324_704_9,
    2.480_148_648_143_64e-5,
    2.755_762_262_047_198e-6,
    2.763_230_817_489_448_7e-7,
    2.499_430_327_381_439_4e-8,
];
/// `(2 artanh(s) / s - 2) / s²` by `s²`, for |s| up to that of sqrt 2.
const ARTANH: [f64; 6] = [
    0.666_666_666_666_619_7,
    0.400_000_000_114_258_96,
    0.285_714_240_735_354_06,
    0.222_228_689_323_925_4,
    0.181_399_165_773_445_8,
    0.166_258_411_561_296_1,
];

macro_rules! operator {
    ($trait:ident, $method:ident) => {
        impl<R: Registers, O: Operand<R>> $trait<O> for Lanes<R> {
            type Output = Self;
            #[inline(always)]
            fn $method(self, other: O) -> Self {
                self.with(
                    self.registers
                        .$method(self.value, other.lanes(self.registers).value),
                )
            }
        }
        impl<R: Registers> $trait<Lanes<R>> for f64 {
            type Output = Lanes<R>;
            #[inline(always)]
            fn $method(self, other: Lanes<R>) -> Lanes<R> {
                other.with(other.registers.$method(other.registers.splat(self), other.value))
            }
        }
    };
}

operator!(Add, add);
operator!(Sub, sub);
operator!(Mul, mul);
operator!(Div, div);

impl<R: Registers> Neg for Lanes<R> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        self.with(self.registers.neg(self.value))
    }
}

impl<R: Registers> AddAssign for Lanes<R> {
    #[inline(always)]
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl<R: Registers> Lanes<R> {
    #[inline(always)]
    fn with(self, value: R::Value) -> Self {
        Self {
            registers: self.registers,
            value,
        }
    }

    /// The registers they lie in.
    #[inline(always)]
    pub fn registers(self) -> R {
        self.registers
    }

    /// The first values of `from`, one per lane.
    #[inline(always)]
    pub fn load(registers: R, from: &[f64]) -> Self {
        Self {
            registers,
            value: registers.load(from),
        }
    }

    /// Writes the lanes to the first places of `to`.
    #[inline(always)]
    pub fn store(self, to: &mut [f64]) {
        self.registers.store(self.value, to);
    }

    /// `number` in every lane.
    #[inline(always)]
    pub fn of(registers: R, number: f64) -> Self {
        number.lanes(registers)
    }

    /// The smaller of the two; `other` where `self` is not a number.
    #[inline(always)]
    pub fn min(self, other: impl Operand<R>) -> Self {
        self.with(self.registers.min(self.value, other.lanes(self.registers).value))
    }

    /// The larger of the two; `other` where `self` is not a number.
    #[inline(always)]
    pub fn max(self, other: impl Operand<R>) -> Self {
        self.with(self.registers.max(self.value, other.lanes(self.registers).value))
    }

    /// Held within `low..=high`.
    #[inline(always)]
    pub fn clamp(self, low: impl Operand<R>, high: impl Operand<R>) -> Self {
        self.max(low).min(high)
    }

    /// `then` in the lanes where `self < bound`, `otherwise` in the rest.
    #[inline(always)]
    pub fn if_less(self, bound: impl Operand<R>, then: impl Operand<R>, otherwise: impl Operand<R>) -> Self {
        let r = self.registers;
        let (bound, then, otherwise) = (bound.lanes(r), then.lanes(r), otherwise.lanes(r));
        self.with(r.if_less(self.value, bound.value, then.value, otherwise.value))
    }

    /// Square root (exact to the last bit in IEEE 754); not a number below zero.
    #[inline(always)]
    pub fn sqrt(self) -> Self {
        self.with(self.registers.sqrt(self.value))
    }

    /// `1 / self`.
    #[inline(always)]
    pub fn recip(self) -> Self {
        1.0 / self
    }

    /// `1 / value` of each for one division; all of moderate size, none zero.
    ///
    /// The reciprocal of their product, times all others of them (Montgomery 1987; from memory). It lengthens the chain that waits for it
    /// by four operations for two, so it pays where several are ready together.
    #[inline(always)]
    pub fn recips<const N: usize>(values: [Self; N]) -> [Self; N] {
        let mut products = values;
        for k in 1..N {
            products[k] = products[k - 1] * values[k];
        }
        let mut rest = products[N - 1].recip();
        for k in (1..N).rev() {
            products[k] = rest * products[k - 1];
            rest = rest * values[k];
        }
        products[0] = rest;
        products
    }

    /// `self · b + c`, rounded once.
    #[inline(always)]
    pub fn mul_add(self, b: impl Operand<R>, c: impl Operand<R>) -> Self {
        let r = self.registers;
        self.with(r.mul_add(self.value, b.lanes(r).value, c.lanes(r).value))
    }

    /// `e` to the power `self`, within 2 units in the last place; the argument is held within ±700.
    ///
    /// Range reduction by ln 2 in two parts (Cody and Waite 1980), then the polynomial of degree 11 that strays least on
    /// |r| ≤ ln 2 / 2: by 3e-18 of the value (Remez exchange).
    #[inline(always)]
    pub fn exp(self) -> Self {
        let x = self.clamp(-700.0, 700.0);
        let shifted = x.mul_add(LOG2_E, ROUNDING);
        let k = shifted - ROUNDING;
        let r = k.mul_add(-LN_2_LOW, k.mul_add(-LN_2_HIGH, x));
        // Pairs of terms side by side (Estrin 1960): what waits for one term after the other keeps nobody busy.
        let pair = |k: usize| r.mul_add(EXP[k + 1], EXP[k]);
        let r2 = r * r;
        let r4 = r2 * r2;
        let low = pair(2).mul_add(r2, pair(0));
        let middle = pair(6).mul_add(r2, pair(4));
        let high = pair(10).mul_add(r2, pair(8));
        let p = high.mul_add(r4, middle).mul_add(r4, low);
        self.with(self.registers.times_two_to(p.value, shifted.value))
    }

    /// Natural logarithm, within 2 units in the last place (absolute near 1); arguments below the smallest normal number
    /// (zero and negatives too) count as that number.
    ///
    /// `ln(2^k m) = k ln 2 + 2 artanh((m-1)/(m+1))` with m in 0.71..1.41; the series of artanh by the polynomial of degree 5 in
    /// the square that strays least, by 2.4e-16 (Remez exchange).
    #[inline(always)]
    pub fn ln(self) -> Self {
        let x = self.max(f64::MIN_POSITIVE);
        let (k, m) = self.registers.exponent_and_mantissa(x.value);
        let k = self.with(k) - (INTEGER + 1023.0);
        let m = self.with(m);
        let s = (m - 1.0) / (m + 1.0);
        let z = s * s;
        let pair = |k: usize| z.mul_add(ARTANH[k + 1], ARTANH[k]);
        let z2 = z * z;
        let p = z * pair(4).mul_add(z2, pair(2)).mul_add(z2, pair(0));
        k.mul_add(LN_2_HIGH, s.mul_add(2.0, s.mul_add(p, k * LN_2_LOW)))
    }

    /// `self` to a real power, by `exp(power · ln self)`; the base is taken as positive.
    #[inline(always)]
    pub fn powf(self, power: impl Operand<R>) -> Self {
        (self.ln() * power).exp()
    }

    /// The logistic curve `1 / (1 + exp(-self))`.
    #[inline(always)]
    pub fn logistic(self) -> Self {
        1.0 / ((-self).exp() + 1.0)
    }

    /// Cubic step from 0 (at 0 and below) to 1 (at 1 and above), flat at both ends.
    #[inline(always)]
    pub fn smoothstep(self) -> Self {
        let x = self.clamp(0.0, 1.0);
        x * x * (3.0 - x * 2.0)
    }
}

impl Lanes<One> {
    /// The one lane's value.
    #[inline(always)]
    pub fn number(self) -> f64 {
        self.value
    }
}

/// One lane of value `x`.
#[inline(always)]
pub fn one(x: f64) -> Lanes<One> {
    Lanes::of(One, x)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn samples() -> impl Iterator<Item = f64> {
        (0..20_000).map(|i| -690.0 + 1380.0 * (i as f64 + 0.37) / 20_000.0)
    }

    #[test]
    fn exp_agrees_with_the_standard_library_to_two_units_in_the_last_place() {
        for x in samples().chain((0..4000).map(|i| -2.0 + i as f64 * 1e-3)) {
            let expected = x.exp();
            assert!((exp(x) - expected).abs() <= 2.0 * f64::EPSILON * expected, "exp({x})");
        }
    }

    #[test]
    fn ln_agrees_with_the_standard_library_over_the_whole_range() {
        for x in samples().map(f64::exp).chain((1..4000).map(|i| i as f64 * 1e-3)) {
            let expected = x.ln();
            assert!(
                (ln(x) - expected).abs() <= 4.0 * f64::EPSILON * expected.abs().max(0.25),
                "ln({x}) {} {expected}",
                ln(x)
            );
        }
    }

    #[test]
    fn reciprocals_by_one_division_are_those_by_one_each() {
        let values = [1e-9, 0.37, 2.5e4, -3.0].map(one);
        for (value, per) in values.iter().zip(Lanes::recips(values)) {
            assert!((value.number() * per.number() - 1.0).abs() < 1e-15, "{value:?} {per:?}");
        }
    }

    #[test]
    fn extremes_stay_finite() {
        for x in [f64::NEG_INFINITY, -1e300, -0.0, 0.0, 1e300, f64::INFINITY] {
            assert!(exp(x).is_finite() && exp(x) > 0.0, "exp({x})");
            assert!(ln(x.min(1e300)).is_finite(), "ln({x})");
        }
    }

    /// Every operation on `R::LANES` values, as bits, lane after lane.
    struct Everything<'a> {
        a: &'a [f64],
        b: &'a [f64],
    }

    impl InRegisters for Everything<'_> {
        type Output = Vec<u64>;
        #[inline(always)]
        fn run<R: Registers>(self, registers: R) -> Vec<u64> {
            let mut found = Vec::new();
            for at in (0..self.a.len()).step_by(R::LANES) {
                let a = Lanes::load(registers, &self.a[at..]);
                let b = Lanes::load(registers, &self.b[at..]);
                let results = [
                    a + b,
                    a - b,
                    a * b,
                    a / b,
                    1.5 - a,
                    2.0 / b,
                    -a,
                    a.min(b),
                    a.max(b),
                    b.min(0.0),
                    a.max(0.0),
                    a.if_less(b, a, 7.0),
                    (a * a).sqrt(),
                    a.exp(),
                    b.ln(),
                    (a * a).powf(b),
                    a.mul_add(b, 1.5),
                    Lanes::recips([a * a + 1.0, b * b + 2.0, a * a + 3.0])[1],
                    a.logistic(),
                    a.smoothstep(),
                ];
                let mut column = vec![0.0; R::LANES];
                let mut block = vec![Vec::new(); R::LANES];
                for result in results {
                    result.store(&mut column);
                    for (lane, value) in block.iter_mut().zip(&column) {
                        lane.push(value.to_bits());
                    }
                }
                found.extend(block.into_iter().flatten());
            }
            found
        }
    }

    #[test]
    fn a_lane_gives_the_same_bits_in_all_registers_of_this_machine() {
        // 240 values: a multiple of every number of lanes from 1 to 24 that registers come in.
        let values: Vec<f64> = (0..240 * 20).map(|i| (f64::from(i) * 0.731 - 1500.0) * 0.01).collect();
        let others: Vec<f64> = values.iter().map(|v| 3.0 - v * v * 0.25).collect();
        for (a, b) in values.chunks(240).zip(others.chunks(240)) {
            let alone = InRegisters::run(Everything { a, b }, One);
            for instructions in Instructions::all() {
                for width in [Width::Alone, Width::Narrow, Width::Middle, Width::Wide] {
                    let found = instructions.run(width, Everything { a, b });
                    assert!(found == alone, "{instructions:?} {width:?}");
                }
            }
        }
    }
}
