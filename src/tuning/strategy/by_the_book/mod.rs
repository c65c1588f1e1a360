//! By the book, as a club member would teach it (common practice): look it over, warm it up, find the high-speed needle by how the speed
//! answers an eighth of a turn, trim the idle, turn the low-speed needle until the engine speeds up a little when pinched (a lot is
//! rich, hardly is lean), then snap it after a wait, and once more round. At full throttle rich can be heard and lean hardly, so the high
//! end is opened first: what that costs in speed tells where it stood. Without a tachometer it is opened until it sounds rich.
//!
//! [`Book`] is the memory of what was heard at the present setting. It proposes; whoever acts may do something else, and the book
//! goes on from what is heard then. `advise` says what it proposes.

mod advise;

use super::Sight;
use crate::bench::checks::Limits;
use crate::bench::instruments::{Note, PinchRise, PlugColour};
use crate::tuning::action::{Action, Part, Screw};
use crate::tuning::episode::Found;

/// Gain of the full-throttle speed by an eighth of a turn that is worth another, as a share: power still rises by two
/// percent.
const GAIN: f64 = 0.0075;
/// Loss of it by an eighth of a turn opened, above which it was rich before.
const FALLS: f64 = 0.009;
/// The same, below which it was lean before, and stands better now.
const HOLDS: f64 = 0.0035;
/// Gain by an eighth of a turn leaned below which that was one too many.
const FLAT: f64 = 0.003;
/// How far the idle stays inside its window above and below, as a share: not at its edge, for it runs up by some percent when the
/// engine gets hot.
const IDLE_ROOM: [f64; 2] = [0.1, 0.1];
/// Wait after a pinch test, s: it emptied the film, and a snap would be lean.
const AFTER_PINCH_S: f64 = 8.0;
const TWELFTH: f64 = 1.0 / 12.0;
const EIGHTH: f64 = 0.125;
const CLICK: f64 = 1.0 / 24.0;
/// Turns back of the low-speed needle after which its place is known to a click.
const BACK_AND_FORTH: u32 = 3;

/// What was heard of the idle, cleared out and settled.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Idle {
    fast: bool,
    slow: bool,
    falls: bool,
    hangs: bool,
    sinks: bool,
}

/// What was heard of a snap after a wait.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Snap {
    stutters: bool,
    slow: bool,
    bogs: bool,
    puffs: bool,
}

/// The memory of what was heard.
#[derive(Clone, Debug)]
pub struct Book {
    limits: Limits,
    inspected: bool,
    plug_seen: bool,
    plug_read: bool,
    to_fix: Vec<Part>,
    warmed: u32,
    gun_c: Option<f64>,
    starts_in_vain: u32,
    drowned: bool,
    // Heard at the present setting of the screws.
    turned: bool,
    cleared: bool,
    open: bool,
    settled: bool,
    pinched_s: f64,
    full_rough: Option<bool>,
    rpm: Option<f64>,
    half_rough: Option<bool>,
    idle: Option<Idle>,
    pinch: Option<PinchRise>,
    snaps: (Snap, u32),
    snapping: bool,
    ran_s: f64,
    // Remembered over turns.
    rpm_before: Option<(f64, f64)>,
    high_was_rich: bool,
    high_was_lean: bool,
    // It was turned back to where the speed said that it was right.
    high_settled: bool,
    low_was_rich: bool,
    // The last turn of the low-speed needle, and how often one went back on the one before.
    low_turned: f64,
    low_turned_back: u32,
    // The high-speed needle gives fuel at idle too: what was heard of the pinch test before it turned is to be heard again.
    pinch_is_old: bool,
    leaned: Option<Screw>,
    idle_opened: bool,
    idle_closed_again: bool,
    needle_turns: u32,
    idle_turns: u32,
    clock_s: f64,
    gap_mm: f64,
    tank_quarters: u8,
    running: bool,
    lean: bool,
    plug_lean: bool,
    plug_wet: bool,
}

impl Book {
    /// A book that knows the limits of a clean setting, as they stand in the scenario.
    pub fn new(limits: Limits) -> Self {
        Self {
            limits,
            inspected: false,
            plug_seen: false,
            plug_read: false,
            to_fix: Vec::new(),
            warmed: 0,
            gun_c: None,
            starts_in_vain: 0,
            drowned: false,
            turned: false,
            cleared: true,
            open: false,
            settled: false,
            pinched_s: -100.0,
            full_rough: None,
            rpm: None,
            half_rough: None,
            idle: None,
            pinch: None,
            snaps: (Snap::default(), 0),
            snapping: false,
            ran_s: -1000.0,
            rpm_before: None,
            high_was_rich: false,
            high_was_lean: false,
            high_settled: false,
            low_was_rich: false,
            low_turned: 0.0,
            low_turned_back: 0,
            pinch_is_old: false,
            leaned: None,
            idle_opened: false,
            idle_closed_again: false,
            needle_turns: 0,
            idle_turns: 0,
            clock_s: 0.0,
            gap_mm: 0.0,
            tank_quarters: 4,
            running: false,
            lean: false,
            plug_lean: false,
            plug_wet: false,
        }
    }

    /// Notes what came of an action.
    pub fn did(&mut self, action: &Action, sight: &Sight) {
        match *action {
            Action::Turn { screw, turns } => self.turned_a_screw(screw, turns),
            Action::Inspect => self.inspected = true,
            Action::Plug => (self.plug_seen, self.plug_read) = (true, true),
            Action::Fix { part } => {
                // What was heard was the fault's.
                let fresh = Self::new(self.limits);
                *self = Self {
                    inspected: self.inspected,
                    plug_seen: self.plug_seen,
                    to_fix: self.to_fix.iter().copied().filter(|p| *p != part).collect(),
                    ..fresh
                };
            }
            Action::Warm => (self.gun_c, self.warmed) = (None, self.warmed + 1),
            Action::Start => {
                self.turned = false;
                self.starts_in_vain = if sight.running { 0 } else { self.starts_in_vain + 1 };
            }
            Action::Laps { .. } if sight.running => {
                self.ran_s = sight.clock_s;
                (self.turned, self.cleared) = (false, true);
            }
            Action::Laps { .. } | Action::Hold { .. } => self.drowned |= self.running && !sight.running,
            _ => {}
        }
        for found in &sight.found {
            self.take_in(found, sight.clock_s);
        }
        self.hear(sight);
    }

    fn take_in(&mut self, found: &Found, clock_s: f64) {
        match *found {
            Found::Gun { head_c } => self.gun_c = Some(head_c),
            Found::Looked { part, at_fault } => self.to_fix.extend(at_fault.then_some(part)),
            Found::Pinched { rise, .. } => {
                (self.pinch, self.pinch_is_old) = (Some(rise), false);
                self.pinched_s = clock_s;
            }
            Found::Plug(plug) => {
                self.to_fix.extend(plug.tired.then_some(Part::Plug));
                self.plug_lean = matches!(plug.colour, Some(PlugColour::Pale | PlugColour::Specks));
                self.plug_wet = plug.colour == Some(PlugColour::Wet);
            }
            Found::Fixed { .. } | Found::NotJudged => {}
        }
    }

    fn turned_a_screw(&mut self, screw: Screw, turns: f64) {
        let stuttered = self.snaps.0.stutters || self.snaps.0.puffs && self.snaps.0.slow;
        if screw == Screw::Low && turns < 0.0 {
            self.low_was_rich |= self.low_rich().is_some();
        }
        if screw == Screw::High {
            // Back to where it was right.
            self.high_settled = self.slope().is_some_and(|(slope, last)| {
                last > 0.0 && turns < 0.0 && slope <= FALLS || last < 0.0 && turns > 0.0 && slope < FLAT
            });
        }
        if screw == Screw::High && turns < 0.0 {
            let rough = self.full_rough == Some(true) || self.half_rough == Some(true);
            self.high_was_rich |= stuttered || rough || self.gain().is_some_and(|gain| gain > GAIN);
        }
        self.turned = true;
        self.idle_turns += u32::from(screw == Screw::Idle);
        (self.idle, self.snaps) = (None, (Snap::default(), 0));
        (self.cleared, self.settled) = (false, false);
        if screw == Screw::Idle {
            self.pinch = None;
            self.idle_closed_again |= self.idle_opened && turns < 0.0;
            self.idle_opened |= turns > 0.0;
            return;
        }
        self.needle_turns += 1;
        self.ran_s = -1000.0;
        self.plug_read = false;
        (self.half_rough, self.full_rough) = (None, None);
        if screw == Screw::High {
            self.high_was_rich |= turns < 0.0 && self.plug_wet;
            self.high_was_lean |= turns > 0.0 && (self.plug_lean || self.lean);
            (self.plug_lean, self.plug_wet) = (false, false);
            self.rpm_before = self.rpm.map(|rpm| (rpm, turns));
            self.rpm = None;
            self.pinch_is_old = true;
            if turns > 0.0 {
                // What the head read was at the leaner setting: laps tell again.
                self.gun_c = self.gun_c.map(|c| c.min(self.limits.head_temperature_c));
            }
        } else {
            self.pinch = None;
            self.low_turned_back += u32::from(turns * self.low_turned < 0.0);
            self.low_turned = turns;
        }
        self.leaned = (turns < 0.0).then_some(screw);
        (self.lean, self.drowned) = (false, false);
    }

    /// Takes in what is heard now. The words hold for what came before them, so the last of a throttle's length counts.
    pub fn hear(&mut self, sight: &Sight) {
        self.clock_s = sight.clock_s;
        self.gap_mm = sight.idle_gap_mm;
        self.tank_quarters = sight.tank_quarters;
        self.running = sight.running;
        let open = sight.throttle > 0.3;
        // The first opening after a turn clears out what the old setting left; only what comes after it is heard as a snap.
        self.cleared |= self.open && !open && !self.turned;
        self.turned &= !open;
        self.open = open;
        self.snapping &= open;
        let since_pinch = sight.clock_s - self.pinched_s;
        self.settled =
            sight.throttle < 0.02 && sight.running && !sight.has(Note::IdleTooSoon) && since_pinch > AFTER_PINCH_S;
        if self.turned {
            return;
        }
        // What stands there since before a turn is answered.
        self.lean = sight.has(Note::Crackle) || sight.has(Note::FullSags);
        if sight.has(Note::FullRough) || sight.has(Note::FullClean) {
            self.full_rough = Some(sight.has(Note::FullRough));
            self.rpm = sight.tachometer_rpm.map(|rpm| rpm.max(self.rpm.unwrap_or(0.0)));
        }
        if sight.has(Note::PartRough) || sight.has(Note::PartClean) {
            self.half_rough = Some(sight.has(Note::PartRough));
        }
        let snaps = [Note::SnapCrisp, Note::SnapHesitates, Note::SnapBogs];
        if self.cleared && since_pinch > AFTER_PINCH_S && snaps.iter().any(|n| sight.has(*n)) {
            let heard = Snap {
                stutters: sight.has(Note::SnapStutters),
                slow: !sight.has(Note::SnapCrisp),
                bogs: sight.has(Note::SnapBogs),
                puffs: sight.has(Note::SnapPuffs),
            };
            let (before, count) = self.snaps;
            // One throttle opening is one snap, however often it is looked at.
            let count = if self.snapping { count } else { count + 1 };
            self.snapping = true;
            self.snaps = (
                Snap {
                    stutters: heard.stutters || before.stutters,
                    slow: heard.slow || before.slow,
                    bogs: heard.bogs || before.bogs,
                    puffs: heard.puffs || before.puffs,
                },
                count,
            );
        }
        if self.settled {
            // A stop opened on purpose is closed again only near the edge.
            let room = if self.idle_opened { 0.5 } else { 1.0 } * IDLE_ROOM[0];
            let high = self.limits.idle_high_rpm * (1.0 - room);
            let low = self.limits.idle_low_rpm * (1.0 + IDLE_ROOM[1]);
            let before = self.idle;
            // The return is heard once; the idle goes on.
            self.idle = Some(Idle {
                fast: sight.has(Note::IdleFast) || sight.tachometer_rpm.is_some_and(|rpm| rpm > high),
                slow: sight.has(Note::IdleSlow) || sight.tachometer_rpm.is_some_and(|rpm| rpm < low),
                falls: sight.has(Note::IdleFalls) || sight.has(Note::ReturnDrops),
                hangs: before.map_or(sight.has(Note::ReturnHangs), |i| i.hangs),
                sinks: before.map_or(sight.has(Note::ReturnSinks), |i| i.sinks),
            });
        }
    }

    /// How much faster an eighth of a turn leaner is where the high-speed needle was turned last, as a share, and how far it was.
    fn slope(&self) -> Option<(f64, f64)> {
        let (before, turns) = self.rpm_before?;
        let now = self.rpm?;
        Some(((now / before - 1.0) * EIGHTH / -turns, turns))
    }

    /// The gain of the last leaning of the high-speed needle, per eighth of a turn, as a share.
    fn gain(&self) -> Option<f64> {
        self.slope().filter(|(_, turns)| *turns < 0.0).map(|(gain, _)| gain)
    }

    /// How far to turn the low-speed needle, `out` or in: where the last turn of it went the other way, a click.
    fn low_step(&self, out: f64) -> f64 {
        if self.low_turned_back > 0 || out * self.low_turned < 0.0 {
            CLICK
        } else {
            TWELFTH
        }
    }

    /// Whether the low end sounds rich at idle, and how much to lean it.
    fn low_rich(&self) -> Option<f64> {
        let idle = self.idle?;
        match self.pinch? {
            PinchRise::Lot => Some(EIGHTH),
            // Rich here and lean a click further in, more than once: there is nothing between, and the rich side is the safe one.
            PinchRise::Clear => (self.low_turned_back < BACK_AND_FORTH).then(|| self.low_step(-1.0)),
            PinchRise::Little => (idle.sinks || idle.falls).then_some(CLICK),
            PinchRise::Hardly => None,
        }
    }
}
