//! The page's server from the side of whoever means it no good, and of whoever loses the line: nobody gets in under another name, what is
//! no line of a page does nothing and is told so, and a practice outlives its line.

mod demonstration;
mod hostile;
mod levels;
mod line;
mod listening;
mod served;
