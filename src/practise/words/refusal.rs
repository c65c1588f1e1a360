//! Why an action can't be done now: what was asked for, what is allowed, what to do instead.

use crate::tuning::episode::{Ask, FULL_S, IDLE_S, Missing, Quantity, Refusal, WAIT_S};

/// A refusal in words.
pub fn refusal(refusal: &Refusal) -> String {
    let words = match refusal {
        Refusal::Over => "the practice is over",
        Refusal::Busy => "one thing at a time: wait until it is done",
        Refusal::Standing => "the engine stands; start it first",
        Refusal::Running => "the engine runs; stop it first",
        Refusal::AtEnd => "the screw is at its end and does not turn further",
        Refusal::OutOfRange { what, value } => return out_of_range(*what, *value),
        Refusal::Unheard { missing } => return unheard(*missing),
        Refusal::NoEnd => "only the high and the low end can be judged",
    };
    words.to_string()
}

/// What signing off still asks for, and how to do it.
fn unheard(missing: Missing) -> String {
    let asks: Vec<String> = missing
        .iter()
        .map(|ask| format!("{} ({})", asked(ask), typed(ask)))
        .collect();
    format!(
        "not signed off: what has not been heard since the last turn is not known. Still to do: {}",
        asks.join("; ")
    )
}

/// One thing that signing off asks for.
pub fn asked(ask: Ask) -> String {
    match ask {
        Ask::Start => "start it: an engine that stands tells nothing".to_string(),
        Ask::Warm => "warm it up: a cold engine tells nothing".to_string(),
        Ask::Full => format!("hear {FULL_S} s of full throttle"),
        Ask::Idle => format!("after a burst let it idle for {IDLE_S} s"),
        Ask::Snap => format!("after {WAIT_S} s of idle snap it open"),
        Ask::RollOn => "open it slowly from idle to full".to_string(),
    }
}

/// How one types it.
fn typed(ask: Ask) -> String {
    match ask {
        Ask::Start => "start".to_string(),
        Ask::Warm => "warm".to_string(),
        Ask::Full => format!("full {FULL_S}"),
        Ask::Idle => format!("full 2, wait {IDLE_S}"),
        Ask::Snap => format!("wait {WAIT_S}, full 2"),
        Ask::RollOn => "roll-on".to_string(),
    }
}

fn out_of_range(what: Quantity, value: f64) -> String {
    let (low, high) = what.range().into_inner();
    match what {
        Quantity::Throttle => format!(
            "a throttle of {:.0} % is out of range; allowed {:.0} (shut) to {:.0} % (full)",
            100.0 * value,
            100.0 * low,
            100.0 * high
        ),
        Quantity::Milliseconds => format!(
            "{} seconds at a time is out of range; allowed {} to {}: let time pass in several steps",
            value / 1000.0,
            low / 1000.0,
            high / 1000.0
        ),
        Quantity::Turns => format!("{value} turns at once is too far: turn by at most {high} turns"),
        Quantity::Laps => format!("{value} laps at once is out of range; allowed {low} to {high}"),
        Quantity::SurePercent => {
            format!("{value} percent sure is out of range; allowed {low} (a guess) to {high} (certain)")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_is_told_with_how_to_do_it_and_nothing_else_is() {
        let told = refusal(&Refusal::Unheard {
            missing: [Ask::RollOn, Ask::Idle].into_iter().collect(),
        });
        assert_eq!(
            told,
            "not signed off: what has not been heard since the last turn is not known. Still to do: after a burst let it idle for \
             6 s (full 2, wait 6); open it slowly from idle to full (roll-on)"
        );
        for ask in Ask::ALL {
            let alone = refusal(&Refusal::Unheard {
                missing: [ask].into_iter().collect(),
            });
            let others = Ask::ALL.into_iter().filter(|other| *other != ask);
            assert!(alone.contains(&asked(ask)));
            others.for_each(|other| assert!(!alone.contains(&asked(other)), "{alone}"));
        }
    }

    #[test]
    fn a_number_out_of_range_is_named_with_its_own_range_and_no_other() {
        for (what, value, told) in [
            (
                Quantity::Throttle,
                2.0,
                "a throttle of 200 % is out of range; allowed 0 (shut) to 100 % (full)",
            ),
            (
                Quantity::Milliseconds,
                700_000.0,
                "700 seconds at a time is out of range; allowed 0.05 to 600: let time pass in several steps",
            ),
            (
                Quantity::Turns,
                -3.0,
                "-3 turns at once is too far: turn by at most 2 turns",
            ),
            (Quantity::Laps, 0.0, "0 laps at once is out of range; allowed 1 to 20"),
            (
                Quantity::SurePercent,
                20.0,
                "20 percent sure is out of range; allowed 34 (a guess) to 100 (certain)",
            ),
        ] {
            assert_eq!(refusal(&Refusal::OutOfRange { what, value }), told);
        }
    }
}
