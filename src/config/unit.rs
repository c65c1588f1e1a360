//! Units as they end a key's name: which words they stand for, and what is left of the name without them.
//!
//! This is how `displacement_mm3` is recognised as a wrong unit of `displacement_cm3`, not as an unknown key.

use crate::parameters::Key;

/// Endings of key names and the units they stand for; a longer ending comes before any that ends it.
const UNITS: &[(&str, &str)] = &[
    ("_kg_mm2", "kg·mm²"),
    ("_kg_m2", "kg·m²"),
    ("_g_cm2", "g·cm²"),
    ("_w_per_k", "W/K"),
    ("_j_per_k", "J/K"),
    ("_kg_per_kg", "kg/kg"),
    ("_m2_per_g", "m²/g"),
    ("_m2_per_kg", "m²/kg"),
    ("_mg_per_cm3", "mg/cm³"),
    ("_g_per_s", "g/s"),
    ("_mg_per_s", "mg/s"),
    ("_kg_per_s", "kg/s"),
    ("_m_per_s", "m/s"),
    ("_km_per_h", "km/h"),
    ("_cm3_per_s", "cm³/s"),
    ("_l_per_s", "l/s"),
    ("_rev_per_s", "rev/s"),
    ("_per_s", "1/s"),
    ("_per_min", "1/min"),
    ("_per_k", "1/K"),
    ("_k_per_deg", "K/°"),
    ("_n_mm", "N·mm"),
    ("_n_cm", "N·cm"),
    ("_n_m", "N·m"),
    ("_cm3", "cm³"),
    ("_mm3", "mm³"),
    ("_cc", "cm³"),
    ("_ml", "ml"),
    ("_cl", "cl"),
    ("_l", "l"),
    ("_cm2", "cm²"),
    ("_mm2", "mm²"),
    ("_m2", "m²"),
    ("_mm", "mm"),
    ("_cm", "cm"),
    ("_inch", "inches"),
    ("_in", "inches"),
    ("_m", "m"),
    ("_kpa", "kPa"),
    ("_hpa", "hPa"),
    ("_mbar", "mbar"),
    ("_bar", "bar"),
    ("_psi", "psi"),
    ("_pa", "Pa"),
    ("_rpm", "rpm"),
    ("_hz", "Hz"),
    ("_turns", "turns"),
    ("_clicks", "clicks"),
    ("_percent", "%"),
    ("_share", "of 1"),
    ("_factor", "times"),
    ("_deg", "°"),
    ("_rad", "rad"),
    ("_ms", "ms"),
    ("_min", "min"),
    ("_s", "s"),
    ("_kg", "kg"),
    ("_mg", "mg"),
    ("_g", "g"),
    ("_n", "N"),
    ("_c", "°C"),
    ("_f", "°F"),
    ("_k", "K"),
];

/// The name without its unit, and the unit in words; `None` where the name ends in no unit.
pub fn split(key: &str) -> (&str, Option<&'static str>) {
    for (ending, words) in UNITS {
        if let Some(stem) = key.strip_suffix(ending) {
            return (stem, Some(words));
        }
    }
    (key, None)
}

/// A key's allowed range with its unit.
pub fn range(key: &Key) -> String {
    let unit = split(key.name).1.map(|words| format!(" {words}")).unwrap_or_default();
    format!("{} to {}{unit}", key.low, key.high)
}

/// A key's meaning as it stands within a sentence.
pub fn meaning(key: &Key) -> &'static str {
    key.meaning.trim().trim_end_matches('.')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn longer_endings_are_met_first() {
        for (i, (ending, _)) in UNITS.iter().enumerate() {
            for (earlier, _) in &UNITS[..i] {
                assert!(
                    !ending.ends_with(earlier),
                    "{ending} is never met: {earlier} stands before it"
                );
            }
        }
    }

    #[test]
    fn units_of_declared_keys() {
        assert_eq!(split("displacement_cm3"), ("displacement", Some("cm³")));
        assert_eq!(split("extinction_m2_per_g"), ("extinction", Some("m²/g")));
        assert_eq!(split("plug_quench_k_per_deg"), ("plug_quench", Some("K/°")));
        assert_eq!(split("throttle_exponent"), ("throttle_exponent", None));
    }
}
