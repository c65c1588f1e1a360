//! Engines turning side by side in the widest registers that the processor at hand has; one alone turns in `alone`.
//!
//! [`Engine::play`] takes a slice of runs, each a state with hands of its own, and plays every one to its end: a lane whose run has
//! ended takes the next, and when few are left they go on in fewer registers. Nobody outside sees how wide it was: no operation of
//! the model is reordered, or fused but where it says so, so the bits are those of one engine alone (`tests/determinism`).

use super::links::{Free, Held, Hold, LINKS, Links, Passed};
use super::openings::Openings;
use super::state::{Controls, Revolution, State};
use super::{Chance, Engine};
use crate::lanes::{InRegisters, Lanes, MOST_LANES, Registers, Width};
use crate::noise::{Noise, whole};

/// What the hands want after a revolution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// Go on as it is.
    On,
    /// Go on with the controls or the state changed.
    Moved,
    /// They have more to do than to look: [`Hands::asked`] is asked next, before the next revolution.
    Asks,
    /// The run is over.
    Done,
}

/// Hands on one engine, and eyes: they see every revolution and may move the controls before the next.
pub trait Hands {
    /// Before the first revolution; `Done` ends the run there.
    fn begin(&mut self, state: &mut State, controls: &mut Controls) -> Next;
    /// Whether these hands hold links: then [`Hands::hold`] is asked before every revolution.
    const HOLDS: bool = false;
    /// The links to hold in the next revolution, and at which values.
    fn hold(&mut self) -> (Links, Passed) {
        (Links::NONE, [0.0; LINKS])
    }
    /// What would have passed along every link in the revolution just done, shown to hands that hold.
    fn passed(&mut self, _own: &Passed) {}
    /// After a revolution. What is changed counts only if the answer says so.
    fn turned(&mut self, state: &mut State, revolution: &Revolution, controls: &mut Controls) -> Next;
    /// What hands that asked have to do. What seldom is done here need not fetch an engine's whole state after every revolution.
    fn asked(&mut self, _state: &mut State, _controls: &mut Controls) -> Next {
        Next::On
    }
}

/// One engine's run.
#[derive(Clone, Debug)]
pub struct Run<H> {
    /// Where it stands.
    pub state: State,
    /// What the hands do.
    pub controls: Controls,
    /// Its chance.
    pub noise: Noise,
    /// Whose hands.
    pub hands: H,
}

/// Lanes of one number, in memory. Registers that straddle two lines of the cache would cost twice.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
struct Column([f64; MOST_LANES]);

impl Column {
    fn of(value: f64) -> Self {
        Self([value; MOST_LANES])
    }
}
/// Revolutions for which chance is drawn at once: enough for the drawing to run at full width.
const AHEAD: usize = 16;

/// Engines side by side.
struct Block {
    state: State<Column>,
    controls: Controls<Column>,
    openings: Openings<Column>,
    revolution: Revolution<Column>,
    noise: [Noise; MOST_LANES],
    /// Noise of the charge and the film, for the next revolutions.
    chance: [(Column, Column); AHEAD],
    /// The next of them.
    next: usize,
    /// Chance of a bubble in the line.
    bubble: Column,
}

impl Block {
    /// All lanes filled with one run: those that get none of their own turn along and are not looked at.
    fn new<H>(engine: &Engine, padding: &Run<H>) -> Self {
        let state = padding.state.each(|value| Column::of(*value));
        Self {
            state,
            controls: padding.controls.each(|value| Column::of(*value)),
            openings: engine.opened(&padding.controls).each(|value| Column::of(*value)),
            revolution: Revolution::default().each(|value| Column::of(*value)),
            noise: [padding.noise; MOST_LANES],
            chance: [(Column::of(0.0), Column::of(0.0)); AHEAD],
            next: AHEAD,
            bubble: Column::of(0.0),
        }
    }

    fn change(&mut self, engine: &Engine, lane: usize, state: &State, controls: &Controls) {
        self.state.each_with(state, |column, value| column.0[lane] = *value);
        let before = &self.controls;
        if before.throttle.0[lane] != controls.throttle
            || before.idle_turns.0[lane] != controls.idle_turns
            || before.high_turns.0[lane] != controls.high_turns
            || before.low_turns.0[lane] != controls.low_turns
        {
            self.openings
                .each_with(&engine.opened(controls), |column, value| column.0[lane] = *value);
        }
        self.controls
            .each_with(controls, |column, value| column.0[lane] = *value);
    }

    fn put<H>(&mut self, engine: &Engine, lane: usize, run: &Run<H>) {
        self.change(engine, lane, &run.state, &run.controls);
        self.noise[lane] = run.noise;
        for (k, (charge, film)) in self.chance.iter_mut().enumerate().skip(self.next) {
            let index = whole(run.state.revolution) + (k - self.next) as u64;
            (charge.0[lane], film.0[lane]) = run.noise.two_bells(index);
        }
    }
}

/// Draws the chance of the next revolutions of every lane.
struct Draw<'a>(&'a mut Block, usize);

impl InRegisters for Draw<'_> {
    type Output = ();
    #[inline(always)]
    fn run<R: Registers>(self, _: R) {
        let Draw(block, lanes) = self;
        for (k, (charge, film)) in block.chance.iter_mut().enumerate() {
            for lane in 0..lanes {
                let index = whole(block.state.revolution.0[lane]) + k as u64;
                (charge.0[lane], film.0[lane]) = block.noise[lane].two_bells(index);
            }
        }
    }
}

/// One revolution of every lane.
struct Turn<'a>(&'a Engine, &'a mut Block);

/// One revolution of every lane, some links held.
struct TurnHeld<'a> {
    engine: &'a Engine,
    block: &'a mut Block,
    held: Held<'a, MOST_LANES>,
}

impl InRegisters for Turn<'_> {
    type Output = ();
    #[inline(always)]
    fn run<R: Registers>(self, registers: R) {
        let Turn(engine, block) = self;
        let openings = block.openings.each(|column| Lanes::load(registers, &column.0));
        turn(engine, block, registers, &openings, &mut Free);
    }
}

impl InRegisters for TurnHeld<'_> {
    type Output = ();
    #[inline(always)]
    fn run<R: Registers>(mut self, registers: R) {
        let controls = self.block.controls.each(|column| Lanes::load(registers, &column.0));
        let openings = self.engine.openings(&controls, &mut self.held);
        turn(self.engine, self.block, registers, &openings, &mut self.held);
    }
}

#[inline(always)]
fn turn<R: Registers>(
    engine: &Engine,
    block: &mut Block,
    registers: R,
    openings: &Openings<Lanes<R>>,
    hold: &mut impl Hold<R>,
) {
    let mut state = block.state.each(|column| Lanes::load(registers, &column.0));
    let controls = block.controls.each(|column| Lanes::load(registers, &column.0));
    let (charge, film) = &block.chance[block.next];
    let chance = Chance {
        charge: Lanes::load(registers, &charge.0),
        film: Lanes::load(registers, &film.0),
        bubble: Lanes::load(registers, &block.bubble.0),
    };
    let revolution = engine.revolve(&mut state, &controls, openings, &chance, hold);
    block
        .state
        .each_with(&state, |column, value| value.store(&mut column.0));
    block
        .revolution
        .each_with(&revolution, |column, value| value.store(&mut column.0));
}

impl Engine {
    /// Plays every run to its end, as many abreast as the processor has registers for.
    ///
    /// The bits are those of each run played alone, whatever the others do.
    pub fn play<H: Hands>(&self, runs: &mut [Run<H>]) {
        let widths = [Width::Wide, Width::Middle, Width::Narrow, Width::Alone];
        let mut left: Vec<usize> = (0..runs.len())
            .filter(|i| {
                let run = &mut runs[*i];
                run.hands.begin(&mut run.state, &mut run.controls) != Next::Done
            })
            .collect();
        for (k, width) in widths.iter().enumerate() {
            // A width pays while more runs are left than the next one has lanes, and half as many again: so many play there as soon, one
            // after the other, since few end at the same time.
            let enough = widths
                .get(k + 1)
                .map_or(0, |next| match self.instructions.lanes(*next) {
                    1 => 1,
                    lanes => lanes + lanes / 2,
                });
            if *width == Width::Alone {
                for run in left.drain(..) {
                    self.play_alone(&mut runs[run]);
                }
            } else if left.len() > enough {
                self.play_block(*width, runs, &mut left, enough);
            }
        }
    }

    fn play_alone<H: Hands>(&self, run: &mut Run<H>) {
        loop {
            let (state, controls) = (&mut run.state, &run.controls);
            let revolution = if H::HOLDS {
                let (links, values) = run.hands.hold();
                let (revolution, own) = self.step_holding(state, controls, run.noise, links, &values);
                run.hands.passed(&own);
                revolution
            } else {
                self.step(state, controls, run.noise)
            };
            let mut next = run.hands.turned(&mut run.state, &revolution, &mut run.controls);
            if next == Next::Asks {
                next = run.hands.asked(&mut run.state, &mut run.controls);
            }
            if next == Next::Done {
                return;
            }
        }
    }

    /// Plays the runs that are `left` until no more than `enough` are, which stay in the list.
    fn play_block<H: Hands>(&self, width: Width, runs: &mut [Run<H>], left: &mut Vec<usize>, enough: usize) {
        let lanes = self.instructions.lanes(width).min(MOST_LANES);
        let mut waiting = left.split_off(left.len().min(lanes)).into_iter();
        let mut block = Box::new(Block::new(self, &runs[left[0]]));
        let mut owner: [Option<usize>; MOST_LANES] = [None; MOST_LANES];
        for (lane, run) in left.iter().enumerate() {
            owner[lane] = Some(*run);
            block.put(self, lane, &runs[*run]);
        }
        let mut seated = left.len();
        while seated + waiting.len() > enough {
            if block.next == AHEAD {
                block.next = 0;
                self.instructions.run(width, Draw(&mut block, lanes));
            }
            if self.foam_share > 0.0 {
                for lane in 0..lanes {
                    block.bubble.0[lane] = self.bubble(block.noise[lane], block.state.time.0[lane]);
                }
            }
            if H::HOLDS {
                self.turn_held(width, &mut block, &owner, runs);
            } else {
                self.instructions.run(width, Turn(self, &mut block));
            }
            block.next += 1;
            for (lane, seat) in owner.iter_mut().enumerate().take(lanes) {
                let Some(at) = *seat else { continue };
                let run = &mut runs[at];
                let mut state = block.state.each(|column| column.0[lane]);
                let revolution = block.revolution.each(|column| column.0[lane]);
                let mut next = run.hands.turned(&mut state, &revolution, &mut run.controls);
                if next == Next::Asks {
                    state = block.state.each(|column| column.0[lane]);
                    next = run.hands.asked(&mut state, &mut run.controls);
                }
                match next {
                    Next::On | Next::Asks => {}
                    Next::Moved => block.change(self, lane, &state, &run.controls),
                    Next::Done => {
                        run.state = state;
                        *seat = waiting.next();
                        match *seat {
                            Some(next) => block.put(self, lane, &runs[next]),
                            None => seated -= 1,
                        }
                    }
                }
            }
        }
        left.clear();
        for (lane, at) in owner.iter().enumerate() {
            if let Some(at) = *at {
                runs[at].state = block.state.each(|column| column.0[lane]);
                left.push(at);
            }
        }
        left.extend(waiting);
    }

    /// One revolution of every lane, each holding what its hands want held.
    fn turn_held<H: Hands>(
        &self,
        width: Width,
        block: &mut Block,
        owner: &[Option<usize>; MOST_LANES],
        runs: &mut [Run<H>],
    ) {
        let mut held = [[0.0; MOST_LANES]; LINKS];
        let mut mask = [[0.0; MOST_LANES]; LINKS];
        let mut own = [[0.0; MOST_LANES]; LINKS];
        for (lane, at) in owner.iter().enumerate() {
            let Some(at) = at else { continue };
            let (links, values) = runs[*at].hands.hold();
            for (link, (value, is_held)) in values.into_iter().zip(links.mask()).enumerate() {
                held[link][lane] = value;
                mask[link][lane] = is_held;
            }
        }
        let held = Held {
            held: &held,
            mask: &mask,
            own: &mut own,
        };
        self.instructions.run(
            width,
            TurnHeld {
                engine: self,
                block,
                held,
            },
        );
        for (lane, at) in owner.iter().enumerate() {
            let Some(at) = at else { continue };
            runs[*at].hands.passed(&own.map(|column| column[lane]));
        }
    }
}
