//! What a practice notes of every revolution, however time is cut: the strip, fuel, spells too lean, what the plug has seen, and
//! since when the engine stands.

use super::chop::Seen;
use super::heard::{Beat, Heard, WARM_HEAD};
use crate::bench::instruments::{Around, OPENING_S, Strip};
use crate::bench::manoeuvre::Mark;
use crate::bench::player::Now;
use crate::engine::state::{Revolution, State};

/// "Too lean" begins where the metered mixture is leaner than that of best power by this share: some eighth of a turn lean, which
/// must fail. The carburettor meters a little leaner on the stand and on the track than on the brake on which best power is found,
/// and a setting that passes there is not too lean (assumed).
const LEAN_SHARE: f64 = 0.95;

/// What was noted.
#[derive(Clone, Debug)]
pub(super) struct Log {
    /// What passed.
    pub strip: Strip,
    /// Time spent too lean, s.
    pub lean_s: f64,
    /// Safe time at large throttle since it was last too lean, s.
    pub safe_s: f64,
    /// When the throttle was last moved, on the engine's clock, s.
    pub moved_s: f64,
    /// Spells too lean.
    pub lean_crossings: u32,
    /// Fuel drawn, kg.
    pub fuel_kg: f64,
    /// When the engine last ran at half throttle or more, ms on its clock.
    pub cleared_ms: Option<u64>,
    /// What the plug has seen.
    pub seen: Seen,
    /// What signing off asks for.
    pub heard: Heard,
    /// Since when the engine stands, ms on its clock; none while it runs.
    pub silent_ms: Option<u64>,
}

impl Log {
    /// Nothing passed yet; a snap has picked up at `snap_mark_rpm`.
    pub fn new(snap_mark_rpm: f64) -> Self {
        Self {
            strip: Strip::new(snap_mark_rpm),
            lean_s: 0.0,
            safe_s: f64::INFINITY,
            moved_s: 0.0,
            lean_crossings: 0,
            fuel_kg: 0.0,
            cleared_ms: None,
            seen: Seen::default(),
            heard: Heard::default(),
            silent_ms: Some(0),
        }
    }
}

/// What "too lean" is held against.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lean {
    /// Equivalence ratio of best power at the true setting, if it is known.
    pub best_power: Option<f64>,
    /// Largest detonation index of a clean setting.
    pub detonation_index: f64,
}

impl Log {
    /// Takes in a revolution; `listened` where it is one that somebody listens to.
    #[inline]
    pub fn note(&mut self, now: &Now, r: &Revolution, state: &State, against: Lean, listened: bool) {
        let (throttle, d) = (now.throttle, r.duration);
        let around = Around {
            throttle,
            pinched: now.mark == Mark::Pinch,
            driven: now.mark == Mark::Drive,
        };
        self.strip.hear(around, r, state);
        self.fuel_kg += r.fuel_in + r.oil_in;
        if listened {
            self.heard.hear(Beat {
                throttle,
                running: r.speed > 0.0,
                head: state.head_temperature,
                seconds: d,
            });
        } else {
            self.heard.feel(state.head_temperature);
        }
        if r.speed <= 0.0 {
            self.silent_ms = self.silent_ms.or(Some((state.time * 1e3).ceil() as u64));
        } else if throttle >= 0.5 {
            self.cleared_ms = Some((state.time * 1e3) as u64);
        }
        let mut lean = false;
        if throttle >= 0.8 && r.speed > 0.0 {
            let phi = r.metered_equivalence_ratio;
            self.seen.mixture(phi, d, state.head_temperature);
            // The moment of opening is lean in any carburettor; what follows it counts. A cold engine's air is dense and its walls
            // still take their film: there the metered mixture says nothing of the needles, and only knocking is lean.
            let settled = state.time - self.moved_s > OPENING_S;
            let warm = state.head_temperature >= WARM_HEAD;
            let starved = warm && against.best_power.is_some_and(|best| phi < LEAN_SHARE * best);
            let knocks = settled && r.detonation > against.detonation_index;
            self.seen.knock_s += if knocks { d } else { 0.0 };
            lean = knocks || settled && starved;
        }
        if throttle < 0.8 && r.speed > 0.0 {
            self.seen.elsewhere(d);
        }
        if lean {
            self.lean_s += d;
            // A second of safe running at large throttle ends a lean spell; between two spells of one opening it flickers.
            self.lean_crossings += u32::from(self.safe_s >= 1.0);
            self.safe_s = 0.0;
        } else if throttle >= 0.8 {
            self.safe_s += d;
        }
    }

    /// Mean speed over the last rows of the strip, rpm.
    pub fn mean_rpm(&self, rows: usize) -> f64 {
        let rows_rpm = self.strip.rows().iter().rev().take(rows).map(|row| row.rpm);
        rows_rpm.sum::<f64>() / rows as f64
    }
}
