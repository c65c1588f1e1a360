//! Smoke as an eye grades it.

use super::note::Note;

/// Opacities at which the words for the smoke change, percent. Observers of plumes are held to steps of five percent, so every grade
/// is wider than that; the last begins where a slow opening smokes too much (assumed).
const GRADES: [(f64, Note); 6] = [
    (4.0, Note::SmokeNone),
    (11.0, Note::SmokeHaze),
    (19.0, Note::SmokeThin),
    (27.0, Note::SmokeTrail),
    (35.0, Note::SmokeDense),
    (45.0, Note::SmokeThick),
];

/// The grade of a plume.
pub fn smoke(percent: f64) -> Note {
    GRADES
        .iter()
        .find(|(below, _)| percent < *below)
        .map_or(Note::SmokeCloud, |(_, grade)| *grade)
}

/// How dense a plume is: twice the oil is twice as dense, while its opacity grows less and less.
pub(super) fn density(percent: f64) -> f64 {
    -(1.0 - (percent / 100.0).clamp(0.0, 0.999)).ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_grade_has_its_range_and_thicker_is_never_thinner() {
        let seen: Vec<Note> = (0..=100).map(|p| smoke(f64::from(p))).collect();
        let mut grades = seen.clone();
        grades.dedup();
        assert_eq!(
            grades,
            [
                Note::SmokeNone,
                Note::SmokeHaze,
                Note::SmokeThin,
                Note::SmokeTrail,
                Note::SmokeDense,
                Note::SmokeThick,
                Note::SmokeCloud
            ]
        );
        for grade in &grades[1..grades.len() - 1] {
            assert!(
                seen.iter().filter(|n| *n == grade).count() > 5,
                "{grade:?} is finer than an eye"
            );
        }
    }

    #[test]
    fn twice_the_density_hides_less_than_twice() {
        assert!((density(36.0) / density(20.0) - 2.0).abs() < 1e-9);
    }
}
