//! A throttle that is held: half open on the stand, wide open with the wheels up.

use super::{Base, From, Mean, Measure, missed};
use crate::bench::manoeuvre::{Manoeuvre, Mark, table};
use crate::bench::player::{Now, Observer, Play, Played};
use crate::engine::state::{Revolution, State};
use crate::units::{celsius_from_kelvin, mg_from_kilogram, rpm_from_rev_per_second};

/// A steady running point.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Steady {
    /// Mean speed, rpm.
    pub rpm: f64,
    /// Equivalence ratio metered.
    pub equivalence_ratio: f64,
    /// Revolutions that missed, percent.
    pub misfire_percent: f64,
    /// Share of the charge left unburnt, percent.
    pub unburnt_percent: f64,
    /// Shaft power, W.
    pub power_w: f64,
    /// Head temperature at the end, °C.
    pub head_temperature_c: f64,
    /// Opacity of the plume, percent.
    pub opacity_percent: f64,
    /// Mean detonation index.
    pub detonation_index: f64,
    /// Fuel flow, g/s.
    pub fuel_flow_g_per_s: f64,
    /// Oil that leaves, mg/s.
    pub visible_oil_mg_per_s: f64,
    /// Heat released over the fuel's lower heating value.
    pub heat_w: f64,
    /// Viscous share of the metering pressure.
    pub viscous_share: f64,
    /// Film on the crankcase walls, mg.
    pub film_mg: f64,
    /// Burnt-gas fraction.
    pub burnt_fraction: f64,
}

/// Watches a steady throttle wherever the manoeuvre says so.
#[derive(Clone, Copy, Debug, Default)]
pub struct Steadily {
    speed: Mean,
    equivalence_ratio: Mean,
    power: Mean,
    opacity: Mean,
    detonation: Mean,
    fuel: Mean,
    oil: Mean,
    heat: Mean,
    viscous: Mean,
    burnt_fraction: Mean,
    missed: Mean,
    unburnt: Mean,
    last_speed: f64,
    head: f64,
    film_fuel: f64,
}

impl Observer for Steadily {
    #[inline(always)]
    fn see(&mut self, now: &Now, r: &Revolution, state: &State) {
        if now.mark != Mark::Watch {
            return;
        }
        let d = r.duration;
        self.speed.add(rpm_from_rev_per_second(r.speed), d);
        self.equivalence_ratio.add(r.metered_equivalence_ratio, d);
        self.power.add(r.shaft_work / d, d);
        self.opacity.add(100.0 * r.opacity, d);
        self.detonation.add(r.detonation, d);
        self.fuel.add((r.fuel_in + r.oil_in) / d * 1e3, d);
        self.oil.add(mg_from_kilogram(r.oil_out / d), d);
        self.heat.add(r.heat / d, d);
        self.viscous.add(r.viscous_share, d);
        self.burnt_fraction.add(r.burnt_fraction, d);
        self.missed.add(missed(r), 1.0);
        self.unburnt.add(1.0 - r.burnt_share, 1.0);
        self.last_speed = r.speed;
        self.head = state.head_temperature;
        self.film_fuel = state.film_fuel;
    }
}

impl Steadily {
    /// What it was like.
    pub fn steady(&self) -> Steady {
        let of = |m: Mean| m.value().unwrap_or(0.0);
        Steady {
            rpm: if self.last_speed <= 0.0 { 0.0 } else { of(self.speed) },
            equivalence_ratio: of(self.equivalence_ratio),
            misfire_percent: 100.0 * of(self.missed),
            unburnt_percent: 100.0 * of(self.unburnt),
            power_w: of(self.power),
            head_temperature_c: celsius_from_kelvin(self.head),
            opacity_percent: of(self.opacity),
            detonation_index: of(self.detonation),
            fuel_flow_g_per_s: of(self.fuel),
            visible_oil_mg_per_s: of(self.oil),
            heat_w: of(self.heat),
            viscous_share: of(self.viscous),
            film_mg: mg_from_kilogram(self.film_fuel),
            burnt_fraction: of(self.burnt_fraction),
        }
    }
}

/// One play that is watched steadily.
pub(super) fn watched(base: &Base, manoeuvre: Manoeuvre) -> Vec<Play<Steadily>> {
    vec![Play {
        from: base.from,
        manoeuvre,
        watch: Steadily::default(),
    }]
}

macro_rules! held {
    ($(#[$meta:meta])* $name:ident, $from:ident, $manoeuvre:expr) => {
        $(#[$meta])*
        pub struct $name;

        impl Measure for $name {
            type Eyes = Steadily;
            type Found = Steady;
            const FROM: From = From::$from;

            fn plays(base: &Base) -> Vec<Play<Steadily>> {
                watched(base, $manoeuvre)
            }

            fn found(played: &[Played<Steadily>]) -> Steady {
                played[0].watch.steady()
            }
        }
    };
}

held!(
    /// Steady half throttle on the stand.
    Half,
    Settled,
    table::half()
);
held!(
    /// The same of an engine that has not idled before: whether its idle lives is another matter.
    HalfRunning,
    Start,
    table::half()
);
held!(
    /// Wide open with the wheels up.
    Free,
    Settled,
    table::free()
);
