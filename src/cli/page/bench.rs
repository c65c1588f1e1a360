//! One page's bench, on a thread of its own: what the page asks comes in, the practice goes on at the pace of the clock on the wall,
//! and moments, words and sound go out. A page that doesn't take them in time loses some; it never makes the practice wait.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use needlebench::practise::recording::Practice;
use needlebench::practise::session::Level;
use needlebench::practise::web::ask::Ask;
use needlebench::practise::web::desk::Desk;
use needlebench::practise::web::shown;
use needlebench::practise::words;
use needlebench::tuning::scenario::{self, SCENARIOS, Scenario};
use serde_json::{Value, json};
use tokio::sync::mpsc::Sender;

use super::offer::{Offer, Recorded};
use crate::cli::options::any_seed;
use crate::cli::recording;

/// Something comes in.
#[derive(Debug)]
pub enum In {
    /// A page sits down here, for the first time or again.
    Attach {
        /// Where it takes what it is told.
        out: Sender<Out>,
        /// Samples per second of its loudspeaker.
        rate_hz: u32,
    },
    /// It asks something.
    Ask(Ask),
    /// Its line was cut; it may come back.
    Cut,
    /// It is gone, or the program ends.
    End,
}

/// Something goes out.
#[derive(Debug)]
pub enum Out {
    /// A line of JSON.
    Line(String),
    /// A block of sound.
    Sound(Vec<u8>),
}

/// Between two looks at the clock while it runs: sound comes in blocks of that.
const SLICE: Duration = Duration::from_millis(8);
/// Between two looks while it stands still.
const STILL: Duration = Duration::from_millis(100);
/// Between two moments that are shown.
const MOMENT: Duration = Duration::from_micros(16_667);
/// Between two looks at what lies on the bench.
const LOOK: Duration = Duration::from_millis(100);
/// Longest time that passes at once: what a stopped or very busy machine loses is not made up for.
const LONGEST: Duration = Duration::from_millis(250);
/// A page whose line was cut may come back for so long; its practice stands still meanwhile.
const GRACE: Duration = Duration::from_secs(120);

/// A bench.
pub struct Bench {
    offer: Arc<Offer>,
    token: String,
    rate_hz: u32,
    out: Option<Sender<Out>>,
    asked: Receiver<In>,
    desk: Option<Desk>,
    recorded: Option<PathBuf>,
    /// Up to where time has passed.
    passed: Instant,
    shown: Instant,
    looked: Instant,
    cut: Option<Instant>,
    last: Last,
    block: u32,
    /// Sound follows.
    flows: bool,
}

/// What the page was told last.
#[derive(Default)]
struct Last {
    state: String,
    bench: String,
    card: String,
    debrief: String,
}

impl Bench {
    /// An empty bench with a page at it.
    pub fn new(offer: Arc<Offer>, token: String, rate_hz: u32, out: Sender<Out>, asked: Receiver<In>) -> Self {
        let now = Instant::now();
        Self {
            offer,
            token,
            rate_hz,
            out: Some(out),
            asked,
            desk: None,
            recorded: None,
            passed: now,
            shown: now,
            looked: now,
            cut: None,
            last: Last::default(),
            block: 0,
            flows: false,
        }
    }

    /// Plays until the page is gone.
    pub fn play(mut self) {
        self.welcome();
        loop {
            let now = Instant::now();
            let due = match &self.desk {
                Some(desk) if !desk.still() && self.out.is_some() => {
                    (self.passed + SLICE).saturating_duration_since(now)
                }
                Some(desk) if desk.over() => Duration::from_millis(1),
                _ => STILL,
            };
            match self.asked.recv_timeout(due) {
                Ok(In::Ask(ask)) => {
                    self.catch_up();
                    self.ask(ask);
                    self.shown -= MOMENT;
                    self.looked -= LOOK;
                }
                Ok(In::Attach { out, rate_hz }) => {
                    (self.out, self.rate_hz, self.cut) = (Some(out), rate_hz, None);
                    self.passed = Instant::now();
                    self.last = Last::default();
                    self.welcome();
                }
                Ok(In::Cut) => {
                    // A later page may sit here already; then the line that was cut is not its own.
                    if self.out.as_ref().is_none_or(Sender::is_closed) {
                        self.out = None;
                        self.cut = Some(Instant::now());
                    }
                }
                Ok(In::End) | Err(RecvTimeoutError::Disconnected) => break,
                Err(RecvTimeoutError::Timeout) => {}
            }
            if self.cut.is_some_and(|at| at.elapsed() > GRACE) {
                break;
            }
            self.catch_up();
            self.show();
        }
        if let Some(desk) = &mut self.desk {
            desk.leave();
        }
        self.look_for_trouble();
    }

    fn send(&mut self, out: Out) {
        if let Some(page) = &self.out {
            // Full: it doesn't take what it is told; gone: its line says so.
            let _ = page.try_send(out);
        }
    }

    fn tell(&mut self, told: &Value) {
        self.send(Out::Line(told.to_string()));
    }

    fn say(&mut self, text: &str) {
        self.tell(&json!({"told": "say", "text": text}));
    }

    /// What a page needs to know before anything else.
    fn welcome(&mut self) {
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
        let welcome = json!({
            "told": "welcome",
            "token": self.token,
            "scenarios": scenarios,
            "scenario": offer.name,
            "level": offer.level,
            "dangers": words::DANGERS,
            "rules": words::RULES,
            "task": words::TASK,
            "routines": shown::routines(),
            "parts": shown::parts(),
            "begun": self.desk.as_ref().is_some_and(Desk::begun),
        });
        self.tell(&welcome);
    }

    /// Lets the practice go on to now.
    fn catch_up(&mut self) {
        let now = Instant::now();
        let Some(desk) = self.desk.as_mut().filter(|desk| !desk.still()) else {
            self.passed = now;
            return;
        };
        if self.out.is_none() {
            self.passed = now;
            return;
        }
        let elapsed = now - self.passed;
        let ms = elapsed.min(LONGEST).as_millis() as u32;
        // Parts of a millisecond are for the next time.
        self.passed = if elapsed > LONGEST {
            now
        } else {
            self.passed + Duration::from_millis(ms.into())
        };
        desk.pass(ms);
        self.sound();
    }

    /// Sends what can be played, and a word if no more follows.
    fn sound(&mut self) {
        let Some(desk) = &mut self.desk else { return };
        let (n, samples) = desk.sound();
        let flows = !desk.still();
        if !samples.is_empty() || flows != self.flows {
            self.flows = flows;
            let block = block(self.block, n, flows, &samples);
            self.block = self.block.wrapping_add(1);
            self.send(Out::Sound(block));
        }
    }

    fn ask(&mut self, ask: Ask) {
        match ask {
            Ask::Prepare { scenario, level, seed } => self.prepare(&scenario, level, seed),
            Ask::Begin { .. } => {
                self.record();
                self.hand_on(ask);
            }
            ask => self.hand_on(ask),
        }
    }

    fn hand_on(&mut self, ask: Ask) {
        if let Some(desk) = &mut self.desk {
            desk.ask(ask);
            // What began only now begins now.
            self.passed = Instant::now();
            self.sound();
        }
    }

    /// Puts an engine on the bench; a practice that goes on is left.
    fn prepare(&mut self, name: &str, level: Level, seed: Option<u64>) {
        if let Some(mut desk) = self.desk.take() {
            desk.leave();
        }
        self.look_for_trouble();
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
                self.last = Last::default();
                self.recorded = None;
                self.desk = Some(Desk::new(practice, None, self.rate_hz));
            }
            Err(error) => self.tell(&json!({"told": "trouble", "text": error})),
        }
    }

    /// Records what begins now.
    fn record(&mut self) {
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
            Err(failure) => self.tell(&json!({"told": "trouble", "text": format!("not recorded: {failure}")})),
        }
    }

    /// Tells of a recording that has stopped.
    fn look_for_trouble(&mut self) {
        let Some(desk) = &mut self.desk else { return };
        for text in desk.trouble() {
            let path = self.recorded.as_ref().map(|path| path.display().to_string());
            self.offer.stopped(path.unwrap_or_default(), text.clone());
            self.tell(&json!({"told": "trouble", "text": text}));
        }
    }

    /// Shows what there is to show.
    fn show(&mut self) {
        self.look_for_trouble();
        let now = Instant::now();
        let Some(desk) = &mut self.desk else { return };
        let said = desk.say();
        let mut lines = Vec::new();
        if now - self.shown >= MOMENT {
            self.shown = now;
            lines.extend(news("state", &desk.state(), &mut self.last.state));
        }
        if now - self.looked >= LOOK || desk.over() && self.last.debrief.is_empty() {
            self.looked = now;
            lines.extend(news("card", &desk.card(), &mut self.last.card));
            lines.extend(news("bench", &desk.bench(), &mut self.last.bench));
            lines.extend(desk.debrief().and_then(|d| news("debrief", &d, &mut self.last.debrief)));
        }
        lines.into_iter().for_each(|line| self.send(Out::Line(line)));
        said.iter().for_each(|text| self.say(text));
        if let Some(desk) = self.desk.as_mut().filter(|desk| desk.still()) {
            desk.go_on_with_debrief();
        }
    }
}

/// A line of what has changed since it was told last.
fn news(told: &str, value: &impl serde::Serialize, last: &mut String) -> Option<String> {
    let now = serde_json::to_string(value).ok().filter(|now| now != last)?;
    *last = now;
    // Every one of these is an object.
    Some(format!("{{\"told\":\"{told}\",{}", last.strip_prefix('{')?))
}

/// A block of sound: its number, the input that it answers, whether more follows at once, and its samples, little-endian.
fn block(number: u32, n: u32, flows: bool, samples: &[f32]) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(12 + 2 * samples.len());
    for word in [number, n, u32::from(flows)] {
        bytes.extend(word.to_le_bytes());
    }
    for sample in samples {
        let whole = (sample.clamp(-1.0, 1.0) * f32::from(i16::MAX)).round() as i16;
        bytes.extend(whole.to_le_bytes());
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_says_its_number_the_input_and_every_sample() {
        let bytes = block(7, 258, true, &[0.0, 1.0, -1.0, 2.0, f32::NAN]);
        assert_eq!(bytes[..12], [7, 0, 0, 0, 2, 1, 0, 0, 1, 0, 0, 0]);
        let samples: Vec<i16> = bytes[12..]
            .chunks(2)
            .map(|pair| i16::from_le_bytes([pair[0], pair[1]]))
            .collect();
        assert_eq!(samples, [0, 32767, -32767, 32767, 0]);
    }

    #[test]
    fn what_has_not_changed_is_not_told_again() {
        let mut last = String::new();
        let value = json!({"a": 1});
        assert_eq!(news("state", &value, &mut last).unwrap(), r#"{"told":"state","a":1}"#);
        assert_eq!(news("state", &value, &mut last), None);
    }
}
