//! Why the screws do what they do: what a small turn changes ([`effects`]), which screw is for what ([`relative_gain`]), by which paths
//! ([`causes`]), over which seconds ([`story`]), and where it is clean ([`plane`]). All of it is found by running the engine, and all
//! of it is data: words and pictures are made of it elsewhere.

pub mod causes;
pub mod contour;
pub mod effects;
pub mod metering;
pub mod plane;
pub mod relative_gain;
pub mod story;
pub mod symptom;
