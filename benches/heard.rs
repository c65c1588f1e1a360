//! What the sign-off measures can be heard, and the plug tells the truth: `cargo bench --bench heard -- [borders N [show] | plug N]`. Prints
//! by check how often its failing is heard, by word of trouble how often it is borne out, and how often a plug is read right.

#[path = "../tests/heard/study.rs"]
mod study;

use needlebench::bench::checks::CheckName;
use needlebench::bench::instruments::PlugColour;
use needlebench::tuning::action::Action;
use needlebench::tuning::episode::Found;
use rayon::prelude::*;
use study::{Listener, Share, Trial, WORDS, fails, fresh, near_a_border, practice_at, speaks, told};

const SITUATIONS: [&str; 5] = [
    "lesson-1",
    "small-engine",
    "big-engine",
    "fuel-change",
    "mountain-track",
];

fn borders(count: u64, show: bool) {
    let fresh: Vec<_> = SITUATIONS
        .iter()
        .flat_map(|name| (1..=4).map(move |seed| (*name, seed)))
        .filter_map(|(name, seed)| fresh(name, seed))
        .collect();
    let trials: Vec<Trial> = (0..count)
        .into_par_iter()
        .map(|n| near_a_border(&fresh[n as usize % fresh.len()], 1, n))
        .collect();
    let told = told(&trials);
    println!(
        "{} practices, {count} settings, {:.0} % of them clean",
        fresh.len(),
        told.clean.percent()
    );
    println!("\nchecks that failed, and words said so");
    for (check, share) in &told.heard {
        println!(
            "  {check:24} {:4} of {:4}  {:5.1} %   fails again with other noise {:5.1} %",
            share.yes,
            share.of,
            share.percent(),
            told.fails_again[check].percent()
        );
    }
    println!("\nwords of trouble, and a check that they speak of failed");
    for (word, share) in &told.borne_out {
        println!(
            "  {word:24} {:4} of {:4}  {:5.1} %",
            share.yes,
            share.of,
            share.percent()
        );
    }
    println!(
        "\nall: {:.1} % of failed checks heard, {:.1} % of words borne out",
        told.all_heard.percent(),
        told.all_borne_out.percent()
    );
    if show {
        for trial in &trials {
            tell(trial);
        }
    }
}

/// What in a trial did not agree: checks that failed unheard, and words with the checks that passed all the same.
fn tell(trial: &Trial) {
    let value = |name: CheckName| trial.report.check(name).map(|c| (name.key(), c.value, c.low, c.high));
    for check in trial.report.checks.iter().filter(|c| !c.pass && !speaks(trial, c.name)) {
        println!(
            "{:+.2?} unheard {:?} words {:?}",
            trial.off,
            value(check.name),
            trial.words
        );
    }
    for (word, checks) in WORDS.iter().filter(|(word, _)| trial.words.contains(word)) {
        let of: Vec<_> = checks.iter().filter_map(|name| value(*name)).collect();
        println!(
            "{:+.2?} {} {word} {of:?}",
            trial.off,
            if fails(trial, checks) { "true" } else { "false" }
        );
    }
}

/// What the plug says after this.
fn plug(listener: &mut Listener) -> Option<PlugColour> {
    listener.act(Action::Plug);
    listener.found.iter().rev().find_map(|found| match found {
        Found::Plug(plug) => Some(plug.colour),
        _ => None,
    })?
}

fn plugs(seeds: u64) {
    let read = |off: f64, warm: bool, idle_ms: u32| -> Vec<Option<PlugColour>> {
        (1..=seeds)
            .into_par_iter()
            .filter_map(|seed| {
                // The others start warm.
                let situation = if warm {
                    SITUATIONS[seed as usize % SITUATIONS.len()]
                } else {
                    "cold-morning"
                };
                fresh(situation, seed)
            })
            .map(|fresh| {
                let mut listener = Listener::new(practice_at(&fresh, [off, 0.0, 0.0]));
                listener.act(Action::Start);
                if warm {
                    listener.act(Action::Laps { laps: 2 });
                }
                listener.act(Action::Hold {
                    position: 1.0,
                    ms: 4000,
                });
                if idle_ms > 0 {
                    listener.act(Action::Wait { ms: idle_ms });
                }
                plug(&mut listener)
            })
            .collect()
    };
    for (what, off, warm, idle_ms, right) in [
        ("at the truth", 0.0, true, 0, Some(PlugColour::Moist)),
        ("1/6 turn rich", 1.0 / 6.0, true, 0, Some(PlugColour::Wet)),
        ("1/6 turn lean", -1.0 / 6.0, true, 0, Some(PlugColour::Pale)),
        ("at the truth, idled on 5 s", 0.0, true, 5000, None),
        ("at the truth, never warmed", 0.0, false, 0, None),
    ] {
        let all = read(off, warm, idle_ms);
        let mut share = Share::default();
        // Specks are lean, whatever the colour beside them.
        let lean = |colour: &Option<PlugColour>| right == Some(PlugColour::Pale) && *colour == Some(PlugColour::Specks);
        all.iter()
            .for_each(|colour| share.count(*colour == right || lean(colour)));
        println!(
            "{what:28} {right:?}: {} of {}  {:.1} %",
            share.yes,
            share.of,
            share.percent()
        );
        for colour in [
            None,
            Some(PlugColour::Pale),
            Some(PlugColour::Moist),
            Some(PlugColour::Wet),
            Some(PlugColour::Specks),
        ] {
            print!("  {colour:?} {}", all.iter().filter(|read| **read == colour).count());
        }
        println!();
    }
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|a| a != "--bench").collect();
    let count = |default| arguments.get(1).and_then(|n| n.parse().ok()).unwrap_or(default);
    match arguments.first().map(String::as_str) {
        Some("borders") => borders(count(500), arguments.len() > 2),
        Some("plug") => plugs(count(200)),
        _ => {
            borders(500, false);
            plugs(200);
        }
    }
}
