//! What describes one engine: the groups of a file in `models/engines/`.

use crate::parameters::{file_of_groups, parameters};
use crate::units::cubic_metre_from_ml;

parameters! {
    /// Size and porting.
    Geometry "geometry" {
        /// Swept volume.
        displacement_cm3: 0.5 ..= 15, design;
        /// Geometric compression ratio over the full stroke; higher brings detonation nearer.
        compression_ratio: 6 ..= 18, design;
        /// Share of the stroke that is left when the exhaust port has closed.
        trapped_stroke_share: 0.5 ..= 0.9, design;
        /// Delivery ratio that the ports would give at low speed with an open throttle.
        port_delivery_ratio: 0.4 ..= 1.6, assumed;
        /// Speed at which the ports' time-area halves the delivery.
        port_cutoff_rev_per_s: 300 ..= 1200, assumed;
        /// Relative gain in delivery at the pipe's tuned speed.
        pipe_gain: 0 ..= 0.8, assumed;
        /// Tuned speed with the pipe at its reference temperature.
        pipe_tuned_rev_per_s: 200 ..= 900, design;
        /// Half width of the tuned range.
        pipe_half_width_rev_per_s: 30 ..= 400, assumed;
        /// Pipe gas temperature at which the tuned speed holds.
        pipe_reference_temperature_c: 200 ..= 800, assumed;
        /// Gas volume of the pipe, which smoke and sound have to fill.
        pipe_volume_cm3: 5 ..= 300, design;
        /// Scavenging volume ratio per unit of delivery ratio (trapped volume against swept volume, warm charge).
        scavenging_gain: 0.6 ..= 1.8, assumed;
    }
}

impl Geometry {
    /// Bore of a cylinder whose stroke equals it, m.
    pub fn bore(&self) -> f64 {
        (4.0 * cubic_metre_from_ml(self.displacement_cm3) / std::f64::consts::PI).cbrt()
    }
}

parameters! {
    /// Slide carburettor with a high-speed needle and a low-speed needle in series.
    Carburettor "carburettor" {
        /// Effective flow area (area times discharge coefficient) with the slide fully open.
        throttle_flow_area_mm2: 2 ..= 80, design;
        /// Flow area of a clean filter over the open throttle's: it matters little until it is blocked.
        clean_filter_area_ratio: 1 ..= 30, assumed;
        /// Open area of a clean fuel line.
        line_area_mm2: 0.2 ..= 6, assumed;
        /// Share of the fuel that passes while a bubble is in a foaming line.
        foam_flow_share: 0 ..= 1, assumed;
        /// Power of the slide opening by which the area grows.
        throttle_exponent: 1 ..= 2.5, assumed;
        /// Slide travel from shut to open.
        slide_travel_mm: 3 ..= 20, design;
        /// Slide opening left by the idle stop at 0 turns.
        idle_opening_closed: 0.01 ..= 0.15, design;
        /// Slide opening added per turn of the idle stop.
        idle_opening_per_turn: 0.003 ..= 0.05, design;
        /// Share of the throat depression that draws fuel at the reference slide opening.
        signal_share_idle: 0.002 ..= 0.2, assumed;
        /// Slide opening at which that share holds; it grows in proportion up to twice as far.
        signal_reference_opening: 0.03 ..= 0.3, assumed;
        /// Share added as the spray bar is uncovered.
        signal_share_open: 0.1 ..= 1, assumed;
        /// Slide opening at which the spray bar begins to be uncovered.
        signal_onset_opening: 0.05 ..= 0.4, assumed;
        /// Further opening over which it is uncovered.
        signal_span_opening: 0.2 ..= 0.95, assumed;
        /// Lift per turn, both needles.
        needle_pitch_mm: 0.2 ..= 1, design;
        /// Annular gap per lift of the high-speed needle (tangent of its half angle).
        high_gap_per_lift: 0.005 ..= 0.2, assumed;
        /// Mean perimeter of the high-speed needle's annulus.
        high_perimeter_mm: 1 ..= 12, design;
        /// Length of the high-speed needle's annulus that acts viscously.
        high_length_mm: 0.05 ..= 10, assumed;
        /// Annular gap per lift of the low-speed needle.
        low_gap_per_lift: 0.005 ..= 0.2, assumed;
        /// Low-speed needle: lift at which its rounded tip has doubled the gap that its taper alone would leave.
        low_flare_mm: 0.5 ..= 100, assumed;
        /// Mean perimeter of the low-speed needle's annulus.
        low_perimeter_mm: 1 ..= 12, design;
        /// Length of the low-speed needle's annulus that acts viscously.
        low_length_mm: 0.05 ..= 10, assumed;
        /// Inertial discharge coefficient of both annuli (the viscous part is counted by itself).
        discharge_coefficient: 0.4 ..= 0.95, sourced;
        /// Fuel that a pinched line still gives, as its elastic tube collapses.
        line_store_mg: 5 ..= 1000, assumed;
        /// Warmth added to the fuel at the jet (a bench may cool or warm it).
        jet_warming_k: -40 ..= 40, design;
        /// Fuel flow at which the warm carburettor body brings the fuel half of the way to its own temperature.
        jet_exchange_mg_per_s: 0 ..= 200, assumed;
        /// How far the carburettor body is warmed from the air towards the crankcase.
        body_warming_share: 0 ..= 1, assumed;
    }
}

parameters! {
    /// Tank, its pressure line and the fuel's height.
    Tank "tank" {
        /// Volume.
        volume_ml: 10 ..= 500, design;
        /// Height of the fuel above the jet when the tank is nearly empty.
        height_empty_mm: -20 ..= 60, design;
        /// Further height when it is full.
        height_span_mm: 5 ..= 80, design;
        /// Pipe pressure at the nominal exhaust flow with the pipe at its reference temperature.
        pressure_wide_open_kpa: 0.5 ..= 30, assumed;
        /// Exhaust mass flow at which that pressure holds.
        nominal_exhaust_flow_g_per_s: 0.2 ..= 12, assumed;
        /// Time constant of the tank's pressure when empty; it shrinks with the air space.
        pressure_lag_s: 0.02 ..= 5, assumed;
        /// How far the tank's fuel is warmed, in the end, from the air towards the crankcase.
        warming_share: 0 ..= 1, assumed;
        /// Time constant of that.
        warming_lag_s: 20 ..= 2000, assumed;
    }
}

parameters! {
    /// Rotating masses, clutch, wheels.
    Drive "drive" {
        /// Moment of inertia of crank, flywheel and clutch.
        flywheel_inertia_kg_mm2: 3 ..= 200, design;
        /// Speed at which the clutch begins to touch.
        clutch_engage_rpm: 6000 ..= 25000, design;
        /// Clutch torque 5000 rpm above that.
        clutch_torque_n_mm: 20 ..= 3000, design;
        /// Wheels up: inertia of the drive train as the engine feels it.
        stand_inertia_kg_mm2: 1 ..= 200, design;
        /// Wheels up: drag torque at 500 rev/s, growing with the square of speed.
        stand_drag_n_mm: 1 ..= 400, assumed;
        /// Mass of the car.
        car_mass_kg: 0.3 ..= 12, design;
        /// Distance driven per engine revolution.
        travel_per_rev_mm: 5 ..= 150, design;
        /// Rolling drag of the car.
        rolling_drag_n: 0.1 ..= 40, assumed;
        /// Drag area (coefficient times frontal area).
        drag_area_cm2: 20 ..= 2000, assumed;
    }
}

parameters! {
    /// Head and crankcase as lumped masses.
    Cooling "cooling" {
        /// Heat capacity of head and liner.
        head_capacity_j_per_k: 10 ..= 1000, assumed;
        /// Head to air in still air.
        head_still_air_w_per_k: 0.1 ..= 20, assumed;
        /// Head to air added at 10 m/s, growing with the square root of speed.
        head_moving_air_w_per_k: 0.1 ..= 30, assumed;
        /// Head to crankcase.
        head_to_crankcase_w_per_k: 0.05 ..= 10, assumed;
        /// Heat capacity of the crankcase.
        crankcase_capacity_j_per_k: 10 ..= 1000, assumed;
        /// Crankcase to air.
        crankcase_to_air_w_per_k: 0.05 ..= 20, assumed;
        /// Heat capacity of the piston's crown.
        crown_capacity_j_per_k: 0.5 ..= 30, assumed;
        /// Piston to liner and crankcase.
        crown_to_crankcase_w_per_k: 0.1 ..= 20, assumed;
        /// Air speed over the engine on the brake or stand.
        bench_air_speed_m_per_s: 0.5 ..= 30, design;
    }
}

file_of_groups! {
    /// One engine: what its file in `models/engines/` says.
    EngineParams {
        /// Size and porting.
        geometry: Geometry,
        /// Carburettor.
        carburettor: Carburettor,
        /// Tank.
        tank: Tank,
        /// Masses and drive.
        drive: Drive,
        /// Cooling.
        cooling: Cooling,
    }
}
