//! Which pages are there: each has a bench of its own, which only the token that it was given leads back to.

use std::collections::HashMap;
use std::sync::mpsc::{Sender, channel};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;

use tokio::sync::mpsc;

use super::bench::{Bench, In};
use super::demonstrating::Demonstrating;
use super::offer::Given;
use super::practising::Practising;
use super::told::Out;

/// Benches at once: more than a class has, and what two cores bear with ease.
const MOST: usize = 16;
/// Messages that may wait for a page that doesn't take them: a third of a second.
const WAITING: usize = 64;

/// A bench as the server knows it.
#[derive(Debug)]
struct Known {
    to: Sender<In>,
    thread: JoinHandle<()>,
}

/// All benches.
#[derive(Debug)]
pub struct Benches {
    /// What a page is given.
    pub given: Given,
    known: Mutex<HashMap<String, Known>>,
}

/// A page at its bench.
pub struct Seat {
    /// What the page says goes there.
    pub to: Sender<In>,
    /// What it is told comes from there.
    pub from: mpsc::Receiver<Out>,
}

fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Benches {
    /// None yet.
    pub fn new(given: Given) -> Self {
        Self {
            given,
            known: Mutex::new(HashMap::new()),
        }
    }

    /// A seat for a page: at the bench that its token names, if that is still there, or else at a new one.
    ///
    /// # Errors
    /// There are too many already, or no bench can be had; in words.
    pub fn join(&self, token: Option<&str>, rate_hz: u32) -> Result<Seat, String> {
        let (out, from) = mpsc::channel(WAITING);
        let mut known = held(&self.known);
        if let Some(bench) = token.and_then(|token| known.get(token)) {
            let attach = In::Attach {
                out: out.clone(),
                rate_hz,
            };
            if bench.to.send(attach).is_ok() {
                return Ok(Seat {
                    to: bench.to.clone(),
                    from,
                });
            }
        }
        known.retain(|_, bench| !bench.thread.is_finished());
        if known.len() >= MOST {
            return Err(format!(
                "{MOST} pages are open already: close one, and load this one again"
            ));
        }
        let mut random = [0; 16];
        getrandom::fill(&mut random).map_err(|error| format!("no bench could be had: {error}"))?;
        let token: String = random.iter().map(|byte| format!("{byte:02x}")).collect();
        let (to, asked) = channel();
        let (given, own) = (self.given.clone(), token.clone());
        let thread = std::thread::Builder::new()
            .name("bench".to_string())
            .spawn(move || match given {
                Given::Practice(offer) => Bench::new(Practising::new(offer), own, out, asked).play(rate_hz),
                Given::Demonstration(tape) => Bench::new(Demonstrating::new(tape), own, out, asked).play(rate_hz),
            })
            .map_err(|error| format!("no bench could be had: {error}"))?;
        known.insert(token, Known { to: to.clone(), thread });
        Ok(Seat { to, from })
    }

    /// Everybody is told that it is over; their practices end where they are, and what is recorded is whole.
    pub fn all_told_to_leave(&self) {
        for bench in held(&self.known).values() {
            let _ = bench.to.send(In::End);
        }
    }

    /// Waits until they have.
    pub fn all_leave(&self) {
        self.all_told_to_leave();
        let known = std::mem::take(&mut *held(&self.known));
        for bench in known.into_values() {
            drop(bench.to);
            let _ = bench.thread.join();
        }
    }
}
