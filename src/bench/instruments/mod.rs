//! What a tuner can notice: an ear, an eye on the smoke and the plug, a tachometer and a temperature gun. [`Strip`] keeps what passed
//! in twentieths of a second and what is remembered of it ([`Memory`]); [`listen()`] turns the last of it into [`Note`]s, [`follow()`]
//! keeps the stopwatch on a return, [`laps()`] hears laps. All of it is data, worded elsewhere, and nothing here sees the screws or
//! the mixture of the moment.

mod follow;
mod idle;
mod laps;
mod listen;
mod memory;
mod note;
mod opening;
mod pinch;
mod plug;
mod row;
mod smoke;
mod stretch;
mod strip;
mod tuned;

pub use follow::{Following, Phase, follow};
pub use laps::{Exit, Laps, Straight, WayIn, laps};
pub use listen::listen;
pub use memory::{Compared, Manoeuvre, Memory, Sense, Than};
pub use note::Note;
pub use opening::OPENING_S;
pub use pinch::PinchRise;
pub use plug::{PlugColour, PlugReading, Unread};
pub use row::{ROW_S, Row, missed};
pub use smoke::smoke;
pub use stretch::SHUT;
pub use strip::{Around, Strip};
pub use tuned::Tuned;
