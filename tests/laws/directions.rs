//! Which way things go: needles, fuel, weather and faults. Each compares two engines that differ in one thing, on a brake that
//! holds the same speed, so that nothing but that thing can speak.

use std::f64::consts::PI;

use needlebench::bench::rig::Rig;
use needlebench::engine::Setup;
use needlebench::engine::params::{Faults, Setting};
use needlebench::engine::state::{Load, Revolution, State};
use needlebench::fluids::air::{Air, Weather};
use needlebench::fluids::fuel::{Blend, Fuel};

/// What a braked engine shows in the mean of the last revolutions.
#[derive(Clone, Copy, Debug, Default)]
struct Seen {
    phi: f64,
    air: f64,
    power: f64,
    heat: f64,
}

/// Runs on a brake for four seconds from a warm start, and looks at the last.
fn look(setup: &Setup, setting: Setting, throttle: f64, speed: f64) -> Seen {
    let mut rig = Rig::warm(setup, setting, 3).with_load(Load::Brake(speed));
    rig.state.speed = speed;
    rig.pass(throttle, 3.0);
    let mut seen = Seen::default();
    let mut time = 0.0;
    rig.hold(throttle, 1.0, |_, r, _| {
        let d = r.duration;
        time += d;
        seen.phi += r.metered_equivalence_ratio * d;
        seen.air += r.air_in;
        seen.power += r.shaft_work;
        seen.heat += r.heat;
    });
    Seen {
        phi: seen.phi / time,
        air: seen.air / time,
        power: seen.power / time,
        heat: seen.heat / time,
    }
}

/// Idle (shut, 160 rev/s), a third open, and wide open.
const POINTS: [(f64, f64); 3] = [(0.0, 160.0), (0.35, 300.0), (1.0, 500.0)];

fn turned(setting: Setting, high: f64, low: f64) -> Setting {
    Setting {
        high_turns: setting.high_turns + high,
        low_turns: setting.low_turns + low,
        ..setting
    }
}

/// Mixture metered in the first moment of a new setting, from where the reference setting has brought the engine: tank pressure and
/// temperatures have not answered yet (a four-stroking engine presses less fuel out of its tank, which is another law).
fn metered(setup: &Setup, (from, to): (Setting, Setting), throttle: f64, speed: f64) -> f64 {
    let mut rig = Rig::warm(setup, from, 3).with_load(Load::Brake(speed));
    rig.state.speed = speed;
    rig.pass(throttle, 3.0);
    let mut rig = rig.with_setting(to);
    let (mut phi, mut time) = (0.0, 0.0);
    rig.hold(throttle, 0.05, |_, r, _| {
        phi += r.metered_equivalence_ratio * r.duration;
        time += r.duration;
    });
    phi / time
}

#[test]
fn opening_either_needle_enriches_everywhere() {
    let (setup, setting) = super::reference();
    for (throttle, speed) in POINTS {
        for needle in [(0.125, 0.0), (0.0, 0.125)] {
            let mut last = 0.0;
            for step in -3..=6 {
                let s = turned(setting, needle.0 * f64::from(step), needle.1 * f64::from(step));
                let phi = metered(&setup, (setting, s), throttle, speed);
                assert!(
                    phi > last,
                    "throttle {throttle}, needle {needle:?}, step {step}: {phi} after {last}"
                );
                last = phi;
            }
        }
    }
}

#[test]
fn the_high_needle_rules_wide_open_and_the_low_one_at_idle() {
    let (setup, setting) = super::reference();
    let gain = |high, low, (throttle, speed): (f64, f64)| {
        look(&setup, turned(setting, high, low), throttle, speed).phi / look(&setup, setting, throttle, speed).phi
    };
    assert!(gain(0.25, 0.0, POINTS[2]) > gain(0.0, 0.25, POINTS[2]));
    // An eighth of a turn wide open: some four percent by the high needle, under one by the low (common practice).
    let (by_high, by_low) = (gain(0.125, 0.0, POINTS[2]), gain(0.0, 0.125, POINTS[2]));
    assert!((1.03..1.06).contains(&by_high) && by_low < 1.01, "{by_high} {by_low}");
    assert!(gain(0.0, 0.25, POINTS[0]) > gain(0.25, 0.0, POINTS[0]));
    // The series path: the high needle is felt at idle, more with the low end rich, for then it has more of the pressure.
    let rich = turned(setting, 0.0, 0.5);
    let felt = |s: Setting| look(&setup, turned(s, 0.25, 0.0), 0.0, 160.0).phi / look(&setup, s, 0.0, 160.0).phi;
    assert!(
        felt(setting) > 1.0 && felt(rich) > felt(setting),
        "{} {}",
        felt(setting),
        felt(rich)
    );
}

fn weather(f: impl Fn(&mut Weather)) -> (Setup, Setup, Setting) {
    let (setup, setting) = super::reference();
    let mut changed = Weather::REFERENCE;
    f(&mut changed);
    let other = Setup {
        air: Air::new(&changed),
        ..setup
    };
    (setup, other, setting)
}

#[test]
fn altitude_and_humidity_enrich_and_take_power() {
    let high = Weather::at_altitude(
        Weather::REFERENCE.temperature_c,
        1500.0,
        Weather::REFERENCE.humidity_percent,
    );
    for (name, changed) in [
        ("altitude", high),
        (
            "humidity",
            Weather {
                temperature_c: 30.0,
                humidity_percent: 95.0,
                ..Weather::REFERENCE
            },
        ),
    ] {
        let (base, other, setting) = weather(|w| {
            *w = changed;
        });
        let dry = Setup {
            air: Air::new(&Weather {
                humidity_percent: 5.0,
                temperature_c: changed.temperature_c,
                ..Weather::REFERENCE
            }),
            ..base
        };
        let before = if name == "humidity" { dry } else { base };
        for (throttle, speed) in POINTS {
            let (a, b) = (
                look(&before, setting, throttle, speed),
                look(&other, setting, throttle, speed),
            );
            assert!(
                b.phi > a.phi,
                "{name} at throttle {throttle}: {} after {}",
                b.phi,
                a.phi
            );
            assert!(b.air < a.air, "{name} at throttle {throttle}");
        }
        let (a, b) = (look(&before, setting, 1.0, 500.0), look(&other, setting, 1.0, 500.0));
        assert!(b.power < a.power, "{name}: {} W after {} W", b.power, a.power);
    }
}

#[test]
fn the_thickest_fuel_on_the_coldest_day_still_flows_forwards_when_it_is_warmed() {
    let (mut setup, setting) = super::reference();
    setup.fuel = Fuel::new(Blend {
        nitro_percent: 0.0,
        oil_percent: 60.0,
        castor_share: 1.0,
    });
    setup.air = needlebench::fluids::air::Air::new(&Weather {
        temperature_c: -30.0,
        ..Weather::REFERENCE
    });
    setup.engine.carburettor.jet_warming_k = 30.0;
    // A hotter crankcase also thins the charge, which takes up to a seventh of the flow a step.
    let mut last = 0.0;
    for crankcase_c in [-30.0, 0.0, 10.0, 20.0, 30.0, 60.0] {
        let mut rig = Rig::warm(&setup, setting, 3).with_load(Load::Brake(500.0));
        rig.state.crankcase_temperature = 273.15 + crankcase_c;
        rig.controls.throttle = 1.0;
        let turned = rig.turn();
        let metered = turned.fuel_in + turned.oil_in;
        assert!(
            metered > 0.0 && metered >= last * 0.75,
            "{crankcase_c} °C: {metered:e} after {last:e}"
        );
        assert!(
            (0.0..=1.0).contains(&turned.viscous_share),
            "{crankcase_c} °C: {}",
            turned.viscous_share
        );
        last = metered;
    }
}

#[test]
fn a_standing_engine_cools_to_the_days_temperature_and_so_does_its_plug() {
    let (setup, setting) = super::reference();
    let mut rig = Rig::warm(&setup, setting, 3);
    rig.state.speed = 0.0;
    rig.pass(0.0, 5.0);
    assert!(
        rig.state.plug_temperature < rig.state.head_temperature + 20.0,
        "{}",
        rig.state.plug_temperature
    );
    rig.pass(0.0, 1200.0);
    let ambient = setup.air.temperature;
    for (name, temperature) in [
        ("head", rig.state.head_temperature),
        ("crankcase", rig.state.crankcase_temperature),
        ("plug", rig.state.plug_temperature),
        ("pipe", rig.state.pipe_temperature),
    ] {
        assert!(
            (temperature - ambient).abs() < 2.0,
            "{name}: {temperature} of {ambient} K"
        );
    }
}

#[test]
fn colder_fuel_more_oil_and_a_lower_tank_meter_less() {
    let (setup, setting) = super::reference();
    let warmed = |jet_warming_k: f64| {
        let mut other = setup;
        other.engine.carburettor.jet_warming_k = jet_warming_k;
        other
    };
    let oiled = |more: f64| {
        let blend = setup.fuel.blend;
        let fuel = Fuel::new(Blend {
            oil_percent: blend.oil_percent + more,
            ..blend
        });
        Setup { fuel, ..setup }
    };
    for (throttle, speed) in POINTS {
        let phi = |setup: &Setup| look(setup, setting, throttle, speed).phi;
        // The jet's warmth alone: the air is the same.
        assert!(
            phi(&warmed(0.0)) < phi(&warmed(20.0)),
            "cold fuel at throttle {throttle}"
        );
        assert!(phi(&oiled(4.0)) < phi(&oiled(0.0)), "oil at throttle {throttle}");
    }
    let idle = |level: f64| {
        let mut rig = Rig::warm(&setup, setting, 3).with_load(Load::Brake(160.0));
        rig.pass(0.0, 3.0);
        rig.state.tank_fuel = rig.engine.tank_capacity() * level;
        rig.turn().metered_equivalence_ratio
    };
    assert!(idle(0.25) < idle(0.6) && idle(0.6) < idle(1.0));
}

fn faulty(change: impl Fn(&mut Faults)) -> (Setup, Setup, Setting) {
    let (setup, setting) = super::reference();
    let mut other = setup;
    change(&mut other.faults);
    (setup, other, setting)
}

#[test]
fn leaks_and_a_blocked_line_lean_and_more_of_it_leans_more() {
    type Change = fn(&mut Faults, f64);
    let cases: [(&str, Change); 3] = [
        ("air leak", |f, x| f.air_leak_mm2 = 0.5 * x),
        ("blocked line", |f, x| f.line_blocked_share = 0.8 + 0.1 * x),
        ("pressure line", |f, x| f.pressure_line_leak_share = 0.5 * x),
    ];
    for (name, change) in cases {
        let (sound, little, setting) = faulty(|f| change(f, 0.5));
        let (_, much, _) = faulty(|f| change(f, 1.0));
        for (throttle, speed) in POINTS {
            let phi = [sound, little, much].map(|s| look(&s, setting, throttle, speed).phi);
            assert!(
                phi[0] > phi[1] && phi[1] > phi[2],
                "{name} at throttle {throttle}: {phi:?}"
            );
        }
    }
}

#[test]
fn a_blocked_filter_takes_air_and_power() {
    let (sound, blocked, setting) = faulty(|f| f.filter_blocked_share = 0.9);
    let (a, b) = (look(&sound, setting, 1.0, 500.0), look(&blocked, setting, 1.0, 500.0));
    assert!(b.air < 0.99 * a.air && b.power < a.power, "{a:?} {b:?}");
}

#[test]
fn a_worn_sleeve_takes_heat_and_foam_leans() {
    let (sound, worn, setting) = faulty(|f| f.sleeve_wear_share = 0.2);
    assert!(look(&worn, setting, 1.0, 500.0).heat < look(&sound, setting, 1.0, 500.0).heat);
    let (_, foaming, _) = faulty(|f| f.foam_share = 0.3);
    assert!(look(&foaming, setting, 1.0, 500.0).phi < look(&sound, setting, 1.0, 500.0).phi);
}

#[test]
fn a_dragging_brake_slows_the_car_and_a_tired_plug_is_cooler() {
    let (sound, dragging, setting) = faulty(|f| f.brake_drag_n = 8.0);
    let after = |setup: &Setup| -> State {
        let mut rig = Rig::warm(setup, setting, 3).with_load(Load::Track);
        rig.pass(0.6, 4.0);
        rig.state
    };
    let (free, held) = (after(&sound), after(&dragging));
    assert!(
        held.wheel_speed < free.wheel_speed,
        "{:?} {:?}",
        held.wheel_speed,
        free.wheel_speed
    );
    let (_, tired, _) = faulty(|f| f.plug_tired_share = 0.3);
    for (throttle, speed) in POINTS {
        let plug = |setup: &Setup| {
            let mut rig = Rig::warm(setup, setting, 3).with_load(Load::Brake(speed));
            rig.pass(throttle, 4.0);
            rig.state.plug_temperature
        };
        assert!(plug(&tired) < plug(&sound), "throttle {throttle}");
    }
}

/// Lets an engine whose plug is out run down: the lowest speed at which it still turned, and the square of the one that it would have
/// had in the revolution that stopped it, both from an inertia, kg m².
fn run_down(setup: &Setup, setting: Setting, inertia: f64) -> (f64, f64) {
    let mut rig = Rig::warm(setup, setting, 3);
    rig.state.plug_temperature = 300.0;
    rig.state.head_temperature = 300.0;
    let (mut last, mut square) = (f64::INFINITY, None);
    rig.hold(0.0, 30.0, |_, r, s: &State| {
        let speed = s.speed;
        if speed > 0.0 {
            last = speed;
        } else if square.is_none() {
            // The clutch is open by now: the shaft alone has changed the flywheel's energy, 2 pi^2 J n^2.
            square = Some(last * last + r.shaft_work / (2.0 * PI * PI * inertia));
        }
    });
    (last, square.expect("it stalled"))
}

#[test]
fn the_stalling_speed_is_found_by_energy() {
    let (setup, setting) = super::reference();
    let mut speeds = Vec::new();
    for factor in [0.5, 1.0, 2.0, 4.0, 8.0] {
        let mut heavy = setup;
        heavy.engine.drive.flywheel_inertia_kg_mm2 *= factor;
        let inertia = heavy.engine.drive.flywheel_inertia_kg_mm2 * 1e-6;
        let displacement = setup.engine.geometry.displacement_cm3 * 1e-6;
        let compression = setup.laws.friction.compression_work * setup.air.pressure * displacement;
        let floor = (compression / (2.0 * PI * PI * inertia)).sqrt();
        let (last, square) = run_down(&heavy, setting, inertia);
        // It turned as long as the flywheel covered the compression, and no longer.
        assert!(
            last >= floor,
            "inertia x {factor}: turned at {last} rev/s below {floor}"
        );
        assert!(
            square < floor * floor,
            "inertia x {factor}: stopped at {square} above {}",
            floor * floor
        );
        speeds.push(last);
    }
    assert!(speeds.windows(2).all(|w| w[1] < w[0]), "{speeds:?}");
}

#[test]
fn a_pinched_line_and_an_empty_tank_end_it() {
    let (setup, setting) = super::reference();
    for empty in [false, true] {
        let mut rig = Rig::warm(&setup, setting, 3);
        rig.pass(0.3, 2.0);
        assert!(!rig.stalled());
        if empty {
            rig.state.tank_fuel = 1e-5;
        } else {
            rig.controls.line_open = 0.0;
        }
        let mut metered = 0.0;
        rig.hold(0.3, 60.0, |_, r: &Revolution, _| metered += r.fuel_in + r.oil_in);
        assert!(rig.stalled(), "empty {empty}");
        // A pinched line still gives what its collapsing tube holds, no more.
        let most = if empty {
            1e-5
        } else {
            setup.engine.carburettor.line_store_mg * 1e-6
        };
        assert!(metered <= most * (1.0 + 1e-9), "{metered}");
        assert!(rig.state.tank_fuel >= 0.0);
        // It stays dead: nothing is drawn, nothing burns, everything cools.
        let hot = rig.state.head_temperature;
        rig.hold(1.0, 20.0, |_, r, _| {
            assert!(r.air_in == 0.0 && r.fuel_in == 0.0 && r.heat == 0.0)
        });
        assert!(rig.stalled() && rig.state.head_temperature < hot);
    }
}
