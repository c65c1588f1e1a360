//! Thinning: a long series in as few points as the picture can show, with every peak kept.

/// A point of the picture, in drawing units.
pub type Point = (i32, i32);

/// Points in rising order of x, thinned: in every column `column` units wide the lowest and the highest stay, and of a straight
/// run only its ends.
pub fn thin(points: &[Point], column: i32) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::new();
    let ends = [0, points.len().saturating_sub(1)];
    let mut start = 0;
    while let Some(first) = points.get(start) {
        let of = |point: &Point| point.0.div_euclid(column.max(1));
        let length = points[start..].iter().take_while(|p| of(p) == of(first)).count();
        let within = start..start + length;
        let least = within.clone().min_by_key(|i| points[*i].1);
        let most = within.clone().max_by_key(|i| points[*i].1);
        let mut chosen: Vec<usize> = least.into_iter().chain(most).collect();
        chosen.extend(ends.iter().filter(|end| within.contains(end)));
        chosen.sort_unstable();
        chosen.dedup();
        for i in chosen {
            push(&mut kept, points[i]);
        }
        start += length;
    }
    kept
}

/// Adds a point; the one before goes if it lies on the straight line past it.
fn push(kept: &mut Vec<Point>, next: Point) {
    if let [.., a, b] = kept[..] {
        let (along, across) = (
            (i64::from(b.0 - a.0), i64::from(b.1 - a.1)),
            (i64::from(next.0 - a.0), i64::from(next.1 - a.1)),
        );
        let between = (a.1.min(next.1)..=a.1.max(next.1)).contains(&b.1);
        if between && along.0 * across.1 == along.1 * across.0 {
            kept.pop();
        }
    }
    if kept.last() != Some(&next) {
        kept.push(next);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_peak_stays() {
        // Noise with a spike of a single point, three hundred points to a column.
        let mut points: Vec<Point> = (0..30_000).map(|i| (i / 100, (i * 7919) % 53)).collect();
        points[12_345].1 = 900;
        points[23_456].1 = -700;
        let thinned = thin(&points, 3);
        assert!(thinned.len() <= 202, "{}", thinned.len());
        for column in 0..100 {
            let ys = |list: &[Point]| -> Vec<i32> { list.iter().filter(|p| p.0 / 3 == column).map(|p| p.1).collect() };
            let (all, kept) = (ys(&points), ys(&thinned));
            assert_eq!(all.iter().min(), kept.iter().min());
            assert_eq!(all.iter().max(), kept.iter().max());
        }
        assert!(thinned.is_sorted_by_key(|p| p.0));
        assert_eq!((thinned[0], thinned.last()), (points[0], points.last()));
    }

    #[test]
    fn straight_runs_are_their_ends() {
        let flat: Vec<Point> = (0..1000).map(|x| (x, 5)).collect();
        assert_eq!(thin(&flat, 1), [(0, 5), (999, 5)]);
        let slope: Vec<Point> = (0..1000).map(|x| (x, 2 * x)).collect();
        assert_eq!(thin(&slope, 1), [(0, 0), (999, 1998)]);
        let step = [(0, 0), (10, 0), (10, 40), (20, 40)];
        assert_eq!(thin(&step, 1), step);
        // Up and down again in one column: the tip lies beyond both ends.
        assert_eq!(
            thin(&[(0, 0), (1, 0), (1, 9), (1, 0), (2, 0)], 1)
                .iter()
                .map(|p| p.1)
                .max(),
            Some(9)
        );
        assert!(thin(&[], 1).is_empty());
    }
}
