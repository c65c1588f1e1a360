//! What follows from the model for somebody at a real engine, with how sure it is: what most likely stands wrong by what was seen and heard
//! ([`advise`]), where the clean setting goes with fuel and weather ([`change`]), and how long a tank lasts ([`range`]).

pub mod advise;
pub mod change;
pub mod range;
