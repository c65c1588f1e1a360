//! The ensemble as a file: a line for each constant, with its value in every set, and the rows that a set misses.

use std::fmt::Write;

use needlebench::config::ensemble::{Column, Ensemble};

const OPENING: &str = "\
# The ensemble: sets of constants that show what the reference's constants show, as far as anybody can tell from the rows of the
# symptom table. What rows leave open differs from set to set, so the spread of an answer over the sets says how sure it is.
#
# A line gives one constant's value in every set, in order: the laws' are shared by all engines, an engine's are its own, and whatever
# is not named here is the reference's (laws.toml, engines/). `misses` names the rows that an engine holds by its own constants and lacks
# more than half a unit of by a set's: less than that nobody would notice. Drawn and written by `cargo bench --bench calibrate -- ensemble --write`
# (DEVELOPERS.md says how), not by hand. `needlebench models show ensemble` tells the range of each.
";

/// The text of the file.
pub fn text(ensemble: &Ensemble) -> String {
    let mut text = format!("{OPENING}\nsets = {}\nseed = {}\n", ensemble.sets, ensemble.seed);
    tables(&mut text, "laws", &ensemble.laws);
    for own in &ensemble.engines {
        let engine = format!("engine.\"{}\"", own.engine);
        tables(&mut text, &engine, &own.columns);
        for (set, rows) in own.misses.iter().enumerate().filter(|(_, rows)| !rows.is_empty()) {
            let rows: Vec<String> = rows.iter().map(|row| format!("{row:?}")).collect();
            // Writing to a string can't fail.
            let _ = write!(
                text,
                "\n[[{engine}.misses]]\nset = {}\nrows = [{}]\n",
                set + 1,
                rows.join(", ")
            );
        }
    }
    text
}

fn tables(text: &mut String, path: &str, columns: &[Column]) {
    let mut group = "";
    for column in columns {
        if column.group != group {
            group = column.group;
            let _ = writeln!(text, "\n[{path}.{group}]");
        }
        let values: Vec<String> = column.values.iter().map(|value| rounded(*value).to_string()).collect();
        let _ = writeln!(text, "{} = [{}]", column.key.name, values.join(", "));
    }
}

/// To four digits: as near as anybody will ever know it.
fn rounded(value: f64) -> f64 {
    format!("{value:.3e}").parse().unwrap_or(value)
}
