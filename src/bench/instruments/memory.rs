//! What an ear remembers: each manoeuvre as it was heard the last time and before the last turn of a screw, and how the one of now
//! differs. Only what is beyond an ear or an eye's just-noticeable difference counts; those stand below, all of them assumed.

use serde::Serialize;

use super::idle::{SETTLED_S, burbles, burst_before, came_down_to, hung};
use super::opening::{OPENING_S, delay};
use super::row::{ROW_S, Row, last, mean, seconds};
use super::stretch::{Course, FULL, Opened, SHUT, goes_on};

/// A manoeuvre that is compared with its like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Manoeuvre {
    /// A settled idle.
    Idle,
    /// The return from a burst.
    Return,
    /// A snap after a wait.
    Snap,
    /// A slow opening.
    Opening,
    /// Part throttle held.
    Part,
    /// Full throttle held.
    Full,
}

impl Manoeuvre {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Idle,
        Self::Return,
        Self::Snap,
        Self::Opening,
        Self::Part,
        Self::Full,
    ];
}

/// In what two manoeuvres differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sense {
    /// How high it sounds.
    Pitch,
    /// How much it smokes.
    Smoke,
    /// How many beats it misses.
    Beats,
    /// How long it takes.
    Time,
}

impl Sense {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Pitch, Self::Smoke, Self::Beats, Self::Time];

    /// Least difference that is noticed: in its own unit, and as a share of what it is compared with. Pitches minutes apart are told
    /// by half a semitone; plumes by observers' steps of five percent; missed beats by two in a hundred and half as many again;
    /// times of a second and less by a fifth and a twentieth of a second.
    fn noticed(self) -> (f64, f64) {
        match self {
            Self::Pitch => (0.0, 0.03),
            Self::Smoke => (5.0, 0.2),
            Self::Beats => (0.02, 0.5),
            Self::Time => (0.05, 0.2),
        }
    }
}

/// What it is compared with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Than {
    /// The same manoeuvre before the last turn of a screw.
    BeforeTurn,
    /// The last time of the same manoeuvre.
    LastTime,
}

/// How a manoeuvre differs from the same one earlier.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Compared {
    /// Which.
    pub manoeuvre: Manoeuvre,
    /// In what.
    pub sense: Sense,
    /// More than then (higher, smokier, rougher, later), or less.
    pub more: bool,
    /// Than when.
    pub than: Than,
    /// When the manoeuvre of now began, on the engine's clock: one that is looked at twice is still one.
    pub began_s: f64,
}

/// One manoeuvre as it was heard.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Impression {
    manoeuvre: Manoeuvre,
    began_s: f64,
    throttle: f64,
    /// As far as each was heard, in the order of [`Sense::ALL`].
    senses: [Option<f64>; 4],
}

/// Throttles that count as the same.
const SAME_THROTTLE: f64 = 0.1;

impl Impression {
    fn differs(&self, from: &Self, than: Than) -> Vec<Compared> {
        if (self.throttle - from.throttle).abs() > SAME_THROTTLE {
            return Vec::new();
        }
        let both = self.senses.into_iter().zip(from.senses).zip(Sense::ALL);
        both.filter_map(|((now, then), sense)| {
            let (now, then) = (now?, then?);
            let (least, share) = sense.noticed();
            let noticed = (now - then).abs() > least.max(share * now.abs().min(then.abs()));
            noticed.then_some(Compared {
                manoeuvre: self.manoeuvre,
                sense,
                more: now > then,
                than,
                began_s: self.began_s,
            })
        })
        .collect()
    }
}

/// The memory of an ear.
#[derive(Clone, Debug, Default)]
pub struct Memory {
    snap_mark_rpm: f64,
    last: [Option<Impression>; 6],
    before_turn: [Option<Impression>; 6],
    settled_rpm: Option<f64>,
    turned_s: f64,
}

impl Memory {
    /// Of somebody who has heard nothing; a snap has picked up at `snap_mark_rpm`.
    pub(super) fn new(snap_mark_rpm: f64) -> Self {
        Self {
            snap_mark_rpm,
            ..Self::default()
        }
    }

    /// Whether what was heard up to `last` ends with it.
    pub(super) fn ends(last: &Row, next: &Row) -> bool {
        !goes_on(last, next)
    }

    /// Keeps what `rows` end with.
    pub(super) fn keep(&mut self, rows: &[Row]) {
        for impression in self.impressions(rows) {
            if impression.manoeuvre == Manoeuvre::Idle {
                self.settled_rpm = impression.senses[Sense::Pitch as usize];
            }
            self.last[impression.manoeuvre as usize] = Some(impression);
        }
    }

    /// A screw was turned after `rows`.
    pub(super) fn turned(&mut self, rows: &[Row]) {
        self.keep(rows);
        for (before, last) in self.before_turn.iter_mut().zip(&self.last) {
            *before = last.or(*before);
        }
        self.settled_rpm = None;
        self.turned_s = rows.last().map_or(self.turned_s, |row| row.time_s);
    }

    /// The settled idle since the last turn, rpm.
    pub fn settled_rpm(&self) -> Option<f64> {
        self.settled_rpm
    }

    /// How what `rows` end with differs from before: from before the last turn the first time after it, then from the last time.
    pub fn compare(&self, rows: &[Row]) -> Vec<Compared> {
        let mut compared = Vec::new();
        // What goes on for longer than is kept was compared when it was new: its beginning is not known any more.
        let cut_off = rows.first().map_or(0.0, |row| row.time_s);
        let begins = |now: &Impression| now.began_s > cut_off || cut_off < 2.0 * ROW_S;
        for now in self.impressions(rows).into_iter().filter(begins) {
            let at = now.manoeuvre as usize;
            let last = self.last[at].filter(|last| last.began_s < now.began_s);
            match (last, self.before_turn[at]) {
                (Some(last), _) if last.began_s >= self.turned_s => compared.extend(now.differs(&last, Than::LastTime)),
                (_, Some(before)) => compared.extend(now.differs(&before, Than::BeforeTurn)),
                (Some(last), None) => compared.extend(now.differs(&last, Than::LastTime)),
                (None, None) => {}
            }
        }
        compared
    }

    /// What the end of `rows` is an impression of; what began before the last turn is none.
    fn impressions(&self, rows: &[Row]) -> Vec<Impression> {
        let from = rows.partition_point(|row| row.time_s <= self.turned_s);
        let Some(course) = Course::of(&rows[from..]).filter(|course| course.rows.last().is_some_and(|r| !r.driven))
        else {
            return Vec::new();
        };
        let stretch = course.stretch();
        let throttle = stretch.last().map_or(0.0, |r| r.throttle);
        let seen = |manoeuvre, rows: &[Row], senses| Impression {
            manoeuvre,
            began_s: rows[0].time_s,
            throttle,
            senses,
        };
        let smoke = |rows: &[Row]| Some(mean(rows, |r| r.smoke_percent));
        let mut all = Vec::new();
        if throttle < SHUT {
            if seconds(stretch) < SETTLED_S {
                return all;
            }
            let (end, rpm) = (last(stretch, 2.0), mean(last(stretch, 2.0), |r| r.rpm));
            // One that still burbles has not settled.
            if !burbles(end) {
                all.push(seen(Manoeuvre::Idle, stretch, [Some(rpm), smoke(end), None, None]));
            }
            if burst_before(&course, self.snap_mark_rpm) {
                let idle = came_down_to(rpm, self.settled_rpm);
                all.push(seen(
                    Manoeuvre::Return,
                    stretch,
                    [None, None, None, Some(hung(stretch, idle))],
                ));
            }
            return all;
        }
        let held = seconds(stretch) >= 2.0 * OPENING_S;
        let end = last(stretch, 1.0);
        let beats = Some(mean(end, |r| r.missed_share));
        if held && throttle < FULL {
            all.push(seen(
                Manoeuvre::Part,
                stretch,
                [Some(mean(end, |r| r.rpm)), smoke(end), beats, None],
            ));
        }
        if throttle < FULL {
            return all;
        }
        if held {
            all.push(seen(
                Manoeuvre::Full,
                stretch,
                [Some(mean(end, |r| r.rpm)), smoke(end), beats, None],
            ));
        }
        match course.opened() {
            Opened::Snapped { from, idled_s } if idled_s >= SETTLED_S => {
                let rows = &course.rows[from..];
                let up = &rows[..rows.len().min((OPENING_S / ROW_S) as usize)];
                if let (Some(delay), true) = (delay(rows, self.snap_mark_rpm), held) {
                    let thickest = up.iter().fold(0.0_f64, |most, r| most.max(r.smoke_percent));
                    let beats = Some(mean(up, |r| r.missed_share));
                    all.push(seen(Manoeuvre::Snap, rows, [None, Some(thickest), beats, Some(delay)]));
                }
            }
            Opened::Slowly { from, full } => {
                let rows = &course.rows[from..full];
                let thickest = rows.iter().fold(0.0_f64, |most, r| most.max(r.smoke_percent));
                let beats = Some(mean(rows, |r| r.missed_share));
                all.push(seen(Manoeuvre::Opening, rows, [None, Some(thickest), beats, None]));
            }
            _ => {}
        }
        all
    }

    /// Every number it holds.
    pub(super) fn numbers(&self) -> impl Iterator<Item = f64> {
        let Self {
            snap_mark_rpm,
            last,
            before_turn,
            settled_rpm,
            turned_s,
        } = self;
        let kept = last.iter().chain(before_turn).map(|kept| {
            kept.map_or([f64::NEG_INFINITY; 6], |impression| {
                let [a, b, c, d] = impression.senses.map(|sense| sense.unwrap_or(f64::NEG_INFINITY));
                [impression.began_s, impression.throttle, a, b, c, d]
            })
        });
        [*snap_mark_rpm, settled_rpm.unwrap_or(f64::NEG_INFINITY), *turned_s]
            .into_iter()
            .chain(kept.flatten())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rows of (seconds, throttle, rpm), after `from_s`.
    fn rows(from_s: f64, parts: &[(f64, f64, f64)]) -> Vec<Row> {
        let mut rows: Vec<Row> = Vec::new();
        for (seconds, throttle, rpm) in parts {
            for _ in 0..(seconds / ROW_S).round() as usize {
                rows.push(Row {
                    time_s: from_s + (rows.len() + 1) as f64 * ROW_S,
                    throttle: *throttle,
                    rpm: *rpm,
                    smoke_percent: 20.0,
                    ..Row::default()
                });
            }
        }
        rows
    }

    const IDLE: [(f64, f64, f64); 1] = [(8.0, 0.0, 10_000.0)];

    #[test]
    fn an_idle_is_compared_with_the_one_before_the_turn_and_then_with_the_last() {
        let mut ear = Memory::new(20_000.0);
        let mut past = rows(0.0, &IDLE);
        assert!(ear.compare(&past).is_empty(), "nothing to compare with");
        ear.turned(&past);
        past.extend(rows(8.0, &[(2.0, 1.0, 30_000.0), (8.0, 0.0, 10_500.0)]));
        let [higher] = ear.compare(&past)[..] else {
            panic!("{:?}", ear.compare(&past))
        };
        assert_eq!(
            (higher.manoeuvre, higher.sense, higher.more, higher.than),
            (Manoeuvre::Idle, Sense::Pitch, true, Than::BeforeTurn)
        );
        ear.keep(&past);
        past.extend(rows(18.0, &[(2.0, 0.5, 20_000.0), (8.0, 0.0, 10_000.0)]));
        let compared = ear.compare(&past);
        let lower = compared.iter().find(|c| c.manoeuvre == Manoeuvre::Idle).unwrap();
        assert_eq!((lower.more, lower.than), (false, Than::LastTime));
    }

    #[test]
    fn what_no_ear_tells_apart_is_not_said() {
        let mut ear = Memory::new(20_000.0);
        let mut past = rows(0.0, &IDLE);
        ear.turned(&past);
        past.extend(rows(8.0, &[(2.0, 0.5, 20_000.0), (8.0, 0.0, 10_200.0)]));
        assert!(ear.compare(&past).is_empty(), "two percent");
    }

    #[test]
    fn what_goes_on_for_longer_than_is_kept_is_not_news_at_every_look() {
        let mut ear = Memory::new(20_000.0);
        ear.keep(&rows(0.0, &IDLE));
        let long = rows(10.0, &[(2.0, 1.0, 30_000.0), (100.0, 0.0, 11_000.0)]);
        assert!(!ear.compare(&long).is_empty(), "its beginning is kept");
        for row in (200..800).step_by(100) {
            assert!(ear.compare(&long[row..]).is_empty(), "cut off at row {row}");
        }
    }

    #[test]
    fn a_settled_idle_is_forgotten_with_the_turn() {
        let mut ear = Memory::new(20_000.0);
        let past = rows(0.0, &IDLE);
        ear.keep(&past);
        assert_eq!(ear.settled_rpm(), Some(10_000.0));
        ear.turned(&past);
        assert_eq!(ear.settled_rpm(), None);
    }
}
