//! What follows from the model for somebody at a real engine, with how sure it is; found by running engines, and all of it data: words and
//! pictures are made of it elsewhere.
//!
//! Why the screws do what they do: what a small turn changes ([`effects`]), which screw is for what ([`relative_gain`]), by which paths
//! ([`causes`]), over which seconds ([`story`]), and where it is clean ([`plane`]). Where the clean setting goes with fuel and weather
//! ([`change`]), how long a tank lasts ([`range`]), and what most likely stands wrong by what was seen and heard ([`advise`]). How sure all
//! that is: an answer over the ensemble's sets ([`spread`]), what rows that are linear want and leave open ([`fit`]), draws from it ([`mod@slice`]).

pub mod advise;
pub mod causes;
pub mod change;
pub mod contour;
pub mod effects;
pub mod fit;
pub mod metering;
pub mod plane;
pub mod range;
pub mod relative_gain;
pub mod slice;
pub mod spread;
pub mod story;
pub mod symptom;
