//! Practices in batch: many tuners on many hidden engines, each meeting the same engine and the same errors of hand and ear, so that
//! what they cost can be compared pair by pair.

mod lane;
pub mod playing;
mod practice;
pub mod ranking;
pub mod record;
pub mod running;
pub mod study;
pub mod summary;
