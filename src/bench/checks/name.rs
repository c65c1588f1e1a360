//! The names of the checks, the units of their values, and what is worth a warning: the vocabulary that reports, maps and debriefs
//! share. Names and units are stable; they stand in JSON as they are here.

use serde::{Serialize, Serializer};

macro_rules! names {
    ($(#[$about:meta])* $type:ident: $($(#[$doc:meta])* $variant:ident $key:literal,)+) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $type {
            $($(#[$doc])* $variant,)+
        }

        impl $type {
            /// All of them.
            pub const ALL: &[Self] = &[$(Self::$variant,)+];

            /// As it stands in JSON.
            pub fn key(self) -> &'static str {
                match self {
                    $(Self::$variant => $key,)+
                }
            }
        }

        impl Serialize for $type {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.key())
            }
        }
    };
}

names! {
    /// A check, in the order in which a tuner does them.
    CheckName:
    /// Full throttle on the rich side of best power.
    FullRichOfBestPower "full_rich_of_best_power",
    /// Power at full throttle.
    FullPower "full_power",
    /// Knocking at full throttle.
    FullDetonation "full_detonation",
    /// Head at full throttle.
    FullHeadTemperature "full_head_temperature",
    /// Speed of the idle.
    IdleSpeed "idle_speed",
    /// Steadiness of the idle.
    IdleVariation "idle_variation",
    /// Speeding up when pinched at idle.
    IdlePinchRise "idle_pinch_rise",
    /// Gap left by the idle stop.
    IdleGap "idle_gap",
    /// Return to idle after a burst.
    BurstReturn "burst_return",
    /// Hanging above the idle after a burst.
    BurstHang "burst_hang",
    /// The idle just after a burst.
    BurstEarlyExcess "burst_early_excess",
    /// Pick-up on a snap.
    SnapDelay "snap_delay",
    /// Puff on a snap.
    SnapPuff "snap_puff",
    /// Beats missed on a snap.
    SnapMisfire "snap_misfire",
    /// Beats missed at half throttle.
    HalfMisfire "half_misfire",
    /// Beats missed in a slow opening.
    RollOnMisfire "roll_on_misfire",
    /// Smoke in a slow opening.
    RollOnSmoke "roll_on_smoke",
    /// The idle after two laps, against the settled one: above when it runs faster hot.
    HotIdle "hot_idle",
}

names! {
    /// What a check's value and limits are counted in.
    Unit:
    /// Difference of equivalence ratios.
    EquivalenceRatio "equivalence ratio",
    /// Percent of the best.
    PercentOfBest "% of best",
    /// Detonation index.
    Index "index",
    /// Degrees Celsius.
    Celsius "°C",
    /// Revolutions per minute.
    Rpm "rpm",
    /// Percent.
    Percent "%",
    /// Percent of the idle's speed.
    PercentOfIdle "% of idle",
    /// Millimetres.
    Millimetre "mm",
    /// Seconds.
    Second "s",
    /// Percent of the settled idle's speed.
    PercentOfSettledIdle "% of settled idle",
    /// Multiples of the steady smoke.
    SteadySmoke "of steady smoke",
    /// Percent opacity.
    PercentOpacity "% opacity",
}

impl CheckName {
    /// The unit of its value and limits.
    pub fn unit(self) -> Unit {
        match self {
            Self::FullRichOfBestPower => Unit::EquivalenceRatio,
            Self::FullPower => Unit::PercentOfBest,
            Self::FullDetonation => Unit::Index,
            Self::FullHeadTemperature => Unit::Celsius,
            Self::IdleSpeed => Unit::Rpm,
            Self::IdlePinchRise => Unit::PercentOfIdle,
            Self::IdleGap => Unit::Millimetre,
            Self::BurstReturn | Self::BurstHang | Self::SnapDelay => Unit::Second,
            Self::BurstEarlyExcess | Self::HotIdle => Unit::PercentOfSettledIdle,
            Self::SnapPuff => Unit::SteadySmoke,
            Self::RollOnSmoke => Unit::PercentOpacity,
            Self::IdleVariation | Self::SnapMisfire | Self::HalfMisfire | Self::RollOnMisfire => Unit::Percent,
        }
    }
}

names! {
    /// What a snap was like that picked up too late or not at all.
    Bog:
    /// Without a puff: it starved, the low end is lean.
    Dry "dry",
    /// With a puff beyond what is clean: fuel lay in the crankcase, the low end is rich.
    Smoky "smoky",
}

/// What is worth a word though it fails nothing.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "warning", rename_all = "snake_case")]
pub enum Warning {
    /// The head stays cool at full throttle.
    HeadStaysCool {
        /// What it came to.
        head_temperature_c: f64,
        /// Below this it is worth a word.
        low_c: f64,
    },
    /// The fuel has less oil than anybody runs.
    LittleOil {
        /// What it has, percent by volume.
        oil_percent: f64,
        /// Below this it is worth a word, percent by volume.
        low_percent: f64,
    },
}

/// On which side of its limits a check fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outside {
    /// Below the lower limit.
    Below,
    /// Above the upper limit.
    Above,
    /// The engine died before it could be measured.
    Died,
}
