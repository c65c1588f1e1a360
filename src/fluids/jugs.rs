//! Mixing fuel on the bench: what two jugs make together, and how much of each jug and each pure liquid makes a wanted fuel.
//!
//! Volumes at 20 °C that add, as in [`Blend`]. Where several ways lead to the blend, the one that uses most of the jugs (and so
//! buys least) is chosen.

use serde::Serialize;
use thiserror::Error;

use crate::fluids::fuel::{Blend, BlendError, Fuel};
use crate::fluids::liquids::{METHANOL, NITROMETHANE, Oil};

/// Some fuel in a jug.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Jug {
    /// What is in it.
    pub blend: Blend,
    /// How much, ml at 20 °C, 0 or more; infinite for plenty.
    pub volume_ml: f64,
}

/// What there is to mix from. Volumes in ml, `f64::INFINITY` for plenty, 0 for none.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Shelf {
    /// The jugs; give an unused one the volume 0.
    pub jugs: [Jug; 2],
    /// Pure methanol, ml.
    pub methanol_ml: f64,
    /// Pure nitromethane, ml.
    pub nitromethane_ml: f64,
    /// Castor oil, ml.
    pub castor_oil_ml: f64,
    /// Synthetic oil, ml.
    pub synthetic_oil_ml: f64,
}

/// What is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Wanted {
    /// The blend.
    pub blend: Blend,
    /// How much of it, ml, above 0.
    pub volume_ml: f64,
    /// Whether any oil will do, so that the castor share is only aimed at.
    pub any_oil: bool,
}

/// One thing to pour.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Part {
    /// How much, ml at 20 °C.
    pub volume_ml: f64,
    /// Its density at 20 °C, kg/m³.
    pub density: f64,
    /// Its mass, g: a kitchen scale is better than a measuring cup.
    pub mass_g: f64,
}

/// What to pour together.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Recipe {
    /// From the two jugs, in the order of the shelf.
    pub jugs: [Part; 2],
    /// Pure methanol.
    pub methanol: Part,
    /// Pure nitromethane.
    pub nitromethane: Part,
    /// Castor oil.
    pub castor_oil: Part,
    /// Synthetic oil.
    pub synthetic_oil: Part,
    /// What comes out: the wanted blend, but for the castor share where any oil was welcome.
    pub result: Jug,
}

/// Why a blend can't be mixed.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum MixError {
    /// A blend that can't exist.
    #[error(transparent)]
    Blend(#[from] BlendError),
    /// A volume that is negative or not a number, or a wanted volume that isn't above 0 and finite.
    #[error("volume {0} ml makes no sense here")]
    Volume(f64),
    /// The blend can be made, but not so much of it.
    #[error("there is only enough for {reachable_ml:.0} ml of this blend")]
    NotEnough {
        /// The most that can be made, ml.
        reachable_ml: f64,
    },
    /// Nitromethane and oil can be met, castor's share of the oil can't.
    #[error(
        "nitromethane and oil can be met, but not castor's share of the oil; accept any oil, or add the missing one"
    )]
    OilKind,
    /// No mixture of what there is has this composition.
    #[error(
        "these parts reach {nitro_low:.1}..{nitro_high:.1} % nitromethane and {oil_low:.1}..{oil_high:.1} % oil, each taken \
         alone, but not the wanted pair"
    )]
    Unreachable {
        /// Least nitromethane of any part, volume percent.
        nitro_low: f64,
        /// Most nitromethane of any part, volume percent.
        nitro_high: f64,
        /// Least oil of any part, volume percent.
        oil_low: f64,
        /// Most oil of any part, volume percent.
        oil_high: f64,
    },
}

/// Pours two jugs together; two empty jugs give an empty one of the first blend.
pub fn mix_two(a: Jug, b: Jug) -> Jug {
    let volume_ml = a.volume_ml + b.volume_ml;
    if volume_ml <= 0.0 {
        return Jug {
            blend: a.blend,
            volume_ml: 0.0,
        };
    }
    let (fractions_a, fractions_b) = (a.blend.volume_fractions(), b.blend.volume_fractions());
    blend_of(std::array::from_fn(|k| {
        fractions_a[k] * a.volume_ml + fractions_b[k] * b.volume_ml
    }))
}

/// The jug holding these volumes, ml, of methanol, nitromethane, castor and synthetic oil.
fn blend_of([methanol, nitromethane, castor, synthetic]: [f64; 4]) -> Jug {
    let oil = castor + synthetic;
    let volume_ml = methanol + nitromethane + oil;
    let castor_share = if oil > 0.0 { castor / oil } else { 1.0 };
    let percent = 100.0 / volume_ml;
    Jug {
        blend: Blend {
            nitro_percent: nitromethane * percent,
            oil_percent: oil * percent,
            castor_share,
        }
        .held(),
        volume_ml,
    }
}

impl Shelf {
    /// How much of each to pour for a wanted blend, or what stands in the way.
    pub fn mix(&self, wanted: &Wanted) -> Result<Recipe, MixError> {
        self.check(wanted)?;
        if let Some(jugs) = self.pour(wanted, wanted.volume_ml) {
            return Ok(self.recipe(wanted, jugs));
        }
        // What can be made of it at all: the feasible volumes run from 0 up to the most, so halve the interval.
        let (mut low, mut high) = (0.0, wanted.volume_ml);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            match self.pour(wanted, middle) {
                Some(_) => low = middle,
                None => high = middle,
            }
        }
        if low > 1e-6 * wanted.volume_ml {
            return Err(MixError::NotEnough { reachable_ml: low });
        }
        if !wanted.any_oil
            && self
                .pour(
                    &Wanted {
                        any_oil: true,
                        ..*wanted
                    },
                    1e-3 * wanted.volume_ml,
                )
                .is_some()
        {
            return Err(MixError::OilKind);
        }
        Err(self.reach())
    }

    fn check(&self, wanted: &Wanted) -> Result<(), MixError> {
        wanted.blend.validated()?;
        if !(wanted.volume_ml > 0.0 && wanted.volume_ml.is_finite()) {
            return Err(MixError::Volume(wanted.volume_ml));
        }
        for jug in &self.jugs {
            jug.blend.validated()?;
        }
        let [a, b] = self.jugs;
        for volume in self.pure().into_iter().chain([a.volume_ml, b.volume_ml]) {
            if volume.is_nan() || volume < 0.0 {
                return Err(MixError::Volume(volume));
            }
        }
        Ok(())
    }

    fn pure(&self) -> [f64; 4] {
        [
            self.methanol_ml,
            self.nitromethane_ml,
            self.castor_oil_ml,
            self.synthetic_oil_ml,
        ]
    }

    /// How much of each jug, ml, makes `volume_ml` of the wanted blend with the pure parts filling up: the corner with the
    /// largest sum in the polygon that the supplies allow. `None` where that is empty.
    fn pour(&self, wanted: &Wanted, volume_ml: f64) -> Option<[f64; 2]> {
        let merge = |[m, n, c, s]: [f64; 4]| {
            if wanted.any_oil {
                [m, n, c + s, 0.0]
            } else {
                [m, n, c, s]
            }
        };
        let [a, b] = self.jugs.map(|jug| merge(jug.blend.volume_fractions()));
        let target = merge(wanted.blend.volume_fractions());
        // Everything per ml wanted, so that one tolerance fits. Each bound reads x·[0] + y·[1] <= [2].
        let available = merge(self.pure()).map(|ml| ml / volume_ml);
        let [most_a, most_b] = self.jugs.map(|jug| jug.volume_ml / volume_ml);
        let mut bounds = [[0.0; 3]; 12];
        for k in 0..4 {
            bounds[2 * k] = [a[k], b[k], target[k]];
            bounds[2 * k + 1] = [-a[k], -b[k], available[k] - target[k]];
        }
        bounds[8] = [-1.0, 0.0, 0.0];
        bounds[9] = [0.0, -1.0, 0.0];
        bounds[10] = [1.0, 0.0, most_a];
        bounds[11] = [0.0, 1.0, most_b];

        let fits = |x: f64, y: f64| bounds.iter().all(|[p, q, limit]| p * x + q * y <= limit + 1e-9);
        let mut best: Option<[f64; 2]> = None;
        for (i, first) in bounds.iter().enumerate().filter(|(_, bound)| bound[2].is_finite()) {
            for second in bounds[i + 1..].iter().filter(|bound| bound[2].is_finite()) {
                let determinant = first[0] * second[1] - first[1] * second[0];
                if determinant.abs() < 1e-12 {
                    continue;
                }
                let x = (first[2] * second[1] - first[1] * second[2]) / determinant;
                let y = (first[0] * second[2] - first[2] * second[0]) / determinant;
                // A tie goes to the first jug.
                let better = best.is_none_or(|[p, q]| x + y + 1e-9 * x > p + q + 1e-9 * p);
                if fits(x, y) && better {
                    best = Some([x, y]);
                }
            }
        }
        best.map(|corner| corner.map(|x| x.max(0.0) * volume_ml))
    }

    fn recipe(&self, wanted: &Wanted, jugs_ml: [f64; 2]) -> Recipe {
        let [a, b] = self.jugs.map(|jug| jug.blend.volume_fractions());
        let poured: [f64; 4] = std::array::from_fn(|k| a[k] * jugs_ml[0] + b[k] * jugs_ml[1]);
        let target = wanted
            .blend
            .volume_fractions()
            .map(|fraction| fraction * wanted.volume_ml);
        let mut pure: [f64; 4] = std::array::from_fn(|k| (target[k] - poured[k]).max(0.0));
        if wanted.any_oil {
            // As near to the wanted castor share as the supplies allow.
            let oil = (target[2] + target[3] - poured[2] - poured[3]).max(0.0);
            let least_castor = (oil - self.synthetic_oil_ml).max(0.0);
            let most_castor = oil.min(self.castor_oil_ml).max(least_castor);
            pure[2] = pure[2].clamp(least_castor, most_castor);
            pure[3] = oil - pure[2];
        }
        let part = |volume_ml: f64, density: f64| Part {
            volume_ml,
            density,
            mass_g: volume_ml * density * 1e-3,
        };
        let jug = |i: usize| part(jugs_ml[i], Fuel::new(self.jugs[i].blend).density_20c);
        Recipe {
            jugs: [jug(0), jug(1)],
            methanol: part(pure[0], METHANOL.density_20c),
            nitromethane: part(pure[1], NITROMETHANE.density_20c),
            castor_oil: part(pure[2], Oil::Castor.density_20c()),
            synthetic_oil: part(pure[3], Oil::Synthetic.density_20c()),
            result: blend_of(std::array::from_fn(|k| poured[k] + pure[k])),
        }
    }

    /// The span of nitromethane and of oil among the parts there are.
    fn reach(&self) -> MixError {
        let jugs = self
            .jugs
            .map(|jug| (jug.volume_ml, jug.blend.nitro_percent, jug.blend.oil_percent));
        let [methanol, nitromethane, castor, synthetic] = self.pure();
        let pure = [
            (methanol, 0.0, 0.0),
            (nitromethane, 100.0, 0.0),
            (castor, 0.0, 100.0),
            (synthetic, 0.0, 100.0),
        ];
        let (mut nitro, mut oil) = ([f64::INFINITY, 0.0_f64], [f64::INFINITY, 0.0_f64]);
        for (_, part_nitro, part_oil) in jugs.into_iter().chain(pure).filter(|(volume, ..)| *volume > 0.0) {
            nitro = [nitro[0].min(part_nitro), nitro[1].max(part_nitro)];
            oil = [oil[0].min(part_oil), oil[1].max(part_oil)];
        }
        // An empty shelf reaches nothing.
        let [nitro_low, oil_low] = [nitro[0].min(nitro[1]), oil[0].min(oil[1])];
        MixError::Unreachable {
            nitro_low,
            nitro_high: nitro[1],
            oil_low,
            oil_high: oil[1],
        }
    }
}

#[cfg(test)]
#[path = "jugs_tests.rs"]
mod tests;
