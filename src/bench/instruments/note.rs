//! The things that can be heard and seen while an engine runs.

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

impl Note {
    /// All of them.
    pub const ALL: [Self; 27] = [
        Self::Silent,
        Self::IdleSlow,
        Self::IdleEven,
        Self::IdleFast,
        Self::IdleWavers,
        Self::IdleFalls,
        Self::IdleRises,
        Self::IdleTooSoon,
        Self::ReturnHangs,
        Self::ReturnSinks,
        Self::ReturnDrops,
        Self::ReturnClean,
        Self::SnapCrisp,
        Self::SnapHesitates,
        Self::SnapBogs,
        Self::SnapStutters,
        Self::SnapPuffs,
        Self::PartRough,
        Self::PartClean,
        Self::FullRough,
        Self::FullClean,
        Self::FullSags,
        Self::Crackle,
        Self::SmokeNone,
        Self::SmokeThin,
        Self::SmokeTrail,
        Self::SmokeThick,
    ];
}
