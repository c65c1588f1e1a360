//! `needlebench models show`: what one engine, fuel, plug, scenario, strategy, study or the laws consist of.

use std::fmt::Write;
use std::path::Path;

use needlebench::config::ensemble::ENSEMBLE;
use needlebench::config::models::BuiltIn;
use needlebench::config::schema::read_laws;
use needlebench::config::{EngineModel, Ensemble, FuelModel, Kind, PlugModel, Source, models, unit};
use needlebench::engine::params::{EngineParams, HeatRange, LawParams, Setting};
use needlebench::parameters::{Key, Origin};
use needlebench::tuning::batch::study::{STUDIES, Study};
use needlebench::tuning::scenario::{SCENARIOS, Scenario};
use needlebench::tuning::strategy::file::Strategy;
use needlebench::tuning::strategy::parameters::Parameter;
use needlebench::tuning::strategy::{STRATEGIES, facts};
use serde::Serialize;

use super::Sort;
use super::ensemble::{ensemble_words, found_words};
use crate::cli::{Answer, Failure, output};

/// Every built-in file.
fn built_in() -> Vec<BuiltIn> {
    let models = [models::ENGINES, models::FUELS, models::PLUGS, &[models::LAWS, ENSEMBLE]];
    let tuning = [SCENARIOS, STRATEGIES, STUDIES];
    [models.concat(), tuning.concat()].concat()
}

/// Shows one built-in file or one of one's own.
pub(super) fn show(model: &str, toml: bool, json: bool) -> Result<Answer, Failure> {
    let source = if models::is_path(model) {
        Source::read(Path::new(model))?
    } else {
        models::built_in("model", model, &built_in())?
    };
    match Sort::of(&source)? {
        Sort::Scenario => show_scenario(&source, toml, json),
        Sort::Strategy => show_strategy(&source, toml, json),
        Sort::Study => show_study(&source, toml, json),
        Sort::Model(kind) => show_model(kind, &source, toml, json),
    }
}

fn show_model(kind: Kind, source: &Source, toml: bool, json: bool) -> Result<Answer, Failure> {
    let shown = match kind {
        Kind::Engine => Shown::Engine(Box::new(EngineModel::read(source)?)),
        Kind::Fuel => Shown::Fuel(FuelModel::read(source)?),
        Kind::Plug => Shown::Plug(PlugModel::read(source)?),
        Kind::Laws => Shown::Laws(Box::new(read_laws(source)?)),
        Kind::Ensemble => Shown::Ensemble(Ensemble::read(source)?),
    };
    if toml {
        output::print(&source.text)?;
    } else if json {
        output::print_json(&shown)?;
    } else {
        let drawn_here = source.text == ENSEMBLE.text;
        output::print(&(shown_words(shown) + &if drawn_here { found_words() } else { String::new() }))?;
    }
    Ok(Answer::Yes)
}

/// A model of any kind, as JSON shows it.
#[derive(Debug, Serialize)]
#[serde(tag = "kind", rename_all = "lowercase")]
enum Shown {
    Engine(Box<EngineModel>),
    Fuel(FuelModel),
    Plug(PlugModel),
    Laws(Box<LawParams>),
    Ensemble(Ensemble),
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

/// A strategy, as JSON shows it: its parameters, how many rules it has, and all that rules may stand on.
#[derive(Debug, Serialize)]
struct StrategyShown {
    kind: &'static str,
    name: String,
    summary: String,
    parameters: Vec<Parameter>,
    rules: usize,
    facts: Vec<FactShown>,
}

fn show_strategy(source: &Source, toml: bool, json: bool) -> Result<Answer, Failure> {
    let Strategy {
        name,
        summary,
        parameters,
        rules,
        ..
    } = Strategy::read(source)?;
    let (rules, facts) = (rules.len(), facts_shown());
    if json {
        output::print_json(&StrategyShown {
            kind: "strategy",
            name,
            summary,
            parameters,
            rules,
            facts,
        })?;
        return Ok(Answer::Yes);
    }
    if toml {
        output::print(&source.text)?;
        return Ok(Answer::Yes);
    }
    let mut text = format!("{name}: {summary}\n\n{}\n", source.text);
    // Writing to a string can't fail.
    if !parameters.is_empty() {
        text.push_str("parameters by which it may be varied\n");
    }
    for Parameter {
        name,
        value,
        low,
        high,
        step,
        what,
        ..
    } in parameters
    {
        let range = format!("{low} to {high} by {step}");
        let _ = writeln!(text, "  {name:20} {value:8} {range:20} {what}");
    }
    text.push_str("facts that a rule may stand on\n");
    for fact in facts {
        let of = if fact.kind == "number" {
            format!("number{}{}", if fact.unit.is_empty() { "" } else { ", " }, fact.unit)
        } else {
            fact.words.join(" ")
        };
        let _ = writeln!(text, "  {:20} {of:44} {}", fact.name, fact.meaning);
    }
    output::print(&text)?;
    Ok(Answer::Yes)
}

/// A study, as JSON shows it.
#[derive(Debug, Serialize)]
struct StudyShown {
    kind: &'static str,
    name: String,
    summary: String,
    seed: u64,
    episodes: u64,
    scenarios: Vec<String>,
    strategies: Vec<String>,
    claims: Vec<String>,
}

fn show_study(source: &Source, toml: bool, json: bool) -> Result<Answer, Failure> {
    let study = Study::read(source)?;
    if json {
        output::print_json(&StudyShown {
            kind: "study",
            seed: study.seed(),
            episodes: study.episodes(),
            scenarios: study.scenarios.into_iter().map(|scenario| scenario.name).collect(),
            strategies: study.entrants.into_iter().map(|entrant| entrant.label).collect(),
            claims: study
                .hypotheses
                .into_iter()
                .map(|hypothesis| hypothesis.claim)
                .collect(),
            name: study.name,
            summary: study.summary,
        })?;
    } else if toml {
        output::print(&source.text)?;
    } else {
        output::print(&format!("{}: {}\n\n{}", study.name, study.summary, source.text))?;
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
        Shown::Ensemble(ensemble) => ensemble_words(&ensemble),
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
