//! An engine that stands: its fan is off and nothing stirs the air, so that it is still warm after a pit stop (common practice).

use needlebench::bench::rig::Rig;
use needlebench::engine::Engine;

/// Head after so many seconds from 100 °C, °C; running with the throttle shut, or standing.
fn head_c(seconds: f64, runs: bool) -> f64 {
    let (setup, setting) = super::reference();
    let mut rig = Rig::warm(&setup, setting, 1);
    if !runs {
        rig.state.speed = 0.0;
    }
    rig.pass(0.0, seconds);
    assert_eq!(rig.stalled(), !runs);
    rig.state.head_temperature - 273.15
}

#[test]
fn a_pit_stop_leaves_an_engine_warm_and_an_hour_leaves_it_cold() {
    let [soon, later, cold] = [90.0, 300.0, 3600.0].map(|seconds| head_c(seconds, false));
    assert!((50.0..85.0).contains(&soon), "{soon}");
    assert!((30.0..55.0).contains(&later), "{later}");
    assert!((20.0..21.0).contains(&cold), "{cold}");
}

#[test]
fn a_standing_engine_cools_by_less_than_a_stirred_one() {
    let (setup, setting) = super::reference();
    let mut stirred = setup;
    stirred.laws.heat.standing_cooling_share = 1.0;
    let head = |setup| {
        let mut rig = Rig::warm(setup, setting, 1);
        rig.state = Engine::new(setup).warm_state(0.0);
        rig.pass(0.0, 60.0);
        rig.state.head_temperature
    };
    assert!(head(&setup) > head(&stirred) + 10.0);
}
