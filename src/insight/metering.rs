//! What the metering law alone says of a turn of a needle: the flow's relative change per turn, in closed form, while the pressure that
//! drives it, the fuel's temperature and the air stay as they are. What an engine does beyond that is its answer to the turn.

use crate::engine::Setup;
use crate::engine::params::Setting;
use crate::units::{metre_from_mm, square_metre_from_mm2};

/// Relative change of the flow per turn of a needle, 1/turn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sensitivity {
    /// Of the high-speed needle.
    pub high: f64,
    /// Of the low-speed needle.
    pub low: f64,
}

/// A needle's gap and how it opens, relative per turn, with its part in the losses.
struct Gap {
    /// d ln gap / d turns.
    opening: f64,
    /// Its viscous loss, to a common scale.
    viscous: f64,
    /// Its inertial loss, to a common scale.
    inertial: f64,
}

/// Of a gap at a lift, m, that flares with it.
fn gap(pitch: f64, lift: f64, per_lift: f64, flare: f64, (length, perimeter): (f64, f64), discharge: f64) -> Gap {
    let gap = lift * per_lift * (1.0 + flare * lift);
    Gap {
        opening: pitch * (1.0 / lift + flare / (1.0 + flare * lift)),
        viscous: 12.0 * length / perimeter / gap.powi(3),
        inertial: 0.5 / (discharge * perimeter * gap).powi(2),
    }
}

/// The law is `a µ Q + b ρ Q² = p`, each needle with a part of `a` that goes with its gap to the power of -3 and a part of `b` that goes
/// with -2. With the share v of the pressure that viscosity spends, and a needle's shares s of `a` and t of `b`,
/// `d ln Q / d ln gap = (3 v s + 2 (1 - v) t) / (v + 2 (1 - v))`: neither pressure nor viscosity has to be known.
///
/// `slide` is the slide's opening, 0 to 1; `viscous_share` is v, 0 to 1.
pub fn sensitivity(setup: &Setup, setting: Setting, slide: f64, viscous_share: f64) -> Sensitivity {
    let c = &setup.engine.carburettor;
    let pitch = metre_from_mm(c.needle_pitch_mm);
    let high = gap(
        pitch,
        setting.high_turns * pitch,
        c.high_gap_per_lift,
        0.0,
        (metre_from_mm(c.high_length_mm), metre_from_mm(c.high_perimeter_mm)),
        c.discharge_coefficient,
    );
    let low = gap(
        pitch,
        setting.low_turns * pitch + slide * metre_from_mm(c.slide_travel_mm),
        c.low_gap_per_lift,
        1.0 / metre_from_mm(c.low_flare_mm),
        (metre_from_mm(c.low_length_mm), metre_from_mm(c.low_perimeter_mm)),
        c.discharge_coefficient,
    );
    let line = square_metre_from_mm2(c.line_area_mm2) * (1.0 - setup.faults.line_blocked_share);
    let viscous = high.viscous + low.viscous;
    let inertial = high.inertial + low.inertial + 0.5 / (line * line);
    let of = |gap: &Gap| {
        let (s, t, v) = (gap.viscous / viscous, gap.inertial / inertial, viscous_share);
        gap.opening * (3.0 * v * s + 2.0 * (1.0 - v) * t) / (v + 2.0 * (1.0 - v))
    };
    Sensitivity {
        high: of(&high),
        low: of(&low),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::rig::Rig;
    use crate::config::reference_setup;
    use crate::engine::state::Load;

    /// The closed form against the law itself, turned a little and not: an engine where it stands, at idle and wide open. Its fuel is as
    /// warm at the jet as in the tank, for the law knows nothing of the time that a greater flow has to be warmed in.
    #[test]
    fn the_closed_form_is_the_slope_of_what_the_carburettor_meters() {
        let (model, mut setup) = reference_setup("offroad-3.5").unwrap();
        setup.engine.carburettor.jet_exchange_mg_per_s = 0.0;
        for (throttle, load) in [(0.0, Load::Stand), (0.3, Load::Stand), (1.0, Load::Brake(500.0))] {
            let mut rig = Rig::warm(&setup, model.reference, 1).with_load(load);
            rig.pass(throttle, 6.0);
            let before = rig;
            let viscous_share = rig.turn().viscous_share;
            let c = &setup.engine.carburettor;
            let idle = c.idle_opening_closed + c.idle_opening_per_turn * model.reference.idle_turns;
            let law = sensitivity(&setup, model.reference, idle + (1.0 - idle) * throttle, viscous_share);
            let metered = |high: f64, low: f64| {
                let setting = Setting {
                    high_turns: model.reference.high_turns + high,
                    low_turns: model.reference.low_turns + low,
                    ..model.reference
                };
                let rig = before.with_setting(setting);
                rig.engine.metered(&rig.state, &rig.controls, rig.stand().noise)
            };
            const STEP: f64 = 1e-3;
            for (name, closed, slope) in [
                (
                    "high",
                    law.high,
                    (metered(STEP, 0.0) / metered(-STEP, 0.0)).ln() / (2.0 * STEP),
                ),
                (
                    "low",
                    law.low,
                    (metered(0.0, STEP) / metered(0.0, -STEP)).ln() / (2.0 * STEP),
                ),
            ] {
                assert!(
                    (closed / slope - 1.0).abs() < 1e-4,
                    "{name} at {throttle}: {closed} against {slope}"
                );
            }
        }
    }
}
