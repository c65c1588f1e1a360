//! The symptoms of a sign-off as a list: each with its key, its unit, and the least change of it that anybody would notice.

use crate::bench::checks::Symptoms;

macro_rules! symptoms {
    ($($(#[doc = $doc:literal])+ $name:ident $field:ident $unit:literal $noticed:literal,)+) => {
        /// Something noticed in a sign-off.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Symptom {
            $($(#[doc = $doc])+ $name,)+
        }

        impl Symptom {
            /// All of them, idle first.
            pub const ALL: &'static [Self] = &[$(Self::$name,)+];

            /// Its key in JSON, as in `check`.
            pub fn key(self) -> &'static str {
                match self { $(Self::$name => stringify!($field),)+ }
            }

            /// Its unit, in words; nothing for a ratio.
            pub fn unit(self) -> &'static str {
                match self { $(Self::$name => $unit,)+ }
            }

            /// The least change that somebody at the bench would notice (assumed; where only an instrument tells, what matters).
            pub fn noticed(self) -> f64 {
                match self { $(Self::$name => $noticed,)+ }
            }

            /// Its value; none where the engine died first.
            pub fn of(self, found: &Symptoms) -> Option<f64> {
                match self { $(Self::$name => Option::<f64>::from(found.$field),)+ }
            }
        }
    };
}

symptoms! {
    /// Speed of the idle.
    IdleRpm idle_rpm "rpm" 100.0,
    /// Its variation.
    IdleVariation idle_variation_percent "%" 0.5,
    /// Mixture there.
    MixtureIdle equivalence_ratio_idle "" 0.02,
    /// Film on the crankcase's walls.
    IdleFilm idle_film_mg "mg" 2.0,
    /// How long the film remembers.
    IdleFilmTime idle_film_time_constant_s "s" 0.3,
    /// Gap left by the idle stop.
    IdleGap idle_gap_mm "mm" 0.05,
    /// Speed gained as the fuel line is pinched.
    PinchRise idle_pinch_rise_percent "%" 0.5,
    /// Return from a burst.
    Return idle_return_s "s" 0.1,
    /// Excess just after it.
    EarlyExcess idle_early_excess_percent "%" 1.5,
    /// Seconds above 1.1 times the settled idle.
    Hang idle_hang_s "s" 0.2,
    /// Until it stays near settled.
    Settle idle_settle_s "s" 0.3,
    /// Idle after two laps, against settled.
    HotIdle hot_idle_excess_percent "%" 1.5,
    /// Pick-up of a snap.
    SnapDelay snap_delay_s "s" 0.02,
    /// Its puff.
    SnapPuff snap_puff_excess "of steady smoke" 0.2,
    /// Beats missed in it.
    SnapMisfire snap_misfire_percent "%" 0.5,
    /// Beats missed at half throttle.
    HalfMisfire half_throttle_misfire_percent "%" 0.5,
    /// Mixture there.
    MixtureHalf equivalence_ratio_half "" 0.02,
    /// Beats missed in a slow opening.
    RollOnMisfire roll_on_misfire_percent "%" 1.0,
    /// Smoke in a slow opening.
    RollOnOpacity roll_on_opacity_percent "% opacity" 2.0,
    /// Speed wide open, wheels up.
    FullRpm full_throttle_rpm "rpm" 300.0,
    /// Power wide open.
    FullPower full_throttle_power_w "W" 10.0,
    /// The best that the high-speed needle can give.
    BestPower best_power_w "W" 10.0,
    /// Mixture wide open.
    MixtureFull equivalence_ratio_full "" 0.02,
    /// Mixture at best power.
    MixtureBest equivalence_ratio_best_power "" 0.02,
    /// Air per fuel wide open.
    AirFuelFull air_fuel_ratio_full "kg/kg" 0.05,
    /// Fuel wide open.
    FuelFlowFull fuel_flow_full_g_per_s "g/s" 0.02,
    /// Head wide open.
    Head head_temperature_c "°C" 1.5,
    /// Smoke wide open.
    Smoke smoke_opacity_percent "% opacity" 1.0,
    /// Knock wide open.
    Detonation detonation_index "" 0.005,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_number_of_a_sign_off_is_a_symptom_under_its_own_key() {
        // Each symptom reads its own field: a value that only this key has comes back.
        let json = serde_json::to_value(Symptoms::default()).unwrap();
        let keys: std::collections::BTreeSet<&str> = Symptom::ALL.iter().map(|s| s.key()).collect();
        let fields: std::collections::BTreeSet<&str> = json
            .as_object()
            .unwrap()
            .keys()
            .map(String::as_str)
            .filter(|key| *key != "stalled")
            .collect();
        assert_eq!(keys, fields);
        assert!(Symptom::ALL.iter().all(|s| s.noticed() > 0.0));
    }
}
