//! Why an action can't be done now: what was asked for, what is allowed, what to do instead.

use crate::tuning::episode::{Quantity, Refusal};

/// A refusal in words.
pub fn refusal(refusal: &Refusal) -> String {
    let words = match refusal {
        Refusal::Over => "the practice is over",
        Refusal::Busy => "one thing at a time: wait until it is done",
        Refusal::Standing => "the engine stands; start it first",
        Refusal::Running => "the engine runs; stop it first",
        Refusal::AtEnd => "the screw is at its end and does not turn further",
        Refusal::OutOfRange { what, value } => return out_of_range(*what, *value),
        Refusal::NoEnd => "only the high and the low end can be judged",
    };
    words.to_string()
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
