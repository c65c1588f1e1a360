//! What happens to an engine and to a practice besides what is heard: wear, a spell too lean, time that runs out. Told when it happens,
//! and summed at the end.

use serde::Serialize;

use crate::tuning::sums::{Sums, Wear, WearCause};

/// Wear is told by whole hundredths of a life: less is a scratch (assumed).
const TOLD_SHARE: f64 = 0.01;
/// Shorter spells too lean are not told one by one, s (assumed).
const TOLD_S: f64 = 0.5;
/// And longer ones are told while they last, s.
const LONG_S: f64 = 5.0;
/// So long before its end the limit of time is announced, ms.
const LAST_MS: u64 = 600_000;

/// Something that happened.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "event", rename_all = "kebab-case")]
pub enum Event {
    /// It cost the engine some of its life.
    Worn {
        /// What did.
        cause: WearCause,
        /// How much since it was last told, as a share of a life.
        share: f64,
        /// How much in all by this cause.
        sum: f64,
    },
    /// It was too lean under load.
    TooLean {
        /// For how long since it was last told.
        seconds: f64,
        /// For how long in all.
        sum_s: f64,
    },
    /// The practice ends soon.
    TimeRunsOut {
        /// In so many minutes.
        minutes: f64,
    },
}

/// What matters of a moment.
#[derive(Clone, Copy, Debug)]
pub(super) struct Now {
    /// What it has cost so far.
    pub sums: Sums,
    /// It is too lean, and the throttle hand has not let go.
    pub lean_goes_on: bool,
    /// Until the limit of time, ms; the whole of it once the practice is over.
    pub left_ms: u64,
}

/// What was told so far.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Told {
    wear: Wear,
    lean_s: f64,
    time: bool,
}

impl Told {
    /// What there is to tell now. A number that is too small to tell waits for more, and a spell too lean, while it goes on, for its end.
    /// Seconds too lean are told where an instrument shows: by ear they would answer what is asked.
    pub fn next(&mut self, now: &Now, by_ear: bool) -> Vec<Event> {
        let mut events = Vec::new();
        for cause in WearCause::ALL {
            let sum = now.sums.wear.of(cause);
            let share = sum - self.wear.of(cause);
            if share >= TOLD_SHARE {
                *self.wear.of_mut(cause) = sum;
                events.push(Event::Worn { cause, share, sum });
            }
        }
        let sum_s = now.sums.lean.total();
        let seconds = sum_s - self.lean_s;
        let spell_s = if now.lean_goes_on { LONG_S } else { TOLD_S };
        if !by_ear && seconds >= spell_s {
            self.lean_s = sum_s;
            events.push(Event::TooLean { seconds, sum_s });
        }
        if now.left_ms <= LAST_MS && !self.time {
            self.time = true;
            let minutes = now.left_ms as f64 / 60_000.0;
            events.push(Event::TimeRunsOut { minutes });
        }
        events
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tuning::sums::LeanSeconds;

    fn now(cold_running: f64, needles_s: f64) -> Now {
        Now {
            sums: Sums {
                wear: Wear {
                    cold_running,
                    ..Wear::default()
                },
                lean: LeanSeconds {
                    needles_s,
                    starved_s: 0.0,
                },
            },
            lean_goes_on: false,
            left_ms: 2 * LAST_MS,
        }
    }

    #[test]
    fn wear_is_told_once_it_is_worth_a_word_and_then_what_came_since() {
        let mut told = Told::default();
        let mut next = |sum| told.next(&now(sum, 0.0), true);
        assert_eq!(next(0.006), []);
        let worn = |share, sum| Event::Worn {
            cause: WearCause::ColdRunning,
            share,
            sum,
        };
        assert_eq!(next(0.02), [worn(0.02, 0.02)]);
        assert_eq!(next(0.02), []);
        assert_eq!(next(0.05), [worn(0.05 - 0.02, 0.05)]);
    }

    #[test]
    fn a_spell_too_lean_is_told_at_its_end_and_never_by_ear() {
        let mut told = Told::default();
        let on = |seconds| Now {
            lean_goes_on: true,
            ..now(0.0, seconds)
        };
        assert_eq!(told.next(&on(2.0), false), []);
        let spell = Event::TooLean {
            seconds: 2.5,
            sum_s: 2.5,
        };
        assert_eq!(told.next(&now(0.0, 2.5), false), [spell]);
        assert_eq!(told.next(&on(2.5 + LONG_S), false).len(), 1, "or when it lasts");
        assert_eq!(Told::default().next(&now(0.0, 9.0), true), []);
    }
}
