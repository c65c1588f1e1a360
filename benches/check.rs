//! What a user waits for: the whole sign-off (promised under 0.2 s), a simulated minute (0.1 s), and the start-up with the fit of
//! the fuel's heat release (50 ms).

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use needlebench::bench::checks::{self, Facts, Limits};
use needlebench::bench::measures::Waits;
use needlebench::bench::rig::Rig;
use needlebench::config::models;
use needlebench::config::schema::EngineModel;
use needlebench::engine::params::Faults;
use needlebench::engine::{Engine, Setup};
use needlebench::fluids::air::{Air, Weather};
use needlebench::fluids::heat_release::HeatRelease;

/// Files, fuel and engine, as a command does it.
fn start_up() -> (EngineModel, Setup) {
    let engine = models::engine("offroad-3.5").expect("built in");
    let fuel = models::fuel(&engine.reference_fuel).expect("built in").fuel();
    let setup = Setup {
        engine: engine.params,
        laws: models::laws().expect("built in"),
        range: models::plug(&engine.reference_plug).expect("built in").range,
        fuel,
        heat: HeatRelease::fit(&fuel).expect("a fuel that burns"),
        air: Air::new(&Weather::REFERENCE),
        faults: Faults::NONE,
    };
    (engine, setup)
}

fn check(criterion: &mut Criterion) {
    criterion.bench_function("start_up", |bencher| {
        bencher.iter(|| {
            let (_, setup) = start_up();
            black_box(Engine::new(&[setup]))
        });
    });
    let (engine, setup) = start_up();
    criterion.bench_function("run_60_s", |bencher| {
        bencher.iter(|| {
            let mut rig = Rig::warm(&setup, engine.reference, 1);
            rig.pass(0.5, 60.0);
            black_box(rig.state)
        });
    });
    let facts = Facts {
        rated_rpm: engine.rated_rpm,
        best_snap_delay_s: engine.snap_delay_best_s,
    };
    let mut group = criterion.benchmark_group("sign_off");
    group.sample_size(10);
    group.bench_function("check", |bencher| {
        bencher.iter(|| checks::check(&setup, facts, engine.reference, 1, &Limits::STANDARD, &Waits::STANDARD));
    });
    group.finish();
}

criterion_group!(benches, check);
criterion_main!(benches);
