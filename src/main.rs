//! The program: read the arguments, run the command, and turn its answer into an exit code.
//!
//! Exit codes: 0 done; 1 ran, and the answer is no; 2 wrong usage or a file that can't be used; 130 interrupted.

mod cli;

use std::process::ExitCode;

use cli::{Answer, Cli};

fn main() -> ExitCode {
    cli::signals::outlive_full_files();
    let arguments = match Cli::read() {
        Ok(arguments) => arguments,
        Err(message) => return cli::output::usage(&message),
    };
    cli::threads::take();
    match arguments.run() {
        Ok(Answer::Yes) => ExitCode::SUCCESS,
        Ok(Answer::No) => ExitCode::from(1),
        Ok(Answer::Interrupted) => ExitCode::from(130),
        Err(failure) => {
            cli::output::say(&failure.to_string());
            ExitCode::from(2)
        }
    }
}
