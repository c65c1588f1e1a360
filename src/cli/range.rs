//! `needlebench range`: fuel per lap and minutes per tank. Exit code 0: it reaches the planned stop, or none was asked for; 1: it does not, or
//! the engine does not run, or does not idle.

use std::path::PathBuf;

use clap::Args;
use needlebench::bench::manoeuvre::table;
use needlebench::config::Models;
use needlebench::insight::change::{Place, unknown};
use needlebench::insight::range::{self, Question, Range};
use needlebench::plot;
use needlebench::practise::words::plan::weather;
use needlebench::practise::words::{self, Degrees};
use serde::Serialize;

use super::forms::{self, Form};
use super::options::{
    AnswerOptions, EngineOptions, ScrewOptions, SeedOptions, WeatherOptions, number, other_constants,
};
use super::{Answer, Failure, output, trace};

/// Fuel per lap and minutes per tank for a duty cycle, against the high-speed needle
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench range\n  \
    needlebench range --minutes 5 --temperature-c 28\n  \
    needlebench range --engine onroad-2.1 --json\n\n\
    A tank is driven empty on the track, race duty or the rounds of a trace of your own. Exit code 0: it reaches the planned stop by the least \
    that it may last, or no stop was asked about; 1: it does not, or the engine does not run, or does not idle.\n\
    Caution: never lean an engine by numbers alone, least of all for minutes; the real engine and its maker's instructions decide.")]
pub struct Arguments {
    /// Minutes to the planned stop: will it reach it?
    #[arg(long, value_name = "MINUTES", allow_negative_numbers = true, value_parser = number(0.1, 240.0, "minutes"), help_heading = "Question")]
    minutes: Option<f64>,
    /// One round of driving: CSV with the header `time_s,throttle`, as `run` takes it [default: a lap of race duty]
    #[arg(long, value_name = "FILE.csv", help_heading = "Question")]
    trace: Option<PathBuf>,
    /// Draw minutes, head and wear against the high-speed needle to this file, `-` for standard output
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

/// What is printed as JSON.
#[derive(Serialize)]
struct Told<'a> {
    engine: &'a str,
    fuel: &'a str,
    reaches: Option<bool>,
    planned_minutes: Option<f64>,
    /// To spare as expected, and at the least; negative is short.
    margin_minutes: Option<f64>,
    margin_low_minutes: Option<f64>,
    /// Whether it idles at the setting; if not, nothing can be read from the rest.
    idles: bool,
    #[serde(flatten)]
    range: &'a Range,
}

/// Drives the tanks and prints what they say.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let models = arguments.engine.load()?;
    let mut read = arguments.engine.files(&models.engine);
    read.extend(arguments.trace.as_deref().map(|path| ("--trace", path)));
    let targets = forms::targets(arguments.answer, arguments.plot.as_deref(), &read)?;
    let place = Place {
        usual: Models::of_engine(&arguments.engine.engine)?,
        models,
        weather: arguments.weather.weather(),
    };
    let duty = match &arguments.trace {
        Some(path) => trace::read(path)?,
        None => table::laps(1),
    };
    let models = &place.models;
    let range = range::range(&Question {
        place: &place,
        setting: arguments.setting.setting(models.engine.reference),
        duty: &duty,
        sets: &unknown::sets(&place, &place, &other_constants(&models.engine)?)?,
        seed: arguments.seed.seed,
    })?;
    let reaches = arguments.minutes.and_then(|minutes| range.reaches(minutes));
    let margin = |of: Option<f64>| of.zip(arguments.minutes).map(|(of, planned)| of - planned);
    let degrees = if arguments.fahrenheit {
        Degrees::Fahrenheit
    } else {
        Degrees::Celsius
    };
    let title = format!("A tank of {} on {}", models.engine.name, models.fuel.name);
    let s = range.setting;
    let about = format!(
        "high {:.3}, low {:.3}, idle stop {:.3} turns; plug {}; {}; seed {}",
        s.high_turns,
        s.low_turns,
        s.idle_turns,
        models.plug.name,
        weather(&place.weather, degrees),
        range.seed
    );
    forms::write(&targets, |form| {
        Ok(match form {
            Form::Json => output::json(&Told {
                engine: &models.engine.name,
                fuel: &models.fuel.name,
                reaches,
                planned_minutes: arguments.minutes,
                margin_minutes: margin(range.minutes_per_tank),
                margin_low_minutes: margin(range.low),
                idles: range.idles(),
                range: &range,
            })?,
            Form::Plot => plot::range::svg(&title, &about, &range, arguments.minutes, arguments.fahrenheit)?,
            Form::Text => {
                let lines = words::range::range(&range, arguments.minutes, degrees);
                format!("{title}: {about}\n\n{}\n", lines.join("\n"))
            }
        })
    })?;
    let no = reaches == Some(false) || range.minutes_per_tank.is_none() || !range.idles();
    Ok(if no { Answer::No } else { Answer::Yes })
}
