//! What follows from the model for somebody at a real engine, with how sure it is.

pub mod change;
pub mod range;
