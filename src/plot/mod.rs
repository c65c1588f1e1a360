//! Results as pictures, in SVG text: one manoeuvre over time ([`run`]), the learner's curve ([`progress`]), a study ([`compare`]), by which
//! paths a turn acts ([`causes`]), a symptom's story ([`story`]) and its page ([`sheet`]), a map of settings ([`plane`]), a plan for another fuel or weather ([`plan`])
//! or for a day ([`day`]), and how long a tank lasts ([`range`]).
//!
//! A picture is panels over a common axis, one measure each, so that no line needs a colour to be told from another. Every label
//! has its unit, the background is drawn, and the same input gives the same bytes.

mod axis;
mod canvas;
pub mod causes;
pub mod compare;
pub mod day;
mod page;
mod panel;
pub mod plan;
pub mod plane;
pub mod progress;
pub mod range;
pub mod run;
pub mod sheet;
pub mod story;
pub mod subject;
mod thin;

pub use canvas::PlotError;
