//! The constants under search: which, within what range, where one would guess them, and a trial of them on the reference engine.

use needlebench::bench::manoeuvre::table;
use needlebench::bench::measures::Steadily;
use needlebench::bench::rig::Rig;
use needlebench::engine::Setup;
use needlebench::engine::params::{EngineParams, Key, LawParams, Origin, Setting};
use needlebench::engine::state::Load;

/// Constants outside the search: set by retuning, or bound by no row.
const FIXED: &[&str] = &["high_gap_per_lift", "low_gap_per_lift", "signal_reference_opening"];

/// Where a belief is narrower than what a file may say: a free search would trade these away for a row.
const BELIEFS: &[(&str, f64, f64)] = &[
    ("throttle_exponent", 1.3, 2.2),
    ("evaporation_per_s", 0.06, 0.3),
    ("shear_exponent", 1.4, 2.2),
    ("shear_per_s", 4.0, 20.0),
    ("plug_light_off_k", 550.0, 720.0),
    ("firing_rise_k", 100.0, 350.0),
    ("lag_s", 0.1, 1.0),
    ("pressure_lag_s", 0.2, 3.0),
    ("crankcase_capacity_j_per_k", 60.0, 300.0),
];

/// Where one would guess a constant before any row: the orders of size in the sources named beside them in `models/`. A constant
/// that stands in no row's way ends here.
const GUESSES: &[(&str, f64)] = &[
    ("signal_share_idle", 0.0225),
    ("signal_share_open", 0.62),
    ("signal_onset_opening", 0.1),
    ("signal_span_opening", 0.8),
    ("pressure_wide_open_kpa", 6.5),
    ("pressure_lag_s", 0.5),
    ("port_cutoff_rev_per_s", 660.0),
    ("pipe_half_width_rev_per_s", 110.0),
    ("scavenging_gain", 1.0),
    ("vaporised_kg_per_kg", 0.15),
    ("vaporised_per_k", 0.0012),
    ("carry_through_rev_per_s", 250.0),
    ("evaporation_per_s", 0.08),
    ("shear_per_s", 8.0),
    ("shear_exponent", 1.5),
    ("trapping_noise", 0.03),
    ("release_noise", 0.05),
    ("best_burnt_share", 0.98),
    ("dilution_limit", 0.6),
    ("dilution_width", 0.015),
    ("limit_per_plug_k", 0.0004),
    ("limit_per_charge_k", 0.0008),
    ("reference_charge_temperature_k", 480.0),
    ("rich_span", 0.75),
    ("lean_span", 0.5),
    ("plug_light_off_k", 620.0),
    ("plug_light_off_width_k", 25.0),
    ("best_efficiency", 0.4),
    ("efficiency_half_speed_rev_per_s", 150.0),
    ("phase_per_equivalence_ratio_deg", 28.0),
    ("phase_reference_equivalence_ratio", 1.3),
    ("phase_per_speed_deg", 22.0),
    ("phase_low_speed_limit", 0.45),
    ("plug_quench_k_per_deg", 16.0),
    ("catalytic_rise_k", 320.0),
    ("catalytic_light_off_k", 600.0),
    ("firing_rise_k", 200.0),
    ("firing_rise_speed_k", 190.0),
    ("lag_s", 0.4),
    ("base_bar", 1.0),
    ("per_100_rev_per_s_bar", 0.15),
    ("per_100_rev_per_s_squared_bar", 0.03),
    ("pumping_bar", 0.3),
    ("cold_per_k", 0.008),
    ("evaporation_share", 0.25),
    ("head_share_detonation", 0.8),
    ("head_capacity_j_per_k", 320.0),
    ("dilution", 20.0),
    ("oil_burnt_share", 0.6),
    ("carry_flow_cm3_per_s", 300.0),
    ("wall_clear_s", 0.6),
];

#[derive(Clone, Copy)]
pub struct Trial {
    pub setup: Setup,
    /// Equivalence ratios that the reference setting shall meter, at idle and wide open.
    pub idle: f64,
    pub full: f64,
}

/// One constant under search, and the range in which it is searched.
#[derive(Clone, Copy)]
pub struct Free {
    pub place: Place,
    pub low: f64,
    pub high: f64,
}

#[derive(Clone, Copy)]
pub enum Place {
    Engine(&'static str, &'static str),
    Law(&'static str, &'static str),
    Idle,
    Full,
}

impl Free {
    pub fn guess(&self, now: f64) -> f64 {
        match self.place {
            Place::Engine(_, key) | Place::Law(_, key) => GUESSES
                .iter()
                .find(|g| g.0 == key)
                .map_or(now, |g| g.1)
                .clamp(self.low, self.high),
            Place::Idle | Place::Full => now,
        }
    }
}

pub fn free() -> Vec<Free> {
    // A logarithm wants a value above 0.
    let bounded = |place, key: &Key| {
        let (low, high) = BELIEFS
            .iter()
            .find(|b| b.0 == key.name)
            .map_or((key.low, key.high), |b| (b.1, b.2));
        Free {
            place,
            low: low.max(high * 1e-4),
            high,
        }
    };
    let wanted = |key: &&Key| key.origin == Origin::assumed && !FIXED.contains(&key.name);
    let mut list = vec![
        Free {
            place: Place::Idle,
            low: 1.0,
            high: 1.6,
        },
        Free {
            place: Place::Full,
            low: 1.1,
            high: 1.6,
        },
    ];
    for (group, keys) in EngineParams::GROUPS {
        list.extend(
            keys.iter()
                .filter(wanted)
                .map(|key| bounded(Place::Engine(group, key.name), key)),
        );
    }
    for (group, keys) in LawParams::GROUPS.iter().filter(|(group, _)| *group != "wear") {
        list.extend(
            keys.iter()
                .filter(wanted)
                .map(|key| bounded(Place::Law(group, key.name), key)),
        );
    }
    list
}

/// Equivalence ratio at a short look on the brake.
pub fn mixture(setup: &Setup, setting: Setting, speed: f64, throttle: f64) -> f64 {
    let mut rig = Rig::warm(setup, setting, 1).with_load(Load::Brake(speed));
    let eyes = rig.play(&table::steady(throttle, 0.7, 0.3), Steadily::default());
    eyes.steady().equivalence_ratio
}

impl Trial {
    pub fn slot(&mut self, place: Place) -> Option<&mut f64> {
        match place {
            Place::Idle => Some(&mut self.idle),
            Place::Full => Some(&mut self.full),
            Place::Engine(group, key) => self.setup.engine.get_mut(group, key),
            Place::Law(group, key) => self.setup.laws.get_mut(group, key),
        }
    }

    /// The trial at a point of the search.
    pub fn at(mut self, list: &[Free], point: &[f64], setting: Setting) -> Self {
        for (free, x) in list.iter().zip(point) {
            if let Some(slot) = self.slot(free.place) {
                *slot = x.exp();
            }
        }
        self.retune(setting);
        self
    }

    /// Sets both needles' gaps so that the reference setting meters the wanted mixtures; the brake carries an engine that would die.
    pub fn retune(&mut self, setting: Setting) {
        for _ in 0..7 {
            let full = mixture(&self.setup, setting, 500.0, 1.0);
            let gap = &mut self.setup.engine.carburettor.high_gap_per_lift;
            *gap = (*gap * (self.full / full).powf(0.6)).clamp(0.005, 0.2);
            let idle = mixture(&self.setup, setting, 170.0, 0.0);
            let gap = &mut self.setup.engine.carburettor.low_gap_per_lift;
            *gap = (*gap * (self.idle / idle).powf(0.4)).clamp(0.005, 0.2);
        }
    }
}
