//! One revolution of the model with its noise, alone and in lanes: the promise is under 200 ns alone and at least four times as
//! many revolutions per second in the best width.

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use needlebench::config::reference_setup;
use needlebench::engine::params::Setting;
use needlebench::engine::state::{Controls, Load};
use needlebench::engine::{Engine, Setup, run_abreast};
use needlebench::noise::{Channel, Noise};

/// Revolutions per measurement: about a second of full throttle.
const REVOLUTIONS: usize = 500;

fn reference() -> (Setup, Setting) {
    let (engine, setup) = reference_setup("offroad-3.5").expect("built in");
    (setup, engine.reference)
}

/// Half throttle on the stand, every lane with its own noise and its own high needle.
fn engines<const N: usize>(setup: &Setup, setting: Setting) -> (Engine<N>, Controls<N>, [Noise; N]) {
    let settings = std::array::from_fn(|i| Setting {
        high_turns: setting.high_turns + i as f64 / 64.0,
        ..setting
    });
    let mut controls = Controls::new(&settings, Load::Stand);
    controls.throttle = needlebench::lanes::Lanes::splat(0.5);
    let noise = std::array::from_fn(|i| Noise::new(1, i as u64, Channel::Engine));
    (Engine::new(&[*setup; N]), controls, noise)
}

fn abreast<const N: usize>(criterion: &mut Criterion, setup: &Setup, setting: Setting) {
    let (engine, controls, noise) = engines::<N>(setup, setting);
    let mut group = criterion.benchmark_group("step");
    group.throughput(Throughput::Elements((N * REVOLUTIONS) as u64));
    group.bench_function(BenchmarkId::new("abreast", N), |bencher| {
        let mut state = engine.warm_state(400.0);
        bencher.iter(|| run_abreast(&engine, &mut state, black_box(&controls), &noise, REVOLUTIONS));
    });
    group.finish();
}

fn step(criterion: &mut Criterion) {
    let (setup, setting) = reference();
    let (engine, controls, noise) = engines::<1>(&setup, setting);
    let mut group = criterion.benchmark_group("step");
    group.throughput(Throughput::Elements(REVOLUTIONS as u64));
    group.bench_function("alone", |bencher| {
        let mut state = engine.warm_state(400.0);
        bencher.iter(|| {
            for _ in 0..REVOLUTIONS {
                black_box(engine.step(&mut state, black_box(&controls), &noise));
            }
        });
    });
    group.finish();
    abreast::<4>(criterion, &setup, setting);
    abreast::<8>(criterion, &setup, setting);
}

criterion_group!(benches, step);
criterion_main!(benches);
