//! The number in which one revolution of the engine is written: one value, or as many as some vector registers hold.
//!
//! [`Lanes`] carries the token of its registers inside, so a law reads like scalar arithmetic and is compiled for every set of
//! registers: [`One`] is the scalar model, [`Abreast`] runs many engines side by side. Every operation is either exact in IEEE 754
//! (`+ - * /`, `sqrt`, comparisons) or built from those alone ([`Lanes::exp`], [`Lanes::ln`]), never from the system's maths
//! library and never fused, so a lane gives the same bits in any registers, on any processor and on any operating system.

mod instructions;
mod registers;

pub use instructions::Instructions;
pub(crate) use instructions::{Alone, InRegisters, MOST_LANES, Width};
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

    /// `1 / a` and `1 / b` for one division; both of moderate size.
    #[inline(always)]
    pub fn recips(a: Self, b: Self) -> (Self, Self) {
        let both = (a * b).recip();
        (both * b, both * a)
    }

    /// `e` to the power `self`, within 2 units in the last place; the argument is held within ±700.
    ///
    /// Range reduction by ln 2 in two parts (Cody and Waite 1980), then the Taylor polynomial of degree 13 on |r| ≤ 0.347.
    #[inline(always)]
    pub fn exp(self) -> Self {
        let x = self.clamp(-700.0, 700.0);
        let shifted = x * LOG2_E + ROUNDING;
        let k = shifted - ROUNDING;
        let r = x - k * LN_2_HIGH - k * LN_2_LOW;
        let r2 = r * r;
        // Pairs of terms side by side: shorter chains than Horner's, the same on every machine.
        let p01 = r + 1.0;
        let p23 = r * (1.0 / 6.0) + 0.5;
        let p45 = r * (1.0 / 120.0) + 1.0 / 24.0;
        let p67 = r * (1.0 / 5_040.0) + 1.0 / 720.0;
        let p89 = r * (1.0 / 362_880.0) + 1.0 / 40_320.0;
        let pab = r * (1.0 / 39_916_800.0) + 1.0 / 3_628_800.0;
        let pcd = r * (1.0 / 6_227_020_800.0) + 1.0 / 479_001_600.0;
        let r4 = r2 * r2;
        let low = p01 + p23 * r2;
        let middle = p45 + p67 * r2;
        let high = p89 + pab * r2 + pcd * r4;
        let p = low + (middle + high * r4) * r4;
        self.with(self.registers.times_two_to(p.value, shifted.value))
    }

    /// Natural logarithm, within 2 units in the last place (absolute near 1); arguments below the smallest normal number
    /// (zero and negatives too) count as that number.
    ///
    /// `ln(2^k m) = k ln 2 + 2 artanh((m-1)/(m+1))` with m in 0.71..1.41.
    #[inline(always)]
    pub fn ln(self) -> Self {
        let x = self.max(f64::MIN_POSITIVE);
        let (k, m) = self.registers.exponent_and_mantissa(x.value);
        let k = self.with(k) - (INTEGER + 1023.0);
        let m = self.with(m);
        let s = (m - 1.0) / (m + 1.0);
        let z = s * s;
        let z2 = z * z;
        let z4 = z2 * z2;
        let a = z * (2.0 / 5.0) + 2.0 / 3.0;
        let b = z * (2.0 / 9.0) + 2.0 / 7.0;
        let c = z * (2.0 / 13.0) + 2.0 / 11.0;
        let d = z * (2.0 / 17.0) + 2.0 / 15.0;
        let e = z * (2.0 / 21.0) + 2.0 / 19.0;
        let p = a + b * z2 + (c + d * z2 + e * z4) * z4;
        k * LN_2_HIGH + (s * 2.0 + (s * z * p + k * LN_2_LOW))
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

#[inline]
/// `e^x` with the model's own bits, for set-up code that must agree between systems.
pub fn exp(x: f64) -> f64 {
    one(x).exp().number()
}

/// Natural logarithm with the model's own bits, for set-up code that must agree between systems.
pub fn ln(x: f64) -> f64 {
    one(x).ln().number()
}

/// Positive base to a real power with the model's own bits.
pub fn powf(base: f64, power: f64) -> f64 {
    one(base).powf(power).number()
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
