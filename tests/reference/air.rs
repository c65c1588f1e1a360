//! Moist air, the standard atmosphere, density altitude and the power corrections.

use crate::table::{Worst, read};
use needlebench::fluids::air::{Air, Weather, saturation_vapour_pressure};
use needlebench::fluids::atmosphere::{self, density_altitude, pressure_altitude};

#[test]
fn moist_air_is_the_cipm_2007_equation() {
    let [mut same, mut other, mut psychro] = [(); 3].map(|_| Worst::default());
    for row in read("moist_air.csv", 448) {
        let (t, p, rh) = (
            row.get("temperature_K"),
            row.get("pressure_Pa"),
            row.get("relative_humidity"),
        );
        let place = || format!("{t} K {p} Pa {rh}");
        let air = Air::from_si(t, p, rh);
        same.relative(
            saturation_vapour_pressure(t),
            row.get("saturation_vapour_pressure_Pa"),
            place,
        );
        same.absolute(air.water_mole_fraction, row.get("water_mole_fraction"), place);
        same.relative(air.compressibility, row.get("compressibility_factor"), place);
        same.relative(air.density, row.get("density_kg_per_m3"), place);
        same.relative(air.dry_density, row.get("dry_air_partial_density_kg_per_m3"), place);
        same.relative(air.oxygen_density, row.get("o2_partial_density_kg_per_m3"), place);
        same.absolute(air.humidity_ratio, row.get("humidity_ratio_kg_per_kg"), place);
        // Two equations of state that share nothing with CIPM-2007: ASHRAE RP-1485 and the ASHRAE 2017 ideal gas.
        other.relative(air.density, row.get("density_coolprop_kg_per_m3"), place);
        psychro.relative(air.density, row.get("density_psychrolib_kg_per_m3"), place);
    }
    same.within(1e-7, 7 * 448);
    other.within(2e-4, 448);
    psychro.within(1e-3, 448);
}

#[test]
fn the_reference_day_weighs_1_1993_kilograms() {
    // CIPM-2007 at 20 °C, 101325 Pa, 50 %, and dry.
    assert!((Air::new(&Weather::REFERENCE).density - 1.199_314).abs() < 1e-6);
    let dry = Weather {
        humidity_percent: 0.0,
        ..Weather::REFERENCE
    };
    assert!((Air::new(&dry).density - 1.204_557).abs() < 1e-6);
}

#[test]
fn standard_atmosphere_of_iso_2533() {
    let [mut temperature, mut others] = [(); 2].map(|_| Worst::default());
    for row in read("standard_atmosphere.csv", 74) {
        let h = row.get("geopotential_altitude_m");
        let place = || format!("{h} m");
        let t = atmosphere::temperature_at(h);
        temperature.absolute(t, row.get("temperature_K"), place);
        others.relative(atmosphere::pressure_at(h), row.get("pressure_Pa"), place);
        others.relative(atmosphere::density_at(h), row.get("density_kg_per_m3"), place);
        others.relative(atmosphere::speed_of_sound(t), row.get("speed_of_sound_m_per_s"), place);
        others.relative(
            atmosphere::dynamic_viscosity(t),
            row.get("dynamic_viscosity_Pa_s"),
            place,
        );
        let there = Air::new(&Weather::at_altitude(20.0, h, 50.0));
        others.relative(there.pressure, row.get("pressure_Pa"), place);
    }
    temperature.within(1e-3, 74);
    others.within(1e-6, 5 * 74);
}

#[test]
fn density_altitude_of_a_day() {
    let mut worst = Worst::default();
    for row in read("density_altitude.csv", 60) {
        let (t, p, rh) = (
            row.get("temperature_K"),
            row.get("pressure_Pa"),
            row.get("relative_humidity"),
        );
        let place = || format!("{t} K {p} Pa {rh}");
        let air = Air::from_si(t, p, rh);
        worst.absolute(air.density_altitude, row.get("density_altitude_moist_m"), place);
        worst.absolute(air.pressure_altitude, row.get("pressure_altitude_m"), place);
        let dry = p / (atmosphere::GAS_CONSTANT_DRY_AIR * t);
        worst.absolute(density_altitude(dry), row.get("density_altitude_dry_m"), place);
        worst.absolute(pressure_altitude(p), row.get("pressure_altitude_m"), place);
    }
    worst.within(0.05, 4 * 60);
}

#[test]
fn power_corrections_of_sae_iso_and_din() {
    let mut worst = Worst::default();
    for row in read("ambient_correction.csv", 200) {
        let (t, p) = (row.get("temperature_C") + 273.15, row.get("pressure_Pa"));
        let place = || format!("{t} K {p} Pa");
        let air = Air::from_si(t, p, row.get("relative_humidity"));
        worst.absolute(air.vapour_pressure / p, row.get("vapour_pressure_Pa") / p, place);
        let dry = p - air.vapour_pressure;
        worst.relative(
            atmosphere::sae_j1349_indicated(t, dry),
            row.get("sae_j1349_indicated_factor"),
            place,
        );
        worst.relative(
            atmosphere::sae_j1349_brake(t, dry),
            row.get("sae_j1349_brake_factor"),
            place,
        );
        let unrounded = row.get("sae_j1349_brake_factor_eta_0p85_exact");
        worst.relative(atmosphere::sae_j1349_brake_unrounded(t, dry), unrounded, place);
        worst.relative(atmosphere::iso_1585(t, dry), row.get("iso1585_alpha_a"), place);
        worst.relative(atmosphere::din_70020(t, p), row.get("din70020_factor"), place);
    }
    worst.within(1e-6, 6 * 200);
}
