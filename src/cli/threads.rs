//! The threads that the library computes with. However many are asked for, only so many are taken as there are to be had, and
//! with none at all the program computes alone: no result depends on it.

use std::sync::mpsc::{Sender, channel};

use rayon::{ThreadBuilder, ThreadPoolBuilder};

/// Most threads that are believed in on any machine, bar one of more cores: too many only wait for each other.
const MOST: usize = 16;

/// How many are wanted: as the usual variable says, within reason, else one per core.
fn wanted() -> usize {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    std::env::var("RAYON_NUM_THREADS")
        .ok()
        .and_then(|text| text.trim().parse::<u128>().ok())
        .filter(|count| *count > 0)
        .map_or(cores, |count| {
            usize::try_from(count).unwrap_or(usize::MAX).min(MOST.max(cores))
        })
}

/// Takes the threads, before anything is computed.
pub fn take() {
    // First the threads, then the pool: a pool that lacks a single one can't be made, nor tried again.
    let mut idle: Vec<Sender<ThreadBuilder>> = Vec::new();
    for _ in 0..wanted() {
        let (give, given) = channel::<ThreadBuilder>();
        let work = move || {
            if let Ok(worker) = given.recv() {
                worker.run();
            }
        };
        match std::thread::Builder::new().spawn(work) {
            Ok(_) => idle.push(give),
            Err(_) => break,
        }
    }
    let gone = || std::io::Error::from(std::io::ErrorKind::BrokenPipe);
    // A pool that exists already is as good.
    let _ = if idle.is_empty() {
        ThreadPoolBuilder::new()
            .num_threads(1)
            .use_current_thread()
            .build_global()
    } else {
        ThreadPoolBuilder::new()
            .num_threads(idle.len())
            .spawn_handler(|worker| idle[worker.index()].send(worker).map_err(|_| gone()))
            .build_global()
    };
}
