//! What a user waits for: the whole sign-off with the best snap that it is held against (promised under 60 ms), a simulated minute (0.1 s), and the start-up with the fit of
//! the fuel's heat release (50 ms).

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use needlebench::bench::checks::{self, Facts, Limits};
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::rig::Rig;
use needlebench::config::reference_setup;
use needlebench::engine::Engine;

fn check(criterion: &mut Criterion) {
    criterion.bench_function("start_up", |bencher| {
        bencher.iter(|| {
            // Files, fuel and engine, as a command does it.
            let (_, setup) = reference_setup("offroad-3.5").expect("built in");
            black_box(Engine::new(&setup))
        });
    });
    let (engine, setup) = reference_setup("offroad-3.5").expect("built in");
    criterion.bench_function("run_60_s", |bencher| {
        bencher.iter(|| {
            let mut rig = Rig::warm(&setup, engine.reference, 1);
            rig.pass(0.5, 60.0);
            black_box(rig.state)
        });
    });
    let mut group = criterion.benchmark_group("sign_off");
    group.sample_size(10);
    group.bench_function("check", |bencher| {
        bencher.iter(|| {
            let facts = Facts::of(&engine, &setup);
            checks::check(&setup, facts, engine.reference, 1, &Limits::STANDARD, &Waits::STANDARD)
        });
    });
    group.bench_function("best_snap", |bencher| bencher.iter(|| Facts::of(&engine, &setup)));
    let facts = Facts::of(&engine, &setup);
    group.bench_function("check_8_abreast", |bencher| {
        bencher.iter(|| {
            let mut lab = checks::lab(Engine::new(&setup), &setup, facts, &Waits::STANDARD);
            let case = |seed| (lab.add_warm(engine.reference, seed), engine.reference, seed);
            let cases: Vec<_> = (1..=8).map(case).collect();
            checks::check_in(&mut lab, &cases, &setup, facts, &Limits::STANDARD)
        });
    });
    group.finish();
}

criterion_group!(benches, check);
criterion_main!(benches);
