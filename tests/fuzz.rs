//! A short run of the fuzz bench (`benches/fuzz.rs`), and that it would find what it looks for. It has no harness: it holds
//! standard output, the working folder and what a panic says, all of which belong to the whole process.

#[allow(
    dead_code,
    unused_imports,
    reason = "the program's own, of which only some is tried here"
)]
#[path = "../src/cli/mod.rs"]
mod cli;
#[allow(dead_code, reason = "the bench's own, of which only some is needed here")]
#[path = "../benches/fuzz/mod.rs"]
mod fuzz;

use std::time::Duration;

use fuzz::draw::Draw;
use fuzz::tally::{Limits, run};
use fuzz::{KINDS, Kind, Outcome, Subject};

/// Panics at every tenth input, and is at fault at every seventh.
struct Bad(u64);

impl Subject for Bad {
    fn attempt(&mut self, draw: &mut Draw, shown: &mut String) -> Outcome {
        self.0 += 1;
        *shown = draw.below(10).to_string();
        assert_ne!(self.0, 10, "a mistake on purpose");
        Outcome {
            tried: 1,
            parsed: u64::from(self.0.is_multiple_of(3)),
            fault: (self.0 == 7).then(|| "at fault on purpose".to_string()),
            ..Outcome::default()
        }
    }
}

/// So many tries and no more: the same ones each time, however busy the machine is.
fn tries(tries: u64) -> Limits {
    Limits {
        time: Duration::MAX,
        tries,
        patience: Duration::from_secs(60),
    }
}

fn what_is_bad_is_found() {
    let bad = Kind {
        name: "bad",
        make: || Box::new(Bad(0)),
    };
    let found = run(bad, 1, 0, tries(40));
    assert_eq!((found.tried, found.panics, found.faults), (40, 4, 4));
    let told = |what: &str| found.told.iter().any(|told| told.contains(what));
    assert!(told("bad 9: ") && told("a mistake on purpose"), "{:#?}", found.told);
    assert!(told("bad 6: at fault on purpose\n"), "{:#?}", found.told);
    assert!(found.parsed_share() < 0.5);
    let hasty = Limits {
        patience: Duration::ZERO,
        ..tries(4)
    };
    assert_eq!(run(bad, 1, 0, hasty).faults, 4);
}

fn a_short_run_finds_nothing() {
    for kind in KINDS {
        let found = run(
            *kind,
            1,
            0,
            tries(match kind.name {
                "files" | "lines" | "flags" => 800,
                "recordings" => 4,
                "corners" => 300,
                _ => 2000,
            }),
        );
        println!("{found}");
        assert!(found.panics == 0 && found.faults == 0, "{:#?}", found.told);
        assert!(
            found.parsed_share() >= 0.5,
            "mild changes get past the first parse: {found}"
        );
        assert!(found.refused < found.tried, "{found}");
    }
}

fn the_same_seed_and_number_draw_the_same() {
    let text = "a = 1.5\nb = [2, 3]\n# four\n";
    let drawn = |seed, number| Draw::new(seed, "files", number).change(text);
    for number in 0..100 {
        assert_eq!(drawn(1, number), drawn(1, number));
    }
    let changed = (0..100).filter(|number| drawn(1, *number) != text).count();
    assert!(changed > 80, "{changed}");
    assert!((0..100).any(|number| drawn(1, number) != drawn(2, number)));
}

#[cfg(unix)]
fn main() {
    the_same_seed_and_number_draw_the_same();
    what_is_bad_is_found();
    a_short_run_finds_nothing();
}

#[cfg(not(unix))]
fn main() {}
