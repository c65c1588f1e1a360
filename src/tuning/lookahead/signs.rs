//! The round of tests: always the same actions in the same order, and what they show as numbers and words that can be held against
//! another engine's.

use crate::bench::checks::Limits;
use crate::chance::Chance;
use crate::tuning::action::Action;
use crate::tuning::episode::Found;
use crate::tuning::strategy::Sight;
use crate::tuning::strategy::memory::Memory;

/// The round: a look at the engine, laps that make it as warm as it is judged, and all that signing off asks for with a pinch test and a
/// reading of the gun on the way. It takes a minute and a half, so it can be done often; the plug at its end takes as long again, and is
/// left for last.
const TESTS: [Action; 13] = [
    Action::Inspect,
    Action::Start,
    Action::Warm,
    Action::Laps { laps: 2 },
    Action::Hold {
        position: 1.0,
        ms: 3000,
    },
    Action::Wait { ms: 12_000 },
    Action::Hold {
        position: 1.0,
        ms: 1500,
    },
    Action::Wait { ms: 4000 },
    Action::Pinch,
    Action::RollOn,
    Action::Gun,
    Action::Hold {
        position: 1.0,
        ms: 3000,
    },
    Action::Plug,
];
/// Where a round begins whose engine was looked over, and where one that runs.
const START: usize = 1;
const RUNNING: usize = 2;
/// So often a start is tried: a cold engine seldom runs at the first.
const STARTS: u32 = 5;
/// The test after which the idle is read.
const IDLE_AFTER: usize = 5;
/// Where the chop for the plug begins.
const CHOP: usize = 11;

/// A round in progress.
#[derive(Clone, Debug)]
pub struct Round {
    memory: Memory,
    at: usize,
    /// Starts that it did not run on.
    in_vain: u32,
    /// Where the round ends.
    until: usize,
    /// The test in which it died, or for which it stood.
    died_at: Option<usize>,
    idle_rpm: Option<f64>,
    head_c: Option<f64>,
}

/// What a round has shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Signs {
    /// For each finding the place of its word among those it can have, if there was one.
    pub words: Vec<Option<u8>>,
    /// The test in which it died; none where it lived.
    pub died_at: Option<usize>,
    /// Settled idle, rpm.
    pub idle_rpm: Option<f64>,
    /// Full throttle, rpm.
    pub full_rpm: Option<f64>,
    /// How long it ran on when pinched, s.
    pub pinch_s: Option<f64>,
    /// Head at the end, by the gun, °C.
    pub head_c: Option<f64>,
}

impl Round {
    /// All of it.
    pub fn whole(limits: Limits) -> Self {
        Self {
            // It leaves nothing to chance.
            memory: Memory::new(limits, Chance::new(0, 0)),
            at: 0,
            in_vain: 0,
            until: TESTS.len(),
            died_at: None,
            idle_rpm: None,
            head_c: None,
        }
    }

    /// The first, without the plug.
    pub fn first(limits: Limits) -> Self {
        Self {
            until: CHOP,
            ..Self::whole(limits)
        }
    }

    /// A later one: of an engine that was looked over, and need not be started if it runs.
    pub fn later(limits: Limits, running: bool) -> Self {
        Self {
            at: if running { RUNNING } else { START },
            ..Self::first(limits)
        }
    }

    /// The chop and the plug alone.
    pub fn plug(limits: Limits) -> Self {
        Self {
            at: CHOP,
            ..Self::whole(limits)
        }
    }

    /// Whether the plug was a part of it.
    pub fn has_plug(&self) -> bool {
        self.until > CHOP
    }

    /// The next test; none when the round is over.
    pub fn next(&self) -> Option<Action> {
        TESTS[..self.until]
            .get(self.at)
            .filter(|_| self.died_at.is_none())
            .copied()
    }

    /// Notes what came of a test.
    pub fn did(&mut self, action: &Action, sight: &Sight) {
        self.memory.did(action, sight);
        if self.at == IDLE_AFTER && sight.running {
            self.idle_rpm = sight.tachometer_rpm;
        }
        // Warmed up and cooled at the plug it was read as well, but at another moment.
        if *action == Action::Gun {
            self.head_c = sight.found.iter().find_map(Found::gun_c);
        }
        if *action == Action::Start && !sight.running {
            self.in_vain += 1;
            if self.in_vain < STARTS {
                return;
            }
        }
        // Looked over and its plug pulled it stands.
        if !sight.running && !matches!(action, Action::Inspect | Action::Plug) {
            self.died_at = Some(self.at);
        }
        self.at += 1;
    }

    /// A test that could not be done says nothing.
    pub fn refused(&mut self, _: &Action) {
        self.at += 1;
    }

    /// What the round has shown.
    pub fn signs(&self) -> Signs {
        let words = self.memory.found().each().map(|(finding, heard)| {
            let place = finding.words().position(|word| heard.now == Some(word))?;
            u8::try_from(place).ok()
        });
        Signs {
            words: words.collect(),
            died_at: self.died_at,
            idle_rpm: self.idle_rpm,
            full_rpm: self.memory.full_rpm(),
            pinch_s: self.memory.pinch_s(),
            head_c: self.head_c,
        }
    }
}
