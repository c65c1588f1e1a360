//! Practising: an [`session`] at the pace of its caller, shown in words, [`recording`] what was done so that it replays exactly,
//! and a [`debrief`] once it is over. All of it is data; [`words`] words it, and reads commands of one line.

pub mod debrief;
pub mod map;
pub mod progress;
pub mod recording;
pub mod replay;
pub mod screen;
pub mod session;
pub mod show;
pub mod words;
