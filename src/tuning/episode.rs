//! One practice: reset from (seed, episode), acted upon until it ends. Ended by its own course (signed off, engine lost) it is
//! terminated; ended by our limit or by leaving, truncated. The same seed and actions give the same practice, to the bit.

use serde::Serialize;

use super::action::{Action, Part, Screw, Verdict};
use super::hidden::{Hidden, HiddenError, MOST_TURNS};
use super::scenario::Scenario;
use super::score::{Judgement, Score, TurnCounter};
use crate::bench::checks::{self, Report};
use crate::bench::instruments::{Note, Strip, Tuned, listen};
use crate::bench::measures::{self, LAP};
use crate::bench::rig::Rig;
use crate::engine::Engine;
use crate::engine::params::{Faults, Setting};
use crate::engine::state::Load;
use crate::lanes::Lanes;
use crate::noise::{Channel, Noise};

/// Longest practice, ms on its clock: an hour.
pub const LIMIT_MS: u64 = 3_600_000;
/// A mixture this close to the truth is right, turns.
const RIGHT_TURNS: f64 = 1.0 / 12.0;

/// How a practice ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ending {
    /// Signed off clean, nothing left at fault.
    Clean,
    /// Signed off, and something failed.
    NotClean,
    /// The engine is lost.
    Lost,
    /// Our limit of time.
    OutOfTime,
    /// Left before signing off.
    Left,
}

impl Ending {
    /// Ended by its own course.
    pub fn terminated(self) -> bool {
        matches!(self, Self::Clean | Self::NotClean | Self::Lost)
    }
    /// Ended by a limit or by leaving.
    pub fn truncated(self) -> bool {
        !self.terminated()
    }
}

/// An action that can't be done now, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// The practice is over.
    #[error("the practice is over")]
    Over,
    /// The engine stands.
    #[error("the engine stands; start it first")]
    Standing,
    /// The engine runs.
    #[error("the engine runs; stop it first")]
    Running,
    /// Too far at once.
    #[error("that is too far at once: turn by at most 2 turns")]
    TooFar,
    /// The screw is at its end.
    #[error("the screw is at its end and does not turn further")]
    AtEnd,
    /// A number out of its range.
    #[error("out of range: throttle 0 to 1, at most 600 seconds at a time, 1 to 20 laps, sureness 34 to 100 percent")]
    Range,
    /// Judging comes before turning.
    #[error("a needle has been turned: judging the ends comes before the first turn")]
    TooLate,
    /// Only the two ends are judged.
    #[error("only the high and the low end can be judged")]
    NoEnd,
}

/// What an action brought to light, besides what is heard.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Found {
    /// Head temperature by the gun, °C.
    Gun(f64),
    /// What was seen, in words.
    Seen(String),
}

/// A practice in progress.
#[derive(Clone, Debug)]
pub struct Episode {
    /// What is hidden; for the end.
    pub hidden: Hidden,
    rig: Rig,
    strip: Strip,
    setting: Setting,
    clock_ms: u64,
    left_at_fault: Vec<Part>,
    counter: TurnCounter,
    lean_s: f64,
    lean_now: bool,
    /// When the throttle was last moved, on the engine's clock, s.
    moved_s: f64,
    lean_crossings: u32,
    fuel_kg: f64,
    first_turn_right: Option<bool>,
    judgements: Vec<Judgement>,
    cleared_ms: Option<u64>,
    seen_phi: measures::Mean,
    seen_crackle: f64,
    readings: u64,
    reading: Noise,
    ending: Option<Ending>,
    report: Option<Report>,
    path: Vec<Setting>,
}

impl Episode {
    /// A fresh practice.
    ///
    /// # Errors
    /// A model that can't be used.
    pub fn reset(scenario: &Scenario, seed: u64, episode: u64) -> Result<Self, HiddenError> {
        let hidden = Hidden::draw(scenario, seed, episode)?;
        let mut rig = Rig::warm(&hidden.setup, hidden.start, hidden.seed);
        if scenario.cold {
            rig.state = rig.engine.cold_state();
        }
        rig.state.speed = Lanes([0.0]);
        Ok(Self {
            rig,
            strip: Strip::default(),
            setting: hidden.start,
            clock_ms: 0,
            left_at_fault: scenario.fault.parts(),
            counter: TurnCounter::default(),
            lean_s: 0.0,
            lean_now: false,
            moved_s: 0.0,
            lean_crossings: 0,
            fuel_kg: 0.0,
            first_turn_right: None,
            judgements: Vec::new(),
            cleared_ms: None,
            seen_phi: measures::Mean::default(),
            seen_crackle: 0.0,
            readings: 0,
            reading: Noise::new(seed, episode, Channel::Reading),
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
        self.rig.controls.throttle.0[0]
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
        let (a, b) = (self.setting, self.hidden.start);
        match screw {
            Screw::High => a.high_turns - b.high_turns,
            Screw::Low => a.low_turns - b.low_turns,
            Screw::Idle => a.idle_turns - b.idle_turns,
        }
    }
    /// Gap left by the idle stop, mm.
    pub fn idle_gap_mm(&self) -> f64 {
        checks::idle_gap_mm(&self.hidden.setup, self.setting)
    }
    /// Fuel left, share of the tank.
    pub fn tank_share(&self) -> f64 {
        self.rig.state.tank_fuel.0[0] / self.rig.engine.tank_capacity().0[0]
    }
    /// A digest of the whole state: equal only where everything went the same.
    pub fn digest(&self) -> u64 {
        let s = &self.rig.state;
        let values = [
            s.time.0[0],
            s.speed.0[0],
            s.film_fuel.0[0],
            s.tank_fuel.0[0],
            s.head_temperature.0[0],
            s.crankcase_temperature.0[0],
            s.plug_temperature.0[0],
            s.left.burnt.0[0],
            s.pipe_oil.0[0],
            s.damage.0[0],
            self.setting.high_turns,
            self.setting.low_turns,
            self.setting.idle_turns,
            self.lean_s,
        ];
        // FNV-1a over the values' bits.
        values
            .iter()
            .flat_map(|v| v.to_bits().to_le_bytes())
            .chain(self.clock_ms.to_le_bytes())
            .fold(0xcbf2_9ce4_8422_2325, |h, b| {
                (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3)
            })
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
                crisp_s: limits.snap_delay_ratio * self.hidden.facts.best_snap_delay_s,
                snap_mark_rpm: self.hidden.waits.snap_mark_rpm,
                return_s: limits.return_s,
                excess_share: limits.early_excess_percent / 100.0,
                // An ear without an instrument is right to about two percent (assumed).
                pitch_error: 1.0 + 0.02 * self.reading.bell((1 << 40) | (self.clock_ms / 4000)),
            },
        )
    }

    /// The score so far.
    pub fn score(&self) -> Score {
        let damage = self.rig.state.damage.0[0];
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

    /// Does one action.
    ///
    /// # Errors
    /// It can't be done now; nothing has changed then.
    pub fn act(&mut self, action: &Action) -> Result<Vec<Found>, Refusal> {
        if self.ending.is_some() {
            return Err(Refusal::Over);
        }
        let mut found = Vec::new();
        match *action {
            Action::Turn { screw, turns } => self.turn(screw, turns)?,
            Action::Throttle { position } => {
                in_range(position, 0.0, 1.0)?;
                self.set_throttle(position);
            }
            Action::Hold { position, ms } => {
                in_range(position, 0.0, 1.0)?;
                in_range(f64::from(ms), 0.0, 600_000.0)?;
                self.set_throttle(position);
                self.pass(ms);
            }
            Action::Wait { ms } => {
                in_range(f64::from(ms), 0.0, 600_000.0)?;
                self.pass(ms);
            }
            Action::Gun => {
                self.pass(2000);
                found.push(Found::Gun(self.gun_c()));
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
                in_range(f64::from(laps), 1.0, 20.0)?;
                self.running_or()?;
                self.laps(laps);
                found.push(Found::Gun(self.gun_c()));
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
                found.push(Found::Seen(part.cure().to_string()));
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

    /// Lets time pass; engine and clock stay together to the revolution.
    pub fn pass(&mut self, ms: u32) {
        if self.ending.is_some() {
            return;
        }
        self.clock_ms += u64::from(ms);
        let until = self.clock_ms as f64 * 1e-3;
        let throttle = self.throttle();
        let lean_below = self.hidden.at_truth.symptoms.equivalence_ratio_best_power;
        let detonation_limit = self.hidden.limits.detonation_index;
        while self.rig.state.time.0[0] < until {
            let r = self.rig.turn();
            let d = r.duration.0[0];
            self.strip.hear(throttle, &r, &self.rig.state);
            self.fuel_kg += r.fuel_in.0[0] + r.oil_in.0[0];
            let mut lean = false;
            if throttle >= 0.8 && r.speed.0[0] > 0.0 {
                let phi = r.metered_equivalence_ratio.0[0];
                self.seen_phi.add(phi, d);
                self.seen_crackle += r.detonation.0[0] * d;
                // The moment of opening is lean in any carburettor; what follows it counts.
                let settled = self.rig.state.time.0[0] - self.moved_s > 0.5;
                lean = settled && (r.detonation.0[0] > detonation_limit || lean_below.is_some_and(|limit| phi < limit));
            }
            if lean {
                self.lean_s += d;
                self.lean_crossings += u32::from(!self.lean_now);
            }
            // Only a safe moment at large throttle ends a lean one.
            if lean || throttle >= 0.8 {
                self.lean_now = lean;
            }
        }
        if throttle >= 0.5 && self.running() {
            self.cleared_ms = Some(self.clock_ms);
        }
        if self.rig.state.damage.0[0] >= 1.0 {
            self.ending = Some(Ending::Lost);
        } else if self.clock_ms >= LIMIT_MS {
            self.ending = Some(Ending::OutOfTime);
        }
    }

    fn set_throttle(&mut self, position: f64) {
        if (position - self.throttle()).abs() > 1e-9 {
            self.counter.throttle_used();
            self.moved_s = self.rig.state.time.0[0];
        }
        self.rig.controls.throttle = Lanes([position]);
    }

    fn turn(&mut self, screw: Screw, turns: f64) -> Result<(), Refusal> {
        if !turns.is_finite() || turns.abs() > 2.0 {
            return Err(Refusal::TooFar);
        }
        let before = self.setting;
        let slot = match screw {
            Screw::High => &mut self.setting.high_turns,
            Screw::Low => &mut self.setting.low_turns,
            Screw::Idle => &mut self.setting.idle_turns,
        };
        let old = *slot;
        *slot = (*slot + turns).clamp(0.0, MOST_TURNS);
        let moved = *slot - old;
        if moved == 0.0 && turns != 0.0 {
            return Err(Refusal::AtEnd);
        }
        if screw != Screw::Idle && self.first_turn_right.is_none() && moved != 0.0 {
            let off = match screw {
                Screw::High => before.high_turns - self.hidden.truth.high_turns,
                _ => before.low_turns - self.hidden.truth.low_turns,
            };
            self.first_turn_right = Some(off.abs() > RIGHT_TURNS && (off > 0.0) == (moved < 0.0));
        }
        self.counter.turned(screw, moved, self.clock_ms);
        self.rig = self.rig.with_setting(self.setting);
        self.path.push(self.setting);
        Ok(())
    }

    fn gun_c(&mut self) -> f64 {
        self.readings += 1;
        // A hand-held gun on a small head: two degrees of scatter (assumed).
        let c = self.rig.state.head_temperature.0[0] - 273.15 + 2.0 * self.reading.bell(self.readings);
        c.round()
    }

    fn stop(&mut self) {
        self.set_throttle(0.0);
        self.rig.state.speed = Lanes([0.0]);
    }

    /// Ten seconds with starter and glow lead; whether it then runs is the engine's affair.
    fn start(&mut self) {
        self.set_throttle(0.0);
        self.rig.controls.glow_lead = Lanes([1.0]);
        self.pass(4000);
        self.rig.state.speed = Lanes([150.0]);
        self.hold(0.15, 3000);
        self.hold(0.0, 3000);
        self.rig.controls.glow_lead = Lanes([0.0]);
    }

    /// Throttle of the practice's own doing: it counts as used all the same.
    fn hold(&mut self, position: f64, ms: u32) {
        self.set_throttle(position);
        self.pass(ms);
    }

    fn warm(&mut self) -> Result<(), Refusal> {
        self.running_or()?;
        for _ in 0..30 {
            let s = &self.rig.state;
            let warm = s.head_temperature.0[0] > 358.15 && s.crankcase_temperature.0[0] > 325.0;
            if warm || !self.running() {
                break;
            }
            self.hold(0.3, 4000);
            self.hold(0.0, 2000);
        }
        self.set_throttle(0.0);
        Ok(())
    }

    fn laps(&mut self, laps: u8) {
        self.rig.controls.on_track = Lanes([1.0]);
        for _ in 0..laps {
            for (seconds, throttle) in LAP {
                if self.running() && self.ending.is_none() {
                    self.hold(throttle, (seconds * 1000.0) as u32);
                }
            }
        }
        self.rig = self.rig.with_load(Load::Stand);
        self.set_throttle(0.0);
        self.pass(3000);
    }

    fn pinch(&mut self) -> Result<Found, Refusal> {
        self.running_or()?;
        self.set_throttle(0.0);
        let idle = self.rig.rpm();
        self.rig.controls.line_open = Lanes([0.0]);
        let (mut most, mut ms) = (idle, 0);
        while ms < 15_000 && self.running() && self.rig.rpm() > 0.8 * idle {
            self.pass(100);
            ms += 100;
            // The ear follows a twentieth of a second, not a revolution.
            most = most.max(self.strip.rows().back().map_or(0.0, |r| r.rpm));
        }
        self.rig.controls.line_open = Lanes([1.0]);
        let seconds = f64::from(ms) / 1000.0;
        let rise = 100.0 * (most / idle - 1.0);
        Ok(Found::Seen(match rise {
            r if r > 12.0 => format!("pinched, it speeds up clearly before it fades, after {seconds:.1} s"),
            r if r > 4.0 => format!("pinched, it speeds up a little before it fades, after {seconds:.1} s"),
            _ => format!("pinched, it fades without speeding up, after {seconds:.1} s"),
        }))
    }

    /// What is left at fault, as far as looking shows it.
    fn inspect(&self) -> Vec<Found> {
        let has = |part| self.left_at_fault.contains(&part);
        let tell = |part, bad: &str, good: &str| Found::Seen(if has(part) { bad } else { good }.to_string());
        vec![
            tell(Part::Filter, "air filter: caked with dust", "air filter: clean"),
            tell(
                Part::Line,
                "fuel line: little comes when you blow through it",
                "fuel line: free",
            ),
            tell(
                Part::Pressure,
                "pressure line: split at the nipple",
                "pressure line: tight",
            ),
            tell(Part::Tank, "tank: bubbles in the line as it runs", "tank: no bubbles"),
            tell(
                Part::Leak,
                "carburettor: an oily trace at its foot",
                "carburettor: dry at its foot",
            ),
            tell(
                Part::Brake,
                "wheels: they stop by themselves, the brake drags",
                "wheels: they spin freely",
            ),
        ]
    }

    fn read_plug(&self) -> Found {
        let wire = if self.left_at_fault.contains(&Part::Plug) {
            "the wire is dull and bent"
        } else {
            "the wire is bright"
        };
        let colour = match self.seen_phi.value() {
            None => "it has seen no full throttle to be read by",
            Some(_) if self.seen_crackle > 0.05 => "grey specks on its rim: it has been knocking",
            Some(phi) if phi > 1.6 => "wet and dark: rich on the straight",
            Some(phi) if phi > 1.1 => "moist and shiny: about right on the straight",
            Some(_) => "dry and pale: lean on the straight",
        };
        Found::Seen(format!("plug: {wire}; {colour}"))
    }

    fn fix(&mut self, part: Part) {
        self.stop();
        self.pass(180_000);
        self.left_at_fault.retain(|p| *p != part);
        let faults = &mut self.hidden.setup.faults;
        let none = Faults::NONE;
        match part {
            Part::Leak => faults.air_leak_mm2 = none.air_leak_mm2,
            Part::Line => faults.line_blocked_share = none.line_blocked_share,
            Part::Pressure => faults.pressure_line_leak_share = none.pressure_line_leak_share,
            Part::Plug => faults.plug_tired_share = none.plug_tired_share,
            Part::Filter => faults.filter_blocked_share = none.filter_blocked_share,
            Part::Brake => faults.brake_drag_n = none.brake_drag_n,
            Part::Tank => faults.foam_share = none.foam_share,
        }
        self.rig.engine = Engine::new(&[self.hidden.setup]);
    }

    fn judge(&mut self, end: Screw, said: Verdict, sure_percent: u8) -> Result<(), Refusal> {
        if end == Screw::Idle {
            return Err(Refusal::NoEnd);
        }
        if self.counter.needle_turns > 0 {
            return Err(Refusal::TooLate);
        }
        in_range(f64::from(sure_percent), 34.0, 100.0)?;
        let (start, truth) = (self.hidden.start, self.hidden.truth);
        let off = match end {
            Screw::High => start.high_turns - truth.high_turns,
            _ => start.low_turns - truth.low_turns,
        };
        let was = if off > RIGHT_TURNS {
            Verdict::Rich
        } else if off < -RIGHT_TURNS {
            Verdict::Lean
        } else {
            Verdict::Right
        };
        let warm = self.rig.state.crankcase_temperature.0[0] > 323.15;
        let cleared = self.cleared_ms.is_some_and(|at| self.clock_ms - at < 60_000);
        self.judgements.retain(|j| j.end != end);
        self.judgements.push(Judgement {
            end,
            said,
            sure_percent,
            was,
            readable: warm && cleared,
        });
        Ok(())
    }

    fn sign_off(&mut self) {
        let h = &self.hidden;
        let report = checks::check(&h.setup, h.facts, self.setting, h.seed, &h.limits, &h.waits);
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

fn in_range(value: f64, low: f64, high: f64) -> Result<(), Refusal> {
    if (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(Refusal::Range)
    }
}
