//! What a plug has seen: the full throttle from which the engine was chopped, and what there is to be compared with, the same engine
//! sound and at its true setting.

use crate::bench::instruments::{OPENING_S, Unread};
use crate::bench::manoeuvre::table;
use crate::bench::player::Now;
use crate::bench::rig::Rig;
use crate::engine::state::{Revolution, State};
use crate::tuning::hidden::Hidden;

/// Full throttle that leaves a colour, s (common practice: two or three seconds, then cut it).
const COLOURS_S: f64 = 2.0;
/// Running on for longer clouds the plug, s (assumed: a second or so).
const CLOUDS_S: f64 = 1.5;
/// A head below this leaves any plug wet, K (assumed: hot from an idle and two seconds of full throttle).
const DRIES_HEAD: f64 = 65.0 + 273.15;
/// A throttle let go for less is still the same full throttle, s.
const SAME_S: f64 = 0.1;

/// What the plug has seen since it was last looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Seen {
    /// Length of the last full throttle, s.
    full_s: f64,
    /// Sum over time of its mixture once it had opened, and that time, s.
    mixture: [f64; 2],
    /// Time that the engine has run on since, s.
    since_s: f64,
    /// The head was warm in it.
    warm: bool,
    /// All full throttle, s.
    all_full_s: f64,
    /// Time of knocking, s.
    pub knock_s: f64,
}

impl Seen {
    /// Time passes at a throttle below full.
    #[inline]
    pub fn elsewhere(&mut self, seconds: f64) {
        self.since_s += seconds;
    }

    /// Takes in a mixture of full throttle that held for `seconds`.
    #[inline]
    pub fn mixture(&mut self, equivalence_ratio: f64, seconds: f64, head: f64) {
        if self.since_s > SAME_S {
            (self.full_s, self.mixture) = (0.0, [0.0; 2]);
        }
        self.since_s = 0.0;
        self.full_s += seconds;
        self.all_full_s += seconds;
        self.warm = head >= DRIES_HEAD;
        if self.full_s > OPENING_S {
            self.mixture[0] += equivalence_ratio * seconds;
            self.mixture[1] += seconds;
        }
    }

    /// All full throttle, s.
    pub fn all_full_s(&self) -> f64 {
        self.all_full_s
    }

    /// The mixture before the chop, or why there is none to read.
    pub fn chop(&self) -> Result<f64, Unread> {
        let [sum, seconds] = self.mixture;
        if self.full_s < COLOURS_S {
            Err(Unread::NoFull)
        } else if self.since_s > CLOUDS_S {
            Err(Unread::NoChop)
        } else if !self.warm {
            Err(Unread::Cold)
        } else {
            Ok(sum / seconds)
        }
    }

    /// Every number it holds.
    pub fn numbers(&self) -> [f64; 7] {
        let Self {
            full_s,
            mixture: [sum, seconds],
            since_s,
            warm,
            all_full_s,
            knock_s,
        } = *self;
        let warm = f64::from(u8::from(warm));
        [full_s, sum, seconds, since_s, warm, all_full_s, knock_s]
    }
}

/// Full throttle on the stand at the true setting of the sound engine: how its beats strike there, and what the carburettor meters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct AtBest {
    /// How late the beats strike, degrees.
    pub late_deg: f64,
    /// Mixture on the stand of an engine that has that of best power on the brake: the carburettor meters leaner there.
    pub best_power: Option<f64>,
}

impl AtBest {
    /// Of what is hidden.
    pub fn of(hidden: &Hidden) -> Self {
        let mut rig = Rig::warm(&hidden.sound, hidden.truth, hidden.drawn.engine_seed);
        let (mut late, mut mixture, mut seconds) = (0.0, 0.0, 0.0);
        let eyes = |now: &Now, r: &Revolution, _: &State| {
            if now.seconds > COLOURS_S {
                late -= r.phase_error_deg * r.duration;
                mixture += r.metered_equivalence_ratio * r.duration;
                seconds += r.duration;
            }
        };
        let _ = rig.play(&table::wait(1.0, 2.0 * COLOURS_S), eyes);
        let at_truth = &hidden.at_truth.symptoms;
        let (braked, best) = (at_truth.equivalence_ratio_full, at_truth.equivalence_ratio_best_power);
        Self {
            late_deg: late / seconds,
            best_power: best.zip(braked).map(|(best, braked)| best * mixture / seconds / braked),
        }
    }
}
