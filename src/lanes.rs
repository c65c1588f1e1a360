//! `N` numbers abreast: the arithmetic in which one revolution of the engine is written.
//!
//! One lane is the scalar model; more lanes run as many engines side by side in the processor's vector registers. Every
//! operation here is either exact in IEEE 754 (`+ - * /`, `sqrt`, comparisons) or built from those alone ([`Lanes::exp`],
//! [`Lanes::ln`]), never from the system's maths library and never fused, so a lane gives the same bits in any width, on any
//! processor and on any operating system.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// `N` independent values that go through the same operations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lanes<const N: usize>(pub [f64; N]);

/// Base-2 logarithm of e, and ln 2 split into a part with trailing zero bits and its remainder (Cody and Waite 1980).
const LOG2_E: f64 = std::f64::consts::LOG2_E;
const LN_2_HIGH: f64 = 6.931_471_803_691_238e-1;
const LN_2_LOW: f64 = 1.908_214_929_270_587_7e-10;
/// Adding 1.5·2^52 leaves the nearest integer in the low bits of the mantissa.
const ROUNDING: f64 = 6_755_399_441_055_744.0;

/// `f` of every lane. A plain loop over a ready array: `array::from_fn` is not vectorised beyond some eight lanes.
#[inline(always)]
fn lanewise<const N: usize>(mut f: impl FnMut(usize) -> f64) -> Lanes<N> {
    let mut values = [0.0; N];
    for (i, value) in values.iter_mut().enumerate() {
        *value = f(i);
    }
    Lanes(values)
}

macro_rules! operator {
    ($trait:ident, $method:ident, $op:tt) => {
        impl<const N: usize> $trait for Lanes<N> {
            type Output = Self;
            #[inline(always)]
            fn $method(self, other: Self) -> Self {
                lanewise(|i| self.0[i] $op other.0[i])
            }
        }
        impl<const N: usize> $trait<f64> for Lanes<N> {
            type Output = Self;
            #[inline(always)]
            fn $method(self, other: f64) -> Self {
                lanewise(|i| self.0[i] $op other)
            }
        }
        impl<const N: usize> $trait<Lanes<N>> for f64 {
            type Output = Lanes<N>;
            #[inline(always)]
            fn $method(self, other: Lanes<N>) -> Lanes<N> {
                lanewise(|i| self $op other.0[i])
            }
        }
    };
}
operator!(Add, add, +);
operator!(Sub, sub, -);
operator!(Mul, mul, *);
operator!(Div, div, /);

impl<const N: usize> Neg for Lanes<N> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        lanewise(|i| -self.0[i])
    }
}

impl<const N: usize> AddAssign for Lanes<N> {
    #[inline(always)]
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl<const N: usize> From<f64> for Lanes<N> {
    #[inline(always)]
    fn from(value: f64) -> Self {
        Self::splat(value)
    }
}

impl<const N: usize> Lanes<N> {
    /// The same value in every lane.
    #[inline(always)]
    pub const fn splat(value: f64) -> Self {
        Self([value; N])
    }

    /// One value per lane, by index.
    #[inline(always)]
    pub fn each(f: impl FnMut(usize) -> f64) -> Self {
        lanewise(f)
    }

    /// Applies `f` to each lane: for set-up code and tests, not for the step.
    #[inline(always)]
    pub fn map(self, f: impl Fn(f64) -> f64) -> Self {
        lanewise(|i| f(self.0[i]))
    }

    /// The smaller of the two; `other` where `self` is not a number.
    #[inline(always)]
    pub fn min(self, other: impl Into<Self>) -> Self {
        let other = other.into();
        self.if_less(other, self, other)
    }

    /// The larger of the two; `other` where `self` is not a number.
    #[inline(always)]
    pub fn max(self, other: impl Into<Self>) -> Self {
        let other = other.into();
        other.if_less(self, self, other)
    }

    /// Held within `low..=high`.
    #[inline(always)]
    pub fn clamp(self, low: impl Into<Self>, high: impl Into<Self>) -> Self {
        self.max(low).min(high)
    }

    /// `then` in the lanes where `self < bound`, `otherwise` in the rest.
    #[inline(always)]
    pub fn if_less(self, bound: impl Into<Self>, then: Self, otherwise: Self) -> Self {
        let bound = bound.into();
        lanewise(|i| {
            if self.0[i] < bound.0[i] {
                then.0[i]
            } else {
                otherwise.0[i]
            }
        })
    }

    /// Square root (exact to the last bit in IEEE 754); not a number below zero.
    #[inline(always)]
    pub fn sqrt(self) -> Self {
        lanewise(|i| self.0[i].sqrt())
    }

    /// `self · self`.
    #[inline(always)]
    pub fn squared(self) -> Self {
        self * self
    }

    /// `1 / self`.
    #[inline(always)]
    pub fn recip(self) -> Self {
        1.0 / self
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
        lanewise(|i| {
            let exponent = (shifted.0[i].to_bits() as i64) << 52;
            f64::from_bits((p.0[i].to_bits() as i64).wrapping_add(exponent) as u64)
        })
    }

    /// Natural logarithm, within 2 units in the last place (absolute near 1); arguments below the smallest normal number
    /// (zero and negatives too) count as that number.
    ///
    /// `ln(2^k m) = k ln 2 + 2 artanh((m-1)/(m+1))` with m in 0.71..1.41.
    #[inline(always)]
    pub fn ln(self) -> Self {
        let x = self.max(f64::MIN_POSITIVE);
        // Moving the exponent's origin to sqrt(1/2) keeps the mantissa around 1.
        const ORIGIN: u64 = 0x3fe6_a09e_667f_3bcd;
        const INTEGER: f64 = 4_503_599_627_370_496.0; // 2^52
        let mut k = [0.0; N];
        let mut m = [0.0; N];
        for i in 0..N {
            let bits = x.0[i].to_bits();
            let above = bits.wrapping_sub(ORIGIN).wrapping_add(1023 << 52);
            k[i] = f64::from_bits((above >> 52) | INTEGER.to_bits()) - (INTEGER + 1023.0);
            m[i] = f64::from_bits(bits.wrapping_sub(above & (0xfff << 52)).wrapping_add(1023 << 52));
        }
        let (k, m) = (Self(k), Self(m));
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
    pub fn powf(self, power: f64) -> Self {
        (self.ln() * power).exp()
    }

    /// `self` to a real power per lane; the base is taken as positive.
    #[inline(always)]
    pub fn powf_lanes(self, power: Self) -> Self {
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

/// `e^x` with the model's own bits, for set-up code that must agree between systems.
pub fn exp(x: f64) -> f64 {
    Lanes([x]).exp().0[0]
}

/// Natural logarithm with the model's own bits, for set-up code that must agree between systems.
pub fn ln(x: f64) -> f64 {
    Lanes([x]).ln().0[0]
}

/// Positive base to a real power with the model's own bits.
pub fn powf(base: f64, power: f64) -> f64 {
    Lanes([base]).powf(power).0[0]
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
    fn a_lane_gives_the_same_bits_in_any_width() {
        for x in samples() {
            let wide = Lanes::<8>::each(|i| x * 0.1 + i as f64 * 0.01);
            for i in 0..8 {
                assert_eq!(wide.exp().0[i].to_bits(), exp(wide.0[i]).to_bits());
                assert_eq!(wide.squared().ln().0[i].to_bits(), ln(wide.0[i] * wide.0[i]).to_bits());
            }
        }
    }

    #[test]
    fn extremes_stay_finite() {
        for x in [f64::NEG_INFINITY, -1e300, -0.0, 0.0, 1e300, f64::INFINITY] {
            assert!(exp(x).is_finite() && exp(x) > 0.0, "exp({x})");
            assert!(ln(x.min(1e300)).is_finite(), "ln({x})");
        }
    }
}
