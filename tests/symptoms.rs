//! The symptom table, row by row (S1-S28), from every built-in engine at its reference setting: numbers as the design states them,
//! over twenty seeds of the engine's noise that no search has used. Speeds go in proportion to the engine's rated speed, power to its
//! displacement. Origin of the rows: common practice of the trade unless a quantity's row says otherwise (S3 and S10 computed
//! equilibrium, S11-S12 viscous metering and the correction standards, S17, S26 and S27 Menon and Cadou; S19, the identity in S27 and
//! the exact firing period are tests of the laws).

use needlebench::bench::checks::best_snap_delay_s;
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::symptoms::{GROUPS, Quantity, Table, group};
use needlebench::config::{models, reference_setup};

/// Seeds that neither the search nor any other test uses.
const SEEDS: std::ops::RangeInclusive<u64> = 101..=120;

/// The quantities of a group of rows from an engine, with the noise of every seed.
fn measured(engine: &str, rows: &str) -> Vec<Quantity> {
    let (engine, setup) = reference_setup(engine).unwrap();
    let waits = Waits::rated(engine.rated_rpm);
    let table = Table::new(
        &setup,
        engine.reference,
        SEEDS,
        waits,
        best_snap_delay_s(&setup, engine.reference),
    );
    let quantities = table.rows([group(rows)]);
    assert!(!quantities.is_empty());
    quantities
}

/// Numbers of the table that the model does not show yet at every seed: engine and row; DEVELOPERS.md says of each what is known. A row
/// that begins to hold at all seeds fails its test until it is taken off this list, so the list can't outlive its reasons.
const OPEN: &[(&str, &str)] = &[
    // -0.375 (-0.25 to 0), 20 of 20 seeds
    ("offroad-3.5", "S1 fastest idle at low needle offset, turns"),
    // 3.702 (1.2 to 3), 20 of 20 seeds
    ("offroad-3.5", "S11 fuel 20 K colder: idle over full throttle"),
    // 19.68 (20 to 60), 20 of 20 seeds
    ("offroad-3.5", "S13 head time constant, s"),
    // 8.565 (12 to 30), 20 of 20 seeds
    ("offroad-3.5", "S13 high +1/2: head cooler by, K"),
    // 1.85 (3 to 8), 20 of 20 seeds
    ("offroad-3.5", "S13 race duty, high +1/4: cooler than +1/8 by, K"),
    // 2.268 (3 to 8), 20 of 20 seeds
    ("offroad-3.5", "S13 race duty, high +1/8: head cooler by, K"),
    // 6.386 (7 to 11), 20 of 20 seeds
    ("offroad-3.5", "S15 a tank in race duty, min"),
    // 20 (60 to 240), 20 of 20 seeds
    ("offroad-3.5", "S16 cold: clean after, s"),
    // -10.499 (-5 to 5), 20 of 20 seeds
    ("offroad-3.5", "S16 cold: metered equivalence ratio, %"),
    // 5.982 (at least 10), 2 of 20 seeds
    (
        "offroad-3.5",
        "S18 idle at low +1/2: line at half the firing rate above clean, dB",
    ),
    // -8.878 (at least 0), 20 of 20 seeds
    ("offroad-3.5", "S2 after a burst: the same with low +1/4, more by, %"),
    // 0.753 (1 to 15), 20 of 20 seeds
    ("offroad-3.5", "S2 idle speed from high +1 to clean, %"),
    // -3.527 (at least 0), 4 of 20 seeds
    ("offroad-3.5", "S2 the same with low +1/4, more by, %"),
    // 0.926 (0.1 to 0.9), 20 of 20 seeds
    ("offroad-3.5", "S20 on the track: half throttle over full"),
    // 1.506 (at least 50), 20 of 20 seeds
    ("offroad-3.5", "S24 a minute of idle, low +3/4: falls by, %"),
    // 16.155 (3 to 12), 20 of 20 seeds
    ("offroad-3.5", "S26 compression ratio 8 to 12: best power, %"),
    // 0.753 (at least 1), 20 of 20 seeds
    ("offroad-3.5", "S27 high +1/2: wall heat over exhaust"),
    // 0 (at least 0.5), 20 of 20 seeds
    ("offroad-3.5", "S28 half throttle, needles -1/4: telling signs"),
    // -1.453 (-60 to -5), 20 of 20 seeds
    ("offroad-3.5", "S3 high -1 held 20 s wheels up: speed changes by, %"),
    // -4.558 (-4 to -1), 15 of 20 seeds
    (
        "offroad-3.5",
        "S3 high -1/4 held 20 s on the brake: power changes by, %",
    ),
    // 7.143 (at most 6), 20 of 20 seeds
    ("offroad-3.5", "S5 clean: early excess, %"),
    // 0 (at least 0.5), 20 of 20 seeds
    (
        "offroad-3.5",
        "S6 low -1/2: hangs and dies, races, or bogs without smoke",
    ),
    // 1.22 (2 to 6), 20 of 20 seeds
    ("offroad-3.5", "S6 low -1/8: hangs for, s"),
    // 0.102 (at least 0.7), 20 of 20 seeds
    ("offroad-3.5", "S6 low -1/8: hangs longer than clean by, s"),
    // 1.219 (2 to 6), 20 of 20 seeds
    ("offroad-3.5", "S6 trimmed, low -1/8: hangs for, s"),
    // 0.102 (at least 0.7), 20 of 20 seeds
    ("offroad-3.5", "S6 trimmed, low -1/8: hangs longer than clean by, s"),
    // 1.464 (at least 1.5), 6 of 20 seeds
    ("offroad-3.5", "S7 lag at low +1/2 over clean"),
    // 0 (at least 0.5), 14 of 20 seeds
    ("offroad-3.5", "S7 low +1: bogs or dies"),
    // 1.888 (at least 2), 20 of 20 seeds
    ("offroad-3.5", "S7 puff at low +1/2 over clean (with 0.25 for the eye)"),
    // 2.738 (3 to 6), 20 of 20 seeds
    ("offroad-3.5", "S9 film time constant at idle, s"),
    // 86.547 (50 to 75), 20 of 20 seeds
    ("offroad-3.5", "crankcase clean: crankcase on the brake, °C"),
    // -0.243 (at least 0), 20 of 20 seeds
    ("offroad-3.5", "island high -1/8: margin"),
    // 3.416 (1.2 to 3), 20 of 20 seeds
    ("onroad-2.1", "S11 fuel 20 K colder: idle over full throttle"),
    // -10.259 (-10 to -3), 20 of 20 seeds
    ("onroad-2.1", "S12 20 to 40 °C: best power, %"),
    // 7.042 (12 to 30), 20 of 20 seeds
    ("onroad-2.1", "S13 high +1/2: head cooler by, K"),
    // 1.773 (3 to 8), 20 of 20 seeds
    ("onroad-2.1", "S13 race duty, high +1/4: cooler than +1/8 by, K"),
    // 2.319 (3 to 8), 20 of 20 seeds
    ("onroad-2.1", "S13 race duty, high +1/8: head cooler by, K"),
    // 2.203 (3 to 8), 20 of 20 seeds
    ("onroad-2.1", "S13 race duty, high -1/8: head hotter by, K"),
    // 6.748 (7 to 11), 20 of 20 seeds
    ("onroad-2.1", "S15 a tank in race duty, min"),
    // 20 (60 to 240), 20 of 20 seeds
    ("onroad-2.1", "S16 cold: clean after, s"),
    // -10.347 (-5 to 5), 20 of 20 seeds
    ("onroad-2.1", "S16 cold: metered equivalence ratio, %"),
    // -9.908 (at least 0), 20 of 20 seeds
    ("onroad-2.1", "S2 after a burst: the same with low +1/4, more by, %"),
    // 0.623 (1 to 15), 20 of 20 seeds
    ("onroad-2.1", "S2 idle speed from high +1 to clean, %"),
    // 0.904 (0.1 to 0.9), 20 of 20 seeds
    ("onroad-2.1", "S20 on the track: half throttle over full"),
    // -0.292 (at least 50), 20 of 20 seeds
    ("onroad-2.1", "S24 a minute of idle, low +3/4: falls by, %"),
    // 14.748 (3 to 12), 20 of 20 seeds
    ("onroad-2.1", "S26 compression ratio 8 to 12: best power, %"),
    // 0.778 (at least 1), 20 of 20 seeds
    ("onroad-2.1", "S27 high +1/2: wall heat over exhaust"),
    // 0 (at least 0.5), 20 of 20 seeds
    ("onroad-2.1", "S28 half throttle, needles -1/4: telling signs"),
    // -1.486 (-60 to -5), 20 of 20 seeds
    ("onroad-2.1", "S3 high -1 held 20 s wheels up: speed changes by, %"),
    // -4.895 (-4 to -1), 20 of 20 seeds
    ("onroad-2.1", "S3 high -1/4 held 20 s on the brake: power changes by, %"),
    // 6.615 (at most 6), 13 of 20 seeds
    ("onroad-2.1", "S5 clean: early excess, %"),
    // 0 (at least 0.5), 4 of 20 seeds
    (
        "onroad-2.1",
        "S6 low -1/2: hangs and dies, races, or bogs without smoke",
    ),
    // 1.222 (2 to 6), 20 of 20 seeds
    ("onroad-2.1", "S6 low -1/8: hangs for, s"),
    // 0.101 (at least 0.7), 20 of 20 seeds
    ("onroad-2.1", "S6 low -1/8: hangs longer than clean by, s"),
    // 1.223 (2 to 6), 20 of 20 seeds
    ("onroad-2.1", "S6 trimmed, low -1/8: hangs for, s"),
    // 0.102 (at least 0.7), 20 of 20 seeds
    ("onroad-2.1", "S6 trimmed, low -1/8: hangs longer than clean by, s"),
    // 1.307 (at least 1.5), 20 of 20 seeds
    ("onroad-2.1", "S7 lag at low +1/2 over clean"),
    // 0 (at least 0.5), 20 of 20 seeds
    ("onroad-2.1", "S7 low +1: bogs or dies"),
    // 1.79 (at least 2), 20 of 20 seeds
    ("onroad-2.1", "S7 puff at low +1/2 over clean (with 0.25 for the eye)"),
    // 2.636 (3 to 6), 20 of 20 seeds
    ("onroad-2.1", "S9 film time constant at idle, s"),
    // 95.101 (50 to 75), 20 of 20 seeds
    ("onroad-2.1", "crankcase clean: crankcase on the brake, °C"),
    // -0.137 (at least 0), 20 of 20 seeds
    ("onroad-2.1", "island high -1/8: margin"),
    // -0.375 (-0.25 to 0), 20 of 20 seeds
    ("truggy-4.6", "S1 fastest idle at low needle offset, turns"),
    // 4.178 (1.2 to 3), 20 of 20 seeds
    ("truggy-4.6", "S11 fuel 20 K colder: idle over full throttle"),
    // 135.365 (at most 135), 20 of 20 seeds
    ("truggy-4.6", "S13 a 20 K hotter day: head on the brake, °C"),
    // 18.145 (20 to 60), 20 of 20 seeds
    ("truggy-4.6", "S13 head time constant, s"),
    // 9.886 (12 to 30), 20 of 20 seeds
    ("truggy-4.6", "S13 high +1/2: head cooler by, K"),
    // 2.1 (3 to 8), 20 of 20 seeds
    ("truggy-4.6", "S13 race duty, high +1/4: cooler than +1/8 by, K"),
    // 2.414 (3 to 8), 20 of 20 seeds
    ("truggy-4.6", "S13 race duty, high +1/8: head cooler by, K"),
    // 6.29 (7 to 11), 20 of 20 seeds
    ("truggy-4.6", "S15 a tank in race duty, min"),
    // 30 (60 to 240), 20 of 20 seeds
    ("truggy-4.6", "S16 cold: clean after, s"),
    // -10.405 (-5 to 5), 20 of 20 seeds
    ("truggy-4.6", "S16 cold: metered equivalence ratio, %"),
    // 0 (at least 0.5), 15 of 20 seeds
    (
        "truggy-4.6",
        "S16 cold: missed revolutions at idle and on opening, more by, %",
    ),
    // -9.034 (at least 0), 20 of 20 seeds
    ("truggy-4.6", "S2 after a burst: the same with low +1/4, more by, %"),
    // 0.528 (1 to 15), 20 of 20 seeds
    ("truggy-4.6", "S2 idle speed from high +1 to clean, %"),
    // -2.07 (at least 0), 7 of 20 seeds
    ("truggy-4.6", "S2 the same with low +1/4, more by, %"),
    // 0.924 (0.1 to 0.9), 20 of 20 seeds
    ("truggy-4.6", "S20 on the track: half throttle over full"),
    // 0.745 (at least 50), 20 of 20 seeds
    ("truggy-4.6", "S24 a minute of idle, low +3/4: falls by, %"),
    // 16.494 (3 to 12), 20 of 20 seeds
    ("truggy-4.6", "S26 compression ratio 8 to 12: best power, %"),
    // 0.753 (at least 1), 20 of 20 seeds
    ("truggy-4.6", "S27 high +1/2: wall heat over exhaust"),
    // 0 (at least 0.5), 20 of 20 seeds
    ("truggy-4.6", "S28 half throttle, needles -1/4: telling signs"),
    // -1.259 (-60 to -5), 20 of 20 seeds
    ("truggy-4.6", "S3 high -1 held 20 s wheels up: speed changes by, %"),
    // 0 (at least 0.5), 20 of 20 seeds
    (
        "truggy-4.6",
        "S6 low -1/2: hangs and dies, races, or bogs without smoke",
    ),
    // 1.22 (2 to 6), 20 of 20 seeds
    ("truggy-4.6", "S6 low -1/8: hangs for, s"),
    // 0.206 (at least 0.7), 20 of 20 seeds
    ("truggy-4.6", "S6 low -1/8: hangs longer than clean by, s"),
    // 1.219 (2 to 6), 20 of 20 seeds
    ("truggy-4.6", "S6 trimmed, low -1/8: hangs for, s"),
    // 0.202 (at least 0.7), 20 of 20 seeds
    ("truggy-4.6", "S6 trimmed, low -1/8: hangs longer than clean by, s"),
    // 1.343 (at least 1.5), 20 of 20 seeds
    ("truggy-4.6", "S7 lag at low +1/2 over clean"),
    // 0 (at least 0.5), 3 of 20 seeds
    ("truggy-4.6", "S7 low +1: bogs or dies"),
    // 1.899 (at least 2), 17 of 20 seeds
    ("truggy-4.6", "S7 puff at low +1/2 over clean (with 0.25 for the eye)"),
    // 2.807 (3 to 6), 20 of 20 seeds
    ("truggy-4.6", "S9 film time constant at idle, s"),
    // 86.909 (50 to 75), 20 of 20 seeds
    ("truggy-4.6", "crankcase clean: crankcase on the brake, °C"),
    // -0.334 (at least 0), 20 of 20 seeds
    ("truggy-4.6", "island high -1/8: margin"),
];

fn name(q: &Quantity) -> String {
    format!("{} {}", q.row, q.name)
}

/// Fails with the lines that the list lacks, each number at its worst seed, and with those that it has no more reason for.
fn hold(rows: &str) {
    let mut wrong = Vec::new();
    for engine in models::engine_names() {
        let measured = measured(engine, rows);
        for of_a_name in measured.chunk_by(|a, b| name(a) == name(b)) {
            let name = name(&of_a_name[0]);
            let failed = of_a_name.iter().filter(|q| !q.holds()).count();
            let open = OPEN.contains(&(engine, &name));
            if failed == 0 && open {
                wrong.push(format!(
                    "{engine}: {name} holds at every seed now: take it off the list"
                ));
            } else if failed > 0 && !open {
                let worst = of_a_name.iter().min_by(|a, b| a.margin().total_cmp(&b.margin()));
                let q = worst.unwrap();
                wrong.push(format!(
                    "({engine:?}, {name:?}), // {:.3} at seed {}, not in {:.3}..{:.3}; {failed} of {} seeds",
                    q.value,
                    q.seed,
                    q.low,
                    q.high,
                    of_a_name.len(),
                ));
            }
        }
    }
    let lines: String = wrong.iter().map(|line| format!("    {line}\n")).collect();
    assert!(
        wrong.is_empty(),
        "{} numbers are not as OPEN has it:\n{lines}",
        wrong.len()
    );
}

#[test]
fn idle_answers_both_needles_s1_s2_s18_s24_s28() {
    hold("idle");
}

#[test]
fn return_from_a_burst_s4_s5() {
    hold("burst");
}

#[test]
fn a_lean_low_end_hangs_s6() {
    hold("hang");
}

#[test]
fn snap_half_throttle_free_speed_and_pinch_s7_s8_s20_s22() {
    hold("throttle");
}

#[test]
fn full_throttle_on_the_brake_s3_s13_s14_s15_s17_s25_s27() {
    hold("brake");
}

#[test]
fn film_jet_and_tank_s9_s11_s21() {
    hold("mixture");
}

#[test]
fn fuel_and_weather_s10_s12() {
    hold("weather");
}

#[test]
fn compression_and_size_s26() {
    hold("size");
}

#[test]
fn race_duty_and_the_cold_engine_s13_s15_s16() {
    hold("heat");
}

#[test]
fn a_false_idle_is_exposed_s23() {
    hold("false idle");
}

#[test]
fn the_clean_island_is_as_wide_as_a_racer_expects() {
    hold("island");
}

#[test]
fn every_group_of_rows_is_held() {
    let held = [
        "idle",
        "burst",
        "hang",
        "throttle",
        "brake",
        "mixture",
        "weather",
        "size",
        "heat",
        "false idle",
        "island",
    ];
    let groups: Vec<&str> = GROUPS.iter().map(|group| group.name).collect();
    assert!(groups.iter().all(|name| held.contains(name)), "{groups:?}");
}

#[test]
fn every_number_has_its_own_name_and_what_is_open_has_one() {
    let (engine, setup) = reference_setup("offroad-3.5").unwrap();
    let waits = Waits::rated(engine.rated_rpm);
    let table = Table::new(&setup, engine.reference, [101], waits, f64::NAN);
    let mut names: Vec<String> = table.rows(&GROUPS).iter().map(name).collect();
    let count = names.len();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), count);
    for (engine, row) in OPEN {
        assert!(models::engine_names().contains(engine), "{engine}");
        assert!(names.iter().any(|name| name == row), "{row}");
    }
}

/// Which way an engine fails: one that never runs holds no number of the table.
#[test]
fn a_dead_engine_holds_no_row() {
    let (engine, mut setup) = reference_setup("offroad-3.5").unwrap();
    setup.laws.firing.best_burnt_share = 0.0;
    let waits = Waits::rated(engine.rated_rpm);
    let table = Table::new(&setup, engine.reference, [101], waits, f64::NAN);
    let held: Vec<String> = table
        .rows(&GROUPS)
        .iter()
        .filter(|q| q.binds() && q.holds())
        .map(name)
        .collect();
    assert!(held.is_empty(), "{held:#?}");
}
