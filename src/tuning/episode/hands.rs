//! What hands do at once: turn a screw, move the throttle, read the gun, stop the engine, put a part right.

use super::{Episode, Found, RIGHT_TURNS, Refusal, Warmed};
use crate::engine::Engine;
use crate::tuning::action::{Part, Screw};
use crate::tuning::scenario::Fault;
use crate::tuning::score::FirstTurn;
use crate::units::celsius_from_kelvin;

impl Episode {
    pub(super) fn set_throttle(&mut self, position: f64) {
        if (position - self.throttle()).abs() > 1e-9 {
            self.counter.interrupted();
        }
        self.rig.controls.throttle = position;
    }

    pub(super) fn turn(&mut self, screw: Screw, turns: f64) -> Result<(), Refusal> {
        let at = screw as usize;
        let before = self.marks[at];
        let ends = self.hidden.drawn.marks(screw);
        let wanted = before + turns;
        let after = wanted.clamp(*ends.start(), *ends.end());
        let moved = after - before;
        if moved == 0.0 && wanted != after {
            return Err(Refusal::AtEnd);
        }
        if screw != Screw::Idle && self.first_turn.is_none() && moved != 0.0 {
            let off = self.off(screw);
            self.first_turn = Some(if off.abs() <= RIGHT_TURNS {
                FirstTurn::NotNeeded
            } else if (off > 0.0) == (moved < 0.0) {
                FirstTurn::Right
            } else {
                FirstTurn::WrongWay
            });
        }
        self.marks[at] = after;
        match screw {
            _ if moved == 0.0 => {}
            Screw::Idle => self.log.heard.idle_turned(),
            Screw::High | Screw::Low => self.log.heard.needle_turned(),
        }
        self.log.strip.turned();
        self.counter.turned(screw, moved, self.ran_ms);
        self.rig = self.rig.with_setting(self.opening());
        self.path.push(self.setting());
        Ok(())
    }

    pub(super) fn gun(&mut self) -> Found {
        Found::Gun {
            head_c: self.head_by_gun(),
        }
    }

    /// How warm it got, and why it was left at that.
    pub(super) fn warmed(&mut self, before: bool) -> Found {
        let until = if !self.running() {
            Warmed::Died
        } else if before {
            Warmed::Before
        } else if self.warm_head() {
            Warmed::Warm
        } else {
            Warmed::TimeOver
        };
        Found::Warmed {
            head_c: self.head_by_gun(),
            until,
        }
    }

    /// What has cooled meanwhile, if it went cold.
    pub(super) fn cooled(&mut self) -> Option<Found> {
        (!self.warm_head()).then(|| Found::Cooled {
            head_c: self.head_by_gun(),
        })
    }

    fn head_by_gun(&mut self) -> f64 {
        (celsius_from_kelvin(self.rig.state.head_temperature) + self.human.gun_c()).round()
    }

    pub(super) fn stop(&mut self) {
        self.set_throttle(0.0);
        self.rig.state.speed = 0.0;
        self.log.heard.break_off();
        self.log.silent_ms = self.log.silent_ms.or(Some(self.clock_ms));
    }

    /// Puts a part right; whether it was at fault.
    pub(super) fn put_right(&mut self, part: Part) -> bool {
        let was_at_fault = self.left_at_fault.contains(&part);
        self.cures.push((part, was_at_fault));
        self.left_at_fault.retain(|p| *p != part);
        *Fault::link(&mut self.hidden.setup.faults, part) = 0.0;
        self.log.heard.needle_turned();
        self.rig.engine = Engine::new(&self.hidden.setup);
        was_at_fault
    }
}
