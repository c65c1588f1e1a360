//! A study played: hidden engine by hidden engine, on several cores, handed over in order. What comes out depends on the study alone,
//! not on the number of threads nor on when it was broken off and gone on with.

use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, mpsc};
use std::time::Duration;

use rayon::ThreadPool;

use super::playing::{Practice, Tuner, play};
use super::record::{Outcome, Played, Record};
use super::study::{Study, Way};
use crate::tuning::episode::Episode;
use crate::tuning::hidden::HiddenError;
use crate::tuning::human::Skill;
use crate::tuning::lookahead::LookAhead;
use crate::tuning::lookahead::library::{Extent, Library};
use crate::tuning::par::par;
use crate::tuning::strategy::advice::Follower;

/// Hidden engines that are played ahead of the one that is handed over, for each thread: more than the longest outlasts the others.
const AHEAD: u64 = 16;
/// How long who is ahead waits before looking again.
const PAUSE: Duration = Duration::from_millis(1);

/// All practices on one hidden engine, in the order of the study's skills and entrants.
///
/// # Errors
/// A model that can't be used. A seed for which no practice can be drawn is no error: its rows say so.
pub fn engine(study: &Study, libraries: &[Arc<Library>], number: u64) -> Result<Vec<Record>, HiddenError> {
    let (situation, episode) = study.engine(number);
    let scenario = &study.scenarios[situation];
    let players: Vec<(Skill, usize)> = study
        .skills
        .iter()
        .flat_map(|skill| (0..study.entrants.len()).map(move |entrant| (*skill, entrant)))
        .filter(|(_, entrant)| episode < study.entrants[*entrant].episodes)
        .collect();
    let fresh = match Episode::reset(scenario, study.seed(), episode) {
        Ok(fresh) => fresh,
        Err(HiddenError::NothingClean { .. } | HiddenError::NoStart { .. }) => {
            let none = players.iter().map(|(skill, entrant)| Record {
                engine: number,
                skill: *skill,
                entrant: *entrant,
                end: None,
                outcome: Outcome::default(),
            });
            return Ok(none.collect());
        }
        Err(error) => return Err(error),
    };
    let par_turns = study.par.then(|| par(&fresh.hidden).turns);
    let (mut by_rules, mut ahead, mut outside) = (Vec::new(), Vec::new(), Vec::new());
    for (at, (skill, entrant)) in players.iter().enumerate() {
        match &study.entrants[*entrant].way {
            Way::Rules(strategy) => {
                let tuner = Follower::new(strategy.clone(), scenario.limits, fresh.chance());
                by_rules.push((at, Practice::new(fresh.by(*skill), tuner)));
            }
            Way::LookAhead => {
                let tuner = LookAhead::new(libraries[situation].clone(), scenario.limits);
                ahead.push((at, Practice::new(fresh.by(*skill), tuner)));
            }
            Way::Outside(program) => {
                let tuner = (program.start)(scenario, *skill);
                outside.push((at, Practice::new(fresh.by(*skill), tuner)));
            }
        }
    }
    let record = |at: usize, played: Played| {
        let (skill, entrant) = players[at];
        (at, Record::of(&played, number, skill, entrant, par_turns))
    };
    let mut records: Vec<(usize, Record)> = Vec::with_capacity(players.len());
    records.extend(all(by_rules).into_iter().map(|(at, played)| record(at, played)));
    records.extend(all(ahead).into_iter().map(|(at, played)| record(at, played)));
    // Who waits for another program would keep those beside it waiting.
    for alone in outside {
        records.extend(all(vec![alone]).into_iter().map(|(at, played)| record(at, played)));
    }
    records.sort_by_key(|(at, _)| *at);
    Ok(records.into_iter().map(|(_, record)| record).collect())
}

/// Plays practices side by side; what became of each.
fn all<T: Tuner>(practices: Vec<(usize, Practice<T>)>) -> Vec<(usize, Played)> {
    let (places, mut practices): (Vec<usize>, Vec<Practice<T>>) = practices.into_iter().unzip();
    play(&mut practices);
    places.into_iter().zip(practices.iter().map(Played::of)).collect()
}

/// Plays the hidden engines of `numbers` on all threads of `pool`, and hands each one's records over in that order, until the taker
/// has enough. Before that, whoever looks ahead gets to know engines of each situation; `learns` is told how many situations are done.
///
/// # Errors
/// A model that can't be used.
pub fn run(
    study: &Study,
    numbers: &[u64],
    pool: &ThreadPool,
    mut learns: impl FnMut(usize) -> ControlFlow<()>,
    mut take: impl FnMut(Vec<Record>) -> ControlFlow<()>,
) -> Result<(), HiddenError> {
    let looks_ahead = study
        .entrants
        .iter()
        .any(|entrant| matches!(entrant.way, Way::LookAhead));
    let mut libraries = Vec::new();
    if looks_ahead && !numbers.is_empty() {
        for scenario in &study.scenarios {
            let learnt = pool.install(|| Library::learnt(scenario, Extent::STANDARD))?;
            libraries.push(Arc::new(learnt));
            if learns(libraries.len()).is_break() {
                return Ok(());
            }
        }
    }
    let (next, given, enough) = (AtomicU64::new(0), AtomicU64::new(0), AtomicBool::new(false));
    let threads = pool.current_num_threads();
    let ahead = AHEAD * threads as u64;
    let (send, receive) = mpsc::channel();
    let work = |send: mpsc::Sender<_>| {
        while !enough.load(Ordering::Relaxed) {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(number) = numbers.get(at as usize) else { return };
            // Nobody runs far ahead of one that takes long: what waits to be handed over waits in memory.
            while at > given.load(Ordering::Relaxed) + ahead && !enough.load(Ordering::Relaxed) {
                std::thread::sleep(PAUSE);
            }
            let played = pool.install(|| engine(study, &libraries, *number));
            if send.send((at, played)).is_err() {
                return;
            }
        }
    };
    let mut hand_over = |played: Result<Vec<Record>, HiddenError>| match played {
        Ok(records) if !enough.load(Ordering::Relaxed) => {
            if take(records).is_break() {
                enough.store(true, Ordering::Relaxed);
            }
            Ok(())
        }
        Ok(_) => Ok(()),
        Err(error) => {
            enough.store(true, Ordering::Relaxed);
            Err(error)
        }
    };
    // Who asks for an engine waits on a thread of its own: one of the pool that waited for an engine could have been given another's
    // waiting to do meanwhile, and never come back to its own.
    std::thread::scope(|scope| {
        let asking = (0..threads).filter(|_| {
            let (send, work) = (send.clone(), &work);
            let asks = std::thread::Builder::new().spawn_scoped(scope, move || work(send));
            asks.is_ok()
        });
        if asking.count() == 0 {
            // No thread is to be had: one engine after the other.
            let each = numbers.iter().take_while(|_| !enough.load(Ordering::Relaxed));
            return each
                .map(|number| pool.install(|| engine(study, &libraries, *number)))
                .try_for_each(&mut hand_over);
        }
        drop(send);
        let mut waiting = BTreeMap::new();
        let mut due = 0;
        let mut outcome = Ok(());
        for (at, played) in receive {
            waiting.insert(at, played);
            while let Some(played) = waiting.remove(&due) {
                due += 1;
                given.store(due, Ordering::Relaxed);
                outcome = outcome.and(hand_over(played));
            }
        }
        outcome
    })
}
