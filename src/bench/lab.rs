//! One engine in many cases (settings, seeds, starts), measured side by side: each measure of each case is played once, all that can
//! be played at the same time in one go, and what was found is kept.

use super::manoeuvre::table::Waits;
use super::measures::{Base, Findings, From, What, hastened};
use super::player::{Play, Stand, play};
use crate::engine::params::Setting;
use crate::engine::{Engine, Setup};

/// Cases of one engine, and what has been found of them.
#[derive(Clone, Debug)]
pub struct Lab {
    engine: Engine,
    /// The same with solids that settle sooner, for measures that allow it.
    hastened: Engine,
    clutch_rpm: f64,
    waits: Waits,
    cases: Vec<(Stand, Findings)>,
}

/// A case of a lab.
pub type Case = usize;

impl Lab {
    /// Without cases.
    pub fn new(setup: &Setup, waits: &Waits) -> Self {
        Self::of(Engine::new(setup), setup, waits)
    }

    /// The same with the engine already derived.
    pub fn of(engine: Engine, setup: &Setup, waits: &Waits) -> Self {
        Self {
            engine,
            hastened: Engine::new(&hastened(setup)),
            clutch_rpm: setup.engine.drive.clutch_engage_rpm,
            waits: *waits,
            cases: Vec::new(),
        }
    }

    /// The engine.
    pub fn engine(&self) -> &Engine {
        &self.engine
    }

    /// Adds a case: an engine as it comes.
    pub fn add(&mut self, start: Stand) -> Case {
        self.cases.push((start, Findings::default()));
        self.cases.len() - 1
    }

    /// Adds a case: a warm engine on the stand.
    pub fn add_warm(&mut self, setting: Setting, seed: u64) -> Case {
        self.add(super::rig::warm(&self.engine, setting, seed))
    }

    /// What has been found of a case.
    pub fn findings(&self, case: Case) -> &Findings {
        &self.cases[case].1
    }

    /// Measures what is asked for and not known yet, after what has to come before it.
    pub fn measure(&mut self, asked: impl IntoIterator<Item = (Case, What)>) {
        let mut goes: Vec<Vec<(Case, What)>> = Vec::new();
        for (case, what) in asked {
            let before = std::iter::successors(what.from().after(), |what| what.from().after());
            let place = before.clone().count();
            goes.resize_with(goes.len().max(place + 1), Vec::new);
            for (k, what) in before.enumerate() {
                goes[place - 1 - k].push((case, what));
            }
            goes[place].push((case, what));
        }
        for go in goes {
            self.play(go);
        }
    }

    /// Plays what is not known yet, all that shares an engine side by side.
    fn play(&mut self, asked: Vec<(Case, What)>) {
        let (sooner, usual) = asked.into_iter().partition(|(_, what)| what.hastened());
        self.play_on(self.engine, usual);
        self.play_on(self.hastened, sooner);
    }

    fn play_on(&mut self, engine: Engine, asked: Vec<(Case, What)>) {
        let mut parts: Vec<(Case, What, usize)> = Vec::new();
        let mut plays: Vec<Play<_>> = Vec::new();
        for (case, what) in asked {
            let known = self.cases[case].1.has(what);
            if known || parts.iter().any(|part| (part.0, part.1) == (case, what)) {
                continue;
            }
            let own = Findings::plays(what, &self.base(case, what.from()));
            parts.push((case, what, own.len()));
            plays.extend(own);
        }
        let mut played = play(&engine, plays).into_iter();
        for (case, what, count) in parts {
            let own = played.by_ref().take(count).collect();
            self.cases[case].1.keep(what, own);
        }
    }

    fn base(&self, case: Case, from: From) -> Base<'_> {
        let (start, findings) = &self.cases[case];
        let idle = findings.idle.as_ref();
        Base {
            from: match from {
                From::Start => *start,
                From::Settled => idle.map_or(*start, |m| m.end),
                From::Braked | From::Tried => findings.swift_brake.as_ref().map_or(*start, |m| m.end),
            },
            idle_rpm: idle.map_or(0.0, |m| m.found.rpm),
            clutch_rpm: self.clutch_rpm,
            tried: findings.coarse_power.map(|m| m.found),
            waits: &self.waits,
        }
    }
}
