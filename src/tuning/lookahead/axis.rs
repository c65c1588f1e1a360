//! Places along one screw at which engines of the library were played, and where a number of turns lies among them.

use super::CLICKS;

/// Places along one screw.
#[derive(Clone, Debug)]
pub struct Axis(Vec<f64>);

impl Axis {
    /// At these clicks off the true setting.
    pub fn of(clicks: &[f64]) -> Self {
        Self(clicks.iter().map(|click| click / CLICKS).collect())
    }

    /// How many places.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// The two places around so many turns, and the share of the second; beyond the ends the last.
    pub fn around(&self, turns: f64) -> ([usize; 2], f64) {
        let last = self.0.len() - 1;
        let above = self.0.partition_point(|place| *place < turns);
        if above == 0 || above > last {
            let end = above.min(last);
            return ([end, end], 0.0);
        }
        let (low, high) = (self.0[above - 1], self.0[above]);
        ([above - 1, above], (turns - low) / (high - low))
    }

    /// The nearest place.
    pub fn nearest(&self, turns: f64) -> usize {
        let ([low, high], share) = self.around(turns);
        if share < 0.5 { low } else { high }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_two_places_and_beyond_the_last() {
        let axis = Axis::of(&[-24.0, 0.0, 12.0]);
        let (places, share) = axis.around(0.125);
        assert_eq!((places, share), ([1, 2], 0.25));
        assert_eq!(axis.around(-3.0).0, [0, 0]);
        assert_eq!(axis.around(9.0).0, [2, 2]);
        assert_eq!([-0.6, -0.4, 0.3, 7.0].map(|turns| axis.nearest(turns)), [0, 1, 2, 2]);
    }
}
