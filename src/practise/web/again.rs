//! The engine of a practice once more, after its end: an idle, a burst and the return from it, with the screws as they were found, as
//! they were left, or at the true setting, so that the difference can be heard.

use super::ask::Heard;
use super::ear::Ear;
use crate::bench::manoeuvre::{Manoeuvre, Segment};
use crate::bench::player::Cursor;
use crate::bench::rig::Rig;
use crate::practise::session::Session;
use crate::tuning::judging::within;

/// An engine that is listened to once more.
#[derive(Clone, Debug)]
pub(super) struct Again {
    rig: Rig,
    manoeuvre: Manoeuvre,
    cursor: Cursor,
    until: f64,
}

impl Again {
    /// The engine of a practice that is over, settled at its idle.
    pub fn of(session: &Session, heard: Heard) -> Self {
        let hidden = &session.episode().hidden;
        let (setup, setting) = match heard {
            Heard::Found => (&hidden.setup, hidden.start),
            Heard::Left => (
                &hidden.setup,
                session.episode().path().last().copied().unwrap_or(hidden.start),
            ),
            Heard::Clean => (&hidden.sound, hidden.truth),
        };
        let mut rig = Rig::warm(setup, within(setting), hidden.drawn.engine_seed);
        rig.pass(0.3, 3.0);
        rig.pass(0.0, 4.0);
        let until = rig.state.time;
        Self {
            rig,
            manoeuvre: Manoeuvre::from([
                Segment::hold(0.0, 2.5),
                Segment::hold(1.0, 2.0),
                Segment::hold(0.0, 5.0),
                Segment::hold(1.0, 1.0),
                Segment::hold(0.0, 1.5),
            ]),
            cursor: Cursor::on_clock(until),
            until,
        }
    }

    /// Plays it so many milliseconds further.
    pub fn pass(&mut self, ms: u32, ear: &mut Ear) {
        self.until += f64::from(ms) * 1e-3;
        let _ = self.rig.advance(&self.manoeuvre, &mut self.cursor, self.until, ear);
    }

    /// It has been played.
    pub fn over(&self) -> bool {
        self.cursor.over()
    }

    /// Throttle, 0..1.
    pub fn throttle(&self) -> f64 {
        self.rig.controls.throttle
    }

    /// It runs.
    pub fn running(&self) -> bool {
        !self.rig.stalled()
    }
}
