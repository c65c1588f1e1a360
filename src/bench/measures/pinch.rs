//! The fuel line pinched at idle: a rich engine speeds up as it leans out, before it starves; a lean one only fades.

use super::idle::Watching;
use super::{Base, From, Measure, Tally};
use crate::bench::manoeuvre::{Mark, table};
use crate::bench::player::{Now, Observer, Play, Played};
use crate::engine::state::{Revolution, State};
use crate::units::rpm_from_rev_per_second;

/// What came of it.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Pinch {
    /// Fastest over three tenths of a second, against the idle just before, percent; negative if it only fades.
    pub rise_percent: f64,
    /// Until it stood, s; none if it was still running after 30 s.
    pub died_s: Option<f64>,
}

/// Times that the line is pinched: an idle wanders by about as much as a lean end rises.
const TRIALS: u8 = 4;

/// Watches one trial: the idle before it, and what comes of the pinch.
#[derive(Clone, Debug, Default)]
pub struct Eyes {
    idle: Watching,
    window: Tally,
    top_rpm: f64,
    died_s: Option<f64>,
}

impl Observer for Eyes {
    #[inline(always)]
    fn see(&mut self, now: &Now, r: &Revolution, state: &State) {
        if now.mark != Mark::Pinch {
            self.idle.see(now, r, state);
            return;
        }
        if let Some((turned, since)) = self.window.full(r, 0.3) {
            self.top_rpm = self.top_rpm.max(rpm_from_rev_per_second(turned / since));
        }
        if r.speed <= 0.0 {
            self.died_s = Some(now.seconds);
        }
    }
}

/// Pinches the line of an engine that idles, until it stands; the mean of four trials, each a little later than the last.
pub struct Pinching;

impl Measure for Pinching {
    type Eyes = Eyes;
    type Found = Pinch;
    const FROM: From = From::Settled;

    fn plays(base: &Base) -> Vec<Play<Eyes>> {
        (0..TRIALS)
            .map(|before| Play {
                from: base.from,
                manoeuvre: table::pinch(before),
                watch: Eyes::default(),
            })
            .collect()
    }

    fn found(played: &[Played<Eyes>]) -> Pinch {
        let (mut rises, mut deaths, mut died) = (0.0, 0.0, 0_u8);
        for Played { watch, .. } in played {
            rises += 100.0 * (watch.top_rpm / watch.idle.idle().rpm.max(1.0) - 1.0);
            deaths += watch.died_s.unwrap_or(0.0);
            died += u8::from(watch.died_s.is_some());
        }
        Pinch {
            rise_percent: rises / f64::from(TRIALS),
            died_s: (died == TRIALS).then(|| deaths / f64::from(TRIALS)),
        }
    }
}
