//! The exact firing period (width 0, complete burning), from the recursion of gas exchange and firing.
//!
//! A fired charge of mass M leaves burnt gas alone, of which `e min(M, V/T_hot)` is kept: `V/T` is what the cylinder holds at
//! exhaust opening. With fresh charge F the burnt fraction is then `x_1 = r_hot = K/(K + F)`, `K = e V/T_hot`.
//! Dense after a miss (`V/T_cold` below M): the kept mass `e V/T_cold = K'` doesn't depend on M, so `x_(j+1) = r_cold x_j`
//! with `r_cold = K'/(K' + F)`, and the engine fires every k-th, `k = 1 if r_hot <= x, else 1 + ceil(ln(x/r_hot)/ln r_cold)`.
//! Not filled after a miss (`V/T_cold` above M): the share e of everything is kept. After j misses, with `u = e^j`, burnt gas
//! is `K u` in `K u + F (1 - e u)/(1 - e)`; it fires when `u <= u* = x F / ((1 - e) K (1 - x) + x F e)`, so
//! `k = 1 if u* >= 1, else 1 + ceil(ln u*/ln e)`.

use super::params::{EngineParams, Faults, HeatRange, LawParams};
use super::*;
use crate::fluids::air::{Air, Weather};
use crate::fluids::fuel::{Blend, Fuel};
use crate::fluids::heat_release::HeatRelease;
use crate::noise::{Channel, Noise};

const HOT: f64 = 1500.0;

fn setup(limit: f64) -> Setup {
    let fuel = Fuel::new(Blend {
        nitro_percent: 25.0,
        oil_percent: 11.0,
        castor_share: 0.3,
    });
    let mut setup = Setup {
        engine: EngineParams::default(),
        laws: LawParams::default(),
        range: HeatRange::default(),
        fuel,
        heat: HeatRelease::fit(&fuel).unwrap(),
        air: Air::new(&Weather::REFERENCE),
        faults: Faults::NONE,
    };
    setup.engine.geometry.displacement_cm3 = 3.5;
    setup.engine.geometry.scavenging_gain = 1.0;
    setup.laws.firing = params::Firing {
        best_burnt_share: 1.0,
        dilution_limit: limit,
        dilution_width_share: 1e-9,
        best_equivalence_ratio: 1.15,
        rich_span: 0.75,
        lean_span: 0.7,
        plug_light_off_k: 620.0,
        plug_light_off_width_k: 20.0,
        ..Default::default()
    };
    setup
}

/// Revolutions from one firing to the next, once the rhythm has settled, and what it follows from: (k, e, F, V).
fn period(setup: &Setup, delivery: f64, cold: f64) -> (usize, f64, f64, f64) {
    let exchange = gas_exchange::GasExchange::new(&Sources::of(setup));
    let firing = firing::Firing::new(&Sources::of(setup));
    let one = crate::lanes::one;
    let volume = setup.air.pressure * 3.5e-6 / 290.0;
    let air = delivery * volume / 400.0;
    let ratio = setup.fuel.stoichiometric_air_fuel_ratio / (1.0 - setup.fuel.oil_mass_fraction);
    let fuel = air * 1.15 / ratio;
    let mut left = Charge {
        air: one(volume / 400.0),
        fuel: one(volume / 400.0 * 1.15 / ratio),
        burnt: one(0.0),
        temperature: one(cold),
    };
    let mut fired = Vec::new();
    for turn in 0..400 {
        let e = exchange.scavenge(gas_exchange::Fresh {
            old: left,
            air: one(air),
            fuel: one(fuel),
            volume: one(delivery),
            fresh_temperature: one(350.0),
            jitter: one(0.0),
        });
        let burn = {
            let mixture = firing.mixture(&e.trapped);
            firing.burn(firing::Spark {
                charge: e.trapped,
                equivalence_ratio: mixture.equivalence_ratio,
                burnt_fraction: mixture.burnt_fraction,
                charge_temperature: e.trapped.temperature,
                plug_temperature: one(5000.0),
                alive: one(1.0),
            })
        };
        let share = burn.share.number();
        assert!(
            !(1e-6..=1.0 - 1e-6).contains(&share),
            "neither fired nor missed: {share}"
        );
        if share > 0.5 {
            fired.push(turn);
        }
        left = burn.left;
        left.temperature = one(if share > 0.5 { HOT } else { cold });
    }
    let tail = &fired[fired.len() - 3..];
    assert_eq!(tail[1] - tail[0], tail[2] - tail[1], "no rhythm");
    let kept = (-delivery).exp();
    (tail[2] - tail[1], kept, (1.0 - kept) / delivery * (air + fuel), volume)
}

#[test]
fn firing_comes_every_kth_revolution_exactly() {
    let noise = Noise::new(11, 0, Channel::Choice);
    let (mut dense, mut open) = ([0; 8], [0; 8]);
    for index in 0..600 {
        let limit = noise.between(4 * index, 0.05, 0.6);
        let delivery = noise.between(4 * index + 1, 0.1, 1.2);
        // 1450 K holds no more than any trapped charge here; 20 K (a limit, not an engine) holds more than all.
        for (cold, counts) in [(1450.0, &mut dense), (20.0, &mut open)] {
            let (k, e, fresh, volume) = period(&setup(limit), delivery, cold);
            let hot_kept = e * volume / HOT;
            let hot = hot_kept / (hot_kept + fresh);
            let exact = if cold > 1000.0 {
                let cold_kept = e * volume / cold;
                assert!(volume / cold <= hot_kept + fresh, "not the dense case");
                let rest = cold_kept / (cold_kept + fresh);
                (limit / hot).ln() / rest.ln()
            } else {
                (limit * fresh / ((1.0 - e) * hot_kept * (1.0 - limit) + limit * fresh * e)).ln() / e.ln()
            };
            if (exact - exact.round()).abs() < 1e-5 {
                continue;
            }
            let expected = 1 + exact.ceil().max(0.0) as usize;
            assert_eq!(k, expected, "limit {limit}, delivery {delivery}, cold {cold}");
            counts[k.min(7)] += 1;
        }
    }
    for counts in [dense, open] {
        assert!(
            counts[1] > 20 && counts[2] > 20 && counts[3] > 3,
            "periods met: {counts:?}"
        );
    }
}
