//! The page in a real browser: a whole practice by hand, sound and smoke included, at the size of a laptop and of a phone; and its colours,
//! held against each other.

mod contrast;
mod demonstration;
mod driver;
mod layout;
mod listening;
mod practice;
