//! One revolution of the model with its noise and a dozen outputs read: one engine alone, and many abreast in every set of registers
//! that callers can meet. What was wanted against one engine alone in the same run is 9 times as many revolutions a second with AVX-512 and
//! 4.5 times with AVX2; the README says what there is.

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use needlebench::config::reference_setup;
use needlebench::engine::params::Setting;
use needlebench::engine::state::{Controls, Load, Revolution, State};
use needlebench::engine::{Engine, Hands, Next, Run, Setup};
use needlebench::lanes::Instructions;
use needlebench::noise::{Channel, Noise};

/// Revolutions per measurement: about a second of full throttle.
const REVOLUTIONS: u32 = 500;

fn reference() -> (Setup, Setting) {
    let (engine, setup) = reference_setup("offroad-3.5").expect("built in");
    (setup, engine.reference)
}

/// Reads a dozen outputs of every revolution, as a measure does, and counts.
#[derive(Clone, Copy, Default)]
struct Reader {
    sums: [f64; 12],
    turns: u32,
}

impl Reader {
    #[inline(always)]
    fn read(&mut self, state: &State, r: &Revolution) {
        let outputs = [
            r.speed,
            r.duration,
            r.air_in,
            r.fuel_in,
            r.metered_equivalence_ratio,
            r.burnt_share,
            r.shaft_work,
            r.detonation,
            r.opacity,
            r.oil_out,
            state.head_temperature,
            state.film_fuel,
        ];
        for (sum, output) in self.sums.iter_mut().zip(outputs) {
            *sum += output;
        }
    }
}

impl Hands for Reader {
    fn begin(&mut self, _: &mut State, _: &mut Controls) -> Next {
        self.turns = 0;
        Next::On
    }
    #[inline(always)]
    fn turned(&mut self, state: &mut State, revolution: &Revolution, _: &mut Controls) -> Next {
        self.read(state, revolution);
        self.turns += 1;
        if self.turns < REVOLUTIONS { Next::On } else { Next::Done }
    }
}

/// Half throttle on the stand, every engine with its own noise and its own high needle.
fn runs(engine: &Engine, setting: Setting, count: usize) -> Vec<Run<Reader>> {
    (0..count)
        .map(|i| {
            let setting = Setting {
                high_turns: setting.high_turns + i as f64 / 64.0,
                ..setting
            };
            let mut controls = Controls::new(setting, Load::Stand);
            controls.throttle = 0.5;
            Run {
                state: engine.warm_state(400.0),
                controls,
                noise: Noise::new(1, i as u64, Channel::Engine),
                hands: Reader::default(),
            }
        })
        .collect()
}

fn step(criterion: &mut Criterion) {
    let (setup, setting) = reference();
    let engine = Engine::new(&setup);
    let mut group = criterion.benchmark_group("step");
    group.throughput(Throughput::Elements(u64::from(REVOLUTIONS)));
    group.bench_function("alone", |bencher| {
        let mut run = runs(&engine, setting, 1).remove(0);
        bencher.iter(|| {
            for _ in 0..REVOLUTIONS {
                let revolution = engine.step(&mut run.state, black_box(&run.controls), run.noise);
                run.hands.read(&run.state, &revolution);
            }
            black_box(&run.hands.sums);
        });
    });
    for instructions in Instructions::all() {
        let engine = engine.on(instructions);
        for count in [1, 8, 16, 24, 96] {
            group.throughput(Throughput::Elements(u64::from(REVOLUTIONS) * count as u64));
            group.bench_function(BenchmarkId::new(instructions.name(), count), |bencher| {
                let mut runs = runs(&engine, setting, count);
                bencher.iter(|| {
                    engine.play(&mut runs);
                    black_box(&mut runs);
                });
            });
        }
    }
    group.finish();
}

criterion_group!(benches, step);
criterion_main!(benches);
