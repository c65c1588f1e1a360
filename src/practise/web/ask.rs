//! What a page may ask, one line of JSON each, read with bounds on everything. What can't be read is told in a few words and does
//! nothing; what can be read and isn't possible now is refused by the practice like anybody else's.

use serde::Deserialize;

use crate::practise::session::Level;
use crate::tuning::action::Action;

/// Longest line, bytes: the longest remark with every letter escaped.
pub const LONGEST: usize = 4096;
/// Actions in a row.
const MOST_ACTIONS: usize = 8;
/// Letters of a remark.
const MOST_LETTERS: usize = 400;

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

/// Reads a line.
///
/// # Errors
/// What is wrong with it, in a few words.
pub fn read(line: &str) -> Result<Ask, String> {
    if line.len() > LONGEST {
        return Err(format!("a line of {} bytes; at most {LONGEST}", line.len()));
    }
    let ask: Ask = serde_json::from_str(line).map_err(|error| {
        let words: String = error.to_string().chars().take(80).collect();
        format!("not understood: {words}")
    })?;
    match &ask {
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
        let read = |line: &str| read(line).unwrap();
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
            let wrong = read(line).unwrap_err();
            assert!(!wrong.is_empty() && wrong.len() <= 120, "{wrong}");
        }
    }
}
