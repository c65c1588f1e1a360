//! Rows of full throttle on the brake: S3, S13, S14, S15, S17, S25, and what of S11 is read there.

use super::{Asked, Change, Group, INF, Off, Rows, Table, off, percent};
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment, table};
use crate::bench::measures::{Best, Steadily, What, power_trials};
use crate::bench::player::play;
use crate::engine::state::Load;
use crate::units::{celsius_from_kelvin, kelvin_from_celsius};

pub(super) const GROUP: Group = Group {
    name: "brake",
    asks,
    rows: &[s3_best, s3_lean, s3_rich, s3_sag, s13, s14, s15, s17, s25],
};

const CLEAN: Off = high(0.0);

const fn high(turns: f64) -> Off {
    off(turns, 0.0)
}

fn asks() -> Vec<Asked> {
    let needle = [0.0, -0.25, -0.5, 0.5, 1.0, -0.75, 1.5];
    let mut asks: Vec<Asked> = needle.map(|turns| (high(turns), What::Brake)).to_vec();
    asks.push((CLEAN.under(Change::MoreOil), What::Brake));
    asks
}

/// The best that the high-speed needle can give, each trial looked at for a second.
fn best(t: &Table) -> Vec<Best> {
    let trials: Vec<_> = t.braked(CLEAN).iter().map(|braked| power_trials(braked, 1.0)).collect();
    let counts: Vec<usize> = trials.iter().map(Vec::len).collect();
    let played = play(&t.engine(Change::Nothing), trials.into_iter().flatten());
    let mut rest = played.as_slice();
    let own = counts.into_iter().map(|count| {
        let (own, others) = rest.split_at(count);
        rest = others;
        Best::of(own)
    });
    own.collect()
}

fn s3_best(t: &Table, rows: &mut Rows) {
    let (clean, best) = (t.brake(CLEAN), best(t));
    rows.add(
        ("S3", "equivalence ratio of best power"),
        |k| best[k].equivalence_ratio,
        (1.1, 1.6),
        0.1,
    );
    rows.add(
        ("S3", "clean power over best"),
        |k| clean[k].power_w / best[k].power_w,
        (0.97, INF),
        0.02,
    );
    rows.add(
        ("S3", "clean richer than best power by"),
        |k| clean[k].equivalence_ratio - best[k].equivalence_ratio,
        (0.0, 0.35),
        0.05,
    );
    rows.add(("power", "best power, W"), |k| best[k].power_w, (800.0, 1300.0), 150.0);
    for (name, turns, limits, scale) in [
        ("high -3/4: power over best", -0.75, (-INF, 0.97), 0.05),
        ("high -1/2: power over best", -0.5, (-INF, 0.998), 0.05),
        ("high +1/2: power over best", 0.5, (0.75, 0.965), 0.03),
    ] {
        let there = t.brake(high(turns));
        rows.add(("S3", name), |k| there[k].power_w / best[k].power_w, limits, scale);
    }
    let (rich, richer) = (t.brake(high(0.5)), t.brake(high(1.0)));
    rows.add(
        ("S3", "high +1: power over best"),
        |k| richer[k].power_w / best[k].power_w,
        (-INF, 0.965),
        0.05,
    );
    rows.add(
        ("S3", "high +1: power less than at +1/2 by, of best"),
        |k| (rich[k].power_w - richer[k].power_w) / best[k].power_w,
        (0.0, INF),
        0.05,
    );
}

fn s3_lean(t: &Table, rows: &mut Rows) {
    let (clean, lean) = (t.brake(CLEAN), t.brake(high(-0.5)));
    rows.add(
        ("S3", "high -1/2: detonation index"),
        |k| lean[k].detonation_index,
        (0.02, INF),
        0.1,
    );
    rows.add(
        ("S3", "clean: detonation index"),
        |k| clean[k].detonation_index,
        (-INF, 0.0),
        0.05,
    );
}

fn s3_rich(t: &Table, rows: &mut Rows) {
    let (rich, four) = (t.brake(high(0.5)), t.brake(high(1.5)));
    rows.add(
        ("S3", "high +1/2: misfire, %"),
        |k| rich[k].misfire_percent,
        (-INF, 2.0),
        2.0,
    );
    rows.add(
        ("S3", "high +1 1/2: misfire, %"),
        |k| four[k].misfire_percent,
        (5.0, INF),
        5.0,
    );
}

/// A lean engine held at full throttle fades as its heat builds.
fn s3_sag(t: &Table, rows: &mut Rows) {
    let clean = t.brake(CLEAN);
    let mut from = t.warm(high(-0.25));
    for (stand, clean) in from.iter_mut().zip(&clean) {
        stand.controls.drive(Load::Brake(500.0));
        stand.state.head_temperature = kelvin_from_celsius(clean.head_temperature_c) - 10.0;
    }
    let watched = |from: &[_], before_s| {
        t.play(Change::Nothing, from, &table::steady(1.0, before_s, 1.0), |_| {
            Steadily::default()
        })
    };
    let early = watched(&from, 1.0);
    let late = watched(&early.iter().map(|p| p.end).collect::<Vec<_>>(), 8.0);
    let sag = |k: usize| percent(late[k].watch.steady().power_w, early[k].watch.steady().power_w);
    rows.add(
        ("S3", "high -1/4 held 10 s: power changes by, %"),
        sag,
        (-INF, -0.1),
        1.0,
    );
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
    let braked = t.braked(CLEAN);
    rows.add(
        ("crankcase", "clean: crankcase on the brake, °C"),
        |k| celsius_from_kelvin(braked[k].state.crankcase_temperature),
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

fn s15(t: &Table, rows: &mut Rows) {
    let (clean, lean) = (t.brake(CLEAN), t.brake(high(-0.25)));
    let grams = 125.0 * t.setup().fuel.density(t.setup().air.temperature) * 1e-3;
    rows.add(
        ("S15", "125 ml flat out, min"),
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

fn s17(t: &Table, rows: &mut Rows) {
    let clean = t.brake(CLEAN);
    let heat_w = |k: usize| clean[k].fuel_flow_g_per_s * 1e-3 * t.setup().fuel.lower_heating_value;
    rows.add(
        ("S17", "brake efficiency at clean, %"),
        |k| 100.0 * clean[k].power_w / heat_w(k),
        (5.0, 20.0),
        4.0,
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
        0.01,
    );
}
