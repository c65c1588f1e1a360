//! What the hands leave open: the throat's area, the gaps of both needles and how much of the throat's pressure draws fuel. It hangs
//! on throttle and screws alone, so it is worked when they move and not in every revolution.

use super::state::fields;

/// The way of the fuel: both needles' gaps in series, and how much of the throat's pressure draws through them.
#[derive(Clone, Copy, Debug)]
pub(super) struct Gaps<T = f64> {
    /// Share of the throat's depression that draws fuel.
    pub share: T,
    /// Viscous loss of both, Pa per Pa s and m³/s.
    pub viscous: T,
    /// Inertial loss of both, Pa per kg/m³ and (m³/s)².
    pub inertial: T,
    /// Its reciprocal.
    pub per_inertial: T,
}

/// What is open in one revolution.
#[derive(Clone, Copy, Debug)]
pub(super) struct Openings<T = f64> {
    /// Flow area of the throat behind its filter, and of a leak, m².
    pub area: T,
    /// The way of the fuel.
    pub gaps: Gaps<T>,
}

fields!(Gaps { share viscous inertial per_inertial });
fields!(Openings { area; gaps });
