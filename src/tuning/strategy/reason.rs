//! Why a strategy proposes something, as data: what it has heard and seen, or not yet. Worded elsewhere.

use serde::Serialize;

/// A reason.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reason {
    /// A part was seen at fault.
    FaultFound,
    /// Nothing was looked at yet.
    NotLookedOver,
    /// The plug was not seen yet.
    PlugUnseen,
    /// It crackles or sags.
    SoundsLean,
    /// The tank is half empty before a drive.
    TankLow,
    /// The gun was not read yet.
    HeadUnread,
    /// The head is cold.
    HeadCold,
    /// The head is hotter than it may be.
    HeadTooHot,
    /// The plug is pale or has specks.
    PlugLean,
    /// The plug is wet and dark.
    PlugWet,
    /// More turns tell no more.
    EnoughTurns,
    /// It has not run hot with what the needles give now.
    NotHot,
    /// The tank is not full.
    TankNotFull,
    /// A turn has not been cleared out.
    TurnNotCleared,
    /// Full throttle was not heard yet.
    FullUnheard,
    /// The return and the idle were not heard yet.
    IdleUnheard,
    /// No snap was heard yet.
    SnapUnheard,
    /// It was not pinched yet.
    PinchUnheard,
    /// The idle must settle before it is pinched.
    SettleToPinch,
    /// The film must fill before a snap.
    FillToSnap,
    /// It won't stay alight at any idle stop.
    WontStayAlightLean,
    /// It won't stay alight.
    WontStayAlight,
    /// The engine stands.
    Stands,
    /// It died when opened, and can be pinched.
    DiedOpenedPinch,
    /// It died when opened, and must settle first.
    DiedOpenedSettle,
    /// It drowns when opened, and not for the low end.
    DrownsHigh,
    /// It drowns when opened, and for the low end.
    DrownsLow,
    /// Beats are missing at full throttle.
    FullRough,
    /// The last leaning made it clearly faster.
    StillFaster,
    /// The last leaning hardly made it faster.
    NoFaster,
    /// Opening the high-speed needle slowed it clearly.
    SlowedClearly,
    /// Opening it slowed it a little.
    SlowedLittle,
    /// The idle gap is wide.
    GapWide,
    /// The idle is fast.
    IdleFast,
    /// The low end sounds rich at idle.
    LowRich,
    /// The low end sounds lean at idle.
    LowLean,
    /// It hangs after a burst.
    LowHangs,
    /// The idle is slow and not rich.
    IdleSlow,
    /// It stutters on the way up, for the low end.
    StuttersLow,
    /// It stutters on the way up, for the high end.
    StuttersHigh,
    /// It hesitates, for lack of fuel.
    HesitatesLean,
    /// It hesitates, for a low idle.
    HesitatesSlowIdle,
    /// One snap tells too little.
    SnapOnceMore,
    /// Half throttle was not heard yet.
    HalfUnheard,
    /// Beats are missing at half throttle.
    HalfRough,
    /// The high end never sounded rich.
    NeverRich,
    /// The high-speed needle has moved since the pinch test.
    PinchIsOld,
    /// The plug has seen laps and was not read.
    PlugUnread,
    /// Nothing is left to do.
    AllRight,
}
