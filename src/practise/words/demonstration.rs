//! What a demonstration says besides what a practice does: how far a screw stands off, and what the throttle hand did.

use super::number::{clicks, of_turns};
use crate::tuning::action::Screw;

/// How far a screw stands off the true setting: `1/8 turn rich`, or `right`.
pub fn off(screw: Screw, by: f64) -> String {
    let way = match (screw, by > 0.0) {
        _ if clicks(by) == 0 => return "right".to_string(),
        (Screw::Idle, true) => "too far in",
        (Screw::Idle, false) => "too far out",
        (_, true) => "rich",
        (_, false) => "lean",
    };
    format!("{} {way}", of_turns(by))
}

/// What a hand did with the throttle that is shut again.
pub fn opened(most: f64, seconds: f64) -> String {
    let how_far = if most >= 1.0 {
        "full throttle".to_string()
    } else {
        format!("throttle up to {:.0} %", 100.0 * most)
    };
    format!("{how_far}, shut after {seconds:.1} s")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn which_way_a_screw_is_off_is_said_by_what_it_does() {
        for (screw, by, told) in [
            (Screw::High, 7.0 / 12.0, "7/12 turn rich"),
            (Screw::Low, -0.125, "1/8 turn lean"),
            (Screw::Low, 1.5, "1 1/2 turns rich"),
            (Screw::High, 0.01, "right"),
            (Screw::Idle, 0.25, "1/4 turn too far in"),
            (Screw::Idle, -0.25, "1/4 turn too far out"),
        ] {
            assert_eq!(off(screw, by), told);
        }
        assert_eq!(opened(1.0, 2.04), "full throttle, shut after 2.0 s");
        assert_eq!(opened(0.3, 0.5), "throttle up to 30 %, shut after 0.5 s");
    }
}
