//! What else could be changed besides the screws, and what it does there: a shim under the head, the plug's heat range, an insert in the
//! carburettor's throat. Each is tried in the model with the needles set to the same mixture again.

use serde::Serialize;

use super::place::Solver;
use super::{Left, Place, apart};
use crate::bench::checks::Failed;
use crate::config::{SetupError, models};
use crate::engine::Setup;
use crate::engine::params::Geometry;
use crate::tuning::usual::Usual;
use crate::units::{cubic_metre_from_ml, metre_from_mm};

/// Thickness of a shim, mm (common practice: they come in tenths).
const SHIM_MM: f64 = 0.1;
/// Bore of an insert over that of the open throat (assumed).
const INSERT_BORE_SHARE: f64 = 0.9;

/// A part that can be changed.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "part", rename_all = "snake_case")]
pub enum Part {
    /// A shim under the head put in (positive) or taken out.
    Shim {
        /// Thickness, mm.
        shim_mm: f64,
        /// Compression ratio with it.
        compression_ratio: f64,
    },
    /// Another plug.
    Plug {
        /// Its name.
        plug: String,
    },
    /// A ring in the carburettor's throat.
    Insert {
        /// Its bore over that of the throat.
        bore_share: f64,
    },
}

/// A lever, and what it does at the clean setting of the day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lever {
    /// The part.
    #[serde(flatten)]
    pub part: Part,
    /// Power at full throttle against that without it, percent.
    pub power_percent: Option<f64>,
    /// Head at full throttle hotter by, K.
    pub head_k: Option<f64>,
    /// Detonation index at full throttle.
    pub detonation_index: Option<f64>,
    /// Fuel at full throttle against that without it, percent.
    pub fuel_percent: Option<f64>,
    /// What it asks of the screws for the same mixture, turns: high, low, idle.
    pub turns: [f64; 3],
    /// What fails then; nothing is clean.
    pub failed: Failed,
}

/// Compression ratio with a shim of this thickness, m, over a cylinder whose stroke is its bore.
fn shimmed(geometry: &Geometry, thickness: f64) -> f64 {
    let swept = cubic_metre_from_ml(geometry.displacement_cm3);
    let bore = geometry.bore();
    let clearance = swept / (geometry.compression_ratio - 1.0) + 0.25 * std::f64::consts::PI * bore * bore * thickness;
    1.0 + swept / clearance.max(1e-12)
}

/// The levers that this engine has in the model, with the setups that they make.
fn parts(place: &Place, setup: &Setup) -> Result<Vec<(Part, Setup)>, SetupError> {
    let mut all = Vec::new();
    for shim_mm in [SHIM_MM, -SHIM_MM] {
        let compression_ratio = shimmed(&setup.engine.geometry, metre_from_mm(shim_mm));
        let mut changed = *setup;
        changed.engine.geometry.compression_ratio = compression_ratio;
        all.push((
            Part::Shim {
                shim_mm,
                compression_ratio,
            },
            changed,
        ));
    }
    for name in models::plug_names() {
        let plug = models::plug(name)?;
        if plug.range != place.models.plug.range {
            let mut changed = *setup;
            changed.range = plug.range;
            all.push((Part::Plug { plug: plug.name }, changed));
        }
    }
    let mut changed = *setup;
    changed.engine.carburettor.throttle_flow_area_mm2 *= INSERT_BORE_SHARE * INSERT_BORE_SHARE;
    all.push((
        Part::Insert {
            bore_share: INSERT_BORE_SHARE,
        },
        changed,
    ));
    Ok(all)
}

/// What each does at the clean setting `left`.
pub(super) fn levers(solver: &Solver, place: &Place, left: &Left) -> Result<Vec<Lever>, SetupError> {
    let usual = Usual {
        setup: solver.setup(),
        setting: left.setting,
        ..solver.usual(solver.known())
    };
    let was = &left.report.symptoms;
    let lever = |(part, setup): (Part, Setup)| {
        let setting = usual.same_on(&setup);
        let report = usual.judging_as_checked(&setup).check(&setup, setting);
        let is = &report.symptoms;
        let percent = |is: Option<f64>, was: Option<f64>| is.zip(was).map(|(is, was)| 100.0 * (is / was - 1.0));
        Lever {
            part,
            power_percent: percent(is.full_throttle_power_w, was.full_throttle_power_w),
            head_k: is
                .head_temperature_c
                .zip(was.head_temperature_c)
                .map(|(is, was)| is - was),
            detonation_index: is.detonation_index,
            fuel_percent: percent(is.fuel_flow_full_g_per_s, was.fuel_flow_full_g_per_s),
            turns: apart(setting, left.setting),
            failed: report.failing(),
        }
    };
    Ok(parts(place, solver.setup())?.into_iter().map(lever).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::reference_setup;

    #[test]
    fn a_shim_lowers_the_compression_and_none_leaves_it() {
        let (_, setup) = reference_setup("offroad-3.5").unwrap();
        let geometry = &setup.engine.geometry;
        let ratio = geometry.compression_ratio;
        assert!((shimmed(geometry, 0.0) - ratio).abs() < 1e-12);
        // 3.5 cm³ with stroke = bore: bore 16.46 mm, a tenth of a millimetre over it 21.3 mm³.
        let by_hand = 1.0 + 3500.0 / (3500.0 / (ratio - 1.0) + 21.27);
        assert!((shimmed(geometry, 1e-4) - by_hand).abs() < 1e-3);
        assert!(shimmed(geometry, -1e-4) > ratio);
    }
}
