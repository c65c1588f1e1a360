//! Practising: an [`session`] at the pace of its caller, shown in words, [`recording`] what was done so that it replays exactly,
//! and a [`debrief`] once it is over. All of it is data; [`words`] words it, and reads commands of one line.

pub mod class_code;
pub mod curve_text;
pub mod debrief;
pub mod demonstration;
pub mod event;
pub mod explained;
pub mod failed;
pub mod heard;
mod hinted;
mod lines;
pub mod listening;
pub mod map;
pub mod notebook;
pub mod noticed;
pub mod progress;
pub mod recording;
pub mod replay;
#[cfg(test)]
mod replay_tests;
pub mod said;
pub mod screen;
pub mod session;
pub mod show;
pub mod skills;
pub mod unreadable;
pub mod view;
pub mod web;
pub mod words;
pub mod wrap;
