//! Row S26: another compression ratio, and the engine scaled to another displacement, both from an engine without noise, each with the
//! best that its own high needle can give.

use super::power::{Best, best};
use super::{Asked, Change, Group, INF, Rows, Table, given, percent};
use crate::engine::Setup;
use crate::engine::params::EngineParams;

pub(super) const GROUP: Group = Group {
    name: "size",
    asks: || -> Vec<Asked> { Vec::new() },
    rows: &[s26_compression, s26_size],
};

/// The engine with areas, flows, inertias, torques and conductances in proportion to displacement (and speed, where the laws'
/// ratios ask for it).
pub fn scaled(engine: &EngineParams, volume: f64, speed: f64) -> EngineParams {
    let mut scaled = *engine;
    let e = &mut scaled;
    for value in [
        &mut e.geometry.displacement_cm3,
        &mut e.geometry.pipe_volume_cm3,
        &mut e.carburettor.line_store_mg,
        &mut e.tank.volume_ml,
        &mut e.drive.flywheel_inertia_kg_mm2,
        &mut e.drive.clutch_torque_n_mm,
        &mut e.drive.stand_inertia_kg_mm2,
        &mut e.drive.car_mass_kg,
        &mut e.drive.rolling_drag_n,
        &mut e.drive.drag_area_cm2,
        &mut e.cooling.head_capacity_j_per_k,
        &mut e.cooling.crankcase_capacity_j_per_k,
        &mut e.cooling.crown_capacity_j_per_k,
    ] {
        *value *= volume;
    }
    for value in [
        &mut e.carburettor.throttle_flow_area_mm2,
        &mut e.tank.nominal_exhaust_flow_g_per_s,
        &mut e.cooling.head_still_air_w_per_k,
        &mut e.cooling.head_moving_air_w_per_k,
        &mut e.cooling.head_to_crankcase_w_per_k,
        &mut e.cooling.crankcase_to_air_w_per_k,
        &mut e.cooling.crown_to_crankcase_w_per_k,
        &mut e.carburettor.line_area_mm2,
        &mut e.carburettor.jet_exchange_mg_per_s,
        // Wider needles for more fuel, so that lift and gap stay alike.
        &mut e.carburettor.high_perimeter_mm,
        &mut e.carburettor.low_perimeter_mm,
    ] {
        *value *= volume * speed;
    }
    for value in [
        &mut e.geometry.port_cutoff_rev_per_s,
        &mut e.geometry.pipe_tuned_rev_per_s,
        &mut e.geometry.pipe_half_width_rev_per_s,
    ] {
        *value *= speed;
    }
    // Declared at 500 rev/s: the same share of the torque at the engine's own speed.
    e.drive.stand_drag_n_mm *= volume / (speed * speed);
    scaled
}

/// Best power of the engine with other parts, without noise.
fn best_with(t: &Table, parts: impl FnOnce(&mut EngineParams)) -> Best {
    let mut setup: Setup = *t.setup();
    parts(&mut setup.engine);
    best(t.with_setup(&setup).swift(), Change::Nothing)[0]
}

/// Ratios tried, and the index from which an ear calls it knocking.
const RATIOS: std::ops::RangeInclusive<i32> = 8..=14;
const KNOCKS: f64 = 0.02;

fn s26_compression(t: &Table, rows: &mut Rows) {
    let with = |ratio: i32| best_with(t, |engine| engine.geometry.compression_ratio = f64::from(ratio));
    let tried: Vec<(f64, Best)> = RATIOS.map(|ratio| (f64::from(ratio), with(ratio))).collect();
    let power = |ratio: i32| {
        let best = tried[(ratio - RATIOS.start()) as usize].1;
        given(best.inside, best.power_w)
    };
    let gain = percent(power(12), power(8));
    rows.add(
        ("S26", "compression ratio 8 to 12: best power, %"),
        |_| gain,
        (3.0, 12.0),
        3.0,
    );
    // Where best power begins to knock; beyond what was tried it reads one more.
    let knocks = tried.iter().find(|tried| tried.1.detonation_index > KNOCKS);
    let knocks = knocks.map_or(f64::from(RATIOS.end() + 1), |tried| tried.0);
    rows.tell(("S26", "compression ratio at which best power knocks"), |_| knocks);
}

fn s26_size(t: &Table, rows: &mut Rows) {
    let own = t.setup().engine.geometry.displacement_cm3;
    let efficiency = |cm3: f64| {
        let best = best_with(t, |engine| *engine = scaled(engine, cm3 / own, 1.0));
        given(best.inside, best.efficiency_percent)
    };
    let (small, large) = (efficiency(1.0), efficiency(8.0));
    rows.add(
        ("S26", "8 cm³ against 1 cm³: efficiency better by, points"),
        |_| large - small,
        (0.1, INF),
        1.0,
    );
    rows.tell(("S26", "1 cm³: efficiency, %"), |_| small);
    rows.tell(("S26", "8 cm³: efficiency, %"), |_| large);
}
