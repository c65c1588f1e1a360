//! What the fuzz bench and its short run among the tests share: inputs drawn from a seed and their number, valid ones changed
//! mildly, tried in process one after the other, with a tally of what came of them.

pub mod corners;
pub mod draw;
pub mod files;
pub mod finite;
pub mod flags;
pub mod lines;
pub mod recordings;
pub mod tally;
pub mod traces;

use draw::Draw;

/// What came of one input, which may be several tries.
#[derive(Debug, Default, PartialEq)]
pub struct Outcome {
    /// What was tried: files, lines, traces, recordings, command lines.
    pub tried: u64,
    /// How much of it got past the first parse, so that its meaning was looked at.
    pub parsed: u64,
    /// How much of it was refused, be it there or later.
    pub refused: u64,
    /// Revolutions of an engine that ran on it.
    pub revolutions: u64,
    /// What must never be: a number that is none, a message that says nothing.
    pub fault: Option<String>,
}

/// Something that takes inputs of one kind.
pub trait Subject {
    /// Draws an input, writes it to `shown` and tries it.
    fn attempt(&mut self, draw: &mut Draw, shown: &mut String) -> Outcome;
}

/// A kind of inputs.
#[derive(Clone, Copy)]
pub struct Kind {
    /// Its name.
    pub name: &'static str,
    /// Makes its subject ready.
    pub make: fn() -> Box<dyn Subject>,
}

/// All kinds.
pub const KINDS: &[Kind] = &[
    Kind {
        name: "files",
        make: || Box::new(files::Files::new()),
    },
    Kind {
        name: "lines",
        make: || Box::new(lines::Lines::new()),
    },
    Kind {
        name: "traces",
        make: || Box::new(traces::Traces::new()),
    },
    Kind {
        name: "recordings",
        make: || Box::new(recordings::Recordings::new()),
    },
    Kind {
        name: "flags",
        make: || Box::new(flags::Flags::new()),
    },
    Kind {
        name: "corners",
        make: || Box::new(corners::Corners::new()),
    },
];
