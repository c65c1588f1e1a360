//! Laps as somebody beside the track hears them: the straight, the way out of the corners, and how it idles when it comes in.

use serde::Serialize;

use super::opening::{DULL_DEG, OPENING_S};
use super::row::{ROW_S, Row, last, mean};
use super::stretch::{FULL, SHUT};
use super::tuned::Tuned;

/// The straight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Straight {
    /// It pulls to its end.
    Pulls,
    /// It pulls, and sounds dull.
    Dull,
    /// It burbles: beats miss.
    Burbles,
    /// Its pitch sags before the end.
    Sags,
    /// It crackles.
    Crackles,
}

/// The way out of a corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Exit {
    /// It picks up at once.
    Crisp,
    /// It stutters as it opens.
    Stutters,
    /// It bogs.
    Bogs,
}

/// How it idles when it comes in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WayIn {
    /// It stands.
    Died,
    /// Faster than its settled idle.
    Faster,
    /// As its settled idle.
    AsSettled,
    /// Slower.
    Slower,
    /// Nothing to compare it with: too fast for an idle.
    Fast,
    /// Right for one.
    Right,
    /// Too slow.
    Slow,
}

/// What the laps told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Laps {
    /// Straights.
    pub straight: Straight,
    /// Corners.
    pub exit: Exit,
    /// The way in.
    pub way_in: WayIn,
}

impl Straight {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Pulls, Self::Dull, Self::Burbles, Self::Sags, Self::Crackles];
}
impl Exit {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Crisp, Self::Stutters, Self::Bogs];
}
impl WayIn {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Died,
        Self::Faster,
        Self::AsSettled,
        Self::Slower,
        Self::Fast,
        Self::Right,
        Self::Slow,
    ];
}

/// Missed beats that burble along a straight, and that stutter out of a corner, as shares (assumed).
const BURBLE: f64 = 0.01;
const STUTTER: f64 = 0.05;
/// A pitch that falls by this share along the end of a straight sags (assumed: it should rise).
const SAG: f64 = 0.01;
/// So many that it bogs, or a pitch that dips by this share, within this time, s: the clutch holds any engine at its own speed for a
/// moment, so a bog is a dip or beats that fail, not a late rise (assumed).
const BOG: f64 = 0.3;
const DIP: f64 = 0.05;
const EXIT_S: f64 = 0.6;

/// What an idle just in from the track is faster for being hotter than a few seconds later, as a share (assumed).
const STILL_COOLING: f64 = 0.06;

/// Hears laps; `rows` begin with them and end with the idle in the pits.
pub fn laps(rows: &[Row], tuned: &Tuned) -> Option<Laps> {
    let end = rows.iter().rposition(|r| r.driven)? + 1;
    let (driven, pits) = rows.split_at(end);
    Some(Laps {
        straight: straight(driven, tuned),
        exit: exit(driven),
        way_in: way_in(pits, tuned),
    })
}

/// Stretches of full throttle without their opening.
fn straights(driven: &[Row]) -> impl Iterator<Item = &[Row]> {
    driven
        .chunk_by(|a, b| (a.throttle >= FULL) == (b.throttle >= FULL))
        .filter(|part| part[0].throttle >= FULL && part.len() > (1.2 * OPENING_S / ROW_S) as usize)
        .map(|part| &part[(OPENING_S / ROW_S) as usize..])
}

fn straight(driven: &[Row], tuned: &Tuned) -> Straight {
    let all: Vec<Row> = straights(driven).flatten().copied().collect();
    let sags = straights(driven)
        .filter(|part| {
            let (first, second) = part.split_at(part.len() / 2);
            mean(second, |r| r.rpm) < (1.0 - SAG) * mean(first, |r| r.rpm)
        })
        .count();
    if mean(&all, |r| r.crackle) > tuned.crackle {
        Straight::Crackles
    } else if mean(&all, |r| r.missed_share) > BURBLE {
        Straight::Burbles
    } else if 2 * sags > straights(driven).count() {
        Straight::Sags
    } else if mean(&all, |r| r.late_deg) > tuned.late_deg + DULL_DEG {
        Straight::Dull
    } else {
        Straight::Pulls
    }
}

/// Ways out of corners: from shut to full.
fn exits(driven: &[Row]) -> impl Iterator<Item = &[Row]> {
    (1..driven.len())
        .filter(|i| driven[i - 1].throttle < SHUT && driven[*i].throttle >= FULL)
        .map(|i| {
            let open = driven[i..].iter().take_while(|r| r.throttle >= FULL).count();
            &driven[i..i + open]
        })
}

fn exit(driven: &[Row]) -> Exit {
    let (mut bogs, mut stutters, mut count) = (0, 0, 0);
    for rows in exits(driven) {
        count += 1;
        let soon = &rows[..rows.len().min((EXIT_S / ROW_S) as usize)];
        let missed = mean(soon, |r| r.missed_share);
        bogs += usize::from(missed > BOG || soon.iter().any(|r| r.rpm < (1.0 - DIP) * soon[0].rpm));
        stutters += usize::from(missed > STUTTER);
    }
    if 2 * bogs > count {
        Exit::Bogs
    } else if 2 * stutters > count {
        Exit::Stutters
    } else {
        Exit::Crisp
    }
}

fn way_in(pits: &[Row], tuned: &Tuned) -> WayIn {
    let end = last(pits, 1.5);
    if end.is_empty() || end.iter().any(|r| r.rpm <= 0.0) {
        return WayIn::Died;
    }
    let rpm = mean(end, |r| r.rpm);
    let pitch = rpm * tuned.pitch_error;
    match tuned.settled_rpm {
        Some(settled) if rpm > (1.0 + tuned.hot_idle_share + STILL_COOLING) * settled => WayIn::Faster,
        Some(settled) if rpm < (1.0 - tuned.hot_idle_share) * settled => WayIn::Slower,
        Some(_) => WayIn::AsSettled,
        None if pitch > tuned.idle_high_rpm => WayIn::Fast,
        None if pitch < tuned.idle_low_rpm => WayIn::Slow,
        None => WayIn::Right,
    }
}
