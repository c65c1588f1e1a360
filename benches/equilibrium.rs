//! One chemical equilibrium, and one fuel's heat-release curve: the promise is under 50 µs a state, 5 ms a curve.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use needlebench::fluids::equilibrium::{Options, at_constant_pressure, at_constant_volume};
use needlebench::fluids::fuel::{Blend, Fuel};
use needlebench::fluids::heat_release::HeatRelease;
use needlebench::fluids::mixture::Mixture;

fn equilibrium(criterion: &mut Criterion) {
    let options = Options::default();
    let mut group = criterion.benchmark_group("equilibrium");
    for (name, phi) in [
        ("lean", 0.5),
        ("stoichiometric", 1.0),
        ("rich", 1.5),
        ("very_rich", 4.0),
    ] {
        let mixture = Mixture::new(0.1257, phi);
        group.bench_function(format!("constant_volume/{name}"), |bencher| {
            bencher.iter(|| at_constant_volume(black_box(&mixture), 600.0, 8.0e5, &options));
        });
        group.bench_function(format!("constant_pressure/{name}"), |bencher| {
            bencher.iter(|| at_constant_pressure(black_box(&mixture), 298.15, 101_325.0, &options));
        });
    }
    let fuel = Fuel::new(Blend {
        nitro_percent: 16.0,
        oil_percent: 12.0,
        castor_share: 0.3,
    });
    group.bench_function("heat_release_fit", |bencher| {
        bencher.iter(|| HeatRelease::fit(black_box(&fuel)))
    });
    group.finish();
}

criterion_group!(benches, equilibrium);
criterion_main!(benches);
