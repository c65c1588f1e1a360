//! What a page may ask, one line of JSON each, read with bounds on everything. What can't be read is told in a few words and does
//! nothing; what can be read and isn't possible now is refused by the practice like anybody else's. Whoever watches a demonstration may ask
//! for less: nothing that acts on an engine is understood there.

use serde::Deserialize;

use crate::practise::session::Level;
use crate::tuning::action::Action;

/// Longest line, bytes: the longest remark with every letter escaped.
pub const LONGEST: usize = 4096;
/// Actions in a row.
const MOST_ACTIONS: usize = 8;
/// Letters of a remark.
const MOST_LETTERS: usize = 400;

/// How fast a demonstration passes when it is not to take as long as the practice did.
pub const FAST: u32 = 4;

/// Where a page is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum At {
    /// At a bench, practising.
    Bench,
    /// Before a demonstration, watching.
    Demonstration,
}

/// Something a page asks.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(tag = "ask", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Ask {
    /// The first line of every page.
    Hello {
        /// Samples per second of its loudspeaker.
        rate_hz: u32,
        /// What it was given, if it comes back after its line was cut.
        #[serde(default)]
        token: Option<String>,
    },
    /// Put an engine on the bench.
    Prepare {
        /// Name of the scenario.
        scenario: String,
        /// How much is shown.
        level: Level,
        /// Seed; any if there is none.
        #[serde(default)]
        seed: Option<u64>,
        /// A class code: it says scenario, level and seed, whatever else is asked for.
        #[serde(default)]
        class: Option<String>,
    },
    /// The cautions are read: time passes from now on, and the engine is started.
    Begin {
        /// Number of this input: what is heard and seen tells which was the last that counted.
        n: u32,
    },
    /// The throttle hand.
    Throttle {
        /// 0 shut to 1 full.
        position: f64,
        /// Number of this input.
        n: u32,
    },
    /// One action after the other.
    Do {
        /// Which.
        actions: Vec<Action>,
        /// Number of this input.
        n: u32,
    },
    /// Let so much time pass quickly.
    Skip {
        /// How much.
        seconds: u16,
    },
    /// A remark for the notebook.
    Note {
        /// Its text.
        text: String,
    },
    /// The clock stands still, or goes on.
    Pause {
        /// Stands still.
        paused: bool,
    },
    /// Watching: how fast it passes.
    Pace {
        /// 1, or [`FAST`].
        times: u32,
    },
    /// In the debrief: the engine again, to listen to.
    Hear {
        /// With its screws where.
        setting: Heard,
    },
}

/// Where the screws stand for whoever listens once more.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Heard {
    /// Where they stood at the start.
    Found,
    /// Where they were left.
    Left,
    /// At the true setting.
    Clean,
}

impl Ask {
    /// Whether it is asked at such a place at all.
    fn fits(&self, at: At) -> bool {
        match self {
            Self::Hello { .. } | Self::Begin { .. } | Self::Pause { .. } => true,
            Self::Pace { .. } => at == At::Demonstration,
            Self::Prepare { .. }
            | Self::Throttle { .. }
            | Self::Do { .. }
            | Self::Skip { .. }
            | Self::Note { .. }
            | Self::Hear { .. } => at == At::Bench,
        }
    }
}

/// Reads a line of a page that is there.
///
/// # Errors
/// What is wrong with it, in a few words.
pub fn read(line: &str, at: At) -> Result<Ask, String> {
    if line.len() > LONGEST {
        return Err(format!("a line of {} bytes; at most {LONGEST}", line.len()));
    }
    let ask: Ask = serde_json::from_str(line).map_err(|error| {
        let words: String = error.to_string().chars().take(80).collect();
        format!("not understood: {words}")
    })?;
    match &ask {
        ask if !ask.fits(at) => Err(match at {
            At::Bench => "not understood: a practice has its own pace".to_string(),
            At::Demonstration => {
                "not understood: a demonstration is watched, and nothing is done to its engine".to_string()
            }
        }),
        Ask::Pace { times } if ![1, FAST].contains(times) => Err(format!("a pace is 1 or {FAST}")),
        Ask::Do { actions, .. } if actions.len() > MOST_ACTIONS => {
            Err(format!("at most {MOST_ACTIONS} actions in a row"))
        }
        Ask::Note { text } if text.chars().count() > MOST_LETTERS => {
            Err(format!("a remark has {MOST_LETTERS} letters at most"))
        }
        Ask::Throttle { position, .. } if !(0.0..=1.0).contains(position) => {
            Err("a throttle is 0 (shut) to 1 (full)".to_string())
        }
        Ask::Skip { seconds } if !(1..=600).contains(seconds) => Err("1 to 600 seconds can be skipped".to_string()),
        Ask::Hello { rate_hz, .. } if !crate::sound::RATES_HZ.contains(rate_hz) => {
            Err("a rate of 8000 to 192000 samples a second".to_string())
        }
        _ => Ok(ask),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tuning::action::Screw;

    #[test]
    fn what_a_page_sends_is_read() {
        let read = |line: &str| read(line, At::Bench).unwrap();
        assert_eq!(
            read(r#"{"ask":"throttle","position":0.5,"n":7}"#),
            Ask::Throttle { position: 0.5, n: 7 }
        );
        let turn = r#"{"ask":"do","actions":[{"do":"turn","screw":"high","turns":-0.125}],"n":8}"#;
        let actions = vec![Action::Turn {
            screw: Screw::High,
            turns: -0.125,
        }];
        assert_eq!(read(turn), Ask::Do { actions, n: 8 });
        let prepare = r#"{"ask":"prepare","scenario":"lesson-1","level":"by-ear"}"#;
        assert!(matches!(
            read(prepare),
            Ask::Prepare {
                level: Level::ByEar,
                seed: None,
                ..
            }
        ));
    }

    #[test]
    fn what_is_wrong_is_told_in_words_that_fit_a_close() {
        let note = format!(r#"{{"ask":"note","text":"{}"}}"#, "x".repeat(500));
        let many = format!(
            r#"{{"ask":"do","n":1,"actions":[{}]}}"#,
            [r#"{"do":"gun"}"#; 9].join(",")
        );
        for line in [
            "",
            "{",
            "null",
            r#"{"ask":"sudo"}"#,
            r#"{"ask":"do","actions":[{"do":"explode"}],"n":1}"#,
            r#"{"ask":"throttle","position":NaN,"n":1}"#,
            r#"{"ask":"throttle","position":1e999,"n":1}"#,
            r#"{"ask":"throttle","position":1.5,"n":1}"#,
            r#"{"ask":"throttle","position":0.5,"n":-1}"#,
            r#"{"ask":"throttle","position":0.5,"n":1,"more":1}"#,
            r#"{"ask":"skip","seconds":0}"#,
            r#"{"ask":"hello","rate_hz":1}"#,
            &note,
            &many,
            &"[".repeat(5000),
            &"[".repeat(4000),
        ] {
            let wrong = read(line, At::Bench).unwrap_err();
            assert!(!wrong.is_empty() && wrong.len() <= 120, "{wrong}");
        }
    }

    #[test]
    fn whoever_watches_may_begin_halt_and_choose_the_pace_and_nothing_else() {
        let watching = |line: &str| read(line, At::Demonstration);
        for line in [
            r#"{"ask":"hello","rate_hz":48000}"#,
            r#"{"ask":"begin","n":1}"#,
            r#"{"ask":"pause","paused":true}"#,
            r#"{"ask":"pace","times":4}"#,
        ] {
            assert!(watching(line).is_ok(), "{line}");
        }
        for line in [
            r#"{"ask":"prepare","scenario":"lesson-1","level":"by-ear"}"#,
            r#"{"ask":"throttle","position":1.0,"n":1}"#,
            r#"{"ask":"do","actions":[{"do":"turn","screw":"high","turns":-0.125}],"n":1}"#,
            r#"{"ask":"skip","seconds":10}"#,
            r#"{"ask":"note","text":"mine"}"#,
            r#"{"ask":"hear","setting":"clean"}"#,
        ] {
            assert!(read(line, At::Bench).is_ok(), "{line}");
            let wrong = watching(line).unwrap_err();
            assert!(wrong.starts_with("not understood") && wrong.len() <= 120, "{wrong}");
        }
        for times in ["0", "2", "1000000", "-1", "1.5", "null"] {
            assert!(
                watching(&format!(r#"{{"ask":"pace","times":{times}}}"#)).is_err(),
                "{times}"
            );
        }
        assert!(read(r#"{"ask":"pace","times":4}"#, At::Bench).is_err());
    }
}
