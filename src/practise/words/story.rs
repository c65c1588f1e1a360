//! A symptom's story in words: what the symptom came to at both settings, what every store did, and the course second by second.

use crate::insight::story::{Apart, Sample, Store, Story, Tale};

/// The tale as a title.
pub fn tale(tale: Tale) -> &'static str {
    match tale {
        Tale::Hang => "The idle hangs after a burst",
        Tale::LoadUp => "The idle loads up",
        Tale::Puff => "A puff on a snap",
        Tale::Bog => "A bog on a snap",
        Tale::FourStroking => "Four-stroking at full throttle",
        Tale::Sag => "Power sags at full throttle",
    }
}

/// What happens at nought.
pub fn zero(tale: Tale) -> &'static str {
    match tale {
        Tale::Hang | Tale::LoadUp => "throttle shut at 0 s, after 1.5 s wide open",
        Tale::Puff | Tale::Bog => "throttle snapped open at 0 s, after a wait at idle",
        Tale::FourStroking | Tale::Sag => "wide open on the brake from 0 s",
    }
}

/// What the symptom's number is.
fn measured(tale: Tale) -> (&'static str, &'static str, usize) {
    match tale {
        Tale::Hang => ("above 1.1 times its idle for", "s", 1),
        Tale::LoadUp => ("sinks, from 3 s to the end, by", "%", 1),
        Tale::Puff => ("smoke at its peak over the steady smoke, excess", "", 2),
        Tale::Bog => ("to 20 000 rpm", "s", 2),
        Tale::FourStroking => ("revolutions missed, from 1 s on", "%", 1),
        Tale::Sag => ("power lost, from 3 s to the end", "%", 2),
    }
}

/// A store, its unit and its digits.
fn store(store: Store) -> (&'static str, &'static str, usize) {
    match store {
        Store::Film => ("film on the crankcase's walls", "mg", 1),
        Store::Crown => ("crown", "K", 1),
        Store::Pipe => ("oil in the pipe", "mg", 1),
        Store::Tank => ("tank pressure", "kPa", 2),
    }
}

/// What every store does beside the clean engine's, a sentence each.
fn apart(apart: &Apart) -> String {
    let (name, unit, digits) = store(apart.store);
    let least = 0.5 * 0.1_f64.powi(digits as i32);
    if apart.most.abs() < least {
        return format!("{name}: as at the clean setting");
    }
    let way = if apart.most > 0.0 { "above" } else { "below" };
    let gone = match apart.half_gone_s {
        Some(gone) => format!("half of that is gone at {gone:.1} s"),
        None => "and it stays so to the end".to_string(),
    };
    format!(
        "{name}: at most {:.digits$} {unit} {way} the clean one's, at {:.1} s; {gone}",
        apart.most.abs(),
        apart.at_s
    )
}

/// Why such a thing happens: the mechanism as the model has it, for the words beside the numbers.
pub fn why(tale: Tale) -> &'static str {
    match tale {
        Tale::Hang => {
            "Two things outlast the burst: a hot crown, which warms the charge so that it burns earlier, and a film that is not yet as \
             thin as a lean setting keeps it in the end. While both go, heat and speed go with them."
        }
        Tale::LoadUp => {
            "More fuel lands on the walls than leaves them; the film fills over its time constant, the mixture follows, and the idle sinks."
        }
        Tale::Puff => {
            "What lay in the film and the pipe is swept out at once: fuel that burns badly and oil that shows as smoke, until both are clear."
        }
        Tale::Bog => {
            "The film gives up what it held as the air arrives: too much of it and the charge is past what burns; too little and it starves."
        }
        Tale::FourStroking => {
            "Past the rich limit a charge misses, and leaves fresh mixture behind that lets the next one fire: every second time, or worse."
        }
        Tale::Sag => {
            "Head and crown warm over tens of seconds; a warmer engine takes in less air, and a lean one may knock as it warms."
        }
    }
}

/// Seconds between the rows of the course.
fn every_s(tale: Tale) -> f64 {
    match tale {
        Tale::LoadUp => 5.0,
        Tale::Sag => 3.0,
        Tale::Puff | Tale::Bog => 0.5,
        Tale::Hang | Tale::FourStroking => 1.0,
    }
}

/// The symptom's own number, at the setting and at the clean one.
pub fn measure(story: &Story) -> String {
    let (what, unit, digits) = measured(story.tale);
    let told = |value: Option<f64>| {
        value.map_or("not told, it died or never got there".to_string(), |v| {
            format!("{v:.digits$} {unit}")
        })
    };
    let [asked, clean] = story.measures();
    format!(
        "{what}: {}; at the clean setting {}",
        told(asked).trim_end(),
        told(clean).trim_end()
    )
}

/// What drifts, from one second to the end, at the setting and at the clean one.
pub fn drifts(story: &Story) -> Vec<String> {
    let told = DRIFTS.iter().filter_map(|(name, unit, digits, value)| {
        let [[from, to], [clean_from, clean_to]] = drift(story, *value)?;
        Some(format!(
            "{name}: {from:.digits$} at 1 s, {to:.digits$}{unit} at the end (clean: {clean_from:.digits$}, {clean_to:.digits$}{unit})"
        ))
    });
    told.collect()
}

/// The whole story.
pub fn story(story: &Story) -> String {
    let mut out = format!("{}\n\n  {}\n", tale(story.tale), measure(story));
    for found in story.apart() {
        out += &format!("  {}\n", self::apart(&found));
    }
    for drift in drifts(story) {
        out += &format!("  {drift}\n");
    }
    out += &format!("  why, as the model has it: {}\n", why(story.tale));
    out += &format!("\n  {} (asked | clean)\n", zero(story.tale));
    out += &format!(
        "  {:>6}  {:>15}  {:>13}  {:>13}  {:>13}  {:>13}  {:>13}  {:>13}\n",
        "s", "rpm", "film mg", "cylinder φ", "crown °C", "burnt %", "pipe oil mg", "tank kPa"
    );
    for (asked, clean) in rows(story) {
        let pair =
            |value: fn(&Sample) -> f64, digits: usize| format!("{:.digits$} | {:.digits$}", value(asked), value(clean));
        let phi = |s: &Sample| {
            s.cylinder_equivalence_ratio
                .map_or("-".to_string(), |phi| format!("{phi:.2}"))
        };
        out += &format!(
            "  {:>6.1}  {:>15}  {:>13}  {:>13}  {:>13}  {:>13}  {:>13}  {:>13}\n",
            asked.time_s,
            pair(|s| s.engine_rpm, 0),
            pair(|s| s.film_mg, 1),
            format!("{} | {}", phi(asked), phi(clean)),
            pair(|s| s.crown_temperature_c, 0),
            pair(|s| s.burnt_percent, 0),
            pair(|s| s.pipe_oil_mg, 1),
            pair(|s| s.tank_pressure_kpa, 2),
        );
    }
    out
}

/// Something that drifts: its name, unit, digits and value.
type Drift = (&'static str, &'static str, usize, fn(&Sample) -> Option<f64>);

const DRIFTS: [Drift; 3] = [
    ("mixture in the cylinder", "", 2, |s| s.cylinder_equivalence_ratio),
    ("crown", " °C", 0, |s| Some(s.crown_temperature_c)),
    ("charge as the ports close", " °C", 0, |s| s.charge_temperature_c),
];

/// Where a value stands at 1 s and at the end, at the setting and at the clean one; none where an engine has died.
fn drift(story: &Story, value: fn(&Sample) -> Option<f64>) -> Option<[[f64; 2]; 2]> {
    let of = |samples: &[Sample]| {
        let then = samples.iter().find(|s| s.time_s >= 1.0)?;
        Some([value(then)?, value(samples.last()?)?])
    };
    Some([of(&story.samples[0])?, of(&story.samples[1])?])
}

/// A sample of both for each step of the course.
fn rows(story: &Story) -> Vec<(&Sample, &Sample)> {
    let every = every_s(story.tale);
    let mut next = f64::NEG_INFINITY;
    let mut rows = Vec::new();
    for (asked, clean) in story.samples[0].iter().zip(&story.samples[1]) {
        let step = (asked.time_s / every).floor();
        if asked.time_s >= -every && step > next {
            next = step;
            rows.push((asked, clean));
        }
    }
    rows
}
