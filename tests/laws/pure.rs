//! The pump behind its orifice, scavenging and the metering quadratic against published formulas, by `tests/data`.

use needlebench::engine::{WET_BULB_SLOPE, WET_BULB_ZERO, otto_efficiency, transfer_coefficient};
use needlebench::engine::{kept_share, pump_pressure_ratio, trapping_efficiency, volume_flow};
use needlebench::lanes::one;

/// The numbers of a table's columns, row by row; an empty field is none.
fn table(text: &str, columns: &[&str]) -> Vec<(String, Vec<f64>)> {
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap().split(',').collect();
    let places: Vec<usize> = columns
        .iter()
        .map(|name| {
            header
                .iter()
                .position(|h| h == name)
                .unwrap_or_else(|| panic!("no column {name}"))
        })
        .collect();
    lines
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let numbers = places
                .iter()
                .map(|&place| cells[place].parse().unwrap_or(f64::NAN))
                .collect();
            (cells[0].to_string(), numbers)
        })
        .collect()
}

fn pump(s: f64) -> f64 {
    let of = |demand: f64| pump_pressure_ratio(one(s * demand), one(demand)).number();
    // Only the quotient counts.
    assert!((of(1.0) - of(3.7)).abs() < 1e-14, "{s}");
    of(1.0)
}

#[test]
fn the_pump_stays_within_3_3_percent_of_the_isentropic_orifice() {
    // Isentropic flow factor, gamma 1.4 (Shapiro 1953; Heywood 1988, appendix C): a pump that takes the pressure ratio p passes
    // p = S psi(p), so S = p / psi(p) is the flow number at which the law should give p.
    let rows = table(
        include_str!("../data/orifice_flow.csv"),
        &["gamma", "pressure_ratio_down_over_up", "psi"],
    );
    let (mut high, mut low, mut met) = (0.0_f64, 0.0_f64, 0);
    for (_, row) in rows {
        let (gamma, p, psi) = (row[0], row[1], row[2]);
        if gamma != 1.4 || p <= 0.0 || psi <= 1e-9 {
            continue;
        }
        let deviation = pump(p / psi) / p - 1.0;
        high = high.max(deviation);
        low = low.min(deviation);
        met += 1;
    }
    println!(
        "pump against the isentropic orifice: {:+.4} % to {:+.4} % over {met} rows",
        100.0 * low,
        100.0 * high
    );
    assert!(met > 30, "{met} rows");
    assert!((0.030..=0.033).contains(&high), "{high}");
    assert!(low > -0.001, "{low}");
}

#[test]
fn the_table_chokes_at_0_528_for_air() {
    // (2/(gamma+1))^(gamma/(gamma-1)), gamma 1.4 (Shapiro 1953).
    let rows = table(
        include_str!("../data/orifice_flow.csv"),
        &[
            "gamma",
            "critical_pressure_ratio",
            "choked",
            "pressure_ratio_down_over_up",
        ],
    );
    let mut met = 0;
    for (_, row) in rows.iter().filter(|(_, row)| row[0] == 1.4) {
        assert!((row[1] - 0.528_281_788).abs() < 1e-6);
        assert_eq!(row[2] == 1.0, row[3] <= row[1], "{row:?}");
        met += 1;
    }
    assert!(met > 0);
    // The law joins at 1/2, the choked ratio of its own flow factor: below it the flow no longer depends on p.
    for s in [0.01, 0.1, 0.3, 0.7] {
        assert!((pump(s) / s - 0.5_f64.sqrt()).abs() < 1e-15);
    }
}

#[test]
fn the_pump_joins_choked_flow_in_value_and_slope_and_never_falls() {
    let join = 0.5_f64.sqrt();
    assert!((pump(join * (1.0 - 1e-12)) - 0.5).abs() < 1e-11 && (pump(join * (1.0 + 1e-12)) - 0.5).abs() < 1e-11);
    let h = 1e-6;
    let (below, above) = ((pump(join) - pump(join - h)) / h, (pump(join + h) - pump(join)) / h);
    assert!(
        (below - above).abs() < 1e-5 && (below - 0.5_f64.sqrt()).abs() < 1e-5,
        "{below} {above}"
    );
    let mut last = 0.0;
    for i in 1..5000 {
        let p = pump(i as f64 * 2e-3);
        assert!(p > last && p < 1.0);
        // Above the join: p = S psi(p) with psi = sqrt(2 p (1 - p)), exactly.
        if p > 0.5 {
            assert!((i as f64 * 2e-3 * (2.0 * p * (1.0 - p)).sqrt() / p - 1.0).abs() < 1e-9);
        }
        last = p;
    }
}

#[test]
fn scavenging_is_perfect_mixing() {
    // Hopkinson 1914, by Heywood and Sher (1999), chapter 3.
    let rows = table(
        include_str!("../data/scavenging.csv"),
        &[
            "scavenge_ratio",
            "residual_fraction",
            "trapping_efficiency",
            "charging_efficiency",
        ],
    );
    let mut met = 0;
    for (_, row) in rows.iter().filter(|(model, _)| model == "perfect_mixing") {
        let ratio = row[0];
        let kept = kept_share(one(ratio));
        let trapped = trapping_efficiency(one(1.0 / ratio), kept).number();
        let kept = kept.number();
        assert!((kept - row[1]).abs() < 1e-6, "{row:?}");
        assert!((trapped - row[2]).abs() < 1e-6, "{row:?}");
        assert!((trapped * row[0] - row[3]).abs() < 1e-6, "{row:?}");
        met += 1;
    }
    assert!(met > 5, "{met} rows");
}

#[test]
fn metering_is_linear_when_viscous_and_an_orifice_when_inertial() {
    let flow = |drive: f64, linear: f64, square: f64| volume_flow(one(drive), one(linear), one(square)).number();
    // Purely viscous: Q = drive/linear.
    for drive in [1.0, 250.0, 4.0e4] {
        assert!((flow(drive, 1e11, 0.0) * 1e11 / drive - 1.0).abs() < 1e-14);
    }
    // Purely inertial: m = Cd A sqrt(2 rho dp) (incompressible orifice, any text on fluid mechanics).
    let columns = [
        "discharge_coefficient",
        "density_kg_per_m3",
        "pressure_drop_Pa",
        "area_m2",
        "mass_flow_kg_per_s",
    ];
    let rows = table(include_str!("../data/orifice_incompressible.csv"), &columns);
    assert!(rows.len() > 20);
    for (_, row) in rows {
        let [cd, density, drop, area, expected] = row[..] else {
            panic!("columns")
        };
        let mass = density * flow(drop, 0.0, 0.5 * density / (cd * area * cd * area));
        assert!((mass / expected - 1.0).abs() < 1e-7, "{mass} {expected}");
    }
    // Between: the losses add up to the drive, and double drive gives between sqrt(2) and 2 times the flow.
    for linear in [1e9, 1e10, 1e11] {
        let square = 1e18;
        let q = flow(1000.0, linear, square);
        assert!(((linear * q + square * q * q) / 1000.0 - 1.0).abs() < 1e-12);
        let gain = flow(2000.0, linear, square) / q;
        assert!(gain > 2.0_f64.sqrt() && gain < 2.0);
    }
}

#[test]
fn work_follows_the_otto_cycle_of_the_trapped_stroke() {
    // Closed form, any text of thermodynamics: 1 - r^(1 - gamma). A compression ratio of 9 over the whole stroke is 6.6 over 70 % of it.
    let exact = |ratio: f64| 1.0 - ratio.powf(1.0 - 1.28);
    assert!((otto_efficiency(9.0, 0.7, 1.28) - exact(6.6)).abs() < 1e-12);
    assert!((otto_efficiency(13.0, 0.7, 1.28) - exact(9.4)).abs() < 1e-12);
}

#[test]
fn heat_to_the_walls_lies_between_two_published_forms() {
    // 3.5 cm³ at 30 000 rpm, 20 bar and 1500 K, mean piston speed 16.5 m/s. Woschni as Heywood (1988, eq. 12.19) gives it,
    // h = 3.26 B^-0.2 p^0.8 T^-0.55 w^0.8 (kPa, K, m/s, w = 2.28 S_p while closed): worked by hand 1.06 kW/(m² K). Annand (1963) with
    // a = 0.35, b = 0.7 (Heywood, eq. 12.18): worked by hand 1.98 kW/(m² K).
    let (models, setup) = needlebench::config::reference_setup("offroad-3.5").unwrap();
    let size = setup.engine.geometry.bore();
    assert!((size - 0.016_46).abs() < 1e-5, "{size}");
    let speed = 2.0 * size * 500.0;
    let woschni = 3.26 * size.powf(-0.2) * 2000.0_f64.powf(0.8) * 1500.0_f64.powf(-0.55) * (2.28 * speed).powf(0.8);
    let density = 2.0e6 / (287.0 * 1500.0);
    let reynolds = density * speed * size / 44.9e-6;
    let annand = 0.35 * 0.0715 / size * reynolds.powf(0.7);
    assert!(
        (woschni / 1060.0 - 1.0).abs() < 0.02 && (annand / 1980.0 - 1.0).abs() < 0.02,
        "{woschni} {annand}"
    );
    let exact = |a: f64| a * 0.0715 / size * reynolds.powf(0.75);
    assert!((transfer_coefficient(0.2, size, density, speed) / exact(0.2) - 1.0).abs() < 1e-9);
    let laws = needlebench::config::Models::of_engine(&models.name).unwrap().laws;
    let ours = transfer_coefficient(laws.heat.annand_coefficient, size, density, speed);
    assert!(ours > 0.8 * woschni && ours < 0.8 / 0.35 * annand, "{ours}");
}

#[test]
fn air_over_methanol_cools_to_its_wet_bulb_and_no_further() {
    // Saturation by Antoine (NIST WebBook, Ambrose, Sprake and Townsend 1975), latent heat 1.17 MJ/kg, heat capacity 1.006 kJ/(kg K),
    // Lewis number 1: cp (T - Tw) = h_fg w(Tw).
    let saturation = |t: f64| 1e5 * 10_f64.powf(5.204_09 - 1581.341 / (t - 33.5));
    let wet_bulb = |dry: f64| {
        let (mut low, mut high) = (200.0, dry);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            let p = saturation(middle);
            let vapour = 32.04 / 28.96 * p / (101_325.0 - p);
            if 1006.0 * (dry - middle) > 1.17e6 * vapour {
                low = middle
            } else {
                high = middle
            }
        }
        0.5 * (low + high)
    };
    for dry in [293.15, 313.15, 333.15] {
        let exact = dry - wet_bulb(dry);
        let ours = WET_BULB_SLOPE * (dry - WET_BULB_ZERO);
        assert!((ours - exact).abs() < 4.0, "{dry}: {ours} {exact}");
    }
}
