//! A demonstration on a page's bench: the recording from its beginning, for each page at its own pace.

use std::sync::Arc;

use needlebench::practise::demonstration::Tape;
use needlebench::practise::web::ask::Ask;
use needlebench::practise::web::showing::{Showing, TruthTold};
use needlebench::practise::words;
use serde_json::{Value, json};

use super::bench::Lies;
use super::told::Page;

/// What a page watches.
pub struct Demonstrating {
    tape: Arc<Tape>,
    showing: Option<Showing>,
}

impl Demonstrating {
    /// A recording that waits for a page.
    pub fn new(tape: Arc<Tape>) -> Self {
        Self { tape, showing: None }
    }
}

impl Lies for Demonstrating {
    fn welcome(&mut self, rate_hz: u32) -> Value {
        // A page that comes back finds it where it stood.
        self.showing
            .get_or_insert_with(|| Showing::new(Arc::clone(&self.tape), rate_hz));
        json!({"dangers": words::DANGERS, "rules": words::RULES})
    }

    fn still(&self) -> bool {
        self.showing.as_ref().is_none_or(Showing::still)
    }

    fn makes(&self) -> bool {
        false
    }

    fn ask(&mut self, ask: Ask, _: &mut Page) {
        if let Some(showing) = &mut self.showing {
            showing.ask(&ask);
        }
    }

    fn pass(&mut self, ms: u32) {
        if let Some(showing) = &mut self.showing {
            showing.pass(ms);
        }
    }

    fn sound(&mut self) -> (u32, Vec<f32>) {
        self.showing.as_mut().map(Showing::sound).unwrap_or_default()
    }

    fn show(&mut self, moment: bool, rest: bool, page: &mut Page) {
        let Some(showing) = &mut self.showing else { return };
        if moment {
            page.news("state", &showing.state());
        }
        if rest {
            page.news("card", &showing.card());
            page.news("run", &showing.run());
            page.news("bench", &showing.bench());
            page.news("truth", &TruthTold::from(showing.truth()));
        }
    }

    fn leave(&mut self, _: &mut Page) {}
}
