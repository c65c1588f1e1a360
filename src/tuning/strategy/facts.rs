//! The facts on which a strategy's rules may stand: a declared table of names, kinds, units and meanings, each taken from the
//! [`Memory`]. It is the whole vocabulary of strategies, of the built-in ones and of a user's own.

use super::findings::FINDINGS;
use super::memory::Memory;
use super::recalled::Heard;
use crate::tuning::action::Screw;
use crate::tuning::episode::Ask;

/// What a fact can be.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// Yes or no, always known.
    YesNo,
    /// One of some words, or unknown.
    Word(Vec<&'static str>),
    /// A number, or unknown.
    Number {
        /// Its unit in words, empty for a count.
        unit: &'static str,
        /// Least that a condition may name.
        low: f64,
        /// Most.
        high: f64,
    },
}

/// What a fact is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// Nobody has found out.
    Unknown,
    /// Yes or no.
    YesNo(bool),
    /// A word.
    Word(&'static str),
    /// A number.
    Number(f64),
}

/// A fact.
#[derive(Clone, Debug)]
pub struct Fact {
    /// As it stands in a strategy's file.
    pub name: &'static str,
    /// What it can be.
    pub kind: Kind,
    /// What it means.
    pub meaning: &'static str,
    source: Source,
}

/// Where it comes from.
#[derive(Clone, Copy, Debug)]
enum Source {
    /// Straight from the memory.
    Memory(fn(&Memory) -> Value),
    /// A line of the table of findings: with the screws as they stand, or before.
    Found(usize, fn(&Heard<&'static str>) -> Option<&'static str>),
}

impl Fact {
    /// What it is now.
    pub fn of(&self, memory: &Memory) -> Value {
        match self.source {
            Source::Memory(of) => of(memory),
            Source::Found(at, of) => of(memory.found.at(at)).map_or(Value::Unknown, Value::Word),
        }
    }
}

fn number(value: Option<f64>) -> Value {
    value.map_or(Value::Unknown, Value::Number)
}

/// Which way a screw went last: the ways that its turns are called in a file.
fn way(memory: &Memory, screw: Screw) -> Value {
    let last = memory.went[screw as usize].last;
    let [more, less] = match screw {
        Screw::Idle => ["faster", "slower"],
        _ => ["richer", "leaner"],
    };
    Value::Word(if last > 0.0 {
        more
    } else if last < 0.0 {
        less
    } else {
        "none"
    })
}

fn turned_back(memory: &Memory, screw: Screw) -> Value {
    Value::Number(f64::from(memory.went[screw as usize].turned_back))
}

fn times(memory: &Memory, screw: Screw) -> f64 {
    f64::from(memory.went[screw as usize].times)
}

fn times_in_pass(memory: &Memory, screw: Screw) -> f64 {
    times(memory, screw) - f64::from(memory.pass_began[screw as usize])
}

/// What the high-speed needle's last turn made of the speed at full throttle, percent for an eighth of a turn leaner.
fn gain_percent(memory: &Memory) -> Option<f64> {
    let (now, before) = memory.full_rpm.now.zip(memory.full_rpm.before)?;
    let eighths = -memory.high_compared / 0.125;
    (eighths != 0.0).then(|| 100.0 * (now / before - 1.0) / eighths)
}

/// What the last turn of a screw made of the idle's speed, percent.
fn idle_gain_percent(memory: &Memory) -> Option<f64> {
    let (now, before) = memory.idle_rpm.now.zip(memory.idle_rpm.before)?;
    Some(100.0 * (now / before - 1.0))
}

/// Where the idle stands in its window by the tachometer: 0 at the slowest, 100 at the fastest that is clean.
fn idle_place(memory: &Memory) -> Option<f64> {
    let limits = &memory.limits;
    let room = limits.idle_high_rpm - limits.idle_low_rpm;
    memory
        .idle_rpm
        .now
        .map(|rpm| 100.0 * (rpm - limits.idle_low_rpm) / room)
}

const COUNT: Kind = Kind::Number {
    unit: "",
    low: 0.0,
    high: 1000.0,
};

const fn unit(unit: &'static str, low: f64, high: f64) -> Kind {
    Kind::Number { unit, low, high }
}

/// Every fact, in the order in which one would tell them.
pub fn facts() -> Vec<Fact> {
    let fact = |name, kind, meaning, of| Fact {
        name,
        kind,
        meaning,
        source: Source::Memory(of),
    };
    let word = |words: &[&'static str]| Kind::Word(words.to_vec());
    let (yes_no, ways) = (|| Kind::YesNo, ["none", "richer", "leaner"]);
    use Value::{Number, Word, YesNo};
    let mut facts = vec![
        fact("running", yes_no(), "The engine runs.", |m| YesNo(m.running)),
        fact(
            "looked_over",
            yes_no(),
            "It was looked over: filter, lines, tank, carburettor, brake.",
            |m| YesNo(m.looked_over),
        ),
        fact(
            "fault_found",
            yes_no(),
            "A part was seen at fault and is not put right.",
            |m| YesNo(!m.to_fix.is_empty()),
        ),
        fact("plug_seen", yes_no(), "The plug was pulled and looked at.", |m| {
            YesNo(m.plug_seen)
        }),
        fact("cures", COUNT, "Parts put right so far.", |m| {
            Number(f64::from(m.cures))
        }),
        fact("plug_stops", COUNT, "How often the plug was pulled.", |m| {
            Number(f64::from(m.plug_stops))
        }),
        fact(
            "plug_has_seen_s",
            unit("s", 0.0, 3600.0),
            "Full throttle since the plug was last pulled or the high-speed needle turned.",
            |m| Number(m.plug_saw_s),
        ),
        fact("tank_quarters", COUNT, "Fuel left, in quarters of the tank.", |m| {
            Number(f64::from(m.tank_quarters))
        }),
        fact("minutes", unit("min", 0.0, 60.0), "Time on the clock.", |m| {
            Number(m.clock_s / 60.0)
        }),
        fact(
            "head_c",
            unit("°C", -30.0, 300.0),
            "Head by the gun, at the last reading.",
            |m| number(m.gun.map(|(c, _)| c)),
        ),
        fact(
            "head_room_c",
            unit("°C", -200.0, 300.0),
            "How far that is below the hottest that is clean.",
            |m| number(m.gun.map(|(c, _)| m.limits.head_temperature_c - c)),
        ),
        fact("head_read_s_ago", unit("s", 0.0, 3600.0), "Age of that reading.", |m| {
            number(m.gun.map(|(_, at)| m.clock_s - at))
        }),
        fact(
            "driven_s_ago",
            unit("s", 0.0, 3600.0),
            "Time since it came in from laps; unknown before any.",
            |m| number(Some(m.clock_s - m.driven_s).filter(|s| *s < 3600.0)),
        ),
        fact(
            "drives",
            COUNT,
            "How often it was driven and came in running, since a needle last turned.",
            |m| Number(f64::from(m.drives)),
        ),
        fact(
            "warmed",
            COUNT,
            "How often it was warmed up on the stand since it last stood.",
            |m| Number(f64::from(m.warmed)),
        ),
        fact(
            "starts_in_vain",
            COUNT,
            "Starts in a row after which it stood, since the last turn.",
            |m| Number(f64::from(m.starts_in_vain)),
        ),
        fact(
            "died",
            word(&["no", "opened", "idling"]),
            "Whether it died since the last turn, and doing what.",
            |m| {
                Word(match (m.died_opened, m.died_idling) {
                    (true, _) => "opened",
                    (_, true) => "idling",
                    _ => "no",
                })
            },
        ),
        fact(
            "deaths",
            COUNT,
            "How often it died since the last turn or cure, whatever it was doing.",
            |m| Number(f64::from(m.deaths)),
        ),
        fact(
            "turn_uncleared",
            yes_no(),
            "A screw has turned and the throttle was not opened since: what is heard is still the old setting's.",
            |m| YesNo(m.turned),
        ),
        fact(
            "settled",
            yes_no(),
            "The idle has settled, and was not pinched just before.",
            |m| YesNo(m.settled),
        ),
        fact(
            "throttle",
            unit("%", 0.0, 100.0),
            "How far the throttle is open.",
            |m| Number(100.0 * m.throttle),
        ),
        fact(
            "held_full_s",
            unit("s", 0.0, 3600.0),
            "For how long full throttle has been held by now: nought once it is shut.",
            |m| Number(m.wide_s),
        ),
        fact(
            "full_s",
            unit("s", 0.0, 3600.0),
            "Longest full throttle held since a needle last turned.",
            |m| Number(m.full_s),
        ),
        fact(
            "gain_percent",
            unit("% for 1/8 turn leaner", -50.0, 50.0),
            "What the high-speed needle's last turn made of the speed at full throttle, by the tachometer.",
            |m| number(gain_percent(m)),
        ),
        fact(
            "idle_gain_percent",
            unit("%", -100.0, 1000.0),
            "What the last turn of a screw, or what came before this pass, made of the idle's speed, by the tachometer.",
            |m| number(idle_gain_percent(m)),
        ),
        fact(
            "idle_place_percent",
            unit("% of its window", -500.0, 500.0),
            "The idle by the tachometer: 0 at the slowest that is clean, 100 at the fastest.",
            |m| number(idle_place(m)),
        ),
        fact(
            "pinch_s",
            unit("s", 0.0, 60.0),
            "How long it took to fade when pinched, with the screws as they stand: fuel in store, more of it the richer the low end.",
            |m| number(m.pinch_s),
        ),
        fact(
            "snaps",
            COUNT,
            "Snaps after a wait that were heard with the screws as they stand.",
            |m| Number(f64::from(m.snaps)),
        ),
        fact(
            "gap",
            word(&["narrow", "right", "wide"]),
            "The idle gap against what is clean.",
            |m| {
                Word(if m.gap_mm > m.limits.idle_gap_high_mm {
                    "wide"
                } else if m.gap_mm < m.limits.idle_gap_low_mm {
                    "narrow"
                } else {
                    "right"
                })
            },
        ),
        fact("gap_mm", unit("mm", 0.0, 10.0), "The idle gap.", |m| Number(m.gap_mm)),
        fact(
            "high_last",
            word(&ways),
            "Which way the high-speed needle went last.",
            |m| way(m, Screw::High),
        ),
        fact(
            "low_last",
            word(&ways),
            "Which way the low-speed needle went last.",
            |m| way(m, Screw::Low),
        ),
        fact(
            "idle_last",
            word(&["none", "faster", "slower"]),
            "Which way the idle stop went last.",
            |m| way(m, Screw::Idle),
        ),
        fact(
            "high_turned_back",
            COUNT,
            "How often the high-speed needle went against its last turn.",
            |m| turned_back(m, Screw::High),
        ),
        fact("low_turned_back", COUNT, "How often the low-speed needle did.", |m| {
            turned_back(m, Screw::Low)
        }),
        fact("idle_turned_back", COUNT, "How often the idle stop did.", |m| {
            turned_back(m, Screw::Idle)
        }),
        fact("high_times", COUNT, "Turns of the high-speed needle.", |m| {
            Number(times(m, Screw::High))
        }),
        fact("low_times", COUNT, "Turns of the low-speed needle.", |m| {
            Number(times(m, Screw::Low))
        }),
        fact("needle_turns", COUNT, "Turns of both needles.", |m| {
            Number(times(m, Screw::High) + times(m, Screw::Low))
        }),
        fact("idle_trims", COUNT, "Turns of the idle stop.", |m| {
            Number(times(m, Screw::Idle))
        }),
        fact("pass", COUNT, "Passes done: how often `next-pass` was followed.", |m| {
            Number(f64::from(m.passes))
        }),
        fact(
            "pass_high_times",
            COUNT,
            "Turns of the high-speed needle in this pass.",
            |m| Number(times_in_pass(m, Screw::High)),
        ),
        fact(
            "pass_low_times",
            COUNT,
            "Turns of the low-speed needle in this pass.",
            |m| Number(times_in_pass(m, Screw::Low)),
        ),
        fact(
            "asks_warm",
            yes_no(),
            "Signing off still asks for a warm engine.",
            |m| YesNo(m.missing.has(Ask::Warm)),
        ),
        fact(
            "asks_full",
            yes_no(),
            "Signing off still asks for three seconds of full throttle.",
            |m| YesNo(m.missing.has(Ask::Full)),
        ),
        fact(
            "asks_roll_on",
            yes_no(),
            "Signing off still asks for a slow opening.",
            |m| YesNo(m.missing.has(Ask::RollOn)),
        ),
        fact(
            "asks_idle",
            yes_no(),
            "Signing off still asks for six seconds of idle after a burst.",
            |m| YesNo(m.missing.has(Ask::Idle)),
        ),
        fact(
            "asks_snap",
            yes_no(),
            "Signing off still asks for a snap after a wait.",
            |m| YesNo(m.missing.has(Ask::Snap)),
        ),
    ];
    for (at, finding) in FINDINGS.iter().enumerate() {
        let of = |name, time| Fact {
            name,
            kind: Kind::Word(finding.words().collect()),
            meaning: finding.meaning,
            source: Source::Found(at, time),
        };
        facts.push(of(finding.name, |heard| heard.now));
        facts.push(of(finding.before, |heard| heard.before));
    }
    facts
}
