//! Files of engines, fuels, plugs, laws and scenarios: the built-in ones with a few changes. What is refused is told at its place
//! in one line; what is accepted runs.

use needlebench::bench::manoeuvre::Manoeuvre;
use needlebench::config::built_in::{ENGINES, FUELS, LAWS, PLUGS};
use needlebench::config::ensemble::ENSEMBLE;
use needlebench::config::{
    ConfigError, EngineModel, Ensemble, FuelModel, Kind, PlugModel, Source, Table, reference_setup, schema,
};
use needlebench::engine::Setup;
use needlebench::engine::params::Setting;
use needlebench::fluids::heat_release::HeatRelease;
use needlebench::tuning::scenario::{SCENARIOS, Scenario};

use super::draw::Draw;
use super::finite::course;
use super::{Outcome, Subject};

/// What a file is called in messages.
const NAME: &str = "changed.toml";

/// The files to change, and what an accepted one is put into.
pub struct Files {
    texts: Vec<String>,
    setup: Setup,
    setting: Setting,
    manoeuvre: Manoeuvre,
}

/// Without its comments: a change in them changes nothing.
fn bare(text: &str) -> String {
    let code = |line: &str| line.split(" #").next().unwrap_or_default().trim_end().to_string();
    let lines: Vec<String> = text.lines().filter(|line| !line.starts_with('#')).map(code).collect();
    lines.join("\n") + "\n"
}

impl Files {
    pub fn new() -> Self {
        let (engine, setup) = reference_setup(ENGINES[0].name).expect("built in");
        let files = ENGINES
            .iter()
            .chain(FUELS)
            .chain(PLUGS)
            .chain([&LAWS, &ENSEMBLE])
            .chain(SCENARIOS);
        Self {
            texts: files.map(|file| bare(file.text)).collect(),
            setup,
            setting: engine.reference,
            manoeuvre: Manoeuvre::along(&[(0.0, 0.0), (0.1, 1.0), (0.3, 1.0), (0.4, 0.0)]),
        }
    }

    /// Reads the file as what it is; an engine to run, if it changes one.
    fn read(&self, source: &Source) -> Result<Option<(Setup, Setting)>, ConfigError> {
        if Table::root(source)?.has(Scenario::OWN_TABLE) {
            return Scenario::read(source).map(|_| None);
        }
        let (mut setup, mut setting) = (self.setup, self.setting);
        match Kind::of(source)? {
            Kind::Engine => {
                let model = EngineModel::read(source)?;
                (setup.engine, setting) = (model.params, model.reference);
            }
            Kind::Fuel => {
                setup.fuel = FuelModel::read(source)?.fuel();
                // A fuel whose heat has no equilibrium is refused in words of its own.
                let Ok(heat) = HeatRelease::fit(&setup.fuel) else {
                    return Ok(None);
                };
                setup.heat = heat;
            }
            Kind::Plug => setup.range = PlugModel::read(source)?.range,
            Kind::Laws => setup.laws = schema::read_laws(source)?,
            Kind::Ensemble => {
                let ensemble = Ensemble::read(source)?;
                ensemble.apply("offroad-3.5", 0, &mut setup.engine, &mut setup.laws);
            }
        }
        Ok(Some((setup, setting)))
    }
}

/// What is wrong with a message: it begins with its place, in one line.
fn wrong_with(message: &str, lines: usize) -> Option<String> {
    let place = message.strip_prefix(NAME)?.strip_prefix(':')?;
    let mut numbers = place.splitn(3, ':').map(str::parse::<usize>);
    let at_a_place = matches!((numbers.next(), numbers.next()), (Some(Ok(line)), Some(Ok(column)))
        if (1..=lines).contains(&line) && column >= 1);
    (!at_a_place || message.contains('\n')).then(|| format!("a message without a place or of several lines: {message}"))
}

impl Subject for Files {
    fn attempt(&mut self, draw: &mut Draw, shown: &mut String) -> Outcome {
        let which = draw.below(self.texts.len());
        *shown = draw.change(&self.texts[which]);
        let source = Source::new(NAME, shown);
        let parsed = u64::from(Table::root(&source).is_ok());
        let mut outcome = Outcome {
            tried: 1,
            parsed,
            ..Outcome::default()
        };
        match self.read(&source) {
            Ok(None) => {}
            Ok(Some((setup, setting))) => {
                (outcome.revolutions, outcome.fault) = course(&setup, setting, &self.manoeuvre);
            }
            Err(error) => {
                outcome.refused = 1;
                outcome.fault = match error.to_string() {
                    message if message.starts_with(NAME) => wrong_with(&message, shown.split('\n').count()),
                    message => Some(format!("a message that doesn't name its file: {message}")),
                };
            }
        }
        outcome
    }
}
