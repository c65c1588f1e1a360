//! What the book proposes next: the first thing of its order that is unknown or not right.

use super::{Book, CLICK, EIGHTH, GAIN, TWELFTH};
use crate::tuning::action::{Action, Screw};
use crate::tuning::strategy::advice::{Advice, full, half, plain, turn, wait};

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
            .or_else(|| self.pinched_again())
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
            return Some(self.pinch_test(
                "pinched, a rich low end speeds up before it dies, a lean one hardly: that tells it from the high end",
            ));
        }
        None
    }

    fn pinch_test(&self, because: &'static str) -> Advice {
        if self.settled {
            plain(Action::Pinch, because)
        } else {
            wait("let the idle settle for the pinch test")
        }
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
            Some(0 | 1) => turn(
                Screw::High,
                -0.25,
                "it drowns when opened, and not for the low end: far too rich up there",
            ),
            Some(_) => turn(
                Screw::Low,
                -EIGHTH,
                "it drowns when opened and speeds up clearly when pinched: the low end is far too rich",
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
                "it speeds up clearly when pinched, or sinks after a burst: fuel lies in the crankcase, the low end is rich",
            ));
        }
        if self.pinch == Some(0) {
            return Some(turn(
                Screw::Low,
                self.low_step(1.0),
                "it hardly speeds up when pinched: it idles at its fastest or past it, the low end is lean",
            ));
        }
        if idle.hangs {
            return Some(turn(
                Screw::Low,
                CLICK,
                "it hangs high after a burst, and speeds up only a little when pinched: the low end is a little lean",
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
                    -CLICK,
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
        if snap.slow && !self.low_was_rich {
            return Some(turn(
                Screw::Low,
                CLICK,
                "it hesitates without puff or stutter: there was too little fuel, the low end is lean",
            ));
        }
        // Opened for this once and closed again for its speed: it is as quick as it gets.
        if snap.slow && !self.idle_closed_again && self.gap_mm < self.limits.idle_gap_high_mm - 0.05 {
            return Some(turn(
                Screw::Idle,
                EIGHTH,
                "it hesitates without puff or stutter, and the low end was rich before: the idle is low, open the stop a little",
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

    /// Nothing is left to turn, but the pinch test was done with another high-speed needle.
    fn pinched_again(&self) -> Option<Advice> {
        self.pinch_is_old.then(|| {
            self.pinch_test(
                "the high-speed needle has moved since the pinch test, and gives fuel at idle too: once more",
            )
        })
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
