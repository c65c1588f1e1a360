//! Is of what is said to be so likely so much so? `cargo bench --bench advise -- [--engines 1000] [--seed 4001]`: hidden engines of the club
//! day, none of them among those that advice is drawn from, go through one round of tests at club skill; what was found is told, all of it
//! and four findings of it. Prints by how sure it was said how often it was so, and where it was not known.

use std::time::Instant;

use needlebench::insight::advise::engines::beliefs;
use needlebench::insight::advise::{Seen, advise};
use needlebench::tuning::episode::{Episode, LOOKED_AT, stands};
use needlebench::tuning::human::Skill;
use needlebench::tuning::lookahead::library::shown;
use needlebench::tuning::scenario::{Scenario, built_in};
use rayon::prelude::*;

/// How sure it was said, and how often it was so.
#[derive(Clone, Copy, Default)]
struct Band {
    said: u32,
    so: u32,
}

/// Bands of a tenth.
#[derive(Default)]
struct Bands([Band; 10]);

impl Bands {
    fn take(&mut self, sure: f64, so: bool) {
        let band = &mut self.0[((sure * 10.0) as usize).min(9)];
        band.said += 1;
        band.so += u32::from(so);
    }

    fn print(&self, of: &str) {
        println!("\n{of}");
        let all: u32 = self.0.iter().map(|band| band.said).sum();
        for (tenth, band) in self.0.iter().enumerate().filter(|(_, band)| band.said > 0) {
            println!(
                "  said {:2}..{:3} % sure: {:5} times, so {:5.1} %",
                10 * tenth,
                10 * tenth + 10,
                band.said,
                100.0 * f64::from(band.so) / f64::from(band.said)
            );
        }
        let sure: u32 = self.0[7..].iter().map(|band| band.said).sum();
        println!(
            "  above 70 % sure: {:.1} %",
            100.0 * f64::from(sure) / f64::from(all.max(1))
        );
    }
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let number = |flag: &str, otherwise: u64| {
        let at = arguments.iter().position(|argument| argument == flag);
        at.and_then(|at| arguments.get(at + 1)?.parse().ok())
            .unwrap_or(otherwise)
    };
    let (engines, seed) = (number("--engines", 100), number("--seed", 4001));
    let scenario = Scenario::read(&built_in("club-day").expect("built in")).expect("built in");
    let began = Instant::now();
    let beliefs = beliefs(&scenario).expect("a clean setting");
    println!("{} beliefs in {:.2} s", beliefs.len(), began.elapsed().as_secs_f64());
    let hidden: Vec<_> = (0..engines)
        .into_par_iter()
        .filter_map(|number| {
            let episode = Episode::reset_for(&scenario, seed, number, Skill::Club).ok()?;
            let (start, truth) = (episode.hidden.start, episode.hidden.truth);
            let off = [start.high_turns - truth.high_turns, start.low_turns - truth.low_turns];
            let fault = episode.hidden.drawn.fault.map(|fault| fault.part);
            // What a look shows is put right before anything is heard.
            if fault.is_some_and(|part| LOOKED_AT.contains(&part)) {
                return None;
            }
            let signs = shown(vec![episode], scenario.limits).remove(0);
            Some((off, fault, signs))
        })
        .collect();
    for few in [false, true] {
        let (mut ends, mut parts) = (Bands::default(), Bands::default());
        let mut odd = 0;
        for (number, (off, fault, signs)) in hidden.iter().enumerate() {
            let words = signs.words.iter().enumerate();
            let mut seen: Vec<Seen> = words
                .filter_map(|(finding, word)| {
                    Some(Seen {
                        finding,
                        word: (*word)?,
                    })
                })
                .collect();
            if few {
                // Any four of them, others for each engine.
                seen = (0..4.min(seen.len()))
                    .map(|k| seen[(number + 5 * k) % seen.len()])
                    .collect();
                seen.dedup();
            }
            let advice = advise(&beliefs, &seen, true);
            odd += u32::from(!advice.contradicts.is_empty());
            for (end, off) in [advice.high, advice.low].into_iter().zip(off) {
                let (said, sure) = end.likeliest();
                ends.take(sure, said == stands(*off));
            }
            let at_fault: f64 = advice.faults.iter().map(|fault| fault.probability).sum();
            parts.take(at_fault.max(1.0 - at_fault), (at_fault > 0.5) == fault.is_some());
        }
        let which = if few { "four findings" } else { "all findings" };
        ends.print(&format!("{which} of {} engines: how an end stands", hidden.len()));
        parts.print(&format!("{which}: whether a part is at fault"));
        println!("  said not to go together: {odd}");
    }
}
