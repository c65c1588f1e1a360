//! What to measure next: which single measurement on a real engine would narrow which answer most, from how both go together over the sets
//! of the ensemble. Printed, and kept in `models/next.csv`.

use needlebench::bench::symptoms::Quantity;
use needlebench::stats::Moments;

use crate::write_text;

/// What a user asks for, by its row and name in the symptom table.
const ANSWERS: [(&str, &str); 12] = [
    ("power", "best power per displacement, W/cm³"),
    ("S15", "a tank in race duty, min"),
    ("S12", "a 20 K colder day on the low needle, turns"),
    ("S12", "air 20 K colder: full throttle, %"),
    ("S12", "1500 m: full throttle, %"),
    ("S12", "1500 m: power, %"),
    ("S10", "nitro +10 %: equivalence ratio wide open, %"),
    ("S11", "oil +4 %: idle, %"),
    ("S6", "low -1/8: hangs longer than clean by, s"),
    ("S7", "lag at low +1/2 over clean"),
    ("S13", "race duty: head, °C"),
    ("S3", "best power at high needle offset, turns"),
];

/// What can be measured on a real engine, and how well (one deviation; assumed: a tachometer, a temperature gun, a stopwatch, a gauge).
const MEASUREMENTS: [(&str, &str, f64); 21] = [
    ("S1", "idle speed from low +3/4 to clean, %", 2.0),
    ("S1", "fastest idle at low needle offset, turns", 0.03),
    ("S2", "idle speed from high +1 to clean, %", 1.0),
    ("S24", "a minute of idle, low +1/4: sinks by, %", 2.0),
    ("S5", "clean: return, s", 0.1),
    ("S6", "clean: hangs for, s", 0.2),
    ("S6", "low -1/4: hangs for, s", 0.3),
    ("S7", "lag at low +1/2 over clean", 0.2),
    ("S20", "wheels up, full throttle, rpm", 200.0),
    ("S20", "on the track: half throttle over full", 0.01),
    ("S22", "pinched: speed rises by, %", 0.5),
    ("S22", "pinched: dies after, s", 0.3),
    ("S13", "high -1/4: head hotter by, K", 2.0),
    ("S13", "race duty: head, °C", 3.0),
    ("S13", "race duty, high -1/8: head hotter by, K", 2.0),
    ("S13", "head time constant, s", 3.0),
    ("crankcase", "clean: crankcase on the brake, °C", 3.0),
    ("S15", "a tank in race duty, min", 0.2),
    ("S15", "a tank flat out, min", 0.1),
    ("S27", "clean, wide open: tank pressure, kPa", 0.2),
    ("S16", "cold: idle against clean, %", 2.0),
];

/// Of so many measurements the best would look as good as this by chance alone.
fn chance_level(sets: usize) -> f64 {
    // The largest of independent squared correlations, each with a mean of 1/(n-1): some ln(m) times that.
    (MEASUREMENTS.len() as f64).ln() * 2.0 / (sets as f64 - 1.0)
}

/// One answer: how wide it is, and what would narrow it.
struct Narrowed {
    answer: String,
    low: f64,
    median: f64,
    high: f64,
    /// Measurement, and the share of the answer's variance that it would take away; the best first, none that chance would give.
    by: Vec<(String, f64)>,
}

/// Prints and writes the table; `sets` are the symptom tables by every set.
pub fn tell(sets: &[Vec<Quantity>], write: bool) {
    let mean = |set: &[Quantity], row: &str, name: &str| {
        let own = set.iter().filter(|q| q.row == row && q.name == name).map(|q| q.value);
        Moments::of(own.collect::<Vec<_>>()).mean
    };
    let over = |row: &str, name: &str| -> Vec<f64> { sets.iter().map(|set| mean(set, row, name)).collect() };
    let least = chance_level(sets.len());
    let table: Vec<Narrowed> = ANSWERS
        .iter()
        .map(|(row, name)| {
            let answer = over(row, name);
            let others = MEASUREMENTS.iter().filter(|m| (m.0, m.1) != (*row, *name));
            let mut by: Vec<(String, f64)> = others
                .map(|(row, name, error)| (format!("{row} {name}"), narrowing(&answer, &over(row, name), *error)))
                .filter(|(_, share)| *share > least)
                .collect();
            by.sort_by(|a, b| b.1.total_cmp(&a.1));
            by.truncate(2);
            let mut sorted = answer;
            sorted.sort_by(f64::total_cmp);
            let at = |share| needlebench::stats::quantile(&sorted, share).unwrap_or(f64::NAN);
            Narrowed {
                answer: format!("{row} {name}"),
                low: at(0.0),
                median: at(0.5),
                high: at(1.0),
                by,
            }
        })
        .collect();
    let mut text =
        String::from("answer,low,median,high,measure,variance_taken_percent,or_measure,variance_taken_percent\n");
    for Narrowed {
        answer,
        low,
        median,
        high,
        by,
    } in &table
    {
        let cell = |k: usize| {
            by.get(k).map_or("\"nothing of these\",".to_owned(), |(name, share)| {
                format!("\"{name}\",{:.0}", 100.0 * share)
            })
        };
        text += &format!("\"{answer}\",{low:.4},{median:.4},{high:.4},{},{}\n", cell(0), cell(1));
    }
    print!("{text}");
    if write {
        write_text("next.csv", &text);
    }
}

/// Share of an answer's variance over the sets that knowing the measurement, with its error, would take away by a straight line.
fn narrowing(answer: &[f64], measured: &[f64], error: f64) -> f64 {
    let pairs = || {
        answer
            .iter()
            .zip(measured)
            .filter(|(a, m)| a.is_finite() && m.is_finite())
    };
    let n = pairs().count() as f64;
    if n < 8.0 {
        return 0.0;
    }
    let (a, m) = (
        pairs().map(|p| *p.0).sum::<f64>() / n,
        pairs().map(|p| *p.1).sum::<f64>() / n,
    );
    let sum = |of: fn(f64, f64) -> f64| pairs().map(|p| of(p.0 - a, p.1 - m)).sum::<f64>() / (n - 1.0);
    let (va, vm, vam) = (sum(|a, _| a * a), sum(|_, m| m * m), sum(|a, m| a * m));
    if va <= 0.0 || vm <= 0.0 {
        return 0.0;
    }
    vam * vam / (va * (vm + error * error))
}
