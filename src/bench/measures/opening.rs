//! Opening the throttle from idle: a snap to full after a wait, and a slow opening.

use super::{Base, From, Mean, Measure, missed};
use crate::bench::manoeuvre::table::Waits;
use crate::bench::manoeuvre::{Mark, table};
use crate::bench::player::{Now, Observer, Play, Played, Stand, play};
use crate::engine::Engine;
use crate::engine::state::{Revolution, State};
use crate::units::rpm_from_rev_per_second;

/// A snap to full throttle after a wait at idle.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Snap {
    /// From opening to the mark, s; none if it did not get there in 4 s.
    pub delay_s: Option<f64>,
    /// (Peak - steady)/steady of the visible oil.
    pub puff_excess: f64,
    /// Revolutions that missed on the way up and 0.3 s on, percent.
    pub misfire_percent: f64,
    /// Share of the charge left unburnt over the same revolutions, percent: what the calibration follows where nothing misses yet.
    pub unburnt_percent: f64,
    /// The engine died.
    pub stalled: bool,
}

/// Watches a snap.
#[derive(Clone, Copy, Debug)]
pub struct SnapEyes {
    mark_rpm: f64,
    delay: Option<f64>,
    died_waiting: bool,
    /// Time since opening and speed of the revolution before.
    before: (f64, f64),
    missed: f64,
    unburnt: f64,
    turns: f64,
    /// Oil since, seconds since, and the highest flow: over 50 ms, what an eye takes for one puff.
    puff: (f64, f64, f64),
    steady: Mean,
}

impl SnapEyes {
    /// Before the throttle opens; a speed, rpm, ends the delay.
    fn new(mark_rpm: f64) -> Self {
        Self {
            mark_rpm,
            delay: None,
            died_waiting: false,
            before: (0.0, 0.0),
            missed: 0.0,
            unburnt: 0.0,
            turns: 0.0,
            puff: (0.0, 0.0, 0.0),
            steady: Mean::default(),
        }
    }
}

impl Observer for SnapEyes {
    #[inline(always)]
    fn see(&mut self, now: &Now, r: &Revolution, _: &State) {
        let (t, rpm) = (now.seconds, rpm_from_rev_per_second(r.speed));
        if now.mark != Mark::Open {
            self.before = (0.0, rpm);
            self.died_waiting = rpm <= 0.0;
            return;
        }
        if self.delay.is_none() && rpm >= self.mark_rpm {
            let (then, slower) = self.before;
            self.delay = Some(then + (t - then) * (self.mark_rpm - slower) / (rpm - slower).max(1e-9));
        }
        self.before = (t, rpm);
        if self.delay.is_none_or(|d| t < d + 0.3) {
            self.turns += 1.0;
            self.missed += missed(r);
            self.unburnt += 1.0 - r.burnt_share;
        }
        let (oil, since, peak) = &mut self.puff;
        *oil += r.oil_out;
        *since += r.duration;
        if *since >= 0.05 {
            *peak = peak.max(*oil / *since);
            (*oil, *since) = (0.0, 0.0);
        }
        if t > 2.5 {
            self.steady.add(r.oil_out / r.duration, r.duration);
        }
    }
}

/// Clears out twice, idles the wait, snaps to full.
pub struct Snapping;

impl Measure for Snapping {
    type Eyes = SnapEyes;
    type Found = Snap;
    const FROM: From = From::Settled;

    fn plays(base: &Base) -> Vec<Play<SnapEyes>> {
        vec![Play {
            from: base.from,
            manoeuvre: table::snap(base.waits),
            watch: SnapEyes::new(base.waits.snap_mark_rpm),
        }]
    }

    fn found(played: &[Played<SnapEyes>]) -> Snap {
        let eyes = &played[0].watch;
        let steady = eyes.steady.value().unwrap_or(0.0);
        let peak = eyes.puff.2;
        Snap {
            delay_s: if eyes.died_waiting { None } else { eyes.delay },
            puff_excess: if steady > 1e-9 { (peak - steady) / steady } else { 0.0 },
            misfire_percent: 100.0 * eyes.missed / eyes.turns.max(1.0),
            unburnt_percent: 100.0 * eyes.unburnt / eyes.turns.max(1.0),
            stalled: eyes.before.1 <= 0.0,
        }
    }
}

/// A snap of which only the pick-up is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct QuickSnap {
    /// Mean idle just before the throttle opens, rpm; 0 if it died.
    pub idle_rpm: f64,
    /// From opening to the mark, s; none if it did not get there in 4 s.
    pub delay_s: Option<f64>,
}

/// Watches a snap and the idle before it.
struct QuickEyes {
    snap: SnapEyes,
    idle: Mean,
}

impl Observer for QuickEyes {
    #[inline(always)]
    fn see(&mut self, now: &Now, r: &Revolution, state: &State) {
        if now.mark == Mark::Watch {
            self.idle.add(rpm_from_rev_per_second(r.speed), r.duration);
        }
        self.snap.see(now, r, state);
    }
}

/// Snaps of warm engines side by side, each ended once it has picked up.
pub fn quick_snaps(engine: &Engine, waits: &Waits, from: &[Stand]) -> Vec<QuickSnap> {
    let plays = from.iter().map(|from| Play {
        from: *from,
        manoeuvre: table::quick_snap(waits),
        watch: QuickEyes {
            snap: SnapEyes::new(waits.snap_mark_rpm),
            idle: Mean::default(),
        },
    });
    let snap = |Played { watch, .. }: Played<QuickEyes>| {
        let alive = !watch.snap.died_waiting;
        QuickSnap {
            idle_rpm: watch.idle.value().filter(|_| alive).unwrap_or(0.0),
            delay_s: watch.snap.delay.filter(|_| alive),
        }
    };
    play(engine, plays).into_iter().map(snap).collect()
}

/// Slow opening from idle to full.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct RollOn {
    /// Revolutions that missed, percent, in the worst tenth of the opening.
    pub misfire_percent: f64,
    /// Share of the charge left unburnt in the worst tenth, percent.
    pub unburnt_percent: f64,
    /// Highest opacity over a tenth of a second, percent.
    pub opacity_percent: f64,
}

/// Steps of the opening that make a tenth of it.
const TENTH: u8 = 6;

/// Watches a slow opening.
#[derive(Clone, Copy, Debug, Default)]
pub struct RollEyes {
    step: u8,
    opacity: Mean,
    thickest: f64,
    missed: f64,
    unburnt: f64,
    turns: f64,
    worst_missed: f64,
    worst_unburnt: f64,
}

impl RollEyes {
    /// A step is over.
    fn stepped(&mut self) {
        self.thickest = self.thickest.max(self.opacity.value().unwrap_or(0.0));
        self.opacity = Mean::default();
        if self.step % TENTH == TENTH - 1 {
            self.worst_missed = self.worst_missed.max(100.0 * self.missed / self.turns);
            self.worst_unburnt = self.worst_unburnt.max(100.0 * self.unburnt / self.turns);
            (self.missed, self.unburnt, self.turns) = (0.0, 0.0, 0.0);
        }
    }
}

impl Observer for RollEyes {
    #[inline(always)]
    fn see(&mut self, now: &Now, r: &Revolution, _: &State) {
        let Mark::Step(step) = now.mark else { return };
        if step != self.step {
            self.stepped();
            self.step = step;
        }
        self.turns += 1.0;
        self.missed += missed(r);
        self.unburnt += 1.0 - r.burnt_share;
        self.opacity.add(100.0 * r.opacity, r.duration);
    }
}

/// Opens slowly.
pub struct Rolling;

impl Measure for Rolling {
    type Eyes = RollEyes;
    type Found = RollOn;
    const FROM: From = From::Settled;

    fn plays(base: &Base) -> Vec<Play<RollEyes>> {
        vec![Play {
            from: base.from,
            manoeuvre: table::roll_on(),
            watch: RollEyes::default(),
        }]
    }

    fn found(played: &[Played<RollEyes>]) -> RollOn {
        let mut eyes = played[0].watch;
        eyes.stepped();
        RollOn {
            misfire_percent: eyes.worst_missed,
            unburnt_percent: eyes.worst_unburnt,
            opacity_percent: eyes.thickest,
        }
    }
}
