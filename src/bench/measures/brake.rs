//! Full throttle on the brake: the running point once the head has settled, and the best power that the high-speed needle can give
//! there.

use super::steady::watched;
use super::{Base, From, Measure, Steadily, Steady};
use crate::bench::manoeuvre::table;
use crate::bench::player::{Now, Observer, Play, Played};
use crate::engine::Setup;
use crate::engine::state::{Revolution, State};

/// Full throttle on the brake until the head has settled, refuelled on the way.
pub struct Brake;

impl Measure for Brake {
    type Eyes = Steadily;
    type Found = Steady;
    const FROM: From = From::Start;

    fn plays(base: &Base) -> Vec<Play<Steadily>> {
        guessed(watched(base, table::brake(base.waits)))
    }

    fn found(played: &[Played<Steadily>]) -> Steady {
        played[0].watch.steady()
    }
}

/// The same with a fair guess of the head, which saves half of the wait; the hold forgets it.
fn guessed(mut plays: Vec<Play<Steadily>>) -> Vec<Play<Steadily>> {
    for play in &mut plays {
        let head = &mut play.from.state.head_temperature;
        *head = head.max(388.15);
    }
    plays
}

/// The same with solids that settle sooner ([`hastened`]), held until they have settled altogether: eight seconds stand for minutes, so
/// that a sign-off costs less, and a map of settings can be braked. Where it knocks, a head that is held no longer than usual has not come quite so far.
pub struct SwiftBrake;

impl Measure for SwiftBrake {
    type Eyes = Steadily;
    type Found = Steady;
    const FROM: From = From::Start;
    const HASTENED: bool = true;

    fn plays(base: &Base) -> Vec<Play<Steadily>> {
        let hold_s = (base.waits.brake_hold_s + SETTLE_S) / HASTE;
        guessed(watched(base, table::swift_brake(base.waits, hold_s)))
    }

    fn found(played: &[Played<Steadily>]) -> Steady {
        played[0].watch.steady()
    }
}

/// The best that the high-speed needle can give.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Best {
    /// Power, W.
    pub power_w: f64,
    /// Equivalence ratio at it.
    pub equivalence_ratio: f64,
}

/// Power at high-speed needles a quarter of a turn apart, around a settled running point, each with its own head settled: a lean one
/// runs hotter, and a hotter engine takes in less.
pub struct CoarsePower;

/// Trials of the high-speed needle, by their place: the needle is so many twelfths of a turn richer than the running point's.
const COARSE: [i8; 7] = [-11, -8, -5, -2, 1, 4, 7];
/// Places beside the best of them that are tried then.
const FINE: [i8; 4] = [-2, -1, 1, 2];

/// What they gave.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coarsely([Option<Trial>; COARSE.len()]);

/// A trial of the high-speed needle.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Trial {
    place: i8,
    point: Steady,
}

/// Watches a trial, and knows those before it.
#[derive(Clone, Copy, Debug)]
pub struct Trying {
    place: i8,
    before: Option<Coarsely>,
    watch: Steadily,
}

impl Observer for Trying {
    #[inline(always)]
    fn see(&mut self, now: &Now, revolution: &Revolution, state: &State) {
        self.watch.see(now, revolution, state);
    }
}

impl Trying {
    fn trial(&self) -> Trial {
        Trial {
            place: self.place,
            point: self.watch.steady(),
        }
    }
}

impl Measure for CoarsePower {
    type Eyes = Trying;
    type Found = Coarsely;
    const FROM: From = From::Braked;
    const HASTENED: bool = true;

    fn plays(base: &Base) -> Vec<Play<Trying>> {
        trials(base, COARSE)
    }

    fn found(played: &[Played<Trying>]) -> Coarsely {
        let mut trials = played.iter().map(|p| p.watch.trial());
        Coarsely(COARSE.map(|_| trials.next()))
    }
}

/// Best power over the high-speed needle around a settled running point: a twelfth of a turn from trial to trial beside the best of
/// those that were tried far apart, as if all between had been tried, for power has one top.
///
/// Every trial meets the same noise from the same state, so their differences are the needle's; a parabola through the three
/// best settings places the maximum between them.
pub struct BestPower;

impl Measure for BestPower {
    type Eyes = Trying;
    type Found = Best;
    const FROM: From = From::Tried;
    const HASTENED: bool = true;

    fn plays(base: &Base) -> Vec<Play<Trying>> {
        let tried = base.tried.iter().flat_map(|tried| tried.0).flatten();
        let best = tried.max_by(|a, b| a.point.power_w.total_cmp(&b.point.power_w));
        let Some(best) = best else { return Vec::new() };
        let within = COARSE[0]..=COARSE[COARSE.len() - 1];
        trials(
            base,
            FINE.map(|beside| best.place + beside)
                .into_iter()
                .filter(|place| within.contains(place)),
        )
    }

    fn found(played: &[Played<Trying>]) -> Best {
        let before = played.iter().filter_map(|p| p.watch.before).take(1);
        let mut trials: Vec<Trial> = before.flat_map(|before| before.0).flatten().collect();
        trials.extend(played.iter().map(|p| p.watch.trial()));
        trials.sort_by_key(|trial| trial.place);
        Best::among(trials.into_iter().map(|trial| trial.point))
    }
}

/// Trials of the high-speed needle at these places, from lean to rich.
fn trials(base: &Base, places: impl IntoIterator<Item = i8>) -> Vec<Play<Trying>> {
    let high_turns = |place: i8| base.from.controls.high_turns + f64::from(place) / 12.0;
    places
        .into_iter()
        .filter(|place| high_turns(*place) >= 0.2)
        .map(|place| {
            let mut from = base.from;
            from.controls.high_turns = high_turns(place);
            Play {
                from,
                manoeuvre: table::steady(1.0, SETTLE_S / HASTE, 0.5),
                watch: Trying {
                    place,
                    before: base.tried,
                    watch: Steadily::default(),
                },
            }
        })
        .collect()
}

/// How much sooner the solids settle in a trial.
const HASTE: f64 = 32.0;
/// Until what is left of the way from the braked running point no longer counts: more than two time constants of a minute, s.
const SETTLE_S: f64 = 160.0;

/// The same engine with lighter solids: where its temperatures settle is the same, since a steady state knows of no capacity, but
/// they get there sooner. The lightest, the crown, still takes some seventy revolutions, so that none shakes with every beat.
pub fn hastened(setup: &Setup) -> Setup {
    let mut setup = *setup;
    let cooling = &mut setup.engine.cooling;
    for capacity in [
        &mut cooling.head_capacity_j_per_k,
        &mut cooling.crankcase_capacity_j_per_k,
        &mut cooling.crown_capacity_j_per_k,
    ] {
        *capacity /= HASTE;
    }
    setup
}

impl Best {
    /// Of trials from lean to rich.
    pub fn of(played: &[Played<Steadily>]) -> Self {
        Self::among(played.iter().map(|p| p.watch.steady()))
    }

    /// Of running points from lean to rich.
    pub fn among(points: impl IntoIterator<Item = Steady>) -> Self {
        let trials: Vec<(f64, f64)> = points.into_iter().map(|s| (s.equivalence_ratio, s.power_w)).collect();
        let (power_w, equivalence_ratio) = top(&trials);
        Self {
            power_w,
            equivalence_ratio,
        }
    }
}

/// Power and equivalence ratio at the top of trials (equivalence ratio, power).
fn top(trials: &[(f64, f64)]) -> (f64, f64) {
    let best = (0..trials.len())
        .max_by(|a, b| trials[*a].1.total_cmp(&trials[*b].1))
        .unwrap_or(0);
    let (Some(a), Some(b), Some(c)) = (
        best.checked_sub(1).and_then(|i| trials.get(i)),
        trials.get(best),
        trials.get(best + 1),
    ) else {
        return trials.get(best).map_or((0.0, 0.0), |t| (t.1, t.0));
    };
    let (left, right) = ((b.1 - a.1) / (b.0 - a.0), (c.1 - b.1) / (c.0 - b.0));
    let curvature = (right - left) / (c.0 - a.0);
    if curvature >= 0.0 || !curvature.is_finite() {
        return (b.1, b.0);
    }
    let slope = left + curvature * (b.0 - a.0);
    let shift = (-slope / (2.0 * curvature)).clamp(a.0 - b.0, c.0 - b.0);
    (b.1 + slope * shift + curvature * shift * shift, b.0 + shift)
}
