//! `needlebench run`: one engine, one setting, one throttle trace; the series as CSV or JSON.

use std::io::Read;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use needlebench::bench::measures;
use needlebench::bench::measures::Waits;
use needlebench::bench::rig::Rig;
use needlebench::bench::series::{self, COLUMNS, Manoeuvre, Point, Row, Trace};
use needlebench::engine::params::Faults;
use needlebench::engine::state::Load;

use super::options::{AnswerOptions, EngineOptions, SeedOptions, SettingOptions, WeatherOptions, number};
use super::{Answer, Failure, output};

/// Largest trace file, bytes.
const LARGEST_TRACE: u64 = 4 << 20;
/// Longest trace, s.
const LONGEST_TRACE: f64 = 3600.0;

/// One engine, one setting, one throttle trace
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench run --manoeuvre burst --low 2.5 > burst.csv\n  \
    needlebench run --manoeuvre brake --rpm 28000 --csv brake.csv\n  \
    needlebench run --trace mine.csv --json\n\n\
    A trace is a CSV file with the header `time_s,throttle`: seconds in rising order from 0, throttle 0 to 1; between two rows the\n\
    throttle moves in a straight line. 100 rows a second come out.")]
pub struct Arguments {
    /// What the hands do
    #[arg(long, value_enum, default_value = "burst", conflicts_with = "trace")]
    manoeuvre: Named,
    /// A throttle trace of your own: CSV with the header `time_s,throttle`
    #[arg(long, value_name = "FILE.csv")]
    trace: Option<PathBuf>,
    /// Speed that the brake holds [default: the engine's rated speed]
    #[arg(long, value_name = "RPM", allow_negative_numbers = true, value_parser = number(3000.0, 50000.0, "rpm"))]
    rpm: Option<f64>,
    /// Write the series to this file, `-` for standard output
    #[arg(long, value_name = "FILE.csv", help_heading = "Answer", conflicts_with = "json")]
    csv: Option<PathBuf>,
    #[command(flatten)]
    engine: EngineOptions,
    #[command(flatten)]
    weather: WeatherOptions,
    #[command(flatten)]
    setting: SettingOptions,
    #[command(flatten)]
    seed: SeedOptions,
    #[command(flatten)]
    answer: AnswerOptions,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Named {
    /// 60 s with the throttle shut
    Idle,
    /// A slow opening to full
    RollOn,
    /// Steady half throttle
    Half,
    /// Full throttle, shut, hold
    Burst,
    /// Clear out twice, idle the wait, full
    Snap,
    /// Full throttle held at one speed by a brake
    Brake,
    /// The fuel line pinched at idle
    Pinch,
    /// Race duty on the track
    Laps,
}

impl Named {
    fn manoeuvre(self) -> Manoeuvre {
        match self {
            Self::Idle => Manoeuvre::Idle,
            Self::RollOn => Manoeuvre::RollOn,
            Self::Half => Manoeuvre::Half,
            Self::Burst => Manoeuvre::Burst,
            Self::Snap => Manoeuvre::Snap,
            Self::Brake => Manoeuvre::Brake,
            Self::Pinch => Manoeuvre::Pinch,
            Self::Laps => Manoeuvre::Laps,
        }
    }
}

#[derive(serde::Serialize)]
struct Series<'a> {
    seed: u64,
    engine: &'a str,
    fuel: &'a str,
    setting: needlebench::engine::params::Setting,
    rows: &'a [Row],
}

/// Runs the trace and writes the series.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    let models = arguments.engine.load()?;
    let setup = models.setup(&arguments.weather.weather(), Faults::NONE)?;
    let setting = arguments.setting.setting(models.engine.reference);
    let trace = match &arguments.trace {
        Some(path) => read_trace(path)?,
        None => arguments
            .manoeuvre
            .manoeuvre()
            .trace(arguments.rpm.unwrap_or(models.engine.rated_rpm)),
    };
    let seed = arguments.seed.seed;
    let mut rig = if arguments.setting.cold {
        Rig::cold(&setup, setting, seed)
    } else if matches!(trace.load, Load::Brake(_)) {
        Rig::warm(&setup, setting, seed)
    } else {
        measures::settled(&setup, setting, seed, &Waits::STANDARD).0
    };
    measures::refill(&mut rig);
    let rows = series::run(&mut rig, &trace, setup.fuel.density(setup.air.temperature));
    if arguments.answer.json {
        output::print_json(&Series {
            seed,
            engine: &models.engine.name,
            fuel: &models.fuel.name,
            setting,
            rows: &rows,
        })?;
    } else {
        let target = arguments.csv.clone().unwrap_or_else(|| PathBuf::from("-"));
        output::write(&target, csv(&rows).as_bytes())?;
    }
    Ok(Answer::Yes)
}

fn csv(rows: &[Row]) -> String {
    let mut text = COLUMNS.join(",") + "\n";
    for row in rows {
        let cells = row.values().map(|v| v.map_or(String::new(), |x| format!("{x:.5}")));
        text += &cells.join(",");
        text.push('\n');
    }
    text
}

fn read_trace(path: &Path) -> Result<Trace, Failure> {
    let name = path.display().to_string();
    let bad = |line: usize, column: usize, what: String, allowed: &'static str, remedy: &'static str| Failure::Trace {
        path: name.clone(),
        line,
        column,
        what,
        allowed,
        remedy,
    };
    let unreadable = |what: String| {
        bad(
            1,
            1,
            what,
            "a CSV file of at most 4 MiB with the header `time_s,throttle`",
            "name such a file",
        )
    };
    if path.is_dir() {
        return Err(unreadable("it is a folder".to_string()));
    }
    let file = std::fs::File::open(path).map_err(|e| unreadable(format!("it can't be read ({e})")))?;
    let mut bytes = Vec::new();
    file.take(LARGEST_TRACE + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| unreadable(format!("it can't be read ({e})")))?;
    if bytes.len() as u64 > LARGEST_TRACE {
        return Err(unreadable("it is larger than 4 MiB".to_string()));
    }
    let text = String::from_utf8(bytes).map_err(|_| unreadable("it isn't UTF-8 text".to_string()))?;
    let mut lines = text.lines().enumerate();
    let header = lines
        .next()
        .map_or("", |(_, l)| l.trim_start_matches('\u{feff}').trim());
    if header != "time_s,throttle" {
        let shown: String = header.chars().filter(|c| !c.is_control()).take(40).collect();
        return Err(bad(
            1,
            1,
            format!("the header is `{shown}`"),
            "`time_s,throttle`",
            "write that as the first line",
        ));
    }
    let mut points: Vec<Point> = Vec::new();
    for (index, line) in lines {
        let row = index + 1;
        if line.trim().is_empty() {
            continue;
        }
        let Some((left, right)) = line.split_once(',') else {
            return Err(bad(
                row,
                1,
                "one value instead of two".into(),
                "`seconds,throttle`",
                "write both",
            ));
        };
        let value = |text: &str, column: usize, high: f64, allowed: &'static str| match text.trim().parse::<f64>() {
            Ok(v) if (0.0..=high).contains(&v) => Ok(v),
            _ => {
                let shown: String = text.chars().filter(|c| !c.is_control()).take(40).collect();
                Err(bad(
                    row,
                    column,
                    format!("`{shown}` is no such number"),
                    allowed,
                    "correct the value",
                ))
            }
        };
        let time_s = value(left, 1, LONGEST_TRACE, "time_s: 0 to 3600 s")?;
        let throttle = value(right, left.len() + 2, 1.0, "throttle: 0 to 1")?;
        if points.last().is_some_and(|p| p.time_s >= time_s) {
            return Err(bad(
                row,
                1,
                format!("the time {time_s} s doesn't rise"),
                "later than the row before",
                "sort the rows by time",
            ));
        }
        points.push(Point { time_s, throttle });
    }
    if points.last().is_none_or(|p| p.time_s < 0.01) {
        return Err(bad(
            2,
            1,
            "no trace of at least 0.01 s".into(),
            "two rows or more",
            "add rows `seconds,throttle`",
        ));
    }
    Ok(Trace {
        points,
        load: Load::Stand,
        pinch_at_s: None,
    })
}
