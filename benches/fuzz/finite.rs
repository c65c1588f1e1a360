//! Whether an engine's course and what is said of it are all of numbers.

use needlebench::bench::manoeuvre::Manoeuvre;
use needlebench::bench::player::Pace;
use needlebench::bench::rig::Rig;
use needlebench::bench::series::{COLUMNS, run};
use needlebench::engine::Setup;
use needlebench::engine::params::Setting;

/// Plays a manoeuvre on a cold engine; the revolutions it made, and what in its course is no number.
pub fn course(setup: &Setup, setting: Setting, manoeuvre: &Manoeuvre) -> (u64, Option<String>) {
    let mut rig = Rig::cold(setup, setting, 1);
    let rows = run(
        &mut rig,
        manoeuvre,
        Pace::Clock,
        setup.fuel.density(setup.air.temperature),
    );
    let mut revolutions = 0.0;
    let mut before_s = 0.0;
    for row in &rows {
        revolutions += row.engine_rpm / 60.0 * (row.time_s - before_s);
        before_s = row.time_s;
        for (name, value) in COLUMNS.iter().zip(row.values()) {
            if value.is_some_and(|value| !value.is_finite()) {
                return (
                    revolutions as u64,
                    Some(format!("{name} is {value:?} at {} s", row.time_s)),
                );
            }
        }
    }
    (revolutions as u64, None)
}

/// A word in a text that stands for no number.
pub fn no_number(text: &str) -> Option<String> {
    text.split(|c: char| !c.is_alphanumeric())
        .find(|word| ["NaN", "nan", "inf", "infinity"].contains(word))
        .map(|word| format!("it says {word}"))
}
