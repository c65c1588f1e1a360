//! Row S19: air, combustible fuel, oil and burnt gas over any run, in = out + stored, to 1e-9.

use needlebench::engine::state::{Revolution, State};
use proptest::prelude::*;

use super::any_input::{Any, any};

/// Masses in and out of the four accounts, kg.
#[derive(Default)]
struct Account {
    into: [f64; 5],
    out: [f64; 5],
}

impl Account {
    fn add(&mut self, r: &Revolution<1>) {
        let of = |x: needlebench::lanes::Lanes<1>| x.0[0];
        let burnt = of(r.air_burnt) + of(r.fuel_burnt);
        let into = [of(r.air_in), of(r.fuel_in), of(r.oil_in), burnt, 0.0];
        let out = [
            of(r.air_out) + of(r.air_burnt),
            of(r.fuel_out) + of(r.fuel_burnt),
            of(r.oil_out) + of(r.oil_burnt),
            of(r.burnt_out),
            of(r.fuel_in) + of(r.oil_in),
        ];
        for i in 0..5 {
            self.into[i] += into[i];
            self.out[i] += out[i];
        }
    }
}

/// What is stored: air, fuel, oil, burnt gas, and the tank.
fn stored(s: &State<1>) -> [f64; 5] {
    [
        s.left.air.0[0],
        s.left.fuel.0[0] + s.film_fuel.0[0],
        s.film_oil.0[0] + s.pipe_mist.0[0] + s.pipe_oil.0[0],
        s.left.burnt.0[0],
        s.tank_fuel.0[0],
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn masses_close(input in any()) {
        let Any { mut rig, trace } = input.build();
        let before = stored(&rig.state);
        let mut account = Account::default();
        for (throttle, seconds) in trace {
            rig.hold(throttle, seconds, |_, r, _| account.add(r));
        }
        let after = stored(&rig.state);
        for (i, name) in ["air", "fuel", "oil", "burnt gas", "tank"].into_iter().enumerate() {
            let gap = account.into[i] + before[i] - account.out[i] - after[i];
            let size = account.into[i] + before[i];
            prop_assert!(gap.abs() <= 1e-9 * size, "{name}: {gap:e} of {size:e} kg");
        }
    }
}
