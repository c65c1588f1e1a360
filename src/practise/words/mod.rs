//! All words of a practice: what is heard, found, refused, proposed, checked and told at the end, and the commands of one line. What
//! happens is data everywhere else; this is the only place that words it, and nothing reads a sentence back (commands aside, which
//! people type).

mod action;
mod advise;
mod cautions;
mod check;
mod command;
mod costs;
pub mod day;
mod debrief;
mod demonstration;
mod event;
pub mod explain;
mod found;
pub mod listening;
mod map;
mod noticed;
mod number;
pub mod plan;
pub mod range;
mod reason;
mod refusal;
pub mod sheet;
pub mod story;
mod work;

pub use action::{command, doing, done, effect, exactly, inward, mark, short, verdict, way};
pub use advise::{advice, because as test_because, test, turn_because};
pub use cautions::{DANGERS, RULES, TASK};
pub use check::{Degrees, bogs, check_name, told as check_told, warning};
pub use command::{CLICK_TURNS, HELP, Line, read};
pub use debrief::{Told, Tone, debrief, told};
pub use demonstration::{off, opened};
pub use event::{event, recording_stopped};
pub use found::{compared, cure, following, found, note, warm_head};
pub use noticed::noticed_signs;
pub use number::{clock, fraction, span, stopwatch, turns};
pub use reason::why;
pub use refusal::{asked, refusal};
