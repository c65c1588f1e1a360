//! One engine turning alone, on plain numbers: a revolution, the same with links held, and what the carburettor meters in it.

use super::links::{Free, Held, Hold, LINKS, Links, Passed};
use super::openings::Openings;
use super::state::{Controls, Revolution, State};
use super::{Chance, Engine};
use crate::lanes::{self, Alone, Lanes, One};
use crate::noise::{Channel, Noise, whole};

/// One revolution of one engine.
struct TurnOne<'a, H> {
    engine: &'a Engine,
    state: &'a mut State,
    controls: &'a Controls,
    chance: Chance,
    hold: H,
}

impl<H: Hold<One>> TurnOne<'_, H> {
    #[inline(always)]
    fn turn(mut self) -> Revolution {
        let one = |x: &f64| lanes::one(*x);
        let number = |x: &Lanes<One>| x.number();
        let mut state = self.state.each(one);
        let controls = self.controls.each(one);
        let chance = Chance {
            charge: lanes::one(self.chance.charge),
            film: lanes::one(self.chance.film),
            bubble: lanes::one(self.chance.bubble),
        };
        let openings = self.engine.openings(&controls, &mut self.hold);
        let revolution = self
            .engine
            .revolve(&mut state, &controls, &openings, &chance, &mut self.hold);
        *self.state = state.each(number);
        revolution.each(number)
    }
}

impl<H: Hold<One>> Alone for TurnOne<'_, H> {
    type Output = Revolution;
    #[inline(always)]
    fn run(self) -> Revolution {
        self.turn()
    }
}

/// What the carburettor meters in one revolution. It is the revolution itself, of which all else is left out by the compiler: so it
/// follows the laws whatever becomes of them, to the bit.
struct MeterOne<'a> {
    engine: &'a Engine,
    state: &'a State,
    controls: &'a Controls,
    noise: Noise,
}

impl Alone for MeterOne<'_> {
    type Output = f64;
    #[inline(always)]
    fn run(self) -> f64 {
        let mut state = *self.state;
        let turn = TurnOne {
            engine: self.engine,
            state: &mut state,
            controls: self.controls,
            chance: self.engine.chance(self.noise, self.state),
            hold: Free,
        };
        turn.turn().metered_equivalence_ratio
    }
}

/// What one engine's hands leave open.
struct Open<'a>(&'a Engine, &'a Controls);

impl Alone for Open<'_> {
    type Output = Openings;
    #[inline(always)]
    fn run(self) -> Openings {
        let controls = self.1.each(|x| lanes::one(*x));
        self.0.openings(&controls, &mut Free).each(|x| x.number())
    }
}

impl Engine {
    /// What one engine's throttle and screws leave open.
    pub(super) fn opened(&self, controls: &Controls) -> Openings {
        self.instructions.alone(Open(self, controls))
    }

    #[inline(always)]
    fn chance(&self, noise: Noise, state: &State) -> Chance {
        let (charge, film) = noise.two_bells(whole(state.revolution));
        Chance {
            charge,
            film,
            bubble: self.bubble(noise, state.time),
        }
    }

    /// Chance of a bubble in the fuel line: a new answer every sixth of a second. A line without foam need not ask.
    #[inline]
    pub(super) fn bubble(&self, noise: Noise, time: f64) -> f64 {
        if self.foam_share > 0.0 {
            noise.branch(Channel::Foam).uniform(whole((time * 6.0).max(0.0)))
        } else {
            0.0
        }
    }

    /// One crankshaft revolution (or, for an engine that stands, a short while).
    pub fn step(&self, state: &mut State, controls: &Controls, noise: Noise) -> Revolution {
        let chance = self.chance(noise, state);
        self.instructions.alone(TurnOne {
            engine: self,
            state,
            controls,
            chance,
            hold: Free,
        })
    }

    /// The equivalence ratio that the carburettor would meter in the revolution to come. No law is worked that it does not need.
    pub fn metered(&self, state: &State, controls: &Controls, noise: Noise) -> f64 {
        self.instructions.alone(MeterOne {
            engine: self,
            state,
            controls,
            noise,
        })
    }

    /// One revolution with some links of the running engine held at `values`; beside it what would have passed along every link.
    pub fn step_holding(
        &self,
        state: &mut State,
        controls: &Controls,
        noise: Noise,
        links: Links,
        values: &Passed,
    ) -> (Revolution, Passed) {
        let chance = self.chance(noise, state);
        let held = values.map(|value| [value]);
        let mask = links.mask().map(|held| [held]);
        let mut out = [[0.0]; LINKS];
        let revolution = self.instructions.alone(TurnOne {
            engine: self,
            state,
            controls,
            chance,
            hold: Held {
                held: &held,
                mask: &mask,
                own: &mut out,
            },
        });
        (revolution, out.map(|[value]| value))
    }
}
