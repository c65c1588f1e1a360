//! Thermodynamic data of the fuel, the air and the 14 gases that burning them can leave.
//!
//! NASA 7-coefficient polynomials of McBride, Gordon and Reno, *Coefficients for calculating thermodynamic and transport
//! properties of individual species*, NASA TM-4513 (1993), 200-1000-6000 K, standard pressure 1 bar; a table as printed
//! there, so that any line can be compared. Nitromethane isn't in that report: see [`NITROMETHANE`].

use crate::fluids::thermo::Species;

/// Number of product species.
pub const PRODUCT_COUNT: usize = 14;

/// The product species; indices into [`PRODUCTS`] and into mole fractions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[allow(clippy::upper_case_acronyms)] // chemical formulas
#[rustfmt::skip]
pub enum Product { Co, Co2, H2, H2o, O2, N2, No, Oh, H, O, Ch4, Hcn, Nh3, C2h2 }

/// Methanol vapour, CH3OH.
#[rustfmt::skip]
pub const METHANOL: Species = Species {
    formula: "CH3OH",
    atoms: [1.0, 4.0, 1.0, 0.0],
    molar_mass: 32.042e-3,
    join: 1000.0,
    low: [
        5.715_395_82, -1.523_091_29e-2, 6.524_411_55e-5, -7.108_068_89e-8,
        2.613_526_98e-11, -2.564_276_56e4, -1.504_098_23,
    ],
    high: [
        3.601_344_86, 1.024_309_54e-2, -3.599_855_17e-6, 5.725_059_86e-10,
        -3.391_176_4e-14, -2.599_719_1e4, 4.705_122_53,
    ],
};

/// Nitromethane vapour, CH3NO2: a fit, 200-700-1500 K, to the ideal-gas heat capacity of the Thermodynamics Research Center
/// (within 2 J/mol of it in h(600 K) and h(700 K)), with the enthalpy of formation -74.33 kJ/mol of the liquid's -112.6
/// (NIST WebBook) plus 38.27 of vaporisation (CRC Handbook). Its entropy is only approximate: use its enthalpy, never its
/// equilibrium.
#[rustfmt::skip]
pub const NITROMETHANE: Species = Species {
    formula: "CH3NO2",
    atoms: [1.0, 3.0, 2.0, 1.0],
    molar_mass: 61.040e-3,
    join: 700.0,
    low: [
        3.820_167_706, 2.419_073_125e-4, 5.439_224_82e-5, -8.032_185_651e-8,
        3.703_570_252e-11, -1.042_888_333e4, 9.455_882_459,
    ],
    high: [
        -1.196_717_757, 3.300_582_965e-2, -2.773_899_899e-5, 1.224_935_982e-8,
        -2.220_758_319e-12, -9.790_905_796e3, 3.128_170_542e1,
    ],
};

/// Graphite, for its activity over a gas: soot in equilibrium would need 1 (200-1000-5000 K).
#[rustfmt::skip]
pub const GRAPHITE: Species = Species {
    formula: "C(gr)",
    atoms: [1.0, 0.0, 0.0, 0.0],
    molar_mass: 12.011e-3,
    join: 1000.0,
    low: [
        -3.108_720_72e-1, 4.403_536_86e-3, 1.903_941_18e-6, -6.385_469_66e-9,
        2.989_642_48e-12, -1.086_507_94e2, 1.113_829_53,
    ],
    high: [
        1.455_718_29, 1.717_022_16e-3, -6.975_627_86e-7, 1.352_770_32e-10,
        -9.675_906_52e-15, -6.951_388_14e2, -8.525_830_33,
    ],
};

/// The product gases, in the order of [`Product`].
#[rustfmt::skip]
pub const PRODUCTS: [Species; PRODUCT_COUNT] = [
    Species {
        formula: "CO",
        atoms: [1.0, 0.0, 1.0, 0.0],
        molar_mass: 28.010e-3,
        join: 1000.0,
        low: [
            3.579_533_47, -6.103_536_8e-4, 1.016_814_33e-6, 9.070_058_84e-10,
            -9.044_244_99e-13, -1.434_408_6e4, 3.508_409_28,
        ],
        high: [
            3.048_485_83, 1.351_728_18e-3, -4.857_940_75e-7, 7.885_364_86e-11,
            -4.698_074_89e-15, -1.426_611_71e4, 6.017_097_9,
        ],
    },
    Species {
        formula: "CO2",
        atoms: [1.0, 0.0, 2.0, 0.0],
        molar_mass: 44.009e-3,
        join: 1000.0,
        low: [
            2.356_773_52, 8.984_596_77e-3, -7.123_562_69e-6, 2.459_190_22e-9,
            -1.436_995_48e-13, -4.837_196_97e4, 9.901_052_22,
        ],
        high: [
            4.636_594_93, 2.741_319_91e-3, -9.958_285_31e-7, 1.603_730_11e-10,
            -9.161_034_68e-15, -4.902_493_41e4, -1.935_348_55,
        ],
    },
    Species {
        formula: "H2",
        atoms: [0.0, 2.0, 0.0, 0.0],
        molar_mass: 2.016e-3,
        join: 1000.0,
        low: [
            2.344_331_12, 7.980_520_75e-3, -1.947_815_1e-5, 2.015_720_94e-8,
            -7.376_117_61e-12, -9.179_351_73e2, 6.830_102_38e-1,
        ],
        high: [
            2.932_865_79, 8.266_079_67e-4, -1.464_023_35e-7, 1.541_003_59e-11,
            -6.888_044_32e-16, -8.130_655_97e2, -1.024_328_87,
        ],
    },
    Species {
        formula: "H2O",
        atoms: [0.0, 2.0, 1.0, 0.0],
        molar_mass: 18.015e-3,
        join: 1000.0,
        low: [
            4.198_640_56, -2.036_434_1e-3, 6.520_402_11e-6, -5.487_970_62e-9,
            1.771_978_17e-12, -3.029_372_67e4, -8.490_322_08e-1,
        ],
        high: [
            2.677_037_87, 2.973_183_29e-3, -7.737_696_9e-7, 9.443_366_89e-11,
            -4.269_009_59e-15, -2.988_589_38e4, 6.882_555_71,
        ],
    },
    Species {
        formula: "O2",
        atoms: [0.0, 0.0, 2.0, 0.0],
        molar_mass: 31.998e-3,
        join: 1000.0,
        low: [
            3.782_456_36, -2.996_734_15e-3, 9.847_302e-6, -9.681_295_08e-9,
            3.243_728_36e-12, -1.063_943_56e3, 3.657_675_73,
        ],
        high: [
            3.660_960_83, 6.563_655_23e-4, -1.411_494_85e-7, 2.057_976_58e-11,
            -1.299_132_48e-15, -1.215_977_25e3, 3.415_361_84,
        ],
    },
    Species {
        formula: "N2",
        atoms: [0.0, 0.0, 0.0, 2.0],
        molar_mass: 28.014e-3,
        join: 1000.0,
        low: [
            3.531_005_28, -1.236_609_87e-4, -5.029_994_37e-7, 2.435_306_12e-9,
            -1.408_812_35e-12, -1.046_976_28e3, 2.967_474_68,
        ],
        high: [
            2.952_576_26, 1.396_900_57e-3, -4.926_316_91e-7, 7.860_103_67e-11,
            -4.607_553_21e-15, -9.239_486_45e2, 5.871_892_52,
        ],
    },
    Species {
        formula: "NO",
        atoms: [0.0, 0.0, 1.0, 1.0],
        molar_mass: 30.006e-3,
        join: 1000.0,
        low: [
            4.218_598_96, -4.639_881_24e-3, 1.104_430_49e-5, -9.340_555_07e-9,
            2.805_548_74e-12, 9.845_099_64e3, 2.280_610_01,
        ],
        high: [
            3.260_712_34, 1.191_011_35e-3, -4.291_226_46e-7, 6.944_814_63e-11,
            -4.032_956_81e-15, 9.921_431_32e3, 6.369_005_18,
        ],
    },
    Species {
        formula: "OH",
        atoms: [0.0, 1.0, 1.0, 0.0],
        molar_mass: 17.007e-3,
        join: 1000.0,
        low: [
            3.992_015_43, -2.401_317_52e-3, 4.617_938_41e-6, -3.881_133_33e-9,
            1.364_114_7e-12, 3.615_080_56e3, -1.039_254_58e-1,
        ],
        high: [
            2.838_646_07, 1.107_255_86e-3, -2.939_149_78e-7, 4.205_242_47e-11,
            -2.421_690_92e-15, 3.943_958_52e3, 5.844_526_62,
        ],
    },
    Species {
        formula: "H",
        atoms: [0.0, 1.0, 0.0, 0.0],
        molar_mass: 1.008e-3,
        join: 1000.0,
        low: [
            2.5, 0.0, 0.0, 0.0,
            0.0, 2.547_365_99e4, -4.466_828_53e-1,
        ],
        high: [
            2.500_002_86, -5.653_342_14e-9, 3.632_517_23e-12, -9.199_497_2e-16,
            7.952_607_46e-20, 2.547_365_89e4, -4.466_984_94e-1,
        ],
    },
    Species {
        formula: "O",
        atoms: [0.0, 0.0, 1.0, 0.0],
        molar_mass: 15.999e-3,
        join: 1000.0,
        low: [
            3.168_267_1, -3.279_318_84e-3, 6.643_063_96e-6, -6.128_066_24e-9,
            2.112_659_71e-12, 2.912_225_92e4, 2.051_933_46,
        ],
        high: [
            2.543_636_97, -2.731_624_86e-5, -4.190_295_2e-9, 4.954_818_45e-12,
            -4.795_536_94e-16, 2.922_601_2e4, 4.922_294_57,
        ],
    },
    Species {
        formula: "CH4",
        atoms: [1.0, 4.0, 0.0, 0.0],
        molar_mass: 16.043e-3,
        join: 1000.0,
        low: [
            5.149_876_13, -1.367_097_88e-2, 4.918_005_99e-5, -4.847_430_26e-8,
            1.666_939_56e-11, -1.024_664_76e4, -4.641_303_76,
        ],
        high: [
            1.635_526_43, 1.008_427_95e-2, -3.369_162_54e-6, 5.349_586_67e-10,
            -3.155_188_33e-14, -1.000_564_55e4, 9.993_133_26,
        ],
    },
    Species {
        formula: "HCN",
        atoms: [1.0, 1.0, 0.0, 1.0],
        molar_mass: 27.026e-3,
        join: 1000.0,
        low: [
            2.259_011_23, 1.005_105_91e-2, -1.335_149_11e-5, 1.009_208_82e-8,
            -3.008_820_48e-12, 1.521_584_95e4, 8.916_345_9,
        ],
        high: [
            3.802_317_33, 3.146_300_09e-3, -1.063_156_98e-6, 1.661_853_95e-10,
            -9.798_917_89e-15, 1.491_048_29e4, 1.575_035_84,
        ],
    },
    Species {
        formula: "NH3",
        atoms: [0.0, 3.0, 0.0, 1.0],
        molar_mass: 17.031e-3,
        join: 1000.0,
        low: [
            4.301_778_08, -4.771_273_3e-3, 2.193_416_19e-5, -2.298_564_89e-8,
            8.289_922_68e-12, -6.748_063_94e3, -6.906_443_93e-1,
        ],
        high: [
            2.717_096_92, 5.568_563_38e-3, -1.768_863_96e-6, 2.674_172_6e-10,
            -1.527_314_19e-14, -6.584_519_89e3, 6.092_898_37,
        ],
    },
    Species {
        formula: "C2H2",
        atoms: [2.0, 2.0, 0.0, 0.0],
        molar_mass: 26.038e-3,
        join: 1000.0,
        low: [
            8.086_810_94e-1, 2.336_156_29e-2, -3.551_718_15e-5, 2.801_524_37e-8,
            -8.500_729_74e-12, 2.642_898_07e4, 1.393_970_51e1,
        ],
        high: [
            4.658_785_04, 4.883_965_47e-3, -1.608_287_75e-6, 2.469_742_26e-10,
            -1.386_056_8e-14, 2.575_940_44e4, -3.998_347_72,
        ],
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn molar_masses_are_the_sums_of_their_atoms() {
        for species in PRODUCTS.iter().chain([&METHANOL, &NITROMETHANE]) {
            let [c, h, o, n] = species.atoms;
            let sum = (c * 12.011 + h * 1.008 + o * 15.999 + n * 14.007) * 1e-3;
            assert!((species.molar_mass - sum).abs() < 1e-9, "{}", species.formula);
        }
    }

    #[test]
    fn the_two_ranges_meet_at_the_join() {
        for species in PRODUCTS {
            let (below, above) = (species.join - 1e-9, species.join);
            assert!(
                (species.enthalpy(below) - species.enthalpy(above)).abs() < 0.01,
                "{}",
                species.formula
            );
            assert!(
                (species.entropy(below) - species.entropy(above)).abs() < 1e-4,
                "{}",
                species.formula
            );
        }
    }

    #[test]
    fn enthalpy_is_the_integral_of_heat_capacity() {
        for species in PRODUCTS {
            for t in [300.0, 900.0, 2500.0] {
                let slope = (species.enthalpy(t + 0.5) - species.enthalpy(t - 0.5)) / 1.0;
                assert!(
                    (slope / species.heat_capacity(t) - 1.0).abs() < 1e-5,
                    "{} {t}",
                    species.formula
                );
            }
        }
    }
}
