//! Registers: one plain number, or several of a processor's vector registers abreast. A token stands for a set of registers and picks
//! the operations by its type; it takes no space.

use std::fmt::Debug;

use pulp::Simd;

/// A token for registers that hold `LANES` numbers and do arithmetic on all of them at once.
#[allow(missing_docs)]
pub trait Registers: Copy + Debug {
    /// The registers.
    type Value: Copy + Debug;
    /// How many numbers they hold.
    const LANES: usize;

    fn splat(self, x: f64) -> Self::Value;
    /// The first `LANES` values of `from`; panics if there are fewer.
    fn load(self, from: &[f64]) -> Self::Value;
    /// Writes the first `LANES` places of `to`; panics if there are fewer.
    fn store(self, a: Self::Value, to: &mut [f64]);
    fn add(self, a: Self::Value, b: Self::Value) -> Self::Value;
    fn sub(self, a: Self::Value, b: Self::Value) -> Self::Value;
    fn mul(self, a: Self::Value, b: Self::Value) -> Self::Value;
    fn div(self, a: Self::Value, b: Self::Value) -> Self::Value;
    /// `a · b + c`, rounded once.
    fn mul_add(self, a: Self::Value, b: Self::Value, c: Self::Value) -> Self::Value;
    fn neg(self, a: Self::Value) -> Self::Value;
    fn sqrt(self, a: Self::Value) -> Self::Value;
    /// `a < b ? a : b`, also for zeros of both signs and what is not a number.
    fn min(self, a: Self::Value, b: Self::Value) -> Self::Value;
    /// `a > b ? a : b`, likewise.
    fn max(self, a: Self::Value, b: Self::Value) -> Self::Value;
    fn if_less(self, a: Self::Value, b: Self::Value, then: Self::Value, otherwise: Self::Value) -> Self::Value;
    /// `p · 2^k`, where `k` is the integer in the low bits of `shifted`.
    fn times_two_to(self, p: Self::Value, shifted: Self::Value) -> Self::Value;
    /// For a normal positive `x = 2^k m` with m in 0.71..1.41: `2^52 + 1023 + k`, and m.
    fn exponent_and_mantissa(self, x: Self::Value) -> (Self::Value, Self::Value);
}

/// sqrt(1/2) as bits: moving the exponent's origin there keeps the mantissa around 1.
const ORIGIN: u64 = 0x3fe6_a09e_667f_3bcd;
const BIAS: u64 = 1023 << 52;
const EXPONENT: u64 = 0xfff << 52;
/// 2^52 as bits.
const INTEGER: u64 = 0x4330_0000_0000_0000;

/// One plain number.
#[derive(Clone, Copy, Debug)]
pub struct One;

impl Registers for One {
    type Value = f64;
    const LANES: usize = 1;

    #[inline(always)]
    fn splat(self, x: f64) -> f64 {
        x
    }
    #[inline(always)]
    fn load(self, from: &[f64]) -> f64 {
        from[0]
    }
    #[inline(always)]
    fn store(self, a: f64, to: &mut [f64]) {
        to[0] = a;
    }
    #[inline(always)]
    fn add(self, a: f64, b: f64) -> f64 {
        a + b
    }
    #[inline(always)]
    fn sub(self, a: f64, b: f64) -> f64 {
        a - b
    }
    #[inline(always)]
    fn mul(self, a: f64, b: f64) -> f64 {
        a * b
    }
    #[inline(always)]
    fn div(self, a: f64, b: f64) -> f64 {
        a / b
    }
    #[inline(always)]
    fn mul_add(self, a: f64, b: f64, c: f64) -> f64 {
        a.mul_add(b, c)
    }
    #[inline(always)]
    fn neg(self, a: f64) -> f64 {
        -a
    }
    #[inline(always)]
    fn sqrt(self, a: f64) -> f64 {
        a.sqrt()
    }
    #[inline(always)]
    fn min(self, a: f64, b: f64) -> f64 {
        if a < b { a } else { b }
    }
    #[inline(always)]
    fn max(self, a: f64, b: f64) -> f64 {
        if a > b { a } else { b }
    }
    #[inline(always)]
    fn if_less(self, a: f64, b: f64, then: f64, otherwise: f64) -> f64 {
        if a < b { then } else { otherwise }
    }
    #[inline(always)]
    fn times_two_to(self, p: f64, shifted: f64) -> f64 {
        f64::from_bits(p.to_bits().wrapping_add(shifted.to_bits() << 52))
    }
    #[inline(always)]
    fn exponent_and_mantissa(self, x: f64) -> (f64, f64) {
        let bits = x.to_bits();
        let above = bits.wrapping_sub(ORIGIN).wrapping_add(BIAS);
        (
            f64::from_bits((above >> 52) | INTEGER),
            f64::from_bits(bits.wrapping_sub(above & EXPONENT).wrapping_add(BIAS)),
        )
    }
}

/// `K` vector registers of the instruction set `S` abreast: enough independent work to hide an operation's delay.
#[derive(Clone, Copy, Debug)]
pub struct Abreast<S, const K: usize>(pub(super) S);

/// What the vector instructions lack in `pulp`'s common set: shifts of the bits, and the processor's own smaller and larger.
#[allow(missing_docs)]
pub trait Instruction: Simd {
    fn up_52(self, a: Self::u64s) -> Self::u64s;
    fn down_52(self, a: Self::u64s) -> Self::u64s;
    /// `a < b ? a : b`.
    #[inline(always)]
    fn smaller(self, a: Self::f64s, b: Self::f64s) -> Self::f64s {
        self.select_f64s(self.less_than_f64s(a, b), a, b)
    }
    /// `a > b ? a : b`.
    #[inline(always)]
    fn larger(self, a: Self::f64s, b: Self::f64s) -> Self::f64s {
        self.select_f64s(self.less_than_f64s(b, a), a, b)
    }
}

macro_rules! binary {
    ($name:ident, $operation:ident) => {
        #[inline(always)]
        fn $name(self, mut a: Self::Value, b: Self::Value) -> Self::Value {
            for k in 0..K {
                a[k] = self.0.$operation(a[k], b[k]);
            }
            a
        }
    };
}
macro_rules! unary {
    ($name:ident, $operation:ident) => {
        #[inline(always)]
        fn $name(self, mut a: Self::Value) -> Self::Value {
            for value in &mut a {
                *value = self.0.$operation(*value);
            }
            a
        }
    };
}

impl<S: Instruction, const K: usize> Registers for Abreast<S, K> {
    type Value = [S::f64s; K];
    const LANES: usize = K * S::F64_LANES;

    #[inline(always)]
    fn splat(self, x: f64) -> Self::Value {
        [self.0.splat_f64s(x); K]
    }
    #[inline(always)]
    fn load(self, from: &[f64]) -> Self::Value {
        let (whole, _) = S::as_simd_f64s(from);
        let mut value = self.splat(0.0);
        value.copy_from_slice(&whole[..K]);
        value
    }
    #[inline(always)]
    fn store(self, a: Self::Value, to: &mut [f64]) {
        let (whole, _) = S::as_mut_simd_f64s(to);
        whole[..K].copy_from_slice(&a);
    }
    binary!(add, add_f64s);
    binary!(sub, sub_f64s);
    binary!(mul, mul_f64s);
    binary!(div, div_f64s);
    binary!(min, smaller);
    binary!(max, larger);
    #[inline(always)]
    fn mul_add(self, mut a: Self::Value, b: Self::Value, c: Self::Value) -> Self::Value {
        for k in 0..K {
            a[k] = self.0.mul_add_f64s(a[k], b[k], c[k]);
        }
        a
    }
    unary!(neg, neg_f64s);
    unary!(sqrt, sqrt_f64s);
    #[inline(always)]
    fn if_less(self, a: Self::Value, b: Self::Value, mut then: Self::Value, otherwise: Self::Value) -> Self::Value {
        for k in 0..K {
            then[k] = self
                .0
                .select_f64s(self.0.less_than_f64s(a[k], b[k]), then[k], otherwise[k]);
        }
        then
    }
    #[inline(always)]
    fn times_two_to(self, mut p: Self::Value, shifted: Self::Value) -> Self::Value {
        let simd = self.0;
        for k in 0..K {
            let exponent = simd.up_52(simd.transmute_u64s_f64s(shifted[k]));
            p[k] = simd.transmute_f64s_u64s(simd.add_u64s(simd.transmute_u64s_f64s(p[k]), exponent));
        }
        p
    }
    #[inline(always)]
    fn exponent_and_mantissa(self, x: Self::Value) -> (Self::Value, Self::Value) {
        let simd = self.0;
        let (mut exponent, mut mantissa) = (x, x);
        let (origin, bias) = (simd.splat_u64s(ORIGIN), simd.splat_u64s(BIAS));
        for k in 0..K {
            let bits = simd.transmute_u64s_f64s(x[k]);
            let above = simd.add_u64s(simd.sub_u64s(bits, origin), bias);
            let power = simd.or_u64s(simd.down_52(above), simd.splat_u64s(INTEGER));
            let rest = simd.sub_u64s(bits, simd.and_u64s(above, simd.splat_u64s(EXPONENT)));
            exponent[k] = simd.transmute_f64s_u64s(power);
            mantissa[k] = simd.transmute_f64s_u64s(simd.add_u64s(rest, bias));
        }
        (exponent, mantissa)
    }
}

macro_rules! shifts {
    ($simd:ty, $up:ident, $down:ident) => {
        #[inline(always)]
        fn up_52(self, a: Self::u64s) -> Self::u64s {
            self.$up::<52>(a)
        }
        #[inline(always)]
        fn down_52(self, a: Self::u64s) -> Self::u64s {
            self.$down::<52>(a)
        }
    };
}

/// On these processors the smaller and the larger of two are one instruction each, and mean just `a < b ? a : b`.
#[cfg(target_arch = "x86_64")]
macro_rules! of_x86 {
    ($simd:ty, $up:ident, $down:ident) => {
        impl Instruction for $simd {
            shifts!($simd, $up, $down);
            #[inline(always)]
            fn smaller(self, a: Self::f64s, b: Self::f64s) -> Self::f64s {
                self.min_f64s(a, b)
            }
            #[inline(always)]
            fn larger(self, a: Self::f64s, b: Self::f64s) -> Self::f64s {
                self.max_f64s(a, b)
            }
        }
    };
}

#[cfg(target_arch = "x86_64")]
of_x86!(pulp::x86::V3, shl_const_u64x4, shr_const_u64x4);
#[cfg(target_arch = "x86_64")]
of_x86!(pulp::x86::V4, shl_const_u64x8, shr_const_u64x8);

#[cfg(target_arch = "aarch64")]
impl Instruction for pulp::aarch64::Neon {
    shifts!(pulp::aarch64::Neon, shl_const_u64x2, shr_const_u64x2);
}
