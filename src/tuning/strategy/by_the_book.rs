//! By the book, as a club member would teach it (common practice): look it over, warm it up, lean the high-speed needle until it
//! clears, trim the idle, lean the low-speed needle until the pinch test and the return are clean, then snap it after a wait, and
//! once more round. Rich can be heard and lean hardly, so an end that never sounded rich is opened until it does, and then closed
//! until it clears: a setting is always reached from its rich side.
//!
//! [`Book`] is the memory of what was heard at the present setting. It proposes; whoever acts may do something else, and the book
//! goes on from what is heard then.

use super::Sight;
use super::advice::{Advice, full, half, plain, turn, wait};
use crate::bench::checks::Limits;
use crate::bench::instruments::Note;
use crate::tuning::action::{Action, Part, Screw};
use crate::tuning::episode::{Found, PINCH_WORDS};

/// Head by the gun from which an engine is judged, °C.
const WARM_C: f64 = 75.0;
/// After laps an engine is as hot as it gets for this long, s: the head cools in a minute or two.
const HOT_S: f64 = 100.0;
/// Gain of the full-throttle speed by an eighth of a turn that is worth another, as a share: power still rises by some
/// three percent, and a tachometer shows no less.
const GAIN: f64 = 0.01;
/// Gain by an eighth of a turn that no tachometer shows, as a share.
const NO_GAIN: f64 = 0.003;
/// How far the idle stays inside its window above and below, as a share: not at its edge, for it runs up by some percent when the
/// engine gets hot.
const IDLE_ROOM: [f64; 2] = [0.1, 0.1];
/// Wait after a pinch test, s: it emptied the film, and a snap would be lean.
const AFTER_PINCH_S: f64 = 8.0;
/// Turns of any screw after which more of them help no longer: look for a fault, then sign off.
const ENOUGH: u32 = 30;
const TWELFTH: f64 = 1.0 / 12.0;
const EIGHTH: f64 = 0.125;

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
    pinch: Option<usize>,
    snaps: (Snap, u32),
    snapping: bool,
    ran_s: f64,
    // Remembered over turns.
    rpm_before: Option<(f64, f64)>,
    high_was_rich: bool,
    high_was_lean: bool,
    low_was_rich: bool,
    leaned: Option<Screw>,
    idle_opened: bool,
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
            low_was_rich: false,
            leaned: None,
            idle_opened: false,
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
            match found {
                Found::Gun(c) => self.gun_c = Some(*c),
                Found::Seen(words) => {
                    self.to_fix
                        .extend(Part::ALL.into_iter().filter(|p| words.contains(p.sign())));
                    if let Some(grade) = PINCH_WORDS.iter().position(|w| words.starts_with(w)) {
                        self.pinch = Some(grade);
                        self.pinched_s = sight.clock_s;
                    }
                    if words.starts_with("plug:") {
                        self.plug_lean = words.contains("pale") || words.contains("knocking");
                        self.plug_wet = words.contains("wet");
                    }
                }
            }
        }
        self.hear(sight);
    }

    fn turned_a_screw(&mut self, screw: Screw, turns: f64) {
        let stuttered = self.snaps.0.stutters || self.snaps.0.puffs && self.snaps.0.slow;
        if screw == Screw::Low && turns < 0.0 {
            self.low_was_rich |= self.low_rich().is_some();
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
        } else {
            self.pinch = None;
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
        self.lean = sight.has(Note::Crackle) || sight.has(Note::FullSags);
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

    /// The gain of the last leaning of the high-speed needle, per eighth of a turn, as a share.
    fn gain(&self) -> Option<f64> {
        let (before, turns) = self.rpm_before?;
        let now = self.rpm?;
        (turns < 0.0).then(|| (now / before - 1.0) * EIGHTH / -turns)
    }

    /// Whether the low end sounds rich at idle, and how much to lean it.
    fn low_rich(&self) -> Option<f64> {
        let idle = self.idle?;
        match self.pinch? {
            2 => Some(EIGHTH),
            1 => Some(TWELFTH),
            _ => (idle.sinks || idle.falls).then_some(TWELFTH),
        }
    }

    /// The next thing to do, and why.
    pub fn next(&self) -> Advice {
        if let Some(part) = self.to_fix.first() {
            return plain(
                Action::Fix { part: *part },
                "that is not the mixture: put it right before any needle",
            );
        }
        if !self.inspected {
            return plain(
                Action::Inspect,
                "look it over first: no needle cures a leak, a blocked line or a dragging brake",
            );
        }
        if !self.plug_seen {
            return plain(
                Action::Plug,
                "look at the plug before it runs: a tired one sounds like a rich mixture",
            );
        }
        if !self.running {
            return self.standing();
        }
        if self.lean {
            return turn(
                Screw::High,
                EIGHTH,
                "a crackle or a sagging pitch is too lean: give fuel at once, then listen",
            );
        }
        if self.tank_quarters <= 2 && self.clock_s - self.ran_s > HOT_S {
            return plain(Action::Fuel, "fill it before you drive");
        }
        match self.gun_c {
            None => {
                return plain(
                    Action::Gun,
                    "a cold engine sounds rich whatever the needles do: read the head before you judge",
                );
            }
            Some(c) if c < WARM_C && self.warmed == 0 => {
                return plain(
                    Action::Warm,
                    "the head is cold; judged now, every needle would seem rich",
                );
            }
            Some(c) if c > self.limits.head_temperature_c => {
                return turn(
                    Screw::High,
                    EIGHTH,
                    "the head is hotter than it may be: give fuel at the high-speed needle",
                );
            }
            Some(_) => {}
        }
        if self.plug_lean {
            return turn(
                Screw::High,
                TWELFTH,
                "the plug is pale or has specks: lean on the straight, give fuel at the high-speed needle",
            );
        }
        if self.plug_wet {
            return turn(Screw::High, -TWELFTH, "the plug is wet and dark: rich on the straight");
        }
        if self.drowned {
            return self.drowning();
        }
        if self.needle_turns + self.idle_turns >= ENOUGH {
            return plain(Action::SignOff, "more turns tell no more: have it checked");
        }
        if self.clock_s - self.ran_s > HOT_S {
            return plain(
                Action::Laps { laps: 3 },
                "judge it hot, and with what the needles give now: three laps clear it out and bring it to temperature",
            );
        }
        if self.tank_quarters < 4 {
            return plain(
                Action::Fuel,
                "as the tank empties the mixture gets leaner: judge it with the same tank each time, a full one",
            );
        }
        self.listen()
            .or_else(|| self.high_end())
            .or_else(|| self.idle_end())
            .or_else(|| self.low_end())
            .or_else(|| self.snapped())
            .or_else(|| self.never_rich())
            .unwrap_or_else(|| self.finish())
    }

    /// What is not heard yet at this setting: a snap after a wait, the return and the idle after it, the pinch test.
    fn listen(&self) -> Option<Advice> {
        if self.turned {
            return Some(full(
                3,
                "a turn is heard only once the engine has run with it: clear it out, then listen",
            ));
        }
        if self.full_rough.is_none() {
            return Some(full(3, "clear it out and listen to full throttle"));
        }
        if self.idle.is_none() {
            return Some(wait("let it come down, and listen to its return and its idle"));
        }
        if self.snaps.1 == 0 {
            return Some(self.snap("the film on the crankcase walls is full: snap it open and listen how it picks up"));
        }
        if self.pinch.is_none() {
            return Some(if self.settled {
                plain(
                    Action::Pinch,
                    "pinched, a rich low end speeds up before it dies: that tells it from the high end",
                )
            } else {
                wait("let the idle settle for the pinch test")
            });
        }
        None
    }

    fn snap(&self, because: &'static str) -> Advice {
        if self.settled {
            full(3, because)
        } else {
            wait("a snap tells most after a good while of idle: let the film fill")
        }
    }

    fn standing(&self) -> Advice {
        if self.starts_in_vain >= 3 && !self.turned && self.needle_turns + self.idle_turns < ENOUGH {
            return turn(
                Screw::Low,
                EIGHTH,
                "it won't stay alight and the plug is good: give fuel at idle",
            );
        }
        if self.starts_in_vain >= 1 && !self.turned {
            return turn(
                Screw::Idle,
                EIGHTH,
                "it won't stay alight: open the idle stop an eighth",
            );
        }
        plain(Action::Start, "the engine stands")
    }

    /// It died when it was opened.
    fn drowning(&self) -> Advice {
        match self.pinch {
            None if self.settled => plain(
                Action::Pinch,
                "it died when opened: pinched at idle, a rich low end speeds up before it dies",
            ),
            None => wait("it died when opened: let the idle settle for the pinch test"),
            Some(0) => turn(
                Screw::High,
                -0.25,
                "it drowns when opened, and not for the low end: far too rich up there",
            ),
            Some(_) => turn(
                Screw::Low,
                -EIGHTH,
                "it drowns when opened and speeds up when pinched: the low end is far too rich",
            ),
        }
    }

    /// Full throttle, cleared out.
    fn high_end(&self) -> Option<Advice> {
        if self.full_rough? {
            return Some(turn(
                Screw::High,
                -0.25,
                "missing beats at full throttle are four-stroking: far too rich up there",
            ));
        }
        if self.gain().is_some_and(|gain| gain > GAIN) {
            return Some(turn(
                Screw::High,
                -EIGHTH,
                "the last eighth still made it clearly faster: it is rich up there",
            ));
        }
        None
    }

    /// The idle stop: its window, and a gap that would hide a rich low end.
    fn idle_end(&self) -> Option<Advice> {
        let idle = self.idle?;
        if self.gap_mm > self.limits.idle_gap_high_mm {
            return Some(turn(
                Screw::Idle,
                -0.25,
                "the gap is wide, and covers a rich low end: close the idle stop before touching a needle",
            ));
        }
        if idle.fast && self.gap_mm > self.limits.idle_gap_low_mm {
            return Some(turn(
                Screw::Idle,
                -EIGHTH,
                "the idle is fast: close the idle stop a little",
            ));
        }
        None
    }

    /// The low end, at idle: pinch test and return.
    fn low_end(&self) -> Option<Advice> {
        let idle = self.idle?;
        if let Some(much) = self.low_rich() {
            return Some(turn(
                Screw::Low,
                -much,
                "it speeds up when pinched, or sinks after a burst: fuel lies in the crankcase, the low end is rich",
            ));
        }
        if !self.low_was_rich && !idle.slow {
            return Some(turn(
                Screw::Low,
                TWELFTH,
                "nothing sounds rich down there, and lean can't be heard: open until the pinch test tells, then go back",
            ));
        }
        if idle.hangs {
            return Some(turn(
                Screw::Low,
                TWELFTH,
                "it hangs high after a burst, and no speeding up when pinched: the low end is lean",
            ));
        }
        if idle.slow && self.gap_mm < self.limits.idle_gap_high_mm - 0.05 {
            return Some(turn(
                Screw::Idle,
                EIGHTH,
                "the idle is slow and not rich: open the idle stop a little",
            ));
        }
        None
    }

    /// A snap after a wait, and half throttle.
    fn snapped(&self) -> Option<Advice> {
        let snap = self.snaps.0;
        if snap.stutters || snap.puffs && snap.slow {
            // Leaning the high-speed needle makes a rich top end faster; where it did not, it is the low end's turn.
            let no_faster = self.leaned == Some(Screw::High) && self.gain().is_some_and(|gain| gain < NO_GAIN);
            return Some(if self.high_was_lean || no_faster {
                turn(
                    Screw::Low,
                    -TWELFTH,
                    "it stutters on the way up, and leaning the high-speed needle made it no faster: it is the low end",
                )
            } else {
                let much = if snap.slow { EIGHTH } else { TWELFTH };
                turn(
                    Screw::High,
                    -much,
                    "it stutters on the way up though the low end is not rich at idle: lean the high-speed needle",
                )
            });
        }
        if snap.slow && self.low_was_rich && self.gap_mm < self.limits.idle_gap_high_mm - 0.05 {
            return Some(turn(
                Screw::Idle,
                EIGHTH,
                "it hesitates without puff or stutter, and the low end was rich before: the idle is low, open the stop a little",
            ));
        }
        if snap.slow {
            return Some(turn(
                Screw::Low,
                TWELFTH,
                "it hesitates without puff or stutter: there was too little fuel, the low end is lean",
            ));
        }
        if self.snaps.1 < 2 {
            return Some(self.snap("once more: near its rich edge one snap in two is clean by luck"));
        }
        match self.half_rough {
            None => Some(half(
                "hold half throttle: missing beats there are the high-speed needle's",
            )),
            Some(true) => Some(turn(
                Screw::High,
                -TWELFTH,
                "missing beats at half throttle: rich between half and full",
            )),
            Some(false) => None,
        }
    }

    /// Nothing sounds rich: is it right, or lean? Only opening tells.
    fn never_rich(&self) -> Option<Advice> {
        if !self.high_was_rich {
            return Some(turn(
                Screw::High,
                EIGHTH,
                "nothing sounds rich up there, and lean can't be heard: open until it does, then go back",
            ));
        }
        None
    }

    fn finish(&self) -> Advice {
        if !self.plug_read {
            return plain(Action::Plug, "read the plug before you sign: it has seen the laps");
        }
        plain(
            Action::SignOff,
            "it picks up at once, screams evenly, idles as it should, and the head is no hotter than it may be",
        )
    }
}
