//! The practice line by line: one command a line until the practice, its input or its terminal ends, or a signal asks it to. What
//! is typed and what is piped in are treated alike, so a practice can be scripted.

use std::fs::File;
use std::io::{BufRead, BufReader, ErrorKind};
use std::path::Path;

use needlebench::practise::recording::Practice;
use needlebench::practise::said::Said;
use needlebench::practise::show;
use needlebench::practise::words::{self, Line};
use needlebench::practise::wrap::wrap;
use needlebench::tuning::action::Action;

use super::signals::Asked;
use super::terminal::{Attached, Left};
use super::{Failure, output};

/// Longest line, bytes: far more than any command or remark needs.
const LONGEST: usize = 4096;

/// What came in.
enum Typed {
    /// A line.
    Line(String),
    /// A line longer than any may be.
    TooLong,
    /// There is no more.
    End,
    /// It can't be read.
    Unreadable,
    /// A signal.
    Asked,
}

/// Standard input without a buffer of its own, so that waiting for it and reading from it speak of the same bytes.
fn standard_input() -> std::io::Result<File> {
    #[cfg(unix)]
    use std::os::fd::AsFd;
    #[cfg(windows)]
    use std::os::windows::io::AsHandle;
    #[cfg(unix)]
    let input = std::io::stdin().as_fd().try_clone_to_owned()?;
    #[cfg(windows)]
    let input = std::io::stdin().as_handle().try_clone_to_owned()?;
    Ok(input.into())
}

/// The next line.
fn next(input: &mut BufReader<File>, asked: &Asked) -> Typed {
    let (mut line, mut too_long) = (Vec::new(), false);
    loop {
        if asked.is_set() {
            return Typed::Asked;
        }
        if input.buffer().is_empty() {
            match asked.wait_for(input.get_ref()) {
                Ok(true) => {}
                Ok(false) => continue,
                Err(_) => return Typed::Unreadable,
            }
        }
        let (bytes, ended) = match input.fill_buf() {
            Ok([]) if line.is_empty() && !too_long => return Typed::End,
            Ok([]) => (&[][..], true),
            Ok(bytes) => match bytes.iter().position(|byte| *byte == b'\n') {
                Some(at) => (&bytes[..=at], true),
                None => (bytes, false),
            },
            Err(error) if error.kind() == ErrorKind::Interrupted => continue,
            Err(_) => return Typed::Unreadable,
        };
        too_long |= line.len() + bytes.len() > LONGEST;
        if !too_long {
            line.extend_from_slice(bytes);
        }
        let taken = bytes.len();
        input.consume(taken);
        if ended && too_long {
            return Typed::TooLong;
        }
        if ended {
            // What is not text reads as no command.
            return Typed::Line(String::from_utf8_lossy(&line).into_owned());
        }
    }
}

/// Practises until it ends; how it was left, and why recording stopped, if it did.
pub fn play(
    practice: &mut Practice,
    recorded: Option<&Path>,
    asked: &Asked,
    attached: &Attached,
) -> Result<(Left, Option<String>), Failure> {
    let mut trouble = None;
    let introduced = print(
        &format!("{}\n{}", show::CAUTION, show::card(practice.session())),
        attached,
    );
    if let Some(path) = recorded {
        output::say(&format!("recorded to {}", path.display()));
    }
    match introduced.and_then(|()| follow(practice, asked, attached, &mut trouble)) {
        Ok(left) => Ok((left, trouble)),
        // A terminal that can't be written to is going, or gone: that is the end.
        Err(_) if attached.is_going() => Ok((Left::Interrupted, trouble)),
        Err(failure) => Err(failure),
    }
}

/// Lines no longer than there is room; what goes on of one is set in a little further.
pub fn fitted(text: &str, columns: usize) -> String {
    wrap(text, columns, 2).join("\n") + "\n"
}

/// Writes such lines.
fn print(text: &str, attached: &Attached) -> Result<(), Failure> {
    output::print(&fitted(text, attached.columns()))
}

fn follow(
    practice: &mut Practice,
    asked: &Asked,
    attached: &Attached,
    trouble: &mut Option<String>,
) -> Result<Left, Failure> {
    let mut said = Said::default();
    let mut input = BufReader::new(standard_input().map_err(|cause| Failure::Terminal { cause })?);
    loop {
        if attached.both() {
            output::print("> ")?;
        }
        let line = match next(&mut input, asked) {
            Typed::Asked => return Ok(Left::Interrupted),
            // A terminal that is going can't be read a moment before it is gone.
            Typed::Unreadable if attached.input => return Ok(Left::Interrupted),
            Typed::End | Typed::Unreadable if attached.is_lost() => return Ok(Left::Interrupted),
            // The end of the input is not a line that somebody wrote.
            Typed::End | Typed::Unreadable => "quit".to_string(),
            Typed::TooLong => {
                output::print(&format!(
                    "this line is longer than {LONGEST} bytes: nothing of it was done\n"
                ))?;
                continue;
            }
            Typed::Line(line) => {
                if !attached.both() && !line.trim().is_empty() {
                    output::print(&format!("> {}\n", line.trim().escape_debug()))?;
                }
                line
            }
        };
        let shown = match words::read(&line) {
            Ok(Line::Empty) => continue,
            Ok(Line::Help) => words::HELP.to_string(),
            Ok(Line::Note(text)) => {
                practice.note(&text);
                "noted\n".to_string()
            }
            // Listening takes a second, and tells everything that is heard.
            Ok(Line::Listen) => {
                said.forget();
                answer(practice, &Action::Wait { ms: 1000 }, &mut said)
            }
            Ok(Line::Act(action)) => answer(practice, &action, &mut said),
            Err(message) => message + "\n",
        };
        if let Some(error) = practice.trouble() {
            let stopped = words::recording_stopped(&error);
            output::say(&format!("{stopped}; the exit code will be 2"));
            *trouble = Some(error.to_string());
        }
        print(&shown, attached)?;
        if practice.session().episode().ending().is_some() {
            return Ok(Left::Ended);
        }
    }
}

fn answer(practice: &mut Practice, action: &Action, said: &mut Said) -> String {
    match practice.act(action) {
        Ok(frame) => {
            let next = show::another_stage(practice.session(), &frame);
            show::frame(&frame, said) + &next.unwrap_or_default()
        }
        Err(refusal) => words::refusal(&refusal) + "\n",
    }
}
