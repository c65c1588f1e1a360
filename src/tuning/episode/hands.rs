//! What hands do to the engine: screws, throttle, starter, gun, laps, the pinched line, the spanner.

use super::{Episode, Found, RIGHT_TURNS, Refusal, WARM_HEAD};
use crate::bench::instruments::PinchRise;
use crate::bench::manoeuvre::table::LAP;
use crate::engine::Engine;
use crate::engine::params::Faults;
use crate::engine::state::Load;
use crate::tuning::action::{Part, Screw};

impl Episode {
    pub(super) fn set_throttle(&mut self, position: f64) {
        if (position - self.throttle()).abs() > 1e-9 {
            self.counter.interrupted();
            self.moved_s = self.rig.state.time;
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
        if screw != Screw::Idle && self.first_turn_right.is_none() && moved != 0.0 {
            let (stands, truth) = (self.setting(), self.hidden.truth);
            let off = match screw {
                Screw::High => stands.high_turns - truth.high_turns,
                _ => stands.low_turns - truth.low_turns,
            };
            self.first_turn_right = Some(off.abs() > RIGHT_TURNS && (off > 0.0) == (moved < 0.0));
        }
        self.marks[at] = after;
        self.counter.turned(screw, moved, self.ran_ms);
        self.rig = self.rig.with_setting(self.opening());
        self.path.push(self.setting());
        Ok(())
    }

    pub(super) fn gun(&mut self) -> Found {
        let c = self.rig.state.head_temperature - 273.15 + self.human.gun_c();
        Found::Gun { head_c: c.round() }
    }

    pub(super) fn stop(&mut self) {
        self.set_throttle(0.0);
        self.rig.state.speed = 0.0;
        self.silent_ms = self.silent_ms.or(Some(self.clock_ms));
    }

    /// Ten seconds with starter and glow lead; whether it then runs is the engine's affair.
    pub(super) fn start(&mut self) {
        self.set_throttle(0.0);
        self.rig.controls.glow_lead = 1.0;
        self.pass(4000);
        self.rig.state.speed = 150.0;
        self.silent_ms = None;
        self.hold(0.15, 3000);
        self.hold(0.0, 3000);
        self.rig.controls.glow_lead = 0.0;
    }

    /// Throttle of the practice's own doing: it counts as used all the same.
    pub(super) fn hold(&mut self, position: f64, ms: u32) {
        self.set_throttle(position);
        self.pass(ms);
    }

    pub(super) fn warm(&mut self) -> Result<(), Refusal> {
        self.running_or()?;
        for _ in 0..30 {
            let warm = self.rig.state.head_temperature > WARM_HEAD + 10.0;
            if warm || !self.running() {
                break;
            }
            self.hold(0.3, 4000);
            self.hold(0.0, 2000);
        }
        self.set_throttle(0.0);
        Ok(())
    }

    pub(super) fn laps(&mut self, laps: u8) {
        self.rig.controls.on_track = 1.0;
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

    pub(super) fn pinch(&mut self) -> Result<Found, Refusal> {
        self.running_or()?;
        self.set_throttle(0.0);
        // The ear compares with the last second before, and follows twentieths of a second, not revolutions.
        self.pass(1000);
        let rows = self.strip.rows();
        let idle = rows.iter().rev().take(20).map(|r| r.rpm).sum::<f64>() / 20.0;
        self.rig.controls.line_open = 0.0;
        let (mut most, mut ms) = (idle, 0);
        while ms < 15_000 && self.running() && self.rig.rpm() > 0.8 * idle {
            self.pass(100);
            ms += 100;
            // Tenths: what is heard as a pitch.
            let tenth = self.strip.rows().iter().rev().take(2).map(|r| r.rpm).sum::<f64>() / 2.0;
            most = most.max(tenth);
        }
        self.rig.controls.line_open = 1.0;
        let seconds = f64::from(ms) / 1000.0;
        let rise = 100.0 * (most / idle - 1.0) + self.human.pinch_percent();
        Ok(Found::Pinched {
            rise: PinchRise::of(rise),
            seconds,
        })
    }

    pub(super) fn fix(&mut self, part: Part) {
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
        self.rig.engine = Engine::new(&self.hidden.setup);
    }
}
