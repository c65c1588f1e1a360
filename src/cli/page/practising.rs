//! A practice on a page's bench: put there as the page asks, recorded from its begin, and left when the page goes.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

use needlebench::practise::class_code::Class;
use needlebench::practise::recording::Practice;
use needlebench::practise::session::Level;
use needlebench::practise::web::ask::Ask;
use needlebench::practise::web::desk::Desk;
use needlebench::practise::web::shown;
use needlebench::practise::words;
use needlebench::tuning::scenario::{self, SCENARIOS, Scenario};
use serde_json::{Value, json};

use super::bench::Lies;
use super::offer::{Offer, Recorded};
use super::told::Page;
use crate::cli::options::any_seed;
use crate::cli::recording;

/// A bench with an engine on it, or none yet.
pub struct Practising {
    offer: Arc<Offer>,
    rate_hz: u32,
    desk: Option<Desk>,
    recorded: Option<PathBuf>,
    /// There may be more of the debrief to make.
    makes: bool,
}

impl Practising {
    /// An empty bench.
    pub fn new(offer: Arc<Offer>) -> Self {
        Self {
            offer,
            rate_hz: 0,
            desk: None,
            recorded: None,
            makes: false,
        }
    }

    /// Puts an engine on the bench; a practice that goes on is left.
    fn prepare(&mut self, name: &str, level: Level, seed: Option<u64>, page: &mut Page) {
        if let Some(desk) = &mut self.desk {
            desk.leave();
        }
        self.look_for_trouble(page);
        self.desk = None;
        let offer = &self.offer;
        let source = if name == offer.name {
            Ok(offer.scenario.clone())
        } else {
            scenario::built_in(name)
        };
        let seed = seed.or(offer.seed).unwrap_or_else(any_seed);
        let begun = source
            .map_err(|error| error.to_string())
            .and_then(|source| Practice::begin(&source, level, seed, 0, None).map_err(|error| error.to_string()));
        match begun {
            Ok(practice) => {
                page.forget();
                self.recorded = None;
                self.makes = true;
                self.desk = Some(Desk::new(practice, None, self.rate_hz));
            }
            Err(error) => page.trouble(&error),
        }
    }

    /// Records what begins now.
    fn record(&mut self, page: &Page) {
        let Some(desk) = self.desk.as_mut().filter(|desk| !desk.begun()) else {
            return;
        };
        let (card, seed) = (desk.card(), desk.practice().session().seed);
        let practice = desk.practice();
        if let Ok(since_1970) = SystemTime::now().duration_since(UNIX_EPOCH) {
            practice.begun_at(u64::try_from(since_1970.as_millis()).unwrap_or(u64::MAX));
        }
        let recorded = match self.offer.next_recorded() {
            Recorded::Not => Ok(None),
            Recorded::To(path) => recording::to(&path, practice).map(|()| Some(path)),
            Recorded::ToFolder => recording::to_folder(&card.scenario, seed, practice),
        };
        match recorded {
            Ok(path) => {
                desk.recorded_to(path.as_ref().map(|path| path.display().to_string()));
                self.recorded = path;
            }
            Err(failure) => page.trouble(&format!("not recorded: {failure}")),
        }
    }

    /// Tells of a recording that has stopped.
    fn look_for_trouble(&mut self, page: &Page) {
        let Some(desk) = &mut self.desk else { return };
        for text in desk.trouble() {
            let path = self.recorded.as_ref().map(|path| path.display().to_string());
            self.offer.stopped(path.unwrap_or_default(), text.clone());
            page.trouble(&text);
        }
    }
}

impl Lies for Practising {
    fn welcome(&mut self, rate_hz: u32) -> Value {
        self.rate_hz = rate_hz;
        let offer = &self.offer;
        let built_in = SCENARIOS.iter().filter_map(|file| {
            let read = Scenario::read(&scenario::source(file.name).ok()?).ok()?;
            Some(json!({"name": read.name, "summary": read.summary}))
        });
        let mut scenarios: Vec<Value> = built_in.collect();
        if !scenarios.iter().any(|known| known["name"] == offer.name.as_str()) {
            let read = Scenario::read(&offer.scenario).ok();
            let summary = read.map(|read| read.summary).unwrap_or_default();
            scenarios.insert(0, json!({"name": offer.name, "summary": summary}));
        }
        json!({
            "scenarios": scenarios,
            "scenario": offer.name,
            "level": offer.level,
            "dangers": words::DANGERS,
            "rules": words::RULES,
            "task": words::TASK,
            "routines": shown::routines(),
            "parts": shown::parts(),
            "begun": self.desk.as_ref().is_some_and(Desk::begun),
        })
    }

    fn still(&self) -> bool {
        self.desk.as_ref().is_none_or(Desk::still)
    }

    fn makes(&self) -> bool {
        self.makes && self.desk.as_ref().is_some_and(Desk::over)
    }

    fn ask(&mut self, ask: Ask, page: &mut Page) {
        match ask {
            Ask::Prepare {
                scenario,
                level,
                seed,
                class: None,
            } => return self.prepare(&scenario, level, seed, page),
            Ask::Prepare { class: Some(words), .. } => {
                return match Class::read(&words) {
                    Ok(class) => self.prepare(class.scenario, class.level, Some(class.seed), page),
                    Err(error) => page.trouble(&error.to_string()),
                };
            }
            Ask::Begin { .. } => self.record(page),
            _ => {}
        }
        if let Some(desk) = &mut self.desk {
            desk.ask(ask);
        }
    }

    fn pass(&mut self, ms: u32) {
        if let Some(desk) = &mut self.desk {
            desk.pass(ms);
        }
    }

    fn sound(&mut self) -> (u32, Vec<f32>) {
        self.desk.as_mut().map(Desk::sound).unwrap_or_default()
    }

    fn show(&mut self, moment: bool, rest: bool, page: &mut Page) {
        self.look_for_trouble(page);
        let Some(desk) = &mut self.desk else { return };
        let said = desk.say();
        if moment {
            page.news("state", &desk.state());
        }
        if rest || desk.over() && !page.knows("debrief") {
            page.news("card", &desk.card());
            page.news("bench", &desk.bench());
            if let Some(debrief) = desk.debrief() {
                page.news("debrief", &debrief);
            }
        }
        said.iter().for_each(|text| page.say(text));
        if desk.still() {
            // The last of it is told at the next look.
            self.makes = desk.go_on_with_debrief() || !desk.over();
        }
    }

    fn leave(&mut self, page: &mut Page) {
        if let Some(desk) = &mut self.desk {
            desk.leave();
        }
        self.look_for_trouble(page);
    }
}
