//! Why something is proposed, as data: what was heard and seen, or not yet. A strategy's file names a reason by its key, or says
//! its own in a sentence; the keys are worded elsewhere.

use std::sync::Arc;

use serde::{Serialize, Serializer};

macro_rules! reasons {
    ($($(#[$doc:meta])* $variant:ident $key:literal,)+) => {
        /// A reason that every strategy may give.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Reason {
            $($(#[$doc])* $variant,)+
        }

        impl Reason {
            /// All of them.
            pub const ALL: &[Self] = &[$(Self::$variant,)+];

            /// As it stands in a strategy's file.
            pub fn key(self) -> &'static str {
                match self {
                    $(Self::$variant => $key,)+
                }
            }
        }
    };
}

reasons! {
    /// A part was seen at fault.
    FaultFound "fault-found",
    /// It is stopped before hands come near the part at fault.
    StopToFix "stop-to-fix",
    /// Nothing was looked at yet.
    NotLookedOver "not-looked-over",
    /// It stands, ready to be started.
    Stands "stands",
    /// It won't stay alight: the plug is to be looked at.
    WontStartPlug "wont-start-plug",
    /// It does what no needle cures.
    NoNeedleCures "no-needle-cures",
    /// It won't stay alight at this idle stop.
    WontStayAlight "wont-stay-alight",
    /// It won't stay alight at any idle stop.
    WontStayAlightLean "wont-stay-alight-lean",
    /// It crackles or sags.
    SoundsLean "sounds-lean",
    /// The tank is half empty.
    TankLow "tank-low",
    /// The head was not read, or long ago.
    HeadUnread "head-unread",
    /// The head is cold.
    HeadCold "head-cold",
    /// The head is hotter than it may be.
    HeadTooHot "head-too-hot",
    /// It drowns when it is opened.
    Drowns "drowns",
    /// It died when opened and is lean at idle.
    DiedLean "died-lean",
    /// Nobody has heard full throttle with what the needles give now.
    FullUnheard "full-unheard",
    /// Beats are missing at full throttle.
    FullRough "full-rough",
    /// Even at full throttle, and dull.
    FullDull "full-dull",
    /// Even at full throttle, and a little lazy.
    FullLazy "full-lazy",
    /// A chop from full throttle for the plug.
    ChopForPlug "chop-for-plug",
    /// The throttle is opened first: the plug is read after it.
    FullForPlug "full-for-plug",
    /// The plug has seen full throttle and was not read since the high-speed needle turned.
    PlugUnread "plug-unread",
    /// The plug is pale or has specks.
    PlugLean "plug-lean",
    /// The plug is wet and dark.
    PlugWet "plug-wet",
    /// The last leaning made it clearly faster.
    StillFaster "still-faster",
    /// The last leaning made it slower.
    SlowerLeaner "slower-leaner",
    /// Laps bring it to the temperature at which it is judged.
    NotHot "not-hot",
    /// The return and the idle were not heard yet.
    IdleUnheard "idle-unheard",
    /// A turn has not been cleared out.
    TurnNotCleared "turn-not-cleared",
    /// It was not pinched yet.
    PinchUnheard "pinch-unheard",
    /// The idle must settle before it is pinched.
    SettleToPinch "settle-to-pinch",
    /// No snap after a wait was heard yet.
    SnapUnheard "snap-unheard",
    /// No slow opening was heard yet.
    OpeningUnheard "opening-unheard",
    /// The film must fill before a slow opening.
    FillToOpen "fill-to-open",
    /// The film must fill before a snap.
    FillToSnap "fill-to-snap",
    /// One snap tells too little.
    SnapOnceMore "snap-once-more",
    /// The low end is far too rich.
    LowFarRich "low-far-rich",
    /// The low end is rich.
    LowRich "low-rich",
    /// The low end is a little rich.
    LowLittleRich "low-little-rich",
    /// The low end is lean.
    LowLean "low-lean",
    /// It speeds up just enough when pinched: the border of lean.
    LowBorder "low-border",
    /// The low end is a little lean.
    LowHangs "low-hangs",
    /// It fades at once when pinched.
    LowFades "low-fades",
    /// It comes down clean and opens evenly, and still misses beats at a warm idle: a little rich.
    BurblesWarm "burbles-warm",
    /// It stutters when opened slowly, and is slow or misses beats elsewhere, too: rich by a good deal.
    StuttersFar "stutters-far",
    /// It stutters for lack of fuel: it idles evenly and hangs.
    StuttersLean "stutters-lean",
    /// It hangs after a burst and misses no beat at idle.
    HangsEvenly "hangs-evenly",
    /// It sinks slowly to its idle, with beats missing.
    SinksRich "sinks-rich",
    /// An idle without smoke that hardly speeds up when pinched.
    HardlySmokes "hardly-smokes",
    /// It won't stay warm at idle, and burbles.
    StaysCold "stays-cold",
    /// A cold idle misses no beat and hardly smokes.
    ColdAndEven "cold-and-even",
    /// A cold idle is listened to before it is warmed up.
    ListenCold "listen-cold",
    /// A cold engine is pinched for its fuel in store.
    PinchCold "pinch-cold",
    /// A cold idle hardly smokes.
    StartRich "start-rich",
    /// The idle is fast and lean.
    FastAndLean "fast-and-lean",
    /// It hesitates for lack of fuel.
    HesitatesLean "hesitates-lean",
    /// It stutters on the way up, for the high end.
    StuttersHigh "stutters-high",
    /// It stutters on the way up, for the low end.
    StuttersLow "stutters-low",
    /// The idle gap is wide.
    GapWide "gap-wide",
    /// The idle gap is narrow.
    GapNarrow "gap-narrow",
    /// The idle is fast and not lean.
    IdleFast "idle-fast",
    /// The idle is slow and not rich.
    IdleSlow "idle-slow",
    /// Half throttle was not heard yet.
    HalfUnheard "half-unheard",
    /// Beats are missing at half throttle.
    HalfRough "half-rough",
    /// More turns tell no more.
    EnoughTurns "enough-turns",
    /// Signing off asks for something that was not done since the last turn.
    AskedFor "asked-for",
    /// Nothing is left to do.
    AllRight "all-right",
}

impl Reason {
    /// The reason of that key.
    pub fn of(key: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|reason| reason.key() == key)
    }
}

/// Why, as a rule has it: a reason of the list, or a sentence of its file's own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Because {
    /// A reason of the list.
    Known(Reason),
    /// The file's own words.
    Own(Arc<str>),
}

impl Serialize for Because {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(match self {
            Self::Known(reason) => reason.key(),
            Self::Own(text) => text,
        })
    }
}
