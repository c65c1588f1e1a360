//! Answers as they are kept: one line of JSON each, in the order in which they were given. A line that can't be read is passed over by
//! whoever reads the file, so what one crash or one editor did to it costs that line alone.

use serde::{Deserialize, Serialize};

use super::Answered;
use super::drill::Drill;
use super::staircase::STEPS_CLICKS;

/// Longest line that is one, bytes.
pub const LONGEST: usize = 400;

/// An answer with its when and where.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Kept {
    /// When it was given, milliseconds since 1970.
    pub unix_ms: u64,
    /// The engine's name.
    pub engine: String,
    /// What was to be told.
    pub drill: Drill,
    /// How far apart it was, clicks.
    pub step_clicks: u32,
    /// Whether it was told.
    pub right: bool,
}

impl Kept {
    /// An answer given at a moment, about an engine.
    pub fn new(unix_ms: u64, engine: &str, answered: Answered) -> Self {
        let Answered {
            drill,
            step_clicks,
            right,
        } = answered;
        let engine = engine.to_string();
        Self {
            unix_ms,
            engine,
            drill,
            step_clicks,
            right,
        }
    }

    /// The answer.
    pub fn answered(&self) -> Answered {
        Answered {
            drill: self.drill,
            step_clicks: self.step_clicks,
            right: self.right,
        }
    }

    /// A line of the file, without its end.
    pub fn read(line: &str) -> Option<Self> {
        let kept: Self = (line.len() <= LONGEST).then(|| serde_json::from_str(line).ok())??;
        STEPS_CLICKS.contains(&kept.step_clicks).then_some(kept)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_reads_back_and_what_is_none_does_not() {
        let answered = Answered {
            drill: Drill::HangOrLoadUp,
            step_clicks: 7,
            right: true,
        };
        let kept = Kept::new(1_764_000_000_000, "offroad-3.5", answered);
        let line = serde_json::to_string(&kept).unwrap();
        assert_eq!(
            line,
            r#"{"unix_ms":1764000000000,"engine":"offroad-3.5","drill":"hang-or-load-up","step_clicks":7,"right":true}"#
        );
        assert_eq!(Kept::read(&line), Some(kept.clone()));
        assert_eq!(kept.answered(), answered);
        let damaged = [
            "".to_string(),
            line[..line.len() - 1].to_string(),
            line.clone() + &line,
            line.replace('7', "6"),
            line.replace("hang", "sing"),
            line.replace("true", "1"),
            line.replace("\"right\"", "\"wrong\":0,\"right\""),
            line.replace("offroad", &"o".repeat(LONGEST)),
        ];
        for line in damaged {
            assert_eq!(Kept::read(&line), None, "{line}");
        }
    }
}
