//! Rows of fuel, weather and tank: S9-S12, S21. But for the colder day they are read from an engine without noise, whose every seed
//! is the same.

use super::{Asked, Change, Group, INF, Off, Rows, Table, off, percent};
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment, table};
use crate::bench::measures::{Steadily, Watching};
use crate::bench::player::{Now, Observer, Stand};
use crate::engine::state::{Load, Revolution, State};
use crate::units::rev_per_second_from_rpm;

pub(super) const GROUP: Group = Group {
    name: "mixture",
    asks: || -> Vec<Asked> { Vec::new() },
    rows: &[s9_turn, s9_erased, s10, s11, s12_air, s12_mountain, s12_day, s21],
};

const CLEAN: Off = off(0.0, 0.0);

/// What comes out of the crankcase at idle, as fuel over air, quarter by quarter of a second.
#[derive(Default)]
struct Leaving {
    fuel: f64,
    air: f64,
    since: f64,
    /// Film at the end of the revolution before, kg.
    film: f64,
    quarter_s: f64,
    quarters: Vec<(f64, f64)>,
}

impl Observer for Leaving {
    fn see(&mut self, now: &Now, r: &Revolution, state: &State) {
        self.fuel += r.fuel_in + self.film - state.film_fuel;
        self.film = state.film_fuel;
        self.air += r.air_in;
        self.since += r.duration;
        if self.since >= self.quarter_s {
            self.quarters.push((now.seconds, self.ratio()));
            (self.fuel, self.air, self.since) = (0.0, 0.0, 0.0);
        }
    }
}

impl Leaving {
    fn ratio(&self) -> f64 {
        self.fuel / self.air.max(1e-12)
    }
}

/// The throttle held for a while by the engine without noise.
fn held(quiet: &Table, from: Stand, throttle: f64, seconds: f64, quarter_s: f64) -> (Leaving, Stand) {
    let held = Manoeuvre::from([Segment::hold(throttle, seconds)]);
    let eyes = |_| Leaving {
        film: from.state.film_fuel,
        quarter_s,
        ..Leaving::default()
    };
    let played = quiet.play(Change::Nothing, &[from], &held, eyes).swap_remove(0);
    (played.watch, played.end)
}

fn s9_turn(t: &Table, rows: &mut Rows) {
    let quiet = t.quiet();
    let settled = quiet.settled(CLEAN)[0];
    let mut richer = settled;
    richer.controls.set(quiet.at(off(0.0, 0.125)));
    let series = held(quiet, richer, 0.0, 30.0, 0.25).0.quarters;
    let first = held(quiet, settled, 0.0, 2.0, INF).0.ratio();
    let last = series.last().map_or(0.0, |x| x.1);
    let mark = first + 0.9 * (last - first);
    let after = series.iter().position(|x| x.1 - first >= 0.9 * (last - first));
    let took = match after.map(|i| (i.checked_sub(1).and_then(|b| series.get(b)), series[i])) {
        Some((Some(before), now)) => before.0 + (now.0 - before.0) * (mark - before.1) / (now.1 - before.1),
        Some((None, now)) => now.0,
        None => 30.0,
    };
    rows.add(
        ("S9", "90 % of a low-needle change takes, s"),
        |_| took,
        (3.0, 20.0),
        2.0,
    );
}

fn s9_erased(t: &Table, rows: &mut Rows) {
    let quiet = t.quiet();
    let film = |low: f64| {
        let mut stand = quiet.settled(off(0.0, low))[0];
        stand.controls.set(quiet.at(CLEAN));
        let after = held(quiet, stand, 1.0, 1.0, INF).1;
        (stand.state.film_fuel, after.state.film_fuel)
    };
    let (rich, clean) = (film(0.25), film(0.0));
    let erased = 100.0 * (1.0 - (rich.1 - clean.1) / (rich.0 - clean.0).max(1e-12));
    rows.add(
        ("S9", "1 s of full throttle erases of a film difference, %"),
        |_| erased,
        (85.0, INF),
        5.0,
    );
}

/// Equivalence ratio at idle and wide open, at a short look.
fn metering(quiet: &Table, change: Change) -> (f64, f64) {
    let idle = quiet.idle(CLEAN.under(change))[0].equivalence_ratio;
    let mut from = quiet.warm(CLEAN.under(change));
    from[0].controls.drive(Load::Brake(500.0));
    let full = quiet.play(change, &from, &table::steady(1.0, 3.0, 1.0), |_| Steadily::default());
    (idle, full[0].watch.steady().equivalence_ratio)
}

/// The same against the reference, percent.
fn against(quiet: &Table, change: Change) -> (f64, f64) {
    let ((idle, full), (was_idle, was_full)) = (metering(quiet, change), metering(quiet, Change::Nothing));
    (percent(idle, was_idle), percent(full, was_full))
}

fn s10(t: &Table, rows: &mut Rows) {
    let quiet = t.quiet();
    let full = against(quiet, Change::MoreNitro).1;
    rows.add(
        ("S10", "nitro +10 %: equivalence ratio wide open, %"),
        |_| full,
        (-12.0, -6.0),
        2.0,
    );
    let best = |change| quiet.best_power(CLEAN.under(change))[0].equivalence_ratio;
    let best = percent(best(Change::MoreNitro), best(Change::Nothing));
    rows.add(
        ("S10", "nitro +10 %: equivalence ratio of best power, %"),
        |_| best,
        (3.0, 10.0),
        2.0,
    );
}

fn s11(t: &Table, rows: &mut Rows) {
    for (change, idle_name, ratio_name) in [
        (
            Change::MoreOil,
            "oil +4 %: idle, %",
            "oil +4 %: idle over full throttle",
        ),
        (
            Change::ColderFuel,
            "fuel 20 K colder: idle, %",
            "fuel 20 K colder: idle over full throttle",
        ),
    ] {
        let (idle, full) = against(t.quiet(), change);
        rows.add(("S11", idle_name), |_| idle, (-20.0, -0.5), 3.0);
        rows.add(("S11", ratio_name), |_| idle / full, (1.2, 3.0), 0.3);
    }
}

fn s12_air(t: &Table, rows: &mut Rows) {
    let quiet = t.quiet();
    let full = |change| against(quiet, change).1;
    let cold = full(Change::ColderAir);
    rows.add(
        ("S12", "air 20 K colder: full throttle, %"),
        |_| cold,
        (-4.0, -0.5),
        1.0,
    );
    let dense = full(Change::HighPressure);
    rows.add(("S12", "+30 hPa: full throttle, %"), |_| dense, (-2.0, -0.5), 0.5);
    let humid = percent(metering(quiet, Change::HumidHeat).1, metering(quiet, Change::DryHeat).1);
    rows.add(
        ("S12", "humidity 20 to 90 % at 30 °C: full throttle, %"),
        |_| humid,
        (1.0, 3.0),
        0.7,
    );
}

fn s12_mountain(t: &Table, rows: &mut Rows) {
    let quiet = t.quiet();
    let full = against(quiet, Change::Mountain).1;
    rows.add(("S12", "1500 m: full throttle, %"), |_| full, (4.0, 8.0), 1.5);
    let power_w = |change| quiet.brake(CLEAN.under(change))[0].power_w;
    let power = percent(power_w(Change::Mountain), power_w(Change::Nothing));
    rows.add(("S12", "1500 m: power, %"), |_| power, (-24.0, -14.0), 3.0);
}

fn s12_day(t: &Table, rows: &mut Rows) {
    let quiet = t.quiet();
    // The brake carries an engine whose idle dies on such a day.
    let speeds: Vec<f64> = t
        .idle(CLEAN)
        .iter()
        .map(|idle| rev_per_second_from_rpm(idle.rpm))
        .collect();
    let mixtures = |change, low| -> Vec<f64> {
        let warm = quiet.warm(off(0.0, low).under(change))[0];
        let from: Vec<Stand> = speeds
            .iter()
            .map(|speed| {
                let mut stand = warm;
                stand.controls.drive(Load::Brake(*speed));
                stand
            })
            .collect();
        let played = quiet.play(change, &from, &table::steady(0.0, 2.0, 1.0), |_| Steadily::default());
        played.iter().map(|p| p.watch.steady().equivalence_ratio).collect()
    };
    let warm = mixtures(Change::Nothing, 0.0);
    let (cold, richer) = (mixtures(Change::ColderDay, 0.0), mixtures(Change::ColderDay, 0.125));
    rows.add(
        ("S12", "a 20 K colder day on the low needle, turns"),
        |k| 0.125 * (warm[k] - cold[k]) / (richer[k] - cold[k]).max(1e-9),
        (1.0 / 24.0, 0.2),
        0.05,
    );
}

fn s21(t: &Table, rows: &mut Rows) {
    let quiet = t.quiet();
    let looked = Manoeuvre::from([Segment::hold(0.0, 2.0).mark(Mark::Watch)]);
    let look = |from: Stand, manoeuvre: &Manoeuvre| {
        let played = quiet.play(Change::Nothing, &[from], manoeuvre, |_| Watching::default());
        (played[0].watch.idle().equivalence_ratio, played[0].end)
    };
    let (full, mut stand) = look(quiet.settled(CLEAN)[0], &looked);
    stand.state.tank_fuel = quiet.engine(Change::Nothing).tank_capacity() * 0.25;
    let low = look(stand, &table::steady(0.0, 2.0, 2.0)).0;
    rows.add(
        ("S21", "tank full to a quarter: idle mixture, %"),
        |_| percent(low, full),
        (-8.0, -2.0),
        2.0,
    );
}
