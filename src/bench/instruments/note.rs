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
    /// Beats missed at idle: it is still loaded with fuel.
    IdleBurbles,
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
    /// A slow opening with even beats and clean smoke.
    OpeningEven,
    /// Beats missed low in a slow opening.
    OpeningStuttersLow,
    /// Beats missed in the middle of it.
    OpeningStuttersMiddle,
    /// Beats missed at its top.
    OpeningStuttersTop,
    /// Too much smoke in a slow opening.
    OpeningSmokes,
    /// Missing beats at part throttle.
    PartRough,
    /// Even beats at part throttle.
    PartClean,
    /// Missing beats at full throttle.
    FullRough,
    /// Even beats at full throttle that strike late: a dull note.
    FullDull,
    /// The same, a little.
    FullLazy,
    /// The same, hardly: as rich as a clean engine may be.
    FullSoft,
    /// Even beats at full throttle.
    FullClean,
    /// Speed sagging at full throttle.
    FullSags,
    /// A hard metallic crackle.
    Crackle,
    /// Hardly any smoke.
    SmokeNone,
    /// A haze.
    SmokeHaze,
    /// A thin trail.
    SmokeThin,
    /// A steady trail.
    SmokeTrail,
    /// A dense trail.
    SmokeDense,
    /// Thick smoke.
    SmokeThick,
    /// A cloud.
    SmokeCloud,
    /// The idle stop leaves more of a gap than is clean.
    GapWide,
    /// It leaves less.
    GapNarrow,
    /// The head is cold: what is heard is not the needles' doing.
    Cold,
}

impl Note {
    /// All of them.
    pub const ALL: [Self; 42] = [
        Self::Silent,
        Self::IdleSlow,
        Self::IdleEven,
        Self::IdleFast,
        Self::IdleWavers,
        Self::IdleFalls,
        Self::IdleRises,
        Self::IdleBurbles,
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
        Self::OpeningEven,
        Self::OpeningStuttersLow,
        Self::OpeningStuttersMiddle,
        Self::OpeningStuttersTop,
        Self::OpeningSmokes,
        Self::PartRough,
        Self::PartClean,
        Self::FullRough,
        Self::FullDull,
        Self::FullLazy,
        Self::FullSoft,
        Self::FullClean,
        Self::FullSags,
        Self::Crackle,
        Self::SmokeNone,
        Self::SmokeHaze,
        Self::SmokeThin,
        Self::SmokeTrail,
        Self::SmokeDense,
        Self::SmokeThick,
        Self::SmokeCloud,
        Self::GapWide,
        Self::GapNarrow,
        Self::Cold,
    ];
}
