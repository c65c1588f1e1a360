//! What counts as clean: the limits, and those of common practice. A scenario may set its own.

use crate::parameters::parameters;

parameters! {
    /// Limits of a clean setting; the defaults are common practice unless said otherwise.
    Limits "limits" {
        /// Slowest idle.
        idle_low_rpm: 4000 ..= 20000, design;
        /// Fastest idle.
        idle_high_rpm: 4000 ..= 20000, design;
        /// How far the idle must stay below the clutch.
        idle_below_clutch_rpm: 0 ..= 10000, design;
        /// Largest variation of the idle, as standard deviation over tenths of a second.
        idle_variation_percent: 0.1 ..= 30, design;
        /// Least gain in speed with the fuel line pinched: the idle stands on the rich side of its fastest.
        pinch_rise_percent: 0 ..= 20, design;
        /// Smallest idle gap.
        idle_gap_low_mm: 0.05 ..= 5, design;
        /// Largest idle gap.
        idle_gap_high_mm: 0.05 ..= 5, design;
        /// Slowest return from a burst.
        return_s: 0.1 ..= 10, design;
        /// Longest hang above 1.1 times the settled idle, from shutting; one that is not down after 10 s always fails.
        hang_s: 0.3 ..= 9.9, design;
        /// Largest excess just after the return, against the settled idle.
        early_excess_percent: 1 ..= 60, design;
        /// Largest undershoot just after the return.
        early_deficit_percent: 1 ..= 60, design;
        /// Longest delay of a snap, in units of the engine's best.
        snap_delay_ratio: 1 ..= 3, design;
        /// Largest puff on a snap.
        snap_puff_excess: 0.1 ..= 10, design;
        /// Most missed revolutions on a snap.
        snap_misfire_percent: 0 ..= 50, design;
        /// Most missed revolutions at steady half throttle.
        half_misfire_percent: 0 ..= 50, design;
        /// Most missed revolutions in the worst tenth of a slow opening.
        roll_on_misfire_percent: 0 ..= 50, design;
        /// Thickest smoke in a slow opening.
        roll_on_opacity_percent: 1 ..= 100, design;
        /// Least power, percent of the best that the high-speed needle can give.
        power_percent: 50 ..= 100, design;
        /// Largest detonation index wide open.
        detonation_index: 0 ..= 2, design;
        /// Hottest head on the brake.
        head_temperature_c: 80 ..= 200, design;
        /// Largest deviation of the idle after two laps from the settled idle.
        hot_idle_percent: 1 ..= 60, design;
    }
}

impl Limits {
    /// The defaults.
    pub const STANDARD: Self = Self {
        idle_low_rpm: 8_500.0,
        idle_high_rpm: 12_500.0,
        idle_below_clutch_rpm: 1_500.0,
        idle_variation_percent: 4.0,
        pinch_rise_percent: 0.8,
        idle_gap_low_mm: 0.5,
        idle_gap_high_mm: 1.1,
        return_s: 1.5,
        hang_s: 1.6,
        early_excess_percent: 8.0,
        early_deficit_percent: 8.0,
        snap_delay_ratio: 1.3,
        snap_puff_excess: 1.0,
        snap_misfire_percent: 1.0,
        half_misfire_percent: 0.5,
        roll_on_misfire_percent: 2.0,
        roll_on_opacity_percent: 45.0,
        power_percent: 97.0,
        detonation_index: 0.02,
        head_temperature_c: 135.0,
        hot_idle_percent: 12.0,
    };
}
