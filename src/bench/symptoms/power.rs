//! Row S3: power over the high-speed needle, with the head settled at every trial of it; four-stroking, the sag of a lean engine held
//! wide open, and where lean misfire begins. The best found here serves the rows of fuel, weather, efficiency and size, too.

use super::course::Stretches;
use super::{Change, INF, Off, Rows, Table, off, percent};
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment, table};
use crate::bench::measures::{Mean, Steadily, Steady, What};
use crate::bench::player::{Now, Observer, Stand};
use crate::engine::state::{Load, Revolution, State};
use crate::units::rev_per_second_from_rpm;

const CLEAN: Off = high(0.0);

pub(super) const fn high(turns: f64) -> Off {
    off(turns, 0.0)
}

/// The high needle every eighth of a turn.
const EIGHTHS: std::ops::RangeInclusive<i32> = -8..=8;

/// Every trial of the needle.
pub(super) fn sweep(change: Change) -> impl Iterator<Item = Off> {
    EIGHTHS.map(move |k| high(f64::from(k) / 8.0).under(change))
}

/// The best that the needle can give.
#[derive(Clone, Copy, Debug)]
pub(super) struct Best {
    /// Turns off the reference.
    pub turns: f64,
    /// Power, W.
    pub power_w: f64,
    /// Equivalence ratio.
    pub equivalence_ratio: f64,
    /// Detonation index of the best trial.
    pub detonation_index: f64,
    /// Brake efficiency of the best trial, percent.
    pub efficiency_percent: f64,
    /// Whether it lies between trials, not at the last one to a side.
    pub inside: bool,
    /// How far power rises again on its way down to either side, of the best.
    pub rebound: f64,
}

impl Best {
    /// Of trials in even steps from lean to rich, with the heat of a kilogram of fuel; a parabola through the best and its neighbours
    /// places the top between them.
    fn of(trials: &[Steady], lower_heating_value: f64) -> Self {
        let power = |k: usize| trials[k].power_w;
        let known = |k: &usize| power(*k).is_finite();
        let best = (0..trials.len())
            .filter(known)
            .max_by(|a, b| power(*a).total_cmp(&power(*b)));
        let best = best.unwrap_or(0);
        let top = &trials[best];
        let (mut shift, mut peak) = (0.0, 0.0);
        let mut equivalence_ratio = top.equivalence_ratio;
        let inside = best > 0 && best + 1 < trials.len() && known(&(best - 1)) && known(&(best + 1));
        if inside {
            let (a, b, c) = (power(best - 1), power(best), power(best + 1));
            shift = 0.5 * (a - c) / (a - 2.0 * b + c).min(-1e-9);
            peak = -0.25 * (a - c) * shift;
            let beside = trials[if shift < 0.0 { best - 1 } else { best + 1 }].equivalence_ratio;
            equivalence_ratio += f64::abs(shift) * (beside - equivalence_ratio);
        }
        let lowest_first = |places: &mut dyn Iterator<Item = usize>| {
            let (mut least, mut rebound) = (top.power_w, 0.0_f64);
            for k in places.filter(known) {
                least = least.min(power(k));
                rebound = rebound.max(power(k) - least);
            }
            rebound
        };
        let rebound = lowest_first(&mut (0..best).rev()).max(lowest_first(&mut (best + 1..trials.len())));
        Self {
            turns: (f64::from(*EIGHTHS.start()) + best as f64 + shift) / 8.0,
            power_w: top.power_w + peak,
            equivalence_ratio,
            detonation_index: top.detonation_index,
            efficiency_percent: 1e5 * top.power_w / (top.fuel_flow_g_per_s * lower_heating_value),
            inside,
            rebound: rebound / top.power_w,
        }
    }
}

/// The best under a change, of every seed.
pub(super) fn best(t: &Table, change: Change) -> Vec<Best> {
    let places: Vec<Off> = sweep(change).collect();
    t.measure(&places.iter().map(|place| (*place, What::Brake)).collect::<Vec<_>>());
    let swept: Vec<Vec<Steady>> = places.iter().map(|place| t.brake(*place)).collect();
    let heat = change.of(t.setup()).fuel.lower_heating_value;
    (0..t.seeds().len())
        .map(|k| Best::of(&swept.iter().map(|trial| trial[k]).collect::<Vec<_>>(), heat))
        .collect()
}

pub(super) fn s3_best(t: &Table, rows: &mut Rows) {
    let (clean, best) = (t.brake(CLEAN), best(t, Change::Nothing));
    rows.add(
        ("S3", "equivalence ratio of best power"),
        |k| best[k].equivalence_ratio,
        (1.1, 1.6),
        0.1,
    );
    rows.add(
        ("S3", "best power at high needle offset, turns"),
        |k| best[k].turns,
        (-0.9, 0.0),
        0.1,
    );
    rows.add(
        ("S3", "power rises again beside its best by, of it"),
        |k| best[k].rebound,
        (-INF, 0.01),
        0.01,
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
    let displacement = t.setup().engine.geometry.displacement_cm3;
    rows.add(
        ("power", "best power per displacement, W/cm³"),
        |k| best[k].power_w / displacement,
        (800.0 / 3.5, 1300.0 / 3.5),
        40.0,
    );
    rows.add(
        ("S17", "brake efficiency at best power, %"),
        |k| best[k].efficiency_percent,
        (6.0, 14.0),
        2.0,
    );
}

pub(super) fn s3_sides(t: &Table, rows: &mut Rows) {
    let (clean, best) = (t.brake(CLEAN), best(t, Change::Nothing));
    for (name, turns, limits, scale) in [
        ("high -3/4: power over best", -0.75, (0.0, 0.97), 0.05),
        ("high -1/2: power over best", -0.5, (0.0, 0.998), 0.05),
        ("high +1/2: power over best", 0.5, (0.85, 0.99), 0.03),
        ("high +1: power over best", 1.0, (0.0, 0.965), 0.05),
    ] {
        let there = t.brake(high(turns));
        rows.add(("S3", name), |k| there[k].power_w / best[k].power_w, limits, scale);
    }
    let (lean, rich) = (t.brake(high(-0.5)), t.brake(high(0.5)));
    rows.add(
        ("S3", "high -1/2: detonation index"),
        |k| lean[k].detonation_index,
        (0.02, INF),
        0.1,
    );
    rows.add(
        ("S3", "clean: detonation index"),
        |k| clean[k].detonation_index,
        (0.0, 0.0),
        0.05,
    );
    rows.add(
        ("S3", "high +1/2: misfire, %"),
        |k| rich[k].misfire_percent,
        (0.0, 2.0),
        2.0,
    );
}

/// How many revolutions burn little, and how many most of what can burn.
struct Shares {
    /// What burns at best.
    whole: f64,
    little: Mean,
    most: Mean,
}

impl Observer for Shares {
    fn see(&mut self, now: &Now, r: &Revolution, _: &State) {
        if now.mark == Mark::Watch {
            let burnt = r.burnt_share / self.whole;
            self.little.add(f64::from(u8::from(burnt < 0.2)), 1.0);
            self.most.add(f64::from(u8::from(burnt > 0.6)), 1.0);
        }
    }
}

/// A whole turn rich: true four-stroking, not a weaker burn of every charge.
pub(super) fn s3_four_stroking(t: &Table, rows: &mut Rows) {
    let whole = t.setup().laws.firing.best_burnt_share;
    let eyes = |_| Shares {
        whole,
        little: Mean::default(),
        most: Mean::default(),
    };
    let played = t.play(
        Change::Nothing,
        &t.braked(high(1.0)),
        &table::steady(1.0, 0.0, 2.0),
        eyes,
    );
    let share = |mean: &Mean| 100.0 * mean.value().unwrap_or(f64::NAN);
    rows.add(
        ("S3", "high +1: burn under a fifth of their charge, %"),
        |k| share(&played[k].watch.little),
        (25.0, INF),
        10.0,
    );
    rows.add(
        ("S3", "high +1: burn over three fifths of their charge, %"),
        |k| share(&played[k].watch.most),
        (30.0, INF),
        10.0,
    );
}

/// Full throttle of a warm engine after a second and a half of it: the first second, and seconds 17 to 18.2.
fn held(t: &Table, place: Off, load: Load) -> Vec<Stretches<2>> {
    let full = Manoeuvre::from([
        Segment::hold(1.0, 1.5).load(load),
        Segment::hold(1.0, 18.2).mark(Mark::Watch),
    ]);
    let eyes = |_| Stretches::new([(Mark::Watch, 0.0, 1.0), (Mark::Watch, 17.0, 18.2)]);
    let played = t.play(Change::Nothing, &t.warm(place), &full, eyes);
    played.into_iter().map(|p| p.watch).collect()
}

/// A lean engine held at full throttle fades as its heat builds.
pub(super) fn s3_sag(t: &Table, rows: &mut Rows) {
    let brake = Load::Brake(rev_per_second_from_rpm(t.waits().brake_rpm));
    let quarter = held(t, high(-0.25), brake);
    rows.add(
        ("S3", "high -1/4 held 20 s on the brake: power changes by, %"),
        |k| percent(quarter[k].power_w(1), quarter[k].power_w(0)),
        (-4.0, -1.0),
        1.0,
    );
    let whole = held(t, high(-1.0), Load::Stand);
    rows.add(
        ("S3", "high -1 held 20 s wheels up: speed changes by, %"),
        |k| percent(whole[k].rpm(1), whole[k].rpm(0)),
        (-60.0, -5.0),
        3.0,
    );
}

/// Ever leaner from the clean engine's heat, a short look each: how far, in eighths of a turn, and how much has to miss, percent.
const LEANER: std::ops::RangeInclusive<i32> = 6..=22;
const MISSES: f64 = 5.0;

pub(super) fn s3_lean_misfire(t: &Table, rows: &mut Rows) {
    let stands = t.braked(CLEAN);
    let swept: Vec<Vec<Steady>> = LEANER
        .map(|eighths| {
            let leaner = |stand: &Stand| {
                let mut stand = *stand;
                stand.controls.set(t.at(high(-f64::from(eighths) / 8.0)));
                stand
            };
            let from: Vec<Stand> = stands.iter().map(leaner).collect();
            let look = table::steady(1.0, 2.0, 1.0);
            let played = t.play(Change::Nothing, &from, &look, |_| Steadily::default());
            played.iter().map(|p| p.watch.steady()).collect()
        })
        .collect();
    let begins = |k: usize| {
        let both = swept
            .windows(2)
            .map(|pair| (pair[0][k], pair[1][k]))
            .find(|(fires, misses)| fires.misfire_percent < MISSES && misses.misfire_percent >= MISSES);
        both.map_or(f64::NAN, |(fires, misses)| {
            let share = (MISSES - fires.misfire_percent) / (misses.misfire_percent - fires.misfire_percent);
            fires.equivalence_ratio + share * (misses.equivalence_ratio - fires.equivalence_ratio)
        })
    };
    rows.add(
        ("S3", "lean misfire begins at equivalence ratio"),
        begins,
        (0.5, 0.75),
        0.05,
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::symptoms::running::Running;

    fn trials(power_w: impl Fn(f64) -> f64) -> Vec<Steady> {
        EIGHTHS
            .map(|k| {
                let turns = f64::from(k) / 8.0;
                Steady {
                    power_w: power_w(turns),
                    equivalence_ratio: 1.3 + 0.4 * turns,
                    detonation_index: 0.0,
                    fuel_flow_g_per_s: 1.0,
                    ..Steady::NONE
                }
            })
            .collect()
    }

    #[test]
    fn the_top_lies_between_trials() {
        let best = Best::of(&trials(|x| 900.0 - 400.0 * (x + 0.22) * (x + 0.22)), 1e6);
        assert!(
            (best.turns + 0.22).abs() < 1e-9 && (best.power_w - 900.0).abs() < 1e-6,
            "{best:?}"
        );
        assert!((best.equivalence_ratio - 1.212).abs() < 1e-9 && best.inside, "{best:?}");
        assert_eq!(best.rebound, 0.0);
    }

    #[test]
    fn an_end_is_no_maximum_and_a_second_one_is_seen() {
        assert!(!Best::of(&trials(|x| 900.0 + 100.0 * x), 1e6).inside);
        let second = Best::of(&trials(|x| if x > 0.8 { 850.0 } else { 900.0 - 400.0 * x * x }), 1e6);
        assert!(second.rebound > 0.1, "{second:?}");
        // Trials of engines that stood are left out; with none left there is no power.
        let lean_dies = Best::of(
            &trials(|x| if x < -0.5 { f64::NAN } else { 900.0 - 400.0 * x * x }),
            1e6,
        );
        assert!(lean_dies.inside && (lean_dies.power_w - 900.0).abs() < 1e-6);
        assert!(Best::of(&trials(|_| f64::NAN), 1e6).power_w.is_nan());
    }
}
