//! Rows of full throttle on the brake: S13, S14, S15, S25, and what of S11 is read there. S3 and the energies follow in files of
//! their own.

use super::power::{high, sweep};
use super::running::Running;
use super::{Asked, Change, Group, INF, Off, Rows, Table, energy, given, percent, power};
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment};
use crate::bench::measures::{Steadily, What};
use crate::engine::state::Load;
use crate::units::celsius_from_kelvin;

pub(super) const GROUP: Group = Group {
    name: "brake",
    asks,
    rows: &[
        power::s3_best,
        power::s3_sides,
        power::s3_four_stroking,
        power::s3_sag,
        power::s3_lean_misfire,
        s13,
        s14,
        s15,
        energy::s17_s27,
        s25,
    ],
};

const CLEAN: Off = high(0.0);

fn asks() -> Vec<Asked> {
    let changed = [Change::MoreOil, Change::HotterDay].map(|change| CLEAN.under(change));
    sweep(Change::Nothing)
        .chain(changed)
        .map(|place| (place, What::Brake))
        .collect()
}

fn s13(t: &Table, rows: &mut Rows) {
    let (clean, lean, rich) = (t.brake(CLEAN), t.brake(high(-0.25)), t.brake(high(0.5)));
    rows.add(
        ("S13", "high -1/4: head hotter by, K"),
        |k| lean[k].head_temperature_c - clean[k].head_temperature_c,
        (8.0, 20.0),
        4.0,
    );
    rows.add(
        ("S13", "high +1/2: head cooler by, K"),
        |k| clean[k].head_temperature_c - rich[k].head_temperature_c,
        (12.0, 30.0),
        5.0,
    );
    rows.add(
        ("S13", "clean: head on the brake, °C"),
        |k| clean[k].head_temperature_c,
        (100.0, 135.0),
        10.0,
    );
    // Engines are run in summer, too: under the same ceiling (common practice).
    let hot = t.brake(CLEAN.under(Change::HotterDay));
    rows.add(
        ("S13", "a 20 K hotter day: head on the brake, °C"),
        |k| hot[k].head_temperature_c,
        (-INF, 135.0),
        4.0,
    );
    let braked = t.braked(CLEAN);
    rows.add(
        ("crankcase", "clean: crankcase on the brake, °C"),
        |k| {
            given(
                clean[k].runs(),
                celsius_from_kelvin(braked[k].state.crankcase_temperature),
            )
        },
        (50.0, 75.0),
        10.0,
    );
    rows.add(
        ("S11", "viscous share wide open"),
        |k| clean[k].viscous_share,
        (0.15, 0.3),
        0.05,
    );
}

fn s14(t: &Table, rows: &mut Rows) {
    let (clean, lean, rich) = (t.brake(CLEAN), t.brake(high(-0.25)), t.brake(high(0.5)));
    let oily = t.brake(CLEAN.under(Change::MoreOil));
    rows.add(
        ("S14", "clean: opacity, %"),
        |k| clean[k].opacity_percent,
        (3.0, 25.0),
        5.0,
    );
    rows.add(
        ("S14", "high -1/4: opacity less by, %"),
        |k| clean[k].opacity_percent - lean[k].opacity_percent,
        (0.2, INF),
        1.0,
    );
    rows.add(
        ("S14", "high +1/2: opacity more by, %"),
        |k| rich[k].opacity_percent - clean[k].opacity_percent,
        (0.5, INF),
        2.0,
    );
    rows.add(
        ("S14", "oil +4 %: opacity more by, %"),
        |k| oily[k].opacity_percent - clean[k].opacity_percent,
        (0.5, INF),
        2.0,
    );
    rows.add(
        ("S14", "oil +4 %: leaner by, %"),
        |k| percent(clean[k].equivalence_ratio, oily[k].equivalence_ratio),
        (0.0, INF),
        1.0,
    );
}

/// The tank of the engine's class: 125 cm³ for 3.5 cm³.
fn s15(t: &Table, rows: &mut Rows) {
    let (clean, lean) = (t.brake(CLEAN), t.brake(high(-0.25)));
    let grams = t.tank_ml() * t.setup().fuel.density(t.setup().air.temperature) * 1e-3;
    rows.add(
        ("S15", "a tank flat out, min"),
        |k| grams / clean[k].fuel_flow_g_per_s / 60.0,
        (2.5, 4.0),
        0.5,
    );
    rows.add(
        ("S15", "high -1/4: lasts longer by, %"),
        |k| percent(clean[k].fuel_flow_g_per_s, lean[k].fuel_flow_g_per_s),
        (0.0, INF),
        5.0,
    );
}

/// A rich engine stopped in full smoke.
fn s25(t: &Table, rows: &mut Rows) {
    let place = high(0.5);
    let mut from = t.braked(place);
    for stand in &mut from {
        stand.controls.drive(Load::Stand);
        stand.state.speed = 0.0;
    }
    let waited = Manoeuvre::from([Segment::hold(0.0, 3.0), Segment::hold(0.0, 0.5).mark(Mark::Watch)]);
    let played = t.play(Change::Nothing, &from, &waited, |_| Steadily::default());
    let before = t.brake(place);
    rows.add(
        ("S25", "stopped: opacity after 3 s, of that before"),
        |k| played[k].watch.steady().opacity_percent / before[k].opacity_percent,
        (0.0, 0.02),
        0.05,
    );
}
