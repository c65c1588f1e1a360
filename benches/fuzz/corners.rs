//! Corners of what is allowed: engines, laws, fuels, weather and settings with each number at its least, its most or as it is.
//! Whatever they are, the engine's course is all of numbers.

use needlebench::bench::manoeuvre::{Manoeuvre, Segment};
use needlebench::config::built_in::ENGINES;
use needlebench::config::{FuelModel, reference_setup};
use needlebench::engine::Setup;
use needlebench::engine::params::{EngineParams, HeatRange, LawParams, Setting};
use needlebench::engine::state::Load;
use needlebench::fluids::air::{Air, Weather};
use needlebench::fluids::fuel::Blend;
use needlebench::fluids::heat_release::HeatRelease;

use super::draw::Draw;
use super::finite::course;
use super::{Outcome, Subject};

/// Fuels in reserve: their heat takes longer to compute than a course to run.
const FUELS: usize = 24;

/// The reference engine, and fuels at the corners with their heat.
pub struct Corners {
    setting: Setting,
    fuels: Vec<(Blend, Setup)>,
}

impl Corners {
    pub fn new() -> Self {
        let (engine, setup) = reference_setup(ENGINES[0].name).expect("built in");
        let mut fuels = Vec::new();
        for nitro_percent in [0.0, 20.0, 60.0, 100.0] {
            for oil_percent in [0.0, 12.0, 60.0_f64] {
                for castor_share in [0.0, 1.0] {
                    let oil_percent = oil_percent.min(100.0 - nitro_percent);
                    let blend = Blend {
                        nitro_percent,
                        oil_percent,
                        castor_share,
                    };
                    let fuel = FuelModel::from_blend(blend).fuel();
                    // The few whose heat has no equilibrium are refused by every command.
                    if let Ok(heat) = HeatRelease::fit(&fuel) {
                        fuels.push((blend, Setup { fuel, heat, ..setup }));
                    }
                }
            }
        }
        assert!((FUELS / 2..=FUELS).contains(&fuels.len()));
        Self {
            setting: engine.reference,
            fuels,
        }
    }
}

/// As it is, at its least or at its most; `mild` of ten times as it is.
fn corner(draw: &mut Draw, mild: usize, value: &mut f64, low: f64, high: f64) {
    match draw.below(10) {
        at if at < mild => {}
        at if at % 2 == 0 => *value = low,
        _ => *value = high,
    }
}

impl Subject for Corners {
    fn attempt(&mut self, draw: &mut Draw, shown: &mut String) -> Outcome {
        let (blend, mut setup) = draw.pick(&self.fuels).to_owned();
        let mild = draw.below(10);
        for (group, keys) in EngineParams::GROUPS {
            for key in *keys {
                if let Some(value) = setup.engine.get_mut(group, key.name) {
                    corner(draw, mild, value, key.low, key.high);
                }
            }
        }
        let laws_mild = draw.below(11);
        for (group, keys) in LawParams::GROUPS {
            for key in *keys {
                if let Some(value) = setup.laws.get_mut(group, key.name) {
                    corner(draw, laws_mild, value, key.low, key.high);
                }
            }
        }
        for key in HeatRange::KEYS {
            if let Some(value) = setup.range.get_mut(key.name) {
                corner(draw, mild, value, key.low, key.high);
            }
        }
        let mut weather = Weather::REFERENCE;
        let (cold, hot) = (*Weather::TEMPERATURE_C.start(), *Weather::TEMPERATURE_C.end());
        corner(draw, 3, &mut weather.temperature_c, cold, hot);
        let (low, high) = (*Weather::PRESSURE_HPA.start(), *Weather::PRESSURE_HPA.end());
        corner(draw, 3, &mut weather.pressure_hpa, low, high);
        corner(draw, 3, &mut weather.humidity_percent, 0.0, 100.0);
        setup.air = Air::new(&weather);
        let mut setting = self.setting;
        corner(draw, 5, &mut setting.high_turns, 0.0, 8.0);
        corner(draw, 5, &mut setting.low_turns, 0.0, 8.0);
        corner(draw, 5, &mut setting.idle_turns, 0.0, 6.0);
        let load = *draw.pick(&[Load::Stand, Load::Track, Load::Brake(50.0), Load::Brake(833.0)]);
        let mut segments = Vec::new();
        for _ in 0..6 {
            let throttle = *draw.pick(&[0.0, 1.0, 0.5, 0.05]);
            let mut segment = Segment::hold(throttle, *draw.pick(&[0.05, 0.3, 1.0]));
            segment.load = Some(load);
            segment.line_open = Some(if draw.once_in(8) { 0.0 } else { 1.0 });
            segments.push(segment);
        }
        let manoeuvre: Manoeuvre = segments.into_iter().collect();
        *shown = format!(
            "{blend:?} {weather:?} {setting:?} {manoeuvre:?} {:?} {:?} {:?}",
            setup.engine, setup.range, setup.laws
        );
        let (revolutions, fault) = course(&setup, setting, &manoeuvre);
        Outcome {
            tried: 1,
            parsed: 1,
            revolutions,
            fault,
            ..Outcome::default()
        }
    }
}
