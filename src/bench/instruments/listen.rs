//! An ear on the last of what passed: from rows to notes.

use super::note::Note;
use super::strip::{ROW_S, Row};

/// What the ear is tuned to: the idle's window and how soon a good engine picks up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tuned {
    /// Slowest idle, rpm.
    pub idle_low_rpm: f64,
    /// Fastest idle, rpm.
    pub idle_high_rpm: f64,
    /// Where the clutch takes hold, rpm.
    pub clutch_rpm: f64,
    /// Longest delay of a crisp snap, s.
    pub crisp_s: f64,
    /// Speed that ends the delay, rpm.
    pub snap_mark_rpm: f64,
    /// Longest return from a burst, s.
    pub return_s: f64,
    /// Longest time above 1.1 times the settled idle after a burst, s.
    pub hang_s: f64,
    /// Excess of the speed just after a return that counts as sinking, share.
    pub excess_share: f64,
    /// How far this listener takes a pitch wrong, as a factor about 1.
    pub pitch_error: f64,
}

/// Missed beats that an ear takes for rough, as a share: one in a hundred is a stutter now and then (assumed).
const ROUGH: f64 = 0.01;
/// Missed beats that an ear takes for a stutter on the way up, as a share: of some three hundred beats two are a hiccup, for a clean
/// way up is one rising tone (assumed).
const STUTTER: f64 = 0.006;
/// Opacities at which the words for the smoke change, percent: against the sky an eye finds a plume of a few percent, opacity
/// scales of observers step by twenty, and a racer's words have no finer steps than these (assumed).
const SMOKE_PERCENT: [f64; 3] = [3.0, 12.0, 30.0];
/// A speed that hangs wanes; one that an engine filling up with fuel lets go of falls: from 80 to 20 % of its excess within this, s
/// (common practice: "hung" and "dropped" are different words).
const FALL_S: f64 = 2.0;
/// Idle held before its pitch, and the return before it, can be told, s.
const SETTLED_S: f64 = 6.0;

/// What an opening throttle is allowed before lean counts, to the ear as to the score, s: until the film has caught up (assumed; some
/// breaths of the crankcase).
pub const OPENING_S: f64 = 0.8;

fn mean(rows: &[Row], f: impl Fn(&Row) -> f64) -> f64 {
    rows.iter().map(f).sum::<f64>() / rows.len().max(1) as f64
}

/// The last `seconds` of rows.
fn last(rows: &[Row], seconds: f64) -> &[Row] {
    &rows[rows.len().saturating_sub((seconds / ROW_S) as usize)..]
}

/// What there is to notice at the end of `rows`.
pub fn listen(rows: &[Row], tuned: &Tuned) -> Vec<Note> {
    let Some(now) = rows.last() else {
        return vec![Note::Silent];
    };
    if now.rpm <= 0.0 {
        return vec![Note::Silent];
    }
    // The stretch of one throttle position that ends now, and the one before it.
    let begin = |rows: &[Row], throttle: f64| {
        rows.iter()
            .rposition(|r| (r.throttle - throttle).abs() > 0.02)
            .map_or(0, |i| i + 1)
    };
    let from = begin(rows, now.throttle);
    let (before, stretch) = rows.split_at(from);
    let mut notes = Vec::new();
    if now.throttle < 0.02 {
        idle(before, stretch, tuned, &mut notes);
    } else {
        open(before, stretch, now.throttle >= 0.9, tuned, &mut notes);
    }
    // At idle the exhaust covers it, and the moment of opening is lean in any carburettor: what follows it counts.
    let opened = &stretch[stretch.len().min((OPENING_S / ROW_S) as usize)..];
    if now.throttle > 0.3 && opened.len() >= 6 && mean(last(opened, 1.0), |r| r.crackle) > 0.02 {
        notes.push(Note::Crackle);
    }
    notes.push(match mean(last(stretch, 1.0), |r| r.smoke_percent) {
        s if s < SMOKE_PERCENT[0] => Note::SmokeNone,
        s if s < SMOKE_PERCENT[1] => Note::SmokeThin,
        s if s < SMOKE_PERCENT[2] => Note::SmokeTrail,
        _ => Note::SmokeThick,
    });
    notes
}

fn idle(before: &[Row], stretch: &[Row], tuned: &Tuned, notes: &mut Vec<Note>) {
    let seconds = stretch.len() as f64 * ROW_S;
    if seconds < SETTLED_S {
        notes.push(Note::IdleTooSoon);
        return;
    }
    let settled = mean(last(stretch, 2.0), |r| r.rpm);
    let pitch = settled * tuned.pitch_error;
    notes.push(if pitch < tuned.idle_low_rpm {
        Note::IdleSlow
    } else if pitch > tuned.idle_high_rpm {
        Note::IdleFast
    } else {
        Note::IdleEven
    });
    // Pairs of rows are tenths of a second: at idle one row holds a handful of beats only.
    let tenths: Vec<f64> = last(stretch, 4.0).chunks(2).map(|c| mean(c, |r| r.rpm)).collect();
    let middle = tenths.iter().sum::<f64>() / tenths.len().max(1) as f64;
    let variance = tenths.iter().map(|t| (t - middle) * (t - middle)).sum::<f64>() / tenths.len().max(1) as f64;
    if variance.sqrt() > 0.04 * middle {
        notes.push(Note::IdleWavers);
    }
    let early = mean(&last(stretch, 4.0)[..20], |r| r.rpm);
    if settled < 0.95 * early {
        notes.push(Note::IdleFalls);
    } else if settled > 1.05 * early {
        notes.push(Note::IdleRises);
    }
    // The return can be told only while the burst is in mind.
    let burst = before
        .last()
        .is_some_and(|r| r.throttle >= 0.9 && r.rpm > tuned.snap_mark_rpm);
    if burst && seconds < 20.0 {
        notes.push(returned(stretch, settled.min(idle_before(before)), settled, tuned));
    }
}

/// The settled idle before the burst, if one was heard, rpm.
fn idle_before(before: &[Row]) -> f64 {
    let burst = before.iter().rev().take_while(|r| r.throttle >= 0.9).count();
    let before = &before[..before.len() - burst];
    let idled = before.iter().rev().take_while(|r| r.throttle < 0.02).count();
    if idled as f64 * ROW_S < SETTLED_S {
        return f64::INFINITY;
    }
    mean(last(before, 1.0), |r| r.rpm)
}

/// How the speed came down from a burst to an idle of `lowest` rpm, heard for as long as `stretch`, which ends at `settled`.
fn returned(stretch: &[Row], lowest: f64, settled: f64, tuned: &Tuned) -> Note {
    let down = (1.5 * settled).min(tuned.clutch_rpm);
    let at = stretch.iter().position(|r| r.rpm < down).unwrap_or(stretch.len());
    let tenths: Vec<f64> = stretch.chunks(2).map(|c| mean(c, |r| r.rpm)).collect();
    let hung = tenths.iter().rposition(|rpm| *rpm > 1.1 * lowest).map_or(0, |i| i + 1);
    let after = |a: f64, b: f64| {
        let i = |s: f64| (at + (s / ROW_S) as usize).min(stretch.len());
        &stretch[i(a)..i(b)]
    };
    let excess = mean(after(0.3, 1.3), |r| r.rpm) / settled - 1.0;
    let high = mean(after(0.0, 0.5), |r| r.rpm) - lowest;
    // Over half a second, so that an idle's own wavering is no fall.
    let smooth: Vec<f64> = tenths
        .windows(5)
        .map(|w| w.iter().sum::<f64>() / 5.0 - lowest)
        .collect();
    let last_above = smooth.iter().rposition(|rpm| *rpm > 0.8 * high).unwrap_or(0);
    let fallen = smooth.iter().skip(last_above).position(|rpm| *rpm < 0.2 * high);
    let falls = fallen.is_some_and(|tenths| tenths as f64 * 2.0 * ROW_S <= FALL_S);
    if at as f64 * ROW_S > tuned.return_s || (hung as f64 * 2.0 * ROW_S > tuned.hang_s && !falls) {
        Note::ReturnHangs
    } else if excess > tuned.excess_share {
        Note::ReturnSinks
    } else if excess < -tuned.excess_share {
        Note::ReturnDrops
    } else {
        Note::ReturnClean
    }
}

fn open(before: &[Row], stretch: &[Row], full: bool, tuned: &Tuned, notes: &mut Vec<Note>) {
    let seconds = stretch.len() as f64 * ROW_S;
    let idled = before.iter().rev().take_while(|r| r.throttle < 0.02).count() as f64 * ROW_S;
    if full && idled >= 4.0 {
        let delay = stretch
            .iter()
            .position(|r| r.rpm >= tuned.snap_mark_rpm)
            .map(|i| i as f64 * ROW_S);
        match delay {
            Some(d) if d <= tuned.crisp_s => notes.push(Note::SnapCrisp),
            Some(d) if d <= 2.0 * tuned.crisp_s => notes.push(Note::SnapHesitates),
            Some(_) => notes.push(Note::SnapBogs),
            None if seconds > 2.0 * tuned.crisp_s => notes.push(Note::SnapBogs),
            None => {}
        }
        // Two thirds of a second hold the way up.
        if stretch.len() >= 13 && mean(&stretch[..13], |r| r.missed_share) > STUTTER {
            notes.push(Note::SnapStutters);
        }
        if seconds > 1.8 {
            let peak = stretch.iter().take(24).fold(0.0_f64, |m, r| m.max(r.smoke_percent));
            let steady = mean(last(stretch, 0.5), |r| r.smoke_percent);
            if peak > 2.0 * steady && peak > 3.0 {
                notes.push(Note::SnapPuffs);
            }
        }
    }
    if seconds < 0.8 {
        return;
    }
    let rough = mean(last(stretch, 1.0), |r| r.missed_share) > ROUGH;
    notes.push(match (full, rough) {
        (true, true) => Note::FullRough,
        (true, false) => Note::FullClean,
        (false, true) => Note::PartRough,
        (false, false) => Note::PartClean,
    });
    if full && seconds > 3.0 {
        let tail = last(stretch, 1.5);
        let (first, second) = tail.split_at(tail.len() / 2);
        if mean(second, |r| r.rpm) < 0.99 * mean(first, |r| r.rpm) {
            notes.push(Note::FullSags);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TUNED: Tuned = Tuned {
        idle_low_rpm: 8500.0,
        idle_high_rpm: 12_500.0,
        clutch_rpm: 15_000.0,
        crisp_s: 0.6,
        snap_mark_rpm: 20_000.0,
        return_s: 1.5,
        hang_s: 1.6,
        excess_share: 0.08,
        pitch_error: 1.0,
    };

    /// Rows from (seconds, throttle, rpm).
    fn rows(parts: &[(f64, f64, f64)]) -> Vec<Row> {
        let mut rows = Vec::new();
        for (seconds, throttle, rpm) in parts {
            for _ in 0..(seconds / ROW_S).round() as usize {
                rows.push(Row {
                    throttle: *throttle,
                    rpm: *rpm,
                    smoke_percent: 10.0,
                    ..Row::default()
                });
            }
        }
        rows
    }

    #[test]
    fn an_idle_is_told_only_once_it_has_settled() {
        assert_eq!(listen(&rows(&[(5.0, 0.0, 10_000.0)]), &TUNED)[0], Note::IdleTooSoon);
        for (rpm, note) in [
            (7000.0, Note::IdleSlow),
            (10_000.0, Note::IdleEven),
            (14_000.0, Note::IdleFast),
        ] {
            assert_eq!(listen(&rows(&[(8.0, 0.0, rpm)]), &TUNED)[0], note);
        }
        assert_eq!(listen(&[], &TUNED), [Note::Silent]);
        assert_eq!(listen(&rows(&[(1.0, 0.0, 0.0)]), &TUNED), [Note::Silent]);
    }

    #[test]
    fn returns_are_told_apart() {
        for (down, early, note) in [
            (2.0, 10_000.0, Note::ReturnHangs),
            (0.5, 12_000.0, Note::ReturnSinks),
            (0.5, 8500.0, Note::ReturnDrops),
            (0.5, 10_000.0, Note::ReturnClean),
        ] {
            let notes = listen(
                &rows(&[
                    (1.5, 1.0, 35_000.0),
                    (down, 0.0, 16_000.0),
                    (1.3, 0.0, early),
                    (8.0, 0.0, 10_000.0),
                ]),
                &TUNED,
            );
            assert!(notes.contains(&note), "{early}: {notes:?}");
        }
    }

    #[test]
    fn a_speed_that_wanes_hangs_and_one_that_falls_does_not() {
        // As long above a tenth over the idle: the one wanes over five seconds, the other stays up and lets go.
        let waning: Vec<(f64, f64, f64)> = (0..50).map(|k| (0.1, 0.0, 11_900.0 - 38.0 * f64::from(k))).collect();
        let falling = vec![(2.3, 0.0, 11_900.0), (2.7, 0.0, 10_050.0)];
        for (course, note) in [(waning, Note::ReturnHangs), (falling, Note::ReturnSinks)] {
            let mut parts = vec![(1.5, 1.0, 35_000.0), (0.4, 0.0, 20_000.0)];
            parts.extend(course);
            parts.push((4.0, 0.0, 10_000.0));
            assert!(listen(&rows(&parts), &TUNED).contains(&note), "{note:?}");
        }
    }

    #[test]
    fn a_hang_is_heard_against_the_idle_before_the_burst() {
        // Twelve percent above it and still nine as one listens: against what is heard now it would be no hang.
        let notes = |before| {
            let burst = [(before, 0.0, 10_000.0), (1.5, 1.0, 35_000.0), (0.5, 0.0, 20_000.0)];
            let waning = (0..60).map(|k| (0.1, 0.0, 11_200.0 - 5.0 * f64::from(k)));
            listen(&rows(&burst.into_iter().chain(waning).collect::<Vec<_>>()), &TUNED)
        };
        assert!(notes(8.0).contains(&Note::ReturnHangs));
        assert!(
            !notes(2.0).contains(&Note::ReturnHangs),
            "too short an idle to remember"
        );
    }

    #[test]
    fn snaps_are_told_apart() {
        for (delay, note) in [
            (0.4, Note::SnapCrisp),
            (1.0, Note::SnapHesitates),
            (1.6, Note::SnapBogs),
        ] {
            let notes = listen(
                &rows(&[(8.0, 0.0, 10_000.0), (delay, 1.0, 15_000.0), (2.0, 1.0, 35_000.0)]),
                &TUNED,
            );
            assert!(
                notes.contains(&note) && notes.contains(&Note::FullClean),
                "{delay}: {notes:?}"
            );
        }
    }

    #[test]
    fn missing_beats_are_rough() {
        let mut missing = rows(&[(2.0, 0.5, 20_000.0)]);
        missing.iter_mut().for_each(|r| r.missed_share = 0.05);
        assert!(listen(&missing, &TUNED).contains(&Note::PartRough));
    }

    #[test]
    fn the_crackle_of_the_opening_itself_is_no_crackle() {
        let crackling = |from: usize, to: usize| {
            let mut opened = rows(&[(8.0, 0.0, 10_000.0), (2.0, 1.0, 35_000.0)]);
            opened[160 + from..160 + to].iter_mut().for_each(|r| r.crackle = 0.5);
            opened
        };
        for length in 1..=40 {
            let opening = listen(&crackling(0, 16)[..160 + length], &TUNED);
            assert!(!opening.contains(&Note::Crackle), "{length} rows after opening");
        }
        assert!(listen(&crackling(20, 40), &TUNED).contains(&Note::Crackle));
        let on = crackling(0, 40);
        assert!(
            !listen(&on[..160 + 16], &TUNED).contains(&Note::Crackle),
            "the score allows the first 0.8 s"
        );
        assert!(listen(&on[..160 + 22], &TUNED).contains(&Note::Crackle), "after 1.1 s");
    }
}
