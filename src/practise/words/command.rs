//! Commands of one line, as short words: `high in 1/8`, `full 2`, `judge low rich 80`. The same words serve screen, script and
//! page.

use crate::tuning::action::{Action, Part, Screw, Verdict};
use crate::tuning::episode::Quantity;

/// What a line asks for.
#[derive(Clone, Debug, PartialEq)]
pub enum Line {
    /// An action.
    Act(Action),
    /// Only listen.
    Listen,
    /// The list of commands.
    Help,
    /// A remark for the notebook.
    Note(String),
    /// Nothing.
    Empty,
}

/// The commands, for `help`.
pub const HELP: &str = "\
screws    high in 1/8   high out 1/24   low in 1/12   low out 1/8   idle in 1/8   idle out 1/8
          (needles: in is leaner, out is richer; idle stop: in is faster, out is slower; turns as 1/8, 0.125 or 2 clicks)
throttle  blip   full 2   half 3   hold 30% 5   (seconds; it springs back)   roll-on   (slowly to full)
time      wait 10   listen
look      gun   inspect   pinch   plug
engine    start   stop   warm   laps 2   fuel
say       judge high rich 80   judge low right 50   (rich, right or lean, and how sure; before the first turn it tells most)
          note TEXT   (for your notebook)
cure      fix leak | line | pressure | plug | filter | brake | tank
end       sign off   quit
";

/// A click of a screw, turns.
pub const CLICK_TURNS: f64 = 1.0 / 24.0;

/// Reads a line.
///
/// # Errors
/// What is wrong with it and what to write instead.
pub fn read(line: &str) -> Result<Line, String> {
    let words: Vec<String> = line.split_whitespace().map(str::to_lowercase).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let act = |action| Ok(Line::Act(action));
    match words.as_slice() {
        [] => Ok(Line::Empty),
        ["help" | "?"] => Ok(Line::Help),
        ["listen"] => Ok(Line::Listen),
        ["note", ..] => Ok(Line::Note(line.trim_start()[4..].trim().to_string())),
        [screw @ ("high" | "low" | "idle"), way @ ("in" | "out"), amount @ ..] => {
            let turns = turns(amount)?;
            let screw = match *screw {
                "high" => Screw::High,
                "low" => Screw::Low,
                _ => Screw::Idle,
            };
            let positive = (*way == "out") != (screw == Screw::Idle);
            act(Action::Turn {
                screw,
                turns: if positive { turns } else { -turns },
            })
        }
        ["blip"] => act(Action::Hold { position: 1.0, ms: 500 }),
        ["full"] => act(Action::Hold {
            position: 1.0,
            ms: 2000,
        }),
        ["full", time] | ["hold", "full", time] => act(Action::Hold {
            position: 1.0,
            ms: ms(time)?,
        }),
        ["half"] => act(Action::Hold {
            position: 0.5,
            ms: 3000,
        }),
        ["half", time] | ["hold", "half", time] => act(Action::Hold {
            position: 0.5,
            ms: ms(time)?,
        }),
        ["hold", position, time] => act(Action::Hold {
            position: number(position.trim_end_matches('%'), "a throttle in percent such as 30%")? / 100.0,
            ms: ms(time)?,
        }),
        ["wait"] => act(Action::Wait { ms: 5000 }),
        ["wait", time] => act(Action::Wait { ms: ms(time)? }),
        ["roll-on"] | ["roll", "on"] => act(Action::RollOn),
        ["gun"] => act(Action::Gun),
        ["inspect"] => act(Action::Inspect),
        ["pinch"] => act(Action::Pinch),
        ["plug"] => act(Action::Plug),
        ["start" | "restart"] => act(Action::Start),
        ["stop"] => act(Action::Stop),
        ["warm"] | ["warm", "up"] => act(Action::Warm),
        ["fuel"] => act(Action::Fuel),
        ["laps"] => act(Action::Laps { laps: 2 }),
        ["laps", count] => match count.parse::<u8>() {
            Ok(laps) => act(Action::Laps { laps }),
            Err(_) => Err(format!("`{}` is no number of laps; write 1 to 20", shown(count))),
        },
        ["fix", part] => match Part::ALL.into_iter().find(|p| p.word() == *part) {
            Some(part) => act(Action::Fix { part }),
            None => Err(format!(
                "there is no `{}` to fix; write one of: {}",
                shown(part),
                Part::ALL.map(Part::word).join(", ")
            )),
        },
        [
            "judge",
            end @ ("high" | "low"),
            verdict @ ("rich" | "right" | "lean"),
            sure,
        ] => {
            let sure_percent = sure.trim_end_matches('%').parse::<u8>().ok();
            let Some(sure_percent) = sure_percent.filter(|s| (34..=100).contains(s)) else {
                return Err(format!(
                    "how sure is `{}`? write 34 (a guess) to 100 (certain)",
                    shown(sure)
                ));
            };
            act(Action::Judge {
                end: if *end == "high" { Screw::High } else { Screw::Low },
                verdict: match *verdict {
                    "rich" => Verdict::Rich,
                    "right" => Verdict::Right,
                    _ => Verdict::Lean,
                },
                sure_percent,
            })
        }
        ["judge", ..] => Err("write who, what and how sure: judge high rich 80, or judge low lean 60".to_string()),
        ["sign", "off"] | ["signoff" | "sign-off"] => act(Action::SignOff),
        ["quit" | "leave" | "exit"] => act(Action::Leave),
        [screw @ ("high" | "low" | "idle"), ..] => Err(format!("which way? write {screw} in 1/8 or {screw} out 1/8")),
        [first, ..] => Err(format!("`{}` is no command; write help for the list", shown(first))),
    }
}

/// A word from outside as it stands in a message.
fn shown(word: &str) -> String {
    word.chars().take(40).flat_map(char::escape_debug).collect()
}

fn number(word: &str, wanted: &str) -> Result<f64, String> {
    word.parse::<f64>()
        .ok()
        .filter(|v| v.is_finite())
        .ok_or_else(|| format!("`{}` is not {wanted}", shown(word)))
}

fn ms(word: &str) -> Result<u32, String> {
    let seconds = number(word.trim_end_matches('s'), "a time in seconds such as 2 or 0.5")?;
    let (ms, allowed) = ((seconds * 1000.0).round(), Quantity::Milliseconds.range());
    if allowed.contains(&ms) {
        Ok(ms as u32)
    } else {
        let (low, high) = (allowed.start() / 1000.0, allowed.end() / 1000.0);
        Err(format!("{seconds} seconds is out of range; write {low} to {high}"))
    }
}

/// `1/8`, `0.125`, `2 clicks`, `click`; an eighth where nothing is said.
fn turns(words: &[&str]) -> Result<f64, String> {
    let wanted = "an amount of turns such as 1/8, 0.125 or 2 clicks";
    let turns = match words {
        [] => 0.125,
        ["click"] => CLICK_TURNS,
        [count, "click" | "clicks"] => number(count, wanted)? * CLICK_TURNS,
        [amount] | [amount, "turn" | "turns"] => match amount.split_once('/') {
            Some((a, b)) => number(a, wanted)? / number(b, wanted)?,
            None => number(amount, wanted)?,
        },
        _ => return Err(format!("`{}` is not {wanted}", shown(&words.join(" ")))),
    };
    if turns > 0.0 && turns <= 2.0 {
        Ok(turns)
    } else {
        Err("turn by more than nothing and at most 2 turns".to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn turn(line: &str) -> (Screw, f64) {
        match read(line) {
            Ok(Line::Act(Action::Turn { screw, turns })) => (screw, turns),
            other => panic!("{line}: {other:?}"),
        }
    }

    #[test]
    fn out_is_richer_at_the_needles_and_slower_at_the_stop() {
        assert_eq!(turn("high in 1/8"), (Screw::High, -0.125));
        assert_eq!(turn("LOW out 0.25"), (Screw::Low, 0.25));
        assert_eq!(turn("idle in 1/8"), (Screw::Idle, 0.125));
        assert_eq!(turn("idle out 3 clicks"), (Screw::Idle, -0.125));
    }

    #[test]
    fn what_cannot_be_read_is_answered_with_what_to_write() {
        for (line, part) in [
            ("high", "high in 1/8"),
            ("high in much", "not an amount"),
            ("high in 1/0", "more than nothing"),
            ("high in 3", "at most 2 turns"),
            ("low in -1/8", "more than nothing"),
            ("full forever", "seconds"),
            ("wait 1e9", "0.05 to 600"),
            ("fix wheel", "leak, line"),
            ("judge high rich 120", "34"),
            ("judge idle rich 50", "judge high rich 80"),
            ("frobnicate", "help"),
            ("laps 400", "1 to 20"),
        ] {
            let message = read(line).unwrap_err();
            assert!(message.contains(part), "{line}: {message}");
        }
    }

    proptest::proptest! {
        #[test]
        fn any_line_is_answered(line in "\\PC{0,60}") {
            let _ = read(&line);
        }
    }
}
