//! The beat of an engine, revolution by revolution: how much its cycles' work varies, the line at half the firing rate, what misses,
//! and how early it burns.

use crate::bench::instruments::missed;
use crate::bench::manoeuvre::Mark;
use crate::bench::measures::Mean;
use crate::bench::player::{Now, Observer};
use crate::engine::state::{Revolution, State};
use crate::units::mg_from_kilogram;

/// Revolutions that the line is taken over at a time.
const BLOCK: usize = 64;

/// Watches a steady engine.
#[derive(Clone, Debug, Default)]
pub(super) struct Rhythm {
    /// Indicated work of every revolution, J.
    works: Vec<f64>,
    missed: Mean,
    phase: Mean,
    oil: Mean,
    stands: bool,
}

impl Observer for Rhythm {
    fn see(&mut self, now: &Now, r: &Revolution, _: &State) {
        if now.mark != Mark::Watch {
            return;
        }
        self.works.push(r.indicated_work);
        self.missed.add(f64::from(u8::from(missed(r))), 1.0);
        self.phase.add(r.phase_error_deg, r.burnt_share);
        self.oil.add(mg_from_kilogram(r.oil_out / r.duration), r.duration);
        self.stands = r.speed <= 0.0;
    }
}

impl Rhythm {
    /// Whether the engine died.
    pub fn stands(&self) -> bool {
        self.stands
    }

    fn of(&self, mean: Mean) -> f64 {
        mean.value().filter(|_| !self.stands).unwrap_or(f64::NAN)
    }

    /// Share of revolutions that missed, percent.
    pub fn missed_percent(&self) -> f64 {
        100.0 * self.of(self.missed)
    }

    /// How early the burn is, degrees, in the mean over what burnt.
    pub fn phase_deg(&self) -> f64 {
        self.of(self.phase)
    }

    /// Oil that leaves, mg/s.
    pub fn oil_mg_per_s(&self) -> f64 {
        self.of(self.oil)
    }

    fn mean_work(&self) -> f64 {
        let sum: f64 = self.works.iter().sum();
        if self.stands {
            f64::NAN
        } else {
            sum / self.works.len() as f64
        }
    }

    /// Coefficient of variation of the cycles' work, percent.
    pub fn variation_percent(&self) -> f64 {
        let mean = self.mean_work();
        let squares: f64 = self.works.iter().map(|work| (work - mean) * (work - mean)).sum();
        100.0 * (squares / self.works.len() as f64).sqrt() / mean
    }

    /// Power of the line at half the firing rate, J² (Goertzel's sum at that rate is one of alternating signs).
    pub fn half_rate(&self) -> f64 {
        let mean = self.mean_work();
        let mut power = Mean::default();
        for block in self.works.chunks_exact(BLOCK) {
            let pairs = block.chunks_exact(2).map(|pair| (pair[0] - mean) - (pair[1] - mean));
            power.add(pairs.sum::<f64>().powi(2) / BLOCK as f64, 1.0);
        }
        self.of(power)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn beat(work: impl Fn(usize) -> f64) -> Rhythm {
        let mut missed = Mean::default();
        missed.add(0.0, 1.0);
        Rhythm {
            works: (0..640).map(work).collect(),
            missed,
            ..Rhythm::default()
        }
    }

    #[test]
    fn every_second_beat_is_a_line_at_half_the_rate_and_every_third_is_none() {
        let alternate = beat(|k| (k % 2) as f64);
        // 32 pairs of one joule difference: 32²/64.
        assert!((alternate.half_rate() - 16.0).abs() < 1e-9);
        assert!((alternate.variation_percent() - 100.0).abs() < 1e-9);
        assert!(beat(|_| 1.0).half_rate() < 1e-9);
        assert!(beat(|k| f64::from(u8::from(k % 3 == 0))).half_rate() < 0.1);
    }
}
