//! Rows of race duty and the cold engine: S13, S15, S16, and how long a clean engine lives.

use super::running::Running;
use super::{Asked, Change, Group, INF, Off, Rows, Table, given, off, percent};
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment, table};
use crate::bench::measures::{Idle, Steadily, Steady, Watching, What};
use crate::bench::player::{Now, Observer, Played, Stand, Unseen};
use crate::bench::rig;
use crate::engine::state::{Load, Revolution, State};
use crate::units::{celsius_from_kelvin, rev_per_second_from_rpm};

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

/// What race duty left behind.
struct Driven {
    head_c: f64,
    minutes_per_tank: f64,
    /// Share of the engine's life that an hour of it takes, %.
    life_an_hour_percent: f64,
}

/// Two laps on a full tank after six; not-a-number of an engine that died on the way.
fn driven(t: &Table, place: Off) -> Vec<Driven> {
    let tank = t.engine(Change::Nothing).tank_capacity();
    let mut warm = ends(&t.play(Change::Nothing, &t.warm(place), &table::laps(6), |_| Unseen));
    for stand in &mut warm {
        stand.state.tank_fuel = tank;
    }
    let driven = ends(&t.play(Change::Nothing, &warm, &table::laps(2), |_| Unseen));
    let seen = |(before, after): (&Stand, &Stand)| {
        let seconds = after.state.time - before.state.time;
        let used = (tank - after.state.tank_fuel) / seconds;
        let worn = after.state.damage.total() - before.state.damage.total();
        let alive = after.state.speed > 0.0;
        Driven {
            head_c: given(alive, celsius_from_kelvin(after.state.head_temperature)),
            minutes_per_tank: given(alive, tank / used / 60.0),
            life_an_hour_percent: given(alive, 100.0 * worn / seconds * 3600.0),
        }
    };
    warm.iter().zip(&driven).map(seen).collect()
}

/// S13, S15: race duty on the track.
fn race_duty(t: &Table, rows: &mut Rows) {
    let [clean, leaner, richer, rich] = [0.0, -0.125, 0.125, 0.25].map(|high| driven(t, off(high, 0.0)));
    rows.add(("S13", "race duty: head, °C"), |k| clean[k].head_c, (95.0, 125.0), 8.0);
    for (name, hotter, cooler) in [
        ("race duty, high -1/8: head hotter by, K", &leaner, &clean),
        ("race duty, high +1/8: head cooler by, K", &clean, &richer),
        ("race duty, high +1/4: cooler than +1/8 by, K", &richer, &rich),
    ] {
        rows.add(("S13", name), |k| hotter[k].head_c - cooler[k].head_c, (3.0, 8.0), 1.5);
    }
    rows.add(
        ("S15", "a tank in race duty, min"),
        |k| clean[k].minutes_per_tank,
        (7.0, 11.0),
        1.0,
    );
    // Some litres of fuel: hours (common practice).
    rows.add(
        ("wear", "race duty: life that an hour takes, %"),
        |k| clean[k].life_an_hour_percent,
        (-INF, 50.0),
        20.0,
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
    let rated = rev_per_second_from_rpm(t.waits().brake_rpm);
    let mut from = t.warm(CLEAN);
    for stand in &mut from {
        stand.controls.drive(Load::Brake(rated));
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

/// By its idle without the lead, once the film is full.
fn s16_cold(t: &Table, rows: &mut Rows) {
    let clean = t.idle(CLEAN);
    let colds = t.play(Change::Nothing, &cold(t), &table::cold_idle(), |_| Watching::default());
    let idles: Vec<Idle> = colds.iter().map(|p| p.watch.idle().or_none()).collect();
    rows.add(
        ("S16", "cold: metered equivalence ratio, %"),
        |k| percent(idles[k].equivalence_ratio, clean[k].equivalence_ratio),
        (-5.0, 5.0),
        2.0,
    );
    rows.add(
        ("S16", "cold: idle against clean, %"),
        |k| percent(idles[k].rpm, clean[k].rpm),
        (-INF, -3.0),
        5.0,
    );
    let opened = |from: &[Stand]| -> Vec<Steady> { opening(t, from).into_iter().map(Running::or_none).collect() };
    let (warm, cold) = (opened(&t.settled(CLEAN)), opened(&ends(&colds)));
    rows.add(
        ("S16", "cold: missed revolutions at idle and on opening, more by, %"),
        |k| {
            let (cold, warm) = (
                idles[k].misfire_percent + cold[k].misfire_percent,
                clean[k].misfire_percent + warm[k].misfire_percent,
            );
            cold - warm
        },
        (0.5, INF),
        3.0,
    );
    rows.add(
        ("S16", "cold: smoke on opening over warm"),
        |k| cold[k].visible_oil_mg_per_s / warm[k].visible_oil_mg_per_s,
        (1.02, INF),
        0.2,
    );
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
            let there = now.misfire_percent < 1.5 && percent(now.rpm, clean.rpm).abs() < 8.0;
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
        |k| clean_after[k].unwrap_or(f64::NAN),
        (60.0, 240.0),
        30.0,
    );
}
