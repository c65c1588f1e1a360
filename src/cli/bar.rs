//! A progress bar on standard error for what takes longer than a second: nothing is drawn before that, and nothing where it is no
//! terminal or a dumb one.

use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressStyle};

use super::terminal::dumb;

/// What is done sooner needs no bar.
const PATIENCE: Duration = Duration::from_secs(1);
/// Steps of the bar.
const STEPS: u64 = 1000;

/// A bar that appears once it has been waited for.
pub struct Bar {
    what: &'static str,
    since: Instant,
    shown: Option<ProgressBar>,
}

impl Bar {
    /// A bar for `what`, not drawn yet.
    pub fn new(what: &'static str) -> Self {
        Self {
            what,
            since: Instant::now(),
            shown: None,
        }
    }

    /// Shows the share that is done, 0..1.
    pub fn show(&mut self, share: f64) {
        self.tell(share, "");
    }

    /// The same with some words beside it.
    pub fn tell(&mut self, share: f64, words: &str) {
        if dumb() || self.shown.is_none() && self.since.elapsed() < PATIENCE {
            return;
        }
        let what = self.what;
        let bar = self.shown.get_or_insert_with(|| {
            let bar = ProgressBar::new(STEPS).with_prefix(what);
            // A template that can't be read leaves the library's own.
            match ProgressStyle::with_template("{prefix} {wide_bar} {percent} % {msg}") {
                Ok(style) => bar.with_style(style),
                Err(_) => bar,
            }
        });
        bar.set_message(words.to_string());
        bar.set_position((share * STEPS as f64) as u64);
    }
}

impl Drop for Bar {
    fn drop(&mut self) {
        if let Some(bar) = &self.shown {
            bar.finish_and_clear();
        }
    }
}
