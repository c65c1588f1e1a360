//! What the model knows beyond one run: what most likely stands wrong with a real engine, by what was seen and heard ([`advise`]).

pub mod advise;
