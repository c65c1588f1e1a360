//! The intake: the carburettor draws once a revolution, heard as a pulse and as the hiss of air past the slide.
//!
//! The draw is a smooth hump while the crankcase takes in, a point source as the stinger is, `p = rho/(4 pi r) dU/dt`; the hiss goes
//! by the cube of the speed at the slide (Curle 1955; from memory) and the slide's area. So it opens with the throttle. Leaves out the
//! crankcase's resonance, and the idle stop's turns: a shut slide is that of the engine's file.

use super::Turn;
use crate::engine::Setup;
use crate::units::square_metre_from_mm2;

/// Part of a revolution in which the crankcase draws (rotary valve, some 190 degrees: common practice).
const DRAWS: f64 = 0.53;
/// Distance of the ear, m.
const DISTANCE: f64 = 1.0;
/// Height of the hiss over `rho u³/c` (assumed).
const HISS: f64 = 0.002;
/// Air flows no faster through the slide than sound, m/s.
const FASTEST: f64 = 300.0;

/// The intake.
#[derive(Clone, Debug)]
pub(super) struct Intake {
    rate: f64,
    area: f64,
    exponent: f64,
    shut: f64,
    per_density: f64,
    density: f64,
    per_sound: f64,
    /// Of this revolution: mean flow while drawing, m³/s; its pulse at the ear; speed at the slide, and the hiss at full speed.
    pulse: f64,
    hiss: f64,
}

impl Intake {
    pub fn new(rate: f64, setup: &Setup) -> Self {
        let c = &setup.engine.carburettor;
        Self {
            rate,
            area: square_metre_from_mm2(c.throttle_flow_area_mm2),
            exponent: c.throttle_exponent,
            shut: c.idle_opening_closed,
            per_density: 1.0 / setup.air.dry_density,
            density: setup.air.density,
            per_sound: 1.0 / (1.4 * 287.0 * setup.air.temperature).sqrt(),
            pulse: 0.0,
            hiss: 0.0,
        }
    }

    /// A revolution begins.
    pub fn turn(&mut self, turn: &Turn) {
        let slide = self.shut + (1.0 - self.shut) * turn.throttle;
        let area = self.area * crate::lanes::powf(slide, self.exponent);
        let flow = turn.air * self.per_density * self.rate / (DRAWS * turn.samples);
        let speed = (flow / area).min(FASTEST);
        let per_phase = self.rate / (DRAWS * turn.samples);
        self.pulse = self.density * flow * per_phase / (4.0 * std::f64::consts::PI * DISTANCE);
        self.hiss = HISS * self.density * speed * speed * speed * self.per_sound * area.sqrt() / DISTANCE;
    }

    /// Pressure at the ear, Pa.
    #[inline(always)]
    pub fn sample(&mut self, phase: f64, noise: f64) -> f64 {
        // It draws while the piston rises: from the ports' closing on.
        let x = phase * (1.0 / DRAWS);
        if x >= 1.0 {
            return 0.0;
        }
        // Hump 30 x²(1-x)² of unit area, and its slope.
        let y = x * (1.0 - x);
        self.pulse * 60.0 * y * (1.0 - 2.0 * x) + self.hiss * 16.0 * y * y * noise
    }
}
