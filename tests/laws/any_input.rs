//! Any valid input: whatever the screws, fuel, weather, throttle and faults, every number stays finite and no mass goes negative.

use needlebench::bench::rig::Rig;
use needlebench::config::{FuelModel, Models};
use needlebench::engine::params::{Faults, Setting};
use needlebench::engine::state::{Load, Revolution, State};
use needlebench::fluids::air::Weather;
use needlebench::fluids::fuel::Blend;
use proptest::arbitrary::any as anything;
use proptest::prelude::{Just, ProptestConfig, Strategy, prop, prop_assert, prop_oneof, proptest};

/// A valid input as numbers.
#[derive(Clone, Debug)]
pub struct Input {
    setting: Setting,
    blend: Blend,
    weather: Weather,
    faults: Faults,
    trace: Vec<(f64, f64)>,
    load: usize,
    cold: bool,
    seed: u64,
}

/// The same, ready to run.
pub struct Any {
    pub rig: Rig,
    pub trace: Vec<(f64, f64)>,
}

impl Input {
    pub fn build(&self) -> Any {
        let models = Models {
            fuel: FuelModel::from_blend(self.blend),
            ..Models::of_engine("offroad-3.5").unwrap()
        };
        let setup = models.setup(&self.weather, self.faults).unwrap();
        let rig = if self.cold {
            Rig::cold(&setup, self.setting, self.seed)
        } else {
            Rig::warm(&setup, self.setting, self.seed)
        };
        Any {
            rig: rig.with_load([Load::Stand, Load::Track, Load::Brake(500.0), Load::Brake(120.0)][self.load]),
            trace: self.trace.clone(),
        }
    }
}

/// 0 half of the time, else within the range.
fn fault(high: f64) -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), 0.0..=high]
}

pub fn any() -> impl Strategy<Value = Input> {
    let setting = (0.0..=8.0, 0.0..=8.0, 0.0..=6.0).prop_map(|(high_turns, low_turns, idle_turns)| Setting {
        high_turns,
        low_turns,
        idle_turns,
    });
    let blend = (0.0..=60.0, 0.0..=25.0, 0.0..=1.0).prop_map(|(nitro_percent, oil_percent, castor_share)| Blend {
        nitro_percent,
        oil_percent,
        castor_share,
    });
    let weather = (Weather::TEMPERATURE_C, Weather::PRESSURE_HPA, 0.0..=100.0).prop_map(
        |(temperature_c, pressure_hpa, humidity_percent)| Weather {
            temperature_c,
            pressure_hpa,
            humidity_percent,
        },
    );
    let faults = (
        fault(2.0),
        fault(0.95),
        fault(1.0),
        fault(1.0),
        fault(0.5),
        fault(0.95),
        fault(30.0),
        fault(1.0),
    )
        .prop_map(|(leak, line, pressure, plug, sleeve, filter, brake, foam)| Faults {
            air_leak_mm2: leak,
            line_blocked_share: line,
            pressure_line_leak_share: pressure,
            plug_tired_share: plug,
            sleeve_wear_share: sleeve,
            filter_blocked_share: filter,
            brake_drag_n: brake,
            foam_share: foam,
        });
    let trace = prop::collection::vec((prop_oneof![Just(0.0), Just(1.0), 0.0..=1.0], 0.5..=4.0), 3..=6);
    (
        setting,
        blend,
        weather,
        faults,
        trace,
        0_usize..4,
        anything::<bool>(),
        anything::<u64>(),
    )
        .prop_map(|(setting, blend, weather, faults, trace, load, cold, seed)| Input {
            setting,
            blend,
            weather,
            faults,
            trace,
            load,
            cold,
            seed,
        })
}

/// The first number that is not finite or is negative where it mustn't be.
fn wrong(s: &State, r: &Revolution) -> Option<String> {
    // The Debug text holds every field, also those added later.
    let text = format!("{s:?} {r:?}");
    if text.contains("NaN") || text.contains("inf") {
        return Some(text);
    }
    let masses = [
        s.film_fuel,
        s.film_oil,
        s.tank_fuel,
        s.left.air,
        s.left.fuel,
        s.left.burnt,
        s.pipe_mist,
        s.pipe_oil,
        r.air_in,
        r.fuel_in,
        r.oil_in,
        r.air_burnt,
        r.fuel_burnt,
        r.oil_burnt,
        r.oil_out,
        s.damage.total(),
        s.tank_pressure,
        r.heat,
    ];
    // Differences of large masses: what leaves may be a rounding below nothing.
    let outflows = [r.air_out, r.fuel_out, r.burnt_out];
    let speed = s.speed;
    let fine = masses.iter().all(|m| *m >= 0.0)
        && outflows.iter().all(|m| *m >= -1e-18)
        && (0.0..=1500.0).contains(&speed)
        && s.wheel_speed >= 0.0
        && (0.0..=1.0).contains(&r.opacity)
        && (0.0..=1.0).contains(&r.burnt_share)
        && r.duration > 0.0;
    (!fine).then_some(text)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 80, ..ProptestConfig::default() })]

    #[test]
    fn every_number_stays_finite_and_no_mass_negative(input in any()) {
        let Any { mut rig, trace } = input.build();
        let mut first = None;
        let mut turn = 0_u32;
        for (throttle, seconds) in trace {
            rig.hold(throttle, seconds, |_, r, s| {
                // Every revolution at first and every seventh later: text costs more than physics.
                if first.is_none() && (turn < 300 || turn.is_multiple_of(7) || !s.speed.is_finite()) {
                    first = wrong(s, r).map(|text| format!("revolution {turn}: {text}"));
                }
                turn += 1;
            });
        }
        prop_assert!(first.is_none(), "{}", first.unwrap_or_default());
    }
}
