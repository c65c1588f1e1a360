//! The ear test: from samples alone, at the same speed and loudness, a plain classifier tells a rich, a clean and a lean engine
//! apart on seeds that it has not met, also through a small speaker; and a detonating one from a clean one. What speed alone would
//! tell stands beside it.

mod listen;
mod stretch;
mod tell;

use listen::{bands, features, high_passed, rhythm};
use needlebench::config::reference_setup;
use needlebench::sound::RATE_HZ;
use stretch::{Bench, CLEAN, DETONATING, LEAN, RICH, Stretch, Where};
use tell::Teller;

const TRAINING: std::ops::RangeInclusive<u64> = 401..=410;
const HELD_OUT: std::ops::RangeInclusive<u64> = 501..=508;
const RATE: f64 = RATE_HZ as f64;

/// Stretches of classes, by class and seed.
fn stretches(
    bench: &Bench,
    place: Where,
    classes: &[(f64, f64)],
    seeds: std::ops::RangeInclusive<u64>,
) -> Vec<(usize, Stretch)> {
    let places = classes.iter().enumerate();
    places
        .flat_map(|(class, off)| seeds.clone().map(move |seed| (class, seed, *off)))
        .map(|(class, seed, off)| (class, bench.stretch(place, off, seed)))
        .collect()
}

/// How far the classes' mean speeds lie apart, of their mean.
fn speeds_apart(heard: &[(usize, Stretch)], classes: usize) -> f64 {
    let means: Vec<f64> = (0..classes)
        .map(|class| {
            let own: Vec<f64> = heard
                .iter()
                .filter(|(c, _)| *c == class)
                .map(|(_, s)| s.speed)
                .collect();
            own.iter().sum::<f64>() / own.len() as f64
        })
        .collect();
    let most = means.iter().copied().fold(f64::MIN, f64::max);
    let least = means.iter().copied().fold(f64::MAX, f64::min);
    (most - least) / (0.5 * (most + least))
}

/// What was told of held-out seeds: full range, through the small speaker, and by speed alone.
struct Told {
    full: f64,
    small: f64,
    speed: f64,
    apart: f64,
    /// By how much the last two classes differ in the band in which they differ most, dB at the same loudness.
    band_db: f64,
}

/// By how much the last two classes differ in the band in which they differ most, dB.
fn band_difference_db(examples: &[(usize, Vec<f64>)], classes: usize) -> f64 {
    let mean = |class: usize, band: usize| {
        let own: Vec<f64> = examples
            .iter()
            .filter(|(c, _)| *c == class)
            .map(|(_, x)| x[band])
            .collect();
        own.iter().sum::<f64>() / own.len() as f64
    };
    let nepers = (0..bands(0.0)).map(|band| (mean(classes - 1, band) - mean(classes - 2, band)).abs());
    nepers.fold(0.0, f64::max) * 10.0 / std::f64::consts::LN_10
}

fn told(bench: &Bench, place: Where, classes: &[(f64, f64)]) -> Told {
    let (mark, _) = bench.mark(place);
    let (known, new) = (
        stretches(bench, place, classes, TRAINING),
        stretches(bench, place, classes, HELD_OUT),
    );
    let heard: Vec<(usize, Vec<f64>)> = known
        .iter()
        .map(|(class, s)| (*class, features(&s.samples, RATE, mark, 0.0)))
        .collect();
    let share = |of: &dyn Fn(&[f64]) -> Vec<f64>| {
        let examples = |heard: &[(usize, Stretch)]| -> Vec<(usize, Vec<f64>)> {
            heard.iter().map(|(class, s)| (*class, of(&s.samples))).collect()
        };
        Teller::train(&examples(&known)).share_right(&examples(&new))
    };
    Told {
        full: share(&|x| features(x, RATE, mark, 0.0)),
        small: share(&|x| features(&high_passed(x, RATE, 300.0), RATE, mark, 300.0)),
        speed: share(&|x| vec![rhythm(x, RATE, mark).rate_hz]),
        band_db: band_difference_db(&heard, classes.len()),
        apart: speeds_apart(&known, classes.len()).max(speeds_apart(&new, classes.len())),
    }
}

fn print(engine: &str, place: Where, told: &Told) {
    println!(
        "{engine} {place:?}: {:.0} % right, {:.0} % through a 300 Hz high-pass, {:.0} % by speed alone; speeds within \
         {:.2} %; the leaner two differ by up to {:.1} dB in a band",
        100.0 * told.full,
        100.0 * told.small,
        100.0 * told.speed,
        100.0 * told.apart,
        told.band_db,
    );
}

fn mixture_is_heard(engine: &str) {
    let (model, setup) = reference_setup(engine).unwrap();
    let bench = Bench::new(&model, &setup);
    for place in [Where::AfterBurst, Where::Snap, Where::Half, Where::Full] {
        let told = told(&bench, place, &[RICH, CLEAN, LEAN]);
        print(engine, place, &told);
        assert!(told.apart <= 0.03, "speeds differ by {}", told.apart);
        assert!(told.full >= 0.9 && told.small >= 0.9);
    }
    // Stated, not asked for.
    let idle = told(&bench, Where::Idle, &[CLEAN, LEAN]);
    print(engine, Where::Idle, &idle);
}

#[test]
fn rich_clean_and_lean_are_told_apart_offroad() {
    mixture_is_heard("offroad-3.5");
}

#[test]
fn rich_clean_and_lean_are_told_apart_onroad() {
    mixture_is_heard("onroad-2.1");
}

#[test]
fn rich_clean_and_lean_are_told_apart_truggy() {
    mixture_is_heard("truggy-4.6");
}

#[test]
fn detonating_is_told_from_clean() {
    for engine in ["offroad-3.5", "onroad-2.1", "truggy-4.6"] {
        let (model, setup) = reference_setup(engine).unwrap();
        let bench = Bench::new(&model, &setup);
        let index = |off| bench.stretch(Where::Full, off, 501).detonation;
        let (clean, detonating) = (index(CLEAN), index(DETONATING));
        println!("{engine}: detonation index {clean:.4} clean, {detonating:.4} a half turn lean");
        assert!(clean == 0.0 && detonating > 0.0);
        let told = told(&bench, Where::Full, &[CLEAN, DETONATING]);
        print(engine, Where::Full, &told);
        assert!(told.full >= 0.95 && told.small >= 0.95);
    }
}
