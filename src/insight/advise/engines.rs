//! The engines that advice is drawn from: hidden engines of the kind at hand in today's air, sound and with each part at fault, played once
//! at places along their screws, in lanes. Beliefs are such an engine with its screws off by so much.

use rayon::prelude::*;

use crate::tuning::action::{Part, Verdict};
use crate::tuning::drawn::Drawn;
use crate::tuning::episode::{Episode, stands};
use crate::tuning::hidden::HiddenError;
use crate::tuning::human::Skill;
use crate::tuning::lookahead::alike::Alike;
use crate::tuning::lookahead::library::{Places, Played};
use crate::tuning::lookahead::signs::Signs;
use crate::tuning::scenario::{Fault, LEAST_SHARE, Scenario};
use crate::tuning::strategy::findings::FINDINGS;

/// Seed of these engines: no practice's, whose seeds are at most 2^53, and not that of the tuner's library.
const SEED: u64 = u64::MAX - 1;
/// Sound engines, each from another jug, another bore, other hands; two are the least of which it can be counted how alike they are.
const SOUND: u64 = 2;
/// Places at which a sound engine is played, and one with a part at fault, clicks off the true setting.
const PLACES: Places = [
    &[-14.0, -6.0, -2.0, 2.0, 8.0, 18.0],
    &[-9.0, -4.0, -1.0, 2.0, 6.0, 12.0],
    &[-12.0, 14.0],
];
const AT_FAULT: Places = [&[-9.0, -2.0, 5.0, 16.0], &[-7.0, -1.0, 4.0, 10.0], &[0.0]];
/// Beliefs.
const BELIEFS: usize = 8000;
/// One belief.
#[derive(Clone, Debug)]
pub struct Belief {
    /// The part at fault, if any is.
    pub fault: Option<Part>,
    /// How far the screws stand off the true setting: high, low, idle stop, turns; rich and fast are positive.
    pub off: [f64; 3],
    /// How likely it is before anything was heard.
    pub prior: f64,
    /// How likely each word of each finding is heard of it.
    pub words: Vec<Vec<f64>>,
}

impl Belief {
    /// How an end stands: 0 is high, 1 low.
    pub fn stands(&self, end: usize) -> Verdict {
        stands(self.off[end])
    }
}

/// Plays the engines of a situation, and believes in them as often as it has them: its faults as often as it says, and screws as far off.
///
/// # Errors
/// A model that can't be used, or no clean setting in reach.
pub fn beliefs(scenario: &Scenario) -> Result<Vec<Belief>, HiddenError> {
    let drawn: Vec<Result<Episode, HiddenError>> = (0..SOUND)
        .into_par_iter()
        .map(|number| Episode::reset_for(scenario, SEED, number, Skill::Club))
        .collect();
    let sound: Vec<Episode> = drawn.into_iter().collect::<Result<_, _>>()?;
    // As bad as they are on average, not at their worst.
    let faults = scenario.fault.worst().into_iter().map(|fault| Fault {
        size: fault.size * (1.0 + LEAST_SHARE) / 2.0,
        ..fault
    });
    let faults: Vec<Fault> = faults.collect();
    let share = if faults.is_empty() {
        0.0
    } else {
        scenario.fault.chance_percent / 100.0
    };
    let mut engines: Vec<(Episode, f64, Places)> = sound
        .iter()
        .map(|episode| (episode.with_fault(None), (1.0 - share) / sound.len() as f64, PLACES))
        .collect();
    let each = faults.iter().zip(sound.iter().cycle());
    engines
        .extend(each.map(|(fault, episode)| (episode.with_fault(Some(*fault)), share / faults.len() as f64, AT_FAULT)));
    let played: Vec<Played> = engines
        .par_iter()
        .map(|(episode, _, places)| Played::at(episode, scenario.limits, *places))
        .collect();
    let signs: Vec<&[Signs]> = played[..sound.len()]
        .iter()
        .map(|played| played.signs.as_slice())
        .collect();
    let alike = Alike::counted(&signs);
    let beliefs = engines
        .iter()
        .zip(&played)
        .enumerate()
        .flat_map(|(number, ((episode, prior, _), played))| {
            // One with a part at fault is seldom met, but looked at as closely.
            let count = BELIEFS / engines.len();
            let alike = &alike;
            Drawn::starts(scenario, SEED, number as u64)
                .take(count)
                .map(move |off| {
                    let around = played.around(off);
                    let words = FINDINGS.iter().enumerate().map(|(finding, named)| {
                        let words = 0..named.words().count();
                        words
                            .map(|word| alike.word_around(finding, word as u8, &around))
                            .collect()
                    });
                    Belief {
                        fault: episode.hidden.drawn.fault.map(|fault| fault.part),
                        off,
                        prior: prior / count as f64,
                        words: words.collect(),
                    }
                })
        });
    Ok(beliefs.collect())
}
