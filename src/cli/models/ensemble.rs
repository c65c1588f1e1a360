//! `needlebench models show ensemble`: how far apart the sets are in each constant, and what they miss.

use std::fmt::Write;

use needlebench::bench::checks::{Check, Limits};
use needlebench::config::ensemble::{Column, DETERMINED, Ensemble, NEXT};
use needlebench::config::{ConfigError, SetupError, Source, Table, reference_setup, unit};
use needlebench::insight::spread::{self, Asked};
use needlebench::practise::words::check_name;
use needlebench::stats::quantile;

/// Seed of the noise by which a file's sets are looked at.
const SEED: u64 = 1;

/// Whether every set is clean where its engine's reference setting is: the least that a set of constants has to show.
///
/// # Errors
/// A file that can't be used, or the first set that is not clean.
pub(super) fn hold(source: &Source) -> Result<(), SetupError> {
    let ensemble = Ensemble::read(source)?;
    for own in &ensemble.engines {
        let (engine, setup) = reference_setup(own.engine)?;
        let asked = Asked {
            engine: &engine,
            setting: engine.reference,
            cold: false,
            seed: SEED,
            limits: &Limits::STANDARD,
        };
        let reports = spread::reports(&asked, &ensemble.setups(own.engine, &setup));
        let not_clean = reports.iter().enumerate().find(|(_, report)| !report.clean);
        if let Some((set, report)) = not_clean {
            let failed: Vec<String> = report.checks.iter().filter(|check| !check.pass).map(failed).collect();
            return Err(ConfigError::Together {
                place: Table::root(source)?.table("engine")?.place_of_name(own.engine),
                what: format!(
                    "set {} of `{}` is not clean at the reference setting: {}",
                    set + 1,
                    own.engine,
                    failed.join(", ")
                ),
                remedy: "change its constants towards the reference's, or take the set out of every line",
            }
            .into());
        }
    }
    Ok(())
}

/// A check that fails, with its limits.
fn failed(check: &Check) -> String {
    let limit = |words: &str, limit: Option<f64>| limit.map_or(String::new(), |limit| format!(", {words} {limit:.4}"));
    let value = check.value.map_or("died".to_string(), |value| format!("{value:.4}"));
    let (low, high) = (limit("at least", check.low), limit("at most", check.high));
    format!("{} {value} {}{low}{high}", check_name(check.name), check.unit.key())
}

/// The ensemble in words: a line for each constant.
pub(super) fn ensemble_words(ensemble: &Ensemble) -> String {
    let mut text = format!(
        "{} sets of constants, drawn with seed {}: each shows what the reference's constants show\n",
        ensemble.sets, ensemble.seed
    );
    // Writing to a string can't fail.
    let _ = writeln!(text, "\nlaws, shared by all engines{HEADING}");
    ranges(&mut text, &ensemble.laws);
    for own in &ensemble.engines {
        let _ = writeln!(text, "\n{}{HEADING}", own.engine);
        ranges(&mut text, &own.columns);
        for (set, rows) in own.misses.iter().enumerate().filter(|(_, rows)| !rows.is_empty()) {
            let _ = writeln!(text, "  set {} misses {}", set + 1, rows.join("; "));
        }
    }
    text
}

/// What was found when the sets that ship were drawn: which constants the rows determine, and what to measure next.
pub(super) fn found_words() -> String {
    let mut text = String::from(
        "\nwhich constants are determined: what linear rows leave of the deviation of a draw from its range, what the sets span of that, \
         and the nearest rows that break if it alone is moved by so much of its range\n",
    );
    // Writing to a string can't fail.
    for cells in rows(DETERMINED) {
        if let [constant, _, _, _, left, spanned, bound_by, acts_with, ..] = &cells[..] {
            let _ = write!(
                text,
                "  {constant:46} {left:>3} % left, sets span {spanned:>3} %: {bound_by}"
            );
            let _ = match acts_with.as_str() {
                "" => writeln!(text),
                others => writeln!(text, "; can't be told from {others}"),
            };
        }
    }
    text += "\nwhat to measure next: which single measurement on a real engine would take most of an answer's variance over the sets\n";
    for cells in rows(NEXT) {
        if let [answer, low, median, high, first, first_percent, second, second_percent] = &cells[..] {
            let _ = writeln!(text, "  {answer}: {median} ({low} to {high})");
            for (measure, percent) in [(first, first_percent), (second, second_percent)] {
                if !percent.is_empty() {
                    let _ = writeln!(text, "      {percent:>3} % by {measure}");
                }
            }
            if first_percent.is_empty() {
                let _ = writeln!(text, "      {first}");
            }
        }
    }
    text
}

/// The cells of a table, without its heading; cells may stand in double quotes and then have commas.
fn rows(table: &str) -> impl Iterator<Item = Vec<String>> {
    table.lines().skip(1).map(|line| {
        let mut cells = vec![String::new()];
        let mut quoted = false;
        for letter in line.chars() {
            match letter {
                '"' => quoted = !quoted,
                ',' if !quoted => cells.push(String::new()),
                letter => cells
                    .iter_mut()
                    .next_back()
                    .into_iter()
                    .for_each(|cell| cell.push(letter)),
            }
        }
        cells
    })
}

const HEADING: &str = ": least, middle, most; allowed";

fn ranges(text: &mut String, columns: &[Column]) {
    for Column { group, key, values } in columns {
        let mut sorted = values.clone();
        sorted.sort_by(f64::total_cmp);
        let [least, middle, most] = [0.0, 0.5, 1.0].map(|share| quantile(&sorted, share).unwrap_or(f64::NAN));
        let constant = format!("{group}.{}", key.name);
        let _ = writeln!(
            text,
            "  {constant:48} {least:>9.4} {middle:>9.4} {most:>9.4}   {}",
            unit::range(key)
        );
    }
}
