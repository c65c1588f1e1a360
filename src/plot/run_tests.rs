//! The picture of a run: its size, its words, its peaks, and what it does with a dead engine and with strange names.

use super::*;

const SUBJECT: Subject = Subject {
    manoeuvre: "burst",
    engine: "offroad-3.5",
    plug: "medium",
    fuel: "race-25",
    setting: Setting {
        high_turns: 3.0,
        low_turns: 2.0,
        idle_turns: 1.5,
    },
    weather: Weather::REFERENCE,
    cold: false,
    load: Load::Stand,
    pinch_at_s: None,
    seed: 7,
    fahrenheit: false,
};

/// Rows whose every measure jumps about at random.
fn noisy(count: u32) -> Vec<Row> {
    let random = |i: u32, k: u32| f64::from((i * 16 + k).wrapping_mul(2_654_435_761) >> 8) / f64::from(1 << 24);
    (1..=count)
        .map(|i| Row {
            time_s: f64::from(i) / 100.0,
            throttle: random(i, 0),
            engine_rpm: 1.0 + 40_000.0 * random(i, 1),
            equivalence_ratio: Some(3.0 * random(i, 2)),
            air_fuel_ratio: None,
            burnt_share: 1.0,
            fuel_film_mg: 60.0 * random(i, 3),
            head_temperature_c: 80.0 + 50.0 * random(i, 4),
            plug_temperature_c: 900.0,
            smoke_opacity_percent: 40.0 * random(i, 5),
            fuel_flow_mg_per_s: 1.0,
            power_w: 1.0,
            tank_ml: 1.0,
            crown_temperature_c: 150.0 + 60.0 * random(i, 6),
            charge_temperature_c: Some(60.0 + 60.0 * random(i, 7)),
            fuel_temperature_c: Some(20.0 + 20.0 * random(i, 8)),
            exhaust_temperature_c: 250.0 + 200.0 * random(i, 9),
        })
        .collect()
}

#[test]
fn the_picture_stays_small_whatever_it_shows() {
    for count in [1, 6_000, 360_000] {
        let mut rows = noisy(count);
        for row in rows.iter_mut().step_by(2) {
            row.equivalence_ratio = None;
        }
        let picture = svg(&SUBJECT, &rows, None).unwrap();
        assert!(picture.len() < 300_000, "{count}: {}", picture.len());
    }
}

#[test]
fn the_caption_says_what_was_run_and_every_label_has_its_unit() {
    let picture = svg(&SUBJECT, &noisy(100), None).unwrap();
    for part in [
        "burst: offroad-3.5 on race-25",
        "high-speed needle 3.000, low-speed needle 2.000, idle stop 1.500 turns",
        "seed 7",
        "air 20.0 °C, 1013.25 hPa, 50 % humidity",
        "Time, s",
        "Throttle, % open",
        "Engine speed, rpm",
        "Equivalence ratio as metered, oil inert (no unit)",
        "Fuel film in the crankcase, mg",
        "Smoke opacity, %",
        "Head temperature, °C",
        "Crown temperature, °C",
        "Charge temperature as the ports close, °C",
        "Fuel temperature at the jet, °C",
        "Exhaust gas temperature in the pipe, °C",
    ] {
        assert!(picture.contains(part), "{part}");
    }
    let fahrenheit = Subject {
        fahrenheit: true,
        ..SUBJECT
    };
    let picture = svg(&fahrenheit, &noisy(100), None).unwrap();
    for name in ["Head temperature", "Crown temperature", "Fuel temperature at the jet"] {
        assert!(picture.contains(&format!("{name}, °F")), "{name}");
    }
    assert!(picture.contains("air 68.0 °F") && !picture.contains("°C"));
}

#[test]
fn a_spike_of_one_row_in_a_minute_is_seen() {
    let mut rows = noisy(6_000);
    for row in &mut rows {
        (row.smoke_opacity_percent, row.head_temperature_c) = (10.0, 90.0);
    }
    rows[3_217].smoke_opacity_percent = 80.0;
    let picture = svg(&SUBJECT, &rows, None).unwrap();
    let curve = picture
        .lines()
        .filter(|line| line.starts_with("<polyline"))
        .nth(4)
        .unwrap();
    let points = curve.split('"').find(|part| part.contains(',')).unwrap();
    let heights: Vec<i32> = points
        .split_whitespace()
        .map(|point| point.split(',').nth(1).unwrap().parse().unwrap())
        .collect();
    let (base, peak) = (heights.iter().max().unwrap(), heights.iter().min().unwrap());
    // 0 to 100 % on 86 units of 8: 70 % more is 481.6.
    assert!((481..=482).contains(&(base - peak)), "{base} {peak}");
}

#[test]
fn a_dead_engine_is_told_and_its_mixture_ends() {
    let mut rows = noisy(1_000);
    for row in &mut rows[700..] {
        (row.engine_rpm, row.equivalence_ratio) = (0.0, None);
    }
    let pinched = Subject {
        pinch_at_s: Some(2.0),
        ..SUBJECT
    };
    let picture = svg(&pinched, &rows, None).unwrap();
    assert!(picture.contains("fuel line pinched at 2.0 s") && picture.contains("engine stopped at 7.0 s"));
    for row in &mut rows {
        (row.engine_rpm, row.equivalence_ratio) = (0.0, None);
        (row.charge_temperature_c, row.fuel_temperature_c) = (None, None);
    }
    let picture = svg(&SUBJECT, &rows, None).unwrap();
    assert!(picture.contains("the engine doesn&apos;t run"));
    assert!(picture.contains("none: no air flows") && picture.contains("none: no fuel flows"));
    assert!(picture.contains("none: the engine stands"));
    assert!(svg(&SUBJECT, &[], None).unwrap().ends_with("</svg>\n"));
}

#[test]
fn names_of_ones_own_do_no_harm() {
    let long = "<script>&".repeat(44);
    let subject = Subject {
        engine: &long,
        fuel: &long,
        plug: &long,
        manoeuvre: &long,
        ..SUBJECT
    };
    let picture = svg(&subject, &noisy(10), None).unwrap();
    assert!(!picture.contains("<script") && picture.contains("&lt;script&gt;&amp;") && picture.contains('…'));
}
