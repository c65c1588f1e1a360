//! A number of an engine that stands shows no symptom: what a measure found of one is not-a-number here, so that no row holds by it.
//! Rows that expect an engine to die ask for it by name (`..._or_stall`).

use crate::bench::measures::{Burst, Idle, Snap, Steady};

/// Something found of an engine that may have died.
pub(super) trait Running: Sized {
    /// What is known of one that stands.
    const NONE: Self;
    /// Whether it ran to the end.
    fn runs(&self) -> bool;
    /// What was found, or nothing.
    fn or_none(self) -> Self {
        if self.runs() { self } else { Self::NONE }
    }
}

const NONE: f64 = f64::NAN;

impl Running for Idle {
    const NONE: Self = Self {
        rpm: NONE,
        variation_percent: NONE,
        misfire_percent: NONE,
        equivalence_ratio: NONE,
        film_mg: NONE,
        film_time_constant_s: NONE,
        visible_oil_mg_per_s: NONE,
        fuel_flow_g_per_s: NONE,
        viscous_share: NONE,
        burnt_fraction: NONE,
    };

    fn runs(&self) -> bool {
        self.rpm > 0.0
    }
}

impl Running for Steady {
    const NONE: Self = Self {
        rpm: NONE,
        equivalence_ratio: NONE,
        misfire_percent: NONE,
        unburnt_percent: NONE,
        power_w: NONE,
        head_temperature_c: NONE,
        opacity_percent: NONE,
        detonation_index: NONE,
        fuel_flow_g_per_s: NONE,
        visible_oil_mg_per_s: NONE,
        heat_w: NONE,
        viscous_share: NONE,
        film_mg: NONE,
        burnt_fraction: NONE,
    };

    /// A brake and a car turn an engine that has gone out, too.
    fn runs(&self) -> bool {
        self.rpm > 0.0 && self.misfire_percent < 100.0
    }
}

impl Running for Burst {
    const NONE: Self = Self {
        return_s: None,
        early_excess_percent: NONE,
        settle_s: NONE,
        hang_s: NONE,
        late_deviation_percent: NONE,
        lowest_percent: NONE,
        stalled: true,
        top_rpm: NONE,
    };

    fn runs(&self) -> bool {
        !self.stalled
    }
}

impl Running for Snap {
    const NONE: Self = Self {
        delay_s: None,
        puff_excess: NONE,
        misfire_percent: NONE,
        unburnt_percent: NONE,
        stalled: true,
    };

    fn runs(&self) -> bool {
        !self.stalled
    }
}
