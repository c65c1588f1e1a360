//! The ear on a throttle that is opened: a snap, a slow opening, and what is held after it.

use super::note::Note;
use super::row::{ROW_S, Row, last, mean, seconds};
use super::smoke::density;
use super::stretch::{Course, FULL, Opened};
use super::tuned::Tuned;

/// What an opening throttle is allowed before lean counts, to the ear as to the score, s: until the film has caught up (assumed; some
/// breaths of the crankcase).
pub const OPENING_S: f64 = 0.8;
/// Missed beats at a held full throttle that an ear takes for a burble, as a share (assumed: one in a hundred).
const ROUGH: f64 = 0.01;
/// Beats this much later than a good engine's sound a touch soft, a little lazy, and dull, degrees (assumed: where the reference has lost
/// some two percent of its power, three, and five).
const SOFT_DEG: f64 = 1.35;
const LAZY_DEG: f64 = 1.95;
pub(super) const DULL_DEG: f64 = 3.2;
/// Idle before a snap that counts as one, s: the film has begun to fill.
pub(super) const WAITED_S: f64 = 4.0;
/// Rows in which the beats of a slow opening are counted: six tenths of a second, as long as an ear needs to tell a stutter.
const STUTTER_ROWS: usize = 12;
/// How much of a puff an eye makes out of the oil that comes with it, both over what is steady: by a plume's density and the beats alone,
/// for it knows nothing of how little gas the first of them pass on (where the sign-off measures 1.0 on three engines at low ends up to
/// half a turn rich, this shows 0.39 to 0.46).
const PUFF_SEEN: f64 = 0.42;
/// An ear takes this many times the missed beats that a clean slow opening may have for a stutter: it hears every six tenths of a second of
/// it, and the worst of so many is worse than the worst of the ten that the sign-off counts (assumed).
const STUTTERS: f64 = 1.6;
/// Smoke of less than this has no puff, percent.
const FAINT_PERCENT: f64 = 3.0;

/// What there is to hear of an open throttle.
pub(super) fn open(course: &Course<'_>, tuned: &Tuned, notes: &mut Vec<Note>) {
    let stretch = course.stretch();
    let full = stretch.last().is_some_and(|r| r.throttle >= FULL);
    if full {
        match course.opened() {
            Opened::Snapped { from, idled_s } if idled_s >= WAITED_S => snap(&course.rows[from..], tuned, notes),
            Opened::Slowly { from, full } => slow(&course.rows[from..], full - from, tuned, notes),
            _ => {}
        }
    }
    held(stretch, full, tuned, notes);
}

/// A throttle that is held.
fn held(stretch: &[Row], full: bool, tuned: &Tuned, notes: &mut Vec<Note>) {
    let opening = (OPENING_S / ROW_S) as usize - 1;
    // Where time has jumped, a few rows are a long while: they are too few to be heard.
    if seconds(stretch) < OPENING_S || stretch.len() <= opening {
        return;
    }
    let after = &stretch[opening..];
    if full {
        let heard = last(after, 1.5);
        let late = mean(heard, |r| r.late_deg) - tuned.late_deg;
        let rough = mean(last(after, 1.0), |r| r.missed_share) > ROUGH;
        notes.push(if rough {
            Note::FullRough
        } else if late > DULL_DEG {
            Note::FullDull
        } else if late > LAZY_DEG {
            Note::FullLazy
        } else if late > SOFT_DEG {
            Note::FullSoft
        } else {
            Note::FullClean
        });
        let (first, second) = heard.split_at(heard.len() / 2);
        // One that misses beats comes down for that; a sag is heard of an even engine.
        if !rough && seconds(stretch) > 3.0 && mean(second, |r| r.rpm) < 0.99 * mean(first, |r| r.rpm) {
            notes.push(Note::FullSags);
        }
    } else {
        let rough = mean(last(after, 3.0), |r| r.missed_share) > tuned.part_missed_share;
        notes.push(if rough { Note::PartRough } else { Note::PartClean });
    }
}

/// Until a throttle that was snapped open has brought the engine to the mark, s; none if it has not yet.
pub(super) fn delay(rows: &[Row], mark_rpm: f64) -> Option<f64> {
    let i = rows.iter().position(|r| r.rpm >= mark_rpm)?;
    let middle = |i: usize| {
        let begin = if i == 0 {
            rows[0].time_s - ROW_S
        } else {
            rows[i - 1].time_s
        };
        0.5 * (begin + rows[i].time_s) - (rows[0].time_s - ROW_S)
    };
    let now = middle(i);
    let Some(before) = i.checked_sub(1) else {
        return Some(now);
    };
    let slower = rows[before].rpm;
    Some(middle(before) + (now - middle(before)) * (mark_rpm - slower) / (rows[i].rpm - slower).max(1e-9))
}

fn snap(rows: &[Row], tuned: &Tuned, notes: &mut Vec<Note>) {
    let opened_s = seconds(rows);
    let delay = delay(rows, tuned.snap_mark_rpm);
    match delay {
        Some(d) if d <= tuned.crisp_s => notes.push(Note::SnapCrisp),
        Some(d) if d <= 2.0 * tuned.crisp_s => notes.push(Note::SnapHesitates),
        Some(_) => notes.push(Note::SnapBogs),
        None if opened_s > 2.0 * tuned.crisp_s => notes.push(Note::SnapBogs),
        None => {}
    }
    // The way up, and a moment on.
    let up = delay.unwrap_or(opened_s) + 0.3;
    if opened_s >= up
        && mean(&rows[..((up / ROW_S) as usize).min(rows.len())], |r| r.missed_share) > tuned.snap_missed_share
    {
        notes.push(Note::SnapStutters);
    }
    if opened_s > 1.8 {
        // How much comes out: as dense as it is, of as much gas as the engine passes on.
        let much = |r: &Row| density(r.smoke_percent) * r.rpm;
        let peak = rows.iter().take(24).map(much).fold(0.0, f64::max);
        let seen = rows.iter().any(|r| r.smoke_percent > FAINT_PERCENT);
        if peak > (1.0 + PUFF_SEEN * tuned.puff_excess) * mean(last(rows, 0.5), much) && seen {
            notes.push(Note::SnapPuffs);
        }
    }
}

/// A slow opening whose full throttle begins at row `full`; told once it is there.
fn slow(rows: &[Row], full: usize, tuned: &Tuned, notes: &mut Vec<Note>) {
    let on = rows.len() - full;
    if on < 6 {
        return;
    }
    let rows = &rows[..full + on.min(STUTTER_ROWS)];
    let mut stutters = [false; 3];
    for part in rows.windows(STUTTER_ROWS) {
        if mean(part, |r| r.missed_share) > STUTTERS * tuned.opening_missed_share {
            let throttle = mean(part, |r| r.throttle);
            stutters[((3.0 * throttle) as usize).min(2)] = true;
        }
    }
    let where_ = [
        Note::OpeningStuttersLow,
        Note::OpeningStuttersMiddle,
        Note::OpeningStuttersTop,
    ];
    notes.extend(
        where_
            .into_iter()
            .zip(stutters)
            .filter(|(_, yes)| *yes)
            .map(|(note, _)| note),
    );
    let thickest = rows.windows(2).map(|pair| mean(pair, |r| r.smoke_percent));
    let smokes = thickest.fold(0.0, f64::max) > tuned.opening_smoke_percent;
    if smokes {
        notes.push(Note::OpeningSmokes);
    }
    if !smokes && !stutters.contains(&true) {
        notes.push(Note::OpeningEven);
    }
}
