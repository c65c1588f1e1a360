//! What the bench says of the model itself: how sure its answers are.

pub mod fit;
pub mod spread;
