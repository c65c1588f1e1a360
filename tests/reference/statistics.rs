//! Quantiles, intervals and the ranking's constant against a reference library's.

use needlebench::stats::{Moments, share_interval, student_t_quantile};
use needlebench::tuning::batch::ranking::{Rules, continuation};

use super::table::read;

fn close(ours: f64, theirs: f64, relative: f64, what: &str) {
    assert!(
        (ours - theirs).abs() <= relative * theirs.abs().max(1e-3),
        "{what}: {ours} against {theirs}"
    );
}

#[test]
fn quantiles_and_intervals_are_those_of_a_reference_library() {
    let mut kinds = std::collections::BTreeMap::new();
    for row in read("statistics.csv", 264) {
        let kind = row.text("kind").to_string();
        let what = format!("{kind} {} {} {}", row.text("a"), row.text("b"), row.text("c"));
        let (low, b) = (row.get("low"), row.get("b"));
        match kind.as_str() {
            "student_t" => close(student_t_quantile(row.get("a"), b), low, 1e-8, &what),
            "share" => {
                let ours = share_interval(row.get("a") as usize, b as usize, row.get("c"));
                close(ours.low, low, 1e-7, &what);
                close(ours.high, row.get("high"), 1e-7, &what);
            }
            "mean" => {
                let sample: Vec<f64> = row.text("a").split(' ').map(|x| x.parse().unwrap()).collect();
                let ours = Moments::of(sample).interval(row.get("c")).unwrap();
                close(ours.low, low, 1e-8, &what);
                close(ours.high, row.get("high"), 1e-8, &what);
            }
            "continuation" => {
                let rules = Rules {
                    confidence: 1.0 - row.get("c"),
                    indifference: 1.0,
                    first_stage: b as usize,
                };
                close(continuation(row.get("a") as usize, &rules), low, 1e-9, &what);
            }
            other => panic!("{other}"),
        }
        *kinds.entry(kind).or_insert(0) += 1;
    }
    assert_eq!(kinds.len(), 4, "{kinds:?}");
}
