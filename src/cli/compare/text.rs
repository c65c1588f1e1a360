//! A study's outcome in words: the ways in a table, the least costly first; whether they can be told apart; what became of the claims.

use needlebench::stats::Interval;
use needlebench::tuning::batch::study::Study;
use needlebench::tuning::batch::summary::{Finding, SkillRace, Standing, Summary, Transfer, Verdict};

/// How far a study has come: engines, their rate, and the time that is left.
pub fn progress(done: usize, of: usize, seconds: f64) -> String {
    let rate = done as f64 / seconds.max(1e-3);
    let left_s = (of - done) as f64 / rate.max(1e-9);
    let left = if left_s >= 5400.0 {
        format!("{:.1} h", left_s / 3600.0)
    } else if left_s >= 90.0 {
        format!("{:.0} min", left_s / 60.0)
    } else {
        format!("{left_s:.0} s")
    };
    format!("{done}/{of} hidden engines, {:.0} a minute, {left} left", 60.0 * rate)
}

fn around(mean: f64, interval: Option<Interval>) -> String {
    match interval {
        Some(interval) => format!("{mean:.1} ±{:.1}", 0.5 * (interval.high - interval.low)),
        None if mean.is_nan() => "-".to_string(),
        None => format!("{mean:.1}"),
    }
}

fn share(rate: f64, interval: Interval, digits: usize) -> String {
    let [rate, low, high] = [rate, interval.low, interval.high].map(|share| 100.0 * share);
    format!("{rate:.digits$} ({low:.digits$}..{high:.digits$})")
}

/// The whole report.
pub fn report(study: &Study, summary: &Summary) -> String {
    let mut text = format!("{}: {}\n", study.name, study.summary);
    text += &format!(
        "seed {}, {} hidden engines of {} situation{} ({}); intervals of {} %\n",
        summary.seed,
        summary.engines,
        summary.scenarios.len(),
        if summary.scenarios.len() == 1 { "" } else { "s" },
        summary.scenarios.join(", "),
        summary.confidence_percent,
    );
    text += &format!(
        "cost: needle turns, and {} for not clean, {} for an engine lost\n",
        summary.costs.not_clean_turns, summary.costs.lost_turns
    );
    if summary.engines_without_practice > 0 {
        text += &format!(
            "for {} of the engines no practice could be drawn; they count for nobody\n",
            summary.engines_without_practice
        );
    }
    for race in &summary.races {
        text.push('\n');
        if summary.races.len() > 1 {
            text += &format!("Skill: {}\n", race.skill);
        }
        let standings = summary.strategies.iter().filter(|s| s.skill == race.skill);
        text += &table(&standings.collect::<Vec<_>>());
        text += &told_apart(race, summary);
    }
    if !summary.hypotheses.is_empty() {
        text += &format!(
            "\nClaims (intervals of {} % for all at once)\n",
            summary.confidence_percent
        );
        let several = summary.races.len() > 1;
        for finding in &summary.hypotheses {
            text += &claim(finding, several);
        }
    }
    if !summary.transfers.is_empty() {
        text += "\nThe best of one skill, played by another\n";
        for transfer in &summary.transfers {
            text += &transferred(transfer);
        }
    }
    text
}

/// A column: its heading, and what stands in it.
type Column = (&'static str, fn(&Standing) -> String);

const TABLE: [Column; 9] = [
    ("cost", |s| around(s.cost_mean, s.cost_interval)),
    ("turns", |s| around(s.turns_mean, s.turns_interval)),
    ("won %", |s| share(s.success_rate, s.success_interval, 0)),
    ("lost %", |s| share(s.engines_lost_rate, s.engines_lost_interval, 1)),
    ("cut off %", |s| format!("{:.1}", 100.0 * s.truncated_rate)),
    ("trims", |s| format!("{:.1}", s.idle_trims_mean)),
    ("lean s", |s| format!("{:.1}", s.lean_s_mean)),
    ("min", |s| format!("{:.1}", s.minutes_mean)),
    ("over the best", |s| match s.over_best_interval {
        Some(_) => around(s.over_best_mean, s.over_best_interval),
        None => "-".to_string(),
    }),
];

fn table(standings: &[&Standing]) -> String {
    let mut columns: Vec<Vec<String>> = vec![
        std::iter::once("way".to_string())
            .chain(standings.iter().map(|s| s.name.clone()))
            .collect(),
    ];
    for (heading, cell) in TABLE {
        let cells = standings.iter().map(|s| cell(s));
        columns.push(std::iter::once(heading.to_string()).chain(cells).collect());
    }
    let widths: Vec<usize> = columns
        .iter()
        .map(|column| column.iter().map(|cell| cell.chars().count()).max().unwrap_or(0))
        .collect();
    let mut text = String::new();
    for row in 0..=standings.len() {
        let mut line = format!("{:<width$}", columns[0][row], width = widths[0]);
        for (column, width) in columns.iter().zip(&widths).skip(1) {
            line += &format!("  {:>width$}", column[row]);
        }
        text += line.trim_end();
        text.push('\n');
    }
    text
}

/// Whether one way is the best.
fn told_apart(race: &SkillRace, summary: &Summary) -> String {
    let shown = &race.race;
    let rules = format!(
        "Kim and Nelson 2001, confidence {} %, differences under {} turn{} do not matter",
        summary.confidence_percent,
        summary.indifference_turns,
        if summary.indifference_turns == 1.0 { "" } else { "s" }
    );
    match (&race.best, shown.more) {
        (Some(_), _) if race.order.len() == 1 => String::new(),
        (Some(best), _) => {
            let after = shown.dropped_after.iter().flatten().max().copied().unwrap_or(0);
            format!(
                "{best} costs least: told apart from all others after {after} hidden engines of each situation ({rules}).\n"
            )
        }
        (None, Some(more)) => {
            // Names are in the order of cost, drops in that of the study.
            let left: Vec<&str> = race
                .order
                .iter()
                .filter(|name| race.left.contains(name))
                .map(String::as_str)
                .collect();
            format!(
                "Not separable yet: {}; needs about {more} more hidden engines of each situation ({rules}).\n",
                left.join(", ")
            )
        }
        (None, None) => format!(
            "Nothing is told before all ways have met as many hidden engines of each situation as [ranking] first_stage says; they \
             have met {}.\n",
            shown.observations
        ),
    }
}

fn claim(finding: &Finding, several: bool) -> String {
    let verdict = match finding.verdict {
        Verdict::For => "for",
        Verdict::Against => "against",
        Verdict::Open => "open",
    };
    let skill = if several {
        format!(" ({})", finding.skill)
    } else {
        String::new()
    };
    let share = matches!(finding.measure.key(), "lost" | "won");
    let by = if share { 100.0 } else { 1.0 };
    let scaled = |interval: Interval| Interval {
        low: by * interval.low,
        high: by * interval.high,
    };
    let difference = match finding.difference_interval.map(scaled) {
        Some(Interval { low, high }) => format!("{:+.2} ({low:+.2}..{high:+.2})", by * finding.difference_mean),
        None => "unknown".to_string(),
    };
    format!(
        "{verdict:<8} {}{skill}: {} of {} less that of {}: {difference}\n",
        finding.claim,
        match finding.measure.key() {
            "lost" => "engines lost, %,",
            "won" => "practices won, %,",
            "lean" => "seconds too lean",
            "wear" => "wear, % of an engine's life,",
            key => key,
        },
        finding.less,
        finding.than,
    )
}

fn transferred(transfer: &Transfer) -> String {
    let Transfer {
        best_of,
        name,
        played_by,
        ..
    } = transfer;
    let costs = match transfer.over_own_best_interval {
        Some(interval) => format!(
            "costs {} turns more than their own best",
            around(transfer.over_own_best_mean, Some(interval))
        ),
        None => "is their own best, too".to_string(),
    };
    format!("{name}, the best of {best_of}, played by {played_by}: {costs}\n")
}
