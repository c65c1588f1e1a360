//! What the sign-off measures, held against what somebody hears who does every manoeuvre that it asks for: settings around the borders
//! of clean, each signed off and listened to. Shared by the test and the longer study.

use std::collections::{BTreeMap, BTreeSet};

use needlebench::bench::checks::{CheckName, Report};
use needlebench::bench::instruments::{Exit, Note, PinchRise, PlugColour, Straight, WayIn};
use needlebench::bench::player::Unseen;
use needlebench::chance::Chance;
use needlebench::engine::params::Setting;
use needlebench::noise::Channel;
use needlebench::tuning::action::{Action, Screw};
use needlebench::tuning::episode::{Episode, Found};
use needlebench::tuning::scenario::{self, Scenario};

/// A word of trouble, by the name of what it says.
pub type Word = &'static str;

/// Words of trouble, and the checks of which they speak.
pub const WORDS: &[(Word, &[CheckName])] = {
    use CheckName as C;
    &[
        ("head-hot", &[C::FullHeadTemperature]),
        ("crackle", &[C::FullDetonation, C::FullRichOfBestPower]),
        ("track-crackles", &[C::FullDetonation, C::FullRichOfBestPower]),
        ("plug-specks", &[C::FullDetonation, C::FullRichOfBestPower]),
        ("plug-pale", &[C::FullRichOfBestPower, C::FullPower]),
        ("plug-wet", &[C::FullPower]),
        ("full-rough", &[C::FullPower, C::RollOnMisfire]),
        ("full-dull", &[C::FullPower]),
        ("full-lazy", &[C::FullPower]),
        ("full-sags", &[C::FullRichOfBestPower, C::FullPower]),
        ("track-burbles", &[C::FullPower, C::RollOnMisfire]),
        ("track-dull", &[C::FullPower]),
        ("track-sags", &[C::FullRichOfBestPower, C::FullPower]),
        ("idle-slow", &[C::IdleSpeed]),
        ("idle-fast", &[C::IdleSpeed]),
        ("idle-wavers", &[C::IdleVariation]),
        ("pinched-hardly", &[C::IdlePinchRise]),
        ("gap-wide", &[C::IdleGap]),
        ("gap-narrow", &[C::IdleGap]),
        ("return-hangs", &[C::BurstReturn, C::BurstHang, C::BurstEarlyExcess]),
        ("return-sinks", &[C::BurstReturn, C::BurstHang, C::BurstEarlyExcess]),
        ("return-drops", &[C::BurstEarlyExcess]),
        ("snap-hesitates", &[C::SnapDelay]),
        ("snap-bogs", &[C::SnapDelay]),
        ("snap-puffs", &[C::SnapPuff]),
        ("snap-stutters", &[C::SnapMisfire]),
        ("part-rough", &[C::HalfMisfire]),
        ("opening-stutters", &[C::RollOnMisfire]),
        ("opening-smokes", &[C::RollOnSmoke]),
        ("way-in", &[C::HotIdle]),
    ]
};

fn of_note(note: Note) -> Option<Word> {
    Some(match note {
        Note::Crackle => "crackle",
        Note::FullRough => "full-rough",
        Note::FullDull => "full-dull",
        Note::FullLazy => "full-lazy",
        Note::FullSags => "full-sags",
        Note::IdleWavers => "idle-wavers",
        Note::GapWide => "gap-wide",
        Note::GapNarrow => "gap-narrow",
        Note::ReturnHangs => "return-hangs",
        Note::ReturnSinks => "return-sinks",
        Note::ReturnDrops => "return-drops",
        Note::SnapHesitates => "snap-hesitates",
        Note::SnapBogs => "snap-bogs",
        Note::SnapPuffs => "snap-puffs",
        Note::SnapStutters => "snap-stutters",
        Note::PartRough => "part-rough",
        Note::OpeningStuttersLow | Note::OpeningStuttersMiddle | Note::OpeningStuttersTop => "opening-stutters",
        Note::OpeningSmokes => "opening-smokes",
        _ => return None,
    })
}

fn of_found(found: &Found) -> Option<Word> {
    Some(match found {
        Found::Straight { straight } => match straight {
            Straight::Crackles => "track-crackles",
            Straight::Burbles => "track-burbles",
            Straight::Sags => "track-sags",
            Straight::Dull => "track-dull",
            Straight::Pulls => return None,
        },
        Found::Corner { exit: Exit::Bogs } => "snap-bogs",
        Found::WayIn {
            way_in: WayIn::Faster | WayIn::Slower,
        } => "way-in",
        Found::Pinched {
            rise: PinchRise::Hardly,
            ..
        } => "pinched-hardly",
        Found::HeadHot => "head-hot",
        Found::Plug(plug) => match plug.colour? {
            PlugColour::Pale => "plug-pale",
            PlugColour::Wet => "plug-wet",
            PlugColour::Specks => "plug-specks",
            PlugColour::Moist => return None,
        },
        _ => return None,
    })
}

/// One setting: what the sign-off says of it, and what was heard.
pub struct Trial {
    /// From the truth: high, low, idle.
    pub off: [f64; 3],
    pub report: Report,
    /// The same sign-off with other noise.
    pub again: Report,
    pub words: BTreeSet<Word>,
    /// It died while somebody listened.
    pub died: bool,
}

/// Somebody who listens: what is said once is chance, and what is said in two rounds of three is believed, for at the border one time
/// and the next are not alike.
pub struct Listener {
    pub episode: Episode,
    /// What is believed.
    pub words: BTreeSet<Word>,
    pub found: Vec<Found>,
    died: bool,
    /// What was said in this round.
    said: BTreeSet<Word>,
    /// The sign-off's own return or way in: other ones, from a colder idle or half an opening, are not what it measures.
    counts: bool,
    pitches: Vec<Note>,
}

/// Rounds of every manoeuvre, and in how many of them something has to be said.
const ROUNDS: usize = 3;
const BELIEVED: usize = 2;
/// What is said of an idle's pitch: of many looks, what most of them said counts.
const PITCHES: [Note; 3] = [Note::IdleSlow, Note::IdleEven, Note::IdleFast];
/// What is said of a return: it counts after the burst from a settled idle, which is the sign-off's.
const RETURNS: [Note; 3] = [Note::ReturnHangs, Note::ReturnSinks, Note::ReturnDrops];

impl Listener {
    pub fn new(episode: Episode) -> Self {
        Self {
            episode,
            words: BTreeSet::new(),
            found: Vec::new(),
            died: false,
            said: BTreeSet::new(),
            counts: false,
            pitches: Vec::new(),
        }
    }

    /// Does something and takes in what is heard at its end.
    pub fn act(&mut self, action: Action) {
        let ran = self.episode.running();
        if self.episode.begin(&action).is_err() {
            return;
        }
        loop {
            if let Some(found) = self.episode.advance(u32::MAX, Unseen) {
                let notes = self.episode.notes();
                // Whoever is told that it is cold takes nothing else for a symptom.
                if !notes.contains(&Note::Cold) {
                    let counts = |note: &Note| self.counts || !RETURNS.contains(note);
                    self.said
                        .extend(notes.iter().copied().filter(counts).filter_map(of_note));
                    self.pitches
                        .extend(notes.into_iter().filter(|note| PITCHES.contains(note)));
                }
                let counts = |found: &&Found| self.counts || !matches!(found, Found::WayIn { .. });
                self.said.extend(found.iter().filter(counts).filter_map(of_found));
                self.found.extend(found);
                break;
            }
        }
        self.died |= ran && !self.episode.running() && !matches!(action, Action::Plug | Action::Stop);
        if !self.episode.running() && !matches!(action, Action::Plug | Action::Stop) {
            let _ = self.episode.act(&Action::Start);
        }
    }

    fn full(&mut self, ms: u32) {
        self.act(Action::Hold { position: 1.0, ms });
    }

    fn wait(&mut self, ms: u32) {
        self.act(Action::Wait { ms });
    }

    /// Clears it out and lets it settle, as the sign-off does.
    fn settle(&mut self) {
        self.act(Action::Hold { position: 0.5, ms: 700 });
        self.wait(16_000);
    }

    /// Hot from a lap, cleared out and settled.
    fn ready(&mut self) {
        self.act(Action::Fuel);
        self.act(Action::Laps { laps: 4 });
        self.settle();
    }

    /// Every manoeuvre that the sign-off has, each on an engine as warm as it has there.
    fn round(&mut self) {
        self.act(Action::Start);
        self.act(Action::Laps { laps: 4 });
        self.ready();
        self.full(1500);
        self.counts = true;
        self.wait(12_000);
        self.counts = false;
        self.ready();
        self.act(Action::Pinch);
        self.ready();
        for _ in 0..2 {
            self.full(1000);
            self.wait(1500);
        }
        self.wait(10_000);
        self.full(4000);
        self.ready();
        for step in 1..=60_u8 {
            self.act(Action::Throttle {
                position: f64::from(step) / 60.0,
            });
            self.wait(100);
        }
        self.wait(700);
        self.act(Action::Throttle { position: 0.0 });
        self.ready();
        self.act(Action::Hold {
            position: 0.5,
            ms: 5000,
        });
        self.ready();
        self.counts = true;
        self.act(Action::Laps { laps: 4 });
        self.counts = false;
        self.full(4000);
        self.act(Action::Plug);
    }

    /// All of it as often as it takes to believe it.
    pub fn all(&mut self) {
        let mut times: BTreeMap<Word, usize> = BTreeMap::new();
        for _ in 0..ROUNDS {
            self.round();
            for word in std::mem::take(&mut self.said) {
                *times.entry(word).or_default() += 1;
            }
        }
        let believed = times.into_iter().filter(|(_, times)| *times >= BELIEVED);
        self.words.extend(believed.map(|(word, _)| word));
        for (note, word) in [(Note::IdleSlow, "idle-slow"), (Note::IdleFast, "idle-fast")] {
            if 2 * self.pitches.iter().filter(|said| **said == note).count() > self.pitches.len() {
                self.words.insert(word);
            }
        }
    }
}

/// A practice whose screws have been turned this far from the truth.
pub fn practice_at(fresh: &Episode, off: [f64; 3]) -> Episode {
    let mut episode = fresh.clone();
    let (start, to) = (fresh.hidden.start, at(fresh, off));
    for (screw, from, to) in [
        (Screw::High, start.high_turns, to.high_turns),
        (Screw::Low, start.low_turns, to.low_turns),
        (Screw::Idle, start.idle_turns, to.idle_turns),
    ] {
        let mut left: f64 = to - from;
        while left.abs() > 1e-9 {
            let turns = left.clamp(-2.0, 2.0);
            if episode.act(&Action::Turn { screw, turns }).is_err() {
                break;
            }
            left -= turns;
        }
    }
    episode
}

fn at(fresh: &Episode, off: [f64; 3]) -> Setting {
    let truth = fresh.hidden.truth;
    Setting {
        high_turns: (truth.high_turns + off[0]).max(0.0),
        low_turns: (truth.low_turns + off[1]).max(0.0),
        idle_turns: (truth.idle_turns + off[2]).max(0.0),
    }
}

/// A practice of a situation, its faults put aside.
pub fn fresh(scenario: &str, seed: u64) -> Option<Episode> {
    let scenario = Scenario::read(&scenario::source(scenario).unwrap()).unwrap();
    Episode::reset(&scenario, seed, 0).ok()
}

/// How far the screws are turned at a distance of one, turns: about as far as clean reaches.
const REACH: [f64; 3] = [0.17, 0.08, 0.6];

/// A trial near the border of clean, in a direction of chance.
pub fn near_a_border(fresh: &Episode, seed: u64, number: u64) -> Trial {
    let chance = Chance::new(seed, number);
    let direction: [f64; 3] = std::array::from_fn(|screw| chance.normal(Channel::Gun, screw as u64, 1.0));
    let length = direction.iter().map(|d| d * d).sum::<f64>().sqrt().max(1e-9);
    let off = |distance: f64| -> [f64; 3] {
        std::array::from_fn(|screw| REACH[screw] * direction[screw] / length * distance)
    };
    let distances: Vec<f64> = (1..=16).map(|step| 0.25 * f64::from(step)).collect();
    let settings: Vec<Setting> = distances.iter().map(|d| at(fresh, off(*d))).collect();
    let reports = fresh.hidden.judging.check_all(&fresh.hidden.setup, &settings);
    let border = reports
        .iter()
        .position(|report| !report.clean)
        .map_or(4.0, |i| distances[i]);
    let distance = border * (1.0 + chance.normal(Channel::Pitch, 0, 0.3)).max(0.1);
    trial(fresh, off(distance))
}

/// A trial of one setting.
pub fn trial(fresh: &Episode, off: [f64; 3]) -> Trial {
    let mut listener = Listener::new(practice_at(fresh, off));
    let (mut judging, setup) = (fresh.hidden.judging, &fresh.hidden.setup);
    let report = judging.check(setup, at(fresh, off));
    judging.seed += 1;
    let again = judging.check(setup, at(fresh, off));
    listener.all();
    Trial {
        off,
        report,
        again,
        words: listener.words,
        died: listener.died,
    }
}

/// How often of how many.
#[derive(Clone, Copy, Debug, Default)]
pub struct Share {
    pub yes: usize,
    pub of: usize,
}

impl Share {
    pub fn count(&mut self, yes: bool) {
        self.yes += usize::from(yes);
        self.of += 1;
    }
    pub fn percent(self) -> f64 {
        100.0 * self.yes as f64 / self.of.max(1) as f64
    }
}

/// What many trials say.
#[derive(Debug, Default)]
pub struct Told {
    /// Of each check that failed, how often words said so.
    pub heard: BTreeMap<&'static str, Share>,
    /// Of each word of trouble, how often a check that it speaks of failed.
    pub borne_out: BTreeMap<Word, Share>,
    /// Of all checks that failed, those of which words spoke; of all words of trouble, those with a failing check.
    pub all_heard: Share,
    pub all_borne_out: Share,
    pub clean: Share,
    /// Of each check that failed, how often it fails with other noise: nobody can hear what is chance.
    pub fails_again: BTreeMap<&'static str, Share>,
}

/// Whether words speak of a check that fails.
pub fn speaks(trial: &Trial, check: CheckName) -> bool {
    WORDS
        .iter()
        .any(|(word, checks)| checks.contains(&check) && trial.words.contains(word))
}

/// Whether one of these checks fails.
pub fn fails(trial: &Trial, checks: &[CheckName]) -> bool {
    checks
        .iter()
        .any(|name| trial.report.check(*name).is_some_and(|check| !check.pass))
}

pub fn told(trials: &[Trial]) -> Told {
    let mut told = Told::default();
    for trial in trials {
        told.clean.count(trial.report.clean);
        for check in trial.report.checks.iter().filter(|check| !check.pass) {
            let heard = speaks(trial, check.name) || check.value.is_none() && trial.died;
            told.heard.entry(check.name.key()).or_default().count(heard);
            let again = trial.again.check(check.name).is_some_and(|check| !check.pass);
            told.fails_again.entry(check.name.key()).or_default().count(again);
            told.all_heard.count(heard);
        }
        for (word, checks) in WORDS.iter().filter(|(word, _)| trial.words.contains(word)) {
            let failed = fails(trial, checks);
            told.borne_out.entry(word).or_default().count(failed);
            told.all_borne_out.count(failed);
        }
    }
    told
}
