//! `needlebench run`: one engine, one setting, one throttle trace; the series as CSV or JSON, as a picture, and as sound.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use needlebench::bench::manoeuvre::Manoeuvre;
use needlebench::bench::manoeuvre::table::{self, Named, Waits};
use needlebench::bench::player::{Pace, Unseen};
use needlebench::bench::rig::Rig;
use needlebench::bench::series::{self, COLUMNS, Row};
use needlebench::config::Models;
use needlebench::engine::params::Faults;
use needlebench::engine::state::Load;
use needlebench::plot::run::{Subject, svg};

use super::options::{AnswerOptions, EngineOptions, SeedOptions, SettingOptions, WeatherOptions, number};
use super::recorder::Recorder;
use super::{Answer, Failure, output, places, trace};

/// One engine, one setting, one throttle trace
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench run --manoeuvre burst --low 1.5 > burst.csv\n  \
    needlebench run --manoeuvre brake --rpm 28000 --csv brake.csv\n  \
    needlebench run --manoeuvre snap --plot snap.svg\n  \
    needlebench run --manoeuvre snap --sound snap.wav\n  \
    needlebench run --trace mine.csv --json\n\n\
    Without --csv, --json, --plot and --sound the series goes to standard output as CSV, 100 rows a second. Temperatures in CSV and JSON \
    are in °C, as their keys say.\n\n\
    A trace is a CSV file with the header `time_s,throttle`: seconds in rising order from 0, throttle 0 to 1; between two rows \
    the throttle moves in a straight line.")]
pub struct Arguments {
    /// What the hands do
    #[arg(long, default_value = "burst", conflicts_with = "trace", value_parser = named())]
    manoeuvre: Named,
    /// A throttle trace of your own: CSV with the header `time_s,throttle`
    #[arg(long, value_name = "FILE.csv")]
    trace: Option<PathBuf>,
    /// Speed that the brake holds [default: the engine's rated speed]
    #[arg(long, value_name = "RPM", conflicts_with = "trace", allow_negative_numbers = true, value_parser = number(3000.0, 50000.0, "rpm"))]
    rpm: Option<f64>,
    /// Write the series to this file, `-` for standard output
    #[arg(long, value_name = "FILE.csv", help_heading = "Answer")]
    csv: Option<PathBuf>,
    /// Draw the series to this file as panels over time, `-` for standard output
    #[arg(long, value_name = "FILE.svg", help_heading = "Answer")]
    plot: Option<PathBuf>,
    /// Write what it sounds like a metre away to this file, `-` for standard output: WAV, 48 kHz, 16 bits, one channel
    #[arg(long, value_name = "FILE.wav", help_heading = "Answer")]
    sound: Option<PathBuf>,
    /// Temperatures of the plot in °F (CSV and JSON stay in °C)
    #[arg(long, help_heading = "Answer")]
    fahrenheit: bool,
    #[command(flatten)]
    engine: EngineOptions,
    #[command(flatten)]
    weather: WeatherOptions,
    #[command(flatten)]
    setting: SettingOptions,
    #[command(flatten)]
    seed: SeedOptions,
    #[command(flatten)]
    answer: AnswerOptions,
}

/// Reads a manoeuvre's name.
fn named() -> impl TypedValueParser<Value = Named> {
    let values = Named::ALL.map(|named| PossibleValue::new(named.name()).help(named.meaning()));
    PossibleValuesParser::new(values).try_map(|name| {
        let found = Named::ALL.into_iter().find(|named| named.name() == name);
        found.ok_or("no such manoeuvre")
    })
}

#[derive(serde::Serialize)]
struct Series<'a> {
    seed: u64,
    engine: &'a str,
    fuel: &'a str,
    setting: needlebench::engine::params::Setting,
    rows: &'a [Row],
}

/// Runs the trace and writes the series.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let models = arguments.engine.load()?;
    let targets = targets(arguments, &models)?;
    let weather = arguments.weather.weather();
    let setup = models.setup(&weather, Faults::NONE)?;
    let setting = arguments.setting.setting(models.engine.reference);
    let (manoeuvre, pace) = manoeuvre(arguments, models.engine.rated_rpm)?;
    let load = manoeuvre.load().unwrap_or(Load::Stand);
    let seed = arguments.seed.seed;
    let mut rig = if arguments.setting.cold {
        Rig::cold(&setup, setting, seed)
    } else {
        Rig::warm(&setup, setting, seed)
    };
    if !arguments.setting.cold && !matches!(load, Load::Brake(_)) {
        rig.play(&table::settle(&Waits::STANDARD), Unseen);
    }
    rig.state.tank_fuel = rig.engine.tank_capacity();
    let density = setup.fuel.density(setup.air.temperature);
    let (rows, recorder) = if arguments.sound.is_some() {
        let recorder = Recorder::new(&setup, seed, rig.state.time, manoeuvre.longest_s());
        let (rows, recorder) = series::run_beside(&mut rig, &manoeuvre, pace, density, recorder);
        (rows, Some(recorder))
    } else {
        (series::run(&mut rig, &manoeuvre, pace, density), None)
    };
    let own = arguments.trace.as_ref().and_then(|path| path.file_name());
    let own = own.map(|name| name.to_string_lossy());
    let mut results = Vec::with_capacity(targets.len());
    for (form, target) in targets {
        let bytes = match form {
            Form::Json => output::json(&Series {
                seed,
                engine: &models.engine.name,
                fuel: &models.fuel.name,
                setting,
                rows: &rows,
            })?
            .into_bytes(),
            Form::Plot => {
                let subject = Subject {
                    manoeuvre: own.as_deref().unwrap_or(arguments.manoeuvre.name()),
                    engine: &models.engine.name,
                    plug: &models.plug.name,
                    fuel: &models.fuel.name,
                    setting,
                    weather,
                    cold: arguments.setting.cold,
                    load,
                    pinch_at_s: manoeuvre.pinched_at_s(),
                    seed,
                    fahrenheit: arguments.fahrenheit,
                };
                svg(&subject, &rows)?.into_bytes()
            }
            Form::Csv => csv(&rows).into_bytes(),
            // Without a recorder nobody asks for it.
            Form::Sound => recorder.as_ref().map_or(Ok(Vec::new()), Recorder::bytes)?,
        };
        results.push((target, bytes));
    }
    let results: Vec<(&Path, &[u8])> = results
        .iter()
        .map(|(target, bytes)| (*target, bytes.as_slice()))
        .collect();
    output::write_all(&results)?;
    Ok(Answer::Yes)
}

/// A form in which the series is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Form {
    Json,
    Csv,
    Plot,
    Sound,
}

impl Form {
    /// The flag that asks for it.
    fn flag(self) -> &'static str {
        match self {
            Self::Json => "--json",
            Self::Csv => "--csv",
            Self::Plot => "--plot",
            Self::Sound => "--sound",
        }
    }
}

/// Where each result that is asked for goes: two never to one place, none to a file that is read.
fn targets<'a>(arguments: &'a Arguments, models: &Models) -> Result<Vec<(Form, &'a Path)>, Failure> {
    let standard = Path::new("-");
    let mut targets = Vec::new();
    targets.extend(arguments.answer.json.then_some((Form::Json, standard)));
    targets.extend(arguments.csv.as_deref().map(|path| (Form::Csv, path)));
    targets.extend(arguments.plot.as_deref().map(|path| (Form::Plot, path)));
    targets.extend(arguments.sound.as_deref().map(|path| (Form::Sound, path)));
    let to_terminal = |path: &Path| places::is_standard(path) && std::io::stdout().is_terminal();
    if arguments.sound.as_deref().is_some_and(to_terminal) {
        return Err(Failure::Usage {
            flag: "--sound",
            what: "a terminal can't show a WAV file".to_string(),
            allowed: "a file, or `-` into a pipe",
            remedy: "name a file",
        });
    }
    if targets.is_empty() {
        targets.push((Form::Csv, standard));
    }
    let mut read = arguments.engine.files(&models.engine);
    read.extend(arguments.trace.as_deref().map(|path| ("--trace", path)));
    let written: Vec<places::Named<'_>> = targets.iter().map(|(form, path)| (form.flag(), *path)).collect();
    places::apart(&read, &written)?;
    Ok(targets)
}

/// What the hands do, and whether they keep to a clock.
fn manoeuvre(arguments: &Arguments, rated_rpm: f64) -> Result<(Manoeuvre, Pace), Failure> {
    if let Some(path) = &arguments.trace {
        return Ok((trace::read(path)?, Pace::Clock));
    }
    if arguments.rpm.is_some() && arguments.manoeuvre != Named::Brake {
        return Err(Failure::Usage {
            flag: "--rpm",
            what: format!("nothing holds a speed in `{}`", arguments.manoeuvre.name()),
            allowed: "beside --manoeuvre brake",
            remedy: "add that, or leave out --rpm",
        });
    }
    let waits = Waits {
        brake_rpm: arguments.rpm.unwrap_or(rated_rpm),
        ..Waits::STANDARD
    };
    Ok((arguments.manoeuvre.shown(&waits), Pace::Own))
}

fn csv(rows: &[Row]) -> String {
    let mut text = COLUMNS.join(",") + "\n";
    for row in rows {
        let cells = row.values().map(|v| v.map_or(String::new(), |x| format!("{x:.5}")));
        text += &cells.join(",");
        text.push('\n');
    }
    text
}
