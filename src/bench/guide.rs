//! What leads hands through a manoeuvre: a [`Cursor`] stands somewhere in it, and a [`Guide`] takes it further from one revolution to
//! the next, whoever watches.

use super::manoeuvre::{Manoeuvre, Mark, Segment, Throttle, Until};
use crate::engine::Next;
use crate::engine::state::{Controls, State};

/// From when the time of a segment counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pace {
    /// From the revolution that ended the segment before: each takes at least its own time.
    Own,
    /// From when the segment before was to end: the manoeuvre as a whole keeps to a clock.
    Clock,
}

/// A place in a manoeuvre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cursor {
    pace: Pace,
    /// The segment to enter next.
    next: usize,
    begun: bool,
    over: bool,
    mark: Mark,
    throttle: Throttle,
    until: Until,
    /// Only time ends the segment, and the throttle stays.
    plain: bool,
    /// When the segment began and when it ends at the latest, on the engine's clock, s.
    start: f64,
    end: f64,
    /// Head at the last full second of the segment, K, and when the next is, s.
    looked: (f64, f64),
}

impl Cursor {
    /// At the beginning of a manoeuvre.
    pub fn new(pace: Pace) -> Self {
        Self {
            pace,
            next: 0,
            begun: false,
            over: false,
            mark: Mark::Prepare,
            throttle: Throttle::Hold(0.0),
            until: Until::Time,
            plain: true,
            start: f64::NAN,
            end: f64::NAN,
            looked: (0.0, 0.0),
        }
    }

    /// The same on a clock whose time is known, s; the engine may be up to a revolution past it.
    pub fn on_clock(start_s: f64) -> Self {
        Self {
            start: start_s,
            ..Self::new(Pace::Clock)
        }
    }

    /// When the segment at hand ends at the latest, on the engine's clock, s.
    pub fn ends_at(&self) -> f64 {
        self.end
    }

    /// Whether the manoeuvre has been played to its end.
    pub fn over(&self) -> bool {
        self.over
    }

    /// Enters the next segment that takes time, up to `pause` on the clock; those that take none do what they say on the way.
    fn enter(&mut self, segments: &[Segment], tank: f64, pause: f64, state: &mut State, controls: &mut Controls) {
        loop {
            let Some(segment) = segments.get(self.next) else {
                self.over = true;
                return;
            };
            if let Some(skip) = segment.skip {
                let out = state.speed <= skip.speed_below || state.head_temperature > skip.head_above;
                if out && skip.to > self.next {
                    self.next = skip.to;
                    continue;
                }
            }
            self.next += 1;
            self.take(segment, tank, state, controls);
            if !self.due(state.time, pause) {
                return;
            }
            self.start = self.end;
        }
    }

    /// Whether the segment's time is over, at a time on the engine's clock, and on the clock of whoever pauses, too: an engine may be
    /// up to a revolution ahead.
    fn due(&self, time: f64, pause: f64) -> bool {
        time >= self.end && self.end <= pause
    }

    /// Does what a segment does at its beginning.
    fn take(&mut self, segment: &Segment, tank: f64, state: &mut State, controls: &mut Controls) {
        self.mark = segment.mark;
        self.until = segment.until;
        self.throttle = segment.throttle;
        self.end = self.start + segment.longest_s;
        self.plain = segment.until == Until::Time && matches!(segment.throttle, Throttle::Hold(_));
        self.looked = (state.head_temperature, 1.0);
        if let Some(load) = segment.load {
            controls.drive(load);
        }
        if let Some(open) = segment.line_open {
            controls.line_open = open;
        }
        if let Some(lead) = segment.glow_lead {
            controls.glow_lead = lead;
        }
        if let Some(speed) = segment.starter {
            state.speed = speed;
        }
        if segment.refuel {
            state.tank_fuel = tank;
        }
        controls.throttle = self.throttle_at(state.time - self.start);
    }

    fn throttle_at(&self, seconds: f64) -> f64 {
        match self.throttle {
            Throttle::Hold(throttle) => throttle,
            Throttle::Ramp { from, to } => from + (to - from) * (seconds / (self.end - self.start)).clamp(0.0, 1.0),
        }
    }

    /// Whether something ends the segment before its time.
    fn cut_short(&mut self, seconds: f64, state: &State) -> bool {
        match self.until {
            Until::Time => false,
            Until::HeadAbove(kelvin) => state.head_temperature > kelvin,
            Until::SpeedAbove(speed) => state.speed > speed,
            Until::SpeedBelow(speed) => state.speed < speed,
            Until::Stalled => state.speed <= 0.0,
            Until::Settled(kelvin) => {
                let (head, at) = self.looked;
                let look = seconds >= at;
                if look {
                    self.looked = (state.head_temperature, seconds + 1.0);
                }
                look && (state.head_temperature - head).abs() < kelvin
            }
        }
    }
}

/// What hands follow: a manoeuvre, where they are in it, and how far they go for now.
#[derive(Clone, Debug)]
pub struct Guide {
    manoeuvre: Manoeuvre,
    cursor: Cursor,
    /// A full tank, kg.
    tank: f64,
    /// Where on the engine's clock to stop for now, s.
    pause: f64,
}

impl Guide {
    /// Where a cursor stands, up to a time on the engine's clock, s; a full tank holds so much, kg.
    pub fn at(tank: f64, manoeuvre: &Manoeuvre, cursor: Cursor, pause: f64) -> Self {
        Self {
            manoeuvre: manoeuvre.clone(),
            cursor,
            tank,
            pause,
        }
    }

    /// Where it stands.
    pub fn cursor(&self) -> Cursor {
        self.cursor
    }

    /// Whether the manoeuvre has been played to its end.
    pub fn over(&self) -> bool {
        self.cursor.over
    }

    /// Goes on for `seconds` more from `now_s` on the engine's clock. A pause already reached is where the next one counts from, so that
    /// many short ways are one long one.
    pub fn go_on(&mut self, seconds: f64, now_s: f64) {
        let from = if self.pause.is_finite() { self.pause } else { now_s };
        self.pause = from + seconds;
    }

    /// Mark of the segment at hand.
    #[inline(always)]
    pub fn mark(&self) -> Mark {
        self.cursor.mark
    }

    /// Seconds since it began, at a time on the engine's clock.
    #[inline(always)]
    pub fn seconds(&self, time: f64) -> f64 {
        time - self.cursor.start
    }

    /// Whether hands stay as they are at a time on the engine's clock: then there is nothing to do but to go on.
    #[inline(always)]
    pub fn stays(&self, time: f64) -> bool {
        self.cursor.plain && time < self.cursor.end && time < self.pause
    }

    /// Goes on with the next segment, which begins at `start`.
    fn enter(&mut self, start: f64, state: &mut State, controls: &mut Controls) {
        self.cursor.start = start;
        let segments = self.manoeuvre.segments();
        self.cursor.enter(segments, self.tank, self.pause, state, controls);
    }

    /// The same once the time of the segment at hand is over.
    fn enter_if_due(&mut self, state: &mut State, controls: &mut Controls) {
        if self.cursor.due(state.time, self.pause) {
            let start = match self.cursor.pace {
                Pace::Own => state.time,
                Pace::Clock => self.cursor.end,
            };
            self.enter(start, state, controls);
        }
    }

    /// Before the first revolution.
    pub fn begin(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        if self.cursor.over {
            return Next::Done;
        }
        if self.cursor.begun {
            self.enter_if_due(state, controls);
        } else {
            self.cursor.begun = true;
            let known = self.cursor.start;
            let start = if known.is_nan() { state.time } else { known };
            self.enter(start, state, controls);
        }
        if self.cursor.over || state.time >= self.pause {
            Next::Done
        } else {
            Next::Moved
        }
    }

    /// After a revolution.
    pub fn turned(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        let seconds = self.seconds(state.time);
        let paused = state.time >= self.pause;
        if self.cursor.plain && state.time < self.cursor.end {
            return if paused { Next::Done } else { Next::On };
        }
        if self.cursor.cut_short(seconds, state) {
            // What ended early is followed at once, on any clock.
            self.enter(state.time, state, controls);
        } else {
            controls.throttle = self.cursor.throttle_at(seconds);
            self.enter_if_due(state, controls);
        }
        if paused || self.cursor.over {
            Next::Done
        } else {
            Next::Moved
        }
    }
}
