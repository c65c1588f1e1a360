//! The named manoeuvres: what `run` shows, the sign-off judges, the symptom table measures and a practice does, with one number for
//! each wait. A measure plays the act alone; `run` shows a quiet beginning and a word at the end around it.

use super::{Manoeuvre, Mark, Segment, Until};
use crate::engine::state::Load;
use crate::units::rev_per_second_from_rpm;

/// Waits and marks of the manoeuvres, common practice unless said otherwise.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Waits {
    /// Idle held before it is judged: the film must have settled, s.
    pub idle_hold_s: f64,
    /// Idle between clearing out and a snap: two to three film time constants, s.
    pub snap_wait_s: f64,
    /// Length of a burst of full throttle, s.
    pub burst_s: f64,
    /// Speed that ends the delay of a snap, rpm.
    pub snap_mark_rpm: f64,
    /// Speed on the brake, rpm.
    pub brake_rpm: f64,
    /// Time on the brake before power and head are read, s.
    pub brake_hold_s: f64,
}

impl Waits {
    /// The defaults.
    pub const STANDARD: Self = Self {
        idle_hold_s: 12.0,
        snap_wait_s: 10.0,
        burst_s: 1.5,
        snap_mark_rpm: 20_000.0,
        brake_rpm: 30_000.0,
        brake_hold_s: 100.0,
    };

    /// Those of an engine rated at this speed, rpm: the brake holds it, and a snap's mark lies in proportion to it.
    pub const fn rated(brake_rpm: f64) -> Self {
        Self {
            snap_mark_rpm: Self::STANDARD.snap_mark_rpm * brake_rpm / Self::STANDARD.brake_rpm,
            brake_rpm,
            ..Self::STANDARD
        }
    }
}

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

/// Steps of the slow opening, and its length, s.
const ROLL_ON: (u8, f64) = (60, 6.0);

/// Clears a warm engine out and holds its idle until the film has settled, then looks at it.
pub fn settle(waits: &Waits) -> Manoeuvre {
    Manoeuvre::from([
        Segment::hold(0.5, 0.7),
        Segment::hold(0.0, waits.idle_hold_s),
        Segment::hold(0.0, 4.0).mark(Mark::Watch),
    ])
}

/// A cold engine kept running with the lead on the plug, then left to idle without, and looked at.
pub fn cold_idle() -> Manoeuvre {
    Manoeuvre::from([
        Segment::hold(0.25, 6.0).lead(true),
        Segment::hold(0.0, 12.0).lead(false),
        Segment::hold(0.0, 4.0).mark(Mark::Watch),
    ])
}

/// A round of gentle running on the stand, the first with the lead on the plug.
pub fn warming_round(first: bool) -> Manoeuvre {
    Manoeuvre::from([
        Segment::hold(0.25, 7.0).lead(first),
        Segment::hold(0.0, 3.0).lead(false),
    ])
}

/// A shorter look at the idle, where two are only compared.
pub fn quick_idle() -> Manoeuvre {
    Manoeuvre::from([
        Segment::hold(0.5, 0.7),
        Segment::hold(0.0, 6.0),
        Segment::hold(0.0, 2.0).mark(Mark::Watch),
    ])
}

/// A slow opening from idle to full.
pub fn roll_on() -> Manoeuvre {
    let (steps, seconds) = ROLL_ON;
    (0..steps)
        .map(|k| Segment::hold(f64::from(k + 1) / f64::from(steps), seconds / f64::from(steps)).mark(Mark::Step(k)))
        .collect()
}

/// The same by somebody at the bench: shut for a moment first, full for a moment at its end, and held so that it can be told.
pub fn roll_on_from_idle() -> Manoeuvre {
    let held = [Segment::hold(1.0, 0.7)].into_iter().collect();
    Manoeuvre::from([Segment::hold(0.0, 0.5)]).then(&roll_on()).then(&held)
}

/// The throttle held until the engine has come to rest there, then looked at.
pub fn steady(throttle: f64, before_s: f64, watched_s: f64) -> Manoeuvre {
    Manoeuvre::from([
        Segment::hold(throttle, before_s),
        Segment::hold(throttle, watched_s).mark(Mark::Watch),
    ])
}

/// Steady half throttle.
pub fn half() -> Manoeuvre {
    steady(0.5, 2.0, 3.0)
}

/// Wide open with the wheels up.
pub fn free() -> Manoeuvre {
    steady(1.0, 4.0, 1.0)
}

/// Full throttle, shut, hold.
pub fn burst(waits: &Waits) -> Manoeuvre {
    Manoeuvre::from([
        Segment::hold(1.0, waits.burst_s).mark(Mark::Open),
        Segment::hold(0.0, 12.0).mark(Mark::Return),
    ])
}

/// Clears out twice, idles the wait, full.
pub fn snap(waits: &Waits) -> Manoeuvre {
    Manoeuvre::from([
        Segment::hold(1.0, 1.0),
        Segment::hold(0.0, 1.5),
        Segment::hold(1.0, 1.0),
        Segment::hold(0.0, 1.5),
        Segment::hold(0.0, waits.snap_wait_s),
        Segment::hold(1.0, 4.0).mark(Mark::Open),
    ])
}

/// The same, where only the pick-up is looked at: the end of the wait, then full up to the mark.
pub fn quick_snap(waits: &Waits) -> Manoeuvre {
    Manoeuvre::from([
        Segment::hold(1.0, 1.0),
        Segment::hold(0.0, 1.5),
        Segment::hold(1.0, 1.0),
        Segment::hold(0.0, 1.5),
        Segment::hold(0.0, waits.snap_wait_s - 2.0),
        Segment::hold(0.0, 2.0).mark(Mark::Watch),
        Segment::hold(1.0, 4.0)
            .mark(Mark::Open)
            .until(Until::SpeedAbove(rev_per_second_from_rpm(waits.snap_mark_rpm))),
    ])
}

/// Full throttle held at one speed by a brake.
const fn on_brake(waits: &Waits, seconds: f64) -> Segment {
    Segment::hold(1.0, seconds).load(Load::Brake(rev_per_second_from_rpm(waits.brake_rpm)))
}

/// Full throttle on the brake until the head has settled, refuelled on the way, then looked at.
pub fn brake(waits: &Waits) -> Manoeuvre {
    Manoeuvre::from([
        on_brake(waits, 0.5 * waits.brake_hold_s),
        Segment::hold(1.0, 0.5 * waits.brake_hold_s).refuelled(),
        Segment::hold(1.0, 2.0).refuelled().mark(Mark::Watch),
    ])
}

/// Full throttle on the brake with a full tank for so long, then looked at.
pub fn swift_brake(waits: &Waits, hold_s: f64) -> Manoeuvre {
    Manoeuvre::from([
        on_brake(waits, hold_s).refuelled(),
        Segment::hold(1.0, 1.0).refuelled().mark(Mark::Watch),
    ])
}

/// The idle looked at for two seconds, `before` times unseen and then once more; then the fuel line pinched until the engine stands.
pub fn pinch(before: u8) -> Manoeuvre {
    (0..before)
        .map(|_| Segment::hold(0.0, 2.0))
        .chain([
            Segment::hold(0.0, 2.0).mark(Mark::Watch),
            Segment::hold(0.0, 30.0)
                .pinched()
                .mark(Mark::Pinch)
                .until(Until::Stalled),
        ])
        .collect()
}

/// Laps on the track.
pub fn laps(laps: usize) -> Manoeuvre {
    let drive =
        |(seconds, throttle): &(f64, f64)| Segment::hold(*throttle, *seconds).mark(Mark::Drive).load(Load::Track);
    LAP.iter().cycle().take(laps * LAP.len()).map(drive).collect()
}

/// The idle on the stand after two laps.
pub fn hot_idle() -> Manoeuvre {
    laps(2).then(&Manoeuvre::from([
        Segment::hold(0.0, 3.0).load(Load::Stand),
        Segment::hold(0.0, 3.0).mark(Mark::Watch),
    ]))
}

/// Ten seconds with starter and glow lead; whether the engine then runs is its own affair.
pub fn start() -> Manoeuvre {
    Manoeuvre::from([
        Segment::hold(0.0, 4.0).lead(true),
        Segment::hold(0.15, 3.0).spun(150.0),
        Segment::hold(0.0, 3.0),
        Segment::hold(0.0, 0.0).lead(false),
    ])
}

/// Gentle blips until the head is this hot, K, three minutes at most.
pub fn warm_up(head: f64) -> Manoeuvre {
    const BLIPS: usize = 30;
    let blip = [
        Segment::hold(0.3, 4.0).skip_warm(head, 2 * BLIPS),
        Segment::hold(0.0, 2.0),
    ];
    let blips = std::iter::repeat_n(blip, BLIPS).flatten();
    blips.chain([Segment::hold(0.0, 0.0)]).collect()
}

/// Laps on the track, and back on the stand with the throttle shut; an engine that dies is brought in at once.
pub fn laps_and_in(laps: usize) -> Manoeuvre {
    let end = laps * LAP.len();
    let driven = self::laps(laps);
    let driven = driven.segments().iter().map(|segment| segment.skip_slow(0.0, end));
    driven.chain([Segment::hold(0.0, 3.0).load(Load::Stand)]).collect()
}

/// The fuel line pinched by a hand that lets go once the speed has fallen to this, rev/s, and looks ten times a second; fifteen
/// seconds at most.
pub fn pinch_and_let_go(speed: f64) -> Manoeuvre {
    const LOOKS: u8 = 150;
    let pinched = |_| {
        Segment::hold(0.0, 0.1)
            .pinched()
            .mark(Mark::Pinch)
            .skip_slow(speed, LOOKS.into())
    };
    let looks = (0..LOOKS).map(pinched);
    looks.chain([Segment::hold(0.0, 0.0).line_free()]).collect()
}

/// The throttle left where it is, for a while.
pub fn wait(throttle: f64, seconds: f64) -> Manoeuvre {
    Manoeuvre::from([Segment::hold(throttle, seconds)])
}

/// The manoeuvres that `run` shows; [`Named::meaning`] says what each is.
#[allow(missing_docs)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Named {
    Idle,
    RollOn,
    Half,
    Burst,
    Snap,
    Brake,
    Pinch,
    Laps,
}

impl Named {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Idle,
        Self::RollOn,
        Self::Half,
        Self::Burst,
        Self::Snap,
        Self::Brake,
        Self::Pinch,
        Self::Laps,
    ];

    /// Its name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::Idle => "idle",
            Self::RollOn => "roll-on",
            Self::Half => "half",
            Self::Burst => "burst",
            Self::Snap => "snap",
            Self::Brake => "brake",
            Self::Pinch => "pinch",
            Self::Laps => "laps",
        }
    }

    /// What it is, in a few words.
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Idle => "60 s with the throttle shut",
            Self::RollOn => "A slow opening to full",
            Self::Half => "Steady half throttle",
            Self::Burst => "Full throttle, shut, hold",
            Self::Snap => "Clear out twice, idle the wait, full",
            Self::Brake => "Full throttle held at one speed by a brake",
            Self::Pinch => "The fuel line pinched at idle",
            Self::Laps => "Race duty on the track",
        }
    }

    /// What the hands do, as `run` shows it.
    pub fn shown(self, waits: &Waits) -> Manoeuvre {
        let before = |seconds| Manoeuvre::from([Segment::hold(0.0, seconds)]);
        let after = |throttle, seconds| Manoeuvre::from([Segment::hold(throttle, seconds)]);
        match self {
            Self::Idle => before(60.0),
            Self::RollOn => before(5.0).then(&roll_on()).then(&after(1.0, 2.0)),
            Self::Half => before(3.0).then(&half()).then(&after(0.5, 7.0)),
            Self::Burst => before(12.0).then(&burst(waits)),
            Self::Snap => snap(waits).then(&after(0.0, 2.0)),
            // On one tank, so that its account can be read: the sign-off's stays full.
            Self::Brake => Manoeuvre::from([on_brake(waits, 60.0)]),
            Self::Pinch => before(8.0).then(&pinch(0)).then(&after(0.0, 2.0)),
            Self::Laps => laps(3),
        }
    }
}
