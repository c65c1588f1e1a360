//! The listening room as a page has it: what it may ask, what it is sent, and which questions wait for their answers. What is true of a
//! question is sent with the verdict, never before it; nothing but the sound tells it.

pub mod asked;

use std::collections::VecDeque;

use serde::Serialize;
use serde_json::{Value, json};

use self::asked::{Answers, Ask, Refused, Step, engine, rate};
use crate::config::models::{ENGINES, engine_names};
use crate::practise::listening::clip::Clip;
use crate::practise::listening::drill::Answer;
use crate::practise::listening::kept::Kept;
use crate::practise::listening::sweep::{self, At};
use crate::practise::listening::{Answered, Question, Room};
use crate::practise::words;
use crate::sound::Wav;
use crate::tuning::action::Screw;

/// Longest request, bytes.
pub const LONGEST: usize = 512;
/// Questions that wait for their answers, of all pages: the oldest goes.
const MOST_OPEN: usize = 32;
/// All sweeps have one seed, so that nothing but the needle differs.
const SWEEP_SEED: u64 = 1;

/// What is sent with sound: the length of some words of JSON (four bytes, little-endian), the words, and each clip as a WAV file, whose
/// lengths stand in `bytes`.
fn sound(mut words: Value, clips: &[Clip]) -> Vec<u8> {
    let file = |clip: &Clip| {
        let mut wav = Wav::default();
        wav.add(&clip.samples);
        // A clip of seconds never comes near what a WAV file holds.
        wav.bytes(clip.rate_hz).ok()
    };
    let files: Vec<Vec<u8>> = clips.iter().filter_map(file).collect();
    words["bytes"] = files.iter().map(Vec::len).collect();
    let words = words.to_string();
    let mut all = (words.len() as u32).to_le_bytes().to_vec();
    all.extend(words.as_bytes());
    all.extend(files.into_iter().flatten());
    all
}

impl Step {
    /// The step's sound.
    ///
    /// # Errors
    /// There is none such.
    pub fn sound(&self) -> Result<Vec<u8>, Refused> {
        let (setup, clean) = engine(&self.engine)?;
        let (screw, at, clicks, rate_hz) = (self.screw, self.at, self.clicks, rate(self.rate_hz)?);
        if screw == Screw::Idle || !sweep::STEPS_CLICKS.contains(&clicks) {
            return Err(Refused::Step);
        }
        let clip = sweep::step(&setup, clean, screw, clicks, at, SWEEP_SEED, rate_hz);
        let words = json!({"words": words::listening::swept(screw, clicks, at)});
        Ok(sound(words, &[clip]))
    }
}

/// A question that was put, and waits for its answer; what is true of it stays here.
#[derive(Clone, Debug)]
pub struct Put {
    id: String,
    engine: String,
    rate_hz: u32,
    question: Question,
    answered: bool,
}

impl Put {
    /// What the page gets of it.
    ///
    /// # Errors
    /// There is no such engine any more.
    pub fn sound(&self) -> Result<Vec<u8>, Refused> {
        let (setup, clean) = engine(&self.engine)?;
        let drill = self.question.drill;
        let choices = drill
            .answers()
            .map(|answer| json!({"answer": answer, "words": words::listening::choice(drill, answer)}));
        let words = json!({
            "question": self.id,
            "drill": drill,
            "words": words::listening::question(drill),
            "answers": choices,
        });
        Ok(sound(words, &self.question.clips(&setup, clean, self.rate_hz)))
    }
}

/// What an answer brings.
#[derive(Clone, Debug, Serialize)]
pub struct Verdict {
    /// Whether it was right.
    pub right: bool,
    /// What was.
    pub was: Answer,
    /// Both in words.
    pub words: String,
    /// How the drills stand now.
    pub standing: Vec<Value>,
    /// For keeping.
    #[serde(skip)]
    pub kept: Kept,
}

/// The room with the questions that wait.
#[derive(Clone, Debug)]
pub struct Listening {
    room: Room,
    put: VecDeque<Put>,
}

impl Listening {
    /// A room whose questions are drawn with a seed that no page knows, after what was answered before.
    pub fn new(seed: u64, before: impl IntoIterator<Item = Answered>) -> Self {
        Self {
            room: Room::new(seed, before),
            put: VecDeque::new(),
        }
    }

    /// Puts a question, under an id that nobody can guess.
    ///
    /// # Errors
    /// It can't be put.
    pub fn ask(&mut self, ask: &Ask, id: String) -> Result<Put, Refused> {
        let rate_hz = rate(ask.rate_hz)?;
        if !engine_names().contains(&ask.engine.as_str()) {
            return Err(Refused::Engine);
        }
        let put = Put {
            id,
            engine: ask.engine.clone(),
            rate_hz,
            question: self.room.ask(ask.drill),
            answered: false,
        };
        if self.put.len() == MOST_OPEN {
            self.put.pop_front();
        }
        self.put.push_back(put.clone());
        Ok(put)
    }

    /// Takes an answer, at a moment.
    ///
    /// # Errors
    /// No such question waits for it.
    pub fn answer(&mut self, answers: &Answers, unix_ms: u64) -> Result<Verdict, Refused> {
        let mut put = self.put.iter_mut();
        let put = put.find(|put| put.id == answers.question).ok_or(Refused::NoQuestion)?;
        if put.answered {
            return Err(Refused::Twice);
        }
        if !put.question.drill.answers().contains(&answers.answer) {
            return Err(Refused::Answer);
        }
        put.answered = true;
        let answered = put.question.answered(answers.answer);
        let kept = Kept::new(unix_ms, &put.engine, answered);
        let (was, words) = (
            put.question.truth(),
            words::listening::answered(&put.question, answers.answer),
        );
        self.room.take(answered);
        Ok(Verdict {
            right: answered.right,
            was,
            words,
            standing: self.standing(),
            kept,
        })
    }

    /// How every drill stands, and how often it comes up.
    pub fn standing(&self) -> Vec<Value> {
        let weights = self.room.weights();
        let all: f64 = weights.iter().sum();
        let lines = self.room.standing().into_iter().zip(weights);
        lines
            .map(|(standing, weight)| {
                json!({
                    "drill": standing.drill,
                    "name": words::listening::drill(standing.drill),
                    "asked": standing.asked,
                    "right": standing.right,
                    "step_clicks": standing.step_clicks,
                    "smallest_step_clicks": standing.smallest_step_clicks,
                    "share": weight / all,
                })
            })
            .collect()
    }

    /// What a page needs to know before anything else.
    pub fn room(&self) -> Value {
        let steps =
            sweep::STEPS_CLICKS.map(|clicks| json!({"clicks": clicks, "words": words::listening::step(clicks)}));
        json!({
            "engines": engine_names(),
            "engine": ENGINES[0].name,
            "steps": steps,
            "at": At::ALL.map(|at| json!({"at": at, "words": words::listening::at(at)})),
            "rules": words::RULES,
            "standing": self.standing(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::asked::read;
    use super::*;
    use crate::practise::listening::drill::Drill;

    fn ask(drill: Drill) -> Ask {
        Ask {
            engine: ENGINES[0].name.to_string(),
            drill: Some(drill),
            rate_hz: 8000,
        }
    }

    fn words(bytes: &[u8]) -> Value {
        let length = u32::from_le_bytes(bytes[..4].try_into().unwrap()) as usize;
        serde_json::from_slice(&bytes[4..4 + length]).unwrap()
    }

    #[test]
    fn what_is_sent_before_the_answer_is_the_same_whatever_is_true() {
        for drill in [Drill::HighWideOpen, Drill::SnapRichOrLean] {
            let mut listening = Listening::new(4, []);
            let mut sent = std::collections::BTreeMap::new();
            while sent.len() < 2 {
                let put = listening.ask(&ask(drill), "id".to_string()).unwrap();
                sent.entry(format!("{:?}", put.question.truth()))
                    .or_insert_with(|| put.sound().unwrap());
            }
            let [one, other]: [Vec<u8>; 2] = sent.into_values().collect::<Vec<_>>().try_into().unwrap();
            assert_eq!(words(&one), words(&other));
            assert_eq!(one.len(), other.len());
            assert_ne!(one, other, "the sound has to tell it");
            for truth in ["was", "truth", "right", "step_clicks", "about", "seed", "number"] {
                assert!(words(&one).get(truth).is_none(), "{truth}");
            }
        }
    }

    #[test]
    fn a_question_is_answered_once_by_one_of_its_answers_and_counts() {
        let mut listening = Listening::new(4, []);
        let put = listening.ask(&ask(Drill::HighHalf), "id".to_string()).unwrap();
        let truth = put.question.truth();
        let answers = |question: &str, answer| Answers {
            question: question.to_string(),
            answer,
        };
        assert_eq!(
            listening.answer(&answers("other", truth), 1).err(),
            Some(Refused::NoQuestion)
        );
        assert_eq!(
            listening.answer(&answers("id", Answer::Rich), 1).err(),
            Some(Refused::Answer)
        );
        let verdict = listening.answer(&answers("id", truth), 1).unwrap();
        assert!(verdict.right && verdict.was == truth && verdict.words.starts_with("Right: "));
        assert!(verdict.kept.right && verdict.kept.step_clicks == 12);
        let line = verdict
            .standing
            .iter()
            .find(|line| line["drill"] == "high-half")
            .unwrap();
        assert_eq!((&line["asked"], &line["right"]), (&json!(1), &json!(1)));
        assert_eq!(listening.answer(&answers("id", truth), 1).err(), Some(Refused::Twice));
        // Of too many the oldest goes.
        listening.ask(&ask(Drill::HighHalf), "first".to_string()).unwrap();
        for k in 0..MOST_OPEN {
            listening.ask(&ask(Drill::HighHalf), k.to_string()).unwrap();
        }
        assert_eq!(
            listening.answer(&answers("first", truth), 1).err(),
            Some(Refused::NoQuestion)
        );
        assert!(listening.answer(&answers("0", truth), 1).is_ok());
    }

    #[test]
    fn no_page_names_a_file_a_rate_or_a_step_of_its_own() {
        let mut listening = Listening::new(4, []);
        for name in ["models/engines/offroad-3.5.toml", "/etc/passwd", "", "-"] {
            let ask = Ask {
                engine: name.to_string(),
                ..ask(Drill::LowIdle)
            };
            assert_eq!(
                listening.ask(&ask, String::new()).err(),
                Some(Refused::Engine),
                "{name}"
            );
        }
        for rate_hz in [0, 7_999, 48_001, u32::MAX] {
            let ask = Ask {
                rate_hz,
                ..ask(Drill::LowIdle)
            };
            assert_eq!(
                listening.ask(&ask, String::new()).err(),
                Some(Refused::Rate),
                "{rate_hz}"
            );
        }
        let step = |screw, clicks| Step {
            engine: ENGINES[0].name.to_string(),
            screw,
            at: At::Half,
            clicks,
            rate_hz: 8000,
        };
        for (screw, clicks) in [(Screw::High, 1), (Screw::Low, i32::MIN), (Screw::Idle, 0)] {
            assert_eq!(step(screw, clicks).sound().err(), Some(Refused::Step));
        }
        let sound = step(Screw::Low, -2).sound().unwrap();
        assert_eq!(
            words(&sound)["words"],
            "Low-speed needle 1/12 turn leaner, half throttle"
        );
        assert_eq!(
            &sound[sound.len() - words(&sound)["bytes"][0].as_u64().unwrap() as usize..][..4],
            b"RIFF"
        );
        assert!(read::<Step>(b"{\"engine\":1}").is_err() && read::<Ask>(b"").is_err());
    }
}
