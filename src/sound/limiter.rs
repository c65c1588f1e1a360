//! A soft limit for what would not fit a sample: untouched up to a knee, bent smoothly above it, never as much as 1.

/// Up to here a sample is as it is.
const KNEE: f64 = 0.7;
/// What is left above it, a hair short of 1 so that rounding does not reach it.
const ROOM: f64 = 0.999 - KNEE;

/// `x` below the knee; above it `knee + room·e/(room + e)` of the excess `e`, whose slope begins at 1.
#[inline(always)]
pub(super) fn limited(x: f64) -> f64 {
    let size = x.abs();
    if size <= KNEE {
        return x;
    }
    let over = size - KNEE;
    let bent = KNEE + ROOM / (ROOM / over + 1.0);
    if x < 0.0 { -bent } else { bent }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn transparent_below_the_knee_and_below_one_above_it() {
        for x in [0.0, 0.1, -0.3, 0.7, -0.7] {
            assert_eq!(limited(x), x);
        }
        let mut before = 0.7;
        for step in 1..2000 {
            let x = 0.7 + f64::from(step) * 0.01;
            let y = limited(x);
            assert!(y > before && y < 1.0 && limited(-x) == -y, "{x}: {y}");
            before = y;
        }
        assert!(limited(f64::INFINITY) < 1.0 && limited(1e300) < 1.0);
    }
}
