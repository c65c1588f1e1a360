//! The laws' constants: the groups of `models/laws.toml`, shared by all engines, and a plug's heat range, whose factors act on them.

use crate::parameters::{file_of_groups, parameters};

parameters! {
    /// Liquid film on the crankcase walls.
    FilmParams "film" {
        /// Fuel that warm walls and air can vaporise, per kilogram of air, with the crankcase at 60 °C.
        vaporised_kg_per_kg: 0.02 ..= 0.4, assumed;
        /// Share of the fuel that lands where as much is metered as can be vaporised: how soft the onset of wetting is.
        landing_softness: 0.05 ..= 0.8, assumed;
        /// Speed times delivery ratio at which half the droplets no longer reach the wall.
        carry_through_rev_per_s: 20 ..= 2000, assumed;
        /// Evaporative release at 60 °C.
        evaporation_per_s: 0.005 ..= 0.6, assumed;
        /// Shear release at 400 rev/s times delivery ratio 1.
        shear_per_s: 0.5 ..= 60, assumed;
        /// Power of speed times delivery ratio by which shear grows.
        shear_exponent: 0.8 ..= 3, assumed;
        /// Drain of the oil in the film, besides shear.
        oil_drain_per_s: 0.001 ..= 1, assumed;
        /// Standard deviation of the fresh charge trapped, from revolution to revolution.
        trapping_noise: 0 ..= 0.15, assumed;
        /// Standard deviation of the film's release from revolution to revolution.
        release_noise: 0 ..= 0.8, assumed;
    }
}

parameters! {
    /// Whether, and how completely, a charge burns.
    Firing "firing" {
        /// Largest share of the charge that burns.
        best_burnt_share: 0.8 ..= 1, assumed;
        /// Burnt-gas fraction at which the best mixture just fires, warm plug, reference charge temperature.
        dilution_limit: 0.4 ..= 0.95, assumed;
        /// Half width of that limit, as a share of it.
        dilution_width_share: 0.005 ..= 0.15, assumed;
        /// Gain of the limit per kelvin of plug temperature above the reference, up to the most that counts.
        limit_per_plug_k: 0 ..= 0.002, assumed;
        /// Plug temperature at which the limit holds, and below which a plug fires late.
        reference_plug_k: 700 ..= 1100, assumed;
        /// The most that a hotter plug counts.
        plug_most_k: 0 ..= 400, assumed;
        /// Gain of the limit per kelvin of charge temperature.
        limit_per_charge_k: 0 ..= 0.002, assumed;
        /// Charge temperature at which the limit holds.
        reference_charge_temperature_k: 350 ..= 900, assumed;
        /// Equivalence ratio that bears most dilution.
        best_equivalence_ratio: 0.9 ..= 1.4, sourced;
        /// Distance to the rich flammability limit.
        rich_span: 0.3 ..= 2, assumed;
        /// Distance to the lean flammability limit.
        lean_span: 0.2 ..= 1, assumed;
        /// Plug temperature at which half of the limit is left.
        plug_light_off_k: 500 ..= 800, assumed;
        /// Width of that threshold.
        plug_light_off_width_k: 5 ..= 80, assumed;
    }
}

parameters! {
    /// Work of a burnt charge, and when it burns.
    Combustion "combustion" {
        /// Ratio of heat capacities of fuel and air burning, for the ideal cycle.
        cycle_exponent: 1.15 ..= 1.4, sourced;
        /// Burnt-gas fraction of a wide-open charge, to which phasing refers.
        reference_dilution: 0 ..= 0.5, assumed;
        /// Work at best phasing over the ideal Otto cycle's, wall loss apart.
        diagram_factor: 0.5 ..= 1.3, assumed;
        /// Part of the wall's heat that was lost before it could have done work.
        wall_heat_early_part: 0.2 ..= 1, assumed;
        /// Later burning per unit of equivalence ratio richer.
        phase_per_equivalence_ratio_deg: 5 ..= 90, assumed;
        /// Equivalence ratio of best phasing at 500 rev/s.
        phase_reference_equivalence_ratio: 0.8 ..= 1.8, assumed;
        /// Later burning per square of equivalence ratio leaner than that.
        phase_per_leanness_deg: 5 ..= 500, assumed;
        /// Phase of the fastest mixture, undiluted, at the reference speed.
        phase_of_fastest_burn_deg: -20 ..= 40, assumed;
        /// Later burning for a doubling of 500 rev/s.
        phase_per_speed_deg: 0 ..= 60, assumed;
        /// Later burning per unit of burnt-gas fraction above the wide-open one.
        phase_per_dilution_deg: 0 ..= 400, assumed;
        /// Earliest burning by a charge that lights itself at its hot residue, against one that waits for the plug.
        hot_advance_deg: 0 ..= 120, assumed;
        /// The plug's ignition delay over that of the charge itself, where the trapped charge has 600 K.
        self_ignition_ratio: 0.001 ..= 20, assumed;
        /// Activation temperature of self-ignition over the heating by compression.
        self_ignition_activation_k: 2000 ..= 25000, assumed;
        /// Earlier burning at low speed is limited to this relative speed below 500 rev/s.
        phase_low_speed_limit: 0.1 ..= 0.9, assumed;
        /// Kelvin of plug temperature below its reference for one degree later.
        plug_quench_k_per_deg: 3 ..= 100, assumed;
        /// Phase error that halves the work.
        phase_half_width_deg: 8 ..= 80, assumed;
        /// Detonation index per degree beyond the margin, for a full charge.
        detonation_per_deg: 0.01 ..= 1, assumed;
        /// Phase error, early, at which detonation begins (reference compression, no nitro effect).
        detonation_margin_deg: 0 ..= 40, assumed;
        /// Degrees of that margin lost per unit of compression ratio above 9.
        detonation_per_compression_deg: 0 ..= 10, assumed;
        /// Degrees of that margin lost per 10 volume percent of nitromethane.
        detonation_per_nitro_deg: 0 ..= 5, assumed;
        /// Degrees of that margin lost per 10 K of head temperature above 110 °C.
        detonation_per_head_deg: 0 ..= 10, assumed;
        /// Degrees of that margin lost per 10 K of trapped charge temperature above 400 K.
        detonation_per_charge_deg: 0 ..= 5, assumed;
    }
}

parameters! {
    /// Glow plug: the shared part; heat ranges are factors on it.
    PlugParams "plug" {
        /// Catalytic rise above the head while lit.
        catalytic_rise_k: 100 ..= 600, assumed;
        /// Temperature about which the catalysis lights.
        catalytic_light_off_k: 450 ..= 750, assumed;
        /// Width of that threshold.
        catalytic_width_k: 5 ..= 100, assumed;
        /// Rise by firing at low speed.
        firing_rise_k: 50 ..= 500, assumed;
        /// Further rise by firing at 550 rev/s, growing with the square root of speed.
        firing_rise_speed_k: 0 ..= 500, assumed;
        /// Cooling by a charge that arrives wet, per unit of fuel-air ratio above what the walls vaporise.
        wet_cooling_k: 0 ..= 1500, assumed;
        /// Time constant.
        lag_s: 0.05 ..= 2, assumed;
        /// Rise by a lit glow lead.
        lead_rise_k: 200 ..= 900, assumed;
    }
}

parameters! {
    /// Friction and pumping.
    Friction "friction" {
        /// Mean effective pressure of friction at rest.
        base_bar: 0.2 ..= 3, assumed;
        /// More per 100 rev/s.
        per_100_rev_per_s_bar: 0 ..= 0.6, assumed;
        /// More per (100 rev/s) squared.
        per_100_rev_per_s_squared_bar: 0 ..= 0.15, assumed;
        /// Pumping: per unit of crankcase depression.
        pumping_bar: 0 ..= 1.5, assumed;
        /// Relative rise per kelvin that the crankcase is colder than 60 °C.
        cold_per_k: 0 ..= 0.03, assumed;
        /// Work to compress the charge, in units of ambient pressure times swept volume (it comes back; it decides a stall).
        compression_work: 0.5 ..= 4, sourced;
    }
}

parameters! {
    /// Where the heat goes.
    HeatParams "heat" {
        /// Annand's coefficient of the gas's heat transfer to the walls (Reynolds number to 0.75).
        annand_coefficient: 0.08 ..= 1, assumed;
        /// Share of a revolution in which the gas is hot: from compression to the exhaust's opening.
        hot_time_share: 0.3 ..= 0.9, assumed;
        /// Share of a revolution in which the burnt gas that stays touches the walls with open ports.
        open_time_share: 0 ..= 1, assumed;
        /// Part of the burn's heating of the walls that a late burn loses as it loses work.
        wall_phased_part: 0 ..= 1, assumed;
        /// Mean volume of the hot gas besides the clearance, in swept volumes.
        hot_volume_share: 0.1 ..= 0.6, assumed;
        /// How far the burn's temperature rise counts in the gas temperature that the walls see.
        gas_rise_share: 0.2 ..= 1, assumed;
        /// How much hotter an early burn is for the walls than a late one, per phase half width.
        wall_phase_gain: 0 ..= 3, assumed;
        /// Share of the walls' heat that goes into the piston's crown.
        crown_part: 0.1 ..= 0.6, assumed;
        /// Relative gain of the walls' heat per unit of detonation index.
        wall_detonation_gain: 0 ..= 3, assumed;
        /// How far the crankcase warms the air towards its own temperature.
        crankcase_charge_heating: 0 ..= 0.8, assumed;
        /// How far the crown warms the charge towards its own temperature on its way into the cylinder.
        crown_charge_heating: 0 ..= 0.9, assumed;
        /// Share of the latent heat of what vaporises in the crankcase that its walls supply, not the air.
        vapour_wall_share: 0 ..= 1, assumed;
        /// Share of the latent heat of what arrives liquid that crown, head and liner supply, not the charge.
        droplet_wall_share: 0 ..= 1, assumed;
        /// Share of friction work that warms the crankcase; the rest warms head and liner.
        friction_crankcase_share: 0 ..= 1, assumed;
        /// How far the gas in the pipe is heated from the air towards that of the opening exhaust: it expands, and the pipe cools it.
        pipe_gas_share: 0.2 ..= 0.9, assumed;
        /// Time constant of the gas in the pipe.
        pipe_lag_s: 0.2 ..= 6, assumed;
        /// Cooling of an engine that stands, over that of one whose flywheel stirs the air around it; its fan is off.
        standing_cooling_share: 0.05 ..= 1, assumed;
    }
}

parameters! {
    /// Visible smoke.
    Smoke "smoke" {
        /// Share of the trapped oil that burns with a fully burnt charge.
        oil_burnt_share: 0 ..= 0.95, assumed;
        /// Mass extinction of the oil mist.
        extinction_m2_per_g: 2 ..= 8, sourced;
        /// Path through the plume.
        path_cm: 1 ..= 30, design;
        /// Plume volume per exhaust volume where one looks.
        dilution: 1 ..= 60, assumed;
        /// Exhaust volume flow at which half of the oil mist of the pipe is carried along rather than left on its walls.
        carry_flow_cm3_per_s: 0 ..= 2000, assumed;
        /// Time in which oil on the pipe's walls is carried off at 1000 cm³/s.
        wall_clear_s: 0.05 ..= 60, assumed;
        /// Time in which a standing engine's pipe airs itself.
        draught_s: 0.1 ..= 5, assumed;
    }
}

parameters! {
    /// Damage.
    Wear "wear" {
        /// Damage per second of full-load running at a detonation index of 1 that is held (1 is a lost engine); it grows with its square.
        detonation_per_s: 0.0001 ..= 5, assumed;
        /// Time in which knock heats what it strikes: one that is shorter harms less.
        knock_heats_s: 0.2 ..= 20, assumed;
        /// Head temperature above which damage begins.
        head_limit_c: 110 ..= 220, assumed;
        /// Damage per second 10 K above that.
        overheat_per_s: 0.0001 ..= 1, assumed;
        /// Mean piston speed above which the connecting rod wears.
        rod_piston_speed_m_per_s: 10 ..= 35, assumed;
        /// Damage per second at twice that speed; it grows with the square of the excess.
        rod_per_s: 0.0001 ..= 5, assumed;
        /// Damage per second of full load with the engine stone cold.
        cold_load_per_s: 0.00001 ..= 0.5, assumed;
        /// Crankcase temperature below which an engine counts as cold.
        cold_below_c: 20 ..= 80, assumed;
        /// Further kelvin down to stone cold.
        cold_span_k: 5 ..= 80, assumed;
        /// Share of a full charge below which neither knocking nor thin oil hurts.
        gentle_load_share: 0 ..= 0.8, assumed;
        /// Share of a full charge that a cold engine bears.
        cold_load_share: 0 ..= 0.8, assumed;
        /// Oil flow per swept volume and revolution below which lubrication fails under load.
        thin_oil_mg_per_cm3: 0.001 ..= 0.1, assumed;
        /// Damage per second with no oil at all at full load.
        thin_oil_per_s: 0.0001 ..= 1, assumed;
    }
}

file_of_groups! {
    /// The laws' constants, shared by all engines: what `models/laws.toml` says.
    LawParams {
        /// Film.
        film: FilmParams,
        /// Firing.
        firing: Firing,
        /// Combustion.
        combustion: Combustion,
        /// Plug.
        plug: PlugParams,
        /// Friction.
        friction: Friction,
        /// Heat.
        heat: HeatParams,
        /// Smoke.
        smoke: Smoke,
        /// Wear.
        wear: Wear,
    }
}

parameters! {
    /// One plug's heat range, as factors on the shared plug law: what a file in `models/plugs/` says.
    HeatRange "plug" {
        /// Factor on the catalytic rise.
        catalytic_factor: 0.3 ..= 1.6, assumed;
        /// Factor on the rise by firing.
        firing_factor: 0.3 ..= 1.6, assumed;
        /// Factor on the cooling by a wet charge.
        wet_cooling_factor: 0.3 ..= 2, assumed;
    }
}
