//! Scales: a range with round marks around some values, and how a mark is written.

/// A range of values with marks every `step`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// Lower end.
    pub low: f64,
    /// Upper end, above the lower.
    pub high: f64,
    /// Distance between marks, above 0.
    pub step: f64,
}

/// 1, 2 or 5 times a power of ten, at least `rough`.
fn round_step(rough: f64) -> f64 {
    let power = 10f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0]
        .into_iter()
        .map(|digit| digit * power)
        .find(|step| *step >= rough * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

impl Axis {
    /// The smallest range between marks that holds `low..high`, widened to `least` and with at most `intervals` steps or one
    /// more. Values that aren't finite count as 0.
    pub fn around(low: f64, high: f64, least: f64, intervals: u32) -> Self {
        let finite = |x: f64| if x.is_finite() { x } else { 0.0 };
        let (mut low, mut high) = (finite(low), finite(high));
        if low > high {
            (low, high) = (high, low);
        }
        let lacking = least.max(1e-9 * high.abs().max(low.abs()).max(1e-3)) - (high - low);
        if lacking > 0.0 {
            // A range from zero grows upwards: nothing shown here means much below zero.
            let below = if low == 0.0 { 0.0 } else { lacking / 2.0 };
            (low, high) = (low - below, high + lacking - below);
        }
        let step = round_step((high - low) / f64::from(intervals));
        Self {
            low: (low / step + 1e-9).floor() * step,
            high: (high / step - 1e-9).ceil() * step,
            step,
        }
    }

    /// The ends as given, with marks at round values between them.
    pub fn exact(low: f64, high: f64, intervals: u32) -> Self {
        Self {
            low,
            high,
            step: round_step((high - low) / f64::from(intervals)),
        }
    }

    /// The same with marks at whole numbers only.
    pub fn whole(self) -> Self {
        Self {
            step: self.step.max(1.0),
            ..self
        }
    }

    /// The marks.
    pub fn marks(&self) -> Vec<f64> {
        let first = (self.low / self.step - 1e-6).ceil();
        let last = (self.high / self.step + 1e-6).floor();
        let count = (last - first).clamp(0.0, 1000.0) as u32;
        // Adding 0 turns a negative zero into zero.
        (0..=count).map(|i| (first + f64::from(i)) * self.step + 0.0).collect()
    }

    /// A value in as many digits as the marks need.
    pub fn label(&self, value: f64) -> String {
        let digits = (-self.step.log10().floor()).clamp(0.0, 9.0) as usize;
        grouped(value, digits)
    }

    /// Where a value lies, 0 at the lower end and 1 at the upper.
    pub fn place(&self, value: f64) -> f64 {
        (value - self.low) / (self.high - self.low)
    }
}

/// A number with its thousands apart, as ISO 80000-1 writes it.
pub fn grouped(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let (whole, rest) = text
        .split_once('.')
        .map_or((text.as_str(), None), |(w, r)| (w, Some(r)));
    let (sign, whole) = whole.strip_prefix('-').map_or(("", whole), |w| ("−", w));
    let mut out = sign.to_string();
    for (i, digit) in whole.chars().enumerate() {
        // Four digits stay together.
        if i > 0 && whole.len() > 4 && (whole.len() - i) % 3 == 0 {
            out.push('\u{a0}');
        }
        out.push(digit);
    }
    if let Some(rest) = rest {
        out.push('.');
        out += rest;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_hold_their_values_between_round_marks() {
        let axis = Axis::around(0.0, 36_284.0, 100.0, 4);
        assert_eq!((axis.low, axis.high, axis.step), (0.0, 40_000.0, 10_000.0));
        assert_eq!(axis.marks(), [0.0, 10_000.0, 20_000.0, 30_000.0, 40_000.0]);
        let axis = Axis::around(84.35, 89.79, 20.0, 4);
        assert!(axis.low <= 84.35 && axis.high >= 89.79 && axis.high - axis.low >= 20.0);
        for (low, high) in [
            (0.0, 0.0),
            (-3.0, 7.0),
            (1e-9, 2e-9),
            (1e9, 1e9),
            (f64::NAN, 5.0),
            (4.0, -4.0),
        ] {
            let axis = Axis::around(low, high, 0.1, 4);
            assert!(axis.high > axis.low && axis.step > 0.0, "{low} {high}: {axis:?}");
            assert!(
                (2..=8).contains(&axis.marks().len()),
                "{low} {high}: {:?}",
                axis.marks()
            );
        }
    }

    #[test]
    fn marks_are_written_as_short_as_they_can_be() {
        let axis = Axis::around(-0.2, 1.2, 0.1, 4);
        let labels: Vec<String> = axis.marks().into_iter().map(|mark| axis.label(mark)).collect();
        assert_eq!(labels, ["−0.5", "0.0", "0.5", "1.0", "1.5"]);
        assert_eq!(grouped(40_000.0, 0), "40\u{a0}000");
        assert_eq!(
            (grouped(-1234.5, 1), grouped(1e6, 0)),
            ("−1234.5".into(), "1\u{a0}000\u{a0}000".into())
        );
    }
}
