//! The fuel line pinched at idle: a rich engine speeds up as it leans out, before it starves; a lean one only fades.

use super::idle::watch_idle;
use crate::bench::rig::Rig;

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

/// Pinches the line of an engine that idles, until it stands; the mean of four trials, each a little later than the last.
pub fn pinch(mut rig: Rig) -> Pinch {
    let (mut rises, mut deaths, mut died) = (0.0, 0.0, 0_u8);
    for _ in 0..TRIALS {
        let idle_rpm = watch_idle(&mut rig, 2.0).rpm.max(1.0);
        let trial = once(rig, idle_rpm);
        rises += trial.rise_percent;
        deaths += trial.died_s.unwrap_or(0.0);
        died += u8::from(trial.died_s.is_some());
    }
    Pinch {
        rise_percent: rises / f64::from(TRIALS),
        died_s: (died == TRIALS).then(|| deaths / f64::from(TRIALS)),
    }
}

fn once(mut rig: Rig, idle_rpm: f64) -> Pinch {
    rig.controls.line_open = 0.0;
    let (mut top, mut turned, mut since) = (0.0_f64, 0.0, 0.0);
    let mut died_s = None;
    rig.hold(0.0, 30.0, |t, r, _| {
        if died_s.is_some() {
            return;
        }
        turned += 1.0;
        since += r.duration;
        if since >= 0.3 {
            top = top.max(turned / since * 60.0);
            (turned, since) = (0.0, 0.0);
        }
        if r.speed <= 0.0 {
            died_s = Some(t);
        }
    });
    Pinch {
        rise_percent: 100.0 * (top / idle_rpm - 1.0),
        died_s,
    }
}
