//! The Brier score and the reliability curve of what is said of the ends, against a reference library's.

use needlebench::tuning::action::{Screw, Verdict};
use needlebench::tuning::brier::reliability;
use needlebench::tuning::score::Judgement;

use super::table::read;

fn verdict(word: &str) -> Verdict {
    match word {
        "rich" => Verdict::Rich,
        "right" => Verdict::Right,
        "lean" => Verdict::Lean,
        other => panic!("{other}"),
    }
}

#[test]
fn scores_and_calibration_are_those_of_a_reference_library() {
    let rows = read("brier.csv", 252);
    let of = |kind: &'static str| rows.iter().filter(move |row| row.text("kind") == kind);
    let mut scores = Vec::new();
    let mut said = Vec::new();
    for row in of("judgement") {
        let judgement = Judgement {
            end: Screw::High,
            said: verdict(row.text("said")),
            sure_percent: row.get("sure_percent") as u8,
            was: verdict(row.text("was")),
            readable: true,
            turns_before: 0,
        };
        let (ours, theirs) = (judgement.brier(), row.get("brier"));
        assert!((ours - theirs).abs() < 1e-8, "{judgement:?}: {ours} against {theirs}");
        scores.push(ours);
        said.push((judgement.sure_percent, judgement.right()));
    }
    let mean = scores.iter().sum::<f64>() / scores.len() as f64;
    for row in of("mean") {
        assert!((mean - row.get("brier")).abs() < 1e-8, "{mean}");
    }
    for (bins, kind) in [(5, "bins-5"), (10, "bins-10")] {
        let ours = reliability(&said, bins);
        assert_eq!(ours.len(), of(kind).count());
        assert_eq!(ours.iter().map(|bin| bin.count).sum::<usize>(), said.len());
        for (bin, row) in ours.iter().zip(of(kind)) {
            let off = [
                bin.sure_percent - row.get("sure_percent"),
                bin.right_percent - row.get("right_percent"),
            ];
            assert!(off.iter().all(|off| off.abs() < 1e-6), "{kind}: {bin:?} {off:?}");
        }
    }
}
