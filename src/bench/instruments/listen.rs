//! An ear and an eye on the last of what passed: from rows to notes.

use super::idle::idle;
use super::note::Note;
use super::opening::{OPENING_S, open};
use super::row::{ROW_S, Row, last, mean};
use super::smoke::smoke;
use super::stretch::{Course, SHUT};
use super::tuned::Tuned;

/// What there is to notice at the end of `rows`.
pub fn listen(rows: &[Row], tuned: &Tuned) -> Vec<Note> {
    if rows.last().is_none_or(|now| now.rpm <= 0.0) {
        return vec![Note::Silent];
    }
    let Some(course) = Course::of(rows) else {
        // The line is pinched: what is heard is the hand's doing.
        return Vec::new();
    };
    let stretch = course.stretch();
    let throttle = stretch.last().map_or(0.0, |r| r.throttle);
    let mut notes = Vec::new();
    if stretch.last().is_some_and(|r| r.driven) {
        // It passes by: what laps tell is told when it comes in.
        return vec![smoke(mean(last(stretch, 1.0), |r| r.smoke_percent))];
    }
    if throttle < SHUT {
        idle(&course, tuned, &mut notes);
    } else {
        open(&course, tuned, &mut notes);
    }
    // At idle the exhaust covers it, and the moment of opening is lean in any carburettor: what follows it counts.
    let opened = &stretch[stretch.len().min((OPENING_S / ROW_S) as usize)..];
    if throttle > 0.3 && opened.len() >= 6 && mean(last(opened, 1.0), |r| r.crackle) > tuned.crackle {
        notes.push(Note::Crackle);
    }
    notes.push(smoke(mean(last(stretch, 1.0), |r| r.smoke_percent)));
    notes
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
        deficit_share: 0.08,
        puff_excess: 1.0,
        waver_share: 0.04,
        hot_idle_share: 0.12,
        snap_missed_share: 0.01,
        part_missed_share: 0.005,
        opening_missed_share: 0.02,
        opening_smoke_percent: 45.0,
        crackle: 0.02,
        late_deg: 5.0,
        pitch_error: 1.0,
        settled_rpm: None,
    };

    /// Rows from (seconds, throttle, rpm).
    fn rows(parts: &[(f64, f64, f64)]) -> Vec<Row> {
        let mut rows = Vec::new();
        for (seconds, throttle, rpm) in parts {
            for _ in 0..(seconds / ROW_S).round() as usize {
                rows.push(Row {
                    time_s: (rows.len() + 1) as f64 * ROW_S,
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
                    (6.0, 0.0, 10_000.0),
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
    fn a_beat_above_the_mark_is_no_hang_and_half_a_second_there_is() {
        for (above_s, note) in [(0.1, Note::ReturnClean), (0.6, Note::ReturnHangs)] {
            let heard = rows(&[
                (6.0, 0.0, 10_000.0),
                (1.5, 1.0, 35_000.0),
                (0.5, 0.0, 16_000.0),
                (2.5, 0.0, 10_000.0),
                (above_s, 0.0, 11_800.0),
                (8.0, 0.0, 10_000.0),
            ]);
            assert!(listen(&heard, &TUNED).contains(&note), "{above_s}");
        }
    }

    #[test]
    fn an_idle_is_fast_or_slow_only_where_its_pitch_is_heard_to_be_beyond_its_window() {
        for (rpm, note) in [
            (0.997 * TUNED.idle_low_rpm, Note::IdleSlow),
            (0.999 * TUNED.idle_low_rpm, Note::IdleEven),
            (1.001 * TUNED.idle_high_rpm, Note::IdleEven),
            (1.003 * TUNED.idle_high_rpm, Note::IdleFast),
        ] {
            assert_eq!(listen(&rows(&[(12.0, 0.0, rpm)]), &TUNED)[0], note, "{rpm}");
        }
    }

    #[test]
    fn the_return_from_a_burst_upon_a_burst_says_nothing() {
        for (idled_s, told) in [(1.5, false), (3.0, false), (5.0, true)] {
            let heard = rows(&[
                (8.0, 0.0, 10_000.0),
                (1.0, 1.0, 35_000.0),
                (idled_s, 0.0, 10_500.0),
                (1.0, 1.0, 35_000.0),
                (2.0, 0.0, 16_000.0),
                (8.0, 0.0, 10_000.0),
            ]);
            assert_eq!(listen(&heard, &TUNED).contains(&Note::ReturnHangs), told, "{idled_s}");
        }
    }

    #[test]
    fn a_little_above_its_idle_it_sinks_where_beats_are_missing_and_hangs_where_none_are() {
        let mut heard = rows(&[
            (6.0, 0.0, 10_000.0),
            (1.5, 1.0, 35_000.0),
            (0.5, 0.0, 16_000.0),
            (1.3, 0.0, 10_900.0),
            (8.0, 0.0, 10_000.0),
        ]);
        // An idle drops a beat now and then; it burbles from three in ten on.
        for (missed, note) in [
            (0.0, Note::ReturnHangs),
            (0.2, Note::ReturnHangs),
            (0.4, Note::ReturnSinks),
        ] {
            heard
                .iter_mut()
                .filter(|r| r.throttle == 0.0)
                .for_each(|r| r.missed_share = missed);
            assert!(listen(&heard, &TUNED).contains(&note), "{missed}");
        }
    }

    #[test]
    fn a_speed_that_wanes_hangs_and_one_that_falls_does_not() {
        // As long above a tenth over the idle: the one wanes over five seconds, the other stays up and lets go.
        let waning: Vec<(f64, f64, f64)> = (0..50).map(|k| (0.1, 0.0, 11_900.0 - 38.0 * f64::from(k))).collect();
        let falling = vec![(2.3, 0.0, 11_900.0), (2.7, 0.0, 10_050.0)];
        for (course, note) in [(waning, Note::ReturnHangs), (falling, Note::ReturnSinks)] {
            let mut parts = vec![(6.0, 0.0, 10_000.0), (1.5, 1.0, 35_000.0), (0.4, 0.0, 20_000.0)];
            parts.extend(course);
            parts.push((4.0, 0.0, 10_000.0));
            assert!(listen(&rows(&parts), &TUNED).contains(&note), "{note:?}");
        }
    }

    #[test]
    fn a_hang_is_heard_against_the_idle_that_is_remembered() {
        // Seventeen percent above it and still fourteen as one listens: against what is heard now it would be no hang.
        let notes = |from, settled_rpm| {
            let burst = [(8.0, 0.0, 10_000.0), (1.5, 1.0, 35_000.0), (0.5, 0.0, 20_000.0)];
            let waning = |from: f64| (0..60).map(move |k| (0.1, 0.0, from - 5.0 * f64::from(k)));
            let tuned = Tuned { settled_rpm, ..TUNED };
            listen(
                &rows(&burst.into_iter().chain(waning(from)).collect::<Vec<_>>()),
                &tuned,
            )
        };
        assert!(notes(11_700.0, Some(10_000.0)).contains(&Note::ReturnHangs));
        assert!(!notes(11_700.0, None).contains(&Note::ReturnHangs));
        // An idle that has become some percent faster, as one does with warmth, is what it has come down to.
        assert!(!notes(11_240.0, Some(10_000.0)).contains(&Note::ReturnHangs));
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
    fn beats_that_strike_late_are_lazy_and_then_dull() {
        for (late_deg, note) in [
            (1.3, Note::FullClean),
            (1.4, Note::FullSoft),
            (1.9, Note::FullSoft),
            (2.0, Note::FullLazy),
            (3.0, Note::FullLazy),
            (3.5, Note::FullDull),
        ] {
            let mut full = rows(&[(3.0, 1.0, 35_000.0)]);
            full.iter_mut().for_each(|r| r.late_deg = TUNED.late_deg + late_deg);
            assert!(listen(&full, &TUNED).contains(&note), "{late_deg}");
        }
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

    #[test]
    fn rows_that_are_far_apart_are_listened_to_as_well() {
        for open in 1..40 {
            for (jump, later) in [(1, 0.05), (7, 0.1), (13, 0.3), (20, 2.0)] {
                let mut all = rows(&[(5.0, 0.0, 10_000.0), (f64::from(open) * 0.05, 1.0, 30_000.0)]);
                let from = all.len().saturating_sub(jump);
                all[from..].iter_mut().for_each(|row| row.time_s += later);
                assert!(!listen(&all, &TUNED).is_empty(), "{open} rows open, {later} s later");
            }
        }
    }
}
