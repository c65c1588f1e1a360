//! Functions of one plain number with the model's own bits, for set-up code that must agree between systems.

use std::sync::OnceLock;

use super::{Alone, Instructions, one};

struct Exp(f64);
struct Ln(f64);
struct Powf(f64, f64);

impl Alone for Exp {
    type Output = f64;
    #[inline(always)]
    fn run(self) -> f64 {
        one(self.0).exp().number()
    }
}
impl Alone for Ln {
    type Output = f64;
    #[inline(always)]
    fn run(self) -> f64 {
        one(self.0).ln().number()
    }
}
impl Alone for Powf {
    type Output = f64;
    #[inline(always)]
    fn run(self) -> f64 {
        one(self.0).powf(self.1).number()
    }
}

/// With the processor's instructions: a fused multiplication is a call where they are not asked for.
fn alone<W: Alone>(work: W) -> W::Output {
    static BEST: OnceLock<Instructions> = OnceLock::new();
    BEST.get_or_init(Instructions::best).alone(work)
}

/// `e^x`.
pub fn exp(x: f64) -> f64 {
    alone(Exp(x))
}

/// Natural logarithm.
pub fn ln(x: f64) -> f64 {
    alone(Ln(x))
}

/// Positive base to a real power.
pub fn powf(base: f64, power: f64) -> f64 {
    alone(Powf(base, power))
}
