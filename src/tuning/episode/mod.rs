//! One practice: reset from (seed, episode), acted upon until it ends. Ended by its own course (signed off, engine lost) it is
//! terminated; ended by our limit or by leaving, truncated. The same seed and actions give the same practice, to the bit.

mod answer;
mod chop;
mod digest;
mod doing;
mod ear;
mod hands;
mod heard;
mod lean;
mod log;
mod looks;
mod playing;
mod stages;
mod stretch;

pub use answer::{Ending, Found, Quantity, Refusal, Warmed, in_range};
pub use heard::{ALL_HEARD, Ask, FULL_S, IDLE_S, Missing, ROLL_ON_S, WAIT_S, WARM_HEAD_C};
pub use looks::{LOOKED_AT, stands};
pub use stages::SignedOff;

pub(super) use doing::Begun;
pub(super) use stretch::{Stretch, Which};

use std::sync::Arc;

use crate::bench::checks::{self, Report};
use crate::bench::instruments::Strip;
use crate::bench::rig::Rig;
use crate::chance::Chance;
use crate::engine::Engine;
use crate::engine::params::Setting;
use crate::engine::state::State;
use crate::noise::whole;
use crate::tuning::action::{Part, Screw};
use crate::tuning::hidden::{Hidden, HiddenError};
use crate::tuning::human::{Errors, Human, Skill};
use crate::tuning::judging::within;
use crate::tuning::scenario::{Fault, Scenario};
use crate::tuning::score::{FirstTurn, Judgement, Score, TurnCounter};
use crate::tuning::sums::{Sums, Wear};

/// Longest practice with one sign-off, ms on its clock: an hour.
pub const LIMIT_MS: u64 = 3_600_000;
/// A mixture this close to the truth is right, turns.
const RIGHT_TURNS: f64 = 1.0 / 12.0;

/// A practice in progress.
#[derive(Clone, Debug)]
pub struct Episode {
    /// What is hidden; for the end.
    pub hidden: Hidden,
    rig: Rig,
    /// What is too lean.
    right: Arc<lean::Right>,
    log: log::Log,
    /// The action under way.
    doing: Option<doing::Doing>,
    /// Screws against where they stood at the start: high, low, idle. The sum of the turns alone, so that not even its last digits
    /// tell where it began.
    marks: [f64; 3],
    clock_ms: u64,
    /// How long the engine has run, ms on that clock.
    ran_ms: u64,
    /// The throttle is held by a hand that lets go before anything else is done.
    held: bool,
    left_at_fault: Vec<Part>,
    /// Parts put right, and whether they were at fault.
    cures: Vec<(Part, bool)>,
    counter: TurnCounter,
    first_turn: Option<FirstTurn>,
    judgements: Vec<Judgement>,
    human: Human,
    ending: Option<Ending>,
    report: Option<Report>,
    /// The same with both needles leaner by what a safe setting bears.
    leaner: Option<Report>,
    path: Vec<Setting>,
    origin: stages::Origin,
    signed_off: Vec<SignedOff>,
    /// What an ear and a plug are held against.
    at_best: chop::AtBest,
}

impl Episode {
    /// A fresh practice.
    ///
    /// # Errors
    /// A model that can't be used, or no clean setting in reach.
    pub fn reset(scenario: &Scenario, seed: u64, episode: u64) -> Result<Self, HiddenError> {
        Self::reset_for(scenario, seed, episode, Skill::default())
    }

    /// A fresh practice for somebody of such skill.
    ///
    /// # Errors
    /// As for any.
    pub fn reset_for(scenario: &Scenario, seed: u64, episode: u64, skill: Skill) -> Result<Self, HiddenError> {
        let hidden = Hidden::draw(scenario, seed, episode)?;
        let mut rig = Rig::warm(&hidden.setup, hidden.start, hidden.drawn.engine_seed);
        if scenario.cold {
            rig.state = rig.engine.cold_state();
        }
        rig.state.speed = 0.0;
        Ok(Self {
            right: Arc::new(lean::Right::of(&hidden, rig.stand())),
            rig,
            log: log::Log::new(hidden.judging.waits.snap_mark_rpm),
            at_best: chop::AtBest::of(&hidden),
            doing: None,
            marks: [0.0; 3],
            clock_ms: 0,
            ran_ms: 0,
            held: false,
            left_at_fault: hidden.drawn.fault.map(|fault| fault.part).into_iter().collect(),
            cures: Vec::new(),
            counter: TurnCounter::default(),
            first_turn: None,
            judgements: Vec::new(),
            human: Human::new(Chance::new(seed, episode), skill),
            ending: None,
            report: None,
            leaner: None,
            path: vec![hidden.start],
            hidden,
            origin: stages::Origin::new(scenario, seed, episode),
            signed_off: Vec::new(),
        })
    }

    /// The same practice for somebody of another skill; only while nothing was read in it yet is it the one that such a one would have.
    pub fn by(&self, skill: Skill) -> Self {
        let stages::Origin { seed, episode, .. } = self.origin;
        Self {
            human: Human::new(Chance::new(seed, episode), skill),
            ..self.clone()
        }
    }

    /// The same practice with its screws standing elsewhere at the start; only while nothing was done in it.
    pub fn starting_at(&self, start: Setting) -> Self {
        let mut practice = self.clone();
        (practice.hidden.start, practice.hidden.came) = (start, start);
        practice.path = vec![start];
        practice.rig = practice.rig.with_setting(practice.opening());
        practice
    }

    /// The same practice with this part at fault, or none; only while nothing was done in it.
    pub fn with_fault(&self, fault: Option<Fault>) -> Self {
        let mut practice = self.clone();
        let hidden = &mut practice.hidden;
        hidden.drawn.fault = fault;
        hidden.setup.faults = Fault::faults(fault, hidden.drawn.sleeve_wear_share);
        practice.rig.engine = Engine::new(&hidden.setup);
        practice.left_at_fault = fault.map(|fault| fault.part).into_iter().collect();
        practice
    }

    /// The chance of this practice, for what its tuner leaves to it.
    pub fn chance(&self) -> Chance {
        Chance::new(self.origin.seed, self.origin.episode)
    }
    /// Time on the practice's clock, ms.
    pub fn clock_ms(&self) -> u64 {
        self.clock_ms
    }
    /// Revolutions that the engine has turned on it so far.
    pub fn revolutions(&self) -> u64 {
        whole(self.rig.state.revolution)
    }
    /// How it ended, if it did.
    pub fn ending(&self) -> Option<Ending> {
        self.ending
    }
    /// The checks of the sign-off, once done.
    pub fn report(&self) -> Option<&Report> {
        self.report.as_ref()
    }
    /// The checks with both needles leaner by what a safe setting bears, once signed off.
    pub fn leaner(&self) -> Option<&Report> {
        self.leaner.as_ref()
    }
    /// Whether the engine runs.
    pub fn running(&self) -> bool {
        !self.rig.stalled()
    }
    /// Everything that varies in the engine; for the end.
    pub fn state(&self) -> &State {
        &self.rig.state
    }
    /// Throttle, 0..1.
    pub fn throttle(&self) -> f64 {
        self.rig.controls.throttle
    }
    /// Whether a verdict on it would be one on a cold engine.
    pub fn is_cold(&self) -> bool {
        !self.warm_head()
    }
    /// Whether the head is warm, whatever a gun reads; for the end.
    pub fn warm_head(&self) -> bool {
        self.rig.state.head_temperature >= heard::WARM_HEAD
    }
    /// Where the screws stand.
    fn setting(&self) -> Setting {
        let (start, [high, low, idle]) = (self.hidden.start, self.marks);
        Setting {
            high_turns: start.high_turns + high,
            low_turns: start.low_turns + low,
            idle_turns: start.idle_turns + idle,
        }
    }
    /// What the screws let through: beyond shut and beyond wide open a screw turns on until its own end, and nothing changes.
    fn opening(&self) -> Setting {
        within(self.setting())
    }
    /// What signing off still asks for: what has not been heard since the last turn, and an engine that runs to hear it by.
    pub fn missing(&self) -> Missing {
        let missing = self.log.heard.missing();
        if missing.is_empty() || self.running() {
            missing
        } else {
            missing.with(Ask::Start)
        }
    }
    /// Speed, rpm.
    pub fn rpm(&self) -> f64 {
        self.rig.rpm()
    }
    /// What passed.
    pub fn strip(&self) -> &Strip {
        &self.log.strip
    }
    /// The settings in the order in which they were reached; for the end.
    pub fn path(&self) -> &[Setting] {
        &self.path
    }
    /// Turns of a screw since the start: its relative mark.
    pub fn mark(&self, screw: Screw) -> f64 {
        self.marks[screw as usize]
    }
    /// Adjustments of all screws so far, as the score counts them.
    pub fn adjustments(&self) -> u32 {
        self.counter.needle_turns + self.counter.idle_trims
    }
    /// Gap left by the idle stop, mm.
    pub fn idle_gap_mm(&self) -> f64 {
        checks::idle_gap_mm(&self.hidden.setup, self.opening())
    }
    /// Fuel left in quarters of the tank, as one sees it.
    pub fn tank_quarters(&self) -> u8 {
        (self.tank_share() * 4.0).ceil().clamp(0.0, 4.0) as u8
    }
    /// Speed as a tachometer shows it, to a hundred, rpm.
    pub fn tachometer_rpm(&self) -> f64 {
        (self.rpm() / 100.0).round() * 100.0
    }
    /// Fuel left, share of the tank.
    pub fn tank_share(&self) -> f64 {
        self.rig.state.tank_fuel / self.rig.engine.tank_capacity()
    }
    /// What hand, ear and eye got wrong so far; for the end.
    pub fn errors(&self) -> Errors {
        self.human.errors(self.clock_ms)
    }

    /// What it has cost so far, by cause.
    pub fn sums(&self) -> Sums {
        Sums {
            wear: Wear::from(self.rig.state.damage),
            lean: self.log.lean,
        }
    }
    /// Whether it is too lean at this moment.
    pub fn lean_now(&self) -> bool {
        self.log.safe_s == 0.0 && self.running()
    }

    /// The score so far.
    pub fn score(&self) -> Score {
        let damage = self.rig.state.damage.total();
        let Sums { wear, lean } = self.sums();
        Score {
            unharmed: damage < 1.0,
            damage,
            wear,
            lean_s: lean.total(),
            lean,
            clean: self.ending == Some(Ending::Clean),
            safe_clean: self.ending == Some(Ending::Clean) && self.leaner.as_ref().is_some_and(|r| r.clean),
            turns: self.counter.needle_turns,
            idle_trims: self.counter.idle_trims,
            rotation_turns: self.counter.rotation_turns,
            fuel_g: self.log.fuel_kg * 1e3,
            minutes: self.clock_ms as f64 / 60_000.0,
            first_turn_right: self.first_turn.map(|turn| turn == FirstTurn::Right),
            first_turn: self.first_turn,
            lean_crossings: self.log.lean_crossings,
            judgements: self.judgements.clone(),
            cures: self.cures.len() as u32,
            cures_in_vain: self.cures.iter().filter(|cure| !cure.1).count() as u32,
            cures_euros: self.cures.iter().map(|cure| cure.0.cure_euros()).sum(),
        }
    }

    /// Lets a held throttle spring back.
    fn let_go(&mut self) {
        if std::mem::take(&mut self.held) {
            self.set_throttle(0.0);
        }
    }

    /// Refuses to sign off what was not heard.
    fn all_heard(&self) -> Result<(), Refusal> {
        let missing = self.missing();
        if missing.is_empty() {
            Ok(())
        } else {
            Err(Refusal::Unheard { missing })
        }
    }

    /// What a sign-off would find now; for the end.
    pub fn as_left(&self) -> Report {
        self.hidden.judging.check(&self.hidden.setup, self.opening())
    }

    /// Parts still at fault; for the end.
    pub fn left_at_fault(&self) -> &[Part] {
        &self.left_at_fault
    }
}
