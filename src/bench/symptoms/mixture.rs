//! Rows of film, jet and tank: S9, S11, S21, read from an engine without noise, whose every seed is the same.

use super::running::Running;
use super::{Asked, Change, Group, INF, Off, Rows, Table, given, off, percent};
use crate::bench::instruments::missed;
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment, table};
use crate::bench::measures::{Mean, Watching};
use crate::bench::player::{Now, Observer, Played, Stand};
use crate::engine::state::{Load, Revolution, State};
use crate::units::rev_per_second_from_rpm;

pub(super) const GROUP: Group = Group {
    name: "mixture",
    asks: || -> Vec<Asked> { Vec::new() },
    rows: &[s9_turn, s9_erased, s11, s21],
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

/// How long 90 % of a turn of the low needle takes to come out of the crankcase, s.
fn takes_s(quiet: &Table, turns: f64) -> f64 {
    let settled = quiet.settled(CLEAN)[0];
    let mut turned = settled;
    turned.controls.set(quiet.at(off(0.0, turns)));
    let (look, end) = held(quiet, turned, 0.0, 30.0, 0.25);
    let series = look.quarters;
    let first = held(quiet, settled, 0.0, 2.0, INF).0.ratio();
    let last = series.last().map_or(f64::NAN, |x| x.1);
    let way = |x: &(f64, f64)| (x.1 - first) / (last - first);
    let there = series.iter().position(|x| way(x) >= 0.9);
    let took = match there.map(|i| (i.checked_sub(1).map(|before| series[before]), series[i])) {
        Some((Some(before), now)) => before.0 + (now.0 - before.0) * (0.9 - way(&before)) / (way(&now) - way(&before)),
        Some((None, now)) => now.0,
        None => f64::NAN,
    };
    given(end.state.speed > 0.0, took)
}

fn s9_turn(t: &Table, rows: &mut Rows) {
    let (richer, leaner) = (takes_s(t.quiet(), 0.125), takes_s(t.quiet(), -0.125));
    rows.add(
        ("S9", "90 % of an eighth richer takes, s"),
        |_| richer,
        (3.0, 20.0),
        2.0,
    );
    rows.add(
        ("S9", "90 % of an eighth leaner takes, s"),
        |_| leaner,
        (3.0, 20.0),
        2.0,
    );
    rows.add(
        ("S9", "an eighth richer over an eighth leaner"),
        |_| richer / leaner,
        (0.5, 2.0),
        0.2,
    );
}

fn s9_erased(t: &Table, rows: &mut Rows) {
    let quiet = t.quiet();
    let film = |low: f64| {
        let place = off(0.0, low);
        let mut stand = quiet.settled(place)[0];
        let alive = stand.state.speed > 0.0;
        stand.controls.set(quiet.at(CLEAN));
        let after = held(quiet, stand, 1.0, 1.0, INF).1;
        let film = |stand: &Stand| given(alive, stand.state.film_fuel);
        (film(&stand), film(&after))
    };
    let (rich, clean) = (film(0.25), film(0.0));
    let erased = 100.0 * (1.0 - (rich.1 - clean.1) / (rich.0 - clean.0));
    rows.add(
        ("S9", "1 s of full throttle erases of a formerly rich film, %"),
        |_| erased,
        (85.0, 115.0),
        5.0,
    );
}

/// What the carburettor meters, and how warm the fuel is at its jet.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Jet {
    equivalence_ratio: Mean,
    temperature: Mean,
    fires: bool,
}

impl Observer for Jet {
    fn see(&mut self, now: &Now, r: &Revolution, _: &State) {
        if now.mark == Mark::Watch {
            self.equivalence_ratio.add(r.metered_equivalence_ratio, r.duration);
            self.temperature.add(r.fuel_temperature, r.duration);
            self.fires |= !missed(r);
        }
    }
}

/// What was seen of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Metered {
    pub equivalence_ratio: f64,
    /// Fuel at the jet, K.
    pub jet: f64,
}

/// What is metered by a warm engine on a brake at these speeds, rev/s. No speed, no number; nor of one that has gone out wide open.
pub(super) fn metered_at(quiet: &Table, place: Off, speeds: &[f64], throttle: f64) -> Vec<Metered> {
    let warm = quiet.warm(place)[0];
    let from: Vec<Stand> = speeds
        .iter()
        .map(|speed| {
            let mut stand = warm;
            // Not-a-number would not move the brake: an engine without an idle is held nowhere.
            stand
                .controls
                .drive(Load::Brake(if *speed > 0.0 { *speed } else { 1.0 }));
            stand
        })
        .collect();
    let played = quiet.play(place.change, &from, &table::steady(throttle, 2.0, 1.0), |_| {
        Jet::default()
    });
    let seen = |(p, speed): (&Played<Jet>, &f64)| {
        let runs = *speed > 0.0 && (throttle == 0.0 || p.watch.fires);
        let of = |mean: Mean| given(runs, mean.value().unwrap_or(f64::NAN));
        Metered {
            equivalence_ratio: of(p.watch.equivalence_ratio),
            jet: of(p.watch.temperature),
        }
    };
    played.iter().zip(speeds).map(seen).collect()
}

/// Something at idle and wide open.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ends {
    pub idle: f64,
    pub full: f64,
}

/// What is metered at the clean idle's speed and on the brake.
fn both_ends(quiet: &Table, change: Change) -> (Metered, Metered) {
    let idle = rev_per_second_from_rpm(quiet.idle(CLEAN)[0].rpm);
    let full = rev_per_second_from_rpm(quiet.waits().brake_rpm);
    let at = |speed, throttle| metered_at(quiet, CLEAN.under(change), &[speed], throttle)[0];
    (at(idle, 0.0), at(full, 1.0))
}

/// Equivalence ratios at both ends.
pub(super) fn metering(quiet: &Table, change: Change) -> Ends {
    let (idle, full) = both_ends(quiet, change);
    Ends {
        idle: idle.equivalence_ratio,
        full: full.equivalence_ratio,
    }
}

/// The same against the reference, percent.
pub(super) fn against(quiet: &Table, change: Change) -> Ends {
    let (now, was) = (metering(quiet, change), metering(quiet, Change::Nothing));
    Ends {
        idle: percent(now.idle, was.idle),
        full: percent(now.full, was.full),
    }
}

fn s11(t: &Table, rows: &mut Rows) {
    for (change, idle, full, ratio) in [
        (
            Change::MoreOil,
            "oil +4 %: idle, %",
            "oil +4 %: full throttle, %",
            "oil +4 %: idle over full throttle",
        ),
        (
            Change::ColderFuel,
            "fuel 20 K colder: idle, %",
            "fuel 20 K colder: full throttle, %",
            "fuel 20 K colder: idle over full throttle",
        ),
    ] {
        let changes = against(t.quiet(), change);
        rows.add(("S11", idle), |_| changes.idle, (-20.0, -0.5), 3.0);
        rows.add(("S11", full), |_| changes.full, (-20.0, -0.1), 3.0);
        rows.add(("S11", ratio), |_| changes.idle / changes.full, (1.2, 3.0), 0.3);
    }
    let ((cold_idle, cold_full), (idle, full)) = (
        both_ends(t.quiet(), Change::ColderFuel),
        both_ends(t.quiet(), Change::Nothing),
    );
    for (name, colder) in [
        ("fuel 20 K colder: at the jet at idle by, K", idle.jet - cold_idle.jet),
        ("fuel 20 K colder: at the jet wide open by, K", full.jet - cold_full.jet),
    ] {
        rows.add(("S11", name), |_| colder, (19.8, 20.2), 1.0);
    }
}

fn s21(t: &Table, rows: &mut Rows) {
    let quiet = t.quiet();
    let looked = Manoeuvre::from([Segment::hold(0.0, 2.0).mark(Mark::Watch)]);
    let look = |from: Stand, manoeuvre: &Manoeuvre| {
        let played = quiet.play(Change::Nothing, &[from], manoeuvre, |_| Watching::default());
        (played[0].watch.idle().or_none().equivalence_ratio, played[0].end)
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
