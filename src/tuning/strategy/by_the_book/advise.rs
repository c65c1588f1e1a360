//! What the book proposes next: the first thing of its order that is unknown or not right.

use super::{Book, CLICK, EIGHTH, FALLS, FLAT, GAIN, HOLDS, TWELFTH};
use crate::bench::instruments::PinchRise;
use crate::tuning::action::{Action, Screw};
use crate::tuning::strategy::advice::{Advice, full, half, plain, turn, wait};
use crate::tuning::strategy::reason::Reason;

/// Head by the gun from which an engine is judged, °C.
const WARM_C: f64 = 75.0;
/// After laps an engine is as hot as it gets for this long, s: the head cools in a minute.
const HOT_S: f64 = 60.0;
/// Gain by an eighth of a turn that no tachometer shows, as a share.
const NO_GAIN: f64 = 0.003;
/// Turns of any screw after which more of them help no longer: look for a fault, then sign off.
const ENOUGH: u32 = 30;

impl Book {
    /// The next thing to do, and why.
    pub fn next(&self) -> Advice {
        if let Some(part) = self.to_fix.first() {
            return plain(Action::Fix { part: *part }, Reason::FaultFound);
        }
        if !self.inspected {
            return plain(Action::Inspect, Reason::NotLookedOver);
        }
        if !self.plug_seen {
            return plain(Action::Plug, Reason::PlugUnseen);
        }
        if !self.running {
            return self.standing();
        }
        if self.lean {
            return turn(Screw::High, EIGHTH, Reason::SoundsLean);
        }
        if self.tank_quarters <= 2 && self.clock_s - self.ran_s > HOT_S {
            return plain(Action::Fuel, Reason::TankLow);
        }
        match self.gun_c {
            None => {
                return plain(Action::Gun, Reason::HeadUnread);
            }
            Some(c) if c < WARM_C && self.warmed == 0 => {
                return plain(Action::Warm, Reason::HeadCold);
            }
            Some(c) if c > self.limits.head_temperature_c => {
                return turn(Screw::High, EIGHTH, Reason::HeadTooHot);
            }
            Some(_) => {}
        }
        if self.plug_lean {
            return turn(Screw::High, TWELFTH, Reason::PlugLean);
        }
        if self.plug_wet {
            return turn(Screw::High, -TWELFTH, Reason::PlugWet);
        }
        if self.drowned {
            return self.drowning();
        }
        if self.needle_turns + self.idle_turns >= ENOUGH {
            return plain(Action::SignOff, Reason::EnoughTurns);
        }
        if self.clock_s - self.ran_s > HOT_S {
            return plain(Action::Laps { laps: 3 }, Reason::NotHot);
        }
        if self.tank_quarters < 4 {
            return plain(Action::Fuel, Reason::TankNotFull);
        }
        self.listen()
            .or_else(|| self.high_end())
            .or_else(|| self.idle_end())
            .or_else(|| self.low_end())
            .or_else(|| self.snapped())
            .or_else(|| self.never_rich())
            .or_else(|| self.pinched_again())
            .unwrap_or_else(|| self.finish())
    }

    /// What is not heard yet at this setting: a snap after a wait, the return and the idle after it, the pinch test.
    fn listen(&self) -> Option<Advice> {
        if self.turned {
            return Some(full(Reason::TurnNotCleared));
        }
        if self.full_rough.is_none() {
            return Some(full(Reason::FullUnheard));
        }
        if self.idle.is_none() {
            return Some(wait(Reason::IdleUnheard));
        }
        if self.snaps.1 == 0 {
            return Some(self.snap(Reason::SnapUnheard));
        }
        if self.pinch.is_none() {
            return Some(self.pinch_test(Reason::PinchUnheard));
        }
        None
    }

    fn pinch_test(&self, because: Reason) -> Advice {
        if self.settled {
            plain(Action::Pinch, because)
        } else {
            wait(Reason::SettleToPinch)
        }
    }

    fn snap(&self, because: Reason) -> Advice {
        if self.settled {
            full(because)
        } else {
            wait(Reason::FillToSnap)
        }
    }

    fn standing(&self) -> Advice {
        if self.starts_in_vain >= 3 && !self.turned && self.needle_turns + self.idle_turns < ENOUGH {
            return turn(Screw::Low, EIGHTH, Reason::WontStayAlightLean);
        }
        if self.starts_in_vain >= 1 && !self.turned {
            return turn(Screw::Idle, EIGHTH, Reason::WontStayAlight);
        }
        plain(Action::Start, Reason::Stands)
    }

    /// It died when it was opened.
    fn drowning(&self) -> Advice {
        match self.pinch {
            None if self.settled => plain(Action::Pinch, Reason::DiedOpenedPinch),
            None => wait(Reason::DiedOpenedSettle),
            Some(PinchRise::Hardly | PinchRise::Little) => turn(Screw::High, -0.25, Reason::DrownsHigh),
            Some(_) => turn(Screw::Low, -EIGHTH, Reason::DrownsLow),
        }
    }

    /// Full throttle, cleared out.
    fn high_end(&self) -> Option<Advice> {
        if self.full_rough? {
            return Some(turn(Screw::High, -0.25, Reason::FullRough));
        }
        if self.high_settled || self.rpm.is_none() {
            return None;
        }
        let Some((slope, turns)) = self.slope() else {
            return Some(turn(Screw::High, EIGHTH, Reason::NeverRich));
        };
        let (much, because) = match turns > 0.0 {
            true if slope > FALLS => (-0.25, Reason::SlowedClearly),
            true if slope > HOLDS => (-EIGHTH, Reason::SlowedLittle),
            false if slope > GAIN => (-EIGHTH, Reason::StillFaster),
            false if slope < FLAT => (TWELFTH, Reason::NoFaster),
            _ => return None,
        };
        Some(turn(Screw::High, much, because))
    }

    /// The idle stop: its window, and a gap that would hide a rich low end.
    fn idle_end(&self) -> Option<Advice> {
        let idle = self.idle?;
        if self.gap_mm > self.limits.idle_gap_high_mm {
            return Some(turn(Screw::Idle, -0.25, Reason::GapWide));
        }
        if idle.fast && self.gap_mm > self.limits.idle_gap_low_mm {
            return Some(turn(Screw::Idle, -EIGHTH, Reason::IdleFast));
        }
        None
    }

    /// The low end, at idle: pinch test and return.
    fn low_end(&self) -> Option<Advice> {
        let idle = self.idle?;
        if let Some(much) = self.low_rich() {
            return Some(turn(Screw::Low, -much, Reason::LowRich));
        }
        if self.pinch == Some(PinchRise::Hardly) {
            return Some(turn(Screw::Low, self.low_step(1.0), Reason::LowLean));
        }
        if idle.hangs {
            return Some(turn(Screw::Low, CLICK, Reason::LowHangs));
        }
        if idle.slow && self.gap_mm < self.limits.idle_gap_high_mm - 0.05 {
            return Some(turn(Screw::Idle, EIGHTH, Reason::IdleSlow));
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
                turn(Screw::Low, -CLICK, Reason::StuttersLow)
            } else {
                let much = if snap.slow { EIGHTH } else { TWELFTH };
                turn(Screw::High, -much, Reason::StuttersHigh)
            });
        }
        if snap.slow && !self.low_was_rich {
            return Some(turn(Screw::Low, CLICK, Reason::HesitatesLean));
        }
        // Opened for this once and closed again for its speed: it is as quick as it gets.
        if snap.slow && !self.idle_closed_again && self.gap_mm < self.limits.idle_gap_high_mm - 0.05 {
            return Some(turn(Screw::Idle, EIGHTH, Reason::HesitatesSlowIdle));
        }
        if self.snaps.1 < 2 {
            return Some(self.snap(Reason::SnapOnceMore));
        }
        match self.half_rough {
            None => Some(half(Reason::HalfUnheard)),
            Some(true) => Some(turn(Screw::High, -TWELFTH, Reason::HalfRough)),
            Some(false) => None,
        }
    }

    /// Nothing sounds rich: is it right, or lean? Only opening tells.
    fn never_rich(&self) -> Option<Advice> {
        if !self.high_was_rich && !self.high_settled && self.slope().is_none() {
            return Some(turn(Screw::High, EIGHTH, Reason::NeverRich));
        }
        None
    }

    /// Nothing is left to turn, but the pinch test was done with another high-speed needle.
    fn pinched_again(&self) -> Option<Advice> {
        self.pinch_is_old.then(|| self.pinch_test(Reason::PinchIsOld))
    }

    fn finish(&self) -> Advice {
        if !self.plug_read {
            return plain(Action::Plug, Reason::PlugUnread);
        }
        plain(Action::SignOff, Reason::AllRight)
    }
}
