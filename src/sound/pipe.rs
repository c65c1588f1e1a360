//! The tuned pipe as a waveguide: header, body and stinger, a plane wave each way, meeting where the cross-section changes.
//!
//! Waves travel at the speed of sound of the pipe's gas, `c = sqrt(gamma R T)`; a step from area `S1` to `S2` throws a pressure wave
//! back by `(S1 - S2)/(S1 + S2)` (Kinsler, Frey, Coppens and Sanders, Fundamentals of Acoustics, ch. 10; from memory). The tuned length
//! is the one whose echo is back as the port closes at the tuned speed, `2 L/c` for the port's open time (common practice). A wave of
//! finite height is faster where it is higher, `c + (gamma + 1)/2 u`, and steepens on its way (Blair, Design and Simulation of
//! Two-Stroke Engines, SAE 1996, ch. 2; from memory): a strong pulse leaves sharper. Leaves out the cones as such (a step stands for
//! each), gas cooling along the pipe, and mean flow.

use super::{settled, within};

/// Ratio of specific heats of burnt gas, and its gas constant, J/(kg K).
pub(super) const GAMMA: f64 = 1.33;
pub(super) const GAS_CONSTANT: f64 = 290.0;

/// Share of the tuned length that the header is (assumed: common practice is a third to a half).
const HEADER_SHARE: f64 = 0.4;
/// Area of the body over that of the header, and of the stinger over that of the header (assumed: diameters of 10, 18 and 6 mm).
const BODY_AREA: f64 = 3.2;
const STINGER_AREA: f64 = 0.36;
/// What a wave keeps of its height on its way through a part (assumed: walls, swirl), and the corner of its loss of treble, Hz.
const KEPT: f64 = 0.93;
const TREBLE_HZ: f64 = 6_000.0;

/// Speed of sound in burnt gas, m/s.
pub(super) fn speed_of_sound(temperature: f64) -> f64 {
    (GAMMA * GAS_CONSTANT * temperature).sqrt()
}

/// How fast the delays follow the gas's temperature, 1/s.
const GLIDES: f64 = 100.0;

/// A wave on its way: a line of samples, read a fractional number of samples back.
#[derive(Clone, Debug)]
struct Line {
    samples: Box<[f64]>,
    mask: usize,
    at: usize,
}

impl Line {
    fn new(longest: f64) -> Self {
        let length = (longest as usize + 4).next_power_of_two();
        Self {
            samples: vec![0.0; length].into_boxed_slice(),
            mask: length - 1,
            at: 0,
        }
    }

    #[inline(always)]
    fn push(&mut self, x: f64) {
        self.at = (self.at + 1) & self.mask;
        self.samples[self.at] = settled(x);
    }

    /// What went in `back` samples before the newest.
    #[inline(always)]
    fn read(&self, back: f64) -> f64 {
        let back = back.max(0.0);
        let whole = back as usize;
        let part = back - whole as f64;
        let newer = self.samples[self.at.wrapping_sub(whole) & self.mask];
        let older = self.samples[self.at.wrapping_sub(whole + 1) & self.mask];
        newer + (older - newer) * part
    }
}

/// The pipe.
#[derive(Clone, Debug)]
pub(super) struct Pipe {
    rate: f64,
    /// Tuned length, m.
    length: f64,
    /// Cross-section of the header, m².
    area: f64,
    ambient_pressure: f64,
    header_out: Line,
    header_back: Line,
    body_out: Line,
    body_back: Line,
    /// Samples that a wave takes along header and body, gliding.
    header: f64,
    body: f64,
    target: f64,
    /// Loss of treble: memory and weight.
    dull: [f64; 2],
    treble: f64,
    glide: f64,
    /// Impedance of the header, Pa s/m³.
    impedance: f64,
}

impl Pipe {
    /// A pipe of this tuned length (m) and header area (m²).
    pub fn new(rate: f64, length: f64, area: f64, ambient_pressure: f64, temperature: f64) -> Self {
        // The coldest gas, and a wave of rarefaction on its way through it.
        let longest = 2.0 * length * rate / speed_of_sound(200.0);
        let line = |share: f64| Line::new(longest * share);
        let treble = std::f64::consts::TAU * TREBLE_HZ / rate;
        let mut pipe = Self {
            rate,
            length,
            area,
            ambient_pressure,
            header_out: line(HEADER_SHARE),
            header_back: line(HEADER_SHARE),
            body_out: line(1.0 - HEADER_SHARE),
            body_back: line(1.0 - HEADER_SHARE),
            header: 0.0,
            body: 0.0,
            target: 0.0,
            dull: [0.0; 2],
            treble: treble / (1.0 + treble),
            glide: GLIDES / rate,
            impedance: 0.0,
        };
        pipe.warm(temperature);
        pipe.header = pipe.target * HEADER_SHARE;
        pipe.body = pipe.target * (1.0 - HEADER_SHARE);
        pipe
    }

    /// The gas in it now has this temperature, K.
    pub fn warm(&mut self, temperature: f64) {
        let c = speed_of_sound(temperature);
        self.target = self.length * self.rate / c;
        let density = self.ambient_pressure / (GAS_CONSTANT * temperature);
        self.impedance = density * c / self.area;
    }

    /// Impedance of the header, Pa s/m³.
    pub fn impedance(&self) -> f64 {
        self.impedance
    }

    /// Cross-section of the stinger, m².
    pub fn stinger_area(&self) -> f64 {
        self.area * STINGER_AREA
    }

    /// The wave that comes back to the port, Pa.
    #[inline(always)]
    pub fn returning(&self) -> f64 {
        self.header_back.read(self.header - 1.0)
    }

    /// A sample passes: a wave leaves the port, and the flow out of the stinger comes back, m³/s.
    #[inline(always)]
    pub fn pass(&mut self, leaving: f64) -> f64 {
        let glide = self.glide;
        self.header += (self.target * HEADER_SHARE - self.header) * glide;
        self.body += (self.target * (1.0 - HEADER_SHARE) - self.body) * glide;
        self.header_out.push(leaving);
        // Higher is faster: the delay is that of the height found near the plain one.
        let plain = self.header_out.read(self.header - 1.0);
        let faster = within((GAMMA + 1.0) / (2.0 * GAMMA) * plain / self.ambient_pressure, -0.4, 0.6);
        let arrives = self.header_out.read((self.header - 1.0) / (1.0 + faster)) * KEPT;
        let from_body = self.body_back.read(self.body - 1.0) * KEPT;
        // The step to the body, two ways.
        let step = (1.0 - BODY_AREA) / (1.0 + BODY_AREA);
        let into_body = arrives * (1.0 + step) - from_body * step;
        let back = arrives * step + from_body * (1.0 - step);
        let into_body = {
            self.dull[0] = settled(self.dull[0] + (into_body - self.dull[0]) * self.treble);
            self.dull[0]
        };
        self.body_out.push(into_body);
        // Baffle and stinger.
        let at_end = self.body_out.read(self.body - 1.0);
        let baffle = (BODY_AREA - STINGER_AREA) / (BODY_AREA + STINGER_AREA);
        self.dull[1] = settled(self.dull[1] + (at_end * baffle - self.dull[1]) * self.treble);
        self.body_back.push(self.dull[1]);
        self.header_back.push(back * KEPT);
        at_end * (1.0 + baffle) * STINGER_AREA / self.impedance
    }
}
