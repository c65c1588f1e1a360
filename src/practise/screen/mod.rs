//! The practice on a full screen: a [`desk`] takes [`keys`] and the time that passed and turns them into actions; [`draw`] shows
//! it, as a pure function of what the session's frame, the notebook and the desk hold.
//!
//! Nothing here reads the clock, the keyboard or the environment: the program hands in keys and milliseconds, and a frame to draw
//! on.

pub mod desk;
pub mod draw;
pub mod keys;
pub mod mode;
pub mod trigger;
pub mod with_keys;

mod dialogs;
mod look;
mod panels;
mod strip;
