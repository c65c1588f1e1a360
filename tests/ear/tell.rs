//! A plain classifier: Fisher's linear discriminant (Ann. Eugenics 7 (1936) 179) with the classes' common covariance, shrunk towards
//! its diagonal because examples are few.

use nalgebra::{DMatrix, DVector};

/// Weight of the diagonal in the covariance.
const SHRINKAGE: f64 = 0.2;

/// A trained classifier.
pub struct Teller {
    mean: DVector<f64>,
    scale: DVector<f64>,
    /// One row a class: weights, and what is added.
    rows: Vec<(DVector<f64>, f64)>,
}

impl Teller {
    /// From examples: the number of the class, and the features.
    pub fn train(examples: &[(usize, Vec<f64>)]) -> Self {
        let width = examples[0].1.len();
        let count = examples.len() as f64;
        let of = |features: &[f64]| DVector::from_row_slice(features);
        let mean = examples.iter().map(|(_, x)| of(x)).sum::<DVector<f64>>() / count;
        let squares = examples.iter().map(|(_, x)| (of(x) - &mean).map(|d| d * d));
        let scale = (squares.sum::<DVector<f64>>() / count).map(|v| if v > 1e-18 { 1.0 / v.sqrt() } else { 0.0 });
        let normed = |x: &[f64]| (of(x) - &mean).component_mul(&scale);
        let classes = examples.iter().map(|(class, _)| class + 1).max().unwrap();
        let mut centres = Vec::new();
        let mut covariance = DMatrix::zeros(width, width);
        for class in 0..classes {
            let own: Vec<DVector<f64>> = examples
                .iter()
                .filter(|(c, _)| *c == class)
                .map(|(_, x)| normed(x))
                .collect();
            let centre = own.iter().sum::<DVector<f64>>() / own.len() as f64;
            for x in &own {
                let d = x - &centre;
                covariance += &d * d.transpose() / count;
            }
            centres.push(centre);
        }
        let diagonal = DMatrix::from_diagonal(&covariance.diagonal().map(|v| v * SHRINKAGE + 1e-6));
        let inverse = (covariance * (1.0 - SHRINKAGE) + diagonal).try_inverse().unwrap();
        let rows = centres
            .iter()
            .map(|centre| {
                let weights = &inverse * centre;
                let add = -0.5 * weights.dot(centre);
                (weights, add)
            })
            .collect();
        Self { mean, scale, rows }
    }

    /// The likeliest class.
    pub fn tell(&self, features: &[f64]) -> usize {
        let x = (DVector::from_row_slice(features) - &self.mean).component_mul(&self.scale);
        let scores = self.rows.iter().map(|(weights, add)| weights.dot(&x) + add);
        let best = scores.enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
        best.unwrap().0
    }

    /// Share of examples that it tells rightly.
    pub fn share_right(&self, examples: &[(usize, Vec<f64>)]) -> f64 {
        let right = examples
            .iter()
            .filter(|(class, features)| self.tell(features) == *class);
        right.count() as f64 / examples.len() as f64
    }
}

/// It finds two clouds where there are two, and is right by chance where there is one.
#[test]
fn the_classifier_tells_what_differs_and_nothing_else() {
    use needlebench::noise::{Channel, Noise};
    let noise = Noise::new(5, 0, Channel::Sound);
    let cloud = |apart: f64, from: u64| -> Vec<(usize, Vec<f64>)> {
        let one = |k: u64| {
            let class = (k % 2) as usize;
            let at = |j: u64| noise.bell(1000 * k + j);
            (class, vec![at(0) + apart * class as f64, at(1), 7.0])
        };
        (from..from + 200).map(one).collect()
    };
    let far = Teller::train(&cloud(4.0, 0)).share_right(&cloud(4.0, 1000));
    let same = Teller::train(&cloud(0.0, 0)).share_right(&cloud(0.0, 1000));
    assert!(far > 0.95 && (0.35..0.65).contains(&same), "{far} {same}");
}
