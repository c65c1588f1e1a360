//! What a practice notes of every revolution, however time is cut: the strip, fuel, seconds too lean by cause, what the plug has seen,
//! and since when the engine stands.

use super::chop::Seen;
use super::heard::{Beat, Heard};
use super::lean::{Judged, Leanness};
use crate::bench::instruments::{Around, Strip};
use crate::bench::manoeuvre::Mark;
use crate::bench::player::Now;
use crate::engine::state::{Revolution, State};
use crate::tuning::sums::LeanSeconds;

/// Shorter than this nothing is a spell too lean, s (assumed).
const SPELL_S: f64 = 0.1;

/// What was noted.
#[derive(Clone, Debug)]
pub(super) struct Log {
    /// What passed.
    pub strip: Strip,
    /// Time spent too lean, by cause.
    pub lean: LeanSeconds,
    /// What that is told by.
    pub leanness: Leanness,
    /// Safe time under load since it was last too lean, s.
    pub safe_s: f64,
    /// How much of the spell at hand was too lean, s.
    pub spell_s: f64,
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
            lean: LeanSeconds::default(),
            leanness: Leanness::default(),
            safe_s: f64::INFINITY,
            spell_s: 0.0,
            lean_crossings: 0,
            fuel_kg: 0.0,
            cleared_ms: None,
            seen: Seen::default(),
            heard: Heard::default(),
            silent_ms: Some(0),
        }
    }
}

impl Log {
    /// Takes in a revolution, and what was judged of it; `listened` where it is one that somebody listens to.
    #[inline(always)]
    pub fn note(&mut self, now: &Now, r: &Revolution, state: &State, judged: Judged, listened: bool) {
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
        if throttle >= 0.8 && r.speed > 0.0 {
            self.seen
                .mixture(r.metered_equivalence_ratio, d, state.head_temperature);
            self.seen.knock_s += if judged.knocks { d } else { 0.0 };
        }
        if throttle < 0.8 && r.speed > 0.0 {
            self.seen.elsewhere(d);
        }
        if let Some(cause) = judged.lean {
            self.lean.add(cause, d);
            // A second of safe running under load ends a lean spell; within one it flickers, and a flicker alone is no spell.
            let before_s = if self.safe_s >= 1.0 { 0.0 } else { self.spell_s };
            self.spell_s = before_s + d;
            self.lean_crossings += u32::from(before_s < SPELL_S && self.spell_s >= SPELL_S);
            self.safe_s = 0.0;
        } else if judged.loaded {
            self.safe_s += d;
        }
    }

    /// Mean speed over the last rows of the strip, rpm.
    pub fn mean_rpm(&self, rows: usize) -> f64 {
        let rows_rpm = self.strip.rows().iter().rev().take(rows).map(|row| row.rpm);
        rows_rpm.sum::<f64>() / rows as f64
    }
}
