//! `needlebench models list`: the built-in files, a line each.

use std::fmt::Write;

use needlebench::config::models::{self, BuiltIn};
use needlebench::config::{ConfigError, FuelModel, Source};
use needlebench::engine::params::Setting;
use needlebench::tuning::batch::study::{STUDIES, Study};
use needlebench::tuning::scenario::{SCENARIOS, Scenario};
use needlebench::tuning::strategy::STRATEGIES;
use needlebench::tuning::strategy::file::Strategy;
use serde::Serialize;

use crate::cli::{Answer, Failure, output};

/// The list; keys are stable.
#[derive(Debug, Serialize)]
struct Listing {
    engines: Vec<EngineLine>,
    fuels: Vec<FuelLine>,
    plugs: Vec<NamedLine>,
    scenarios: Vec<NamedLine>,
    strategies: Vec<NamedLine>,
    studies: Vec<NamedLine>,
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

/// Prints the list.
pub(super) fn list(json: bool) -> Result<Answer, Failure> {
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
        studies: STUDIES
            .iter()
            .map(|file| {
                Study::read(&Source::new(file.path, file.text)).map(|study| NamedLine {
                    name: study.name,
                    summary: study.summary,
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
        ("studies", &listing.studies),
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
