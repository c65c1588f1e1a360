//! The desk: everything the screen shows, and what keys and time do to it. It sees the practice through its frames alone; the
//! practice's own acts come back as the next frame.

mod acts;

use super::keys::{Intent, Key, Stroke, intent, throttle};
use super::mode::{Form, Mode};
use super::trigger::Trigger;
use super::with_keys::STEPS;
use crate::practise::recording::Practice;
use crate::practise::view::View;
use crate::practise::words::Tone;
use crate::practise::wrap::wrap;
use crate::tuning::action::{Action, Screw};

/// Least columns that hold the screen.
pub const LEAST_COLUMNS: u16 = 80;
/// Least rows that hold the screen.
pub const LEAST_ROWS: u16 = 24;
/// A message stays this long, ms.
const MESSAGE_MS: u64 = 8000;
/// A key that comes again sooner repeats, ms: fingers are slower.
const TAP_MS: u64 = 130;
/// Longest remark, letters.
const LONGEST_NOTE: usize = 200;

/// Everything the screen shows.
#[derive(Debug)]
pub struct Desk {
    /// What is known, seen, heard and written down.
    pub view: View,
    /// What the screen is at.
    pub mode: Mode,
    /// The screw in hand.
    pub screw: Screw,
    /// The trigger.
    pub trigger: Trigger,
    /// Lines that the notebook is scrolled back.
    pub back: usize,
    /// When the throttle was last moved by hand.
    pub moved_s: Option<f64>,
    /// Lines that the debrief is scrolled on.
    pub scroll: usize,
    step: usize,
    message: Option<(String, u64)>,
    size: (u16, u16),
    now_ms: u64,
    last_key: Option<(Key, u64)>,
    trouble: Option<std::io::Error>,
    finished: bool,
}

impl Desk {
    /// The desk of a practice that begins; `recorded` names its recording.
    pub fn new(practice: &Practice, recorded: Option<String>) -> Self {
        Self {
            view: View::of(practice.session(), recorded),
            mode: Mode::Cautions,
            screw: Screw::High,
            trigger: Trigger::default(),
            back: 0,
            moved_s: None,
            scroll: 0,
            step: 0,
            message: None,
            size: (LEAST_COLUMNS, LEAST_ROWS),
            now_ms: 0,
            last_key: None,
            trouble: None,
            finished: false,
        }
    }

    /// The step of the screws, turns.
    pub fn step(&self) -> f64 {
        STEPS[self.step]
    }
    /// What there is to say, for a while.
    pub fn message(&self) -> Option<&str> {
        self.message
            .as_ref()
            .filter(|(_, at)| self.now_ms - at < MESSAGE_MS)
            .map(|(text, _)| text.as_str())
    }
    /// The screen holds too few columns or rows.
    pub fn too_small(&self) -> bool {
        self.size.0 < LEAST_COLUMNS || self.size.1 < LEAST_ROWS
    }
    /// Columns and rows of the screen.
    pub fn size(&self) -> (u16, u16) {
        self.size
    }
    /// Time stands still.
    pub fn still(&self) -> bool {
        self.too_small() || self.mode != Mode::Bench
    }
    /// The debrief is still being made, a piece with each call of [`Desk::pass`]: call it soon.
    pub fn busy(&self) -> bool {
        self.view.busy()
    }
    /// The player has seen the debrief, or wants no more.
    pub fn finished(&self) -> bool {
        self.finished
    }
    /// Why recording stopped, if it did.
    pub fn trouble(&self) -> Option<&std::io::Error> {
        self.trouble.as_ref()
    }
    /// Throttle shut or open for so long, s; unknown until it is moved by hand.
    pub fn held_s(&self) -> Option<f64> {
        self.moved_s.map(|at| (self.view.frame.sight.clock_s - at).max(0.0))
    }

    /// The debrief in lines of the screen's width.
    pub fn debrief_lines(&self) -> Vec<(Tone, String)> {
        let columns = usize::from(self.size.0.saturating_sub(4));
        let mut lines = Vec::new();
        for told in &self.view.told {
            if told.text.is_empty() {
                lines.push((told.tone, String::new()));
            }
            lines.extend(wrap(&told.text, columns, 10).into_iter().map(|line| (told.tone, line)));
        }
        lines
    }

    fn page(&self) -> usize {
        usize::from(self.size.1.saturating_sub(4))
    }

    fn most_scroll(&self) -> usize {
        self.debrief_lines().len().saturating_sub(self.page())
    }

    /// The screen has so many columns and rows now; too few let the trigger go.
    pub fn resize(&mut self, columns: u16, rows: u16, practice: &mut Practice) {
        self.size = (columns, rows);
        self.scroll = self.scroll.min(self.most_scroll());
        if self.too_small() && !self.trigger.kept() {
            self.let_go(practice);
        }
    }

    /// Nobody looks at the screen any more: a key let go now is never told.
    pub fn looked_away(&mut self, practice: &mut Practice) {
        self.trigger.looked_away();
        self.apply_trigger(practice);
    }

    /// `elapsed_ms` have passed since the last call; `now_ms` counts from the start.
    pub fn pass(&mut self, practice: &mut Practice, elapsed_ms: u32, now_ms: u64) {
        self.now_ms = now_ms;
        self.trigger.relax(now_ms);
        self.apply_trigger(practice);
        if !self.still() && elapsed_ms > 0 {
            let frame = practice.pass(elapsed_ms);
            let told = self.view.passed(practice.session(), frame);
            told.iter().for_each(|text| self.say(text));
            self.look_whether_over();
        }
        self.view.go_on_with_debrief(practice.session());
        self.look_for_trouble(practice);
    }

    /// A key, at `now_ms`.
    pub fn key(&mut self, practice: &mut Practice, key: Key, stroke: Stroke, now_ms: u64) {
        self.now_ms = now_ms;
        if stroke == Stroke::Up {
            if let Some(position) = throttle(key) {
                self.trigger.released(position);
                self.apply_trigger(practice);
            }
            return;
        }
        if self.too_small() {
            return;
        }
        let again = self
            .last_key
            .replace((key, now_ms))
            .is_some_and(|(k, at)| k == key && now_ms - at < TAP_MS);
        let asked = intent(&self.mode, key);
        // A key held too long must not start and stop the engine in turn, or answer what it has just opened.
        let once = match asked {
            Intent::Act(action) => !matches!(action, Action::Wait { .. }),
            Intent::Keep
            | Intent::Step
            | Intent::StartOrStop
            | Intent::Open(_)
            | Intent::Close
            | Intent::Confirm
            | Intent::Finish => true,
            _ => false,
        };
        if !(once && (again || stroke == Stroke::Repeat)) {
            self.follow(practice, asked);
        }
        self.look_for_trouble(practice);
    }

    fn follow(&mut self, practice: &mut Practice, asked: Intent) {
        match asked {
            Intent::None => {}
            Intent::Throttle(position) => {
                self.trigger.press(position, self.now_ms);
                self.apply_trigger(practice);
            }
            Intent::Keep => {
                self.trigger.keep();
                self.apply_trigger(practice);
            }
            Intent::LetGo => self.let_go(practice),
            Intent::Choose(screw) => self.screw = screw,
            Intent::Next(on) => {
                let at = Screw::ALL.iter().position(|s| *s == self.screw).unwrap_or(0);
                self.screw = Screw::ALL[(at + if on { 1 } else { 2 }) % 3];
            }
            Intent::Turn { inward } => {
                let positive = inward == (self.screw == Screw::Idle);
                self.turn(practice, positive);
            }
            Intent::Mark { right } => self.turn(practice, right),
            Intent::Step => self.step = (self.step + 1) % STEPS.len(),
            Intent::Act(action) => {
                if self.mode == Mode::Fix {
                    self.mode = Mode::Bench;
                }
                self.act(practice, &action);
            }
            Intent::StartOrStop => {
                let action = if self.view.frame.sight.running {
                    Action::Stop
                } else {
                    Action::Start
                };
                self.act(practice, &action);
            }
            Intent::Open(dialog) => self.open(practice, dialog),
            Intent::Close => self.mode = self.home(),
            Intent::Confirm => self.confirm(practice),
            Intent::Row(down) => self.form(|f| f.move_row(down)),
            Intent::Column(right) => self.form(|f| f.move_column(right)),
            Intent::Surer(more) => self.form(|f| f.surer(more)),
            Intent::Type(letter) => {
                if let Mode::Note(text) = &mut self.mode
                    && text.chars().count() < LONGEST_NOTE
                    && !letter.is_control()
                {
                    text.push(letter);
                }
            }
            Intent::Erase => {
                if let Mode::Note(text) = &mut self.mode {
                    text.pop();
                }
            }
            Intent::Scroll(lines) => self.move_view(i64::from(lines)),
            Intent::Page(pages) if self.mode == Mode::Debrief => {
                let page = self.page().saturating_sub(2).max(1);
                self.move_view(i64::from(pages) * page as i64);
            }
            Intent::Page(pages) => {
                let most = self.view.notebook.entries().len().saturating_sub(1) as i64;
                self.back = (self.back as i64 - 3 * i64::from(pages)).clamp(0, most) as usize;
            }
            Intent::Finish => {
                if self.view.frame.sight.ended.is_none() {
                    self.act(practice, &Action::Leave);
                }
                self.finished = true;
            }
        }
    }

    fn move_view(&mut self, lines: i64) {
        self.scroll = (self.scroll as i64 + lines).clamp(0, self.most_scroll() as i64) as usize;
    }

    fn form(&mut self, change: impl FnOnce(&mut Form)) {
        if let Mode::Judge(form) = &mut self.mode {
            change(form);
        }
    }

    /// Where one is with nothing open.
    fn home(&self) -> Mode {
        if self.view.frame.sight.ended.is_some() {
            Mode::Debrief
        } else {
            Mode::Bench
        }
    }
}
