//! Laps on the track, and the hot idle after them.

use super::idle::watch_idle;
use crate::bench::rig::Rig;
use crate::engine::state::Load;

/// Throttle of off-road race duty, one lap: (seconds, throttle).
pub const LAP: [(f64, f64); 14] = [
    (2.0, 1.0),
    (1.3, 0.0),
    (1.2, 0.35),
    (1.5, 0.75),
    (1.2, 0.0),
    (1.6, 1.0),
    (1.1, 0.15),
    (1.8, 0.55),
    (1.1, 0.0),
    (1.0, 0.65),
    (1.4, 0.1),
    (1.8, 1.0),
    (1.66, 0.0),
    (1.2, 0.4),
];

/// Drives `laps` laps on the track.
pub fn drive(rig: &mut Rig, laps: usize) {
    rig.controls.on_track = 1.0;
    for _ in 0..laps {
        for (seconds, throttle) in LAP {
            rig.pass(throttle, seconds);
        }
    }
}

/// Idle speed on the stand after two laps, rpm; 0 if the engine died.
pub fn hot_idle(rig: Rig) -> f64 {
    let mut rig = rig.with_load(Load::Track);
    drive(&mut rig, 2);
    let mut rig = rig.with_load(Load::Stand);
    rig.pass(0.0, 3.0);
    watch_idle(&mut rig, 3.0).rpm
}
