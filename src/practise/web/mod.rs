//! The practice on a page, without sockets and without a clock: what a page may [`ask`], what it is [shown], the [`desk`] between them,
//! its [files], and [who](guard) may talk to it; the [listening] room; and a recording that is [shown](showing). The program's `cli/page` listens, keeps time and hands all of it through.

mod again;
pub mod ask;
pub mod debriefed;
pub mod desk;
#[cfg(test)]
mod desk_tests;
mod ear;
pub mod files;
pub mod guard;
pub mod listening;
mod pace;
pub mod showing;
#[cfg(test)]
mod showing_tests;
pub mod shown;
