//! An engine made up for the coach's tests: it shows what it is told to show.

use super::*;
use crate::bench::instruments::{Note, PinchRise, PlugColour, PlugReading};
use crate::tuning::action::{Part, Screw};
use crate::tuning::episode::{Ask, Found, Missing};
use crate::tuning::strategy::{Marks, Sight, coach};

/// A made-up engine: it shows what it is told to show.
pub(super) struct Bench {
    pub(super) follower: Follower,
    pub(super) sight: Sight,
}

impl Sight {
    /// An engine that stands, of which nothing is heard.
    pub(crate) fn standing() -> Self {
        Self {
            clock_s: 0.0,
            running: false,
            throttle: 0.0,
            marks: Marks::default(),
            idle_gap_mm: 0.8,
            tank_quarters: 4,
            notes: Vec::new(),
            compared: Vec::new(),
            following: None,
            found: Vec::new(),
            tachometer_rpm: None,
            missing: Missing::default(),
            ended: None,
        }
    }
}

impl Bench {
    pub(super) fn new() -> Self {
        Self {
            follower: Follower::new(coach().unwrap(), Limits::STANDARD, Chance::new(1, 0)),
            sight: Sight {
                notes: vec![Note::Silent],
                ..Sight::standing()
            },
        }
    }

    /// Does an action that takes `seconds`, after which this is heard and found.
    pub(super) fn act(&mut self, action: Action, seconds: f64, notes: &[Note], found: Vec<Found>) -> &mut Self {
        let sight = &mut self.sight;
        sight.clock_s += seconds;
        sight.running = match action {
            Action::Start => true,
            Action::Stop | Action::Plug | Action::Fix { .. } => false,
            _ => sight.running,
        };
        sight.throttle = match action {
            Action::Hold { position, .. } => position,
            Action::RollOn => 1.0,
            Action::Turn { .. } => sight.throttle,
            _ => 0.0,
        };
        if let Action::Turn { screw, turns } = action {
            *match screw {
                Screw::High => &mut sight.marks.high_turns,
                Screw::Low => &mut sight.marks.low_turns,
                Screw::Idle => &mut sight.marks.idle_turns,
            } += turns;
        }
        sight.notes = notes.to_vec();
        sight.found = found;
        self.follower.memory.did(&action, sight);
        self
    }

    /// The starter turns it, and it does not run.
    pub(super) fn starts_in_vain(&mut self) -> &mut Self {
        self.sight.clock_s += 10.0;
        self.sight.notes = vec![Note::Silent];
        self.sight.found = Vec::new();
        self.follower.memory.did(&Action::Start, &self.sight);
        self
    }

    pub(super) fn next(&self) -> Action {
        self.follower.clone().next().unwrap().action
    }

    /// Which way it wants the low-speed needle turned: 0 for anything else.
    pub(super) fn wants_low(&self) -> f64 {
        match self.next() {
            Action::Turn {
                screw: Screw::Low,
                turns,
            } => turns.signum(),
            _ => 0.0,
        }
    }

    /// Looked over with nothing found, started, and read warm.
    pub(super) fn started_warm(&mut self) -> &mut Self {
        let sound = Found::Looked {
            part: Part::Line,
            at_fault: false,
        };
        let gun = Found::Gun { head_c: 90.0 };
        self.act(Action::Inspect, 60.0, &[Note::Silent], vec![sound])
            .act(Action::Start, 10.0, &[Note::IdleTooSoon], vec![])
            .act(Action::Gun, 2.0, &[Note::IdleTooSoon], vec![gun])
    }

    /// Looked over, warm, its plug read `colour` after a chop, and hot from laps.
    pub(super) fn read(colour: PlugColour) -> Self {
        let mut bench = Self::new();
        bench.sight.missing = [Ask::Full, Ask::Idle, Ask::Snap, Ask::RollOn].into_iter().collect();
        bench
            .started_warm()
            .act(FULL, 3.0, &[Note::FullClean], vec![])
            .act(Action::Stop, 0.0, &[Note::Silent], vec![]);
        let plug = serde_json::json!({ "tired": false, "colour": colour });
        let plug: PlugReading = serde_json::from_value(plug).unwrap();
        bench.act(Action::Plug, 90.0, &[Note::Silent], vec![Found::Plug(plug)]);
        bench
    }

    pub(super) fn hot(mut self) -> Self {
        self.sight.missing = Missing::default();
        let gun = vec![Found::Gun { head_c: 95.0 }];
        self.act(Action::Start, 10.0, &[Note::IdleTooSoon], vec![]).act(
            Action::Laps { laps: 2 },
            43.0,
            &[Note::IdleTooSoon],
            gun,
        );
        self
    }

    /// A burst, its return and idle, a snap from that, and a pinch test.
    pub(super) fn listened(mut self, idle: &[Note], snap: &[Note], rise: PinchRise) -> Self {
        self.act(FULL, 3.0, &[Note::FullClean], vec![])
            .act(WAIT, 12.0, idle, vec![])
            .act(FULL, 3.0, snap, vec![])
            .act(WAIT, 12.0, idle, vec![])
            .act(Action::Pinch, 6.0, idle, vec![pinched(rise)]);
        self
    }
}

/// A pinch test, as long as one with that rise takes.
fn pinched(rise: PinchRise) -> Found {
    let seconds = match rise {
        PinchRise::Hardly => 5.6,
        PinchRise::Barely => 5.9,
        PinchRise::Little => 6.2,
        PinchRise::Clear => 6.8,
        PinchRise::Lot => 7.4,
    };
    Found::Pinched { rise, seconds }
}

pub(super) const FULL: Action = Action::Hold {
    position: 1.0,
    ms: 3000,
};
pub(super) const WAIT: Action = Action::Wait { ms: 12_000 };
pub(super) const CRISP: &[Note] = &[Note::SnapCrisp, Note::FullClean];
