//! What has been heard of a warm engine since the last turn of a needle: signing off asks for full throttle, a slow opening, the idle
//! after a burst and a snap after a wait, so that no setting is signed off unheard.
//!
//! [`Heard`] is fed one revolution after the other and told of turns; it knows of nothing hidden, and what it still lacks
//! ([`Missing`]) is data that screens, hints and words share.

use serde::{Serialize, Serializer};

use crate::bench::instruments::SHUT;
use crate::bench::manoeuvre::table::Waits;
use crate::tuning::action::Action;

/// Full throttle without a break, s.
pub const FULL_S: f64 = 3.0;
/// Idle without a break after a burst, s.
pub const IDLE_S: f64 = 6.0;
/// Idle before a snap, s: as long as the checks wait.
pub const WAIT_S: f64 = Waits::STANDARD.snap_wait_s;
/// Time that a slow opening takes at least, s (assumed: slower than any hand that snaps, half of what the checks take).
pub const ROLL_ON_S: f64 = 3.0;
/// The revolution under way when a throttle moves belongs to neither side, nor is any counted that a clock of milliseconds cuts, s.
const SLACK_S: f64 = 0.05;
/// Full throttle that makes a burst, s (assumed: a blip clears nothing out).
const BURST_S: f64 = 1.0;
/// Full throttle until a snap has told what it tells, s.
const SNAP_S: f64 = 1.0;
/// A hand that takes longer than this from shut to full does not snap, s.
const SNAPPED_S: f64 = 0.4;
/// Throttle that is full.
const FULL: f64 = 0.95;
/// A slow opening passes each of these parts of the way, none of them in less than a fifth of its time: a jump is no slow opening.
const PARTS: [f64; 3] = [0.35, 0.65, FULL];
/// Head at which an engine is warm by a gun, °C (common practice), and in K.
pub const WARM_HEAD_C: f64 = 75.0;
pub(super) const WARM_HEAD: f64 = WARM_HEAD_C + 273.15;
/// Head below which what is heard is the cold's doing, K. An engine that comes in warm idles down to it in a minute (assumed).
pub(super) const COLD_HEAD: f64 = 55.0 + 273.15;
/// A warm engine cools at idle and is still the same engine until its head is this much colder, K (assumed: some minute of idle).
const COOLS_K: f64 = 20.0;

/// What signing off asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ask {
    /// An engine that runs, for whatever else is asked for.
    Start,
    /// A warm engine: nothing is heard of a cold one.
    Warm,
    /// Full throttle.
    Full,
    /// A slow opening from idle to full.
    RollOn,
    /// The idle after a burst.
    Idle,
    /// A snap after a wait.
    Snap,
}

impl Ask {
    /// All of them, in the order in which they are best done.
    pub const ALL: [Self; 6] = [
        Self::Start,
        Self::Warm,
        Self::Full,
        Self::Idle,
        Self::Snap,
        Self::RollOn,
    ];
}

/// All that signing off asks for, done with an engine that runs.
pub const ALL_HEARD: [Action; 5] = [
    Action::Warm,
    Action::Hold {
        position: 1.0,
        ms: 3000,
    },
    Action::Wait { ms: 10_500 },
    Action::Hold {
        position: 1.0,
        ms: 1500,
    },
    Action::RollOn,
];

/// What is still missing: a set.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Missing(u8);

impl Missing {
    /// Whether nothing is.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }
    /// Whether this is.
    pub fn has(self, ask: Ask) -> bool {
        self.0 & 1 << ask as u8 != 0
    }
    /// What is, in the order in which it is best done.
    pub fn iter(self) -> impl Iterator<Item = Ask> {
        Ask::ALL.into_iter().filter(move |ask| self.has(*ask))
    }
    pub(super) fn with(self, ask: Ask) -> Self {
        Self(self.0 | 1 << ask as u8)
    }
}

impl FromIterator<Ask> for Missing {
    fn from_iter<T: IntoIterator<Item = Ask>>(asks: T) -> Self {
        asks.into_iter().fold(Self::default(), Self::with)
    }
}

impl Serialize for Missing {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.iter())
    }
}

/// One revolution, as far as it matters here.
#[derive(Clone, Copy, Debug)]
pub(super) struct Beat {
    /// Throttle, 0..1.
    pub throttle: f64,
    /// Whether the engine turned.
    pub running: bool,
    /// Head, K.
    pub head: f64,
    /// How long it took, s.
    pub seconds: f64,
}

/// What has been heard since the last turn, and what is being heard.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Heard {
    full: bool,
    roll_on: bool,
    idle: bool,
    snap: bool,
    warm: bool,
    /// What goes on.
    now: Hearing,
}

/// What goes on without a break, s.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Hearing {
    /// Full throttle.
    full_s: f64,
    /// Throttle shut.
    shut_s: f64,
    /// Since the throttle left shut.
    open_s: f64,
    /// It was a burst that came before the throttle shut.
    after_burst: bool,
    /// How long the throttle had been shut when it was opened.
    waited_s: f64,
    /// How long it took from shut to full.
    opened_s: f64,
    /// The opening under way has never gone back.
    rising: bool,
    /// How far it is.
    most: f64,
    /// Time in each part of the way.
    parts_s: [f64; 3],
}

impl Heard {
    /// A needle was turned, or a part put right: what was heard was another engine.
    pub fn needle_turned(&mut self) {
        *self = Self {
            warm: self.warm,
            ..Self::default()
        };
    }

    /// The idle stop was turned: the idle and the snap from it are others.
    pub fn idle_turned(&mut self) {
        (self.idle, self.snap) = (false, false);
        self.break_off();
    }

    /// Something else was done with the engine: what was being heard is not heard to its end.
    pub fn break_off(&mut self) {
        self.now = Hearing::default();
    }

    /// Feels how warm the head is, whatever is done.
    #[inline]
    pub fn feel(&mut self, head: f64) {
        self.warm = head >= WARM_HEAD - if self.warm { COOLS_K } else { 0.0 };
    }

    /// Hears a revolution.
    #[inline]
    pub fn hear(&mut self, beat: Beat) {
        self.feel(beat.head);
        if !self.warm || !beat.running {
            self.break_off();
            return;
        }
        let Beat { throttle, seconds, .. } = beat;
        let now = &mut self.now;
        if throttle <= SHUT {
            now.after_burst = now.after_burst && now.shut_s > 0.0 || now.full_s >= BURST_S - SLACK_S;
            now.shut_s += seconds;
            (now.full_s, now.open_s, now.waited_s, now.opened_s) = (0.0, 0.0, 0.0, 0.0);
            (now.rising, now.most, now.parts_s) = (true, throttle, [0.0; 3]);
            self.idle |= now.after_burst && now.shut_s >= IDLE_S - SLACK_S;
            return;
        }
        if now.shut_s > 0.0 {
            (now.waited_s, now.shut_s) = (now.shut_s, 0.0);
        }
        now.open_s += seconds;
        now.rising &= throttle >= now.most - SHUT;
        now.most = now.most.max(throttle);
        if throttle < FULL {
            now.full_s = 0.0;
            let part = PARTS.iter().position(|end| throttle < *end).unwrap_or(PARTS.len() - 1);
            now.parts_s[part] += seconds;
            return;
        }
        if now.full_s == 0.0 {
            now.opened_s = now.open_s - seconds;
            let slow = now.parts_s.iter().all(|s| *s >= 0.2 * ROLL_ON_S);
            self.roll_on |= now.rising && slow && now.opened_s >= ROLL_ON_S - SLACK_S;
        }
        now.full_s += seconds;
        self.full |= now.full_s >= FULL_S - SLACK_S;
        let snapped = now.opened_s <= SNAPPED_S && now.waited_s >= WAIT_S - SLACK_S;
        self.snap |= snapped && now.full_s >= SNAP_S - SLACK_S;
    }

    /// What is missing for signing off.
    pub fn missing(&self) -> Missing {
        let asked = [
            (Ask::Full, self.full),
            (Ask::Idle, self.idle),
            (Ask::Snap, self.snap),
            (Ask::RollOn, self.roll_on),
        ];
        let missing: Missing = asked.into_iter().filter(|a| !a.1).map(|a| a.0).collect();
        // What was heard of a warm engine stands, though it has cooled since.
        if missing.is_empty() || self.warm {
            missing
        } else {
            missing.with(Ask::Warm)
        }
    }

    /// Every number it holds, for a digest of the practice.
    pub fn numbers(&self) -> [f64; 16] {
        let Self {
            full,
            roll_on,
            idle,
            snap,
            warm,
            now,
        } = *self;
        let Hearing {
            full_s,
            shut_s,
            open_s,
            after_burst,
            waited_s,
            opened_s,
            rising,
            most,
            parts_s: [low, middle, high],
        } = now;
        let [full, roll_on, idle, snap, warm, after_burst, rising] =
            [full, roll_on, idle, snap, warm, after_burst, rising].map(|b| f64::from(u8::from(b)));
        [
            full,
            roll_on,
            idle,
            snap,
            warm,
            after_burst,
            rising,
            full_s,
            shut_s,
            open_s,
            waited_s,
            opened_s,
            most,
            low,
            middle,
            high,
        ]
    }
}

#[cfg(test)]
#[path = "heard_tests.rs"]
mod tests;
