//! Tries inputs until time or number runs out, and counts what came of them: a panic is caught, told with its input's number and
//! gone on after.

use std::cell::RefCell;
use std::fmt;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

use super::Kind;
use super::draw::Draw;

/// Faults told of one kind; the rest are counted.
const TOLD: usize = 10;

/// When to stop, whichever comes first.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Time of one kind.
    pub time: Duration,
    /// What is tried of one kind, at least.
    pub tries: u64,
    /// Longest that one input may take.
    pub patience: Duration,
}

/// What came of the inputs of one kind.
#[derive(Debug, Default)]
pub struct Tally {
    /// The kind.
    pub kind: &'static str,
    /// Inputs, each of one try or more.
    pub inputs: u64,
    /// What was tried.
    pub tried: u64,
    /// What got past the first parse.
    pub parsed: u64,
    /// What was refused, there or later.
    pub refused: u64,
    /// Revolutions of an engine.
    pub revolutions: u64,
    /// Panics.
    pub panics: u64,
    /// Other faults: numbers that are none, messages that say nothing, what took longer than it may.
    pub faults: u64,
    /// The first of both, in words.
    pub told: Vec<String>,
    /// The longest that an input took, and its number.
    pub slowest: (Duration, u64),
    /// The last input.
    pub last: String,
}

impl Tally {
    /// Share past the first parse.
    pub fn parsed_share(&self) -> f64 {
        self.parsed as f64 / self.tried.max(1) as f64
    }

    fn tell(&mut self, number: u64, what: &str, input: &str) {
        if self.told.len() < TOLD {
            let input: String = input.chars().take(2000).collect();
            self.told
                .push(format!("{} {number}: {what}\n{}", self.kind, input.escape_debug()));
        }
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:10} tried {:>9}, {:3.0} % past the first parse, refused {:>9}, panics {}, other faults {}, slowest {:.1} ms (input {})",
            self.kind,
            self.tried,
            100.0 * self.parsed_share(),
            self.refused,
            self.panics,
            self.faults,
            self.slowest.0.as_secs_f64() * 1e3,
            self.slowest.1,
        )?;
        if self.revolutions > 0 {
            write!(f, ", {:.2} M revolutions", self.revolutions as f64 / 1e6)?;
        }
        Ok(())
    }
}

thread_local! {
    /// What the last panic of this thread said, and where.
    static SAID: RefCell<String> = const { RefCell::new(String::new()) };
}

/// Works with panics kept quiet: what they say is kept, not printed.
fn quietly<T>(work: impl FnOnce() -> T) -> T {
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(|panic| SAID.with_borrow_mut(|said| *said = panic.to_string())));
    let done = work();
    std::panic::set_hook(before);
    done
}

/// Tries inputs of a kind from number `first` on.
pub fn run(kind: Kind, seed: u64, first: u64, limits: Limits) -> Tally {
    let mut tally = Tally {
        kind: kind.name,
        ..Tally::default()
    };
    let mut subject = (kind.make)();
    let start = Instant::now();
    quietly(|| {
        for number in first.. {
            if start.elapsed() >= limits.time || tally.tried >= limits.tries {
                break;
            }
            let (mut draw, mut shown) = (Draw::new(seed, kind.name, number), String::new());
            let began = Instant::now();
            let outcome = catch_unwind(AssertUnwindSafe(|| subject.attempt(&mut draw, &mut shown)));
            let took = began.elapsed();
            tally.inputs += 1;
            tally.last.clone_from(&shown);
            if took > tally.slowest.0 {
                tally.slowest = (took, number);
            }
            if took > limits.patience {
                tally.faults += 1;
                tally.tell(number, &format!("took {took:?}"), &shown);
            }
            match outcome {
                Ok(outcome) => {
                    tally.tried += outcome.tried;
                    tally.parsed += outcome.parsed;
                    tally.refused += outcome.refused;
                    tally.revolutions += outcome.revolutions;
                    if let Some(fault) = outcome.fault {
                        tally.faults += 1;
                        tally.tell(number, &fault, &shown);
                    }
                }
                Err(_) => {
                    tally.tried += 1;
                    tally.panics += 1;
                    let said = SAID.with_borrow_mut(std::mem::take);
                    tally.tell(number, &said, &shown);
                    // What it left behind is not to be trusted.
                    subject = (kind.make)();
                }
            }
        }
    });
    tally
}
