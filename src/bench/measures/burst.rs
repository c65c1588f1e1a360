//! A burst of full throttle and the return to idle: how soon the speed is down, and how it settles there.

use super::{Base, From, Mean, Measure, Tally};
use crate::bench::manoeuvre::{Mark, table};
use crate::bench::player::{Now, Observer, Play, Played};
use crate::engine::state::{Revolution, State};
use crate::units::rpm_from_rev_per_second;

/// Return from a burst of full throttle.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Burst {
    /// From shutting the throttle to below 1.5 times the settled idle and the clutch, s; none if it never came down in 12 s.
    pub return_s: Option<f64>,
    /// Mean speed over 0.3-1.3 s after that, against the settled idle, percent.
    pub early_excess_percent: f64,
    /// Time after that until the speed stays within 5 % of settled, s.
    pub settle_s: f64,
    /// Seconds above 1.1 times the settled idle, from shutting the throttle, in running means over half a second; as long as watched if it
    /// never came down.
    pub hang_s: f64,
    /// Largest deviation from settled, over half a second, from 1.3 s after shutting on, percent.
    pub late_deviation_percent: f64,
    /// Lowest speed after the return, percent of settled.
    pub lowest_percent: f64,
    /// The engine died.
    pub stalled: bool,
    /// Highest speed reached, rpm.
    pub top_rpm: f64,
}

/// An idle that is faster than settled by this factor hangs.
const HANGS: f64 = 1.1;
/// Tenths of a second over which a speed is heard: a burbling idle's own beats are no hang, and nobody hears a single tenth above a mark.
const HEARD_TENTHS: usize = 5;

/// Watches a burst.
#[derive(Clone, Debug)]
pub struct Eyes {
    settled_rpm: f64,
    threshold_rpm: f64,
    top_rpm: f64,
    /// When it crossed the threshold, s after shutting.
    crossed: Option<f64>,
    /// Time and speed of the revolution before.
    before: (f64, f64),
    tenth: Tally,
    /// Middles of tenths of a second after shutting, and the speeds over them, rpm.
    tenths: Vec<(f64, f64)>,
}

impl Observer for Eyes {
    #[inline(always)]
    fn see(&mut self, now: &Now, r: &Revolution, _: &State) {
        let (t, rpm) = (now.seconds, rpm_from_rev_per_second(r.speed));
        match now.mark {
            Mark::Open => {
                self.top_rpm = self.top_rpm.max(rpm);
                self.before = (0.0, rpm);
            }
            Mark::Return => {
                if self.crossed.is_none() && rpm < self.threshold_rpm {
                    let (then, faster) = self.before;
                    let share = if faster > rpm {
                        (faster - self.threshold_rpm) / (faster - rpm)
                    } else {
                        1.0
                    };
                    self.crossed = Some(then + (t - then) * share.clamp(0.0, 1.0));
                }
                self.before = (t, rpm);
                if let Some((turned, since)) = self.tenth.full(r, 0.1) {
                    let mean = if rpm > 0.0 {
                        rpm_from_rev_per_second(turned / since)
                    } else {
                        0.0
                    };
                    self.tenths.push((t - 0.5 * since, mean));
                }
            }
            _ => {}
        }
    }
}

impl Eyes {
    fn burst(&self) -> Burst {
        let origin = self.crossed.unwrap_or(12.0);
        let after: Vec<(f64, f64)> = self
            .tenths
            .iter()
            .filter(|w| w.0 >= origin)
            .map(|w| (w.0 - origin, 100.0 * (w.1 / self.settled_rpm - 1.0)))
            .collect();
        let mut early = Mean::default();
        for w in after.iter().filter(|w| (0.3..1.3).contains(&w.0)) {
            early.add(w.1, 1.0);
        }
        // Smoothed over half a second, so that an idle's own variation is not taken for drift.
        let smooth: Vec<(f64, f64)> = after
            .windows(HEARD_TENTHS)
            .map(|w| (w[HEARD_TENTHS / 2].0, half_second(w)))
            .collect();
        let settle_s = smooth.iter().rev().find(|w| w.1.abs() > 5.0).map_or(0.0, |w| w.0);
        let late = self
            .tenths
            .windows(HEARD_TENTHS)
            .filter(|w| w[0].0 >= 1.3)
            .map(|w| 100.0 * (half_second(w) / self.settled_rpm - 1.0))
            .fold(0.0_f64, |m, deviation| m.max(deviation.abs()));
        let hang_s = hang_s(&self.tenths, HANGS * self.settled_rpm);
        let lowest = smooth.iter().fold(f64::INFINITY, |m, w| m.min(w.1));
        Burst {
            return_s: self.crossed,
            early_excess_percent: early.value().unwrap_or(100.0),
            settle_s,
            hang_s,
            late_deviation_percent: late,
            lowest_percent: if lowest.is_finite() { lowest } else { 0.0 },
            stalled: self.before.1 <= 0.0,
            top_rpm: self.top_rpm,
        }
    }
}

/// The mean of some tenths of a second.
fn half_second(tenths: &[(f64, f64)]) -> f64 {
    tenths.iter().map(|tenth| tenth.1).sum::<f64>() / tenths.len() as f64
}

/// Until the speed, over half a second, was last above a mark, s; as long as it was watched if it still is.
fn hang_s(tenths: &[(f64, f64)], mark_rpm: f64) -> f64 {
    let last = tenths.windows(HEARD_TENTHS).rposition(|w| half_second(w) > mark_rpm);
    match last {
        None => 0.0,
        Some(i) if i + HEARD_TENTHS == tenths.len() => tenths[tenths.len() - 1].0,
        Some(i) => 0.5 * (tenths[i + HEARD_TENTHS / 2].0 + tenths[i + HEARD_TENTHS / 2 + 1].0),
    }
}

/// Full throttle, shut, hold, against the settled idle.
pub struct Bursting;

impl Measure for Bursting {
    type Eyes = Eyes;
    type Found = Burst;
    const FROM: From = From::Settled;

    fn plays(base: &Base) -> Vec<Play<Eyes>> {
        let settled_rpm = base.idle_rpm.max(1.0);
        vec![Play {
            from: base.from,
            manoeuvre: table::burst(base.waits),
            watch: Eyes {
                settled_rpm,
                threshold_rpm: (1.5 * settled_rpm).min(base.clutch_rpm),
                top_rpm: 0.0,
                crossed: None,
                before: (0.0, 0.0),
                tenth: Tally::default(),
                tenths: Vec::with_capacity(160),
            },
        }]
    }

    fn found(played: &[Played<Eyes>]) -> Burst {
        played[0].watch.burst()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::rig;
    use crate::config::reference_setup;
    use crate::engine::Engine;

    /// What eyes make of a return whose speed, rpm, is known over time, s; beats of 5 ms, an idle of 10 000 rpm.
    fn returned(rpm: impl Fn(f64) -> f64) -> Burst {
        let (engine, setup) = reference_setup("offroad-3.5").unwrap();
        let state = rig::warm(&Engine::new(&setup), engine.reference, 1).state;
        let mut eyes = Eyes {
            settled_rpm: 10_000.0,
            threshold_rpm: 14_500.0,
            top_rpm: 0.0,
            crossed: None,
            before: (0.0, 0.0),
            tenth: Tally::default(),
            tenths: Vec::new(),
        };
        let mut seconds = 0.0;
        while seconds < 12.0 {
            let speed = rpm(seconds) / 60.0;
            let duration = if speed > 0.0 { 1.0 / speed } else { 0.005 };
            seconds += duration;
            let now = Now {
                mark: Mark::Return,
                seconds,
                throttle: 0.0,
            };
            let revolution = Revolution {
                duration,
                speed,
                ..Revolution::default()
            };
            eyes.see(&now, &revolution, &state);
        }
        eyes.burst()
    }

    #[test]
    fn a_hang_is_counted_from_shutting_to_the_last_half_second_that_is_above() {
        // 12 000 rpm till 2.5 s: down past 1.5 times the idle at once, and hanging there.
        let hangs = returned(|t| if t < 2.5 { 12_000.0 } else { 10_000.0 });
        assert!((hangs.hang_s - 2.5).abs() < 0.11, "{hangs:?}");
        assert!(hangs.return_s.unwrap() < 0.1);
        // 1.1 times is the mark: a half second at 1.11 is above it, and one with a tenth at the idle no more.
        for (rpm, hang_s) in [(10_900.0, 0.0), (11_100.0, 4.8)] {
            let burst = returned(|t| if t < 5.0 { rpm } else { 10_000.0 });
            assert!((burst.hang_s - hang_s).abs() < 0.11, "{rpm}: {burst:?}");
        }
        // One that falls at once and comes up again has hung till then.
        let again = returned(|t| if (3.0..4.0).contains(&t) { 12_000.0 } else { 10_000.0 });
        assert!((again.hang_s - 4.0).abs() < 0.11, "{again:?}");
        // A burble's single beats above the mark are none.
        let burbles = returned(|t| if t % 1.0 < 0.1 { 12_000.0 } else { 10_000.0 });
        assert_eq!(burbles.hang_s, 0.0);
        // One that never comes down hangs as long as it is watched; a dead engine doesn't.
        assert!(returned(|_| 13_000.0).hang_s > 11.8);
        assert!(returned(|t| if t < 0.5 { 13_000.0 } else { 0.0 }).hang_s < 0.65);
    }
}
