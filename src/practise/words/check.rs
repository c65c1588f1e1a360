//! The checks of a sign-off in plain words: what each asks, what it means to fail it, and what is worth a word besides.

use crate::bench::checks::{Bog, Check, CheckName, Outside, Unit, Warning};
use crate::units::fahrenheit_from_celsius;

/// In what temperatures are told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Degrees {
    /// °C.
    Celsius,
    /// °F.
    Fahrenheit,
}

impl Degrees {
    /// A value as told: only temperatures change.
    pub fn value(self, value: f64, unit: Unit) -> f64 {
        match (self, unit) {
            (Self::Fahrenheit, Unit::Celsius) => fahrenheit_from_celsius(value),
            _ => value,
        }
    }

    /// A unit as told.
    pub fn unit(self, unit: Unit) -> &'static str {
        match (self, unit) {
            (Self::Fahrenheit, Unit::Celsius) => "°F",
            _ => unit.key(),
        }
    }

    /// A temperature in whole degrees.
    fn temperature(self, celsius: f64) -> String {
        format!("{:.0} {}", self.value(celsius, Unit::Celsius), self.unit(Unit::Celsius))
    }
}

/// A check in few words.
pub fn check_name(name: CheckName) -> String {
    name.key().replace('_', " ")
}

/// A warning.
pub fn warning(warning: &Warning, degrees: Degrees) -> String {
    match warning {
        Warning::HeadStaysCool { low_c, .. } => format!(
            "the head stays below {} at full throttle: probably rich, perhaps only a cold day",
            degrees.temperature(*low_c)
        ),
        Warning::LittleOil {
            oil_percent,
            low_percent,
        } => format!(
            "{oil_percent:.1} % oil: nobody runs less than {low_percent:.0} %; bearings and sleeve live by it, whatever the mixture"
        ),
    }
}

/// What a check asks, and what a failure below or above its limits means.
struct Meaning {
    asks: &'static str,
    below: &'static str,
    above: &'static str,
}

fn meaning(name: CheckName) -> Meaning {
    let (asks, below, above) = match name {
        CheckName::FullRichOfBestPower => (
            "full throttle on the rich side of best power",
            "the high-speed needle is lean",
            "",
        ),
        CheckName::FullPower => ("power at full throttle", "the high-speed needle is rich (or lean)", ""),
        CheckName::FullDetonation => ("no knocking at full throttle", "", "the high-speed needle is lean"),
        CheckName::FullHeadTemperature => ("head at full throttle", "", "the high-speed needle is lean"),
        CheckName::IdleSpeed => (
            "idle speed",
            "open the idle stop, or the low end is rich",
            "the low end is lean, or the idle stop too far in",
        ),
        CheckName::IdleVariation => (
            "steadiness of the idle",
            "",
            "the low end is off, or something is not the mixture",
        ),
        CheckName::IdlePinchRise => (
            "speeding up when pinched at idle",
            "the low end is lean: it only fades",
            "",
        ),
        CheckName::IdleGap => (
            "idle gap",
            "the stop is too far out",
            "the stop is too far in: it covers a rich low end",
        ),
        CheckName::BurstReturn => (
            "return to idle after a burst",
            "",
            "it comes down late: the idle stop is too far in, or the low end lean",
        ),
        CheckName::BurstHang => (
            "hanging above the idle after a burst",
            "",
            "it hangs: the low end is lean, or rich and loaded up if it puffs on a snap",
        ),
        CheckName::BurstEarlyExcess => (
            "idle just after a burst",
            "it drops and picks up: the low end is rich",
            "it stays high and then sinks as it loads up: the low end is rich",
        ),
        CheckName::SnapDelay => (
            "pick-up on a snap",
            "",
            "it picks up late: the low end is rich with a puff, lean without",
        ),
        CheckName::SnapPuff => ("puff on a snap", "", "fuel lay in the crankcase: the low end is rich"),
        CheckName::SnapMisfire => ("beats missed on a snap", "", "the low end is rich"),
        CheckName::HalfMisfire => (
            "beats missed at half throttle",
            "",
            "rich in the middle: the high-speed needle first",
        ),
        CheckName::RollOnMisfire => ("beats missed in a slow opening", "", "rich on the way up"),
        CheckName::RollOnSmoke => ("smoke in a slow opening", "", "rich on the way up"),
        CheckName::HotIdle => (
            "idle after two laps",
            "it idles slower when hot: the low end is rich",
            "it idles faster when hot: the low end is lean",
        ),
    };
    Meaning { asks, below, above }
}

fn number(value: f64) -> String {
    match value.abs() {
        x if x >= 1000.0 => format!("{value:.0}"),
        x if x >= 10.0 => format!("{value:.1}"),
        _ => format!("{value:.2}"),
    }
}

/// A snap that bogs.
pub fn bogs(bog: Bog) -> &'static str {
    match bog {
        Bog::Dry => "it bogs without a puff: it starves, the low end is lean",
        Bog::Smoky => "it bogs in its own smoke: fuel lay in the crankcase, the low end is rich",
    }
}

/// How near its limit a value is only just within it: what the next tank or a cloud may change (assumed), in the check's unit.
fn near(name: CheckName) -> f64 {
    match name {
        CheckName::FullRichOfBestPower => 0.01,
        CheckName::FullPower => 0.3,
        CheckName::FullDetonation => 0.004,
        CheckName::FullHeadTemperature => 3.0,
        CheckName::IdleSpeed => 150.0,
        CheckName::IdleVariation => 0.3,
        CheckName::IdlePinchRise => 0.2,
        CheckName::IdleGap => 0.02,
        CheckName::BurstReturn | CheckName::BurstHang => 0.1,
        CheckName::BurstEarlyExcess | CheckName::HotIdle => 0.8,
        CheckName::SnapDelay => 0.01,
        CheckName::SnapPuff => 0.1,
        CheckName::SnapMisfire | CheckName::RollOnMisfire => 0.2,
        CheckName::HalfMisfire => 0.1,
        CheckName::RollOnSmoke => 2.0,
    }
}

/// Whether a value that passes lies so near a limit.
fn only_just(check: &Check, value: f64) -> bool {
    let within = near(check.name);
    check.low.is_some_and(|low| value - low < within) || check.high.is_some_and(|high| high - value < within)
}

/// A check as the debrief tells it: what it asks, what was found, and what a failure means.
pub fn told(check: &Check, bog: Option<Bog>) -> String {
    let Meaning { asks, below, above } = meaning(check.name);
    let bog = bog.filter(|_| check.name == CheckName::SnapDelay).map(bogs);
    let Some(value) = check.value else {
        if let Some(bog) = bog {
            return format!("{asks}: it never came; {bog}");
        }
        return format!("{asks}: the engine died before it could be measured");
    };
    let limits = match (check.low, check.high) {
        (Some(low), Some(high)) => format!("{} to {}", number(low), number(high)),
        (Some(low), None) => format!("at least {}", number(low)),
        (None, Some(high)) => format!("at most {}", number(high)),
        (None, None) => String::new(),
    };
    let found = format!("{asks}: {} {} ({limits})", number(value), check.unit.key());
    match check.outside() {
        None if only_just(check, value) => format!("{found}, only just"),
        None => found,
        Some(Outside::Below) => format!("{found}: {below}"),
        Some(Outside::Above | Outside::Died) => format!("{found}: {}", bog.unwrap_or(above)),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn only_temperatures_change_their_unit() {
        let f = Degrees::Fahrenheit;
        assert_eq!((f.value(100.0, Unit::Celsius), f.unit(Unit::Celsius)), (212.0, "°F"));
        for unit in Unit::ALL.iter().filter(|unit| **unit != Unit::Celsius) {
            assert_eq!((f.value(100.0, *unit), f.unit(*unit)), (100.0, unit.key()));
        }
        let cool = Warning::HeadStaysCool {
            head_temperature_c: 71.0,
            low_c: 85.0,
        };
        for (degrees, told) in [
            (
                Degrees::Celsius,
                "the head stays below 85 °C at full throttle: probably rich, perhaps only a cold day",
            ),
            (
                Degrees::Fahrenheit,
                "the head stays below 185 °F at full throttle: probably rich, perhaps only a cold day",
            ),
        ] {
            assert_eq!(warning(&cool, degrees), told);
        }
    }

    #[test]
    fn a_fuel_without_oil_is_told_whatever_the_mixture() {
        let dry = Warning::LittleOil {
            oil_percent: 2.5,
            low_percent: 8.0,
        };
        let told = warning(&dry, Degrees::Celsius);
        assert_eq!(
            told,
            "2.5 % oil: nobody runs less than 8 %; bearings and sleeve live by it, whatever the mixture"
        );
    }

    #[test]
    fn every_check_asks_something_of_its_own_and_says_what_a_failure_means() {
        let asked: BTreeSet<&str> = CheckName::ALL.iter().map(|name| meaning(*name).asks).collect();
        assert_eq!(asked.len(), CheckName::ALL.len());
        for name in CheckName::ALL {
            let meaning = meaning(*name);
            assert!(!(meaning.below.is_empty() && meaning.above.is_empty()), "{name:?}");
        }
    }

    #[test]
    fn a_check_is_told_with_its_limits_and_its_side() {
        let check = |value, low, high| Check {
            name: CheckName::IdleSpeed,
            value,
            unit: Unit::Rpm,
            low,
            high,
            pass: value.is_some_and(|v: f64| (8500.0..=12_500.0).contains(&v)),
        };
        let within = (Some(8500.0), Some(12_500.0));
        for (value, words) in [
            (Some(10_000.0), "idle speed: 10000 rpm (8500 to 12500)"),
            (Some(8_501.0), "idle speed: 8501 rpm (8500 to 12500), only just"),
            (Some(12_400.0), "idle speed: 12400 rpm (8500 to 12500), only just"),
            (Some(12_000.0), "idle speed: 12000 rpm (8500 to 12500)"),
            (
                Some(8_000.0),
                "idle speed: 8000 rpm (8500 to 12500): open the idle stop, or the low end is rich",
            ),
            (
                Some(13_000.0),
                "idle speed: 13000 rpm (8500 to 12500): the low end is lean, or the idle stop too far in",
            ),
            (None, "idle speed: the engine died before it could be measured"),
        ] {
            assert_eq!(told(&check(value, within.0, within.1), Some(Bog::Dry)), words);
        }
    }

    #[test]
    fn what_is_as_good_as_it_can_be_does_not_pass_only_just() {
        let full = |name: CheckName, value, low, high| {
            told(
                &Check {
                    name,
                    value: Some(value),
                    unit: name.unit(),
                    low,
                    high,
                    pass: true,
                },
                None,
            )
        };
        for (value, just) in [(100.0, false), (98.0, false), (97.2, true)] {
            let told = full(CheckName::FullPower, value, Some(97.0), None);
            assert_eq!(told.ends_with("only just"), just, "{told}");
        }
        for (value, just) in [(0.0, false), (0.45, true)] {
            let told = full(CheckName::HalfMisfire, value, None, Some(0.5));
            assert_eq!(told.ends_with("only just"), just, "{told}");
        }
        assert!(!full(CheckName::FullHeadTemperature, 129.0, None, Some(135.0)).ends_with("only just"));
    }

    #[test]
    fn a_lean_bog_is_told_from_a_rich_one_and_both_from_a_dead_engine() {
        let check = |value| Check {
            name: CheckName::SnapDelay,
            value,
            unit: Unit::Second,
            low: None,
            high: Some(0.2),
            pass: false,
        };
        for (value, bog, words) in [
            (
                Some(0.5),
                Some(Bog::Dry),
                "pick-up on a snap: 0.50 s (at most 0.20): it bogs without a puff: it starves, the low end is lean",
            ),
            (
                Some(0.5),
                Some(Bog::Smoky),
                "pick-up on a snap: 0.50 s (at most 0.20): it bogs in its own smoke: fuel lay in the crankcase, the low end is rich",
            ),
            (
                Some(0.5),
                None,
                "pick-up on a snap: 0.50 s (at most 0.20): it picks up late: the low end is rich with a puff, lean without",
            ),
            (
                None,
                Some(Bog::Dry),
                "pick-up on a snap: it never came; it bogs without a puff: it starves, the low end is lean",
            ),
            (
                None,
                None,
                "pick-up on a snap: the engine died before it could be measured",
            ),
        ] {
            assert_eq!(told(&check(value), bog), words);
        }
    }

    #[test]
    fn a_hot_idle_is_told_by_its_sign() {
        let check = |value| Check {
            name: CheckName::HotIdle,
            value: Some(value),
            unit: Unit::PercentOfSettledIdle,
            low: Some(-12.0),
            high: Some(12.0),
            pass: false,
        };
        for (value, words) in [
            (
                13.5,
                "13.5 % of settled idle (-12.0 to 12.0): it idles faster when hot: the low end is lean",
            ),
            (
                -13.5,
                "-13.5 % of settled idle (-12.0 to 12.0): it idles slower when hot: the low end is rich",
            ),
        ] {
            assert_eq!(told(&check(value), None), format!("idle after two laps: {words}"));
        }
    }
}
