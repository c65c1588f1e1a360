//! The sound of an engine, rendered: how many times faster than it sounds, at idle and at 30 000 rpm, on one core. The promise is at
//! least 100 times; the revolutions are simulated before, and every sample is taken.

use std::hint::black_box;
use std::time::Instant;

use needlebench::bench::manoeuvre::table::{self, Waits};
use needlebench::bench::manoeuvre::{Manoeuvre, Segment};
use needlebench::bench::player::{Now, Unseen};
use needlebench::bench::rig::Rig;
use needlebench::config::reference_setup;
use needlebench::engine::state::{Load, Revolution, State};
use needlebench::sound::{RATE_HZ, Sound};

/// Length of what is rendered, s, and how often.
const SECONDS: f64 = 20.0;
const TIMES: usize = 7;

pub fn main() {
    let (model, setup) = reference_setup("offroad-3.5").expect("built in");
    let waits = Waits::rated(model.rated_rpm);
    let idle = Manoeuvre::from([Segment::hold(0.0, SECONDS)]);
    let full = Manoeuvre::from([Segment::hold(1.0, SECONDS).load(Load::Brake(500.0))]);
    for (name, throttle, manoeuvre) in [("idle", 0.0, idle), ("30 000 rpm", 1.0, full)] {
        let mut rig = Rig::warm(&setup, model.reference, 1);
        rig.play(&table::settle(&waits), Unseen);
        let mut turns: Vec<(Revolution, State)> = Vec::new();
        let _ = rig.play(&manoeuvre, |_: &Now, r: &Revolution, s: &State| turns.push((*r, *s)));
        let seconds: f64 = turns.iter().map(|(r, _)| r.duration).sum();
        let mut block = vec![0.0_f32; RATE_HZ as usize];
        let mut ratios: Vec<f64> = (0..TIMES)
            .map(|_| {
                let mut sound = Sound::new(RATE_HZ, &setup, 1);
                let (mut count, mut sum) = (0, 0.0);
                let start = Instant::now();
                for (revolution, state) in &turns {
                    sound.hear(throttle, revolution, state);
                    let taken = sound.take(&mut block);
                    count += taken;
                    sum += block[..taken].iter().map(|x| x * x).sum::<f32>();
                }
                let ratio = seconds / start.elapsed().as_secs_f64();
                black_box(sum);
                assert!(count.abs_diff((seconds * f64::from(RATE_HZ)) as usize) <= 1);
                ratio
            })
            .collect();
        ratios.sort_by(f64::total_cmp);
        println!(
            "{name}: {:.0} times real time ({:.0} to {:.0} of {TIMES}), {:.0} ns a sample",
            ratios[TIMES / 2],
            ratios[0],
            ratios[TIMES - 1],
            1e9 / (ratios[TIMES / 2] * f64::from(RATE_HZ)),
        );
    }
}
