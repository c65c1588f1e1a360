//! `needlebench models`: which engines, fuels, plugs and scenarios there are, what each consists of, and whether a file of one's own is right.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};
use needlebench::config::models::{self, BuiltIn};
use needlebench::config::schema::read_laws;
use needlebench::config::{ConfigError, EngineModel, FuelModel, Kind, PlugModel, Source, Table, unit};
use needlebench::engine::params::{EngineParams, HeatRange, LawParams, Setting};
use needlebench::parameters::{Key, Origin};
use needlebench::tuning::scenario::{self, SCENARIOS, Scenario};
use needlebench::tuning::strategy::STRATEGIES;
use needlebench::tuning::strategy::facts;
use needlebench::tuning::strategy::file::Strategy;
use serde::Serialize;

use crate::cli::options::AnswerOptions;
use crate::cli::{Answer, Failure, output};

#[derive(Args, Debug)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Examples:\n  \
    needlebench models\n  \
    needlebench models show offroad-3.5\n  \
    needlebench models show race-25 --toml > mine.toml\n  \
    needlebench models validate mine.toml"
)]
pub struct Arguments {
    #[command(subcommand)]
    task: Option<Task>,
    #[command(flatten)]
    answer: AnswerOptions,
}

#[derive(Debug, Subcommand)]
enum Task {
    /// List the built-in models
    List(AnswerOptions),
    /// Show one model: every number with its unit, range, origin and meaning
    Show {
        /// A built-in name, `laws`, or a file
        #[arg(value_name = "NAME|FILE")]
        model: String,
        /// As the file it is, comments and all: a start for one's own
        #[arg(long, conflicts_with = "json")]
        toml: bool,
        #[command(flatten)]
        answer: AnswerOptions,
    },
    /// Check files: exit code 0 if all are right, else 2 with each mistake's line and column
    Validate {
        /// Files to check
        #[arg(value_name = "FILE", required = true)]
        files: Vec<PathBuf>,
    },
}

pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    match &arguments.task {
        None => list(arguments.answer.json),
        Some(Task::List(answer)) => list(answer.json),
        Some(Task::Show { model, toml, answer }) => show(model, *toml, answer.json),
        Some(Task::Validate { files }) => validate(files),
    }
}

/// The list; keys are stable.
#[derive(Debug, Serialize)]
struct Listing {
    engines: Vec<EngineLine>,
    fuels: Vec<FuelLine>,
    plugs: Vec<NamedLine>,
    scenarios: Vec<NamedLine>,
    strategies: Vec<NamedLine>,
}

#[derive(Debug, Serialize)]
struct EngineLine {
    name: String,
    summary: String,
    displacement_cm3: f64,
    reference_setting: Setting,
    reference_fuel: String,
    reference_plug: String,
    rated_rpm: f64,
}

#[derive(Debug, Serialize)]
struct FuelLine {
    name: String,
    summary: String,
    nitro_percent: f64,
    oil_percent: f64,
    castor_share: f64,
}

#[derive(Debug, Serialize)]
struct NamedLine {
    name: String,
    summary: String,
}

fn list(json: bool) -> Result<Answer, Failure> {
    let listing = listing()?;
    if json {
        output::print_json(&listing)?;
    } else {
        output::print(&listing_words(&listing))?;
    }
    Ok(Answer::Yes)
}

fn listing() -> Result<Listing, ConfigError> {
    let engine = |file: &BuiltIn| {
        let model = models::engine(file.name)?;
        Ok(EngineLine {
            displacement_cm3: model.params.geometry.displacement_cm3,
            name: model.name,
            summary: model.summary,
            reference_setting: model.reference,
            reference_fuel: model.reference_fuel,
            reference_plug: model.reference_plug,
            rated_rpm: model.rated_rpm,
        })
    };
    let fuel = |file: &BuiltIn| {
        let FuelModel {
            name, summary, blend, ..
        } = models::fuel(file.name)?;
        let (nitro_percent, oil_percent, castor_share) = (blend.nitro_percent, blend.oil_percent, blend.castor_share);
        Ok(FuelLine {
            name,
            summary,
            nitro_percent,
            oil_percent,
            castor_share,
        })
    };
    let plug = |file: &BuiltIn| {
        models::plug(file.name).map(|model| NamedLine {
            name: model.name,
            summary: model.summary,
        })
    };
    let scenario = |file: &BuiltIn| {
        Scenario::read(&Source::new(file.path, file.text)).map(|scenario| NamedLine {
            name: scenario.name,
            summary: scenario.summary,
        })
    };
    Ok(Listing {
        engines: models::ENGINES.iter().map(engine).collect::<Result<_, ConfigError>>()?,
        fuels: models::FUELS.iter().map(fuel).collect::<Result<_, ConfigError>>()?,
        plugs: models::PLUGS.iter().map(plug).collect::<Result<_, _>>()?,
        scenarios: SCENARIOS.iter().map(scenario).collect::<Result<_, _>>()?,
        strategies: STRATEGIES
            .iter()
            .map(|file| {
                Strategy::read(&Source::new(file.path, file.text)).map(|strategy| NamedLine {
                    name: strategy.name,
                    summary: strategy.summary,
                })
            })
            .collect::<Result<_, _>>()?,
    })
}

fn listing_words(listing: &Listing) -> String {
    let mut text = String::from("engines                 high   low  idle   (reference setting, turns)\n");
    // Writing to a string can't fail.
    for engine in &listing.engines {
        let Setting {
            high_turns,
            low_turns,
            idle_turns,
        } = engine.reference_setting;
        let (name, summary) = (&engine.name, &engine.summary);
        let _ = writeln!(
            text,
            "  {name:20} {high_turns:5.2} {low_turns:5.2} {idle_turns:5.2}   {summary}"
        );
    }
    text.push_str("fuels                  nitro   oil   (percent by volume)\n");
    for fuel in &listing.fuels {
        let FuelLine {
            name,
            summary,
            nitro_percent,
            oil_percent,
            ..
        } = fuel;
        let _ = writeln!(text, "  {name:20} {nitro_percent:5.0} {oil_percent:5.0}   {summary}");
    }
    for (title, lines) in [
        ("plugs", &listing.plugs),
        ("scenarios", &listing.scenarios),
        ("strategies", &listing.strategies),
    ] {
        if !lines.is_empty() {
            let _ = writeln!(text, "{title}");
        }
        for NamedLine { name, summary } in lines {
            let _ = writeln!(text, "  {name:34}   {summary}");
        }
    }
    text
}

/// A model of any kind, as JSON shows it.
#[derive(Debug, Serialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
enum Shown {
    Engine(Box<EngineModel>),
    Fuel(FuelModel),
    Plug(PlugModel),
    Laws(Box<LawParams>),
}

/// Whether a file is a scenario's: it has the table that only they have.
fn is_scenario(source: &Source) -> Result<bool, ConfigError> {
    Ok(Table::root(source)?.has(Scenario::OWN_TABLE))
}

fn show_scenario(source: &Source, toml: bool, json: bool) -> Result<Answer, Failure> {
    let scenario = Scenario::read(source)?;
    if json {
        output::print_json(&scenario)?;
    } else if toml {
        output::print(&source.text)?;
    } else {
        // The file is how a scenario reads best; what it teaches comes first.
        output::print(&format!(
            "{}: {}\nteaches: {}\n\n{}",
            scenario.name, scenario.summary, scenario.teaches, source.text
        ))?;
    }
    Ok(Answer::Yes)
}

/// Whether a file is a strategy's.
fn is_strategy(source: &Source) -> Result<bool, ConfigError> {
    Ok(Table::root(source)?.has(Strategy::OWN_TABLE))
}

/// A fact that rules may stand on, as JSON shows it.
#[derive(Debug, Serialize)]
struct FactShown {
    name: &'static str,
    kind: &'static str,
    words: Vec<&'static str>,
    unit: &'static str,
    meaning: &'static str,
}

fn facts_shown() -> Vec<FactShown> {
    let shown = |fact: facts::Fact| {
        let (kind, words, unit) = match fact.kind {
            facts::Kind::YesNo => ("yes-no", vec!["true", "false"], ""),
            facts::Kind::Word(words) => ("word", words.into_iter().chain(["unknown"]).collect(), ""),
            facts::Kind::Number { unit, .. } => ("number", vec!["unknown"], unit),
        };
        FactShown {
            name: fact.name,
            kind,
            words,
            unit,
            meaning: fact.meaning.trim(),
        }
    };
    facts::facts().into_iter().map(shown).collect()
}

/// A strategy, as JSON shows it: its rules as they are read, and all that rules may stand on.
#[derive(Debug, Serialize)]
struct StrategyShown {
    kind: &'static str,
    name: String,
    summary: String,
    rules: usize,
    facts: Vec<FactShown>,
}

fn show_strategy(source: &Source, toml: bool, json: bool) -> Result<Answer, Failure> {
    let Strategy { name, summary, rules } = Strategy::read(source)?;
    let (rules, facts) = (rules.len(), facts_shown());
    if json {
        output::print_json(&StrategyShown {
            kind: "strategy",
            name,
            summary,
            rules,
            facts,
        })?;
        return Ok(Answer::Yes);
    }
    if toml {
        output::print(&source.text)?;
        return Ok(Answer::Yes);
    }
    let mut text = format!("{name}: {summary}\n\n{}\nfacts that a rule may stand on\n", source.text);
    for fact in facts {
        let of = if fact.kind == "number" {
            format!("number{}{}", if fact.unit.is_empty() { "" } else { ", " }, fact.unit)
        } else {
            fact.words.join(" ")
        };
        // Writing to a string can't fail.
        let _ = writeln!(text, "  {:20} {of:44} {}", fact.name, fact.meaning);
    }
    output::print(&text)?;
    Ok(Answer::Yes)
}

fn show(model: &str, toml: bool, json: bool) -> Result<Answer, Failure> {
    if STRATEGIES.iter().any(|file| file.name == model) {
        return show_strategy(&models::built_in("strategy", model, STRATEGIES)?, toml, json);
    }
    if SCENARIOS.iter().any(|file| file.name == model) {
        return show_scenario(&scenario::source(model)?, toml, json);
    }
    let (kind, source) = if models::is_path(model) {
        let source = Source::read(Path::new(model))?;
        if is_scenario(&source)? {
            return show_scenario(&source, toml, json);
        }
        if is_strategy(&source)? {
            return show_strategy(&source, toml, json);
        }
        (Kind::of(&source)?, source)
    } else {
        let (kind, file) = models::find(model)?;
        (kind, Source::new(file.path, file.text))
    };
    let shown = match kind {
        Kind::Engine => Shown::Engine(Box::new(EngineModel::read(&source)?)),
        Kind::Fuel => Shown::Fuel(FuelModel::read(&source)?),
        Kind::Plug => Shown::Plug(PlugModel::read(&source)?),
        Kind::Laws => Shown::Laws(Box::new(read_laws(&source)?)),
    };
    if toml {
        output::print(&source.text)?;
    } else if json {
        output::print_json(&shown)?;
    } else {
        output::print(&shown_words(shown))?;
    }
    Ok(Answer::Yes)
}

fn shown_words(shown: Shown) -> String {
    match shown {
        Shown::Engine(mut model) => {
            let mut text = format!(
                "{}: {}\nfuel {}, plug {}\n",
                model.name, model.summary, model.reference_fuel, model.reference_plug
            );
            let Setting {
                high_turns,
                low_turns,
                idle_turns,
            } = model.reference;
            let values = [high_turns, low_turns, idle_turns, model.rated_rpm];
            group(&mut text, "reference", EngineModel::REFERENCE_KEYS, values);
            for (name, keys) in EngineParams::GROUPS {
                let values = keys
                    .iter()
                    .filter_map(|key| model.params.get_mut(name, key.name).copied());
                let values: Vec<f64> = values.collect();
                group(&mut text, name, keys, values);
            }
            text
        }
        Shown::Fuel(model) => {
            let mut text = format!("{}: {}\n", model.name, model.summary);
            let blend = model.blend;
            let values = [
                blend.nitro_percent,
                blend.oil_percent,
                blend.castor_share,
                model.viscosity_factor,
            ];
            group(&mut text, "blend", FuelModel::KEYS, values);
            text
        }
        Shown::Plug(model) => {
            let mut text = format!("{}: {}\n", model.name, model.summary);
            group(&mut text, HeatRange::GROUP, HeatRange::KEYS, model.range.values());
            text
        }
        Shown::Laws(mut laws) => {
            let mut text = String::from("the laws' constants, shared by all engines\n");
            for (name, keys) in LawParams::GROUPS {
                let values: Vec<f64> = keys
                    .iter()
                    .filter_map(|key| laws.get_mut(name, key.name).copied())
                    .collect();
                group(&mut text, name, keys, values);
            }
            text
        }
    }
}

/// One table of numbers: name, value, unit, allowed range, origin, meaning.
fn group(text: &mut String, name: &str, keys: &[Key], values: impl IntoIterator<Item = f64>) {
    let _ = writeln!(text, "\n[{name}]");
    for (key, value) in keys.iter().zip(values) {
        let unit = unit::split(key.name).1.unwrap_or("1");
        let range = format!("{} to {}", key.low, key.high);
        let origin = match key.origin {
            Origin::design => "design",
            Origin::sourced => "sourced",
            Origin::assumed => "assumed",
        };
        let meaning = key.meaning.trim();
        let _ = writeln!(
            text,
            "  {:36} {value:>9} {unit:8} {range:16} {origin:8} {meaning}",
            key.name
        );
    }
}

fn validate(files: &[PathBuf]) -> Result<Answer, Failure> {
    let mut bad = 0;
    for path in files {
        match Source::read(path).and_then(|source| {
            if is_scenario(&source)? {
                return Scenario::read(&source).map(|_| "scenario".to_string());
            }
            if is_strategy(&source)? {
                return Strategy::read(&source).map(|_| "strategy".to_string());
            }
            let kind = Kind::of(&source)?;
            kind.validate(&source).map(|()| kind.to_string())
        }) {
            Ok(kind) => output::print(&format!("{}: a valid {kind} file\n", path.display()))?,
            Err(error) => {
                bad += 1;
                output::say(&error.to_string());
            }
        }
    }
    if bad > 0 {
        return Err(Failure::Files { bad, all: files.len() });
    }
    Ok(Answer::Yes)
}
