//! Numbers as a tuner says them: turns in common fractions, times in minutes and seconds.

/// A turn in whole clicks of a screw, a twenty-fourth each.
pub fn clicks(value: f64) -> i64 {
    (value * 24.0).round() as i64
}

/// A turn with its sign, in twenty-fourths: `+1/8`, `-1 1/2`, `0`.
pub fn turns(value: f64) -> String {
    let clicks = clicks(value);
    if clicks == 0 {
        return "0".to_string();
    }
    let sign = if clicks < 0 { "-" } else { "+" };
    format!("{sign}{}", fraction(value))
}

/// How far, without the way: `1/8`, `1 1/2`, `0`.
pub fn fraction(value: f64) -> String {
    let clicks = clicks(value);
    let (mut top, mut bottom) = (clicks.unsigned_abs(), 24);
    for divisor in [2, 2, 2, 3] {
        if top % divisor == 0 && bottom % divisor == 0 {
            (top, bottom) = (top / divisor, bottom / divisor);
        }
    }
    match (top / bottom, top % bottom) {
        (0, 0) => "0".to_string(),
        (0, rest) => format!("{rest}/{bottom}"),
        (whole, 0) => whole.to_string(),
        (whole, rest) => format!("{whole} {rest}/{bottom}"),
    }
}

/// How far, with its unit: `1/8 turn`, `1 turn`, `1 5/8 turns`.
pub fn of_turns(value: f64) -> String {
    let unit = if clicks(value).abs() > 24 { "turns" } else { "turn" };
    format!("{} {unit}", fraction(value))
}

/// Minutes and whole seconds that have passed: `01:59`.
pub fn clock(seconds: f64) -> String {
    let whole = seconds.max(0.0).floor();
    format!("{:02.0}:{:02.0}", (whole / 60.0).floor(), whole % 60.0)
}

/// Minutes and seconds to a tenth: `01:59.9`.
pub fn stopwatch(seconds: f64) -> String {
    let minutes = (seconds / 60.0).floor();
    let rest = seconds - 60.0 * minutes;
    // Rounded to a tenth a minute can be full.
    if (10.0 * rest).round() >= 600.0 {
        format!("{:02.0}:00.0", minutes + 1.0)
    } else {
        format!("{minutes:02.0}:{rest:04.1}")
    }
}

/// A span of time.
pub fn span(seconds: f64) -> String {
    let whole = seconds.round();
    let (minutes, rest) = ((whole / 60.0).floor(), whole % 60.0);
    match (minutes > 0.0, rest > 0.0) {
        (false, _) => format!("{rest:.0} s"),
        (true, false) => format!("{minutes:.0} min"),
        (true, true) => format!("{minutes:.0} min {rest:.0} s"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_are_told_in_common_fractions() {
        for (value, told) in [
            (0.125, "+1/8"),
            (-1.0 / 12.0, "-1/12"),
            (0.0, "0"),
            (1.5, "+1 1/2"),
            (-1.0, "-1"),
            (5.0 / 24.0, "+5/24"),
            (0.01, "0"),
        ] {
            assert_eq!(turns(value), told);
            assert_eq!(fraction(value), told.trim_start_matches(['+', '-']));
        }
    }

    #[test]
    fn more_than_one_turn_is_turns() {
        let told = [0.125, -1.0, 25.0 / 24.0, 1.625, -2.0].map(of_turns);
        assert_eq!(told, ["1/8 turn", "1 turn", "1 1/24 turns", "1 5/8 turns", "2 turns"]);
    }

    #[test]
    fn no_minute_has_sixty_seconds() {
        for (seconds, told) in [
            (0.0, "00:00.0"),
            (59.94, "00:59.9"),
            (59.96, "01:00.0"),
            (1139.999, "19:00.0"),
            (3599.97, "60:00.0"),
        ] {
            assert_eq!(stopwatch(seconds), told);
        }
        for ms in 0..=3_600_000 {
            let told = stopwatch(f64::from(ms) / 1000.0);
            assert_ne!(told.as_bytes()[told.len() - 4], b'6', "{told}");
        }
        assert_eq!((clock(59.999).as_str(), span(59.7).as_str()), ("00:59", "1 min"));
    }
}
