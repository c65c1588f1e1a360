//! Why the screws do what they do, in words: effects, which screw is for what, causes. One sentence for each thing found, from its data.

use super::action::{short, way};
use super::number::fraction;
use crate::insight::causes::{Causes, Found, Outcome, Path, Station};
use crate::insight::effects::{Effect, Missing, Turn};
use crate::insight::relative_gain::{Fight, Interaction, OUTCOMES};
use crate::insight::symptom::Symptom;
use crate::practise::explained::Explained;
use crate::tuning::action::Screw;

/// A symptom in few words.
pub fn symptom(symptom: Symptom) -> &'static str {
    match symptom {
        Symptom::IdleRpm => "idle speed",
        Symptom::IdleVariation => "idle variation",
        Symptom::MixtureIdle => "mixture at idle",
        Symptom::IdleFilm => "fuel film at idle",
        Symptom::IdleFilmTime => "the film's time constant",
        Symptom::IdleGap => "idle gap",
        Symptom::PinchRise => "rise when pinched",
        Symptom::Return => "return after a burst",
        Symptom::EarlyExcess => "excess just after it",
        Symptom::Hang => "hang after a burst",
        Symptom::Settle => "settling after a burst",
        Symptom::HotIdle => "idle after two laps",
        Symptom::SnapDelay => "delay of a snap",
        Symptom::SnapPuff => "puff of a snap",
        Symptom::SnapMisfire => "missed beats of a snap",
        Symptom::HalfMisfire => "missed beats at half",
        Symptom::MixtureHalf => "mixture at half",
        Symptom::RollOnMisfire => "missed beats, slow opening",
        Symptom::RollOnOpacity => "smoke, slow opening",
        Symptom::FullRpm => "speed wide open, no load",
        Symptom::FullPower => "power wide open",
        Symptom::BestPower => "best power of the needle",
        Symptom::MixtureFull => "mixture wide open",
        Symptom::MixtureBest => "mixture of best power",
        Symptom::AirFuelFull => "air per fuel wide open",
        Symptom::FuelFlowFull => "fuel wide open",
        Symptom::Head => "head wide open",
        Symptom::Smoke => "smoke wide open",
        Symptom::Detonation => "knock wide open",
    }
}

/// A number with as many digits as its symptom is worth.
pub fn value(symptom: Symptom, value: f64) -> String {
    let digits = digits(symptom);
    let text = format!("{value:.digits$}");
    // No zero with a sign.
    if text.trim_start_matches('-').chars().all(|c| matches!(c, '0' | '.')) {
        text.trim_start_matches('-').to_string()
    } else {
        text
    }
}

/// A change, with its sign.
pub fn change(of: Symptom, change: f64) -> String {
    let text = value(of, change);
    if change > 0.0 && text.chars().any(|c| ('1'..='9').contains(&c)) {
        format!("+{text}")
    } else {
        text
    }
}

fn digits(symptom: Symptom) -> usize {
    let noticed = symptom.noticed();
    (1.0 - noticed.log10().floor()).clamp(0.0, 4.0) as usize
}

/// A turn, with what it means.
pub fn turn(turn: Turn) -> String {
    let meant = match (turn.screw, turn.by > 0.0) {
        (Screw::Idle, true) => "opens the slide",
        (Screw::Idle, false) => "closes the slide",
        (_, true) => "richer",
        (_, false) => "leaner",
    };
    format!("{} {} ({meant})", turn.screw.name(), way(turn.screw, turn.by))
}

/// An effect as a sentence.
pub fn effect(effect: &Effect) -> String {
    let (turned, name) = (turn(effect.turn), symptom(effect.symptom));
    let (Some(found), Some(low), Some(high)) = (effect.change, effect.low, effect.high) else {
        return match effect.missing {
            Some(Missing::AtItsEnd) => format!("{turned}: the screw comes to its end before."),
            _ => format!("{turned}: {name} can't be told, the engine dies in too many runs."),
        };
    };
    let unit = unit(effect.symptom);
    if !effect.is_sure() {
        return format!("{turned}: {name} stays as it is, as far as chance lets one tell.");
    }
    let (up, at) = (
        if found > 0.0 { "rises" } else { "falls" },
        effect.at.unwrap_or(f64::NAN),
    );
    let of = effect.symptom;
    let unnoticed = if effect.size() < 1.0 {
        ", which nobody would notice"
    } else {
        ""
    };
    let ends = [low.abs().min(high.abs()), low.abs().max(high.abs())].map(|end| value(of, end));
    let sure = if ends[0] == ends[1] {
        String::new()
    } else {
        format!(" (95 % sure of {} to {})", ends[0], ends[1])
    };
    let sets = effect
        .spread_low
        .zip(effect.spread_high)
        .map_or_else(String::new, |(low, high)| {
            let agree = if effect.sets_agree() == Some(false) {
                ", so not even the direction is sure"
            } else {
                ""
            };
            format!(
                "; other constants say {} to {}{agree}",
                self::change(of, low),
                self::change(of, high)
            )
        });
    format!(
        "{turned}: {name} {up} by {}{unit}{sure} from {}{unit}{unnoticed}{sets}.",
        value(of, found.abs()),
        value(of, at),
    )
}

/// A unit after a number.
fn unit(symptom: Symptom) -> String {
    match symptom.unit() {
        "" => String::new(),
        unit => format!(" {unit}"),
    }
}

/// Which screw is for what, and which fight.
pub fn interaction(interaction: &Interaction) -> Vec<String> {
    let rows = interaction.pairing();
    let mut lines: Vec<String> = Screw::ALL
        .iter()
        .zip(rows)
        .enumerate()
        .map(|(k, (screw, row))| {
            let element = interaction.relative[row][k];
            let own = match element {
                e if (0.9..=1.1).contains(&e) => "has it nearly to itself",
                e if e > 1.1 => "and the others undo part of it",
                e if e > 0.5 => "shares it",
                _ => "hardly commands it: set something else first",
            };
            format!(
                "the {} for {} (relative gain {element:.2}: {own})",
                screw.name(),
                self::symptom(OUTCOMES[row])
            )
        })
        .collect();
    let fights = interaction.fights();
    if fights.is_empty() {
        lines.push("no pair of screws fights: each can be set by itself, in any order".to_string());
    }
    lines.extend(fights.iter().map(|fight| fought(fight, &rows)));
    lines
}

fn fought(fight: &Fight, rows: &[usize; 3]) -> String {
    let [a, b] = fight.screws;
    let (first, second) = (Screw::ALL[a].name(), Screw::ALL[b].name());
    let outcomes = format!("{} and {}", symptom(OUTCOMES[rows[a]]), symptom(OUTCOMES[rows[b]]));
    let how = if fight.element > 1.0 {
        "undo a part of each other"
    } else if fight.element > 0.0 {
        "pull the same way: what one does the other adds to"
    } else {
        "would each turn the other's work round: they must not be set in turn"
    };
    format!(
        "{first} and {second} {how} on {outcomes} ({:.2}): set one, then the other, then the first again",
        fight.element
    )
}

/// A path in few words.
pub fn path(path: Option<Path>) -> &'static str {
    match path {
        Some(Path::Firing) => "mixture -> how much of the charge burns",
        Some(Path::Phase) => "mixture -> how early it burns",
        Some(Path::Heat) => "mixture -> heat from the same air",
        Some(Path::Warmth) => "left-over gas and hot parts -> burn",
        Some(Path::Speed) => "speed -> draught, tank pressure, time to burn",
        None => "no path of these: the charge itself, friction",
    }
}

/// A station of the chain, and its unit.
pub fn station(station: Station) -> (&'static str, &'static str) {
    match station {
        Station::Metering => ("metered mixture", ""),
        Station::Film => ("film", "mg"),
        Station::Mixture => ("mixture in the cylinder", ""),
        Station::Firing => ("charge burnt", "%"),
        Station::Phase => ("burn, degrees early", "°"),
        Station::Work => ("work a turn", "mJ"),
        Station::Speed => ("speed", "rpm"),
        Station::Heat => ("crown", "°C"),
    }
}

/// The same where there is little room.
pub fn station_short(of: Station) -> (&'static str, &'static str) {
    match of {
        Station::Metering => ("metered φ", ""),
        Station::Mixture => ("cylinder φ", ""),
        Station::Firing => ("burnt", "%"),
        Station::Phase => ("burn early", "°"),
        Station::Work => ("work", "mJ"),
        _ => station(of),
    }
}

/// The sum of the paths.
pub const ALL_OF_IT: &str = "all together";

/// Digits of a station's numbers.
pub fn station_digits(station: Station) -> usize {
    match station {
        Station::Metering | Station::Mixture => 3,
        Station::Film | Station::Firing | Station::Phase | Station::Heat => 1,
        Station::Work | Station::Speed => 0,
    }
}

/// What is explained, as a heading.
pub fn action(causes: &Causes) -> String {
    let turn = causes.action.turn;
    let screw = short(turn.screw);
    let what = match (turn.screw, turn.by > 0.0) {
        (Screw::Idle, true) => "further in",
        (Screw::Idle, false) => "further out",
        (_, true) => "richer",
        (_, false) => "leaner",
    };
    let acted = match causes.action.outcome {
        Outcome::Idle => "the settled idle",
        Outcome::AfterBurst => "the speed from 1 to 2 s after a burst, above the settled idle",
    };
    format!("{screw} {} {what}: {acted}", fraction(turn.by))
}

/// A whole number with its sign; nothing has a plus.
pub fn signed(value: f64) -> String {
    format!("{:+.0}", value.round() + 0.0)
}

/// The size of something found, with its interval.
pub fn found(found: &Found, unit: &str) -> String {
    let sure = found
        .interval
        .map_or(String::new(), |i| format!(" ({} to {})", signed(i.low), signed(i.high)));
    format!("{} {unit}{sure}", signed(found.mean))
}

/// Why, line by line: the whole, the chain, the paths.
pub fn causes(causes: &Causes) -> Vec<String> {
    let mut lines = vec![format!(
        "{}: {} from {:.0} rpm",
        action(causes),
        found(&causes.whole, "rpm"),
        causes.before
    )];
    let chain: Vec<String> = causes
        .chain
        .iter()
        .map(|moved| {
            let ((name, unit), digits) = (station(moved.station), station_digits(moved.station));
            format!(
                "{name} {:.digits$} to {:.digits$}{}{unit}",
                moved.before,
                moved.after,
                gap(unit)
            )
        })
        .collect();
    lines.push(format!("  the chain: {}", chain.join(" -> ")));
    if let Some(past) = causes.past_film {
        lines.push(format!(
            "  with the film giving what it gave before, {:.0} % of it is left: the mixture carries the rest",
            100.0 * past
        ));
    }
    for part in &causes.parts {
        let share = part
            .share
            .map_or(String::new(), |share| format!("{:>5.0} %", 100.0 * share));
        lines.push(format!(
            "  {:44} {:>26}{share}",
            path(part.path),
            found(&part.change, "rpm")
        ));
    }
    lines.push(match strongest(causes) {
        Some((up, down)) => format!("  so: {up}{down}"),
        None => "  so: it can't be told from nothing".to_string(),
    });
    lines
}

fn gap(unit: &str) -> &'static str {
    if unit.is_empty() || unit == "°" { "" } else { " " }
}

/// The path that does most of it, and the one that works most against it.
fn strongest(causes: &Causes) -> Option<(String, String)> {
    if !causes.whole.is_sure() {
        return None;
    }
    let way = causes.whole.mean.signum();
    let by = |a: &&crate::insight::causes::Part, b: &&crate::insight::causes::Part| {
        (way * a.change.mean).total_cmp(&(way * b.change.mean))
    };
    let most = causes.parts.iter().max_by(by)?;
    let least = causes.parts.iter().min_by(by)?;
    let verb = if way > 0.0 { "raises" } else { "lowers" };
    let up = format!("most of what {verb} it goes by {}", path(most.path));
    let down = if way * least.change.mean < -0.1 * causes.whole.mean.abs() {
        format!("; against it works {}", path(least.path))
    } else {
        String::new()
    };
    Some((up, down))
}

/// The commands that tell the story of what failed in a practice.
pub(super) fn commands(why: &Explained) -> Vec<String> {
    let (s, w) = (why.setting, why.weather);
    let mut out = vec![
        "  why, second by second beside the clean setting of an engine like it, with --plot as a picture:".to_string(),
    ];
    for symptom in &why.symptoms {
        out.push(format!(
            "          needlebench explain --symptom {symptom} --engine {} --fuel {} --plug {}",
            why.engine, why.fuel, why.plug
        ));
        out.push(format!(
            "            --temperature-c {} --pressure-hpa {} --humidity-percent {} --high {:.3} --low {:.3} --idle {:.3}",
            w.temperature_c, w.pressure_hpa, w.humidity_percent, s.high_turns, s.low_turns, s.idle_turns
        ));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found_effect(symptom: Symptom, change: f64, wide: f64) -> Effect {
        Effect {
            turn: Turn {
                screw: Screw::Low,
                by: -0.125,
            },
            symptom,
            at: Some(11_000.0),
            change: Some(change),
            low: Some(change - wide),
            high: Some(change + wide),
            spread_low: None,
            spread_high: None,
            pairs: 16,
            missing: None,
        }
    }

    #[test]
    fn a_sentence_says_which_way_how_far_and_how_sure() {
        assert_eq!(
            effect(&found_effect(Symptom::IdleRpm, -535.0, 4.0)),
            "low-speed needle in 1/8 (leaner): idle speed falls by 535 rpm (95 % sure of 531 to 539) from 11000 rpm."
        );
        assert!(effect(&found_effect(Symptom::IdleRpm, 30.0, 4.0)).ends_with("which nobody would notice."));
        let mut spread = found_effect(Symptom::IdleRpm, -535.0, 4.0);
        (spread.spread_low, spread.spread_high) = (Some(-700.0), Some(-100.0));
        assert!(effect(&spread).ends_with("from 11000 rpm; other constants say -700 to -100."));
        spread.spread_high = Some(20.0);
        assert!(effect(&spread).ends_with("-700 to +20, so not even the direction is sure."));
        assert!(effect(&found_effect(Symptom::IdleRpm, 3.0, 4.0)).contains("stays as it is"));
        let mut dead = found_effect(Symptom::IdleRpm, 0.0, 0.0);
        (dead.change, dead.missing) = (None, Some(Missing::Dies));
        assert!(effect(&dead).contains("dies"));
        dead.missing = Some(Missing::AtItsEnd);
        assert!(effect(&dead).contains("end"));
    }

    #[test]
    fn no_zero_has_a_sign() {
        assert_eq!(change(Symptom::IdleRpm, -0.2), "0");
        assert_eq!(change(Symptom::IdleRpm, 0.2), "0");
        assert_eq!(
            (change(Symptom::IdleRpm, 3.0), change(Symptom::IdleRpm, -3.0)),
            ("+3".into(), "-3".into())
        );
    }
}
