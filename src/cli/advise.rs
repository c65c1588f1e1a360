//! `needlebench advise`: at the real engine. What was seen and heard goes in, by flags or line by line; how both ends most likely
//! stand, what to try next and the smallest safe turn come out.

use std::io::{BufRead, ErrorKind};

use clap::Args;
use needlebench::config::OwnFiles;
use needlebench::config::names::hint;
use needlebench::insight::advise::engines::{Belief, beliefs};
use needlebench::insight::advise::{self, Advice, End, Seen};
use needlebench::practise::{show, words};
use needlebench::tuning::scenario::{self, Scenario, WeatherNumbers};
use needlebench::tuning::strategy::findings::FINDINGS;
use serde::Serialize;

use super::options::{AnswerOptions, EngineOptions, WeatherOptions};
use super::{Answer, Failure, output};

/// The situation whose faults, jugs and screws are believed in: anything may be wrong.
const SITUATION: &str = "club-day";
/// What stands for a fuel that is given by its percentages.
const JUG: &str = "./by-its-label.toml";

/// At the real engine: what was seen and heard in, what most likely stands wrong out, with how likely
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  \
    needlebench advise --heard full=rough --heard pinch=lot --nitro 30\n  \
    needlebench advise --heard return=hangs --heard pinch=hardly --temperature-c 28 --json\n  \
    needlebench advise --words\n  \
    echo 'full dull' | needlebench advise --lines\n\n\
    It knows engines of the model, not yours: a pitch or a colour is heard by people, and engines differ.\n\
    Caution: the simulator teaches; the real engine, its maker's instructions, the fuel's data sheet and your club's and local\n\
    rules decide. Never lean an engine by numbers alone.\n\n\
    Exit codes: 0 done, 1 what was found doesn't go together, 2 wrong usage, a file that can't be used, or a line that can't be\n\
    read (the others are answered all the same).")]
pub struct Arguments {
    /// Something seen or heard, such as full=rough; any number of them
    #[arg(long, value_name = "WHAT=WORD", value_parser = seen)]
    heard: Vec<Seen>,
    /// Lines, filter, seal, plug, brake and tank were looked over, and nothing was found
    #[arg(long)]
    looked_over: bool,
    /// Read what was found from standard input, `WHAT WORD` a line, and answer after each
    #[arg(long, conflicts_with = "json")]
    lines: bool,
    /// List what can be seen and heard, with the words for it
    #[arg(long, conflicts_with_all = ["heard", "lines", "json"])]
    words: bool,
    #[command(flatten)]
    engine: EngineOptions,
    #[command(flatten)]
    weather: WeatherOptions,
    #[command(flatten)]
    answer: AnswerOptions,
}

/// Reads `WHAT=WORD`.
fn seen(text: &str) -> Result<Seen, String> {
    let Some((name, word)) = text.split_once('=') else {
        return Err("write it as WHAT=WORD, such as full=rough; `needlebench advise --words` lists all".to_string());
    };
    named(name.trim(), word.trim())
}

fn named(name: &str, word: &str) -> Result<Seen, String> {
    Seen::named(name, word).map_err(|known| {
        if FINDINGS.iter().any(|finding| finding.name == name) {
            format!("`{name}` can't be `{word}`{}", hint(word, &known))
        } else {
            format!("there is nothing called `{name}` to see or hear{}", hint(name, &known))
        }
    })
}

/// What is printed as JSON.
#[derive(Serialize)]
struct Told<'a> {
    high: End,
    low: End,
    faults: &'a [advise::AtFault],
    next: Option<Next>,
    turn: Option<Turned>,
    /// Findings that say lean and hot whatever else was found.
    alarms: &'a [&'static str],
    /// Nothing was found yet.
    assumed: bool,
    /// Findings that don't go with the others.
    contradicts: &'a [&'static str],
    caution: &'static str,
}

#[derive(Serialize)]
struct Turned {
    #[serde(flatten)]
    turn: advise::Turn,
    because: Option<String>,
}

#[derive(Serialize)]
struct Next {
    test: advise::Test,
    #[serde(rename = "do")]
    what: &'static str,
    because: &'static str,
}

/// Advises.
pub fn run(arguments: &Arguments) -> Result<Answer, Failure> {
    if arguments.words {
        output::print(&all_words())?;
        return Ok(Answer::Yes);
    }
    apart(&arguments.heard)?;
    let beliefs = beliefs(&situation(arguments)?)?;
    if arguments.lines {
        return line_by_line(&beliefs, arguments);
    }
    let advice = advise::advise(&beliefs, &arguments.heard, arguments.looked_over);
    if arguments.answer.json {
        output::print_json(&Told {
            high: advice.high,
            low: advice.low,
            faults: &advice.faults,
            next: advice.next.map(|test| Next {
                test,
                what: words::test(test),
                because: words::test_because(test),
            }),
            turn: advice.turn.map(|turn| Turned {
                turn,
                because: words::turn_because(&advice),
            }),
            alarms: &advice.alarms,
            assumed: advice.assumed,
            contradicts: &advice.contradicts,
            caution: show::CAUTION,
        })?;
    } else {
        output::print(&format!("{}\n{}", words::advice(&advice), show::CAUTION))?;
    }
    Ok(goes_together(&advice))
}

fn goes_together(advice: &Advice) -> Answer {
    if advice.contradicts.is_empty() {
        Answer::Yes
    } else {
        Answer::No
    }
}

/// Each is found once.
fn apart(heard: &[Seen]) -> Result<(), Failure> {
    let twice = heard
        .iter()
        .enumerate()
        .find(|(number, one)| heard[..*number].iter().any(|before| before.finding == one.finding));
    match twice {
        Some((_, one)) => Err(Failure::Usage {
            flag: "--heard",
            what: format!("`{}` is given twice", FINDINGS[one.finding].name),
            allowed: "one word for each",
            remedy: "keep what was heard last",
        }),
        None => Ok(()),
    }
}

/// The situation with this engine, fuel and weather.
fn situation(arguments: &Arguments) -> Result<Scenario, Failure> {
    let models = arguments.engine.load()?;
    let any = Scenario::read(&scenario::built_in(SITUATION)?)?;
    let weather = arguments.weather.weather();
    let options = &arguments.engine;
    let fuel = match &options.fuel.fuel {
        Some(fuel) => fuel.clone(),
        None if options.fuel.is_given() => JUG.to_string(),
        None => models.engine.reference_fuel.clone(),
    };
    let plug = options
        .plug
        .clone()
        .unwrap_or_else(|| models.engine.reference_plug.clone());
    let own = if fuel == JUG {
        let blend = models.fuel.blend;
        let text = format!(
            "name = \"by-its-label\"\nsummary = \"a jug\"\n[blend]\nnitro_percent = {:?}\noil_percent = {:?}\ncastor_share = {:?}\nviscosity_factor = {:?}\n",
            blend.nitro_percent, blend.oil_percent, blend.castor_share, models.fuel.viscosity_factor
        );
        OwnFiles::read(&options.engine, &models.engine.reference_fuel, &plug)?.with(JUG, text)
    } else {
        OwnFiles::read(&options.engine, &fuel, &plug)?
    };
    Ok(Scenario {
        engine: options.engine.clone(),
        fuel,
        plug,
        weather: WeatherNumbers {
            temperature_c: weather.temperature_c,
            pressure_hpa: weather.pressure_hpa,
            humidity_percent: weather.humidity_percent,
        },
        own,
        ..any
    })
}

/// What a line says.
enum Said {
    Nothing,
    LookedOver,
    Heard(Seen),
}

/// Reads a line; why it can't be, with all that could stand there.
fn said(line: &str) -> Result<Said, String> {
    let words: Vec<&str> = line
        .split([' ', '=', '\t', '\r'])
        .filter(|word| !word.is_empty())
        .collect();
    match words[..] {
        [] => Ok(Said::Nothing),
        ["looked-over"] => Ok(Said::LookedOver),
        [name, word] => Seen::named(name, word).map(Said::Heard).map_err(|known| {
            let what = if FINDINGS.iter().any(|finding| finding.name == name) {
                format!("`{}` can't be `{}`", shown(name), shown(word))
            } else {
                format!("there is nothing called `{}` to see or hear", shown(name))
            };
            format!("{what}; write one of: {}", known.join(", "))
        }),
        _ => Err(format!(
            "this is no WHAT WORD, such as `full rough`, nor `looked-over`; WHAT is one of: {}",
            FINDINGS
                .iter()
                .map(|finding| finding.name)
                .collect::<Vec<_>>()
                .join(", ")
        )),
    }
}

/// A word from outside as it stands in a message.
fn shown(word: &str) -> String {
    word.chars().take(40).flat_map(char::escape_debug).collect()
}

/// Answers after each line; a word heard anew takes the place of the one before. A line that can't be read is named and changes nothing,
/// and the others are answered all the same.
fn line_by_line(beliefs: &[Belief], arguments: &Arguments) -> Result<Answer, Failure> {
    let mut heard = arguments.heard.clone();
    let mut looked_over = arguments.looked_over;
    output::print(show::CAUTION)?;
    let mut answer = Answer::Yes;
    let (mut bad, mut all) = (0, 0);
    for line in std::io::stdin().lock().lines() {
        all += 1;
        let read = match line {
            Ok(line) => said(&line),
            Err(error) if error.kind() == ErrorKind::InvalidData => Err("this is no UTF-8 text".to_string()),
            Err(_) => break,
        };
        match read {
            Ok(Said::Nothing) => continue,
            Ok(Said::LookedOver) => looked_over = true,
            Ok(Said::Heard(seen)) => {
                heard.retain(|before| before.finding != seen.finding);
                heard.push(seen);
            }
            Err(why) => {
                bad += 1;
                output::say(&format!("line {all}: {why}"));
                continue;
            }
        }
        let advice = advise::advise(beliefs, &heard, looked_over);
        answer = goes_together(&advice);
        output::print(&format!("\n{}", words::advice(&advice)))?;
    }
    if bad > 0 {
        return Err(Failure::Lines { bad, all });
    }
    Ok(answer)
}

fn all_words() -> String {
    let line = |name: &str, meaning: &str, words: Vec<&str>| {
        format!("  {name:15} {}\n  {:15} {meaning}\n", words.join(", "), "")
    };
    FINDINGS
        .iter()
        .map(|finding| line(finding.name, finding.meaning.trim(), finding.words().collect()))
        .collect()
}
