//! Tuning as a game with rules: a [`scenario`] says what is hidden, an [`episode`] lets somebody find it, [`par`] says how little
//! turning would have done, [`strategy`] tunes without knowing it, and [`score`] says how it went. [`fixed_list`] asks
//! what somebody wins who doesn't listen.

pub mod action;
pub mod batch;
pub mod brier;
pub mod drawn;
pub mod ends;
pub mod episode;
pub mod fingerprint;
pub mod fixed_list;
pub mod hidden;
pub mod human;
pub mod judging;
pub mod lookahead;
pub mod par;
pub mod same_mixture;
pub mod scenario;
pub mod score;
pub mod strategy;
pub mod sums;
pub mod truth;
pub mod usual;
pub mod warmth;
