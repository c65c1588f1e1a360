//! `needlebench explain`: why the screws do what they do. Without more the effects of an eighth of a turn and their causes; a symptom's story;
//! or the map of clean settings.

mod effects;
mod map;
mod tale;

use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use needlebench::bench::checks::Facts;
use needlebench::config::Models;
use needlebench::engine::Setup;
use needlebench::engine::params::{Faults, Setting};
use needlebench::fluids::air::Weather;
use needlebench::insight::story::Tale;
use needlebench::plot::subject::{self, Subject};

use super::options::{AnswerOptions, EngineOptions, SeedOptions, SettingOptions, WeatherOptions};
use super::{Answer, Failure, output, places};

/// What stands under every text that speaks of leaning.
const CAUTION: &str = "Never lean an engine by numbers alone: the simulator teaches, the real engine and its maker's instructions decide.";

/// What an eighth of a turn on each screw does, which screw is for what, and why
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench explain\n  \
    needlebench explain --low 1.25 --json\n  \
    needlebench explain --symptom hang --plot .\n  \
    needlebench explain --map --fields 32 --csv map.csv --plot .\n\n\
    Exit code 0: explained; 1: the engine does not run at this setting, or the map has no clean setting.\n\
    Effects are paired runs with the same chance, 16 times over; intervals are 95 %, spreads the middle 90 % of sets of constants that fit as well.\n\
    --plot DIR writes causes.svg, story-NAME.svg and sheet-NAME.svg (one page to print), or map.svg (and map-moved.svg with --and-...).\n\
    The simulator teaches; never lean an engine by numbers alone: the real engine and its maker's instructions decide.")]
pub struct Arguments {
    /// One symptom's whole story over time, beside the clean setting [without a setting: one that shows it]
    #[arg(long, value_name = "NAME", value_parser = tale_named(), conflicts_with = "map")]
    symptom: Option<Tale>,
    #[command(flatten)]
    map: map::MapOptions,
    /// Write pictures into this folder (made if it isn't there)
    #[arg(long, value_name = "DIR", help_heading = "Answer")]
    plot: Option<PathBuf>,
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

/// Reads a symptom's name.
fn tale_named() -> impl TypedValueParser<Value = Tale> {
    PossibleValuesParser::new(Tale::ALL.map(Tale::name)).try_map(|name| {
        let found = Tale::ALL.into_iter().find(|tale| tale.name() == name);
        found.ok_or("no such symptom")
    })
}

/// Today's engine, fuel, weather and setting.
struct Today {
    models: Models,
    setup: Setup,
    weather: Weather,
    setting: Setting,
    seed: u64,
}

impl Today {
    /// What the checks must know of it.
    fn facts(&self) -> Facts {
        Facts::of(&self.models.engine, &self.setup)
    }

    /// What a picture at a setting is of.
    fn subject(&self, setting: Setting) -> Subject<'_> {
        Subject {
            engine: &self.models.engine.name,
            fuel: &self.models.fuel.name,
            plug: &self.models.plug.name,
            weather: self.weather,
            setting,
            seed: self.seed,
        }
    }

    /// The first words of a text, up to the seed.
    fn heading(&self) -> String {
        format!(
            "{} on {}, {}, seed",
            self.models.engine.name,
            self.models.fuel.name,
            subject::setting(self.setting)
        )
    }
}

/// Explains.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    if arguments.setting.cold {
        return Err(Failure::Usage {
            flag: "--cold",
            what: "a cold engine changes by the second".to_string(),
            allowed: "a warm engine",
            remedy: "leave it out; `needlebench run --cold` shows a cold one",
        });
    }
    let models = arguments.engine.load()?;
    let weather = arguments.weather.weather();
    let setup = models.setup(&weather, Faults::NONE)?;
    let today = Today {
        setting: arguments.setting.setting(models.engine.reference),
        seed: arguments.seed.seed,
        models,
        setup,
        weather,
    };
    let read = arguments.engine.files(&today.models.engine);
    let mut written: Vec<places::Named<'_>> = Vec::new();
    written.extend(arguments.map.csv.as_deref().map(|path| ("--csv", path)));
    written.extend(arguments.answer.json.then_some(("--json", Path::new("-"))));
    places::apart(&read, &written)?;
    match arguments.symptom {
        Some(tale) => tale::run(arguments, &today, tale),
        None if arguments.map.map => map::run(arguments, &today),
        None => effects::run(arguments, &today),
    }
}

/// Writes the answer to standard output, and beside it what else is asked for: all of it or nothing.
fn write(arguments: &Arguments, told: &str, csv: Option<&str>, pictures: &[(String, String)]) -> Result<(), Failure> {
    let mut results: Vec<(PathBuf, &[u8])> = Vec::new();
    let csv = arguments.map.csv.as_deref().zip(csv);
    // A table on standard output has it for itself.
    if csv.is_some_and(|(path, _)| places::is_standard_output(path)) {
        output::say(told);
    } else {
        results.push((PathBuf::from("-"), told.as_bytes()));
    }
    results.extend(csv.map(|(path, csv)| (path.to_path_buf(), csv.as_bytes())));
    if let Some(folder) = &arguments.plot {
        std::fs::create_dir_all(folder).map_err(|cause| output::failed(folder, cause))?;
        results.extend(pictures.iter().map(|(name, svg)| (folder.join(name), svg.as_bytes())));
    }
    let results: Vec<(&Path, &[u8])> = results.iter().map(|(path, bytes)| (path.as_path(), *bytes)).collect();
    output::write_all(&results)
}
