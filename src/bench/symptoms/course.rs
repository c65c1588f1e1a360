//! How speed and power run on over a manoeuvre: their means in stretches of its segments, and the course of the speed in tenths of a
//! second.

use crate::bench::manoeuvre::Mark;
use crate::bench::measures::Mean;
use crate::bench::player::{Now, Observer};
use crate::engine::state::{Revolution, State};
use crate::units::rpm_from_rev_per_second;

/// A stretch: of which segments, from when to when in them, s.
pub(super) type Stretch = (Mark, f64, f64);

/// Means over some stretches.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stretches<const N: usize> {
    stretches: [Stretch; N],
    speed: [Mean; N],
    power: [Mean; N],
    stood: [bool; N],
}

impl<const N: usize> Stretches<N> {
    pub fn new(stretches: [Stretch; N]) -> Self {
        Self {
            stretches,
            speed: [Mean::default(); N],
            power: [Mean::default(); N],
            stood: [false; N],
        }
    }
    /// Mean speed over a stretch, rpm; not-a-number if the engine stood in it.
    pub fn rpm(&self, stretch: usize) -> f64 {
        self.of(&self.speed, stretch)
    }
    /// Mean power over a stretch, W, likewise.
    pub fn power_w(&self, stretch: usize) -> f64 {
        self.of(&self.power, stretch)
    }
    /// Whether the engine stood in a stretch.
    pub fn stood(&self, stretch: usize) -> bool {
        self.stood[stretch]
    }
    fn of(&self, means: &[Mean; N], stretch: usize) -> f64 {
        let mean = means[stretch].value().filter(|_| !self.stood[stretch]);
        mean.unwrap_or(f64::NAN)
    }
}

impl<const N: usize> Observer for Stretches<N> {
    fn see(&mut self, now: &Now, r: &Revolution, _: &State) {
        for (k, (mark, from, to)) in self.stretches.iter().enumerate() {
            if now.mark == *mark && (*from..*to).contains(&now.seconds) {
                self.speed[k].add(rpm_from_rev_per_second(r.speed), r.duration);
                self.power[k].add(r.shaft_work / r.duration, r.duration);
                self.stood[k] |= r.speed <= 0.0;
            }
        }
    }
}

/// The speed after the throttle was shut, in tenths of a second.
#[derive(Clone, Debug, Default)]
pub(super) struct Course {
    tenth: Mean,
    since: f64,
    /// Middles of the tenths, s, and speeds over them, rpm.
    tenths: Vec<(f64, f64)>,
    stands: bool,
}

impl Observer for Course {
    fn see(&mut self, now: &Now, r: &Revolution, _: &State) {
        if now.mark != Mark::Return {
            return;
        }
        self.stands = r.speed <= 0.0;
        self.tenth.add(rpm_from_rev_per_second(r.speed), r.duration);
        self.since += r.duration;
        if self.since >= 0.1 {
            let mean = std::mem::take(&mut self.tenth).value().unwrap_or(0.0);
            self.tenths.push((now.seconds - 0.5 * self.since, mean));
            self.since = 0.0;
        }
    }
}

impl Course {
    /// When the speed is first below a mark, s; not-a-number if it never is, or the engine dies.
    pub fn below_s(&self, mark_rpm: f64) -> f64 {
        let below = self.tenths.iter().find(|tenth| tenth.1 < mark_rpm);
        below.filter(|_| !self.stands).map_or(f64::NAN, |tenth| tenth.0)
    }

    /// How long the speed takes for the fall from 80 to 20 % of what it is above `settled_rpm` once it is below 1.5 times that; in
    /// running means over half a second, s; not-a-number if it does not fall, or the engine dies.
    pub fn fall_s(&self, settled_rpm: f64) -> f64 {
        let down = self.tenths.iter().position(|tenth| tenth.1 < 1.5 * settled_rpm);
        let after = down.map_or(&[] as &[_], |down| &self.tenths[down..]);
        let smooth: Vec<(f64, f64)> = after
            .windows(5)
            .map(|w| (w[2].0, w.iter().map(|x| x.1).sum::<f64>() / 5.0 - settled_rpm))
            .collect();
        let excess = smooth.iter().fold(0.0_f64, |most, x| most.max(x.1));
        let low = smooth.iter().position(|x| x.1 < 0.2 * excess);
        let high = low.and_then(|low| smooth[..low].iter().rev().find(|x| x.1 > 0.8 * excess));
        match (high, low) {
            (Some(high), Some(low)) if !self.stands => smooth[low].0 - high.0,
            _ => f64::NAN,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn course(rpm: impl Fn(f64) -> f64) -> Course {
        let tenths = (0..120).map(|k| 0.1 * f64::from(k) + 0.05);
        Course {
            tenths: tenths.map(|t| (t, rpm(t))).collect(),
            ..Course::default()
        }
    }

    #[test]
    fn a_fall_is_timed_between_80_and_20_percent_of_the_excess() {
        // Down to 1.4 times the idle at once, high for 2 s, and then down in a straight line.
        let falls = |seconds: f64| {
            course(move |t| 10_000.0 + 4_000.0 * (1.0 - (t - 2.0) / seconds).clamp(0.0, 1.0)).fall_s(10_000.0)
        };
        for seconds in [2.0, 4.0] {
            assert!(
                (falls(seconds) - 0.6 * seconds).abs() < 0.21,
                "{seconds} s: {}",
                falls(seconds)
            );
        }
        // What stays up, or was never high, does not fall.
        assert!(course(|_| 14_000.0).fall_s(10_000.0).is_nan());
        assert!(course(|_| 10_000.0).fall_s(10_000.0).is_nan());
    }

    #[test]
    fn a_dead_engine_has_neither_spell_nor_fall() {
        let mut dead = course(|t| if t < 3.0 { 13_000.0 } else { 0.0 });
        assert!((dead.below_s(9_500.0) - 3.05).abs() < 0.01);
        dead.stands = true;
        assert!(dead.below_s(9_500.0).is_nan() && dead.fall_s(10_000.0).is_nan());
    }
}
