//! What hands do for an action, and what comes of it: each is a manoeuvre, begun here and played in `playing` as far as its caller wants,
//! so that a screen or a loudspeaker can follow every revolution.

use super::heard::WARM_HEAD;
use super::stretch::Until;
use super::{Ending, Episode, Found, Refusal, in_range};
use crate::bench::checks::Report;
use crate::bench::instruments::PinchRise;
use crate::bench::manoeuvre::{Manoeuvre, Segment, table};
use crate::bench::player::{Cursor, Unseen};
use crate::tuning::action::{Action, Part};
use crate::units::rev_per_second_from_rpm;

/// How far an action was begun.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::tuning) enum Begun {
    /// It is under way.
    Whole,
    /// Signed off, and the checks have to say what that makes of it.
    Unchecked,
}

/// An action under way.
#[derive(Clone, Debug)]
pub(super) struct Doing {
    pub action: Action,
    pub manoeuvre: Manoeuvre,
    pub cursor: Cursor,
    then: Then,
}

/// What comes of an action when its manoeuvre is over.
#[derive(Clone, Debug)]
pub(super) enum Then {
    /// This, known by then.
    Found(Vec<Found>),
    /// The throttle stays for a last moment.
    Held,
    /// The gun is read.
    Gun,
    /// Laps are over, which began then on the engine's clock, s.
    Driven(f64),
    /// It has been warmed up; whether it was warm before.
    Warmed(bool),
    /// Everything was looked over.
    Looked,
    /// The plug is read.
    Plug,
    /// A part is put right.
    Fixed(Part),
    /// An ear has the idle, and the line is pinched.
    Listened,
    /// The line has been pinched.
    Pinched {
        /// The idle before, rpm.
        idle_rpm: f64,
        /// The highest pitch, rpm.
        most_rpm: f64,
        /// Looks at the speed.
        looks: u16,
    },
}

/// A head comes in from laps so much cooler than full load at rated speed makes it in the long run, K (assumed: laps are half
/// full throttle).
const LAPS_COOLER_C: f64 = 22.0;

pub(super) const NOTHING: Then = Then::Found(Vec::new());

impl Episode {
    /// Does one action. A held throttle stays until the next action or the next moment, so that its last one can be told; then it
    /// springs back.
    ///
    /// # Errors
    /// It can't be done now; nothing has changed then.
    pub fn act(&mut self, action: &Action) -> Result<Vec<Found>, Refusal> {
        self.begin(action)?;
        loop {
            if let Some(found) = self.advance(u32::MAX, Unseen) {
                return Ok(found);
            }
        }
    }

    /// Begins an action; [`Episode::advance`] takes it further and tells what came of it.
    ///
    /// # Errors
    /// It can't be done now; nothing has changed then.
    pub fn begin(&mut self, action: &Action) -> Result<(), Refusal> {
        if self.set_out(action)? == Begun::Unchecked {
            let reports = self.hidden.judging.check_all(&self.hidden.setup, &self.to_check());
            self.checked(reports);
        }
        Ok(())
    }

    /// Begins an action, except for the checks that signing off asks for: [`Episode::checked`] takes them in and goes on.
    ///
    /// # Errors
    /// It can't be done now; nothing has changed then.
    pub(in crate::tuning) fn set_out(&mut self, action: &Action) -> Result<Begun, Refusal> {
        if self.ending.is_some() {
            return Err(Refusal::Over);
        }
        if self.doing.is_some() {
            return Err(Refusal::Busy);
        }
        in_range(action)?;
        if *action == Action::SignOff {
            self.all_heard()?;
            self.let_go();
            return Ok(Begun::Unchecked);
        }
        self.let_go();
        let (manoeuvre, then) = self.set_about(action)?;
        self.doing = Some(self.entered(*action, manoeuvre, then));
        Ok(Begun::Whole)
    }

    /// Signs off with the checks of what [`Episode::to_check`] says.
    pub(in crate::tuning) fn checked(&mut self, reports: Vec<Report>) {
        let found = self.sign_off(reports);
        self.doing = Some(self.entered(Action::SignOff, std::iter::empty().collect(), Then::Found(found)));
    }

    /// The action under way.
    pub fn doing(&self) -> Option<Action> {
        self.doing.as_ref().map(|doing| doing.action)
    }

    /// What hands do for an action, and what comes of it; what takes no time is done at once.
    fn set_about(&mut self, action: &Action) -> Result<(Manoeuvre, Then), Refusal> {
        let shut = 0.0;
        let wait = |episode: &Self, ms: u32| table::wait(episode.throttle(), f64::from(ms) * 1e-3);
        let at_once = || std::iter::empty().collect();
        Ok(match *action {
            Action::Turn { screw, turns } => {
                self.turn(screw, turns)?;
                (at_once(), NOTHING)
            }
            Action::Throttle { position } => {
                self.set_throttle(position);
                (at_once(), NOTHING)
            }
            Action::Hold { position, ms } => {
                self.running_or()?;
                (table::wait(position, f64::from(ms) * 1e-3), Then::Held)
            }
            Action::Wait { ms } => (wait(self, ms), NOTHING),
            Action::RollOn => {
                self.running_or()?;
                (table::roll_on_from_idle(), Then::Held)
            }
            Action::Gun => (wait(self, 2000), Then::Gun),
            Action::Inspect => (wait(self, 60_000), Then::Looked),
            Action::Pinch => {
                self.running_or()?;
                self.log.heard.break_off();
                (table::wait(shut, 2.0), Then::Listened)
            }
            Action::Plug => {
                self.stop();
                (wait(self, 90_000), Then::Plug)
            }
            Action::Warm => {
                self.running_or()?;
                let enough = WARM_HEAD + 10.0;
                let before = self.rig.state.head_temperature > enough;
                (table::warm_up(enough), Then::Warmed(before))
            }
            Action::Laps { laps } => {
                self.running_or()?;
                self.log.heard.break_off();
                (table::laps_and_in(laps.into()), Then::Driven(self.rig.state.time))
            }
            Action::Fuel => {
                let filled = Manoeuvre::from([Segment::hold(self.throttle(), 0.0).refuelled()]);
                (wait(self, 10_000).then(&filled), NOTHING)
            }
            Action::Stop => {
                self.running_or()?;
                self.stop();
                (at_once(), NOTHING)
            }
            Action::Start if self.running() => return Err(Refusal::Running),
            Action::Start => (table::start(), NOTHING),
            Action::Fix { part } => {
                self.stop();
                (wait(self, 60_000 * part.cure_minutes()), Then::Fixed(part))
            }
            Action::Judge {
                end,
                verdict,
                sure_percent,
            } => {
                self.judge(end, verdict, sure_percent)?;
                (at_once(), NOTHING)
            }
            // What comes of it is known by its checks.
            Action::SignOff => (at_once(), NOTHING),
            Action::Leave => {
                self.ending = Some(Ending::Left);
                (at_once(), NOTHING)
            }
        })
    }

    fn running_or(&self) -> Result<(), Refusal> {
        if self.running() { Ok(()) } else { Err(Refusal::Standing) }
    }

    /// An action whose first segment has begun.
    pub(super) fn entered(&mut self, action: Action, manoeuvre: Manoeuvre, then: Then) -> Doing {
        let mut doing = Doing {
            action,
            manoeuvre,
            cursor: Cursor::on_clock(self.clock_ms as f64 * 1e-3),
            then,
        };
        let at_once = Until {
            ms: self.clock_ms,
            s: f64::NEG_INFINITY,
            whole: false,
        };
        let mut stretch = self.stretch(&doing.action, (&doing.manoeuvre, doing.cursor), at_once);
        self.enter(&mut stretch);
        doing.cursor = self.followed(&stretch);
        doing
    }

    /// The ear follows a pinched engine by tenths: a pitch is heard over three of them. It compares with the two seconds before.
    pub(super) fn listen_to_pinch(&mut self, doing: &mut Doing) {
        match &mut doing.then {
            Then::Pinched { most_rpm, looks, .. } => {
                *most_rpm = most_rpm.max(self.log.mean_rpm(6));
                *looks += 1;
            }
            Then::Listened if self.ending.is_none() => {
                let idle_rpm = self.log.mean_rpm(40);
                let pinched = Then::Pinched {
                    idle_rpm,
                    most_rpm: idle_rpm,
                    looks: 0,
                };
                let pinch = table::pinch_and_let_go(rev_per_second_from_rpm(0.8 * idle_rpm));
                *doing = self.entered(doing.action, pinch, pinched);
            }
            _ => {}
        }
    }

    /// What comes of an action that is over.
    pub(super) fn finish(&mut self, doing: Doing) -> Vec<Found> {
        let found = match doing.then {
            Then::Found(found) => found,
            Then::Held => {
                self.held = true;
                Vec::new()
            }
            Then::Gun => vec![self.gun()],
            Then::Driven(began_s) => {
                let mut told = self.heard_laps(began_s);
                let gun = self.gun();
                told.push(gun);
                let hot_c = self.hidden.limits.head_temperature_c - LAPS_COOLER_C;
                told.extend(gun.gun_c().filter(|c| *c > hot_c).map(|_| Found::HeadHot));
                told
            }
            Then::Warmed(before) => vec![self.warmed(before)],
            Then::Looked => {
                let mut found = self.inspect();
                found.extend(self.cooled());
                found
            }
            Then::Plug => {
                let mut found = vec![self.read_plug()];
                found.extend(self.cooled());
                found
            }
            Then::Fixed(part) => {
                let was_at_fault = self.put_right(part);
                vec![Found::Fixed { part, was_at_fault }]
            }
            Then::Listened => Vec::new(),
            Then::Pinched {
                idle_rpm,
                most_rpm,
                looks,
            } => {
                let (heard, pressed) = self.human.pinch();
                let seconds = (f64::from(looks) / 10.0 + pressed).max(0.0);
                vec![Found::Pinched {
                    rise: PinchRise::of(100.0 * (most_rpm / idle_rpm - 1.0) + heard),
                    seconds: (10.0 * seconds).round() / 10.0,
                }]
            }
        };
        // Read or looked at: whoever turns on knows more than before.
        if matches!(
            doing.action,
            Action::Gun | Action::Inspect | Action::Pinch | Action::Plug
        ) {
            self.counter.interrupted();
        }
        found
    }
}
