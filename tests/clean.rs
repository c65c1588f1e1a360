//! The sign-off of every built-in engine: clean at its reference setting, an eighth of a turn of the high-speed and a click (1/24 turn)
//! of the low-speed needle around it, not clean where a racer would not sign (common practice), and the same verdict whatever the
//! engine's noise.

use needlebench::bench::checks::{self, CheckName, Facts, Limits, Report};
use needlebench::bench::lab::Lab;
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::manoeuvre::{Manoeuvre, Mark, Segment};
use needlebench::bench::measures::{Best, Steadily, What};
use needlebench::bench::player::{Play, play};
use needlebench::bench::symptoms::{Table, moved, off};
use needlebench::config::{Models, models, reference_setup};
use needlebench::engine::Engine;
use needlebench::engine::params::Faults;
use needlebench::fluids::air::Weather;
use needlebench::tuning::same_mixture::same_mixture;

/// The sign-offs of an engine at these places off its reference setting, each with the noise of seeds from 1 on.
fn reports(engine: &str, places: &[(f64, f64)], seeds: u64) -> Vec<Vec<Report>> {
    let (engine, setup) = reference_setup(engine).unwrap();
    let waits = Waits {
        brake_rpm: engine.rated_rpm,
        ..Waits::STANDARD
    };
    let best = Facts::of(&engine, &setup).best_snap_delay_s;
    let table = Table::new(&setup, engine.reference, 1..=seeds, waits, best);
    let places: Vec<_> = places.iter().map(|(high, low)| off(*high, *low)).collect();
    table.reports(&places)
}

const CLICK: f64 = 1.0 / 24.0;

/// Thin air gives less torque, so a snap takes longer: what is asked of it goes with the air, here as in a practice. Before it did,
/// nothing was clean at 2500 m.
#[test]
fn a_mountain_has_clean_settings() {
    let models = Models::of_engine("offroad-3.5").unwrap();
    let valley = models.setup(&Weather::REFERENCE, Faults::NONE).unwrap();
    let high = models
        .setup(&Weather::at_altitude(20.0, 2500.0, 50.0), Faults::NONE)
        .unwrap();
    let (engine, facts) = (&models.engine, Facts::of(&models.engine, &high));
    let same = same_mixture(&high, &valley, engine.reference, engine.rated_rpm, 1);
    let failed = |low: f64| {
        let setting = moved(same, 0.0, low);
        let report = checks::check(&high, facts, setting, 1, &Limits::STANDARD, &Waits::STANDARD);
        report.failed()
    };
    let failures: Vec<Vec<CheckName>> = (-8..4).map(|clicks| failed(f64::from(clicks) * CLICK)).collect();
    assert!(failures.iter().any(Vec::is_empty), "{failures:?}");
    assert!(facts.best_snap_delay_s > 1.1 * Facts::of(engine, &valley).best_snap_delay_s);
}

/// The best snap is the engine's on the day, not a number of its file: as good as the best that is measured around the reference, longer
/// with more to spin up.
#[test]
fn the_best_snap_is_computed_for_the_engine_as_it_is() {
    for name in models::engine_names() {
        let (engine, setup) = reference_setup(name).unwrap();
        let best = Facts::of(&engine, &setup).best_snap_delay_s;
        let table = Table::new(&setup, engine.reference, [1], Waits::STANDARD, best);
        let places: Vec<_> = (-3..=6).map(|k| off(0.0, f64::from(k) / 8.0)).collect();
        let asked: Vec<_> = places.iter().map(|place| (*place, What::Snap)).collect();
        table.quiet().measure(&asked);
        let snaps = places.iter().flat_map(|place| table.quiet().snap(*place));
        let measured = snaps.filter_map(|snap| snap.delay_s).fold(4.0, f64::min);
        assert!(
            (0.7..1.03).contains(&(best / measured)),
            "{name}: {best} s, measured {measured} s"
        );
        let mut heavy = setup;
        heavy.engine.drive.flywheel_inertia_kg_mm2 *= 1.5;
        assert!(Facts::of(&engine, &heavy).best_snap_delay_s > 1.15 * best, "{name}");
        // What idles nowhere has none that is short.
        let mut choked = setup;
        choked.engine.carburettor.throttle_flow_area_mm2 *= 0.1;
        assert_eq!(Facts::of(&engine, &choked).best_snap_delay_s, 4.0, "{name}");
    }
}

/// Lighter solids are a short cut: the engine as it is, held six minutes at each setting, has its best power at the same mixture.
#[test]
fn best_power_is_that_of_trials_whose_heads_have_settled() {
    for name in models::engine_names() {
        let (engine, setup) = reference_setup(name).unwrap();
        let waits = Waits {
            brake_rpm: engine.rated_rpm,
            ..Waits::STANDARD
        };
        let mut lab = Lab::new(&setup, &waits);
        // From a rich setting, whose cool head says little of the leaner trials.
        let case = lab.add_warm(moved(engine.reference, 0.25, 0.0), 1);
        lab.measure([(case, What::BestPower)]);
        let found = lab.findings(case).best_power.unwrap().found;
        let braked = lab.findings(case).swift_brake.unwrap().end;
        let long = [Segment::hold(1.0, 60.0).refuelled(); 6].into_iter();
        let long: Manoeuvre = long.chain([Segment::hold(1.0, 0.5).mark(Mark::Watch)]).collect();
        let trials = (-11..=7).map(|k| {
            let mut from = braked;
            from.controls.high_turns += f64::from(k) / 12.0;
            Play {
                from,
                manoeuvre: long.clone(),
                watch: Steadily::default(),
            }
        });
        let settled = Best::of(&play(&Engine::new(&setup), trials));
        let off = (found.equivalence_ratio - settled.equivalence_ratio).abs();
        assert!(off < 0.012, "{name}: {found:?}, settled {settled:?}");
        let share = found.power_w / settled.power_w;
        assert!((0.99..1.01).contains(&share), "{name}: {found:?}, settled {settled:?}");
    }
}

/// Places around the reference that should be clean and are not yet. The test fails while the list is not exactly what fails.
const NOT_YET: &[(&str, f64, f64)] = &[
    ("offroad-3.5", -2.0 * CLICK, 0.0),
    ("offroad-3.5", -0.125, 0.0),
    ("onroad-2.1", -2.0 * CLICK, 0.0),
    ("onroad-2.1", -0.125, 0.0),
    ("truggy-4.6", -2.0 * CLICK, 0.0),
    ("truggy-4.6", -0.125, 0.0),
];

#[test]
fn every_engine_is_clean_at_its_reference_setting_and_around_it_but_for_what_is_named() {
    let places = [
        (0.0, 0.0),
        (CLICK, 0.0),
        (-CLICK, 0.0),
        (2.0 * CLICK, 0.0),
        (-2.0 * CLICK, 0.0),
        (0.125, 0.0),
        (-0.125, 0.0),
        (0.0, CLICK),
        (0.0, -CLICK),
    ];
    let mut failed = Vec::new();
    for engine in models::engine_names() {
        for ((high, low), reports) in places.iter().zip(reports(engine, &places, 1)) {
            if !reports[0].clean {
                failed.push((engine, *high, *low, reports[0].failed()));
            }
        }
    }
    let found: Vec<_> = failed
        .iter()
        .map(|(engine, high, low, _)| (*engine, *high, *low))
        .collect();
    assert_eq!(found, NOT_YET, "{failed:?}");
}

#[test]
fn no_engine_is_clean_where_a_racer_would_not_sign() {
    let places = [(0.5, 0.0), (-0.25, 0.0), (0.0, 0.25), (0.0, -0.125)];
    for engine in models::engine_names() {
        for ((high, low), reports) in places.iter().zip(reports(engine, &places, 1)) {
            assert!(!reports[0].clean, "{engine} at high {high:+.3} low {low:+.3} passes");
        }
    }
}

#[test]
fn twenty_seeds_agree_on_the_reference_setting() {
    for engine in models::engine_names() {
        let reports = &reports(engine, &[(0.0, 0.0)], 20)[0];
        assert_eq!(reports.len(), 20);
        let dirty: Vec<(u64, Vec<CheckName>)> = reports
            .iter()
            .map(|report| (report.seed, report.failed()))
            .filter(|(_, failed)| !failed.is_empty())
            .collect();
        assert!(dirty.is_empty(), "{engine}: {dirty:?}");
    }
}

#[test]
fn a_dead_engine_is_null_not_a_number() {
    let reports = reports("offroad-3.5", &[(0.0, -1.5)], 1);
    let report = &reports[0][0];
    assert!(report.symptoms.stalled && !report.clean);
    assert_eq!(report.symptoms.idle_rpm, None);
}
