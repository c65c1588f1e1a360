//! Damage by its causes, each alone: what harms an engine, and what must not (common practice; the rates are assumed, so only orders of
//! size are held).

use needlebench::bench::manoeuvre::table;
use needlebench::bench::player::Unseen;
use needlebench::bench::rig::Rig;
use needlebench::config::{models, reference_setup};
use needlebench::engine::params::Setting;
use needlebench::engine::state::{Damage, Load};

/// Damage of a warm engine, its high-speed needle moved, after so many seconds at a throttle.
fn worn(high: f64, load: Load, throttle: f64, seconds: f64) -> Damage {
    let (setup, reference) = super::reference();
    let setting = Setting {
        high_turns: reference.high_turns + high,
        ..reference
    };
    let mut rig = Rig::warm(&setup, setting, 1).with_load(load);
    rig.state.speed = 500.0;
    // The crankcase is dry at first, and the opening lean.
    rig.pass(throttle, 3.0);
    rig.state.damage = Damage::default();
    rig.pass(throttle, seconds);
    assert!(!rig.stalled());
    rig.state.damage
}

#[test]
fn a_minute_wheels_up_wears_the_rod_and_nothing_else() {
    let damage = worn(0.25, Load::Stand, 1.0, 60.0);
    assert!((0.003..0.1).contains(&damage.revving), "{damage:?}");
    assert!(damage.total() - damage.revving < 1e-4, "{damage:?}");
    // At the rated speed on the brake the rod bears it.
    assert_eq!(worn(0.25, Load::Brake(500.0), 1.0, 60.0).revving, 0.0);
}

#[test]
fn a_lean_engine_at_load_is_worn_by_knocking() {
    let (lean, clean) = (
        worn(-0.5, Load::Brake(500.0), 1.0, 20.0),
        worn(0.25, Load::Brake(500.0), 1.0, 20.0),
    );
    assert!(lean.detonation > 1e-3 && clean.detonation < 1e-5, "{lean:?} {clean:?}");
    assert_eq!((lean.revving, lean.cold_running), (0.0, 0.0));
}

/// Laps of an engine as warm as they make it, its high-speed needle moved: damage an hour.
fn an_hour_of_laps(engine: &str, high: f64) -> f64 {
    const LAPS: usize = 6;
    let (engine, setup) = reference_setup(engine).unwrap();
    let setting = Setting {
        high_turns: engine.reference.high_turns + high,
        ..engine.reference
    };
    let mut rig = Rig::warm(&setup, setting, 1);
    rig.play(&table::laps(LAPS), Unseen);
    rig.state.damage = Damage::default();
    let began_s = rig.state.time;
    rig.play(&table::laps(LAPS), Unseen);
    assert!(!rig.stalled());
    rig.state.damage.total() / ((rig.state.time - began_s) / 3600.0)
}

/// Some litres of fuel: hours (common practice). Knock as it picks up must not end it sooner; half a turn lean does.
#[test]
fn a_clean_engine_lives_for_hours_on_the_track_and_a_lean_one_does_not() {
    for name in models::engine_names() {
        let (clean, lean) = (an_hour_of_laps(name, 0.0), an_hour_of_laps(name, -0.5));
        assert!(clean < 0.5, "{name}: {clean}");
        assert!(lean > 2.0, "{name}: {lean}");
    }
}

#[test]
fn full_throttle_while_cold_is_a_cause_of_its_own() {
    let (setup, setting) = super::reference();
    let mut rig = Rig::cold(&setup, setting, 1).with_load(Load::Brake(400.0));
    rig.state.plug_temperature = 1000.0;
    rig.pass(1.0, 5.0);
    let damage = rig.state.damage;
    assert!(damage.cold_running > 1e-3 && damage.overheating == 0.0, "{damage:?}");
}

#[test]
fn pinching_the_line_at_idle_costs_nothing_worth_counting() {
    let (setup, setting) = super::reference();
    let mut rig = Rig::warm(&setup, setting, 1);
    let mut cost = 0.0;
    for _ in 0..4 {
        rig.pass(0.5, 1.0);
        rig.pass(0.0, 6.0);
        // From pinching until the idle is back; the blip that clears out before costs what any opening costs.
        let before = rig.state.damage.total();
        rig.controls.line_open = 0.0;
        rig.pass(0.0, 2.5);
        rig.controls.line_open = 1.0;
        rig.pass(0.0, 4.0);
        cost += rig.state.damage.total() - before;
    }
    assert!(!rig.stalled(), "four pinch tests of a living engine");
    assert!(cost < 0.002, "{cost} {:?}", rig.state.damage);
}
