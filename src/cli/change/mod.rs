//! `needlebench change`: from one fuel, weather, plug or engine to another. Exit code 0: there is a plan; 1: no clean setting is in reach.

mod hours;
mod sides;

use std::path::{Path, PathBuf};

use clap::Args;
use needlebench::bench::checks::Limits;
use needlebench::engine::params::Setting;
use needlebench::fluids::air::Weather;
use needlebench::insight::change::day::{self, Day};
use needlebench::insight::change::{self, Change, Place, Plan, unknown};
use needlebench::plot;
use needlebench::practise::words::Degrees;
use needlebench::practise::words::day as day_words;
use needlebench::practise::words::plan::{self as words, Kind, Line};
use serde::Serialize;

use super::bar::Bar;
use super::forms::{self, Form};
use super::options::{AnswerOptions, EngineOptions, ScrewOptions, SeedOptions, WeatherOptions, other_constants};
use super::{Answer, Failure, output};

/// From one fuel or weather to another: which screw, which way, how far, and the safe rich start
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench change --from-nitro 16 --to-nitro 30\n  \
    needlebench change --to-temperature-c 32 --to-altitude-m 1500 --plot plan.svg\n  \
    needlebench change --to-oil 15 --json\n\n\
    What --from-… or --to-… doesn't say is as the shared options have it. Moves count from where the screws stand: where they are best \
    left before the change, or --high, --low and --idle. --day FILE.csv has the header \
    `time,temperature_c,pressure_hpa,humidity_percent`, a row an hour or so, such as `09:00,18,1013,55` (station pressure), and plans a \
    whole day. Exit code 0: there is a plan; 1: no clean setting is in reach, and why.\n\n\
    Caution: the simulator teaches; the real engine, its maker's instructions, the fuel's data sheet and your club's and local\n\
    rules decide. Never lean an engine by numbers alone. Methanol is poisonous by breath, skin and mouth (NIOSH: 200 ppm over a\n\
    day, 6000 ppm immediately dangerous) and burns with a nearly invisible flame; nitromethane is hazardous (OSHA: 100 ppm; NIOSH:\n\
    750 ppm immediately dangerous) and sensitised by amines. Exhaust has carbon monoxide: run outdoors. Protect your hearing:\n\
    85 dB(A) is the limit over 8 hours, 100 dB(A) over 15 minutes (NIOSH). Hot head and pipe, spinning flywheel and wheels.")]
pub struct Arguments {
    #[command(flatten)]
    from: sides::From,
    #[command(flatten)]
    to: sides::To,
    /// The weather of a day, hour by hour: a plan over it
    #[arg(long, value_name = "FILE.csv", help_heading = "After the change",
          conflicts_with_all = ["to-temperature-c", "to-temperature-f", "to-pressure-hpa", "to-pressure-inhg", "to-altitude-m", "to-humidity-percent"])]
    day: Option<PathBuf>,
    /// Draw the plan to this file, one page to print, `-` for standard output
    #[arg(long, value_name = "FILE.svg", help_heading = "Answer")]
    plot: Option<PathBuf>,
    /// Temperatures of the text and the plot in °F (JSON stays in °C)
    #[arg(long, help_heading = "Answer")]
    fahrenheit: bool,
    #[command(flatten)]
    engine: EngineOptions,
    #[command(flatten)]
    weather: WeatherOptions,
    #[command(flatten)]
    setting: ScrewOptions,
    #[command(flatten)]
    seed: SeedOptions,
    #[command(flatten)]
    answer: AnswerOptions,
}

/// A plan in JSON.
#[derive(Serialize)]
struct Told<'a> {
    engine: &'a str,
    from: End<'a>,
    to: End<'a>,
    clean: bool,
    nothing_worth_turning: bool,
    target_setting: Option<Setting>,
    #[serde(flatten)]
    plan: &'a Plan,
    cautions: [&'static str; 4],
}

/// One end of a change in JSON.
#[derive(Serialize)]
struct End<'a> {
    fuel: &'a str,
    plug: &'a str,
    #[serde(flatten)]
    weather: Weather,
}

impl<'a> End<'a> {
    fn of(place: &'a Place) -> Self {
        Self {
            fuel: &place.models.fuel.name,
            plug: &place.models.plug.name,
            weather: place.weather,
        }
    }
}

/// A day in JSON.
#[derive(Serialize)]
struct ToldDay<'a> {
    engine: &'a str,
    fuel: &'a str,
    clean: bool,
    times: &'a [String],
    #[serde(flatten)]
    day: &'a Day,
    cautions: [&'static str; 4],
}

/// Solves the change and prints the plan.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let from = arguments.from.place(&arguments.engine, &arguments.weather)?;
    let to = arguments.to.place(&arguments.engine, &arguments.weather)?;
    let mut read = arguments.engine.files(&from.models.engine);
    read.extend(arguments.from.files());
    read.extend(arguments.to.files());
    read.extend(arguments.day.as_deref().map(|path| ("--day", path)));
    let targets = forms::targets(arguments.answer, arguments.plot.as_deref(), &read)?;
    let change = Change {
        from: &from,
        to: &to,
        stands: arguments
            .setting
            .is_given()
            .then(|| arguments.setting.setting(from.models.engine.reference)),
        sets: &[],
        limits: Limits::STANDARD,
        seed: arguments.seed.seed,
    };
    let clean = match &arguments.day {
        Some(path) => whole_day(arguments, &change, path, &targets)?,
        None => one_plan(arguments, &change, &targets)?,
    };
    Ok(if clean { Answer::Yes } else { Answer::No })
}

impl Arguments {
    fn degrees(&self) -> Degrees {
        if self.fahrenheit {
            Degrees::Fahrenheit
        } else {
            Degrees::Celsius
        }
    }
}

fn one_plan(arguments: &Arguments, change: &Change, targets: &[(Form, &Path)]) -> Result<bool, Failure> {
    let (from, to) = (change.from, change.to);
    let sets = unknown::sets(from, to, &other_constants(&from.usual.engine)?)?;
    let plan = change::plan(&Change { sets: &sets, ..*change })?;
    let lines = words::plan(&plan, from, to, arguments.degrees());
    forms::write(targets, |form| {
        Ok(match form {
            Form::Json => output::json(&Told {
                engine: &to.models.engine.name,
                from: End::of(from),
                to: End::of(to),
                clean: plan.is_clean(),
                nothing_worth_turning: plan.nothing_worth_turning(),
                target_setting: plan.is_clean().then_some(plan.after.setting),
                plan: &plan,
                cautions: words::CAUTIONS,
            })?,
            Form::Plot => plot::plan::svg(&plan, &lines)?,
            Form::Text => text(&lines),
        })
    })?;
    Ok(plan.is_clean())
}

fn whole_day(arguments: &Arguments, change: &Change, path: &Path, targets: &[(Form, &Path)]) -> Result<bool, Failure> {
    let rows = hours::read(path)?;
    let weathers: Vec<Weather> = rows.iter().map(|row| row.weather).collect();
    let times: Vec<String> = rows.iter().map(hours::Row::time).collect();
    let mut bar = Bar::new("the day");
    let day = day::plan(change, &weathers, |share| bar.show(share))?;
    drop(bar);
    let models = &change.to.models;
    let lines = day_words::day(&day, &times, change.to, arguments.degrees());
    forms::write(targets, |form| {
        Ok(match form {
            Form::Json => output::json(&ToldDay {
                engine: &models.engine.name,
                fuel: &models.fuel.name,
                clean: day.is_clean(),
                times: &times,
                day: &day,
                cautions: words::CAUTIONS,
            })?,
            Form::Plot => {
                let hours: Vec<f64> = rows.iter().map(|row| f64::from(row.minutes) / 60.0).collect();
                let title = format!("A day of {} on {}", models.engine.name, models.fuel.name);
                let s = day.stands;
                let about = format!(
                    "before it high {:.3}, low {:.3}, idle stop {:.3} turns; plug {}",
                    s.high_turns, s.low_turns, s.idle_turns, models.plug.name
                );
                plot::day::svg(&title, &about, &day, &hours, arguments.fahrenheit)?
            }
            Form::Text => text(&lines),
        })
    })?;
    Ok(day.is_clean())
}

/// Columns that a printed page has beside its edge.
const COLUMNS: usize = 112;

/// A page as text.
fn text(lines: &[Line]) -> String {
    let mut out = String::new();
    for line in lines {
        match line.kind {
            Kind::Title => out += &format!("{}\n", line.text),
            Kind::Heading => out += &format!("\n{}\n", line.text),
            Kind::Text => {
                for text in words::broken(&line.text, COLUMNS) {
                    out += &format!("  {text}\n");
                }
            }
        }
    }
    out
}
