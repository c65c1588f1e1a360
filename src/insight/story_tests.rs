//! When what a store differs by is gone.

use super::half_gone_s;

#[test]
fn half_of_a_difference_is_gone_for_good_or_on_the_other_side() {
    let course = |by: [f64; 4]| -> Vec<(f64, f64)> { [0.0, 1.0, 2.0, 3.0].into_iter().zip(by).collect() };
    for (by, most, gone) in [
        ([3.0, 2.0, 1.0, 0.5], 3.0, Some(2.0)),
        ([3.0, 1.0, 2.0, 1.0], 3.0, Some(3.0)),
        ([3.0, 1.0, -2.0, -2.0], 3.0, Some(1.0)),
        ([-3.0, -2.0, 2.0, 2.5], -3.0, Some(2.0)),
        ([1.0, 2.0, 3.0, 3.0], 3.0, None),
    ] {
        assert_eq!(half_gone_s(&course(by), most), gone, "{by:?}");
    }
}
