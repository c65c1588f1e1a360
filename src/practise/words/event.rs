//! What happens to an engine and to a practice, in words.

use crate::practise::event::Event;
use crate::tuning::sums::{LeanCause, WearCause};

/// Something that happened, when it happens.
pub fn event(event: &Event) -> String {
    match *event {
        Event::Worn { cause, share, sum } => {
            let so_far = if sum - share >= 0.005 {
                format!(", {} so far", life(sum))
            } else {
                String::new()
            };
            format!("{}: {} of its life{so_far}", wear(cause), life(share))
        }
        Event::TooLean { seconds, sum_s } => {
            let so_far = if sum_s - seconds >= 0.05 {
                format!(", {sum_s:.1} s so far")
            } else {
                String::new()
            };
            format!("too lean under load for {seconds:.1} s{so_far}")
        }
        Event::TimeRunsOut { minutes } => {
            format!("{minutes:.0} minutes are left of the hour: sign off before it is up")
        }
    }
}

/// A share of a life.
pub(super) fn life(share: f64) -> String {
    match 100.0 * share {
        percent if percent >= 0.95 => format!("{percent:.0} %"),
        percent => format!("{percent:.1} %"),
    }
}

/// What wears an engine.
pub(super) fn wear(cause: WearCause) -> &'static str {
    match cause {
        WearCause::Detonation => "knocking under load",
        WearCause::Overheating => "too hot a head",
        WearCause::ThinOil => "too little oil at an open throttle",
        WearCause::Revving => "revving with the wheels up",
        WearCause::ColdRunning => "open throttle on a cold engine",
    }
}

/// Why an engine was too lean.
pub(super) fn lean(cause: LeanCause) -> &'static str {
    match cause {
        LeanCause::Needles => "by its needles",
        LeanCause::Starved => "for want of fuel, whatever the needles",
    }
}

/// Why nothing more is recorded, and what that means.
pub fn recording_stopped(error: &std::io::Error) -> String {
    format!("recording stopped ({error}); what was written before is kept, and the practice goes on")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_happens_is_told_with_its_amount_and_its_sum() {
        let worn = |share, sum| {
            event(&Event::Worn {
                cause: WearCause::ColdRunning,
                share,
                sum,
            })
        };
        assert_eq!(worn(0.021, 0.021), "open throttle on a cold engine: 2 % of its life");
        assert_eq!(
            worn(0.012, 0.034),
            "open throttle on a cold engine: 1 % of its life, 3 % so far"
        );
        let lean = |seconds, sum_s| event(&Event::TooLean { seconds, sum_s });
        assert_eq!(lean(1.3, 1.3), "too lean under load for 1.3 s");
        assert_eq!(lean(1.3, 2.8), "too lean under load for 1.3 s, 2.8 s so far");
        assert_eq!((life(0.004), life(0.123)), ("0.4 %".to_string(), "12 %".to_string()));
    }
}
