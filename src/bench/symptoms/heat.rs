//! Rows of race duty and the cold engine: S13, S15, S16.

use super::{Asked, Change, Group, INF, Off, Rows, Table, off, percent};
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment, table};
use crate::bench::measures::{Idle, Steadily, Steady, Watching, What};
use crate::bench::player::{Now, Observer, Played, Stand, Unseen};
use crate::bench::rig;
use crate::engine::state::{Load, Revolution, State};
use crate::units::celsius_from_kelvin;

pub(super) const GROUP: Group = Group {
    name: "heat",
    asks,
    rows: &[race_duty, s13_time_constant, s16_cold, s16_warming_up],
};

const CLEAN: Off = off(0.0, 0.0);

fn asks() -> Vec<Asked> {
    vec![(CLEAN, What::Idle)]
}

fn ends<O>(played: &[Played<O>]) -> Vec<Stand> {
    played.iter().map(|p| p.end).collect()
}

/// S13, S15: two laps on a full tank after six.
fn race_duty(t: &Table, rows: &mut Rows) {
    let tank = t.engine(Change::Nothing).tank_capacity();
    let mut warm = ends(&t.play(Change::Nothing, &t.warm(CLEAN), &table::laps(6), |_| Unseen));
    for stand in &mut warm {
        stand.state.tank_fuel = tank;
    }
    let driven = ends(&t.play(Change::Nothing, &warm, &table::laps(2), |_| Unseen));
    rows.add(
        ("S13", "race duty: head, °C"),
        |k| celsius_from_kelvin(driven[k].state.head_temperature),
        (95.0, 125.0),
        8.0,
    );
    let used = |k: usize| (tank - driven[k].state.tank_fuel) / (driven[k].state.time - warm[k].state.time);
    let density = t.setup().fuel.density(t.setup().air.temperature);
    rows.add(
        ("S15", "125 ml in race duty, min"),
        |k| 125e-6 * density / used(k).max(1e-9) / 60.0,
        (7.0, 11.0),
        1.0,
    );
}

/// Head temperatures, twenty a second.
#[derive(Default)]
struct Head(Vec<(f64, f64)>);

impl Observer for Head {
    fn see(&mut self, now: &Now, _: &Revolution, state: &State) {
        if self.0.last().is_none_or(|last| now.seconds >= last.0 + 0.05) {
            self.0.push((now.seconds, state.head_temperature));
        }
    }
}

impl Head {
    /// When it has gone 63.2 % of its way, s.
    fn time_constant_s(&self) -> f64 {
        let (first, last) = (self.0.first(), self.0.last());
        let (first, last) = (first.map_or(0.0, |x| x.1), last.map_or(0.0, |x| x.1));
        let there = self.0.iter().find(|x| x.1 - first >= 0.632 * (last - first));
        there.map_or(0.0, |x| x.0)
    }
}

/// A step from idle-warm to full load.
fn s13_time_constant(t: &Table, rows: &mut Rows) {
    let mut from = t.warm(CLEAN);
    for stand in &mut from {
        stand.controls.drive(Load::Brake(500.0));
        stand.state.head_temperature = 333.15;
    }
    let full = Manoeuvre::from([Segment::hold(1.0, 150.0)]);
    let heads = t.play(Change::Nothing, &from, &full, |_| Head::default());
    rows.add(
        ("S13", "head time constant, s"),
        |k| heads[k].watch.time_constant_s(),
        (20.0, 60.0),
        10.0,
    );
}

/// Stone-cold engines of every seed, just started.
fn cold(t: &Table) -> Vec<Stand> {
    let engine = t.engine(Change::Nothing);
    let stand = |seed: &u64| rig::cold(&engine, t.at(CLEAN), *seed);
    t.seeds().iter().map(stand).collect()
}

/// An opening to six tenths: oil that leaves, and revolutions that miss.
fn opening(t: &Table, from: &[Stand]) -> Vec<Steady> {
    let opened = Manoeuvre::from([Segment::hold(0.6, 1.0).mark(Mark::Watch)]);
    let played = t.play(Change::Nothing, from, &opened, |_| Steadily::default());
    played.iter().map(|p| p.watch.steady()).collect()
}

fn s16_cold(t: &Table, rows: &mut Rows) {
    let clean = t.idle(CLEAN);
    let colds = t.play(Change::Nothing, &cold(t), &table::cold_idle(), |_| Watching::default());
    let idles: Vec<Idle> = colds.iter().map(|p| p.watch.idle()).collect();
    rows.add(
        ("S16", "cold: metered equivalence ratio, %"),
        |k| percent(idles[k].equivalence_ratio, clean[k].equivalence_ratio),
        (-5.0, 5.0),
        2.0,
    );
    rows.add(
        ("S16", "cold: idle against clean, %"),
        |k| percent(idles[k].rpm.max(1.0), clean[k].rpm),
        (-INF, -3.0),
        5.0,
    );
    let (warm, cold) = (opening(t, &t.settled(CLEAN)), opening(t, &ends(&colds)));
    let alive = |k: usize| colds[k].end.state.speed > 0.0;
    let missed = |k: usize| if alive(k) { cold[k].misfire_percent } else { 100.0 };
    rows.add(
        ("S16", "cold: missed revolutions at idle and on opening, more by, %"),
        |k| idles[k].misfire_percent - clean[k].misfire_percent + missed(k) - warm[k].misfire_percent,
        (0.5, INF),
        3.0,
    );
    let smoke = |k: usize| {
        if alive(k) {
            cold[k].visible_oil_mg_per_s / warm[k].visible_oil_mg_per_s.max(1e-6)
        } else {
            2.0
        }
    };
    rows.add(("S16", "cold: smoke on opening over warm"), smoke, (1.02, INF), 0.2);
}

/// Cold engines warmed by gentle running on the stand, in rounds of ten seconds.
pub struct WarmingUp<'a> {
    table: &'a Table,
    /// Where they stand.
    pub stands: Vec<Stand>,
    rounds: u32,
}

impl<'a> WarmingUp<'a> {
    /// Stone-cold engines of every seed, just started.
    pub fn begin(table: &'a Table) -> Self {
        Self {
            table,
            stands: cold(table),
            rounds: 0,
        }
    }

    /// One more round.
    pub fn round(&mut self) {
        let round = table::warming_round(self.rounds == 0);
        self.stands = ends(&self.table.play(Change::Nothing, &self.stands, &round, |_| Unseen));
        self.rounds += 1;
    }

    /// An opening from where they stand, which leaves them there.
    pub fn opening(&self) -> Vec<Steady> {
        opening(self.table, &self.stands)
    }

    /// A look at their idles, which leaves them where they stand.
    pub fn look(&self) -> Vec<Idle> {
        let looked = Manoeuvre::from([Segment::hold(0.0, 2.0).mark(Mark::Watch)]);
        let played = self
            .table
            .play(Change::Nothing, &self.stands, &looked, |_| Watching::default());
        played.iter().map(|p| p.watch.idle()).collect()
    }
}

/// The throttle blipped until the idle is clean, five minutes at most.
fn s16_warming_up(t: &Table, rows: &mut Rows) {
    let clean = t.idle(CLEAN);
    let mut warming = WarmingUp::begin(t);
    let mut clean_after: Vec<Option<f64>> = vec![None; clean.len()];
    for round in 1..=30 {
        warming.round();
        for ((after, now), clean) in clean_after.iter_mut().zip(warming.look()).zip(&clean) {
            let there = now.misfire_percent < 1.5 && percent(now.rpm.max(1.0), clean.rpm).abs() < 8.0;
            if there && after.is_none() {
                *after = Some(f64::from(round) * 10.0);
            }
        }
        if clean_after.iter().all(Option::is_some) {
            break;
        }
    }
    rows.add(
        ("S16", "cold: clean after, s"),
        |k| clean_after[k].unwrap_or(300.0),
        (60.0, 240.0),
        30.0,
    );
}
