//! What a trial is measured by: the symptom table under several seeds, the clean island check by check, and smooth guides beside the
//! rows that count.

use needlebench::bench::checks::{self, Facts, Limits};
use needlebench::bench::measures::{self, Waits};
use needlebench::bench::rig::Rig;
use needlebench::bench::symptoms::{Quantity, Table, moved};
use needlebench::engine::Setup;
use needlebench::engine::params::Setting;

/// Noise seeds that every row is measured with.
const SEEDS: u64 = 3;

/// Shortest snap of the settings a tuner would call right.
pub fn best_snap_delay(setup: &Setup, setting: Setting) -> f64 {
    [-1.0 / 24.0, 0.0, 1.0 / 24.0, 1.0 / 12.0]
        .iter()
        .filter_map(|low| {
            let (rig, _) = measures::settled(setup, moved(setting, 0.0, *low), 1, &Waits::STANDARD);
            measures::snap(rig, &Waits::STANDARD).delay_s
        })
        .fold(4.0, f64::min)
}

/// The rows that come hardest weigh more.
pub fn weight(q: &Quantity) -> f64 {
    // Out of reach together with the rows of S11: see DEVELOPERS.md.
    if q.name.contains("colder day") {
        return 0.02;
    }
    match q.row {
        "S8" | "island" => 2.0,
        "S4" | "S5" | "S6" | "S7" | "S9" => 1.5,
        "S11" | "S13" | "S15" | "S16" => 3.0,
        "guide" => 0.5,
        _ => 1.0,
    }
}

/// Whether a quantity counts: revolutions that missed, engines that died.
pub fn jumps(q: &Quantity) -> bool {
    ["misfire", "missed", "races or dies", "clean after"]
        .iter()
        .any(|word| q.name.contains(word))
}

/// A margin whose far ends are drawn in, so that they keep a slope without outweighing all else.
pub fn compressed(margin: f64) -> f64 {
    if margin < -1.0 {
        -1.0 - (-margin).ln()
    } else {
        margin.min(10.0)
    }
}

/// The table under every seed, and the guides.
pub fn measure(setup: &Setup, setting: Setting, first_seed: u64) -> Vec<Quantity> {
    let best_snap_delay_s = best_snap_delay(setup, setting);
    let mut quantities = Vec::new();
    for seed in first_seed..first_seed + SEEDS {
        let table = Table {
            setup,
            setting,
            seed,
            waits: Waits::STANDARD,
            best_snap_delay_s,
        };
        // Noise decides what fires, hardly what is metered or how hot it gets.
        if seed == first_seed {
            for rows in Table::GROUPS {
                rows(&table, &mut quantities);
            }
        } else {
            table.idle_rows(&mut quantities);
            table.burst_rows(&mut quantities);
            table.island_rows(&mut quantities);
        }
        island(&table, &mut quantities);
        guides(setup, setting, seed, &mut quantities);
    }
    quantities
}

/// The clean island check by check: of a smallest margin the search would see one check at a time, and walk into the next.
pub fn island(table: &Table, out: &mut Vec<Quantity>) {
    let facts = Facts {
        rated_rpm: table.waits.brake_rpm,
        best_snap_delay_s: table.best_snap_delay_s,
    };
    let click = 1.0 / 24.0;
    for (high, low) in [(0.0, 0.0), (click, 0.0), (-click, 0.0), (0.0, click), (0.0, -click)] {
        let setting = moved(table.setting, high, low);
        let report = checks::check(table.setup, facts, setting, table.seed, &Limits::STANDARD, &table.waits);
        out.extend(report.checks.iter().map(|check| Quantity {
            row: "click",
            name: check.name.key(),
            value: check.margin().unwrap_or(-1.0),
            low: 0.0,
            high: f64::INFINITY,
            scale: 0.1,
        }));
    }
}

/// Smooth stand-ins for rows that count: what they want is stricter than the row, and no row.
fn guides(setup: &Setup, setting: Setting, seed: u64, out: &mut Vec<Quantity>) {
    let mut add = |name, value: f64, low, high, scale| {
        out.push(Quantity {
            row: "guide",
            name,
            value,
            low,
            high,
            scale,
        })
    };
    let click = 1.0 / 24.0;
    let settled = |high, low| measures::settled(setup, moved(setting, high, low), seed, &Waits::STANDARD).0;
    let snap = |high, low| measures::snap(settled(high, low), &Waits::STANDARD);
    // What burns at best is nothing that the needles can change.
    let best = setup.laws.firing.best_burnt_share;
    let log = f64::ln;
    let lost = |percent: f64| (100.0 - (100.0 - percent) / best).max(1e-9).ln();
    let inf = f64::INFINITY;
    for (name, high, low) in [
        ("snap, clean: unburnt, ln %", 0.0, 0.0),
        ("snap, high +1/24: unburnt, ln %", click, 0.0),
        ("snap, low +1/24: unburnt, ln %", 0.0, click),
        ("snap, low -1/24: unburnt, ln %", 0.0, -click),
    ] {
        let snap = snap(high, low);
        add(name, lost(snap.unburnt_percent), -inf, log(1.5), 1.0);
    }
    let half = |high, low| {
        let running = Rig::warm(setup, moved(setting, high, low), seed);
        measures::half_throttle(running).unburnt_percent
    };
    add("half, clean: unburnt, ln %", lost(half(0.0, 0.0)), -inf, log(1.0), 1.0);
    add(
        "half, high +1/2 low +1/4: unburnt, ln %",
        lost(half(0.5, 0.25)),
        log(6.0),
        log(50.0),
        1.0,
    );
    add(
        "half, high +1 low +1/2: unburnt, ln %",
        lost(half(1.0, 0.5)),
        log(12.0),
        log(80.0),
        1.0,
    );
    let rich = snap(0.0, 0.5);
    add("snap, low +1/2: lag, s", rich.delay_s.unwrap_or(4.0), 0.3, 1.5, 0.5);
    for (name, high, low) in [
        ("slow opening, clean: unburnt, ln %", 0.0, 0.0),
        ("slow opening, high +1/24: unburnt, ln %", click, 0.0),
        ("slow opening, low +1/24: unburnt, ln %", 0.0, click),
    ] {
        let opened = measures::roll_on(settled(high, low), 6.0);
        add(name, lost(opened.unburnt_percent), -inf, log(4.0), 1.0);
    }
    let rise = |low| measures::pinch(settled(0.0, low)).rise_percent;
    add("pinched, low -1/24: rise, %", rise(-click), 1.2, inf, 0.5);
    add("pinched, low -1/8: rise, %", rise(-0.125), -inf, 0.4, 0.5);
    let quarter = snap(0.0, 0.25);
    add(
        "snap, low +1/4: unburnt, ln %",
        lost(quarter.unburnt_percent),
        -inf,
        log(25.0),
        1.0,
    );
    // The cold engine: what it leaves unburnt as it opens, and how far below its warm idle it still is after 50 s.
    let warm_rpm = measures::settled(setup, setting, seed, &Waits::STANDARD).1.rpm;
    let mut cold = Rig::cold(setup, setting, seed);
    let mut deficit = 0.0;
    for k in 0..5 {
        cold.controls.glow_lead = f64::from(u8::from(k == 0));
        cold.pass(0.25, 7.0);
        cold.controls.glow_lead = 0.0;
        cold.pass(0.0, 3.0);
        if k == 0 {
            let mut opening = cold;
            let unburnt = measures::watch_steady(&mut opening, 0.6, 1.0).unburnt_percent;
            add("cold, opening: unburnt, ln %", lost(unburnt), log(8.0), inf, 1.0);
        }
        let mut look = cold;
        deficit = 100.0 * (1.0 - measures::watch_idle(&mut look, 2.0).rpm / warm_rpm.max(1.0));
    }
    add(
        "cold, after 50 s: idle below the warm one by, %",
        deficit,
        8.5,
        inf,
        4.0,
    );
}
