//! `needlebench practise`: an engine with a hidden setting, on a page in the browser, on the full screen of a terminal, or line by
//! line. In lines, what is typed and what is piped in are treated alike, so a practice can be scripted.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

use clap::{Args, ValueEnum};
use needlebench::practise::class_code::Class;
use needlebench::practise::debrief::Debrief;
use needlebench::practise::recording::Practice;
use needlebench::practise::session::{Level, Session};
use needlebench::practise::words;
use needlebench::practise::wrap::wrap;
use needlebench::tuning::action::Action;
use needlebench::tuning::episode::Ending;
use needlebench::tuning::scenario::{SCENARIOS, source};

use super::bar::Bar;
use super::options::any_seed;
use super::page::offer::{Given, Offer, Recorded};
use super::page::{self, browser};
use super::signals::Asked;
use super::terminal::{Attached, Left};
use super::{Answer, Failure, demo, lines, output, recording, terminal};

/// How far the rest of a line of the debrief is set in, columns: as on the full screen.
const DEBRIEF_HANGS: usize = 10;

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

impl From<LevelArgument> for Level {
    fn from(level: LevelArgument) -> Self {
        match level {
            LevelArgument::Guided => Self::Guided,
            LevelArgument::Assisted => Self::Assisted,
            LevelArgument::ByEar => Self::ByEar,
        }
    }
}

/// An engine with a hidden setting: find it in as few turns as possible
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench practise\n  \
    needlebench practise cold-morning --no-open\n  \
    needlebench practise --demo practice.jsonl --no-open\n  \
    needlebench practise --terminal\n  \
    needlebench practise --class cabin-spruce-amber-timber-daisy --terminal\n  \
    needlebench practise other-hands --terminal --level by-ear --seed 7\n  \
    printf 'start\\nwarm\\nhigh in 1/8\\nfull 3\\nwait 10\\nfull 2\\nroll-on\\nsign off\\n' |\n    needlebench practise lesson-1 --seed 1\n\n\
    The page opens in your browser; where there is no display, the terminal's full screen does. There `?` lists the keys. Elsewhere one command a line; `help` lists them. `needlebench models` lists the\n\
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
    /// Serve the page on this port of 127.0.0.1; 0 takes any that is free
    #[arg(long, value_name = "P", conflicts_with_all = ["terminal", "plain"])]
    port: Option<u16>,
    /// Serve the page without opening a browser
    #[arg(long, conflicts_with_all = ["terminal", "plain"])]
    no_open: bool,
    /// How much is shown
    #[arg(long, value_enum, default_value = "guided")]
    level: LevelArgument,
    /// Seed of what is hidden and of all noise [default: another one each time; it is shown]
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = super::options::seed)]
    seed: Option<u64>,
    /// A class code, five words: scenario, level and seed in one, so that everybody has the same engine (each practice shows its own)
    #[arg(long, value_name = "WORDS", value_parser = Class::read, conflicts_with_all = ["scenario", "seed", "level"])]
    class: Option<Class>,
    /// Show a recorded practice on the page instead, at its pace, with the words and what was hidden beside it
    #[arg(long, value_name = "FILE",
          conflicts_with_all = ["scenario", "seed", "level", "class", "terminal", "plain", "record", "no_record"])]
    demo: Option<PathBuf>,
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
            terminal: false,
            plain: false,
            port: None,
            no_open: false,
            level: LevelArgument::Guided,
            seed: None,
            class: None,
            demo: None,
            record: None,
            no_record: false,
        }
    }
}

/// Practises until it ends or the input does.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    if let Some(file) = &arguments.demo {
        return demo::run(file, arguments.port.unwrap_or(0), !arguments.no_open);
    }
    let class = arguments.class;
    let scenario = source(class.map_or(arguments.scenario.as_str(), |class| class.scenario))?;
    // The scenario is read before a file for it is made.
    let name = needlebench::tuning::scenario::Scenario::read(&scenario)?.name;
    let level = class.map_or_else(|| arguments.level.into(), |class| class.level);
    let seed = class.map(|class| class.seed).or(arguments.seed);
    let attached = Attached::now();
    let asked = Asked::listen().map_err(|cause| Failure::Terminal { cause })?;
    let (in_terminal, page_wanted) = (
        arguments.terminal || arguments.plain,
        arguments.no_open || arguments.port.is_some(),
    );
    if page_wanted || (!in_terminal && attached.both() && browser::there()) {
        let recorded = match &arguments.record {
            _ if arguments.no_record => Recorded::Not,
            Some(path) => {
                recording::free(path)?;
                Recorded::To(path.clone())
            }
            None => Recorded::ToFolder,
        };
        let port = arguments.port.unwrap_or(0);
        let offer = Offer::new(scenario, name, level, seed, recorded);
        return page::play(Given::Practice(Arc::new(offer)), port, !arguments.no_open, &asked);
    }
    let seed = seed.unwrap_or_else(any_seed);
    // Begun before a file for it is made: a practice that can't be won leaves none.
    let mut practice = Practice::begin(&scenario, level, seed, 0, None)?;
    if let Ok(since_1970) = SystemTime::now().duration_since(UNIX_EPOCH) {
        practice.begun_at(u64::try_from(since_1970.as_millis()).unwrap_or(u64::MAX));
    }
    let path = record(arguments, &name, seed, &mut practice)?;
    let full_screen = !arguments.plain && terminal::there();
    let (left, debrief, mut trouble) = if full_screen {
        let (left, mut desk) = terminal::play(&mut practice, path.as_deref(), &asked)?;
        (left, desk.view.debrief.take(), desk.trouble().map(ToString::to_string))
    } else {
        let (left, trouble) = lines::play(&mut practice, path.as_deref(), &asked, &attached)?;
        (left, None, trouble)
    };
    if left == Left::Interrupted {
        // What is done is kept, up to here.
        let _ = practice.act(&Action::Leave);
        trouble = trouble.or(practice.trouble().map(|error| error.to_string()));
    }
    // A terminal that is gone shows no debrief.
    if !attached.is_lost() {
        let session = practice.session();
        let debrief = finished(debrief.unwrap_or_else(|| Debrief::begin(session)), session);
        let before = if full_screen { "" } else { "\n" };
        let shown = output::print(&format!("{before}{}", debriefed(&debrief, attached.columns())));
        shown.or_else(|failure| if attached.is_going() { Ok(()) } else { Err(failure) })?;
    }
    if let Some(cause) = trouble {
        return Err(Failure::Stopped {
            path: path.map(|p| p.display().to_string()).unwrap_or_default(),
            cause,
        });
    }
    if let Some(path) = path.filter(|_| full_screen) {
        output::say(&format!("recorded to {}", path.display()));
    }
    Ok(match (left, practice.session().episode().ending()) {
        (Left::Interrupted, _) => Answer::Interrupted,
        (Left::Ended, Some(Ending::Clean)) => Answer::Yes,
        (Left::Ended, _) => Answer::No,
    })
}

/// The debrief in lines no longer than there is room.
pub fn debriefed(debrief: &Debrief, columns: usize) -> String {
    wrap(&words::debrief(debrief), columns, DEBRIEF_HANGS).join("\n") + "\n"
}

/// What is left of a debrief, made behind a bar.
pub fn finished(mut debrief: Debrief, session: &Session) -> Debrief {
    let mut bar = Bar::new("debrief");
    debrief.finish(session, |progress| bar.show(progress.share()));
    debrief
}

/// Records to where it is wanted, if anywhere; the file.
fn record(arguments: &Arguments, name: &str, seed: u64, practice: &mut Practice) -> Result<Option<PathBuf>, Failure> {
    match &arguments.record {
        _ if arguments.no_record => Ok(None),
        Some(path) => recording::to(path, practice).map(|()| Some(path.clone())),
        None => recording::to_folder(name, seed, practice),
    }
}
