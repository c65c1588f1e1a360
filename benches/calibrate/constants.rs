//! The constants under search: which, within what range, where one would guess them, and a trial of them on the reference engine.

use needlebench::bench::manoeuvre::table;
use needlebench::bench::measures::{Steadily, Steady};
use needlebench::bench::player::{Play, play};
use needlebench::bench::rig;
use needlebench::engine::params::{EngineParams, Key, LawParams, Origin, Setting};
use needlebench::engine::state::Load;
use needlebench::engine::{Engine, Setup};
use needlebench::units::rev_per_second_from_rpm;

/// Constants outside the search: set by retuning, or bound by no row.
const FIXED: &[&str] = &[
    "high_gap_per_lift",
    "low_gap_per_lift",
    "signal_reference_opening",
    "reference_charge_temperature_k",
    "warming_lag_s",
    "draught_s",
    "line_area_mm2",
    "foam_flow_share",
    "clean_filter_area_ratio",
];

/// Where a belief is narrower than what a file may say: a free search would trade these away for a row.
const BELIEFS: &[(&str, f64, f64)] = &[
    ("annand_coefficient", 0.12, 0.5),
    ("gas_rise_share", 0.35, 0.75),
    ("wall_phase_gain", 0.2, 2.0),
    ("crown_part", 0.25, 0.55),
    ("vapour_wall_share", 0.5, 0.97),
    ("droplet_wall_share", 0.02, 0.6),
    ("crankcase_charge_heating", 0.15, 0.6),
    ("crown_charge_heating", 0.1, 0.6),
    ("wall_detonation_gain", 0.2, 2.5),
    ("friction_crankcase_share", 0.3, 0.8),
    ("pipe_gas_share", 0.35, 0.8),
    ("crown_capacity_j_per_k", 2.0, 7.0),
    ("crown_to_crankcase_w_per_k", 0.5, 3.5),
    ("head_capacity_j_per_k", 100.0, 400.0),
    ("head_still_air_w_per_k", 0.6, 2.0),
    ("head_moving_air_w_per_k", 0.6, 6.0),
    ("head_to_crankcase_w_per_k", 0.4, 2.5),
    ("crankcase_to_air_w_per_k", 1.0, 5.0),
    ("diagram_factor", 0.6, 1.05),
    ("wall_heat_early_part", 0.35, 0.85),
    ("phase_per_equivalence_ratio_deg", 20.0, 130.0),
    ("phase_reference_equivalence_ratio", 1.06, 1.25),
    ("phase_of_fastest_burn_deg", 1.0, 20.0),
    ("open_time_share", 0.15, 0.9),
    ("wall_phased_part", 0.1, 0.9),
    ("phase_per_speed_deg", 10.0, 40.0),
    ("phase_per_dilution_deg", 60.0, 320.0),
    ("hot_advance_deg", 12.0, 90.0),
    ("self_ignition_ratio", 0.002, 5.0),
    ("self_ignition_activation_k", 9000.0, 18000.0),
    ("phase_low_speed_limit", 0.2, 0.8),
    ("phase_half_width_deg", 20.0, 50.0),
    ("detonation_margin_deg", 1.0, 12.0),
    ("detonation_per_compression_deg", 0.3, 2.5),
    ("detonation_per_head_deg", 0.2, 2.0),
    ("detonation_per_charge_deg", 0.1, 1.5),
    ("best_burnt_share", 0.86, 0.985),
    ("dilution_limit", 0.45, 0.85),
    ("dilution_width_share", 0.012, 0.06),
    ("limit_per_plug_k", 0.0001, 0.0015),
    ("limit_per_charge_k", 0.0002, 0.0015),
    ("rich_span", 0.45, 1.4),
    ("lean_span", 0.5, 0.72),
    ("vaporised_kg_per_kg", 0.12, 0.38),
    ("landing_softness", 0.1, 0.5),
    ("carry_through_rev_per_s", 100.0, 1500.0),
    ("evaporation_per_s", 0.05, 0.2),
    ("shear_per_s", 2.0, 12.0),
    ("trapping_noise", 0.02, 0.06),
    ("release_noise", 0.02, 0.1),
    ("base_bar", 0.7, 1.6),
    ("per_100_rev_per_s_bar", 0.08, 0.25),
    ("per_100_rev_per_s_squared_bar", 0.015, 0.05),
    ("pumping_bar", 0.15, 0.7),
    ("catalytic_rise_k", 250.0, 480.0),
    ("firing_rise_k", 110.0, 350.0),
    ("firing_rise_speed_k", 80.0, 250.0),
    ("wet_cooling_k", 40.0, 500.0),
    ("lag_s", 0.15, 0.9),
    ("port_delivery_ratio", 0.7, 1.05),
    ("port_cutoff_rev_per_s", 520.0, 800.0),
    ("pipe_gain", 0.12, 0.4),
    ("pipe_half_width_rev_per_s", 70.0, 180.0),
    ("scavenging_gain", 0.9, 1.5),
    ("travel_per_rev_mm", 27.0, 34.0),
    ("throttle_exponent", 1.3, 2.0),
    ("throttle_flow_area_mm2", 12.5, 20.0),
    ("pipe_reference_temperature_c", 320.0, 400.0),
    ("signal_share_idle", 0.008, 0.04),
    ("signal_share_open", 0.55, 0.95),
    ("signal_onset_opening", 0.1, 0.22),
    ("signal_span_opening", 0.6, 0.9),
    ("high_length_mm", 0.05, 1.2),
    ("low_length_mm", 0.052, 0.6),
    ("low_flare_mm", 2.0, 40.0),
    ("jet_exchange_mg_per_s", 8.0, 50.0),
    ("body_warming_share", 0.3, 0.9),
    ("warming_share", 0.08, 0.4),
    ("pressure_wide_open_kpa", 2.5, 9.0),
    ("stand_drag_n_mm", 40.0, 220.0),
    ("rolling_drag_n", 3.0, 18.0),
    ("drag_area_cm2", 200.0, 1500.0),
    ("oil_burnt_share", 0.4, 0.88),
    ("dilution", 12.0, 40.0),
    ("carry_flow_cm3_per_s", 80.0, 600.0),
    ("wall_clear_s", 0.2, 1.2),
];

/// Where one would guess a constant before any row: the orders of size in the sources named beside them in `models/`. A constant
/// that stands in no row's way ends here.
const GUESSES: &[(&str, f64)] = &[
    ("annand_coefficient", 0.3),
    ("gas_rise_share", 0.5),
    ("wall_phase_gain", 0.9),
    ("crown_part", 0.4),
    ("vapour_wall_share", 0.8),
    ("droplet_wall_share", 0.15),
    ("crankcase_charge_heating", 0.35),
    ("crown_charge_heating", 0.35),
    ("wall_detonation_gain", 0.8),
    ("friction_crankcase_share", 0.55),
    ("pipe_gas_share", 0.55),
    ("crown_capacity_j_per_k", 3.8),
    ("crown_to_crankcase_w_per_k", 1.6),
    ("head_capacity_j_per_k", 190.0),
    ("head_still_air_w_per_k", 1.1),
    ("head_moving_air_w_per_k", 2.5),
    ("head_to_crankcase_w_per_k", 1.0),
    ("crankcase_to_air_w_per_k", 2.2),
    ("diagram_factor", 0.9),
    ("wall_heat_early_part", 0.6),
    ("phase_per_equivalence_ratio_deg", 60.0),
    ("phase_reference_equivalence_ratio", 1.13),
    ("phase_of_fastest_burn_deg", 5.0),
    ("open_time_share", 0.5),
    ("wall_phased_part", 0.5),
    ("phase_per_speed_deg", 20.0),
    ("phase_per_dilution_deg", 190.0),
    ("hot_advance_deg", 40.0),
    ("self_ignition_ratio", 0.2),
    ("self_ignition_activation_k", 14000.0),
    ("phase_low_speed_limit", 0.45),
    ("phase_half_width_deg", 30.0),
    ("detonation_margin_deg", 4.0),
    ("detonation_per_compression_deg", 0.8),
    ("detonation_per_head_deg", 0.8),
    ("detonation_per_charge_deg", 0.5),
    ("best_burnt_share", 0.94),
    ("dilution_limit", 0.65),
    ("dilution_width_share", 0.03),
    ("limit_per_plug_k", 0.0006),
    ("limit_per_charge_k", 0.0008),
    ("rich_span", 0.72),
    ("lean_span", 0.62),
    ("vaporised_kg_per_kg", 0.24),
    ("landing_softness", 0.22),
    ("carry_through_rev_per_s", 500.0),
    ("evaporation_per_s", 0.1),
    ("shear_per_s", 5.0),
    ("trapping_noise", 0.035),
    ("release_noise", 0.05),
    ("base_bar", 1.05),
    ("per_100_rev_per_s_bar", 0.15),
    ("per_100_rev_per_s_squared_bar", 0.028),
    ("pumping_bar", 0.35),
    ("catalytic_rise_k", 350.0),
    ("firing_rise_k", 180.0),
    ("firing_rise_speed_k", 150.0),
    ("wet_cooling_k", 150.0),
    ("lag_s", 0.45),
    ("port_delivery_ratio", 0.85),
    ("port_cutoff_rev_per_s", 640.0),
    ("pipe_gain", 0.25),
    ("pipe_half_width_rev_per_s", 110.0),
    ("scavenging_gain", 1.15),
    ("travel_per_rev_mm", 30.0),
    ("throttle_exponent", 1.65),
    ("throttle_flow_area_mm2", 16.0),
    ("pipe_reference_temperature_c", 370.0),
    ("signal_share_idle", 0.021),
    ("signal_share_open", 0.75),
    ("signal_onset_opening", 0.16),
    ("signal_span_opening", 0.78),
    ("high_length_mm", 0.2),
    ("low_length_mm", 0.15),
    ("low_flare_mm", 12.0),
    ("jet_exchange_mg_per_s", 20.0),
    ("body_warming_share", 0.6),
    ("warming_share", 0.2),
    ("pressure_wide_open_kpa", 5.0),
    ("stand_drag_n_mm", 105.0),
    ("rolling_drag_n", 8.0),
    ("drag_area_cm2", 600.0),
    ("oil_burnt_share", 0.7),
    ("dilution", 22.0),
    ("carry_flow_cm3_per_s", 250.0),
    ("wall_clear_s", 0.55),
];

#[derive(Clone, Copy)]
pub struct Trial {
    pub setup: Setup,
    /// Equivalence ratios that the reference setting shall meter, at idle and wide open.
    pub idle: f64,
    pub full: f64,
    /// Speed at which it shall idle, rpm.
    pub idle_rpm: f64,
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
    IdleSpeed,
}

impl Free {
    /// Its name, with its table's.
    pub fn name(&self) -> String {
        match self.place {
            Place::Engine(group, key) | Place::Law(group, key) => format!("{group}.{key}"),
            Place::Idle => "equivalence ratio at idle".to_owned(),
            Place::Full => "equivalence ratio wide open".to_owned(),
            Place::IdleSpeed => "idle speed, rpm".to_owned(),
        }
    }

    pub fn guess(&self, now: f64) -> f64 {
        match self.place {
            Place::Engine(_, key) | Place::Law(_, key) => GUESSES
                .iter()
                .find(|g| g.0 == key)
                .map_or(now, |g| g.1)
                .clamp(self.low, self.high),
            Place::Idle | Place::Full | Place::IdleSpeed => now,
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
        Free {
            place: Place::IdleSpeed,
            low: 10_000.0,
            high: 12_000.0,
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

/// Speed of the reference setting's idle, rpm.
pub fn idle_rpm(setup: &Setup, setting: Setting) -> f64 {
    looks(setup, &[setting], None, 0.0, 9.0)[0].rpm
}

impl Trial {
    /// An engine as it is: what its reference setting meters, and how fast it idles there, shall stay.
    pub fn of(setup: &Setup, setting: Setting) -> Self {
        let idle_rpm = idle_rpm(setup, setting);
        let mixture = |speed, (throttle, before_s)| {
            looks(setup, &[setting], Some(speed), throttle, before_s)[0].equivalence_ratio
        };
        Self {
            setup: *setup,
            idle: mixture(rev_per_second_from_rpm(idle_rpm), IDLE_LOOK),
            full: mixture(REFERENCE_SPEED, FULL_LOOK),
            idle_rpm,
        }
    }

    pub fn slot(&mut self, place: Place) -> Option<&mut f64> {
        match place {
            Place::Idle => Some(&mut self.idle),
            Place::Full => Some(&mut self.full),
            Place::IdleSpeed => Some(&mut self.idle_rpm),
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

    /// Sets both needles' gaps and the slide's closed opening so that the reference setting meters the wanted mixtures and idles as fast
    /// as wanted. A search that moved them itself would have to follow a narrow ridge: every constant moves the mixture.
    pub fn retune(&mut self, setting: Setting) {
        let speed = rev_per_second_from_rpm(self.idle_rpm);
        for round in 0..3 {
            let turns = solve(
                &self.setup,
                |k| setting.high_turns * 0.55 * (1.0_f64 / 0.55).powf(k / 11.5),
                |high_turns| Setting { high_turns, ..setting },
                (Some(REFERENCE_SPEED), FULL_LOOK),
                (|s| s.equivalence_ratio, self.full),
            );
            let c = &mut self.setup.engine.carburettor;
            c.high_gap_per_lift = (c.high_gap_per_lift * turns / setting.high_turns).clamp(0.005, 0.2);
            let opening = c.idle_opening_closed + c.idle_opening_per_turn * setting.idle_turns;
            let (pitch, raised, flare) = (c.needle_pitch_mm, opening * c.slide_travel_mm, c.low_flare_mm);
            let turns = solve(
                &self.setup,
                |k| 0.05 + 0.16 * k,
                |low_turns| Setting { low_turns, ..setting },
                (Some(speed), IDLE_LOOK),
                (|s| s.equivalence_ratio, self.idle),
            );
            let gap = |turns: f64| {
                let lift = turns * pitch + raised;
                lift * (1.0 + lift / flare)
            };
            let c = &mut self.setup.engine.carburettor;
            c.low_gap_per_lift = (c.low_gap_per_lift * gap(turns) / gap(setting.low_turns)).clamp(0.005, 0.2);
            if round == 2 {
                return;
            }
            // No clutch: it would hold every speed above its own.
            let mut free = self.setup;
            free.engine.drive.clutch_engage_rpm = 20_000.0;
            let turns = solve(
                &free,
                |k| setting.idle_turns - 3.0 + 0.3 * k,
                |idle_turns| Setting { idle_turns, ..setting },
                (None, (0.0, 9.0)),
                (|s| s.rpm, self.idle_rpm),
            );
            let c = &mut self.setup.engine.carburettor;
            let moved = c.idle_opening_per_turn * (turns - setting.idle_turns);
            c.idle_opening_closed = (c.idle_opening_closed + moved).clamp(0.012, 0.19);
        }
    }
}

/// Throttle of a short look, and the seconds before it: idling and wide open.
const IDLE_LOOK: (f64, f64) = (0.0, 2.0);
const FULL_LOOK: (f64, f64) = (1.0, 1.5);
/// Settings tried side by side.
const TRIES: usize = 24;
/// Speed on the brake, rev/s.
const REFERENCE_SPEED: f64 = 500.0;

/// The turns at which a short look (brake if any, throttle, seconds before) finds what is wanted, of tries side by side.
fn solve(
    setup: &Setup,
    turns: impl Fn(f64) -> f64,
    at: impl Fn(f64) -> Setting,
    (brake, (throttle, before_s)): (Option<f64>, (f64, f64)),
    (read, wanted): (fn(&Steady) -> f64, f64),
) -> f64 {
    let tries: Vec<f64> = (0..TRIES).map(|k| turns(k as f64)).collect();
    let settings: Vec<Setting> = tries.iter().map(|turns| at(*turns)).collect();
    let found: Vec<f64> = looks(setup, &settings, brake, throttle, before_s)
        .iter()
        .map(read)
        .collect();
    crossing(&tries, &found, wanted)
}

/// Short looks at many settings side by side, on a brake or free.
fn looks(setup: &Setup, settings: &[Setting], brake: Option<f64>, throttle: f64, before_s: f64) -> Vec<Steady> {
    let engine = Engine::new(setup);
    let plays = settings.iter().map(|setting| {
        let mut from = rig::warm(&engine, *setting, 1);
        if let Some(speed) = brake {
            from.controls.drive(Load::Brake(speed));
        }
        Play {
            from,
            manoeuvre: table::steady(throttle, before_s, 0.6),
            watch: Steadily::default(),
        }
    });
    play(&engine, plays).iter().map(|p| p.watch.steady()).collect()
}

/// Where a series over `x` first crosses `wanted`, in a straight line between two tries; the nearer end if it never does.
fn crossing(x: &[f64], y: &[f64], wanted: f64) -> f64 {
    let pair = (1..x.len()).find(|k| (y[k - 1] - wanted) * (y[*k] - wanted) <= 0.0 && y[*k] != y[k - 1]);
    match pair {
        Some(k) => x[k - 1] + (wanted - y[k - 1]) / (y[k] - y[k - 1]) * (x[k] - x[k - 1]),
        None if (y[0] - wanted).abs() < (y[y.len() - 1] - wanted).abs() => x[0],
        None => x[x.len() - 1],
    }
}
