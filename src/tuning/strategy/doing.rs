//! What a rule does, as its file has it: one word, or a table with what it takes.

use super::parameters::Parameters;
use super::rule::Proposal;
use crate::config::{ConfigError, Table};
use crate::parameters::Key;
use crate::tuning::action::{Action, Part, Screw};

/// Clicks of a screw in a turn: the steps by which sizes are given.
const CLICKS: f64 = 24.0;

const CLICKS_MEAN: &str =
    "Clicks of 1/24 turn; a list gives the first size, the one after turning back once, and so on.";

/// What an action can take, and where each stands in the list.
static DO_KEYS: [Key; 9] = [
    Key::design("richer_clicks", 1.0, 48.0, CLICKS_MEAN),
    Key::design("leaner_clicks", 1.0, 48.0, CLICKS_MEAN),
    Key::design("faster_clicks", 1.0, 48.0, CLICKS_MEAN),
    Key::design("slower_clicks", 1.0, 48.0, CLICKS_MEAN),
    Key::design("throttle_percent", 0.0, 100.0, "The throttle, held for hold_s."),
    Key::design("hold_s", 0.05, 600.0, "How long it is held."),
    Key::design("wait_s", 0.05, 600.0, "Time to let pass."),
    Key::design("laps", 1.0, 20.0, "Laps to drive."),
    Key::design(
        "random_clicks",
        -48.0,
        48.0,
        "From … to … clicks of 1/24 turn, one of which is drawn; more than 0 is richer, or faster.",
    ),
];
const RICHER: usize = 0;
const LEANER: usize = 1;
const FASTER: usize = 2;
const SLOWER: usize = 3;
const THROTTLE_PERCENT: usize = 4;
const HOLD_S: usize = 5;
const WAIT_S: usize = 6;
const LAPS: usize = 7;
const RANDOM: usize = 8;

/// Actions that take something, as they are told to somebody who names none.
const MEASURED: [&str; 6] = [
    "{ turn = \"high\", leaner_clicks = 3 }",
    "{ throttle_percent = 100, hold_s = 3 }",
    "{ wait_s = 18 }",
    "{ laps = 3 }",
    "{ fix = \"plug\" }",
    "{ turn = [\"high\", \"low\"], random_clicks = [-6, 6] }",
];

/// Actions that are one word in a file.
const PLAIN: [(&str, Proposal); 13] = [
    ("fix", Proposal::FixFound),
    ("fuel", Proposal::Do(Action::Fuel)),
    ("gun", Proposal::Do(Action::Gun)),
    ("inspect", Proposal::Do(Action::Inspect)),
    ("leave", Proposal::Do(Action::Leave)),
    ("next-pass", Proposal::NextPass),
    ("pinch", Proposal::Do(Action::Pinch)),
    ("plug", Proposal::Do(Action::Plug)),
    ("roll-on", Proposal::Do(Action::RollOn)),
    ("sign-off", Proposal::Do(Action::SignOff)),
    ("start", Proposal::Do(Action::Start)),
    ("stop", Proposal::Do(Action::Stop)),
    ("warm", Proposal::Do(Action::Warm)),
];

/// What a rule does: one word, or a table with what it takes.
pub(super) fn proposal(table: &Table<'_>, parameters: &Parameters) -> Result<Proposal, ConfigError> {
    if table.kind_of("do") != Some("a table") {
        let word = table.text("do")?;
        let plain = PLAIN.iter().find(|(name, _)| *name == word);
        let known = || {
            let words = PLAIN.iter().map(|(name, _)| *name);
            words.chain(MEASURED).collect::<Vec<_>>()
        };
        return plain
            .map(|(_, proposal)| proposal.clone())
            .ok_or_else(|| ConfigError::no_such(table.place_of("do"), "action", &word, &known()));
    }
    let act = table.table("do")?;
    act.only(&DO_KEYS, &["turn", "fix"])?;
    if act.has("turn") {
        return turn(&act, parameters);
    }
    let number = |key: usize| parameters.needed(&act, &DO_KEYS[key]);
    let ms = |seconds: f64| (1000.0 * seconds).round() as u32;
    Ok(Proposal::Do(if act.has("fix") {
        let word = act.text("fix")?;
        let known: Vec<&str> = Part::ALL.iter().map(|part| part.word()).collect();
        let part = Part::ALL.into_iter().find(|part| part.word() == word);
        Action::Fix {
            part: part.ok_or_else(|| ConfigError::no_such(act.place_of("fix"), "part", &word, &known))?,
        }
    } else if act.has(DO_KEYS[LAPS].name) {
        Action::Laps {
            laps: number(LAPS)?.round() as u8,
        }
    } else if act.has(DO_KEYS[WAIT_S].name) {
        Action::Wait {
            ms: ms(number(WAIT_S)?),
        }
    } else {
        Action::Hold {
            position: number(THROTTLE_PERCENT)? / 100.0,
            ms: ms(number(HOLD_S)?),
        }
    }))
}

/// A turn: which screw, which way, by how many clicks; or one that is drawn.
fn turn(act: &Table<'_>, parameters: &Parameters) -> Result<Proposal, ConfigError> {
    let screws = act
        .words_of("turn")?
        .into_iter()
        .map(|(word, place)| match word.as_str() {
            "high" => Ok(Screw::High),
            "low" => Ok(Screw::Low),
            "idle" => Ok(Screw::Idle),
            _ => Err(ConfigError::no_such(place, "screw", &word, &["high", "low", "idle"])),
        });
    let screws = screws.collect::<Result<Vec<_>, _>>()?;
    if act.has(DO_KEYS[RANDOM].name) {
        return drawn(act, screws, parameters);
    }
    let [screw] = screws[..] else {
        return Err(ConfigError::Together {
            place: act.place_of("turn"),
            what: "which of several screws is turned can only be drawn".to_string(),
            remedy: "name one, or give `random_clicks = [-6, 6]`",
        });
    };
    let ways = match screw {
        Screw::High | Screw::Low => [RICHER, LEANER],
        Screw::Idle => [FASTER, SLOWER],
    };
    let [more, less] = ways.map(|key| parameters.list(act, &DO_KEYS[key]));
    let (more, less) = (more?, less?);
    if more.is_empty() == less.is_empty() {
        let [more, less] = ways.map(|key| DO_KEYS[key].name);
        return Err(ConfigError::Together {
            place: act.place(),
            what: format!("a turn of the {} goes one way, `{more}` or `{less}`", screw.name()),
            remedy: "give one of the two, in clicks of 1/24 turn",
        });
    }
    let steps = more.iter().copied().chain(less.iter().map(|clicks| -clicks));
    Ok(Proposal::Turn {
        screw,
        steps: steps.map(|clicks| clicks.round() / CLICKS).collect(),
    })
}

/// A turn that is drawn: from so many clicks to so many.
fn drawn(act: &Table<'_>, screws: Vec<Screw>, parameters: &Parameters) -> Result<Proposal, ConfigError> {
    let together = |what: String, remedy: &'static str| ConfigError::Together {
        place: act.place_of(DO_KEYS[RANDOM].name),
        what,
        remedy,
    };
    if let Some(way) = DO_KEYS[..=SLOWER].iter().find(|key| act.has(key.name)) {
        let what = format!("a turn by `{}` is not drawn", way.name);
        return Err(together(what, "give one of the two"));
    }
    let range = parameters.list(act, &DO_KEYS[RANDOM])?;
    let clicks: Vec<i32> = range.iter().map(|clicks| clicks.round() as i32).collect();
    match clicks[..] {
        [low, high] if low <= high && (low, high) != (0, 0) => Ok(Proposal::Drawn {
            screws,
            clicks: (low..=high)
                .filter(|clicks| *clicks != 0)
                .map(|clicks| f64::from(clicks) / CLICKS)
                .collect(),
        }),
        _ => Err(together(
            format!("from {range:?} clicks none can be drawn"),
            "write from which to which, say `random_clicks = [-6, 6]`",
        )),
    }
}
