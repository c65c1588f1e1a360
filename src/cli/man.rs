//! `needlebench man`: manual pages made from the same declarations as `--help`, so that the two can't differ.

use std::path::{Path, PathBuf};

use clap::{Args, Command};
use needlebench::config::names;

use crate::cli::{Answer, Failure, output};

#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench man | man -l -\n  \
    needlebench man blend > needlebench-blend.1\n  \
    needlebench man --folder target/man")]
pub struct Arguments {
    /// The command whose page is wanted [default: the program's own page]
    #[arg(value_name = "COMMAND", conflicts_with = "folder")]
    command: Option<String>,
    /// Write all pages into this folder instead
    #[arg(long, value_name = "FOLDER")]
    folder: Option<PathBuf>,
}

pub fn run(arguments: &Arguments, program: Command) -> Result<Answer, Failure> {
    let commands: Vec<Command> = program.get_subcommands().cloned().collect();
    if let Some(folder) = &arguments.folder {
        let mut pages = vec![(folder.join("needlebench.1"), page(program)?)];
        for command in &commands {
            let name = format!("needlebench-{}.1", command.get_name());
            pages.push((folder.join(name), page(command.clone())?));
        }
        let pages: Vec<(&Path, &[u8])> = pages.iter().map(|(path, page)| (path.as_path(), &page[..])).collect();
        output::write_all(&pages)?;
        return Ok(Answer::Yes);
    }
    let wanted = match &arguments.command {
        None => program,
        Some(name) => match commands.iter().find(|command| command.get_name() == name) {
            Some(command) => command.clone(),
            None => {
                let known: Vec<&str> = commands.iter().map(Command::get_name).collect();
                return Err(Failure::Usage {
                    flag: "COMMAND",
                    what: format!("there is no command `{name}`{}", names::hint(name, &known)),
                    allowed: "the commands that `needlebench --help` lists",
                    remedy: "name one of them, or none for the program's own page",
                });
            }
        },
    };
    output::print(&String::from_utf8_lossy(&page(wanted)?))?;
    Ok(Answer::Yes)
}

/// A page in roff, named after the program and the command.
fn page(command: Command) -> Result<Vec<u8>, Failure> {
    let name = match command.get_name() {
        "needlebench" => "needlebench".to_string(),
        command => format!("needlebench-{command}"),
    };
    let mut text = Vec::new();
    match clap_mangen::Man::new(command.display_name(&name).bin_name(name.replace('-', " ")))
        .title(name)
        .render(&mut text)
    {
        Ok(()) => Ok(text),
        Err(cause) => Err(output::failed(Path::new("manual page"), cause)),
    }
}
