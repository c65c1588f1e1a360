//! Idle: the throttle shut, once the engine has been cleared out and its film has settled, and once it comes in hot from laps.

use super::{Base, From, Mean, Measure, Tally, missed};
use crate::bench::manoeuvre::{Mark, table};
use crate::bench::player::{Now, Observer, Play, Played};
use crate::engine::state::{Revolution, State};
use crate::units::{mg_from_kilogram, rpm_from_rev_per_second};

/// A steady idle.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Idle {
    /// Mean speed, rpm; 0 if it died.
    pub rpm: f64,
    /// Standard deviation of the speed over tenths of a second, percent of the mean.
    pub variation_percent: f64,
    /// Share of revolutions that missed, percent.
    pub misfire_percent: f64,
    /// Equivalence ratio metered.
    pub equivalence_ratio: f64,
    /// Film on the crankcase walls, mg.
    pub film_mg: f64,
    /// Film time constant, s.
    pub film_time_constant_s: f64,
    /// Oil mist leaving, mg/s.
    pub visible_oil_mg_per_s: f64,
    /// Fuel flow, g/s.
    pub fuel_flow_g_per_s: f64,
    /// Viscous share of the metering pressure.
    pub viscous_share: f64,
    /// Burnt-gas fraction.
    pub burnt_fraction: f64,
}

/// Watches an idle wherever the manoeuvre says so.
#[derive(Clone, Debug, Default)]
pub struct Watching {
    equivalence_ratio: Mean,
    missed: Mean,
    film_time_constant: Mean,
    oil: Mean,
    fuel: Mean,
    viscous: Mean,
    burnt_fraction: Mean,
    tenth: Tally,
    /// Speeds over tenths of a second, rpm.
    tenths: Vec<f64>,
    speed: f64,
    film_fuel: f64,
}

impl Observer for Watching {
    #[inline(always)]
    fn see(&mut self, now: &Now, r: &Revolution, state: &State) {
        if now.mark != Mark::Watch {
            return;
        }
        let d = r.duration;
        self.equivalence_ratio.add(r.metered_equivalence_ratio, d);
        self.missed.add(missed(r), 1.0);
        self.film_time_constant.add(1.0 / r.film_release_rate, d);
        self.oil.add(r.oil_out / d, d);
        self.fuel.add((r.fuel_in + r.oil_in) / d, d);
        self.viscous.add(r.viscous_share, d);
        self.burnt_fraction.add(r.burnt_fraction, d);
        self.speed = r.speed;
        self.film_fuel = state.film_fuel;
        if let Some((turned, since)) = self.tenth.full(r, 0.1) {
            self.tenths.push(rpm_from_rev_per_second(turned / since));
        }
    }
}

impl Watching {
    /// What it was like.
    pub fn idle(&self) -> Idle {
        let n = self.tenths.len().max(1) as f64;
        let rpm = self.tenths.iter().sum::<f64>() / n;
        let deviation = (self.tenths.iter().map(|w| (w - rpm) * (w - rpm)).sum::<f64>() / n).sqrt();
        let rpm = if self.speed <= 0.0 { 0.0 } else { rpm };
        let of = |m: Mean| m.value().unwrap_or(0.0);
        Idle {
            rpm,
            variation_percent: if rpm > 0.0 { 100.0 * deviation / rpm } else { 100.0 },
            misfire_percent: 100.0 * of(self.missed),
            equivalence_ratio: of(self.equivalence_ratio),
            film_mg: mg_from_kilogram(self.film_fuel),
            film_time_constant_s: of(self.film_time_constant),
            visible_oil_mg_per_s: mg_from_kilogram(of(self.oil)),
            fuel_flow_g_per_s: of(self.fuel) * 1e3,
            viscous_share: of(self.viscous),
            burnt_fraction: of(self.burnt_fraction),
        }
    }
}

/// Clears a warm engine out and judges its settled idle.
pub struct Settle;

impl Measure for Settle {
    type Eyes = Watching;
    type Found = Idle;
    const FROM: From = From::Start;

    fn plays(base: &Base) -> Vec<Play<Watching>> {
        vec![Play {
            from: base.from,
            manoeuvre: table::settle(base.waits),
            watch: Watching::default(),
        }]
    }

    fn found(played: &[Played<Watching>]) -> Idle {
        played.last().map_or_else(Watching::default, |p| p.watch.clone()).idle()
    }
}

/// The idle on the stand after two laps.
pub struct HotIdle;

impl Measure for HotIdle {
    type Eyes = Watching;
    type Found = Idle;
    const FROM: From = From::Settled;

    fn plays(base: &Base) -> Vec<Play<Watching>> {
        vec![Play {
            manoeuvre: table::hot_idle(),
            ..Settle::plays(base).swap_remove(0)
        }]
    }

    fn found(played: &[Played<Watching>]) -> Idle {
        Settle::found(played)
    }
}
