//! What somebody wins who does not listen: the best list of turns for a situation, the same in each of its practices, whatever is heard.
//! A situation that such a list wins teaches its list and nothing else.
//!
//! The list is given all it could have: every part that may be at fault is put right, every manoeuvre that signing off asks for is
//! done. Then it wins where the setting that it leads to is clean, so the checks there say it without playing the practice.

use rayon::prelude::*;
use serde::Serialize;

use super::hidden::Hidden;
use super::judging::within;
use crate::bench::checks::idle_gap_mm;
use crate::engine::params::Setting;

/// A list of turns, and how it does.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FixedList {
    /// Turns of high, low, idle.
    pub turns: [f64; 3],
    /// Practices that it wins.
    pub wins: usize,
    /// Of so many.
    pub of: usize,
}

impl FixedList {
    /// Share that it wins.
    pub fn share(&self) -> f64 {
        self.wins as f64 / self.of.max(1) as f64
    }
}

/// Lists that look best on the map and are then tried on every practice.
const TRIED: usize = 12;
/// Two lists are not the same where a screw turns this much otherwise, turns.
const APART: f64 = 1.0 / 12.0;
/// Practices of which the map is drawn.
const MAPPED: usize = 4;
/// Places of the map for each screw: the first, the step between them, how many. Nothing is clean far beyond (a racer would have it not
/// clean at high -1/4 and +1/2, low -1/8 and +1/4).
const PLACES: [(f64, f64, usize); 3] = [(-0.3, 0.1, 10), (-0.1875, 0.0625, 9), (-0.9, 0.2, 10)];
/// Places of the lists that are held against the map, over all that a screw may be off.
const LISTS: usize = 25;

/// Where a list leads.
fn led(practice: &Hidden, turns: [f64; 3]) -> Setting {
    let [high, low, idle] = turns;
    within(Setting {
        high_turns: practice.start.high_turns + high,
        low_turns: practice.start.low_turns + low,
        idle_turns: practice.start.idle_turns + idle,
    })
}

/// How far that is from the true setting.
fn off(practice: &Hidden, turns: [f64; 3]) -> [f64; 3] {
    let (at, truth) = (led(practice, turns), practice.truth);
    [
        at.high_turns - truth.high_turns,
        at.low_turns - truth.low_turns,
        at.idle_turns - truth.idle_turns,
    ]
}

/// Whether it can be clean there at all: on the map, and with a gap that passes. What this leaves out spares checks.
fn possible(practice: &Hidden, turns: [f64; 3]) -> bool {
    let gap_mm = idle_gap_mm(&practice.sound, led(practice, turns));
    let limits = &practice.limits;
    let on_the_map = off(practice, turns)
        .iter()
        .zip(PLACES)
        .all(|(off, (first, step, count))| (first - step..first + step * count as f64).contains(off));
    on_the_map && (limits.idle_gap_low_mm..=limits.idle_gap_high_mm).contains(&gap_mm)
}

/// How many of the practices each list wins.
fn wins(practices: &[Hidden], lists: &[[f64; 3]]) -> Vec<usize> {
    let won: Vec<Vec<bool>> = practices
        .par_iter()
        .map(|practice| {
            let tried: Vec<usize> = (0..lists.len()).filter(|k| possible(practice, lists[*k])).collect();
            let settings: Vec<Setting> = tried.iter().map(|k| led(practice, lists[*k])).collect();
            let reports = practice.judging.check_all(&practice.sound, &settings);
            let mut clean = vec![false; lists.len()];
            for (k, report) in tried.into_iter().zip(reports) {
                clean[k] = report.clean;
            }
            clean
        })
        .collect();
    (0..lists.len()).map(|k| won.iter().filter(|w| w[k]).count()).collect()
}

/// One list on all practices.
pub fn play(practices: &[Hidden], turns: [f64; 3]) -> FixedList {
    FixedList {
        turns,
        wins: wins(practices, &[turns])[0],
        of: practices.len(),
    }
}

/// The list that undoes the mean of what the practices are off.
pub fn mean_list(practices: &[Hidden]) -> [f64; 3] {
    let n = practices.len().max(1) as f64;
    [0, 1, 2].map(|screw| -practices.iter().map(|p| off(p, [0.0; 3])[screw]).sum::<f64>() / n)
}

/// The best list that a search finds: all lists over what the screws may be off, held against a map of where it is clean, and the best
/// of them tried on every practice.
pub fn best_list(practices: &[Hidden]) -> FixedList {
    let map = Map::of(&practices[..practices.len().min(MAPPED)]);
    let starts: Vec<[f64; 3]> = practices.iter().map(|practice| off(practice, [0.0; 3])).collect();
    let spans = [0, 1, 2].map(|screw| {
        let turns = starts.iter().map(|start| -start[screw]);
        turns.fold([0.0_f64, 0.0_f64], |[low, high], turns| {
            [low.min(turns), high.max(turns)]
        })
    });
    let place = |screw: usize, k: usize| {
        let [low, high] = spans[screw];
        low + (high - low) * k as f64 / (LISTS - 1) as f64
    };
    let all = (0..LISTS.pow(3)).map(|k| {
        [
            place(0, k % LISTS),
            place(1, k / LISTS % LISTS),
            place(2, k / LISTS / LISTS),
        ]
    });
    let expected = |turns: &[f64; 3]| -> f64 {
        let ends = starts
            .iter()
            .map(|start| [0, 1, 2].map(|screw| start[screw] + turns[screw]));
        ends.map(|end| map.clean(end)).sum()
    };
    let mut lists: Vec<(f64, [f64; 3])> = all.map(|turns| (expected(&turns), turns)).collect();
    lists.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut tried = vec![mean_list(practices)];
    for (_, turns) in lists {
        let far = |other: &[f64; 3]| turns.iter().zip(other).any(|(a, b)| (a - b).abs() >= APART);
        if tried.len() <= TRIED && tried.iter().all(far) {
            tried.push(turns);
        }
    }
    let found = tried.iter().zip(wins(practices, &tried));
    let (turns, wins) = found.max_by_key(|(_, wins)| *wins).unwrap_or((&[0.0; 3], 0));
    FixedList {
        turns: *turns,
        wins,
        of: practices.len(),
    }
}

/// How often it is clean so far from the true setting, place by place.
struct Map(Vec<f64>);

impl Map {
    /// Draws it from some practices.
    fn of(practices: &[Hidden]) -> Self {
        let count = PLACES.iter().map(|(.., count)| count).product();
        let places: Vec<[f64; 3]> = (0..count)
            .map(|index| {
                let mut rest = index;
                PLACES.map(|(first, step, count)| {
                    let k = rest % count;
                    rest /= count;
                    first + step * k as f64
                })
            })
            .collect();
        let mut clean = vec![0.0; count];
        for practice in practices {
            let from = off(practice, [0.0; 3]);
            let lists: Vec<[f64; 3]> = places.iter().map(|at| [0, 1, 2].map(|k| at[k] - from[k])).collect();
            let blocks: Vec<&[[f64; 3]]> = lists.chunks(ABREAST).collect();
            let won = blocks
                .par_iter()
                .map(|block| wins(std::slice::from_ref(practice), block));
            let won: Vec<Vec<usize>> = won.collect();
            for (share, won) in clean.iter_mut().zip(won.concat()) {
                *share += won as f64 / practices.len() as f64;
            }
        }
        Self(clean)
    }

    /// How often it is clean at a place, in straight lines between those of the map; never beyond it.
    fn clean(&self, at: [f64; 3]) -> f64 {
        let places = [0, 1, 2].map(|k| (at[k] - PLACES[k].0) / PLACES[k].1);
        let mut sum = 0.0;
        for corner in 0..8 {
            let (mut share, mut index, mut stride) = (1.0, 0, 1);
            for (k, place) in places.iter().enumerate() {
                let up = f64::from(corner >> k & 1);
                let node = place.floor() + up;
                if node < 0.0 || node >= PLACES[k].2 as f64 {
                    share = 0.0;
                    continue;
                }
                share *= 1.0 - (place - node).abs();
                index += stride * node as usize;
                stride *= PLACES[k].2;
            }
            if share > 0.0 {
                sum += share * self.0[index];
            }
        }
        sum
    }
}

/// Settings of one practice that are checked side by side.
const ABREAST: usize = 24;
