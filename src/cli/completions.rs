//! `needlebench completions`: what a shell needs to complete commands and options.

use clap::{Args, Command};
use clap_complete::Shell;

use crate::cli::{Answer, Failure, output};

#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench completions bash > ~/.local/share/bash-completion/completions/needlebench\n  \
    needlebench completions fish > ~/.config/fish/completions/needlebench.fish")]
pub struct Arguments {
    /// The shell
    #[arg(value_enum)]
    shell: Shell,
}

pub fn run(arguments: &Arguments, command: &mut Command) -> Result<Answer, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(arguments.shell, command, "needlebench", &mut script);
    output::print(&String::from_utf8_lossy(&script))?;
    Ok(Answer::Yes)
}
