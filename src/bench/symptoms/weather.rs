//! Rows of fuel and weather: S10, S12. But for the colder day's turn they are read from an engine without noise, whose every seed is
//! the same; mixtures at held speeds, since an idle may die on such a day.

use super::mixture::{against, metered_at, metering};
use super::power::best;
use super::{Asked, Change, Group, INF, Off, Rows, Table, given, off, percent};
use crate::units::rev_per_second_from_rpm;

pub(super) const GROUP: Group = Group {
    name: "weather",
    asks: || -> Vec<Asked> { Vec::new() },
    rows: &[s10, s12_air, s12_mountain, s12_power, s12_head, s12_day],
};

const CLEAN: Off = off(0.0, 0.0);

/// Best power under a change against that without, head settled, percent.
fn best_power_changes(t: &Table, change: Change) -> f64 {
    let power_w = |change| {
        let best = best(t.swift(), change)[0];
        given(best.inside, best.power_w)
    };
    percent(power_w(change), power_w(Change::Nothing))
}

fn s10(t: &Table, rows: &mut Rows) {
    let full = against(t.quiet(), Change::MoreNitro).full;
    rows.add(
        ("S10", "nitro +10 %: equivalence ratio wide open, %"),
        |_| full,
        (-12.0, -6.0),
        2.0,
    );
    let power = best_power_changes(t, Change::MoreNitro);
    rows.add(("S10", "nitro +10 %: best power, %"), |_| power, (3.0, 10.0), 2.0);
}

fn s12_air(t: &Table, rows: &mut Rows) {
    let quiet = t.quiet();
    let full = |change| against(quiet, change).full;
    let cold = full(Change::ColderAir);
    rows.add(
        ("S12", "air 20 K colder: full throttle, %"),
        |_| cold,
        (-4.0, -0.5),
        1.0,
    );
    let dense = full(Change::HighPressure);
    rows.add(("S12", "+30 hPa: full throttle, %"), |_| dense, (-2.0, -0.5), 0.5);
    let humid = percent(
        metering(quiet, Change::HumidHeat).full,
        metering(quiet, Change::DryHeat).full,
    );
    rows.add(
        ("S12", "humidity 20 to 90 % at 30 °C: full throttle, %"),
        |_| humid,
        (1.0, 3.0),
        0.7,
    );
}

fn s12_mountain(t: &Table, rows: &mut Rows) {
    let quiet = t.quiet();
    let mixture = against(quiet, Change::Mountain);
    rows.add(("S12", "1500 m: full throttle, %"), |_| mixture.full, (4.0, 8.0), 1.5);
    rows.add(("S12", "1500 m: idle, %"), |_| mixture.idle, (-2.0, INF), 1.0);
    let power_w = |change| quiet.brake(CLEAN.under(change))[0].power_w;
    let power = percent(power_w(Change::Mountain), power_w(Change::Nothing));
    rows.add(("S12", "1500 m: power, %"), |_| power, (-24.0, -14.0), 3.0);
}

fn s12_power(t: &Table, rows: &mut Rows) {
    let (cold, hot) = (
        best_power_changes(t, Change::ColderDay),
        best_power_changes(t, Change::HotterDay),
    );
    rows.add(("S12", "20 to 0 °C: best power, %"), |_| cold, (3.0, 9.0), 2.0);
    rows.add(("S12", "20 to 40 °C: best power, %"), |_| hot, (-10.0, -3.0), 2.0);
}

fn s12_head(t: &Table, rows: &mut Rows) {
    let head = |change| t.quiet().brake(CLEAN.under(change))[0].head_temperature_c;
    let [cold, reference, hot] = [Change::ColderDay, Change::Nothing, Change::HotterDay].map(head);
    rows.add(
        ("S12", "0 to 20 °C, needles fixed: head hotter by, K"),
        |_| reference - cold,
        (0.0, INF),
        3.0,
    );
    rows.add(
        ("S12", "20 to 40 °C, needles fixed: head hotter by, K"),
        |_| hot - reference,
        (0.0, INF),
        3.0,
    );
}

/// At the idle speed of every seed.
fn s12_day(t: &Table, rows: &mut Rows) {
    let idles = t.idle(CLEAN);
    let speeds: Vec<f64> = idles.iter().map(|idle| rev_per_second_from_rpm(idle.rpm)).collect();
    let mixtures = |change, low| metered_at(t.quiet(), off(0.0, low).under(change), &speeds, 0.0);
    let warm = mixtures(Change::Nothing, 0.0);
    let (cold, richer) = (mixtures(Change::ColderDay, 0.0), mixtures(Change::ColderDay, 0.125));
    rows.add(
        ("S12", "a 20 K colder day on the low needle, turns"),
        |k| {
            let eighth = richer[k].equivalence_ratio - cold[k].equivalence_ratio;
            0.125 * (warm[k].equivalence_ratio - cold[k].equivalence_ratio) / eighth
        },
        (1.0 / 24.0, 0.2),
        0.05,
    );
}
