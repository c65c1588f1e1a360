//! What a tuner can notice: an ear, an eye on the smoke and the plug, a tachometer and a temperature gun. [`Strip`] keeps what passed
//! in twentieths of a second; [`listen()`] turns the last of it into [`Note`]s. All of it is data, worded elsewhere, and nothing here
//! sees the screws or the mixture of the moment.

mod listen;
mod note;
mod pinch;
mod plug;
mod strip;

pub use listen::{OPENING_S, Tuned, listen};
pub use note::Note;
pub use pinch::PinchRise;
pub use plug::{PlugColour, PlugReading};
pub use strip::{ROW_S, Row, Strip, missed};
