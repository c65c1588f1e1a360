//! What somebody at the bench remembers: what was found with the screws as they stand and before, how each screw went, what was
//! looked at, and what is still missing before signing off. It is fed by sights alone, so it can't know what is hidden; rules are
//! held against it.

mod listening;

use super::Sight;
use super::lot::Lot;
use super::recalled::{Heard, Recalled};
use crate::bench::checks::Limits;
use crate::bench::instruments::SHUT;
use crate::chance::Chance;
use crate::tuning::action::{Action, Part, Screw};
use crate::tuning::episode::{Missing, Refusal};

/// Throttles from which on it is open, and wide open.
const OPEN: f64 = 0.3;
const WIDE: f64 = 0.9;
/// Full throttle that clears a turn out and tells the high end, s: what signing off asks for.
const FULL_S: f64 = 3.0;
/// Something that never was, s ago.
const NEVER_S: f64 = -1e6;

/// How one screw went.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Went {
    /// The last adjustment, turns.
    pub last: f64,
    /// Adjustments.
    pub times: u32,
    /// How often one went against the one before.
    pub turned_back: u32,
    /// The way in which it has come to its end, as a sign; 0 where it has not.
    pub at_end: f64,
}

/// The memory.
#[derive(Clone, Debug)]
pub struct Memory {
    pub(super) limits: Limits,
    pub(super) clock_s: f64,
    pub(super) running: bool,
    pub(super) gap_mm: f64,
    pub(super) tank_quarters: u8,
    pub(super) throttle: f64,
    pub(super) looked_over: bool,
    pub(super) to_fix: Vec<Part>,
    pub(super) plug_seen: bool,
    pub(super) gun: Option<(f64, f64)>,
    pub(super) warmed: u32,
    pub(super) starts_in_vain: u32,
    /// Died since the last turn, with the throttle open or shut.
    pub(super) died_opened: bool,
    pub(super) died_idling: bool,
    /// How often it died since the last turn or cure.
    pub(super) deaths: u32,
    /// A turn has not been cleared out.
    pub(super) turned: bool,
    /// It has idled long enough to be judged.
    pub(super) settled: bool,
    /// What was found, and before.
    pub(super) found: Recalled,
    /// Full throttle since the plug was last seen, s; what it shows is of that.
    pub(super) plug_saw_s: f64,
    /// Fastest full throttle by the tachometer, rpm.
    pub(super) full_rpm: Heard<f64>,
    pub(super) idle_rpm: Heard<f64>,
    /// The last turn of the high-speed needle, since when speeds are compared.
    pub(super) high_compared: f64,
    pub(super) snaps: u32,
    /// How long the last pinch test took to fade, s.
    pub(super) pinch_s: Option<f64>,
    pub(super) driven_s: f64,
    /// How often since a needle last turned.
    pub(super) drives: u32,
    pub(super) went: [Went; 3],
    /// Full throttle held since the last turn of a needle, s.
    pub(super) full_s: f64,
    /// What signing off still asks for.
    pub(super) missing: Missing,
    pub(super) plug_stops: u32,
    /// Parts put right.
    pub(super) cures: u32,
    /// The action before, and how often in a row.
    pub(super) last: Option<Action>,
    pub(super) repeated: u32,
    /// Refused since something was last done.
    pub(super) refused: Vec<Action>,
    /// Passes done, and how often each screw had turned when this one began.
    pub(super) passes: u32,
    pub(super) pass_began: [u32; 3],
    /// What is left to chance.
    pub(super) lot: Lot,
    // How the throttle is followed.
    cleared: bool,
    open: bool,
    snapping: bool,
    pinched_s: f64,
    marks: [f64; 3],
    /// How long it has been held wide open by now, s, and when it was last open at all.
    pub(super) wide_s: f64,
    open_at_s: f64,
}

impl Memory {
    /// Of somebody who knows the limits of a clean setting, as they stand in the scenario, and nothing else; `chance` decides what is
    /// left to it.
    pub fn new(limits: Limits, chance: Chance) -> Self {
        Self {
            limits,
            clock_s: 0.0,
            running: false,
            gap_mm: 0.0,
            tank_quarters: 4,
            throttle: 0.0,
            looked_over: false,
            to_fix: Vec::new(),
            plug_seen: false,
            gun: None,
            warmed: 0,
            starts_in_vain: 0,
            died_opened: false,
            died_idling: false,
            deaths: 0,
            turned: false,
            settled: false,
            found: Recalled::default(),
            plug_saw_s: 0.0,
            full_rpm: Heard::NOTHING,
            idle_rpm: Heard::NOTHING,
            high_compared: 0.0,
            snaps: 0,
            pinch_s: None,
            driven_s: NEVER_S,
            drives: 0,
            went: [Went::default(); 3],
            full_s: 0.0,
            missing: Missing::default(),
            plug_stops: 0,
            cures: 0,
            last: None,
            repeated: 0,
            refused: Vec::new(),
            passes: 0,
            pass_began: [0; 3],
            lot: Lot::new(chance),
            cleared: true,
            open: false,
            snapping: false,
            pinched_s: NEVER_S,
            marks: [0.0; 3],
            wide_s: 0.0,
            open_at_s: NEVER_S,
        }
    }

    /// What was found, and before.
    pub fn found(&self) -> &Recalled {
        &self.found
    }
    /// Fastest full throttle by the tachometer with the screws as they stand, rpm.
    pub fn full_rpm(&self) -> Option<f64> {
        self.full_rpm.now
    }
    /// How long the last pinch test took to fade, s.
    pub fn pinch_s(&self) -> Option<f64> {
        self.pinch_s
    }

    /// An action that could not be done: it is not proposed again before something else was done.
    pub fn refused(&mut self, action: &Action, _: Refusal) {
        if !self.refused.contains(action) {
            self.refused.push(*action);
        }
        self.lot.decided(action);
    }

    /// Begins the next pass: what was found with the screws as they stand counts as before, and is found anew.
    pub(super) fn next_pass(&mut self) {
        self.passes += 1;
        self.pass_began = self.went.map(|went| went.times);
        self.found.grows_old(|_| true);
        self.full_rpm.grows_old();
        self.idle_rpm.grows_old();
        self.pinch_s = None;
        self.snaps = 0;
    }

    /// Something was done, be it by a hand that did what was proposed without its being one action: rules count how often in a row.
    pub fn counts(&mut self, action: &Action) {
        self.repeated = if self.last == Some(*action) {
            self.repeated + 1
        } else {
            1
        };
        self.last = Some(*action);
        self.refused.clear();
        self.lot.decided(action);
    }

    /// Notes what came of an action.
    pub fn did(&mut self, action: &Action, sight: &Sight) {
        self.came_of(action, sight, false);
    }

    /// The same of a turn that is one with the turn before, made click by click.
    pub fn turned_on(&mut self, action: &Action, sight: &Sight) {
        self.came_of(action, sight, true);
    }

    fn came_of(&mut self, action: &Action, sight: &Sight, goes_on: bool) {
        if let Action::Throttle { .. } = action {
            // A hand moves on; what comes of it is heard as time passes.
            return self.listen(sight);
        }
        self.counts(action);
        let (ran, from_s) = (self.running, self.clock_s);
        match *action {
            Action::Turn { screw, turns } => self.turned_a_screw(screw, turns, goes_on, sight),
            Action::Inspect => self.looked_over = true,
            // It has stood, and is cold by now.
            Action::Plug => {
                (self.plug_seen, self.plug_stops, self.gun, self.warmed) = (true, self.plug_stops + 1, None, 0)
            }
            Action::Fix { part } => {
                // What was heard was the fault's.
                self.deaths = 0;
                self.to_fix.retain(|p| *p != part);
                self.cures += 1;
                self.begin_anew();
            }
            Action::Warm => {
                (self.gun, self.warmed) = (None, self.warmed + 1);
                if self.driven_s == NEVER_S {
                    // A pinch test before was one of a cold engine.
                    self.forget_pinch();
                }
            }
            Action::Start => {
                self.starts_in_vain = if sight.running { 0 } else { self.starts_in_vain + 1 };
            }
            Action::Laps { .. } if sight.running => {
                self.driven_s = sight.clock_s;
                self.drives += 1;
                self.plug_saw_s += FULL_S;
                (self.turned, self.cleared) = (false, true);
            }
            Action::RollOn if sight.running => (self.turned, self.cleared) = (false, true),
            Action::Hold { position, .. } if position >= WIDE => {
                let held_s = sight.clock_s - from_s;
                self.wide_s = held_s;
                self.full_s = self.full_s.max(held_s);
                self.plug_saw_s += held_s;
            }
            _ => {}
        }
        if sight.throttle < WIDE || !sight.running {
            self.wide_s = 0.0;
        }
        if ran && !sight.running {
            let opened = matches!(action, Action::Laps { .. } | Action::Hold { .. } | Action::RollOn);
            let idling = matches!(action, Action::Wait { .. } | Action::Pinch | Action::Warm | Action::Gun);
            self.died_opened |= opened;
            self.died_idling |= idling;
            // Otherwise it was stopped.
            self.deaths += u32::from(opened || idling);
        }
        for found in &sight.found {
            self.take_in(found, sight.clock_s);
        }
        let opens = matches!(
            action,
            Action::Start | Action::Warm | Action::Laps { .. } | Action::RollOn | Action::Hold { .. }
        );
        if opens || sight.throttle >= SHUT {
            self.open_at_s = sight.clock_s;
        }
        self.take_in_sounds(sight, true);
    }

    fn forget_pinch(&mut self) {
        self.found.grows_old(|finding| finding.name == "pinch");
        self.pinch_s = None;
    }

    fn put_down(&mut self, part: Part, at_fault: bool) {
        if at_fault && !self.to_fix.contains(&part) {
            self.to_fix.push(part);
        }
    }

    /// Forgets what was heard, and keeps what was seen of the parts and how the screws went.
    fn begin_anew(&mut self) {
        let fresh = Self::new(self.limits, self.lot.chance());
        *self = Self {
            looked_over: self.looked_over,
            plug_seen: self.plug_seen,
            to_fix: std::mem::take(&mut self.to_fix),
            went: self.went,
            cures: self.cures,
            marks: self.marks,
            last: self.last,
            repeated: self.repeated,
            pass_began: self.went.map(|went| went.times),
            lot: self.lot,
            ..fresh
        };
    }

    /// A turn; `goes_on` if it is one with the turn before.
    fn turned_a_screw(&mut self, screw: Screw, asked: f64, goes_on: bool, sight: &Sight) {
        let at = screw as usize;
        let turns = sight.marks.of(screw) - self.marks[at];
        let stopped = turns.abs() < asked.abs() - 1e-9;
        self.went[at].at_end = if stopped { asked.signum() } else { 0.0 };
        if turns == 0.0 {
            return;
        }
        let went = &mut self.went[at];
        went.turned_back += u32::from(turns * went.last < 0.0);
        went.times += u32::from(!goes_on);
        went.last = if goes_on { went.last + turns } else { turns };
        self.turned = true;
        (self.cleared, self.settled) = (false, false);
        (self.died_opened, self.died_idling) = (false, false);
        (self.starts_in_vain, self.deaths) = (0, 0);
        self.snaps = 0;
        self.found.grows_old(|finding| finding.old_by.contains(&screw));
        self.idle_rpm.grows_old();
        self.pinch_s = None;
        if screw != Screw::Idle {
            (self.full_s, self.drives) = (0.0, 0);
        }
        if screw == Screw::High {
            self.high_compared = self.went[at].last;
            if !goes_on {
                self.full_rpm.before = None;
                self.full_rpm.grows_old();
            }
            self.plug_saw_s = 0.0;
        }
    }
}
