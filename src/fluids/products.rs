//! The product gases side by side: heat capacity, enthalpy and Gibbs energy of all fourteen at one temperature.
//!
//! The table of species turned on its side, one lane per species, since the equilibrium wants them all at once.

use crate::fluids::nasa7::{PRODUCT_COUNT, PRODUCTS};
use crate::fluids::thermo::Species;
use crate::lanes::{exp, ln};

/// One value per product species.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Products(pub [f64; PRODUCT_COUNT]);

impl Products {
    /// The same for every species.
    pub(crate) const fn splat(value: f64) -> Self {
        Self([value; PRODUCT_COUNT])
    }
    /// `e` to the power of each.
    pub(crate) fn exp(self) -> Self {
        Self(self.0.map(exp))
    }
    /// The larger of each and `bound`; `bound` where it is not a number.
    pub(crate) fn max(self, bound: f64) -> Self {
        Self(self.0.map(|value| if value > bound { value } else { bound }))
    }
}

macro_rules! operator {
    ($trait:ident, $method:ident, $op:tt, $assign:tt) => {
        impl std::ops::$trait for Products {
            type Output = Self;
            #[inline]
            fn $method(mut self, other: Self) -> Self {
                for (value, other) in self.0.iter_mut().zip(other.0) {
                    *value $assign other;
                }
                self
            }
        }
        impl std::ops::$trait<f64> for Products {
            type Output = Self;
            #[inline]
            fn $method(self, other: f64) -> Self {
                self $op Self::splat(other)
            }
        }
    };
}

operator!(Add, add, +, +=);
operator!(Sub, sub, -, -=);
operator!(Mul, mul, *, *=);
operator!(Div, div, /, /=);

impl std::ops::AddAssign for Products {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

/// Species properties at one temperature, over R or RT.
pub(crate) struct Properties {
    /// Heat capacity at constant pressure over R.
    pub(crate) cp: Products,
    /// Enthalpy over RT.
    pub(crate) h: Products,
    /// Gibbs energy at the standard pressure over RT.
    pub(crate) g: Products,
}

impl Properties {
    /// All products at once; they share the join of their ranges.
    pub(crate) fn at(temperature: f64) -> Properties {
        let t = temperature;
        let [a1, a2, a3, a4, a5, a6, a7] = if t < PRODUCTS[0].join { &LOW } else { &HIGH };
        let cp = *a1 + (*a2 + (*a3 + (*a4 + *a5 * t) * t) * t) * t;
        let h = *a1 + (*a2 * 0.5 + (*a3 * (1.0 / 3.0) + (*a4 * 0.25 + *a5 * (0.2 * t)) * t) * t) * t + *a6 * (1.0 / t);
        let s = *a1 * ln(t) + (*a2 + (*a3 * 0.5 + (*a4 * (1.0 / 3.0) + *a5 * (0.25 * t)) * t) * t) * t + *a7;
        Properties { cp, h, g: h - s }
    }
}

const LOW: [Products; 7] = coefficients(false);
const HIGH: [Products; 7] = coefficients(true);
/// Atoms of C, H, O, N per molecule, each row over the species.
pub(crate) const ATOMS: [Products; 4] = atoms();
/// Molar masses, kg/mol.
pub(crate) const MOLAR_MASSES: Products = molar_masses();

/// The table of species turned on its side: one register row per coefficient.
const fn coefficients(high: bool) -> [Products; 7] {
    let mut table = [Products::splat(0.0); 7];
    let mut i = 0;
    while i < PRODUCT_COUNT {
        let species: &Species = &PRODUCTS[i];
        let mut k = 0;
        while k < 7 {
            table[k].0[i] = if high { species.high[k] } else { species.low[k] };
            k += 1;
        }
        i += 1;
    }
    table
}

const fn atoms() -> [Products; 4] {
    let mut table = [Products::splat(0.0); 4];
    let mut i = 0;
    while i < PRODUCT_COUNT {
        let mut k = 0;
        while k < 4 {
            table[k].0[i] = PRODUCTS[i].atoms[k];
            k += 1;
        }
        i += 1;
    }
    table
}

const fn molar_masses() -> Products {
    let mut masses = Products::splat(0.0);
    let mut i = 0;
    while i < PRODUCT_COUNT {
        masses.0[i] = PRODUCTS[i].molar_mass;
        i += 1;
    }
    masses
}

/// Sum over the species.
pub(crate) fn sum(a: Products) -> f64 {
    a.0.iter().sum()
}

/// Sum of products over the species.
pub(crate) fn dot(a: Products, b: Products) -> f64 {
    sum(a * b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_at_once_is_each_alone() {
        for t in [250.0, 999.0, 1000.0, 1500.0, 3500.0] {
            let all = Properties::at(t);
            for (i, species) in PRODUCTS.iter().enumerate() {
                assert_eq!(species.join, PRODUCTS[0].join);
                assert!(
                    (all.cp.0[i] / species.cp_over_r(t) - 1.0).abs() < 1e-13,
                    "{}",
                    species.formula
                );
                assert!((all.h.0[i] - species.h_over_rt(t)).abs() < 1e-12 * species.h_over_rt(t).abs().max(10.0));
                assert!((all.g.0[i] / species.g_over_rt(t) - 1.0).abs() < 1e-12);
            }
        }
    }
}
