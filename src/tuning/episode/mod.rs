//! One practice: reset from (seed, episode), acted upon until it ends. Ended by its own course (signed off, engine lost) it is
//! terminated; ended by our limit or by leaving, truncated. The same seed and actions give the same practice, to the bit.

mod answer;
mod digest;
mod hands;
mod looks;

pub use answer::{Ending, Found, Quantity, Refusal, in_range};

use crate::bench::checks::{self, Report};
use crate::bench::instruments::{Note, OPENING_S, Strip, Tuned, listen};
use crate::bench::rig::Rig;
use crate::chance::Chance;
use crate::engine::params::Setting;
use crate::tuning::action::{Action, Part, Screw};
use crate::tuning::hidden::{Hidden, HiddenError, within};
use crate::tuning::human::{Errors, Human};
use crate::tuning::scenario::Scenario;
use crate::tuning::score::{Judgement, Score, TurnCounter};

/// Longest practice, ms on its clock: an hour.
pub const LIMIT_MS: u64 = 3_600_000;
/// "Too lean" begins where the metered mixture is leaner than that of best power by this share: some eighth of a turn lean, which
/// must fail. The carburettor meters a little leaner on the stand and on the track than on the brake on which best power is found,
/// and a setting that passes there is not too lean (assumed).
const LEAN_SHARE: f64 = 0.95;
/// Head at which an engine is warm, K: where a gun reads 75 °C (common practice).
const WARM_HEAD: f64 = 348.15;
/// What an ear forgives of the speed just after a return, as a share: the stand is cooler than the checks, and a second of falling
/// pitch is not measured by ear (assumed).
const EAR_EXCESS_SHARE: f64 = 0.04;
/// A mixture this close to the truth is right, turns.
const RIGHT_TURNS: f64 = 1.0 / 12.0;

/// A practice in progress.
#[derive(Clone, Debug)]
pub struct Episode {
    /// What is hidden; for the end.
    pub hidden: Hidden,
    rig: Rig,
    strip: Strip,
    /// Screws against where they stood at the start: high, low, idle. The sum of the turns alone, so that not even its last digits
    /// tell where it began.
    marks: [f64; 3],
    clock_ms: u64,
    /// How long the engine has run, ms on that clock.
    ran_ms: u64,
    /// Since when the engine stands, ms on that clock; none while it runs.
    silent_ms: Option<u64>,
    /// The throttle is held by a hand that lets go before anything else is done.
    held: bool,
    left_at_fault: Vec<Part>,
    counter: TurnCounter,
    lean_s: f64,
    /// Safe time at large throttle since it was last too lean, s.
    safe_s: f64,
    /// When the throttle was last moved, on the engine's clock, s.
    moved_s: f64,
    lean_crossings: u32,
    fuel_kg: f64,
    first_turn_right: Option<bool>,
    judgements: Vec<Judgement>,
    cleared_ms: Option<u64>,
    seen: looks::Seen,
    human: Human,
    ending: Option<Ending>,
    report: Option<Report>,
    path: Vec<Setting>,
}

impl Episode {
    /// A fresh practice.
    ///
    /// # Errors
    /// A model that can't be used, or no clean setting in reach.
    pub fn reset(scenario: &Scenario, seed: u64, episode: u64) -> Result<Self, HiddenError> {
        let hidden = Hidden::draw(scenario, seed, episode)?;
        let mut rig = Rig::warm(&hidden.setup, hidden.start, hidden.drawn.engine_seed);
        if scenario.cold {
            rig.state = rig.engine.cold_state();
        }
        rig.state.speed = 0.0;
        Ok(Self {
            rig,
            strip: Strip::default(),
            marks: [0.0; 3],
            clock_ms: 0,
            ran_ms: 0,
            silent_ms: Some(0),
            held: false,
            left_at_fault: scenario.fault.parts(),
            counter: TurnCounter::default(),
            lean_s: 0.0,
            safe_s: f64::INFINITY,
            moved_s: 0.0,
            lean_crossings: 0,
            fuel_kg: 0.0,
            first_turn_right: None,
            judgements: Vec::new(),
            cleared_ms: None,
            seen: looks::Seen::default(),
            human: Human::new(Chance::new(seed, episode)),
            ending: None,
            report: None,
            path: vec![hidden.start],
            hidden,
        })
    }

    /// Time on the practice's clock, ms.
    pub fn clock_ms(&self) -> u64 {
        self.clock_ms
    }
    /// How it ended, if it did.
    pub fn ending(&self) -> Option<Ending> {
        self.ending
    }
    /// The checks of the sign-off, once done.
    pub fn report(&self) -> Option<&Report> {
        self.report.as_ref()
    }
    /// Whether the engine runs.
    pub fn running(&self) -> bool {
        !self.rig.stalled()
    }
    /// Throttle, 0..1.
    pub fn throttle(&self) -> f64 {
        self.rig.controls.throttle
    }
    fn warm_head(&self) -> bool {
        self.rig.state.head_temperature >= WARM_HEAD
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
    /// Speed, rpm.
    pub fn rpm(&self) -> f64 {
        self.rig.rpm()
    }
    /// What passed.
    pub fn strip(&self) -> &Strip {
        &self.strip
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

    /// What is heard and seen now.
    pub fn notes(&self) -> Vec<Note> {
        let limits = &self.hidden.limits;
        let clutch_rpm = self.hidden.setup.engine.drive.clutch_engage_rpm;
        let rows: Vec<_> = self.strip.rows().iter().copied().collect();
        listen(
            &rows,
            &Tuned {
                idle_low_rpm: limits.idle_low_rpm,
                idle_high_rpm: limits.idle_high_rpm.min(clutch_rpm - limits.idle_below_clutch_rpm),
                clutch_rpm,
                crisp_s: limits.snap_delay_ratio * self.hidden.judging.facts.best_snap_delay_s,
                snap_mark_rpm: self.hidden.judging.waits.snap_mark_rpm,
                return_s: limits.return_s,
                excess_share: limits.early_excess_percent / 100.0 + EAR_EXCESS_SHARE,
                pitch_error: 1.0 + self.human.pitch_percent(self.clock_ms) / 100.0,
            },
        )
    }

    /// The score so far.
    pub fn score(&self) -> Score {
        let damage = self.rig.state.damage;
        Score {
            unharmed: damage < 1.0,
            damage,
            lean_s: self.lean_s,
            clean: self.ending == Some(Ending::Clean),
            turns: self.counter.needle_turns,
            idle_trims: self.counter.idle_trims,
            rotation_turns: self.counter.rotation_turns,
            fuel_g: self.fuel_kg * 1e3,
            minutes: self.clock_ms as f64 / 60_000.0,
            first_turn_right: self.first_turn_right,
            lean_crossings: self.lean_crossings,
            judgements: self.judgements.clone(),
        }
    }

    /// Does one action. A held throttle stays until the next action or the next moment, so that its last one can be told; then it
    /// springs back.
    ///
    /// # Errors
    /// It can't be done now; nothing has changed then.
    pub fn act(&mut self, action: &Action) -> Result<Vec<Found>, Refusal> {
        if self.ending.is_some() {
            return Err(Refusal::Over);
        }
        in_range(action)?;
        self.let_go();
        let found = self.done(action)?;
        // Read or looked at: whoever turns on knows more than before.
        if matches!(action, Action::Gun | Action::Inspect | Action::Pinch | Action::Plug) {
            self.counter.interrupted();
        }
        Ok(found)
    }

    /// Lets a held throttle spring back.
    fn let_go(&mut self) {
        if std::mem::take(&mut self.held) {
            self.set_throttle(0.0);
        }
    }

    fn done(&mut self, action: &Action) -> Result<Vec<Found>, Refusal> {
        let mut found = Vec::new();
        match *action {
            Action::Turn { screw, turns } => self.turn(screw, turns)?,
            Action::Throttle { position } => self.set_throttle(position),
            Action::Hold { position, ms } => {
                self.set_throttle(position);
                self.pass(ms);
                self.held = true;
            }
            Action::Wait { ms } => self.pass(ms),
            Action::Gun => {
                self.pass(2000);
                found.push(self.gun());
            }
            Action::Inspect => {
                found.extend(self.inspect());
                self.pass(60_000);
            }
            Action::Pinch => found.push(self.pinch()?),
            Action::Plug => {
                self.stop();
                self.pass(90_000);
                found.push(self.read_plug());
            }
            Action::Warm => self.warm()?,
            Action::Laps { laps } => {
                self.running_or()?;
                self.laps(laps);
                found.push(self.gun());
            }
            Action::Fuel => {
                self.pass(10_000);
                self.rig.state.tank_fuel = self.rig.engine.tank_capacity();
            }
            Action::Stop => {
                self.running_or()?;
                self.stop();
            }
            Action::Start => {
                if self.running() {
                    return Err(Refusal::Running);
                }
                self.start();
            }
            Action::Fix { part } => {
                self.fix(part);
                found.push(Found::Fixed { part });
            }
            Action::Judge {
                end,
                verdict,
                sure_percent,
            } => self.judge(end, verdict, sure_percent)?,
            Action::SignOff => self.sign_off(),
            Action::Leave => self.ending = Some(Ending::Left),
        }
        Ok(found)
    }

    fn running_or(&self) -> Result<(), Refusal> {
        if self.running() { Ok(()) } else { Err(Refusal::Standing) }
    }

    /// Lets time pass, at most to the limit; engine and clock stay together to the revolution.
    pub fn pass(&mut self, ms: u32) {
        if self.ending.is_some() {
            return;
        }
        self.let_go();
        let began_ms = self.clock_ms;
        self.clock_ms = (began_ms + u64::from(ms)).min(LIMIT_MS);
        let until = self.clock_ms as f64 * 1e-3;
        let throttle = self.throttle();
        let best_power = self.hidden.at_truth.symptoms.equivalence_ratio_best_power;
        let detonation_limit = self.hidden.limits.detonation_index;
        while self.rig.state.time < until {
            let ran = self.running();
            let r = self.rig.turn();
            if ran && !self.running() {
                self.silent_ms = Some((self.rig.state.time * 1e3).ceil() as u64);
            }
            let d = r.duration;
            self.strip.hear(throttle, &r, &self.rig.state);
            self.fuel_kg += r.fuel_in + r.oil_in;
            let mut lean = false;
            if throttle >= 0.8 && r.speed > 0.0 {
                let phi = r.metered_equivalence_ratio;
                self.seen.mixture(phi, d);
                // The moment of opening is lean in any carburettor; what follows it counts. A cold engine's air is dense and its
                // walls still take their film: there the metered mixture says nothing of the needles, and only knocking is lean.
                let settled = self.rig.state.time - self.moved_s > OPENING_S;
                let starved = self.warm_head() && best_power.is_some_and(|best| phi < LEAN_SHARE * best);
                let knocks = settled && r.detonation > detonation_limit;
                self.seen.knock_s += if knocks { d } else { 0.0 };
                lean = knocks || settled && starved;
            }
            if lean {
                self.lean_s += d;
                // A second of safe running at large throttle ends a lean spell; between two spells of one opening it flickers.
                self.lean_crossings += u32::from(self.safe_s >= 1.0);
                self.safe_s = 0.0;
            } else if throttle >= 0.8 {
                self.safe_s += d;
            }
        }
        // Counted to its last moment, whatever steps time passes in.
        let silent_ms = self.silent_ms.unwrap_or(u64::MAX);
        self.ran_ms += self.clock_ms.min(silent_ms) - began_ms.min(silent_ms);
        if throttle >= 0.5 && self.running() {
            self.cleared_ms = Some(self.clock_ms);
        }
        if self.rig.state.damage >= 1.0 {
            self.ending = Some(Ending::Lost);
        } else if self.clock_ms >= LIMIT_MS {
            self.ending = Some(Ending::OutOfTime);
        }
    }

    fn sign_off(&mut self) {
        let h = &self.hidden;
        let report = h.judging.check(&h.setup, self.opening());
        self.ending = Some(if report.clean && self.left_at_fault.is_empty() {
            Ending::Clean
        } else {
            Ending::NotClean
        });
        self.report = Some(report);
    }

    /// Parts still at fault; for the end.
    pub fn left_at_fault(&self) -> &[Part] {
        &self.left_at_fault
    }
}
