//! `needlebench practise --demo`: a recording shown on a page, with what was hidden beside it. It is checked first as `replay` checks it; one
//! that does not come out as it was recorded, or has no ending yet, is not shown.

use std::io::BufReader;
use std::path::Path;
use std::sync::Arc;

use needlebench::config::Source;
use needlebench::practise::demonstration::Tape;

use super::page::offer::Given;
use super::signals::Asked;
use super::{Answer, Failure, output, page, replayed};

/// Checks a recording and serves it until somebody asks the program to end.
pub fn run(file: &Path, port: u16, open: bool) -> Result<Answer, Failure> {
    let asked = Asked::listen().map_err(|cause| Failure::Terminal { cause })?;
    let path = file.display().to_string();
    let (tape, replayed) = Tape::read(&path, BufReader::new(Source::open(file)?))?;
    let answer = replayed::told(&path, &replayed);
    let Some(tape) = tape else {
        if answer == Answer::Yes {
            output::say(
                "what is hidden stays hidden until then, and a demonstration shows it: name one that has its ending",
            );
        }
        return Ok(Answer::No);
    };
    page::play(Given::Demonstration(Arc::new(tape)), port, open, &asked)
}
