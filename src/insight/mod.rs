//! What follows from the model for somebody at a real engine, with how sure it is: where the clean setting moves with fuel and weather
//! ([`change`]).

pub mod change;
