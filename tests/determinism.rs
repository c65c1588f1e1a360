//! The same seed gives the same bytes: whatever the number of engines abreast, whichever instructions the processor has.

use needlebench::config::{FuelModel, Models};
use needlebench::engine::params::{Faults, Setting};
use needlebench::engine::state::{Controls, Load, Revolution, State};
use needlebench::engine::{Engine, Setup, run_abreast, run_abreast_with};
use needlebench::fluids::air::Weather;
use needlebench::fluids::fuel::Blend;
use needlebench::lanes::Lanes;
use needlebench::noise::{Channel, Noise};

const REVOLUTIONS: usize = 4000;

/// A setup and setting of its own for each index: other engines, fuels, weathers, faults.
fn lane(index: usize) -> (Setup, Setting, f64) {
    let names = ["offroad-3.5", "onroad-2.1", "truggy-4.6"];
    let reference = Models::of_engine(names[index % 3]).unwrap();
    let r = reference.engine.reference;
    let fuel = FuelModel::from_blend(Blend {
        nitro_percent: 5.0 * (index % 7) as f64,
        oil_percent: 8.0 + index as f64,
        castor_share: 0.1 * (index % 10) as f64,
    });
    let weather = Weather {
        temperature_c: 5.0 + 2.0 * index as f64,
        pressure_hpa: 1030.0 - 12.0 * index as f64,
        humidity_percent: 6.0 * index as f64,
    };
    let faults = Faults {
        foam_share: if index % 4 == 1 { 0.3 } else { 0.0 },
        air_leak_mm2: if index % 4 == 2 { 0.3 } else { 0.0 },
        ..Faults::NONE
    };
    let setup = Models { fuel, ..reference }.setup(&weather, faults).unwrap();
    let setting = Setting {
        high_turns: r.high_turns + 0.1 * (index % 5) as f64 - 0.1,
        low_turns: r.low_turns + 0.15 * (index % 4) as f64 - 0.2,
        idle_turns: r.idle_turns,
    };
    (setup, setting, [0.0, 0.3, 0.6, 1.0][index % 4])
}

/// Throttle of lane `index`: it moves, so that every law has something to do.
fn throttle(base: f64, revolution: usize) -> f64 {
    if (revolution / 500).is_multiple_of(2) {
        base
    } else {
        1.0 - base
    }
}

fn noise(index: usize, seed: u64) -> Noise {
    Noise::new(seed, index as u64, Channel::Engine)
}

/// Every number of one lane, as bits.
fn state_bits<const N: usize>(s: &State<N>, lane: usize) -> Vec<u64> {
    // Taken apart by name: a new field stops this from compiling until it is compared too.
    let State {
        time,
        revolution,
        speed,
        wheel_speed,
        film_fuel,
        film_oil,
        tank_pressure,
        tank_fuel,
        line_drawn,
        head_temperature,
        crankcase_temperature,
        plug_temperature,
        pipe_temperature,
        left,
        pipe_mist,
        pipe_oil,
        damage,
    } = s;
    let all = [
        time,
        speed,
        wheel_speed,
        film_fuel,
        film_oil,
        tank_pressure,
        tank_fuel,
        line_drawn,
        head_temperature,
        crankcase_temperature,
        plug_temperature,
        pipe_temperature,
        &left.air,
        &left.fuel,
        &left.burnt,
        &left.temperature,
        pipe_mist,
        pipe_oil,
        damage,
    ];
    all.iter()
        .map(|x| x.0[lane].to_bits())
        .chain([revolution[lane]])
        .collect()
}

fn revolution_bits<const N: usize>(r: &Revolution<N>, lane: usize) -> [u64; 8] {
    [
        r.heat,
        r.indicated_work,
        r.opacity,
        r.detonation,
        r.burnt_share,
        r.fuel_in,
        r.oil_out,
        r.equivalence_ratio,
    ]
    .map(|x| x.0[lane].to_bits())
}

/// `REVOLUTIONS` of `N` engines abreast: bits of the state now and then and a running digest of the revolutions, per lane.
fn abreast<const N: usize>(first: usize, seed: u64, dispatched: bool) -> Vec<Vec<u64>> {
    let lanes: [(Setup, Setting, f64); N] = std::array::from_fn(|i| lane(first + i));
    let engine = Engine::new(&lanes.each_ref().map(|l| l.0));
    let mut controls = Controls::new(&lanes.each_ref().map(|l| l.1), Load::Stand);
    let noise: [Noise; N] = std::array::from_fn(|i| noise(first + i, seed));
    let mut state = engine.warm_state(250.0);
    let mut found: Vec<Vec<u64>> = vec![Vec::new(); N];
    let mut turn = 0_usize;
    let mut note = |s: &State<N>, r: &Revolution<N>, c: &mut Controls<N>| {
        turn += 1;
        for (i, lane) in found.iter_mut().enumerate() {
            if turn.is_multiple_of(250) {
                lane.extend(state_bits(s, i));
            }
            for bits in revolution_bits(r, i) {
                let last = lane.last().copied().unwrap_or(0);
                if turn % 250 == 1 {
                    lane.push(bits);
                } else if let Some(end) = lane.last_mut() {
                    *end = (last ^ bits).wrapping_mul(0x100_0000_01b3).rotate_left(17);
                }
            }
        }
        c.throttle = Lanes::each(|i| throttle(lanes[i].2, turn));
    };
    if dispatched {
        run_abreast_with(&engine, &mut state, &mut controls, &noise, REVOLUTIONS, note);
    } else {
        for _ in 0..REVOLUTIONS {
            let r = engine.step(&mut state, &controls, &noise);
            note(&state, &r, &mut controls);
        }
    }
    found
}

fn alone(seed: u64) -> Vec<Vec<u64>> {
    (0..16).flat_map(|i| abreast::<1>(i, seed, false)).collect()
}

#[test]
fn lanes_are_the_scalar_model_to_the_bit() {
    let alone = alone(5);
    assert_eq!(abreast::<4>(3, 5, false), alone[3..7]);
    assert_eq!(abreast::<8>(0, 5, false), alone[..8]);
}

#[test]
fn any_instruction_set_gives_the_same_bits() {
    let alone = alone(6);
    for i in [0, 5, 9] {
        assert_eq!(abreast::<1>(i, 6, true), alone[i..=i]);
    }
    assert_eq!(abreast::<8>(8, 6, true), alone[8..16]);
}

#[test]
fn the_same_seed_repeats_and_another_differs() {
    assert_eq!(abreast::<1>(0, 7, false), abreast::<1>(0, 7, false));
    for i in 0..4 {
        assert_ne!(abreast::<1>(i, 7, false), abreast::<1>(i, 8, false), "lane {i}");
    }
}

#[test]
fn running_in_two_parts_is_running_once() {
    let (setup, setting, _) = lane(0);
    let engine = Engine::new(&[setup]);
    let controls = Controls::new(&[setting], Load::Stand);
    let noise: [Noise; 1] = [noise(0, 2)];
    let (mut whole, mut parts) = (engine.warm_state(250.0), engine.warm_state(250.0));
    let seconds = run_abreast(&engine, &mut whole, &controls, &noise, 1000);
    run_abreast(&engine, &mut parts, &controls, &noise, 300);
    run_abreast(&engine, &mut parts, &controls, &noise, 700);
    assert_eq!(whole, parts);
    assert!(seconds.0.iter().all(|s| *s > 0.5));
}
