//! Conversions at the boundary, and the physical constants the model shares.
//!
//! Inside the library every quantity is SI (temperatures in kelvin, speeds in revolutions per second); people and files
//! speak in degrees Celsius, hectopascals, millilitres and revolutions per minute, and meet SI here and nowhere else.

/// Molar gas constant, J/(mol K). Exact since the SI of 2019 (CODATA 2018).
pub const GAS_CONSTANT: f64 = 8.314_462_618_153_24;
/// Zero degrees Celsius, K. Exact by definition.
pub const ZERO_CELSIUS: f64 = 273.15;
/// Standard atmosphere, Pa. Exact by definition (ISO 2533:1975).
pub const STANDARD_ATMOSPHERE: f64 = 101_325.0;
/// Standard acceleration of free fall, m/s². Exact by definition (ISO 2533:1975).
pub const STANDARD_GRAVITY: f64 = 9.806_65;
/// One international foot, m. Exact by definition.
pub const FOOT: f64 = 0.304_8;
/// One conventional inch of mercury at 0 °C, Pa (ISO 80000-4:2006, annex).
pub const INCH_OF_MERCURY: f64 = 3_386.389;
/// One US fluid ounce, m³. Exact by definition.
pub const US_FLUID_OUNCE: f64 = 29.573_529_562_5e-6;

/// Degrees Celsius to kelvin.
pub const fn kelvin_from_celsius(temperature_c: f64) -> f64 {
    temperature_c + ZERO_CELSIUS
}

/// Kelvin to degrees Celsius.
pub const fn celsius_from_kelvin(temperature: f64) -> f64 {
    temperature - ZERO_CELSIUS
}

/// Degrees Fahrenheit to degrees Celsius.
pub const fn celsius_from_fahrenheit(temperature_f: f64) -> f64 {
    (temperature_f - 32.0) / 1.8
}

/// Inches of mercury to hectopascal.
pub const fn hpa_from_inhg(pressure_inhg: f64) -> f64 {
    pressure_inhg * INCH_OF_MERCURY / 100.0
}

/// Degrees Celsius to degrees Fahrenheit.
pub const fn fahrenheit_from_celsius(temperature_c: f64) -> f64 {
    temperature_c * 1.8 + 32.0
}

/// Hectopascals (millibars) to pascals.
pub const fn pascal_from_hpa(pressure_hpa: f64) -> f64 {
    pressure_hpa * 100.0
}

/// Revolutions per minute to revolutions per second.
pub const fn rev_per_second_from_rpm(speed_rpm: f64) -> f64 {
    speed_rpm / 60.0
}

/// Revolutions per second to revolutions per minute.
pub const fn rpm_from_rev_per_second(speed: f64) -> f64 {
    speed * 60.0
}

/// Cubic centimetres (millilitres) to cubic metres.
pub const fn cubic_metre_from_ml(volume_ml: f64) -> f64 {
    volume_ml * 1e-6
}

/// Millimetres to metres.
pub const fn metre_from_mm(length_mm: f64) -> f64 {
    length_mm * 1e-3
}

/// Kilograms from milligrams.
pub const fn kilogram_from_mg(mass_mg: f64) -> f64 {
    mass_mg * 1e-6
}

/// Square millimetres to square metres; kilogram square millimetres to kilogram square metres.
pub const fn square_metre_from_mm2(area_mm2: f64) -> f64 {
    area_mm2 * 1e-6
}
/// Kilopascals to pascals.
pub const fn pascal_from_kpa(pressure_kpa: f64) -> f64 {
    pressure_kpa * 1e3
}
/// Bars to pascals.
pub const fn pascal_from_bar(pressure_bar: f64) -> f64 {
    pressure_bar * 1e5
}
/// Grams to kilograms.
pub const fn kilogram_from_g(mass_g: f64) -> f64 {
    mass_g * 1e-3
}
/// Kilograms to milligrams.
pub const fn mg_from_kilogram(mass: f64) -> f64 {
    mass * 1e6
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conversions_hit_their_fixed_points() {
        assert_eq!(kelvin_from_celsius(20.0), 293.15);
        assert_eq!(fahrenheit_from_celsius(100.0), 212.0);
        assert_eq!(celsius_from_fahrenheit(-40.0), -40.0);
        assert_eq!(pascal_from_hpa(1013.25), STANDARD_ATMOSPHERE);
        assert_eq!(pascal_from_kpa(101.325), STANDARD_ATMOSPHERE);
        assert_eq!(pascal_from_bar(1.0), 1e5);
        assert_eq!(rev_per_second_from_rpm(30_000.0), 500.0);
        assert!((cubic_metre_from_ml(3.5) - 3.5e-6).abs() < 1e-20);
        assert!((square_metre_from_mm2(22.0) - 22e-6).abs() < 1e-18);
        assert!((kilogram_from_g(2.5) - metre_from_mm(2.5)).abs() < 1e-18);
        assert!((mg_from_kilogram(2.5e-5) - 25.0).abs() < 1e-12);
    }

    #[test]
    fn conversions_come_back() {
        for x in [-40.0, 0.1, 17.0, 1234.5] {
            for back in [
                celsius_from_kelvin(kelvin_from_celsius(x)),
                rpm_from_rev_per_second(rev_per_second_from_rpm(x)),
            ] {
                assert!((back - x).abs() < 1e-12 * x.abs().max(300.0), "{back} {x}");
            }
        }
    }
}
