//! Scripted tuners who know only what a frame shows, on the built-in scenarios.

mod player;

mod coach;
mod lost;
mod outside;
mod scenarios;
mod strategies;
mod weekend;
