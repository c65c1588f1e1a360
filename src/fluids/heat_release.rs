//! How much heat a kilogram of air gives with so much fuel: chemical equilibrium boiled down to one curve per fuel.
//!
//! An engine asks this once per revolution, in lanes, so the equilibrium is solved beforehand at constant volume for a row of
//! equivalence ratios, and a rational function is laid through the heats. Oil is inert: it neither burns nor dilutes.

use serde::Serialize;

use crate::fluids::equilibrium::{EquilibriumError, Options, at_constant_volume};
use crate::fluids::fuel::Fuel;
use crate::fluids::mixture::Mixture;
use crate::lanes::{Lanes, Registers, one};

/// Number of coefficients of the curve.
pub const K: usize = 11;
/// Temperature of the mixture before it burns, K: a compressed charge.
pub const INITIAL_TEMPERATURE: f64 = 600.0;
/// Pressure of the mixture before it burns, Pa.
pub const INITIAL_PRESSURE: f64 = 8.0e5;
/// Richest mixture of the curve, 1; beyond, the heat stays what it is here.
pub const MAX_PHI: f64 = 4.0;
/// Leanest mixture whose error is stated, 1; leaner, the curve runs straight to zero.
pub const MIN_PHI: f64 = 0.3;

/// Leanest mixture in the fit, 1.
const LEANEST: f64 = 0.02;
/// Points in the fit and in the measurement of its error.
const FIT_POINTS: usize = 72;
const ERROR_POINTS: usize = 186;
/// The two pole pairs `z = centre ± i·width` of the curve, as centre and width²: found by search for the smallest error over
/// 0..100 % nitromethane. Placed off the real axis they bend the curve near phi 1 and keep the denominator positive.
const POLES: [(f64, f64); 2] = [(0.167_4, 0.322_9), (0.307_8, 0.070_2)];

/// Heat of combustion per kg of *dry air* against equivalence ratio, for one fuel.
///
/// Constant-volume equilibrium from fuel vapour at 600 K and 8 bar; heat counted against the same products at 600 K, water as
/// vapour, so the latent heat of the fuel is still to be paid by whoever evaporates it. The air is that of
/// [`Fuel::stoichiometric_air_fuel_ratio`] (0.2320 kg O2 per kg), so `phi / AFR` kg of fuel belong to each kg.
/// Very rich gas burns less completely than equilibrium: read the rich end as an upper bound.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HeatRelease {
    /// Coefficients of [`per_kg_air`], J/kg.
    pub coefficients: [f64; K],
    /// Largest relative error against the equilibrium itself, 1, measured at 186 points of phi 0.3..4.
    pub max_relative_error: f64,
}

impl HeatRelease {
    /// Fits the curve of a fuel: 258 equilibria and a least-squares fit of the relative error.
    pub fn fit(fuel: &Fuel) -> Result<HeatRelease, EquilibriumError> {
        let nitromethane = fuel.nitro_mole_fraction;
        let mut columns = [[0.0; FIT_POINTS]; K];
        for point in 0..FIT_POINTS {
            let phi = fit_phi(point);
            let z = bent(phi);
            let weight = phi / (equilibrium(nitromethane, phi)? * denominator(one(z)).number());
            let mut power = weight;
            for column in &mut columns {
                column[point] = power;
                power *= z;
            }
        }
        let mut fit = HeatRelease {
            coefficients: least_squares_to_one(columns),
            max_relative_error: 0.0,
        };
        for point in 0..ERROR_POINTS {
            let phi = MIN_PHI + (MAX_PHI - MIN_PHI) * point as f64 / (ERROR_POINTS - 1) as f64;
            let error = (fit.at(phi) / equilibrium(nitromethane, phi)? - 1.0).abs();
            fit.max_relative_error = fit.max_relative_error.max(error);
        }
        Ok(fit)
    }

    /// Heat per kg of dry air, J/kg, at one equivalence ratio.
    pub fn at(&self, phi: f64) -> f64 {
        per_kg_air(&self.coefficients, one(phi)).number()
    }

    /// Equivalence ratio that gets the most heat out of a kilogram of air, within 0.3..4, to about 1e-3; 4 where the heat
    /// still rises there, since nitromethane brings its own oxygen.
    pub fn peak_phi(&self) -> f64 {
        let steps = 3_700;
        let phi = |step: usize| MIN_PHI + (MAX_PHI - MIN_PHI) * step as f64 / steps as f64;
        let best = (0..=steps).fold((MIN_PHI, 0.0), |best, step| {
            let heat = self.at(phi(step));
            if heat > best.1 { (phi(step), heat) } else { best }
        });
        best.0
    }
}

/// Heat per kg of dry air, J/kg, from the coefficients of a [`HeatRelease`].
///
/// `q = φ · (c0 + c1 z + … + c10 z^10) / Π((z - pole)² + width²)` with `z = 2.5 φ/(1 + φ) - 1`, φ held within 0..4: zero at
/// φ = 0, positive above. Two divisions, else only sums and products.
#[inline(always)]
pub fn per_kg_air<R: Registers>(coefficients: &[f64; K], phi: Lanes<R>) -> Lanes<R> {
    let phi = phi.clamp(0.0, MAX_PHI);
    let z = phi / (phi + 1.0) * 2.5 - 1.0;
    let c = coefficients;
    // Powers side by side (Estrin): a shorter chain than Horner's.
    let z2 = z * z;
    let z4 = z2 * z2;
    let low = c[0] + c[1] * z + (c[2] + c[3] * z) * z2;
    let middle = c[4] + c[5] * z + (c[6] + c[7] * z) * z2;
    let high = c[8] + c[9] * z + c[10] * z2;
    phi * (low + (middle + high * z4) * z4) / denominator(z)
}

#[inline(always)]
fn denominator<R: Registers>(z: Lanes<R>) -> Lanes<R> {
    let [(centre_1, width_1), (centre_2, width_2)] = POLES;
    let (a, b) = (z - centre_1, z - centre_2);
    (a * a + width_1) * (b * b + width_2)
}

/// Equivalence ratio 0..4 bent onto -1..1.
fn bent(phi: f64) -> f64 {
    2.5 * phi / (1.0 + phi) - 1.0
}

/// Points of the fit: crowded towards both ends in z, where a polynomial likes to swing (a cubic stand-in for Chebyshev's).
fn fit_phi(point: usize) -> f64 {
    let x = 2.0 * point as f64 / (FIT_POINTS - 1) as f64 - 1.0;
    let crowded = 1.5 * x - 0.5 * x * x * x;
    let u = (crowded + 1.0) * 0.4;
    (u / (1.0 - u)).clamp(LEANEST, MAX_PHI)
}

fn equilibrium(nitro_mole_fraction: f64, phi: f64) -> Result<f64, EquilibriumError> {
    let mixture = Mixture::new(nitro_mole_fraction, phi).with_counted_air();
    Ok(at_constant_volume(&mixture, INITIAL_TEMPERATURE, INITIAL_PRESSURE, &Options::default())?.heat_per_kg_air)
}

/// Coefficients that bring the weighted sum of the columns nearest to 1 everywhere, by modified Gram-Schmidt
/// (Björck 1967). Written out, for a library's matrix product may fuse on one processor and not on another.
fn least_squares_to_one(mut columns: [[f64; FIT_POINTS]; K]) -> [f64; K] {
    let dot = |a: &[f64; FIT_POINTS], b: &[f64; FIT_POINTS]| -> f64 { a.iter().zip(b).map(|(x, y)| x * y).sum() };
    let mut triangle = [[0.0; K]; K];
    let mut projection = [0.0; K];
    let mut rest = [1.0; FIT_POINTS];
    for k in 0..K {
        let pivot = columns[k];
        let length_squared = dot(&pivot, &pivot);
        for later in k + 1..K {
            triangle[k][later] = dot(&pivot, &columns[later]) / length_squared;
            for (value, direction) in columns[later].iter_mut().zip(pivot) {
                *value -= triangle[k][later] * direction;
            }
        }
        projection[k] = dot(&pivot, &rest) / length_squared;
        for (value, direction) in rest.iter_mut().zip(pivot) {
            *value -= projection[k] * direction;
        }
    }
    let mut coefficients = projection;
    for k in (0..K).rev() {
        for later in k + 1..K {
            coefficients[k] -= triangle[k][later] * coefficients[later];
        }
    }
    coefficients
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fluids::fuel::Blend;

    fn fitted(nitro_percent: f64) -> HeatRelease {
        HeatRelease::fit(&Fuel::new(Blend {
            nitro_percent,
            oil_percent: 12.0,
            castor_share: 1.0,
        }))
        .unwrap()
    }

    #[test]
    fn the_curve_stays_within_its_stated_error_between_the_measured_points() {
        for nitro_percent in [0.0, 7.0, 16.0, 25.0, 33.0, 60.0, 88.0] {
            let fuel = Fuel::new(Blend {
                nitro_percent,
                oil_percent: 12.0,
                castor_share: 1.0,
            });
            let fit = HeatRelease::fit(&fuel).unwrap();
            assert!(
                fit.max_relative_error < 2e-3,
                "{nitro_percent}: {}",
                fit.max_relative_error
            );
            for i in 0..=1234 {
                let phi = 0.3 + 3.7 * i as f64 / 1234.0;
                let error = fit.at(phi) / equilibrium(fuel.nitro_mole_fraction, phi).unwrap() - 1.0;
                assert!(
                    error.abs() < 1.02 * fit.max_relative_error + 1e-5,
                    "{nitro_percent} % phi {phi}: {error}"
                );
            }
        }
    }

    #[test]
    fn it_starts_at_zero_stays_positive_and_stops_at_the_rich_end() {
        for nitro_percent in [0.0, 16.0, 60.0] {
            let fit = fitted(nitro_percent);
            assert_eq!(fit.at(0.0), 0.0);
            assert_eq!(fit.at(-1.0), 0.0);
            assert_eq!(fit.at(7.0), fit.at(4.0));
            assert!((1..=4000).all(|i| fit.at(i as f64 * 1e-3) > 0.0));
            // Leaner than the stated range it is still nearly the straight line of complete burning.
            assert!((fit.at(0.01) / 0.01 / (fit.at(0.3) / 0.3) - 1.0).abs() < 0.03);
        }
    }

    #[test]
    fn oil_does_not_change_the_heat_of_the_air() {
        let dry = HeatRelease::fit(&Fuel::new(Blend {
            nitro_percent: 0.0,
            oil_percent: 0.0,
            castor_share: 1.0,
        }))
        .unwrap();
        let oily = fitted(0.0);
        assert!((dry.at(1.0) / oily.at(1.0) - 1.0).abs() < 1e-12);
    }
}
