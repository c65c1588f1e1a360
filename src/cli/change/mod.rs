//! `needlebench change`: from one fuel, weather, plug or engine to another. Exit code 0: there is a plan; 1: no clean setting is in reach.

mod sides;

use clap::Args;
use needlebench::bench::checks::Limits;
use needlebench::engine::params::Setting;
use needlebench::insight::change::{self, Change, Plan, unknown};
use serde::Serialize;

use super::options::{AnswerOptions, EngineOptions, SeedOptions, SettingOptions, WeatherOptions};
use super::{Answer, Failure, output};

/// From one fuel or weather to another: which screw, which way, how far, and the safe rich start
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench change --from-nitro 16 --to-nitro 30\n  \
    needlebench change --from-temperature-c 10 --to-temperature-c 32 --to-altitude-m 1500")]
pub struct Arguments {
    #[command(flatten)]
    from: sides::From,
    #[command(flatten)]
    to: sides::To,
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

/// What is printed as JSON.
#[derive(Serialize)]
struct Told<'a> {
    target_setting: Option<Setting>,
    #[serde(flatten)]
    plan: &'a Plan,
}

/// Solves the change and prints the plan.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let from = arguments.from.place(&arguments.engine, &arguments.weather)?;
    let to = arguments.to.place(&arguments.engine, &arguments.weather)?;
    let sets = unknown::sets(&from, &to)?;
    let plan = change::plan(&Change {
        from: &from,
        to: &to,
        stands: None,
        sets: &sets,
        limits: Limits::STANDARD,
        seed: arguments.seed.seed,
    })?;
    output::print_json(&Told {
        target_setting: plan.is_clean().then_some(plan.after.setting),
        plan: &plan,
    })?;
    Ok(if plan.is_clean() { Answer::Yes } else { Answer::No })
}
