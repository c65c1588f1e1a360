//! What hands do at once: turn a screw, move the throttle, read the gun, stop the engine, put a part right.

use super::{Episode, Found, RIGHT_TURNS, Refusal};
use crate::engine::Engine;
use crate::engine::params::Faults;
use crate::tuning::action::{Part, Screw};
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
        self.counter.turned(screw, moved, self.ran_ms);
        self.rig = self.rig.with_setting(self.opening());
        self.path.push(self.setting());
        Ok(())
    }

    pub(super) fn gun(&mut self) -> Found {
        let c = celsius_from_kelvin(self.rig.state.head_temperature) + self.human.gun_c();
        Found::Gun { head_c: c.round() }
    }

    pub(super) fn stop(&mut self) {
        self.set_throttle(0.0);
        self.rig.state.speed = 0.0;
        self.log.silent_ms = self.log.silent_ms.or(Some(self.clock_ms));
    }

    pub(super) fn put_right(&mut self, part: Part) {
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
        self.rig.engine = Engine::new(&self.hidden.setup);
    }
}
