//! A stretch: what of an action is played in one go, a segment of its manoeuvre or less of it. It keeps what was so before, leads the
//! hands and watches; whether its revolutions are played alone or beside other practices, nothing in it knows.

use std::sync::Arc;

use super::Episode;
use super::lean::{self, Right};
use super::log::Log;
use crate::bench::guide::{Cursor, Guide};
use crate::bench::manoeuvre::{Manoeuvre, Mark};
use crate::bench::player::{Now, Observer, Stand};
use crate::engine::params::{Faults, Setting};
use crate::engine::state::{Controls, Revolution, State};
use crate::engine::{Engine, Hands, Next};
use crate::tuning::action::Action;

/// What of an action is played in one go.
#[derive(Clone, Debug)]
pub(in crate::tuning) struct Stretch {
    guide: Guide,
    eyes: Eyes,
    /// When it begins and when it is over on the practice's clock, ms.
    from_ms: u64,
    to_ms: u64,
    /// It is a segment to its end.
    whole: bool,
    /// Throttle before it.
    throttle: f64,
}

/// How far a stretch goes: on the practice's clock, ms, and on the engine's, s.
#[derive(Clone, Copy, Debug)]
pub(super) struct Until {
    pub ms: u64,
    pub s: f64,
    /// To the end of a segment.
    pub whole: bool,
}

/// What watches a stretch.
#[derive(Clone, Debug)]
struct Eyes {
    setting: Setting,
    line_leaks: bool,
    listened: bool,
    /// The state before the revolution, where it may be asked for.
    before: State,
}

impl Eyes {
    /// Sees a revolution, and notes it.
    #[inline(always)]
    fn see(&mut self, (right, log): (&Right, &mut Log), now: &Now, r: &Revolution, state: &State) {
        let hands = lean::Hands {
            throttle: now.throttle,
            setting: self.setting,
            line_leaks: self.line_leaks,
            pinched: now.mark == Mark::Pinch,
        };
        let judged = right.judge(&mut log.leanness, &hands, (&self.before, r, state));
        log.note(now, r, state, judged, self.listened);
        if Right::looks_back(&log.leanness, self.line_leaks, state) {
            self.before = *state;
        }
    }
}

impl Stretch {
    /// Whether it is a segment to its end.
    pub(super) fn whole(&self) -> bool {
        self.whole
    }

    /// Whether hands stay as they are at a time on the engine's clock, s.
    #[inline(always)]
    pub fn stays(&self, time: f64) -> bool {
        self.guide.stays(time)
    }

    /// Leads the hands after a revolution that was seen.
    pub fn turned(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        self.guide.turned(state, controls)
    }
}

/// Hands and eyes of a stretch that is played alone.
struct Alone<'a, O> {
    stretch: &'a mut Stretch,
    right: &'a Right,
    log: &'a mut Log,
    watch: O,
}

impl<O: Observer> Hands for Alone<'_, O> {
    fn begin(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        self.stretch.guide.begin(state, controls)
    }

    #[inline(always)]
    fn turned(&mut self, state: &mut State, revolution: &Revolution, controls: &mut Controls) -> Next {
        let now = Now::of(&self.stretch.guide, state.time, controls.throttle);
        self.stretch.eyes.see((self.right, self.log), &now, revolution, state);
        self.watch.see(&now, revolution, state);
        if self.stretch.stays(state.time) {
            Next::On
        } else {
            Next::Asks
        }
    }

    fn asked(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        self.stretch.turned(state, controls)
    }
}

/// Which engine it is that turns in a practice: equal ones can turn side by side.
#[derive(Clone, Debug)]
pub(in crate::tuning) struct Which {
    /// Of the same draw: what follows from that is shared.
    right: Arc<Right>,
    /// What parts were put right since.
    faults: Faults,
}

impl PartialEq for Which {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.right, &other.right) && self.faults == other.faults
    }
}

impl Episode {
    /// Which engine turns.
    pub(in crate::tuning) fn which(&self) -> Which {
        Which {
            right: Arc::clone(&self.right),
            faults: self.hidden.setup.faults,
        }
    }

    /// Whether that one turns.
    pub(in crate::tuning) fn is_on(&self, which: &Which) -> bool {
        Arc::ptr_eq(&self.right, &which.right) && self.hidden.setup.faults == which.faults
    }

    /// The engine that turns.
    pub(in crate::tuning) fn engine(&self) -> &Engine {
        &self.rig.engine
    }

    /// The engine as it stands, and how its controls were left.
    pub(in crate::tuning) fn stand(&self) -> Stand {
        self.rig.stand()
    }

    /// A stretch of an action's manoeuvre from where its cursor stands.
    pub(super) fn stretch(&self, action: &Action, (manoeuvre, cursor): (&Manoeuvre, Cursor), until: Until) -> Stretch {
        Stretch {
            guide: Guide::at(self.rig.engine.tank_capacity(), manoeuvre, cursor, until.s),
            eyes: Eyes {
                setting: self.opening(),
                line_leaks: self.hidden.setup.faults.pressure_line_leak_share > 0.0,
                // On the track and with a pinched line it is another engine.
                listened: !matches!(action, Action::Laps { .. } | Action::Pinch),
                before: self.rig.state,
            },
            from_ms: self.clock_ms,
            to_ms: until.ms,
            whole: until.whole,
            throttle: self.throttle(),
        }
    }

    /// Begins a stretch; whether it has revolutions.
    pub(in crate::tuning) fn enter(&mut self, stretch: &mut Stretch) -> bool {
        stretch.guide.begin(&mut self.rig.state, &mut self.rig.controls) != Next::Done
    }

    /// Sees a revolution of a stretch, and notes it.
    #[inline(always)]
    pub(in crate::tuning) fn see(&mut self, stretch: &mut Stretch, throttle: f64, r: &Revolution, state: &State) {
        let now = Now::of(&stretch.guide, state.time, throttle);
        stretch.eyes.see((&self.right, &mut self.log), &now, r, state);
    }

    /// Takes the engine back from where a stretch has left it.
    pub(in crate::tuning) fn leave(&mut self, state: State, controls: Controls) {
        (self.rig.state, self.rig.controls) = (state, controls);
    }

    /// Plays a stretch alone. Whoever watches is shown every revolution.
    pub(super) fn follow(&mut self, stretch: &mut Stretch, watch: impl Observer) {
        let hands = Alone {
            stretch,
            right: &self.right,
            log: &mut self.log,
            watch,
        };
        let mut runs = [self.rig.stand().with(hands)];
        self.rig.engine.play(&mut runs);
        let [run] = runs;
        let (stand, _) = Stand::parted(run);
        self.leave(stand.state, stand.controls);
    }

    /// What has changed with a stretch that was played; where its cursor stands then.
    pub(super) fn followed(&mut self, stretch: &Stretch) -> Cursor {
        let (from_ms, to_ms) = (stretch.from_ms, stretch.to_ms);
        self.clock_ms = to_ms;
        // How long it ran is counted to its last moment, whatever steps time passes in; then a starter may have spun it again.
        let silent_ms = self.log.silent_ms.unwrap_or(u64::MAX);
        self.ran_ms += to_ms.min(silent_ms) - from_ms.min(silent_ms);
        if self.running() {
            self.log.silent_ms = None;
        }
        // A throttle that moves counts as used.
        if (self.throttle() - stretch.throttle).abs() > 1e-9 {
            self.counter.interrupted();
        }
        stretch.guide.cursor()
    }
}
