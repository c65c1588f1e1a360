//! How fast an action passes on the page. What is worth hearing passes as it is; minutes with a spanner in hand don't, and of laps the
//! car is heard each time it comes past.

use crate::tuning::action::Action;

/// How time passes for a while.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    /// Milliseconds of the practice in one of whoever watches.
    pub times: u32,
    /// How loud it is, 0..1: what passes quickly is silent.
    pub loud: f64,
}

impl Pace {
    /// As it is.
    pub const LIVE: Self = Self { times: 1, loud: 1.0 };

    fn quick(times: u32) -> Self {
        Self { times, loud: 0.0 }
    }
}

/// The glow lead warms the plug for so long before the starter turns, ms: a look at the clock, not worth waiting for.
const LEAD_MS: u64 = 3_900;
/// So much of warming up is listened to, ms.
const WARMING_HEARD_MS: u64 = 4_000;
/// A lap of the track, ms, and how long the car is heard of it.
const LAP_MS: u64 = 20_000;
const PASSING_MS: u64 = 3_600;
/// What takes minutes is over in about so long, ms.
const SHORT_MS: u32 = 2_500;

/// The pace of an action that has gone on for `in_ms` on the practice's clock; `skipped` time is time that nobody wants to hear.
pub fn pace(action: &Action, in_ms: u64, skipped: bool) -> Pace {
    match action {
        Action::Start if in_ms < LEAD_MS => Pace::quick(8),
        Action::Warm if in_ms >= WARMING_HEARD_MS => Pace::quick(30),
        Action::Laps { .. } => match in_ms % LAP_MS {
            heard if heard < PASSING_MS => {
                // It comes, is loudest before the stand, and goes.
                let near = (std::f64::consts::PI * heard as f64 / PASSING_MS as f64).sin();
                Pace {
                    times: 1,
                    loud: near * near,
                }
            }
            _ => Pace::quick(30),
        },
        Action::Inspect => Pace::quick(60_000 / SHORT_MS),
        Action::Plug => Pace::quick(90_000 / SHORT_MS),
        Action::Fuel => Pace::quick(10_000 / SHORT_MS),
        Action::Fix { part } => Pace::quick(part.cure_minutes() * 60_000 / SHORT_MS),
        Action::Wait { ms } if skipped => Pace::quick((ms / 600).max(2)),
        _ => Pace::LIVE,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tuning::action::Part;

    #[test]
    fn nothing_that_is_silent_takes_long_and_what_is_heard_passes_as_it_is() {
        for part in Part::ALL {
            let times = pace(&Action::Fix { part }, 0, false).times;
            assert!(part.cure_minutes() * 60_000 / times <= 2 * SHORT_MS);
        }
        for in_ms in (0..60_000).step_by(100) {
            for action in [
                Action::Laps { laps: 2 },
                Action::Warm,
                Action::Start,
                Action::Pinch,
                Action::RollOn,
            ] {
                let pace = pace(&action, in_ms, false);
                assert!((pace.times == 1) || pace.loud == 0.0, "{action:?} {in_ms}");
            }
        }
        assert!(pace(&Action::Laps { laps: 1 }, PASSING_MS / 2, false).loud > 0.99);
    }
}
