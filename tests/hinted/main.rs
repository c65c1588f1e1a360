//! Somebody new who follows the hints of `guided` by hand, at the page, comes to a clean tune; and every hint can be read before it goes.

mod hand;

use hand::Hand;
use needlebench::tuning::episode::Ending;

/// A hint that goes within this was not read, s.
const READ_S: f64 = 1.0;

#[test]
fn lesson_1_is_won_by_doing_what_is_hinted() {
    for seed in [3, 21, 22] {
        let played = Hand::at("lesson-1", seed).unwrap().play();
        assert_eq!(played.ending, Some(Ending::Clean), "seed {seed}: {:?}", played.hints);
        assert!(
            played.score.minutes < 20.0 && played.score.damage < 0.05,
            "seed {seed}: {:?}",
            played.score
        );
        let unread: Vec<_> = played
            .hints
            .windows(2)
            .filter(|pair| pair[1].0 - pair[0].0 < READ_S)
            .collect();
        assert!(unread.len() <= 2, "seed {seed}: {unread:?}");
        assert!(played.said_again <= 1, "seed {seed}: {:?}", played.notebook);
    }
}

#[test]
fn a_far_too_rich_engine_is_not_heard_as_a_lean_one_that_sags() {
    // It misses beats at full throttle, and comes down as it is held there.
    let played = Hand::at("lesson-3", 6).unwrap().play();
    assert_eq!(played.ending, Some(Ending::Clean), "{:?}", played.hints);
    assert!(played.score.lean_s < 5.0, "{:?}", played.score);
}

/// Whatever constants it has, and whatever is wrong with it: most of such engines come clean.
#[test]
fn an_engine_that_nobody_knows_is_set_by_doing_what_is_hinted() {
    let clean = (41..=48).filter(|seed| {
        let played = Hand::at("club-day", *seed).unwrap().play();
        played.ending == Some(Ending::Clean)
    });
    let clean: Vec<u64> = clean.collect();
    assert!(clean.len() >= 6, "{clean:?}");
}
