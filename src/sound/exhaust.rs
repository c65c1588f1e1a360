//! The exhaust: the cylinder blows down through its port into the pipe, and what leaves the stinger is heard.
//!
//! As the port opens the cylinder holds `p = m R T/V`: high after a hot late burn, lower after an early one, next to nothing after a
//! miss, when only the crankcase pushes. It flows as through an orifice, `U = C A sqrt(2 dp/rho)`, no faster than choked (Blair, Design
//! and Simulation of Two-Stroke Engines, SAE 1996, ch. 1-2; from memory), against the waves that come back; the port uncovers as a
//! parabola of crank angle. The stinger's end is a point source, `p = rho/(4 pi r) dU/dt` (Kinsler et al., ch. 7; from memory), and
//! hisses as flow at an edge does, by the cube of its speed (Curle 1955; from memory). Leaves out that the gas cools as it expands,
//! and that the cylinder's volume changes while the port is open.

use super::pipe::{GAMMA, GAS_CONSTANT, Pipe, speed_of_sound};
use super::{Turn, within};
use crate::engine::Setup;
use crate::units::{cubic_metre_from_ml, kelvin_from_celsius};

/// The port's open part of a revolution (170 degrees, common practice of these engines).
const OPEN_SHARE: f64 = 170.0 / 360.0;
/// Its greatest area over the bore's, and its discharge coefficient (Blair: 0.7-0.9).
const PORT_AREA_SHARE: f64 = 0.22;
const DISCHARGE: f64 = 0.75;
/// Transfers are open for less: share of the port's open time on each side that passes before and after.
const TRANSFER_LATE: f64 = 0.18;
/// Header's diameter over the bore (assumed: 10 mm on 16.5).
const HEADER_DIAMETER_SHARE: f64 = 0.6;
/// Choked flow: share of `p/sqrt(R T)` that passes a unit of area, for gamma 1.33.
const CHOKED: f64 = 0.673;
/// Distance of the ear, m.
const DISTANCE: f64 = 1.0;
/// Height of the hiss over `rho u³/c` (assumed).
const HISS: f64 = 0.02;

/// The exhaust.
#[derive(Clone, Debug)]
pub(super) struct Exhaust {
    seconds: f64,
    /// Of the port when wide open, with its discharge coefficient, m².
    port: f64,
    /// Of the cylinder with the port open, m³.
    volume: f64,
    ambient_pressure: f64,
    ambient_density: f64,
    pipe: Pipe,
    /// Cylinder above ambient, Pa.
    cylinder: f64,
    /// Set once a revolution: its pressure as the port opens, what its gas flows like, and what the crankcase adds in all, Pa.
    opening: f64,
    flow: f64,
    choked: f64,
    pushed: f64,
    opened: bool,
    per_open: f64,
    /// Out of the stinger, last sample, m³/s.
    out: f64,
    /// rho/c of the stinger's gas, over its area cubed.
    hiss: f64,
}

impl Exhaust {
    pub fn new(rate: f64, setup: &Setup) -> Self {
        let geometry = &setup.engine.geometry;
        let bore = geometry.bore();
        let bore_area = 0.25 * std::f64::consts::PI * bore * bore;
        let swept = cubic_metre_from_ml(geometry.displacement_cm3);
        let c = speed_of_sound(kelvin_from_celsius(geometry.pipe_reference_temperature_c));
        let length = 0.5 * c * OPEN_SHARE / geometry.pipe_tuned_rev_per_s;
        let header = bore_area * HEADER_DIAMETER_SHARE * HEADER_DIAMETER_SHARE;
        Self {
            seconds: 1.0 / rate,
            port: bore_area * PORT_AREA_SHARE * DISCHARGE,
            volume: swept * (geometry.trapped_stroke_share + 1.0 / (geometry.compression_ratio - 1.0)),
            ambient_pressure: setup.air.pressure,
            ambient_density: setup.air.density,
            pipe: Pipe::new(rate, length, header, setup.air.pressure, setup.air.temperature),
            cylinder: 0.0,
            opening: 0.0,
            flow: 0.0,
            choked: 0.0,
            pushed: 0.0,
            opened: true,
            per_open: 0.0,
            out: 0.0,
            hiss: 0.0,
        }
    }

    /// A revolution begins.
    pub fn turn(&mut self, turn: &Turn) {
        let heat = GAS_CONSTANT * turn.gas_temperature;
        self.opening = within(turn.gas * heat / self.volume, 0.0, 5e6) - self.ambient_pressure;
        self.flow = 2.0 * heat / (self.ambient_pressure * self.ambient_pressure);
        self.choked = CHOKED * heat.sqrt() / self.ambient_pressure;
        // The fresh charge is cooler than what it drives out.
        self.pushed = GAMMA * turn.fresh * GAS_CONSTANT * 350.0 / self.volume;
        self.per_open = 1.0 / (OPEN_SHARE * turn.samples);
        self.opened = turn.gas <= 0.0;
        self.pipe.warm(turn.pipe_temperature);
        let density = self.ambient_pressure / (GAS_CONSTANT * turn.pipe_temperature);
        let area = self.pipe.stinger_area();
        self.hiss =
            HISS * density / speed_of_sound(turn.pipe_temperature) / (area * area * area) * area.sqrt() / DISTANCE;
    }

    /// Pressure at the ear, Pa.
    #[inline(always)]
    pub fn sample(&mut self, phase: f64, noise: f64) -> f64 {
        let open = (phase - (1.0 - OPEN_SHARE)) * (1.0 / OPEN_SHARE);
        let returning = self.pipe.returning();
        let mut flow = 0.0;
        if open > 0.0 {
            if !self.opened {
                self.cylinder = self.opening;
                self.opened = true;
            }
            let area = self.port * 4.0 * open * (1.0 - open);
            let transfer = (open - TRANSFER_LATE) * (1.0 / (1.0 - 2.0 * TRANSFER_LATE));
            if transfer > 0.0 && transfer < 1.0 {
                self.cylinder += self.pushed
                    * 6.0
                    * transfer
                    * (1.0 - transfer)
                    * (self.per_open * (1.0 / (1.0 - 2.0 * TRANSFER_LATE)));
            }
            // Orifice, the header's impedance and the cylinder's own fall solved together, so that no step is too long.
            let held = self.pipe.impedance() + GAMMA * self.ambient_pressure * self.seconds / self.volume;
            let drive = self.cylinder - 2.0 * returning;
            let upstream = self.ambient_pressure + if drive > 0.0 { self.cylinder } else { 2.0 * returning };
            let upstream = upstream.max(0.1 * self.ambient_pressure);
            let bend = 4.0 * drive.abs() / (area * area * self.flow * upstream).max(1e-30);
            flow = 2.0 * drive / (held + (held * held + bend).sqrt());
            flow = flow.min(self.choked * area * upstream);
            self.cylinder -= GAMMA * self.ambient_pressure * flow * (self.seconds / self.volume);
        }
        let out = self.pipe.pass(returning + self.pipe.impedance() * flow);
        let rise = (out - self.out) * (1.0 / self.seconds);
        self.out = out;
        self.ambient_density * rise * (1.0 / (4.0 * std::f64::consts::PI * DISTANCE))
            + self.hiss * (out * out * out).abs() * noise
    }
}
