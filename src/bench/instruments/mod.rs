//! What a tuner can notice: an ear, an eye on the smoke, a tachometer and a temperature gun. [`Strip`] keeps what passed in
//! twentieths of a second; [`listen()`] turns the last of it into [`Note`]s. Nothing here sees the screws or the mixture.

mod listen;
mod note;
mod strip;

pub use listen::{Tuned, listen};
pub use note::Note;
pub use strip::{ROW_S, Row, Strip};
