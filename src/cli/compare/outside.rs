//! A way of tuning in any language: a program that is started for each practice and speaks JSON lines on standard input and output.
//!
//! Both say first which version they speak. Then it is shown what can be seen, and answers with one action as a recording has it; an
//! action that can't be done now is told with its reason, and answered by another. It never learns the seed. What goes wrong with it
//! ends its practice, by name, and nothing else.

use std::io::{BufRead, BufReader, Read, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel, sync_channel};
use std::time::Duration;

use needlebench::bench::checks::Limits;
use needlebench::digest::Digest;
use needlebench::tuning::action::Action;
use needlebench::tuning::batch::playing::{End, Tuner};
use needlebench::tuning::batch::study::{Outside, skill_name};
use needlebench::tuning::episode::Refusal;
use needlebench::tuning::human::Skill;
use needlebench::tuning::scenario::Scenario;
use needlebench::tuning::strategy::Sight;
use serde::{Deserialize, Serialize};

use crate::cli::Failure;

/// The version that is spoken.
const VERSION: u32 = 1;
/// Longest line of an answer, bytes.
const LONGEST: u64 = 65_536;

/// A command that tunes: a program and its arguments, parted by blanks.
#[derive(Clone, Debug)]
pub struct Program {
    words: Vec<String>,
    patience: Duration,
}

/// What it is told first.
#[derive(Serialize)]
struct Greeting<'a> {
    version: u32,
    scenario: &'a str,
    skill: &'a str,
    limits: &'a Limits,
}

/// What it says first.
#[derive(Deserialize)]
struct Reply {
    version: u32,
}

/// What it is shown.
#[derive(Serialize)]
#[serde(rename_all = "snake_case")]
enum Shown<'a> {
    /// What can be seen, after an action or before the first.
    Sight(&'a Sight),
    /// An action that can't be done now, and why.
    Refused(String),
}

impl Program {
    /// A command, which has to answer within `seconds`.
    ///
    /// # Errors
    /// It can't be started.
    pub fn new(command: &str, seconds: f64) -> Result<Self, Failure> {
        let words: Vec<String> = command.split_whitespace().map(String::from).collect();
        let program = Self {
            words,
            patience: Duration::from_secs_f64(seconds),
        };
        let started = program.command().and_then(|mut command| command.spawn());
        match started {
            Ok(mut child) => {
                let _ = child.kill();
                let _ = child.wait();
                Ok(program)
            }
            Err(error) => Err(Failure::Usage {
                flag: "--strategy-command",
                what: format!("`{}` can't be started ({error})", command.escape_debug()),
                allowed: "a program and its arguments, parted by blanks",
                remedy: "check its path and that it may be run",
            }),
        }
    }

    fn command(&self) -> std::io::Result<Command> {
        let (program, arguments) = self.words.split_first().ok_or(std::io::ErrorKind::NotFound)?;
        let mut command = Command::new(program);
        command.args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped());
        Ok(command)
    }

    /// Its name in a study: the last word that names a file.
    pub fn label(&self) -> String {
        let file = self.words.iter().rev().find(|word| Path::new(word).is_file());
        let named = file.or(self.words.first()).map_or("outside", String::as_str);
        let stem = Path::new(named).file_stem();
        stem.map_or_else(
            || "outside".to_string(),
            |stem| stem.to_string_lossy().replace([',', '"'], "-"),
        )
    }

    /// The same as one who plays in a study.
    pub fn outside(self) -> Outside {
        let mut digest = Digest::from(0);
        for word in &self.words {
            digest.text(word);
            // Another text is another way of tuning.
            digest.words(std::fs::read(word).unwrap_or_default().into_iter().map(u64::from));
        }
        Outside {
            identity: format!("{:016x}", digest.value()),
            start: Arc::new(move |scenario, skill| Box::new(Conversation::begin(&self, scenario, skill))),
        }
    }
}

/// A program at work on one practice.
struct Conversation {
    talk: Result<Talk, End>,
    patience: Duration,
}

struct Talk {
    child: Child,
    /// To it, by a thread of its own: nobody waits for a program that does not read.
    input: Sender<String>,
    answers: Receiver<Result<String, End>>,
}

impl Drop for Talk {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Reads lines until the program is gone or says too much.
fn listen(output: impl Read, send: impl Fn(Result<String, End>) -> bool) {
    let mut output = BufReader::new(output);
    loop {
        let mut line = Vec::new();
        let read = output.by_ref().take(LONGEST + 1).read_until(b'\n', &mut line);
        let answer = match read {
            Ok(_) if line.len() as u64 > LONGEST => Err(End::TunerFlooded),
            Ok(_) if line.ends_with(b"\n") => String::from_utf8(line).map_err(|_| End::TunerUnreadable),
            _ => Err(End::TunerDied),
        };
        let over = answer.is_err();
        if !send(answer) || over {
            return;
        }
    }
}

impl Conversation {
    fn begin(program: &Program, scenario: &Scenario, skill: Skill) -> Self {
        let mut conversation = Self {
            talk: Talk::with(program),
            patience: program.patience,
        };
        let greeting = Greeting {
            version: VERSION,
            scenario: &scenario.name,
            skill: skill_name(skill),
            limits: &scenario.limits,
        };
        conversation.say(&greeting);
        let replied = conversation.hear::<Reply>();
        if let Ok(Reply { version }) = replied
            && version != VERSION
        {
            conversation.talk = Err(End::TunerUnreadable);
        }
        conversation
    }

    /// What goes wrong stays wrong.
    fn fail(&mut self, end: End) -> End {
        self.talk = Err(end);
        end
    }

    fn say(&self, line: &impl Serialize) {
        let Ok(talk) = &self.talk else { return };
        let text = serde_json::to_string(line).unwrap_or_default() + "\n";
        // A program that is gone is found out when its answer is waited for.
        let _ = talk.input.send(text);
    }

    fn hear<T: for<'d> Deserialize<'d>>(&mut self) -> Result<T, End> {
        let talk = self.talk.as_ref().map_err(|end| *end)?;
        let line = match talk.answers.recv_timeout(self.patience) {
            Ok(Ok(line)) => line,
            Ok(Err(end)) => return Err(self.fail(end)),
            Err(RecvTimeoutError::Timeout) => return Err(self.fail(End::TunerSilent)),
            Err(RecvTimeoutError::Disconnected) => return Err(self.fail(End::TunerDied)),
        };
        serde_json::from_str(&line).map_err(|_| self.fail(End::TunerUnreadable))
    }
}

impl Talk {
    fn with(program: &Program) -> Result<Self, End> {
        let spawned = program.command().and_then(|mut command| command.spawn());
        let mut child = spawned.map_err(|_| End::TunerDied)?;
        let (Some(mut to), Some(from)) = (child.stdin.take(), child.stdout.take()) else {
            return Err(End::TunerDied);
        };
        let (input, lines) = channel::<String>();
        let write = move || {
            for line in lines {
                if to.write_all(line.as_bytes()).and_then(|()| to.flush()).is_err() {
                    return;
                }
            }
        };
        let (send, answers) = sync_channel(1);
        let read = move || listen(from, |answer| send.send(answer).is_ok());
        let thread = std::thread::Builder::new;
        let spawned = thread().spawn(write).and_then(|_| thread().spawn(read));
        let talk = Self { child, input, answers };
        spawned.map(|_| talk).map_err(|_| End::TunerDied)
    }
}

impl Tuner for Conversation {
    fn begin(&mut self, sight: &Sight) {
        self.say(&Shown::Sight(sight));
    }
    fn next(&mut self) -> Result<Action, End> {
        self.hear()
    }
    fn did(&mut self, _: &Action, sight: &Sight) {
        self.say(&Shown::Sight(sight));
    }
    fn refused(&mut self, _: &Action, refusal: Refusal) {
        self.say(&Shown::Refused(needlebench::practise::words::refusal(&refusal)));
    }
}
