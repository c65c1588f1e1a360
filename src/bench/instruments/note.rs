//! The things that can be noticed, and each in a tuner's words.

use std::fmt;

use serde::Serialize;

/// One thing noticed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Note {
    /// No sound.
    Silent,
    /// Idle below its window.
    IdleSlow,
    /// Idle in its window.
    IdleEven,
    /// Idle above its window.
    IdleFast,
    /// Idle that varies.
    IdleWavers,
    /// Idle that falls while one listens.
    IdleFalls,
    /// Idle that rises while one listens.
    IdleRises,
    /// Not long enough at idle to judge it.
    IdleTooSoon,
    /// After a burst the speed hung above the settled idle.
    ReturnHangs,
    /// After a burst it came down in time, and then kept sinking for seconds.
    ReturnSinks,
    /// After a burst the speed dropped below the settled idle.
    ReturnDrops,
    /// After a burst the idle was there at once.
    ReturnClean,
    /// A snap that picked up at once.
    SnapCrisp,
    /// A snap that hesitated.
    SnapHesitates,
    /// A snap that nearly or wholly failed.
    SnapBogs,
    /// Beats missed on the way up.
    SnapStutters,
    /// A snap with a puff of smoke.
    SnapPuffs,
    /// Missing beats at part throttle.
    PartRough,
    /// Even beats at part throttle.
    PartClean,
    /// Missing beats at full throttle.
    FullRough,
    /// Even beats at full throttle.
    FullClean,
    /// Speed sagging at full throttle.
    FullSags,
    /// A hard metallic crackle.
    Crackle,
    /// Hardly any smoke.
    SmokeNone,
    /// A thin trail.
    SmokeThin,
    /// A steady trail.
    SmokeTrail,
    /// Thick smoke.
    SmokeThick,
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Silent => "silence: the engine stands",
            Self::IdleSlow => "a slow, heavy idle",
            Self::IdleEven => "an idle of the right pitch",
            Self::IdleFast => "a fast idle",
            Self::IdleWavers => "the idle wavers",
            Self::IdleFalls => "the idle is falling",
            Self::IdleRises => "the idle is rising",
            Self::IdleTooSoon => "the idle has not settled yet: wait some ten seconds and listen again",
            Self::ReturnHangs => "after the burst it hung high before it came down",
            Self::ReturnSinks => "after the burst it came down, then kept sinking for seconds",
            Self::ReturnDrops => "after the burst it dropped low and picked up again",
            Self::ReturnClean => "after the burst it came straight down to its idle",
            Self::SnapCrisp => "it picked up at once",
            Self::SnapHesitates => "it hesitated before it picked up",
            Self::SnapBogs => "it bogged and hardly picked up",
            Self::SnapStutters => "it stuttered on the way up",
            Self::SnapPuffs => "a puff of smoke as it opened",
            Self::PartRough => "rough at part throttle: it stutters and misses beats",
            Self::PartClean => "even at part throttle",
            Self::FullRough => "rough at full throttle: a burble, beats missing",
            Self::FullClean => "an even scream at full throttle",
            Self::FullSags => "the pitch sags while the throttle is held",
            Self::Crackle => "a hard metallic crackle",
            Self::SmokeNone => "hardly any smoke",
            Self::SmokeThin => "a thin trail of smoke",
            Self::SmokeTrail => "a steady trail of smoke",
            Self::SmokeThick => "thick smoke",
        })
    }
}
