//! What can be noticed of an engine while hands do something to it: idle, burst, snap, half throttle, full throttle on the brake, a
//! slow opening, a pinched line, a hot idle after two laps. A measure is an observer of a manoeuvre of the table; [`Lab`](super::lab)
//! plays many side by side. Averages weigh by time; crossings are interpolated to the revolution.
//!
//! A new measure is a file here with its observer, what it finds and its `impl Measure`, and one line in the list below.

mod brake;
mod burst;
mod idle;
mod opening;
mod pinch;
mod steady;

pub use brake::{Best, BestPower, Brake, CoarsePower, Coarsely, SwiftBrake, hastened};
pub use burst::{Burst, Bursting};
pub use idle::{HotIdle, Idle, Settle, Watching};
pub use opening::{QuickSnap, RollOn, Rolling, Snap, Snapping, quick_snaps};
pub use pinch::{Pinch, Pinching};
pub use steady::{Free, Half, HalfRunning, Steadily, Steady};

use super::instruments;
use super::manoeuvre::table::Waits;
use super::player::{Now, Observer, Play, Played, Stand};
use crate::engine::state::{Revolution, State};

/// Where an engine stands before a measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    /// As it comes.
    Start,
    /// Cleared out, its idle judged.
    Settled,
    /// On the brake, its head settled.
    Braked,
    /// The same, once it is roughly known where power is best.
    Tried,
}

impl From {
    /// What has to be measured before.
    pub fn after(self) -> Option<What> {
        match self {
            Self::Start => None,
            Self::Settled => Some(What::Idle),
            Self::Braked => Some(What::SwiftBrake),
            Self::Tried => Some(What::CoarsePower),
        }
    }
}

/// What a measure may know before it begins.
#[derive(Clone, Copy, Debug)]
pub struct Base<'a> {
    /// Where the engine stands.
    pub from: Stand,
    /// Its settled idle, rpm; 0 if that was not judged, or it died.
    pub idle_rpm: f64,
    /// Where the clutch slips in, rpm.
    pub clutch_rpm: f64,
    /// Trials of the high-speed needle, where there were some.
    pub tried: Option<Coarsely>,
    /// Waits and marks.
    pub waits: &'a Waits,
}

/// Something measured by playing one or several manoeuvres.
pub trait Measure {
    /// Who watches.
    type Eyes: Observer;
    /// What comes of it.
    type Found: Copy;
    /// Where the engine has to stand.
    const FROM: From;
    /// Whether it is only looked at once the solids' temperatures have settled, so that they may get there sooner ([`hastened`]).
    const HASTENED: bool = false;
    /// What is to be played.
    fn plays(base: &Base) -> Vec<Play<Self::Eyes>>;
    /// What the plays have shown, in their order.
    fn found(played: &[Played<Self::Eyes>]) -> Self::Found;
}

/// What was found, and where the engine stood at the end of its last play.
#[derive(Clone, Copy, Debug)]
pub struct Measured<T> {
    /// What was found.
    pub found: T,
    /// Where the engine stood.
    pub end: Stand,
}

macro_rules! measures {
    ($($(#[$meta:meta])* $name:ident $field:ident: $measure:ty;)*) => {
        /// The measures that a lab takes.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum What {
            $($(#[$meta])* $name,)*
        }

        impl What {
            /// Where the engine has to stand.
            pub fn from(self) -> From {
                match self { $(Self::$name => <$measure>::FROM,)* }
            }

            /// Whether its solids may settle sooner.
            pub fn hastened(self) -> bool {
                match self { $(Self::$name => <$measure>::HASTENED,)* }
            }
        }

        /// The eyes of any measure, so that all can be played side by side.
        #[derive(Debug)]
        pub enum Eyes {
            $($(#[$meta])* $name(<$measure as Measure>::Eyes),)*
        }

        impl Observer for Eyes {
            #[inline(always)]
            fn see(&mut self, now: &Now, revolution: &Revolution, state: &State) {
                match self { $(Self::$name(eyes) => eyes.see(now, revolution, state),)* }
            }
        }

        /// What has been found of one engine in one case; none where it has not been measured.
        #[derive(Clone, Debug, Default)]
        pub struct Findings {
            $($(#[$meta])* pub $field: Option<Measured<<$measure as Measure>::Found>>,)*
        }

        impl Findings {
            /// Whether this has been measured.
            pub fn has(&self, what: What) -> bool {
                match what { $(What::$name => self.$field.is_some(),)* }
            }

            /// What is to be played for a measure.
            pub(super) fn plays(what: What, base: &Base) -> Vec<Play<Eyes>> {
                match what {
                    $(What::$name => <$measure>::plays(base)
                        .into_iter()
                        .map(|Play { from, manoeuvre, watch }| Play { from, manoeuvre, watch: Eyes::$name(watch) })
                        .collect(),)*
                }
            }

            /// Keeps what the plays of a measure have shown.
            pub(super) fn keep(&mut self, what: What, played: Vec<Played<Eyes>>) {
                match what {
                    $(What::$name => {
                        let own: Vec<_> = played
                            .into_iter()
                            .filter_map(|Played { end, watch }| match watch {
                                Eyes::$name(watch) => Some(Played { end, watch }),
                                _ => None,
                            })
                            .collect();
                        self.$field = own
                            .last()
                            .map(|last| Measured { found: <$measure>::found(&own), end: last.end });
                    })*
                }
            }
        }
    };
}

measures! {
    /// The settled idle.
    Idle idle: Settle;
    /// Full throttle on the brake.
    Brake brake: Brake;
    /// The same with solids that settle sooner.
    SwiftBrake swift_brake: SwiftBrake;
    /// The return from a burst of full throttle.
    Burst burst: Bursting;
    /// A snap to full throttle after a wait.
    Snap snap: Snapping;
    /// A slow opening.
    RollOn roll_on: Rolling;
    /// Steady half throttle.
    Half half: Half;
    /// The same of an engine that has not idled before.
    HalfRunning half_running: HalfRunning;
    /// Wheels up, wide open.
    Free free: Free;
    /// The idle after two laps.
    HotIdle hot_idle: HotIdle;
    /// The pinched fuel line.
    Pinch pinch: Pinching;
    /// Power at high-speed needles far apart.
    CoarsePower coarse_power: CoarsePower;
    /// Best power over the high-speed needle.
    BestPower best_power: BestPower;
}

/// Time-weighted mean.
#[derive(Clone, Copy, Debug, Default)]
pub struct Mean {
    sum: f64,
    weight: f64,
}

impl Mean {
    /// Adds `value` that held for `weight`.
    #[inline(always)]
    pub fn add(&mut self, value: f64, weight: f64) {
        self.sum += value * weight;
        self.weight += weight;
    }
    /// The mean, if anything was added.
    pub fn value(&self) -> Option<f64> {
        (self.weight > 0.0).then(|| self.sum / self.weight)
    }
}

/// Speeds over windows of a fixed length, on the engine's own clock.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    turned: f64,
    since: f64,
}

impl Tally {
    /// Counts a revolution; turns and seconds of the window that it fills, if it does.
    #[inline(always)]
    fn full(&mut self, revolution: &Revolution, window_s: f64) -> Option<(f64, f64)> {
        self.turned += 1.0;
        self.since += revolution.duration;
        (self.since >= window_s).then(|| {
            let Self { turned, since } = std::mem::take(self);
            (turned, since)
        })
    }
}

/// 1 for a revolution that missed.
#[inline(always)]
fn missed(revolution: &Revolution) -> f64 {
    f64::from(u8::from(instruments::missed(revolution)))
}
