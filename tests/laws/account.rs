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
    fn add(&mut self, r: &Revolution) {
        let burnt = r.air_burnt + r.fuel_burnt;
        let into = [r.air_in, r.fuel_in, r.oil_in, burnt, 0.0];
        let out = [
            r.air_out + r.air_burnt,
            r.fuel_out + r.fuel_burnt,
            r.oil_out + r.oil_burnt,
            r.burnt_out,
            r.fuel_in + r.oil_in,
        ];
        for i in 0..5 {
            self.into[i] += into[i];
            self.out[i] += out[i];
        }
    }
}

/// What is stored: air, fuel, oil, burnt gas, and the tank.
fn stored(s: &State) -> [f64; 5] {
    [
        s.left.air,
        s.left.fuel + s.film_fuel,
        s.film_oil + s.pipe_mist + s.pipe_oil,
        s.left.burnt,
        s.tank_fuel,
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
