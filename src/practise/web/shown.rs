//! What a page is shown: plain data that becomes a line of JSON. It is made from the practice's frames alone, which hold what the level
//! allows and no more; every sentence in it comes from [`words`].

use serde::Serialize;

use super::ear::Plume;
use crate::practise::heard::alarming;
use crate::practise::notebook::Kind;
use crate::practise::session::Session;
use crate::practise::view::View;
use crate::practise::words;
use crate::tuning::action::{Action, Part, Screw};
use crate::tuning::episode::{FULL_S, IDLE_S, WAIT_S, WARM_HEAD_C};

/// The newest entries of the notebook that are shown.
const ENTRIES: usize = 80;

/// A manoeuvre that hands do at one press of a button.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Routine {
    /// What it is called.
    pub name: &'static str,
    /// What it is for.
    pub tells: String,
    /// What is done, one after the other.
    pub actions: Vec<Action>,
}

/// The manoeuvres by which signing off and a plug are read.
pub fn routines() -> Vec<Routine> {
    let ms = |seconds: f64| (seconds * 1e3).round() as u32;
    let full = |seconds: f64| Action::Hold {
        position: 1.0,
        ms: ms(seconds),
    };
    let wait = |seconds: f64| Action::Wait { ms: ms(seconds) };
    let routine = |name, tells: String, actions: &[Action]| Routine {
        name,
        tells,
        actions: actions.to_vec(),
    };
    vec![
        routine("Blip", "a short burst, to clear it out".to_string(), &[full(0.5)]),
        routine(
            "Full throttle",
            format!("held for {FULL_S} s: the high end"),
            &[full(FULL_S)],
        ),
        routine(
            "Half throttle",
            "held for 3 s: between both".to_string(),
            &[Action::Hold {
                position: 0.5,
                ms: 3000,
            }],
        ),
        routine(
            "Burst",
            format!("full for 2 s, then {IDLE_S} s of idle: the low end, by how it comes down"),
            &[full(2.0), wait(IDLE_S)],
        ),
        routine(
            "Snap",
            format!("full and shut, {WAIT_S} s of idle, then wide open at once: the low end, by how it picks up"),
            &[full(1.0), wait(WAIT_S), full(2.0)],
        ),
        routine(
            "Slow opening",
            "from idle to full: stutters and smoke on the way".to_string(),
            &[Action::RollOn],
        ),
        routine(
            "Pinch test",
            "the fuel line pinched at idle: how long it runs on".to_string(),
            &[Action::Pinch],
        ),
        routine(
            "Plug chop",
            "full for 6 s, shut off, plug out: the high end, by its colour".to_string(),
            &[full(6.0), Action::Plug],
        ),
    ]
}

/// A part that can be put right.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cure {
    /// Which.
    pub part: Part,
    /// What is done.
    pub text: &'static str,
    /// How long that takes.
    pub minutes: u32,
    /// What it costs.
    pub euros: u32,
}

/// All parts that can be put right.
pub fn parts() -> [Cure; 7] {
    Part::ALL.map(|part| Cure {
        part,
        text: words::cure(part),
        minutes: part.cure_minutes(),
        euros: part.cure_euros(),
    })
}

/// What is known from the start.
#[derive(Clone, Debug, Serialize)]
pub struct Card {
    /// Name of the scenario.
    pub scenario: String,
    /// What it is, in one line.
    pub summary: String,
    /// How much is shown.
    pub level: crate::practise::session::Level,
    /// Its seed, in digits: a page's own numbers are too short for some.
    pub seed: String,
    /// What others type to have this very engine.
    pub class_code: Option<String>,
    /// Engine, fuel and plug.
    pub engine: String,
    /// Today's weather.
    pub weather: String,
    /// Where it is recorded.
    pub recorded: Option<String>,
    /// Sign-offs that it has.
    pub sign_offs: usize,
    /// It ends at the latest after so much time.
    pub limit_s: f64,
}

impl Card {
    /// Of a practice as it stands.
    pub fn of(view: &View, session: &Session) -> Self {
        let card = view.card.clone();
        Self {
            scenario: card.scenario,
            summary: card.summary,
            level: card.level,
            seed: card.seed.to_string(),
            class_code: card.class_code,
            engine: card.engine,
            weather: card.weather,
            recorded: card.recorded,
            sign_offs: 1 + session.whole.stages.len(),
            limit_s: session.episode().limit_ms() as f64 / 1e3,
        }
    }
}

/// A moment, sixty times a second.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct State {
    /// Number of the last input that counts here.
    pub n: u32,
    /// The practice's clock.
    pub clock_s: f64,
    /// The engine runs.
    pub running: bool,
    /// The clock stands still.
    pub paused: bool,
    /// Throttle, 0..1.
    pub throttle: f64,
    /// Tachometer, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tachometer_rpm: Option<f64>,
    /// Opacity of the smoke, in whole percent.
    pub opacity_percent: f64,
    /// How much of it comes, mg/s of oil mist.
    pub puff_mg_per_s: f64,
    /// What is being done, if it takes its time.
    pub doing: Option<String>,
    /// It passes too quickly to be heard.
    pub quick: bool,
}

/// What the page adds to a frame for a moment.
#[derive(Clone, Debug, Default)]
pub(super) struct Moment {
    pub n: u32,
    pub paused: bool,
    pub plume: Plume,
    pub doing: Option<Action>,
    pub quick: bool,
}

impl State {
    pub(super) fn of(view: &View, moment: &Moment) -> Self {
        let sight = &view.frame.sight;
        Self {
            n: moment.n,
            clock_s: sight.clock_s,
            running: sight.running,
            paused: moment.paused,
            throttle: sight.throttle,
            tachometer_rpm: sight.tachometer_rpm,
            opacity_percent: (100.0 * moment.plume.opacity).round(),
            puff_mg_per_s: (10.0 * moment.plume.puff).round() / 10.0,
            doing: moment.doing.as_ref().map(words::doing),
            quick: moment.quick,
        }
    }
}

/// A screw, against where it was found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Turned {
    /// Which.
    pub screw: Screw,
    /// How far: needles out and idle stop in are positive.
    pub turns: f64,
    /// The same in words.
    pub mark: String,
    /// What that does.
    pub effect: Option<&'static str>,
}

/// Something heard or seen.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Caption {
    /// In words.
    pub text: String,
    /// It is a warning.
    pub alarm: bool,
}

/// An entry of the notebook.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Entry {
    /// When.
    pub clock: String,
    /// What it is.
    pub kind: &'static str,
    /// In words.
    pub text: String,
}

/// The next thing to try.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hint {
    /// What.
    pub text: String,
    /// Why.
    pub because: String,
    /// As an action, for the page to point at what does it.
    pub action: Action,
}

/// The temperature gun's last reading.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Gun {
    /// What it showed.
    pub head_c: f64,
    /// When, on the practice's clock.
    pub clock_s: f64,
    /// That is a cold engine.
    pub cold: bool,
}

/// What lies on the bench; sent when something of it has changed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bench {
    /// The screws.
    pub screws: [Turned; 3],
    /// Gap left by the idle stop.
    pub idle_gap_mm: f64,
    /// Fuel left, in quarters.
    pub tank_quarters: u8,
    /// The gun.
    pub gun: Option<Gun>,
    /// What is heard and seen, alarms first.
    pub captions: Vec<Caption>,
    /// How it differs from before.
    pub compared: Vec<String>,
    /// What was heard a moment ago.
    pub before: Vec<String>,
    /// The return from a burst, as it is followed.
    pub following: Option<String>,
    /// The notebook's newest entries.
    pub notebook: Vec<Entry>,
    /// The next thing to try; guided only.
    pub hint: Option<Hint>,
    /// What signing off still asks for.
    pub missing: Vec<String>,
}

impl Bench {
    /// As it is now.
    pub fn of(view: &View) -> Self {
        let sight = &view.frame.sight;
        let mut notes = sight.notes.clone();
        notes.sort_by_key(|note| !alarming(*note));
        let entries = view.notebook.entries();
        Self {
            screws: Screw::ALL.map(|screw| {
                let turns = sight.marks.of(screw);
                Turned {
                    screw,
                    turns,
                    mark: words::mark(screw, turns),
                    effect: words::effect(screw, turns),
                }
            }),
            idle_gap_mm: (100.0 * sight.idle_gap_mm).round() / 100.0,
            tank_quarters: sight.tank_quarters,
            gun: view.gun.map(|(clock_s, head_c)| Gun {
                head_c,
                clock_s,
                cold: head_c < WARM_HEAD_C,
            }),
            captions: notes
                .iter()
                .map(|note| Caption {
                    text: words::note(*note).to_string(),
                    alarm: alarming(*note),
                })
                .collect(),
            compared: sight.compared.iter().map(words::compared).collect(),
            before: view
                .heard
                .before(&notes, sight.clock_s)
                .iter()
                .map(|(note, _)| words::note(*note).to_string())
                .collect(),
            following: sight.following.as_ref().map(words::following),
            notebook: entries[entries.len().saturating_sub(ENTRIES)..]
                .iter()
                .map(|entry| Entry {
                    clock: words::clock(entry.clock_s),
                    kind: match entry.kind {
                        Kind::Did => "did",
                        Kind::Found => "found",
                        Kind::Remark => "remark",
                    },
                    text: entry.text.clone(),
                })
                .collect(),
            hint: view.frame.hint.as_ref().map(|hint| Hint {
                text: words::doing(&hint.action),
                because: words::why(hint),
                action: hint.action,
            }),
            missing: sight.missing.iter().map(words::asked).collect(),
        }
    }
}
