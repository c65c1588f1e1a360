//! Block, head and crank: what metal gives to the air when the burn hits it, when the charge knocks, and when parts rattle.
//!
//! A few damped modes ring when they are hit (Kinsler et al., ch. 3; from memory). The burn hits once a revolution, harder the more
//! heat and the earlier; knocking hits hard and rattles for a moment, up to what is left to knock. The gas's own ring, `1.84 c/(pi
//! bore)` (Draper, NACA report 493; from memory), lies near 30 kHz in so small a cylinder and is not heard: what is heard of knocking
//! is the metal. Frequencies and heights of the modes are assumed.

use super::{Turn, settled};
use crate::engine::Setup;
use crate::units::cubic_metre_from_ml;

/// Modes: Hz, decay of their energy 1/s, and height (assumed: fins, head, case and a cover, hung with soft parts and full of oil).
const MODES: [(f64, f64, f64); 4] = [
    (2_900.0, 2_500.0, 0.6),
    (4_300.0, 3_000.0, 1.0),
    (6_700.0, 4_000.0, 0.9),
    (9_800.0, 6_000.0, 0.6),
];
/// The block's pressure at the ear of a burn of 1 J/cm³ well phased, Pa (assumed).
const BURN: f64 = 0.25;
/// The most that knocking hits with, Pa, and the detonation index at which it is half of that: no more can knock than the gas that
/// has not burnt yet (assumed: at half it is plainly louder than the treble of the exhaust).
const KNOCK: f64 = 1.3;
const HALF_KNOCK: f64 = 0.05;
/// How long knocking rattles, s.
const RATTLES: f64 = 0.4e-3;
/// Rattle of bearings and piston at 500 rev/s, Pa, growing with its square.
const PLAY: f64 = 0.12;
/// Where in the revolution the burn hits: top dead centre.
const TOP: f64 = 0.27;

/// One mode.
#[derive(Clone, Copy, Debug)]
struct Mode {
    place: f64,
    speed: f64,
    spring: f64,
    kept: f64,
    height: f64,
}

/// The metal.
#[derive(Clone, Debug)]
pub(super) struct Metal {
    modes: [Mode; 4],
    per_volume: f64,
    rattle_kept: f64,
    hit: f64,
    knock: f64,
    play: f64,
    due: bool,
    rattle: f64,
}

impl Metal {
    pub fn new(rate: f64, setup: &Setup) -> Self {
        let modes = MODES.map(|(hz, decay, height)| {
            let step = std::f64::consts::TAU * hz / rate;
            // 2 sin(step/2): the frequency is right at any rate. What a low rate can't carry is left out.
            let spring = step - step.powi(3) / 24.0 + step.powi(5) / 1920.0;
            let there = hz < 0.3 * rate;
            Mode {
                place: 0.0,
                speed: 0.0,
                spring: if there { spring } else { 0.0 },
                kept: 1.0 / (1.0 + decay / rate),
                height: if there { height } else { 0.0 },
            }
        });
        Self {
            modes,
            per_volume: 1e-6 / cubic_metre_from_ml(setup.engine.geometry.displacement_cm3),
            rattle_kept: 1.0 / (1.0 + 1.0 / (RATTLES * rate)),
            hit: 0.0,
            knock: 0.0,
            play: 0.0,
            due: false,
            rattle: 0.0,
        }
    }

    /// A revolution begins.
    pub fn turn(&mut self, turn: &Turn) {
        let early = 0.5 * (1.0 + turn.early / (1.0 + turn.early * turn.early).sqrt());
        self.hit = BURN * turn.heat * self.per_volume * early;
        self.knock = KNOCK * turn.detonation / (turn.detonation + HALF_KNOCK);
        self.play = PLAY * (turn.speed * (1.0 / 500.0)) * (turn.speed * (1.0 / 500.0));
        self.due = turn.speed > 0.0;
    }

    /// Pressure at the ear, Pa.
    #[inline(always)]
    pub fn sample(&mut self, phase: f64, noise: f64) -> f64 {
        let mut push = self.play * 0.1 * noise;
        if self.due && phase >= TOP {
            self.due = false;
            push += self.hit;
            self.rattle += self.knock;
        }
        push += self.rattle * noise;
        self.rattle = settled(self.rattle * self.rattle_kept);
        let mut sum = 0.0;
        for mode in &mut self.modes {
            mode.speed = (mode.speed - mode.spring * mode.place) * mode.kept + push * mode.height;
            mode.place = settled(mode.place + mode.spring * mode.speed);
            mode.speed = settled(mode.speed);
            sum += mode.place;
        }
        sum
    }
}
