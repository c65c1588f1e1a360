//! The instructions by which registers are worked: which there are is found out when the program runs, so one build serves every
//! processor.
//!
//! Code meant for them must be inlined into a function compiled with those instructions, which is why work comes as a value
//! ([`InRegisters`], [`Alone`]) and not as a closure, which would lose them.

use std::hint::black_box;
use std::mem::MaybeUninit;

use super::registers::{Abreast, One, Registers};

/// Work that is compiled once for each set of registers.
pub trait InRegisters {
    /// What it gives.
    type Output;
    /// Does it; must be `#[inline(always)]`.
    fn run<R: Registers>(self, registers: R) -> Self::Output;
}

/// Work on one plain number, compiled with the processor's instructions.
pub trait Alone {
    /// What it gives.
    type Output;
    /// Does it; must be `#[inline(always)]`.
    fn run(self) -> Self::Output;
}

/// How many engines one step of the model turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Width {
    /// One number.
    Alone,
    /// One vector register.
    Narrow,
    /// Two vector registers, for what would leave most of three empty.
    Middle,
    /// Three vector registers: what keeps the arithmetic units busy without outgrowing the registers.
    Wide,
}

/// The most lanes that any registers have.
pub(crate) const MOST_LANES: usize = 24;

/// The instructions by which registers are worked.
#[derive(Clone, Copy, Debug)]
pub enum Instructions {
    /// Plain numbers, one after the other: any processor.
    Plain,
    /// Four doubles a register (AVX2).
    #[cfg(target_arch = "x86_64")]
    Avx2(pulp::x86::V3),
    /// Eight doubles a register (AVX-512).
    #[cfg(target_arch = "x86_64")]
    Avx512(pulp::x86::V4),
    /// Two doubles a register.
    #[cfg(target_arch = "aarch64")]
    Neon(pulp::aarch64::Neon),
}

/// Hands work to the registers from inside a function compiled with their instructions.
struct Vectorised<W, R>(W, R);

/// A line of the cache.
#[repr(align(64))]
struct Line(#[expect(dead_code)] [u8; 64]);

impl<W: InRegisters, R: Registers> pulp::NullaryFnOnce for Vectorised<W, R> {
    type Output = W::Output;
    #[inline(always)]
    fn call(self) -> W::Output {
        // Something on the stack that wants to lie on a line of the cache: only then is the stack aligned to one, and registers that
        // are put aside there don't straddle two (with AVX2 6 % of a revolution; with AVX-512 no difference was seen).
        black_box(&MaybeUninit::<Line>::uninit());
        self.0.run(self.1)
    }
}

struct Singly<W>(W);

impl<W: Alone> pulp::NullaryFnOnce for Singly<W> {
    type Output = W::Output;
    #[inline(always)]
    fn call(self) -> W::Output {
        self.0.run()
    }
}

impl Instructions {
    /// All that this processor has, the plainest first.
    pub fn all() -> Vec<Self> {
        let mut all = vec![Self::Plain];
        #[cfg(target_arch = "x86_64")]
        {
            all.extend(pulp::x86::V3::try_new().map(Self::Avx2));
            all.extend(pulp::x86::V4::try_new().map(Self::Avx512));
        }
        #[cfg(target_arch = "aarch64")]
        all.extend(pulp::aarch64::Neon::try_new().map(Self::Neon));
        all
    }

    /// Their name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            #[cfg(target_arch = "x86_64")]
            Self::Avx2(_) => "avx2",
            #[cfg(target_arch = "x86_64")]
            Self::Avx512(_) => "avx-512",
            #[cfg(target_arch = "aarch64")]
            Self::Neon(_) => "neon",
        }
    }

    /// The widest that this processor has.
    pub fn best() -> Self {
        #[cfg(target_arch = "x86_64")]
        {
            if let Some(v4) = pulp::x86::V4::try_new() {
                return Self::Avx512(v4);
            }
            if let Some(v3) = pulp::x86::V3::try_new() {
                return Self::Avx2(v3);
            }
        }
        #[cfg(target_arch = "aarch64")]
        if let Some(neon) = pulp::aarch64::Neon::try_new() {
            return Self::Neon(neon);
        }
        Self::Plain
    }

    /// How many lanes a step has.
    pub(crate) fn lanes(self, width: Width) -> usize {
        let register = match self {
            Self::Plain => return 1,
            #[cfg(target_arch = "x86_64")]
            Self::Avx2(_) => 4,
            #[cfg(target_arch = "x86_64")]
            Self::Avx512(_) => 8,
            #[cfg(target_arch = "aarch64")]
            Self::Neon(_) => 2,
        };
        match width {
            Width::Alone => 1,
            Width::Narrow => register,
            Width::Middle => 2 * register,
            Width::Wide => 3 * register,
        }
    }

    /// Runs `work` on one number.
    #[inline]
    pub(crate) fn alone<W: Alone>(self, work: W) -> W::Output {
        match self {
            Self::Plain => work.run(),
            #[cfg(target_arch = "x86_64")]
            Self::Avx2(simd) => simd.vectorize(Singly(work)),
            #[cfg(target_arch = "x86_64")]
            // Wider registers are of no use to one number.
            Self::Avx512(simd) => (*simd).vectorize(Singly(work)),
            #[cfg(target_arch = "aarch64")]
            Self::Neon(simd) => simd.vectorize(Singly(work)),
        }
    }

    /// Runs `work` in registers of these instructions.
    #[inline]
    pub(crate) fn run<W: InRegisters>(self, width: Width, work: W) -> W::Output {
        macro_rules! vectorised {
            ($simd:expr) => {
                match width {
                    Width::Alone => $simd.vectorize(Vectorised(work, One)),
                    Width::Narrow => $simd.vectorize(Vectorised(work, Abreast::<_, 1>($simd))),
                    Width::Middle => $simd.vectorize(Vectorised(work, Abreast::<_, 2>($simd))),
                    Width::Wide => $simd.vectorize(Vectorised(work, Abreast::<_, 3>($simd))),
                }
            };
        }
        match self {
            Self::Plain => work.run(One),
            #[cfg(target_arch = "x86_64")]
            Self::Avx2(simd) => vectorised!(simd),
            #[cfg(target_arch = "x86_64")]
            Self::Avx512(simd) => vectorised!(simd),
            #[cfg(target_arch = "aarch64")]
            Self::Neon(simd) => vectorised!(simd),
        }
    }
}
