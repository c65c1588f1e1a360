//! `needlebench practise`: an engine with a hidden setting, on the full screen of a terminal, or line by line. In lines, what is
//! typed and what is piped in are treated alike, so a practice can be scripted.

use std::fs::{File, OpenOptions};
use std::io::{BufRead, ErrorKind, IsTerminal};
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

use clap::{Args, ValueEnum};
use needlebench::practise::debrief::Debrief;
use needlebench::practise::recording::Practice;
use needlebench::practise::session::{Level, Session};
use needlebench::practise::show;
use needlebench::practise::words::{self, Line};
use needlebench::tuning::action::Action;
use needlebench::tuning::episode::Ending;
use needlebench::tuning::scenario::{SCENARIOS, source};

use super::bar::Bar;
use super::{Answer, Failure, output, terminal};

/// How much is shown.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum LevelArgument {
    /// Tachometer, strip chart, and the next thing to try with its reason
    Guided,
    /// Sound, smoke, temperature gun, tachometer and strip chart
    Assisted,
    /// Sound, smoke and temperature gun
    ByEar,
}

/// An engine with a hidden setting: find it in as few turns as possible
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench practise --terminal\n  \
    needlebench practise false-idle --terminal --level by-ear --seed 7\n  \
    printf 'start\\nwarm\\nfull 3\\nhigh in 1/8\\nsign off\\n' | needlebench practise lesson-1 --seed 1\n\n\
    On the full screen `?` lists the keys. Elsewhere one command a line; `help` lists them. `needlebench models` lists the\n\
    scenarios. Exit code 0: signed off clean; 1: not; 130: interrupted.\n\n\
    Caution: the simulator teaches; the real engine, its maker's instructions, the fuel's data sheet and your club's and local\n\
    rules decide. Never lean an engine by numbers alone. Methanol is poisonous by breath, skin and mouth (NIOSH: 200 ppm over a\n\
    day, 6000 ppm immediately dangerous) and burns with a nearly invisible flame; nitromethane is hazardous (OSHA: 100 ppm; NIOSH:\n\
    750 ppm immediately dangerous). Exhaust has carbon monoxide: run outdoors. Protect your hearing: 85 dB(A) is the limit over\n\
    8 hours, 100 dB(A) over 15 minutes (NIOSH). Hot head and pipe, spinning flywheel and wheels.")]
pub struct Arguments {
    /// Scenario: a built-in name (see `needlebench models`) or a file
    #[arg(value_name = "SCENARIO|FILE", default_value = SCENARIOS[0].name)]
    scenario: String,
    /// Practise in this terminal, on its full screen (line by line where input or output is no terminal)
    #[arg(long)]
    terminal: bool,
    /// Line by line, without a screen (the default where input or output is no terminal)
    #[arg(long)]
    plain: bool,
    /// How much is shown
    #[arg(long, value_enum, default_value = "guided")]
    level: LevelArgument,
    /// Seed of what is hidden and of all noise [default: another one each time; it is shown]
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = super::options::seed)]
    seed: Option<u64>,
    /// Where to record [default: a new file in the practices' folder]
    #[arg(long, value_name = "FILE")]
    record: Option<PathBuf>,
    /// Record nothing
    #[arg(long, conflicts_with = "record")]
    no_record: bool,
}

impl Default for Arguments {
    fn default() -> Self {
        Self {
            scenario: SCENARIOS[0].name.to_string(),
            terminal: true,
            plain: false,
            level: LevelArgument::Guided,
            seed: None,
            record: None,
            no_record: false,
        }
    }
}

/// The folder of recordings: XDG_DATA_HOME/needlebench/practices, else ~/.local/share/needlebench/practices.
pub fn folder() -> Option<PathBuf> {
    let set = |name: &str| {
        std::env::var_os(name)
            .map(PathBuf::from)
            .filter(|path| path.is_absolute())
    };
    set("XDG_DATA_HOME")
        .or_else(|| set("HOME").map(|home| home.join(".local/share")))
        .map(|data| data.join("needlebench").join("practices"))
}

fn unwritable(path: &Path) -> impl FnOnce(std::io::Error) -> Failure + '_ {
    |cause| Failure::Output {
        path: path.display().to_string(),
        cause,
    }
}

/// Opens the file to record to; nothing that exists is overwritten.
fn recording(arguments: &Arguments, name: &str, seed: u64) -> Result<Option<(File, PathBuf)>, Failure> {
    if arguments.no_record {
        return Ok(None);
    }
    let new = |path: &Path| OpenOptions::new().append(true).create_new(true).open(path);
    if let Some(path) = &arguments.record {
        return new(path)
            .map(|file| Some((file, path.clone())))
            .map_err(unwritable(path));
    }
    let Some(folder) = folder() else {
        output::say("not recorded: neither XDG_DATA_HOME nor HOME names a folder; `--record FILE` does");
        return Ok(None);
    };
    let opened = std::fs::create_dir_all(&folder).and_then(|()| {
        for number in 1.. {
            let path = folder.join(format!("{name}-seed-{seed}-{number}.jsonl"));
            match new(&path) {
                Err(error) if error.kind() == ErrorKind::AlreadyExists && number < 10_000 => {}
                other => return other.map(|file| (file, path)),
            }
        }
        Err(ErrorKind::AlreadyExists.into())
    });
    match opened {
        Ok(opened) => Ok(Some(opened)),
        Err(error) => {
            // A practice is worth having without a recording, too.
            output::say(&format!(
                "not recorded: {} can't be written ({error})",
                folder.display()
            ));
            Ok(None)
        }
    }
}

/// A name fit for a file.
fn file_name(name: &str) -> String {
    let fit = |c: char| if c.is_ascii_alphanumeric() || c == '-' { c } else { '-' };
    name.chars().take(40).map(fit).collect()
}

/// Practises until it ends or the input does.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let scenario = source(&arguments.scenario)?;
    // The scenario is read before a file for it is made.
    let name = needlebench::tuning::scenario::Scenario::read(&scenario)?.name;
    let level = match arguments.level {
        LevelArgument::Guided => Level::Guided,
        LevelArgument::Assisted => Level::Assisted,
        LevelArgument::ByEar => Level::ByEar,
    };
    let seed = arguments.seed.unwrap_or_else(|| {
        // Small, so that it can be said and typed.
        SystemTime::now()
            .duration_since(UNIX_EPOCH)
            .map_or(1, |d| u64::from(d.subsec_nanos()) / 7 % 100_000)
    });
    // Begun before a file for it is made: a practice that can't be won leaves none.
    let mut practice = Practice::begin(&scenario, level, seed, 0, None)?;
    let recorded = recording(arguments, &file_name(&name), seed)?;
    let path = recorded.as_ref().map(|(_, path)| path.clone());
    if let Ok(since_1970) = SystemTime::now().duration_since(UNIX_EPOCH) {
        practice.begun_at(u64::try_from(since_1970.as_millis()).unwrap_or(u64::MAX));
    }
    if let Some((file, _)) = recorded {
        practice.record_to(Box::new(file));
    }
    if !arguments.plain && terminal::there() {
        return full_screen(&mut practice, path.as_deref());
    }
    output::print(&format!("{}\n{}", show::CAUTION, show::card(practice.session())))?;
    if let Some(path) = &path {
        output::say(&format!("recorded to {}", path.display()));
    }
    lines(&mut practice)?;
    tell_trouble(&mut practice);
    let debrief = finished(Debrief::begin(practice.session()), practice.session());
    output::print(&format!("\n{}", words::debrief(&debrief)))?;
    Ok(verdict(&practice))
}

/// What is left of a debrief, made behind a bar.
pub fn finished(mut debrief: Debrief, session: &Session) -> Debrief {
    let mut bar = Bar::new("debrief");
    debrief.finish(session, |progress| bar.show(progress.share()));
    debrief
}

fn verdict(practice: &Practice) -> Answer {
    match practice.session().episode().ending() {
        Some(Ending::Clean) => Answer::Yes,
        _ => Answer::No,
    }
}

/// On the full screen; what it showed at last stays to be read after it.
fn full_screen(practice: &mut Practice, path: Option<&Path>) -> Result<Answer, Failure> {
    let (left, mut desk) = terminal::play(practice, path)?;
    let session = practice.session();
    // What was left by a signal has none yet.
    let debrief = desk.debrief.take().unwrap_or_else(|| Debrief::begin(session));
    output::print(&words::debrief(&finished(debrief, session)))?;
    if let Some(cause) = desk.trouble() {
        return Err(Failure::Stopped {
            path: path.map(|p| p.display().to_string()).unwrap_or_default(),
            cause: cause.to_string(),
        });
    }
    if let Some(path) = path {
        output::say(&format!("recorded to {}", path.display()));
    }
    Ok(match left {
        terminal::Left::Ended => verdict(practice),
        terminal::Left::Interrupted => Answer::Interrupted,
    })
}

fn tell_trouble(practice: &mut Practice) {
    if let Some(error) = practice.trouble() {
        output::say(&format!(
            "recording stopped ({error}); what was written before is kept, the practice goes on"
        ));
    }
}

/// One command a line until the practice or the input ends.
fn lines(practice: &mut Practice) -> Result<(), Failure> {
    let input = std::io::stdin();
    let prompt = input.is_terminal() && std::io::stdout().is_terminal();
    let mut input = input.lock();
    let mut bytes = Vec::new();
    loop {
        if prompt {
            output::print("> ")?;
        }
        bytes.clear();
        // A line longer than any command is cut; what is not text reads as no command.
        let read = std::io::Read::take(&mut input, 4096).read_until(b'\n', &mut bytes);
        let line = match read {
            Ok(0) => "quit".to_string(),
            Ok(_) => String::from_utf8_lossy(&bytes).into_owned(),
            Err(error) if error.kind() == ErrorKind::Interrupted => continue,
            Err(_) => "quit".to_string(),
        };
        // The end of the input is not a line that somebody wrote.
        if !prompt && !bytes.is_empty() && !line.trim().is_empty() {
            output::print(&format!("> {}\n", line.trim().escape_debug()))?;
        }
        let shown = match words::read(&line) {
            Ok(Line::Empty) => continue,
            Ok(Line::Help) => words::HELP.to_string(),
            Ok(Line::Note(text)) => {
                practice.note(&text);
                "noted\n".to_string()
            }
            // Listening takes a second.
            Ok(Line::Listen) => answer(practice, &Action::Wait { ms: 1000 }),
            Ok(Line::Act(action)) => answer(practice, &action),
            Err(message) => message + "\n",
        };
        output::print(&shown)?;
        tell_trouble(practice);
        if practice.session().episode().ending().is_some() {
            return Ok(());
        }
    }
}

fn answer(practice: &mut Practice, action: &Action) -> String {
    match practice.act(action) {
        Ok(frame) => show::frame(&frame),
        Err(refusal) => words::refusal(&refusal) + "\n",
    }
}
