//! Somebody new at the page who does what the hints say with hands of their own: the throttle is held, screws are turned click by click,
//! and every hint is read before it is followed.

use needlebench::practise::recording::Practice;
use needlebench::practise::session::Level;
use needlebench::practise::web::ask::Ask;
use needlebench::practise::web::desk::Desk;
use needlebench::tuning::action::{Action, Screw};
use needlebench::tuning::episode::Ending;
use needlebench::tuning::scenario::source;
use needlebench::tuning::score::Score;

/// Between two looks at the page, ms.
const LOOK_MS: u32 = 40;
/// From a hint to the hand.
const REACTION_MS: u32 = 800;
/// Nobody goes on for longer.
const LIMIT_S: f64 = 3.0 * 3600.0;
const CLICK: f64 = 1.0 / 24.0;

/// What came of a practice.
#[derive(Debug)]
pub struct Played {
    pub ending: Option<Ending>,
    pub score: Score,
    /// Every hint in its order: when it came, s, and what it says to do.
    pub hints: Vec<(f64, String)>,
    /// The longest run of one and the same line in the notebook.
    pub said_again: usize,
    pub notebook: Vec<String>,
}

/// The screw that a hint turns, and which way.
fn turning(hint: &Option<(Action, String)>) -> Option<(Screw, bool)> {
    match hint {
        Some((Action::Turn { screw, turns }, _)) => Some((*screw, *turns > 0.0)),
        _ => None,
    }
}

pub struct Hand {
    desk: Desk,
    n: u32,
    shown: Option<(Action, String)>,
    /// For how long it has been shown, ms.
    since_ms: u32,
    hints: Vec<(f64, String)>,
}

impl Hand {
    /// At a practice; none where there is nothing to be won.
    pub fn at(scenario: &str, seed: u64) -> Option<Self> {
        let source = source(scenario).ok()?;
        let practice = Practice::begin(&source, Level::Guided, seed, 0, None).ok()?;
        Some(Self {
            desk: Desk::new(practice, None, 8000),
            n: 0,
            shown: None,
            since_ms: 0,
            hints: Vec::new(),
        })
    }

    fn ask(&mut self, ask: impl FnOnce(u32) -> Ask) {
        self.n += 1;
        self.desk.ask(ask(self.n));
    }

    fn throttle(&mut self, position: f64) {
        self.ask(|n| Ask::Throttle { position, n });
    }

    fn act(&mut self, action: Action) {
        self.ask(|n| Ask::Do {
            actions: vec![action],
            n,
        });
    }

    /// Lets a moment pass and reads the hint; whether something is under way.
    fn look(&mut self) -> bool {
        for _ in 0..LOOK_MS / 8 {
            self.desk.pass(8);
            self.desk.sound();
        }
        let state = self.desk.state();
        let hint = self
            .desk
            .bench()
            .hint
            .map(|hint| (hint.action, format!("{}: {}", hint.text, hint.because)));
        if hint == self.shown {
            self.since_ms += LOOK_MS;
        } else {
            self.since_ms = 0;
            // What is left of a turn is no new hint.
            let goes_on = turning(&hint).is_some() && turning(&hint) == turning(&self.shown);
            let text = hint.as_ref().map_or(String::new(), |(_, text)| text.clone());
            if !goes_on {
                self.hints.push((state.clock_s, text));
            }
            self.shown = hint;
        }
        state.doing.is_some()
    }

    /// Waits while the hint stays as it is, for at most so long; whether it stayed.
    fn while_shown(&mut self, ms: u32) -> bool {
        let shown = self.shown.clone();
        let mut left_ms = ms;
        while left_ms > 0 && self.shown == shown && !self.desk.over() {
            self.look();
            left_ms = left_ms.saturating_sub(LOOK_MS);
        }
        self.shown == shown
    }

    fn follow(&mut self, action: Action) {
        match action {
            Action::Hold { position, ms } => {
                self.throttle(position);
                // It takes a reaction to see that the hint has gone, too.
                self.while_shown(ms + 1500);
                let chop = matches!(self.shown, Some((Action::Stop, _)));
                let shown = self.shown.clone();
                for _ in 0..REACTION_MS / 2 / LOOK_MS {
                    self.look();
                }
                if chop && self.shown == shown {
                    self.act(Action::Stop);
                    self.look();
                }
                self.throttle(0.0);
            }
            Action::Wait { ms } => {
                self.throttle(0.0);
                self.while_shown(ms + 2000);
            }
            Action::Turn { screw, turns } => {
                // Richer is out at a needle, faster is in at the stop: the page's own signs.
                let step = CLICK.copysign(turns);
                self.act(Action::Turn { screw, turns: step });
                for _ in 0..4 {
                    self.look();
                }
            }
            action => self.act(action),
        }
    }

    pub fn play(mut self) -> Played {
        self.ask(|n| Ask::Begin { n });
        while !self.desk.over() && self.desk.state().clock_s < LIMIT_S {
            let busy = self.look();
            if busy || self.since_ms < REACTION_MS {
                continue;
            }
            let Some((action, _)) = self.shown else { continue };
            self.follow(action);
            // A screw is turned on without reading anew what is still the same turn.
            let screw = turning(&self.shown);
            if screw.is_some() && screw == turning(&Some((action, String::new()))) {
                self.since_ms = REACTION_MS;
            } else {
                self.since_ms = 0;
            }
        }
        let notebook: Vec<String> = self.desk.bench().notebook.into_iter().map(|entry| entry.text).collect();
        let runs = notebook.chunk_by(|one, next| one == next);
        let said_again = runs.map(<[String]>::len).max().unwrap_or(0);
        let episode = self.desk.practice().session().episode();
        Played {
            ending: episode.ending(),
            score: episode.score(),
            hints: self.hints,
            said_again,
            notebook,
        }
    }
}
