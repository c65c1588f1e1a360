//! `needlebench blend`: what a fuel is worth to an engine, and how to make one from two jugs and pure parts.

use std::fmt::Write;

use clap::{ArgGroup, Args, ValueEnum};
use needlebench::config::{FuelModel, models};
use needlebench::fluids::fuel::Blend;
use needlebench::fluids::heat_release::HeatRelease;
use needlebench::fluids::jugs::{Jug, MixError, Recipe, Shelf, Wanted, mix_two};
use needlebench::units::kelvin_from_celsius;
use serde::Serialize;

use crate::cli::options::{AnswerOptions, FuelOptions, default_fuel, number};
use crate::cli::{Answer, Failure, output};

#[derive(Args, Debug)]
#[command(group(ArgGroup::new("parts").args(["jug", "add"]).multiple(true)))]
#[command(after_help = "Examples:\n  \
    needlebench blend --nitro 25 --oil 11\n  \
    needlebench blend --fuel race-16 --fuel-temperature-c 5 --json\n  \
    needlebench blend --nitro 20 --oil 11 --make-ml 2000 --jug race-30 --add methanol,synthetic-oil\n  \
    needlebench blend --nitro 20 --oil 11 --make-ml 2000 --jug 30/10=1200 --jug 10/12\n  \
    needlebench blend --jug race-25=800 --jug sport-10=400\n\n\
    The last says what two jugs make, poured together.\n\
    The oil counts as not burning: a tuner's sheet that lets it burn shows larger air-fuel ratios. Volumes are at 20 °C and add.")]
pub struct Arguments {
    #[command(flatten)]
    fuel: FuelOptions,
    /// Temperature at which the viscosity is told, °C
    #[arg(long, value_name = "C", default_value_t = 20.0, allow_negative_numbers = true,
          value_parser = number(-30.0, 90.0, "°C"))]
    fuel_temperature_c: f64,
    /// Say how to make this much of the fuel, ml, from the jugs and parts named below
    #[arg(long, value_name = "ML", allow_negative_numbers = true, value_parser = number(1.0, 1e6, "ml"), requires = "parts",
          help_heading = "Mixing")]
    make_ml: Option<f64>,
    /// A jug to mix from, up to two: a fuel's name or file, or NITRO/OIL or NITRO/OIL/CASTORSHARE, with =ML if it isn't plenty
    #[arg(long, value_name = "FUEL[=ML]", value_parser = jug, help_heading = "Mixing")]
    jug: Vec<JugArgument>,
    /// Pure parts at hand, without limit
    #[arg(
        long,
        value_name = "PART,…",
        value_delimiter = ',',
        group = "parts",
        help_heading = "Mixing"
    )]
    add: Vec<Pure>,
    /// Any oil will do: aim at the fuel's castor share, but don't insist [default without --fuel and --castor-share]
    #[arg(long, requires = "make_ml", help_heading = "Mixing")]
    any_oil: bool,
    #[command(flatten)]
    answer: AnswerOptions,
}

/// A pure liquid one can buy.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Pure {
    Methanol,
    Nitromethane,
    CastorOil,
    SyntheticOil,
}

/// A jug as written: what is in it, and how much.
#[derive(Clone, Debug)]
struct JugArgument {
    contents: Contents,
    volume_ml: f64,
}

#[derive(Clone, Debug)]
enum Contents {
    Blend(Blend),
    Named(String),
}

/// Reads `FUEL[=ML]`.
fn jug(text: &str) -> Result<JugArgument, String> {
    let (contents, volume_ml) = match text.rsplit_once('=') {
        Some((contents, volume)) => (
            contents,
            number(0.0, 1e6, "ml")(volume).map_err(|error| format!("volume {error}"))?,
        ),
        None => (text, f64::INFINITY),
    };
    let percentages: Option<Vec<f64>> = contents.split('/').map(|part| part.trim().parse().ok()).collect();
    let contents = match percentages.as_deref() {
        Some(&[nitro_percent, oil_percent, ref castor @ ..]) if castor.len() < 2 => {
            let castor_share = castor.first().copied().unwrap_or(0.0);
            let blend = Blend {
                nitro_percent,
                oil_percent,
                castor_share,
            };
            Contents::Blend(
                blend
                    .validated()
                    .map_err(|error| format!("{error}; write NITRO/OIL or NITRO/OIL/CASTORSHARE"))?,
            )
        }
        Some(_) => return Err("allowed NITRO/OIL or NITRO/OIL/CASTORSHARE, such as 30/10; or name a fuel".to_string()),
        None => Contents::Named(contents.to_string()),
    };
    Ok(JugArgument { contents, volume_ml })
}

/// The answer; keys are stable.
#[derive(Debug, Serialize)]
struct Report {
    name: String,
    nitro_percent: f64,
    oil_percent: f64,
    castor_share: f64,
    /// At 20 °C.
    density_kg_per_m3: f64,
    /// Stoichiometric, kg dry air per kg of fuel, oil not burning.
    air_fuel_ratio: f64,
    /// Oil not burning.
    lower_heating_value_mj_per_kg: f64,
    latent_heat_kj_per_kg: f64,
    /// At `fuel_temperature_c`.
    viscosity_mpa_s: f64,
    fuel_temperature_c: f64,
    /// Heat per kg of dry air against equivalence ratio: constant volume from 600 K, 8 bar, at equilibrium.
    heat_per_kg_air_mj: Vec<[f64; 2]>,
    /// The mixture that gets most heat out of the air.
    best_heat_equivalence_ratio: f64,
    /// What to pour for the wanted volume.
    #[serde(skip_serializing_if = "Option::is_none")]
    recipe: Option<Recipe>,
    /// Volume of the jugs poured together.
    #[serde(skip_serializing_if = "Option::is_none")]
    poured_ml: Option<f64>,
}

pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let jugs = jugs(&arguments.jug)?;
    let (mut fuel, poured_ml) = match arguments.make_ml {
        None if !jugs.is_empty() => {
            let poured = poured(arguments, &jugs)?;
            (FuelModel::from_blend(poured.blend), Some(poured.volume_ml))
        }
        _ => (arguments.fuel.load(&default_fuel()?)?, None),
    };
    let recipe = match arguments.make_ml {
        None => None,
        Some(volume_ml) => {
            let any_oil = arguments.any_oil || arguments.fuel.fuel.is_none() && arguments.fuel.castor_share.is_none();
            let wanted = Wanted {
                blend: fuel.blend,
                volume_ml,
                any_oil,
            };
            match shelf(&jugs, &arguments.add).mix(&wanted) {
                Ok(recipe) => {
                    // What comes out may differ in its oil.
                    fuel.blend.castor_share = recipe.result.blend.castor_share;
                    Some(recipe)
                }
                Err(error) => return cannot(&error),
            }
        }
    };
    let report = report(&fuel, arguments.fuel_temperature_c, recipe, poured_ml)?;
    if arguments.answer.json {
        output::print_json(&report)?;
    } else {
        output::print(&words(&report))?;
    }
    Ok(Answer::Yes)
}

/// The jugs' contents, read.
fn jugs(arguments: &[JugArgument]) -> Result<Vec<Jug>, Failure> {
    if arguments.len() > 2 {
        return Err(Failure::Usage {
            flag: "--jug",
            what: format!("{} jugs", arguments.len()),
            allowed: "one or two",
            remedy: "pour two of them together first: name the two without --make-ml",
        });
    }
    let read = |jug: &JugArgument| {
        let blend = match &jug.contents {
            Contents::Blend(blend) => *blend,
            Contents::Named(name) => models::fuel(name)?.blend,
        };
        Ok(Jug {
            blend,
            volume_ml: jug.volume_ml,
        })
    };
    arguments.iter().map(read).collect()
}

/// What two jugs make together.
fn poured(arguments: &Arguments, jugs: &[Jug]) -> Result<Jug, Failure> {
    let refuse = |what: &str| Failure::Usage {
        flag: "--jug",
        what: what.to_string(),
        allowed: "two jugs with their volumes, to pour them together; or --make-ml with the fuel that is wanted",
        remedy: "write for example --jug race-25=800 --jug sport-10=400",
    };
    if arguments.fuel.is_given() || !arguments.add.is_empty() {
        return Err(refuse("a wanted fuel or pure parts, but not how much is wanted"));
    }
    match *jugs {
        [first, second] if first.volume_ml.is_finite() && second.volume_ml.is_finite() => {
            let together = mix_two(first, second);
            if together.volume_ml > 0.0 {
                Ok(together)
            } else {
                Err(refuse("both jugs are empty"))
            }
        }
        [_, _] => Err(refuse("a jug without a volume")),
        _ => Err(refuse("one jug alone")),
    }
}

/// What there is to mix from.
fn shelf(jugs: &[Jug], pure: &[Pure]) -> Shelf {
    let none = Jug {
        blend: Blend {
            nitro_percent: 0.0,
            oil_percent: 0.0,
            castor_share: 0.0,
        },
        volume_ml: 0.0,
    };
    let plenty = |part: Pure| if pure.contains(&part) { f64::INFINITY } else { 0.0 };
    Shelf {
        jugs: [
            jugs.first().copied().unwrap_or(none),
            jugs.get(1).copied().unwrap_or(none),
        ],
        methanol_ml: plenty(Pure::Methanol),
        nitromethane_ml: plenty(Pure::Nitromethane),
        castor_oil_ml: plenty(Pure::CastorOil),
        synthetic_oil_ml: plenty(Pure::SyntheticOil),
    }
}

/// The answer when there is no recipe: it ran, and the answer is no.
fn cannot(error: &MixError) -> Result<Answer, Failure> {
    output::say(&format!("it can't be mixed: {error}"));
    Ok(Answer::No)
}

fn report(
    model: &FuelModel,
    fuel_temperature_c: f64,
    recipe: Option<Recipe>,
    poured_ml: Option<f64>,
) -> Result<Report, Failure> {
    let fuel = model.fuel();
    let heat = HeatRelease::fit(&fuel)?;
    // Equivalence ratios of 0.5 to 3.0 by tenths.
    let heat_per_kg_air_mj = (5..=30)
        .map(|tenths| f64::from(tenths) / 10.0)
        .map(|phi| [phi, heat.at(phi) / 1e6]);
    Ok(Report {
        name: model.name.clone(),
        nitro_percent: model.blend.nitro_percent,
        oil_percent: model.blend.oil_percent,
        castor_share: model.blend.castor_share,
        density_kg_per_m3: fuel.density_20c,
        air_fuel_ratio: fuel.stoichiometric_air_fuel_ratio,
        lower_heating_value_mj_per_kg: fuel.lower_heating_value / 1e6,
        latent_heat_kj_per_kg: fuel.latent_heat / 1e3,
        viscosity_mpa_s: fuel.viscosity(kelvin_from_celsius(fuel_temperature_c)) * 1e3,
        fuel_temperature_c,
        heat_per_kg_air_mj: heat_per_kg_air_mj.collect(),
        best_heat_equivalence_ratio: heat.peak_phi(),
        recipe,
        poured_ml,
    })
}

fn words(report: &Report) -> String {
    // Writing to a string can't fail.
    let mut text = String::new();
    if let Some(recipe) = &report.recipe {
        let _ = writeln!(text, "pour together");
        let parts = [
            ("first jug", recipe.jugs[0]),
            ("second jug", recipe.jugs[1]),
            ("methanol", recipe.methanol),
            ("nitromethane", recipe.nitromethane),
            ("castor oil", recipe.castor_oil),
            ("synthetic oil", recipe.synthetic_oil),
        ];
        for (name, part) in parts.iter().filter(|(_, part)| part.volume_ml > 0.0) {
            let _ = writeln!(text, "  {name:16} {:9.1} ml  {:9.1} g", part.volume_ml, part.mass_g);
        }
        let Jug { blend, volume_ml } = recipe.result;
        let castor_percent = 100.0 * blend.castor_share;
        let _ = writeln!(
            text,
            "  which makes      {volume_ml:9.1} ml of {:.2} % nitro, {:.2} % oil ({castor_percent:.0} % of it castor)",
            blend.nitro_percent, blend.oil_percent
        );
    }
    if let Some(volume_ml) = report.poured_ml {
        let _ = writeln!(text, "poured together    {volume_ml:.1} ml");
    }
    let _ = write!(
        text,
        "fuel               {}\n\
         blend              {:.2} % nitromethane, {:.2} % oil ({:.0} % of it castor), the rest methanol, by volume\n\
         air-fuel ratio     {:.3} kg/kg, stoichiometric, oil not burning\n\
         heating value      {:.2} MJ/kg, lower, oil not burning\n\
         latent heat        {:.0} kJ/kg\n\
         density            {:.1} kg/m³ at 20 °C\n\
         viscosity          {:.2} mPa·s at {:.0} °C (mixing rules for oil in alcohol differ by a factor of two)\n\
         most heat          at an equivalence ratio of {:.2}{}\n\
         heat per kg of air, MJ (constant volume from 600 K, 8 bar; when very rich an upper bound)\n",
        report.name,
        report.nitro_percent,
        report.oil_percent,
        100.0 * report.castor_share,
        report.air_fuel_ratio,
        report.lower_heating_value_mj_per_kg,
        report.latent_heat_kj_per_kg,
        report.density_kg_per_m3,
        report.viscosity_mpa_s,
        report.fuel_temperature_c,
        report.best_heat_equivalence_ratio,
        if report.best_heat_equivalence_ratio > 3.95 {
            " or beyond"
        } else {
            ""
        },
    );
    for [phi, heat] in report.heat_per_kg_air_mj.iter().step_by(5) {
        let _ = writeln!(text, "  equivalence ratio {phi:.1}  {heat:.3}");
    }
    text
}
