//! The sound's promises: the same samples however they are taken, nothing beyond a sample's range whatever is heard, silence after
//! the engine, a pulse a revolution, half the firing rate where fires alternate, a pipe that sings higher the hotter it is.

use needlebench::bench::manoeuvre::table::{self, Named, Waits};
use needlebench::bench::player::{Now, Unseen};
use needlebench::bench::rig::Rig;
use needlebench::config::reference_setup;
use needlebench::engine::Setup;
use needlebench::engine::params::Setting;
use needlebench::engine::state::{Charge, Revolution, State};
use needlebench::sound::{RATE_HZ, RATES_HZ, Sound};
use std::f64::consts::TAU;

const RATE: f64 = RATE_HZ as f64;

fn offroad() -> (Setup, Setting) {
    let (model, setup) = reference_setup("offroad-3.5").unwrap();
    (setup, model.reference)
}

/// What has been rendered and not yet taken.
fn taken(sound: &mut Sound) -> Vec<f64> {
    let mut out = vec![0.0; sound.ready()];
    assert_eq!(sound.take(&mut out), out.len());
    out.iter().map(|x| f64::from(*x)).collect()
}

/// A revolution and a state made up: its length, and gas and its temperature as the exhaust opens.
fn made_up(setup: &Setup, duration: f64, exhaust_temperature: f64, pipe_temperature: f64) -> (Revolution, State) {
    let revolution = Revolution {
        duration,
        speed: 1.0 / duration,
        air_in: 2e-6,
        fuel_in: 5e-7,
        exhaust_temperature,
        ..Revolution::default()
    };
    let engine = needlebench::engine::Engine::new(setup);
    let state = State {
        speed: 1.0 / duration,
        pipe_temperature,
        left: Charge {
            air: 0.0,
            fuel: 0.0,
            burnt: 3e-6,
            temperature: exhaust_temperature,
        },
        ..engine.cold_state()
    };
    (revolution, state)
}

/// A second or so of revolutions with these exhaust temperatures in turn.
fn fired(temperatures: &[f64], pipe_temperature: f64, duration: f64) -> Vec<f64> {
    let (setup, _) = offroad();
    let mut sound = Sound::new(RATE_HZ, &setup, 1);
    let mut samples = Vec::new();
    for temperature in temperatures.iter().cycle().take((1.2 / duration) as usize) {
        let (revolution, state) = made_up(&setup, duration, *temperature, pipe_temperature);
        sound.hear(0.0, &revolution, &state);
        samples.extend(taken(&mut sound));
    }
    // The beginning rings in.
    samples.split_off((0.2 * RATE) as usize)
}

fn root_mean_square(x: &[f64]) -> f64 {
    (x.iter().map(|x| x * x).sum::<f64>() / x.len() as f64).sqrt()
}

/// How high a line stands, by correlation with it over a Hann window.
fn line(x: &[f64], hz: f64) -> f64 {
    let step = TAU * hz / RATE;
    let (mut re, mut im) = (0.0, 0.0);
    for (k, x) in x.iter().enumerate() {
        let window = 1.0 - (TAU * k as f64 / 48_000.0_f64.min(RATE)).cos();
        re += x * window * (step * k as f64).cos();
        im += x * window * (step * k as f64).sin();
    }
    2.0 * (re * re + im * im).sqrt() / x.len() as f64
}

/// Plays a named manoeuvre and hears it all.
fn heard(engine: &str, named: Named, turn: impl Fn(Setting) -> Setting) -> Vec<f64> {
    let (model, setup) = reference_setup(engine).unwrap();
    let waits = Waits::rated(model.rated_rpm);
    let mut rig = Rig::warm(&setup, turn(model.reference), 3);
    rig.play(&table::settle(&waits), Unseen);
    let mut sound = Sound::new(RATE_HZ, &setup, 3);
    let mut samples = Vec::new();
    let _ = rig.play(&named.shown(&waits), |now: &Now, r: &Revolution, s: &State| {
        sound.hear(now.throttle, r, s);
        samples.extend(taken(&mut sound));
    });
    samples
}

#[test]
fn however_it_is_taken_it_is_the_same_to_the_bit() {
    let (setup, setting) = offroad();
    let render = |block: usize, wait: usize| {
        let mut rig = Rig::warm(&setup, setting, 4);
        let mut sound = Sound::new(RATE_HZ, &setup, 4);
        let mut out: Vec<u32> = Vec::new();
        let mut buffer = vec![0.0; block];
        let mut turns = 0;
        rig.hold(0.4, 1.5, |_, r, s| {
            sound.hear(0.4, r, s);
            turns += 1;
            if turns % wait == 0 {
                loop {
                    let count = sound.take(&mut buffer);
                    out.extend(buffer[..count].iter().map(|x| x.to_bits()));
                    if count < block {
                        break;
                    }
                }
            }
        });
        sound.still(0.1);
        out.extend(taken(&mut sound).iter().map(|x| (*x as f32).to_bits()));
        out
    };
    let one = render(1, 1);
    assert!(one.len() > 70_000);
    for (block, wait) in [(7, 1), (128, 3), (100_000, 50)] {
        assert!(render(block, wait) == one, "blocks of {block} every {wait}");
    }
}

#[test]
fn time_does_not_drift_at_any_rate() {
    let (setup, _) = offroad();
    for rate in [*RATES_HZ.start(), 11_025, 44_100, RATE_HZ, *RATES_HZ.end()] {
        let mut sound = Sound::new(rate, &setup, 1);
        let (duration, turns) = (1.0 / 307.0, 3070);
        let mut count = 0;
        let mut loudest: f64 = 0.0;
        for _ in 0..turns {
            let (revolution, state) = made_up(&setup, duration, 1000.0, 500.0);
            sound.hear(1.0, &revolution, &state);
            let samples = taken(&mut sound);
            count += samples.len();
            loudest = samples.iter().fold(loudest, |most, x| most.max(x.abs()));
        }
        assert!(count.abs_diff(10 * rate as usize) <= 1, "{rate}: {count}");
        assert!(loudest > 0.01 && loudest < 1.0, "{rate}: {loudest}");
    }
}

#[test]
fn no_manoeuvre_leaves_a_samples_range_nor_is_bent_at_its_reference() {
    for engine in ["onroad-2.1", "offroad-3.5", "truggy-4.6"] {
        let mut loudest: f64 = 0.0;
        for named in [
            Named::RollOn,
            Named::Burst,
            Named::Snap,
            Named::Half,
            Named::Pinch,
            Named::Laps,
        ] {
            let samples = heard(engine, named, |setting| setting);
            let own = samples.iter().fold(0.0_f64, |most, x| most.max(x.abs()));
            // The limiter begins at 0.7: a knock on the track may reach it.
            let bent = samples.iter().filter(|x| x.abs() > 0.7).count();
            println!("{engine} {named:?}: loudest sample {own:.3}, {bent} bent");
            assert!(own < 1.0, "{engine} {named:?}");
            let may = if named == Named::Laps { samples.len() / 1_000 } else { 0 };
            assert!(bent <= may, "{engine} {named:?}: {bent}");
            let mean = samples.iter().sum::<f64>() / samples.len() as f64;
            assert!(mean.abs() < 1e-4, "{engine} {named:?}: {mean}");
            loudest = loudest.max(own);
        }
        assert!(loudest > 0.3, "{engine}: {loudest}");
    }
}

#[test]
fn off_its_setting_it_stays_within_a_samples_range() {
    for (high, low) in [(-1.0, -0.5), (1.0, 0.5), (-0.5, 0.0), (4.0, 3.0)] {
        let turned = |setting: Setting| Setting {
            high_turns: setting.high_turns + high,
            low_turns: setting.low_turns + low,
            ..setting
        };
        let samples = heard("offroad-3.5", Named::Snap, turned);
        assert!(samples.iter().all(|x| x.abs() < 1.0), "{high} {low}");
    }
}

#[test]
fn whatever_is_handed_in_gives_samples() {
    let (setup, _) = offroad();
    let (good, state) = made_up(&setup, 0.002, 1000.0, 500.0);
    for rate in [0, *RATES_HZ.start(), RATE_HZ, u32::MAX] {
        let mut sound = Sound::new(rate, &setup, u64::MAX);
        for wrong in [
            f64::NAN,
            f64::INFINITY,
            f64::NEG_INFINITY,
            -1.0,
            0.0,
            1e300,
            1e-300,
            1.0,
        ] {
            let mut bad = good;
            for field in 0..8 {
                match field {
                    0 => bad.duration = wrong,
                    1 => bad.heat = wrong,
                    2 => bad.exhaust_temperature = wrong,
                    3 => bad.detonation = wrong,
                    4 => bad.phase_error_deg = wrong,
                    5 => bad.air_in = wrong,
                    6 => bad.fuel_in = wrong,
                    _ => bad = good.each(|_| wrong),
                }
                let worse = state.each(|_| wrong);
                for (r, s) in [(&bad, &state), (&good, &worse), (&bad, &worse)] {
                    for _ in 0..3 {
                        sound.hear(wrong, r, s);
                        sound.hear(1.0, &good, &state);
                    }
                }
                sound.still(wrong);
                assert!(
                    taken(&mut sound).iter().all(|x| x.abs() < 1.0),
                    "{wrong} in {field} at {rate} Hz"
                );
            }
        }
        // And it sounds again as if nothing had been.
        for _ in 0..1000 {
            sound.hear(1.0, &good, &state);
        }
        let loud = root_mean_square(&taken(&mut sound)[1000..]);
        assert!((0.005..0.3).contains(&loud), "{loud} at {rate} Hz");
    }
}

#[test]
fn nobody_takes_it_and_the_oldest_is_let_go() {
    let (setup, _) = offroad();
    let mut sound = Sound::new(RATE_HZ, &setup, 1);
    let mut all = Sound::new(RATE_HZ, &setup, 1);
    let mut last = Vec::new();
    for _ in 0..2_000 {
        let (revolution, state) = made_up(&setup, 0.002, 1000.0, 500.0);
        sound.hear(1.0, &revolution, &state);
        all.hear(1.0, &revolution, &state);
        last.extend(taken(&mut all));
    }
    let kept = taken(&mut sound);
    assert_eq!(kept.len(), 2 * RATE_HZ as usize);
    assert!(kept == last[last.len() - kept.len()..]);
}

#[test]
fn it_falls_silent_after_the_engine() {
    let (setup, setting) = offroad();
    let mut rig = Rig::warm(&setup, setting, 1);
    let mut sound = Sound::new(RATE_HZ, &setup, 1);
    rig.hold(1.0, 1.0, |_, r, s| sound.hear(1.0, r, s));
    assert!(root_mean_square(&taken(&mut sound)) > 0.03);
    sound.still(1.0);
    let rest = taken(&mut sound);
    assert_eq!(rest.len(), RATE_HZ as usize);
    // It rings at first, and then there is nothing at all.
    assert!(rest[..200].iter().any(|x| x.abs() > 1e-3));
    assert!(rest[RATE_HZ as usize / 2..].iter().all(|x| *x == 0.0));
    // A dead engine's steps are heard as that.
    let dead = Revolution {
        duration: 0.02,
        ..Revolution::default()
    };
    sound.hear(1.0, &dead, &rig.state);
    assert!(taken(&mut sound).iter().all(|x| *x == 0.0));
}

#[test]
fn there_is_a_pulse_for_every_revolution() {
    let duration = 1.0 / 150.0;
    let samples = fired(&[1100.0], 500.0, duration);
    let highest = samples.iter().copied().fold(0.0, f64::max);
    // A pulse stands above half the highest, once within each half revolution.
    let (mut pulses, mut quiet) = (0, 0.0);
    for x in &samples {
        quiet += 1.0;
        if *x > 0.5 * highest && quiet > 0.5 * duration * RATE {
            pulses += 1;
            quiet = 0.0;
        }
    }
    let turns = samples.len() as f64 / RATE / duration;
    assert!(
        (f64::from(pulses) - turns).abs() <= 1.0,
        "{pulses} pulses, {turns} revolutions"
    );
}

#[test]
fn alternate_firing_alone_sounds_at_half_the_rate() {
    let duration = 1.0 / 200.0;
    // A line and its neighbours at odd halves of the firing rate, against the even ones: low ones, and those that a small
    // speaker gives.
    let odd_over_even = |temperatures: &[f64], from: u32| {
        let samples = fired(temperatures, 500.0, duration);
        let sum = |odd: u32| -> f64 {
            (from..from + 6)
                .map(|k| line(&samples, 100.0 * f64::from(2 * k + odd)))
                .sum()
        };
        sum(1) / sum(0)
    };
    for from in [1, 5] {
        let steady = odd_over_even(&[1100.0], from);
        let alternating = odd_over_even(&[1100.0, 480.0], from);
        println!(
            "odd halves of the firing rate over even from {} Hz: steady {steady:.4}, alternating {alternating:.3}",
            from * 200
        );
        assert!(steady < 0.02 && alternating > 0.3, "{steady} {alternating}");
    }
}

#[test]
fn a_miss_is_nearly_silent_and_a_hot_late_burn_is_loudest() {
    let duration = 1.0 / 200.0;
    let loud = |temperature| root_mean_square(&fired(&[temperature], 500.0, duration));
    let (miss, early, late) = (loud(450.0), loud(950.0), loud(1150.0));
    assert!(miss < 0.35 * early && early < 0.9 * late, "{miss} {early} {late}");
    // Its rise is steeper, too, and not only as much as it is louder.
    let treble = |temperature: f64| {
        let samples = fired(&[temperature], 500.0, duration);
        let rise: Vec<f64> = samples.windows(2).map(|x| x[1] - x[0]).collect();
        root_mean_square(&rise) / root_mean_square(&samples)
    };
    assert!(
        treble(1150.0) > 1.01 * treble(950.0),
        "{} {}",
        treble(1150.0),
        treble(950.0)
    );
}

#[test]
fn a_hotter_pipe_resonates_higher() {
    // Slow pulses draw the pipe's first two resonances line by line.
    let step = 40.0;
    let notes = |temperature: f64| {
        let samples = fired(&[1100.0], temperature, 1.0 / step);
        let highest = |from: u32, to: u32| {
            let lines = (from..to).map(|k| step * f64::from(k));
            let found = lines
                .map(|hz| (hz, line(&samples, hz)))
                .max_by(|a, b| a.1.total_cmp(&b.1));
            found.unwrap().0
        };
        [highest(12, 25), highest(29, 49)]
    };
    let (cold, hot) = (notes(400.0), notes(600.0));
    // As the speed of sound, by the root of the temperature; lines stand 3 to 5 % apart.
    let expected = (600.0_f64 / 400.0).sqrt();
    println!("the pipe's notes: {cold:?} Hz at 400 K, {hot:?} Hz at 600 K; expected {expected:.3} times as high");
    for (cold, hot) in cold.iter().zip(hot) {
        assert!((hot / cold - expected).abs() < 0.06, "{cold} {hot}");
    }
}

#[test]
fn idle_is_softer_than_full_throttle_and_audible_on_a_small_speaker() {
    let idle = heard("offroad-3.5", Named::Idle, |s| s);
    let burst = heard("offroad-3.5", Named::Burst, |s| s);
    // The burst of `run` idles twelve seconds first, then opens for 1.5 s.
    let full = &burst[(12.7 * RATE) as usize..(13.4 * RATE) as usize];
    let (idle, full) = (root_mean_square(&idle), root_mean_square(full));
    let apart_db = 20.0 * (full / idle).log10();
    println!(
        "idle {:.1} dB of full scale, full throttle {apart_db:.1} dB above it",
        20.0 * idle.log10()
    );
    assert!((9.0..25.0).contains(&apart_db) && idle > 0.01, "{idle} {full}");
}
