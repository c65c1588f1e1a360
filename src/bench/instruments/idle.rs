//! The ear at idle: its pitch, its evenness, and how it came down from a burst.

use super::note::Note;
use super::opening::WAITED_S;
use super::row::{ROW_S, Row, last, mean, seconds};
use super::stretch::{Course, FULL, SHUT, idled_s};
use super::tuned::Tuned;

/// Idle held before its pitch, and the return before it, can be told, s.
pub(super) const SETTLED_S: f64 = 6.0;
/// Idle held before an idle that still moves is taken for what it is, s.
const PITCH_S: f64 = 10.0;
/// An idle that moves by more than this share within two seconds or so still moves (assumed).
const MOVES: f64 = 0.01;
/// How far beyond its window a pitch is before it is called fast or slow, as a share (assumed: a thirtieth of a semitone).
const OFF_PITCH: f64 = 0.002;
/// How long a burst stays in mind, s.
const IN_MIND_S: f64 = 20.0;
/// A speed this far above the settled idle is not down, as a factor.
pub(super) const HANGS: f64 = 1.1;
/// Rows over which it is heard to be: half a second, as the sign-off takes it.
const HEARD_ROWS: usize = 10;
/// A speed that hangs wanes; one that an engine filling up with fuel lets go of falls: from 80 to 20 % of its excess within this, s
/// (common practice: "hung" and "dropped" are different words).
const FALL_S: f64 = 2.0;
/// Share of missed beats that burble: an idle fires through its own exhaust, and drops a beat now and then (assumed).
const BURBLES: f64 = 0.3;

/// What there is to hear of an idle.
pub(super) fn idle(course: &Course<'_>, tuned: &Tuned, notes: &mut Vec<Note>) {
    let stretch = course.stretch();
    let idled = seconds(stretch);
    if idled < SETTLED_S {
        notes.push(Note::IdleTooSoon);
        return;
    }
    let settled = mean(last(stretch, 2.0), |r| r.rpm);
    let early = mean(&last(stretch, 4.0)[..20], |r| r.rpm);
    // One that still comes down, or misses beats, has not come to its pitch.
    let moves = (settled / early - 1.0).abs() > MOVES || burbles(last(stretch, 1.0));
    if idled < PITCH_S && moves {
        notes.push(Note::IdleTooSoon);
    } else {
        pitch(stretch, settled, early, tuned, notes);
    }
    // The return can be told only while the burst is in mind, and only of one out of an idle: burst upon burst it comes in hotter.
    if idled < IN_MIND_S && burst_before(course, tuned.snap_mark_rpm) && out_of_an_idle(course.before()) {
        notes.push(returned(stretch, settled, tuned));
    }
}

fn pitch(stretch: &[Row], settled: f64, early: f64, tuned: &Tuned, notes: &mut Vec<Note>) {
    let pitch = settled * tuned.pitch_error;
    notes.push(if pitch < (1.0 - OFF_PITCH) * tuned.idle_low_rpm {
        Note::IdleSlow
    } else if pitch > (1.0 + OFF_PITCH) * tuned.idle_high_rpm {
        Note::IdleFast
    } else {
        Note::IdleEven
    });
    if settled < 0.95 * early {
        notes.push(Note::IdleFalls);
    } else if settled > 1.05 * early {
        notes.push(Note::IdleRises);
    } else if variation(last(stretch, 4.0)) > tuned.waver_share {
        notes.push(Note::IdleWavers);
    }
    if burbles(last(stretch, 1.0)) {
        notes.push(Note::IdleBurbles);
    }
}

/// Whether beats are missing at idle.
pub(super) fn burbles(rows: &[Row]) -> bool {
    mean(rows, |r| r.missed_share) > BURBLES
}

/// Whether the idle of now came from full throttle on the stand.
pub(super) fn burst_before(course: &Course<'_>, snap_mark_rpm: f64) -> bool {
    let burst = course.before().last();
    burst.is_some_and(|r| r.throttle >= FULL && r.rpm > snap_mark_rpm && !r.driven)
}

/// Whether what ends here was opened out of an idle that had begun to settle.
fn out_of_an_idle(before: &[Row]) -> bool {
    let opened = before.iter().rposition(|r| r.throttle < SHUT).map_or(0, |i| i + 1);
    idled_s(&before[..opened]) >= WAITED_S
}

/// Standard deviation of the speed over tenths of a second, as a share: at idle one row holds a handful of beats only.
fn variation(rows: &[Row]) -> f64 {
    let tenths: Vec<f64> = rows.chunks(2).map(|c| mean(c, |r| r.rpm)).collect();
    let count = tenths.len().max(1) as f64;
    let middle = tenths.iter().sum::<f64>() / count;
    let variance = tenths.iter().map(|t| (t - middle) * (t - middle)).sum::<f64>() / count;
    variance.sqrt() / middle
}

/// The first seconds at idle, in which one hears whether beats are missing (assumed: as long as two breaths).
const EARLY_S: f64 = 2.0;

/// What an idle that is held for a while is slower for being cooler than on the way down, as a share (assumed): it is no hang that it is
/// left behind.
const COOLER: f64 = 0.01;

/// How the speed came down from a burst, heard for as long as `stretch`, which ends at `settled`.
fn returned(stretch: &[Row], settled: f64, tuned: &Tuned) -> Note {
    let lowest = came_down_to(settled, tuned.settled_rpm);
    let down = (1.5 * settled).min(tuned.clutch_rpm);
    let at = stretch.iter().position(|r| r.rpm < down).unwrap_or(stretch.len());
    let after = |a: f64, b: f64| {
        let i = |s: f64| (at + (s / ROW_S) as usize).min(stretch.len());
        &stretch[i(a)..i(b)]
    };
    let hung_s = hung(stretch, (1.0 + COOLER) * lowest);
    let excess = mean(after(0.3, 1.3), |r| r.rpm) / settled - 1.0 - COOLER;
    if seconds(&stretch[..at]) > tuned.return_s {
        Note::ReturnHangs
    } else if hung_s > tuned.hang_s {
        let up = &stretch[at..((hung_s / ROW_S) as usize).clamp(at, stretch.len())];
        if burbles(up) || falls(stretch, at, lowest) {
            Note::ReturnSinks
        } else {
            Note::ReturnHangs
        }
    } else if excess > tuned.excess_share {
        // Fuel that was left misses beats as it goes; one that lacks it comes down without.
        if burbles(after(0.0, EARLY_S)) {
            Note::ReturnSinks
        } else {
            Note::ReturnHangs
        }
    } else if excess + COOLER < -tuned.deficit_share {
        Note::ReturnDrops
    } else {
        Note::ReturnClean
    }
}

/// The idle against which a return is held: what it has come to, for an idle moves with the head's warmth; that from before where
/// it has not come down to it yet, rpm.
pub(super) fn came_down_to(settled_rpm: f64, before_rpm: Option<f64>) -> f64 {
    before_rpm
        .filter(|before| settled_rpm > HANGS * before)
        .unwrap_or(settled_rpm)
}

/// Seconds until the speed, over half a second, was last above 1.1 times an idle: until the middle of that, as the sign-off counts it.
pub(super) fn hung(stretch: &[Row], idle_rpm: f64) -> f64 {
    let above = stretch
        .windows(HEARD_ROWS)
        .rposition(|w| mean(w, |r| r.rpm) > HANGS * idle_rpm);
    match above {
        None => 0.0,
        Some(i) if i + HEARD_ROWS == stretch.len() => seconds(stretch),
        Some(i) => seconds(&stretch[..=i + HEARD_ROWS / 2]),
    }
}

/// Whether what stayed up let go at once.
fn falls(stretch: &[Row], at: usize, lowest: f64) -> bool {
    let high = mean(&stretch[at..(at + 10).min(stretch.len())], |r| r.rpm) - lowest;
    // Over half a second, so that an idle's own wavering is no fall.
    let tenths: Vec<f64> = stretch.chunks(2).map(|c| mean(c, |r| r.rpm)).collect();
    let smooth: Vec<f64> = tenths
        .windows(5)
        .map(|w| w.iter().sum::<f64>() / 5.0 - lowest)
        .collect();
    let last_above = smooth.iter().rposition(|rpm| *rpm > 0.8 * high).unwrap_or(0);
    let fallen = smooth.iter().skip(last_above).position(|rpm| *rpm < 0.2 * high);
    fallen.is_some_and(|tenths| tenths as f64 * 2.0 * ROW_S <= FALL_S)
}
