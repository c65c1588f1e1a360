//! What a trial is measured by: the symptom table under several seeds, the clean island check by check, and smooth guides beside the
//! rows that count.

use needlebench::bench::checks::{Report, best_snap_delay_s};
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::measures::What;
use needlebench::bench::symptoms::{GROUPS, Off, Quantity, Table, WarmingUp, group, off};
use needlebench::engine::Setup;
use needlebench::engine::params::Setting;

/// Noise seeds that every row is measured with.
const SEEDS: u64 = 3;
/// The smallest turn that a tuner makes.
const LEAST_TURN: f64 = 1.0 / 24.0;

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
    [
        "misfire",
        "missed",
        "races",
        "bogs",
        "dies",
        "signs",
        "burn ",
        "clean after",
    ]
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

/// Subjects whose rows come first, and need no best snap: what takes little time and breaks soon.
const SOON: [&str; 4] = ["idle", "burst", "hang", "throttle"];

/// The first of what [`measure`] measures, in the same order, for a fifth of its time.
pub fn measure_soon(setup: &Setup, setting: Setting, first_seed: u64) -> Vec<Quantity> {
    let seeds = first_seed..first_seed + SEEDS;
    let mut quantities = Table::new(setup, setting, seeds, Waits::STANDARD, f64::NAN).rows(SOON.map(group));
    quantities.retain(Quantity::binds);
    quantities
}

/// The table under every seed, and the guides.
pub fn measure(setup: &Setup, setting: Setting, first_seed: u64) -> Vec<Quantity> {
    let best_snap_delay_s = best_snap_delay_s(setup, setting);
    let table = |seeds| {
        Table::new(
            setup,
            setting,
            first_seed..first_seed + seeds,
            Waits::STANDARD,
            best_snap_delay_s,
        )
    };
    // Noise decides what fires, hardly what is metered or how hot it gets.
    let (every, first) = (table(SEEDS), table(1));
    every.measure(&guided());
    let mut quantities = every.rows(SOON.into_iter().chain(["island"]).map(group).collect::<Vec<_>>());
    let noiseless = ["brake", "mixture", "weather", "size", "heat", "false idle"];
    quantities.extend(first.rows(GROUPS.iter().filter(|group| noiseless.contains(&group.name))));
    quantities.retain(Quantity::binds);
    quantities.extend(around(&every, &NEEDED).into_iter().chain(around(&every, &EDGES)));
    guides(&every, &mut quantities);
    quantities
}

/// The row of a check at the reference itself, of one a click beside it, and of one at the edges of what has to be clean around it.
pub const CLEAN: &str = "clean";
pub const BESIDE: &str = "a click beside";
pub const EDGE: &str = "edge";

/// Where an engine has to be clean to be set at all, the reference first: one that can't be is of no use to anybody, whatever else it
/// shows.
pub const NEEDED: [(&str, Off); 5] = [
    (CLEAN, off(0.0, 0.0)),
    (BESIDE, off(LEAST_TURN, 0.0)),
    (BESIDE, off(-LEAST_TURN, 0.0)),
    (BESIDE, off(0.0, LEAST_TURN)),
    (BESIDE, off(0.0, -LEAST_TURN)),
];

/// And around it.
pub const EDGES: [(&str, Off); 2] = [(EDGE, off(0.125, 0.0)), (EDGE, off(-0.125, 0.0))];

/// Each check of the sign-offs at some places as a row of its own: of a smallest margin the search would see one check at a time, and walk
/// into the next.
pub fn around(table: &Table, places: &[(&'static str, Off)]) -> Vec<Quantity> {
    let offs: Vec<Off> = places.iter().map(|(_, place)| *place).collect();
    let reports = table.reports(&offs);
    let rows = places.iter().zip(&reports);
    rows.flat_map(|((row, _), reports)| of_checks(row, reports)).collect()
}

/// Whether a row is of such a place.
pub fn needed(row: &str) -> bool {
    [CLEAN, BESIDE].contains(&row)
}

/// Whether a row is one check of a sign-off.
pub fn one_check(row: &str) -> bool {
    needed(row) || row == EDGE
}

/// Each check of some sign-offs as a row: its margin, which may not be below nought.
fn of_checks(row: &'static str, reports: &[Report]) -> impl Iterator<Item = Quantity> {
    let checks = reports
        .iter()
        .flat_map(|report| report.checks.iter().map(|check| (report.seed, check)));
    checks.map(move |(seed, check)| Quantity {
        row,
        name: check.name.key(),
        seed,
        value: check.margin().unwrap_or(-1.0),
        low: 0.0,
        high: f64::INFINITY,
        scale: 0.1,
    })
}

const SNAPS: [(&str, Off); 4] = [
    ("snap, clean: unburnt, ln %", off(0.0, 0.0)),
    ("snap, high +1/24: unburnt, ln %", off(LEAST_TURN, 0.0)),
    ("snap, low +1/24: unburnt, ln %", off(0.0, LEAST_TURN)),
    ("snap, low -1/24: unburnt, ln %", off(0.0, -LEAST_TURN)),
];
const OPENINGS: [(&str, Off); 3] = [
    ("slow opening, clean: unburnt, ln %", off(0.0, 0.0)),
    ("slow opening, high +1/24: unburnt, ln %", off(LEAST_TURN, 0.0)),
    ("slow opening, low +1/24: unburnt, ln %", off(0.0, LEAST_TURN)),
];
const RICH: Off = off(0.0, 0.5);
const QUARTER: Off = off(0.0, 0.25);
const LEAN: [Off; 2] = [off(0.0, -LEAST_TURN), off(0.0, -0.125)];
/// Half throttle: name, place, least and most of the charge left unburnt, percent.
const HALVES: [(&str, Off, f64, f64); 3] = [
    ("half, clean: unburnt, ln %", off(0.0, 0.0), 0.0, 1.0),
    ("half, high +1/2 low +1/4: unburnt, ln %", off(0.5, 0.25), 6.0, 50.0),
    ("half, high +1 low +1/2: unburnt, ln %", off(1.0, 0.5), 12.0, 80.0),
];

/// What the guides measure, to be taken in one go.
fn guided() -> Vec<(Off, What)> {
    let snaps = SNAPS.iter().map(|s| s.1).chain([RICH, QUARTER]);
    let mut asks: Vec<_> = snaps.map(|place| (place, What::Snap)).collect();
    asks.extend(OPENINGS.map(|(_, place)| (place, What::RollOn)));
    asks.extend(HALVES.map(|(_, place, ..)| (place, What::HalfRunning)));
    asks.extend(LEAN.map(|place| (place, What::Pinch)));
    asks
}

/// Smooth stand-ins for rows that count: what they want is stricter than the row, and no row.
fn guides(table: &Table, out: &mut Vec<Quantity>) {
    let mut add = |name, values: Vec<f64>, (low, high): (f64, f64), scale| {
        out.extend(table.seeds().iter().zip(values).map(|(seed, value)| Quantity {
            row: "guide",
            name,
            seed: *seed,
            value,
            low,
            high,
            scale,
        }));
    };
    let inf = f64::INFINITY;
    // What burns at best is nothing that the needles can change.
    let best = table.setup().laws.firing.best_burnt_share;
    let lost = |percent: f64| (100.0 - (100.0 - percent) / best).max(1e-9).ln();
    let snap = |place| -> Vec<f64> { table.snap(place).iter().map(|s| lost(s.unburnt_percent)).collect() };
    for (name, place) in SNAPS {
        add(name, snap(place), (-inf, 1.5_f64.ln()), 1.0);
    }
    add("snap, low +1/4: unburnt, ln %", snap(QUARTER), (-inf, 25_f64.ln()), 1.0);
    let lags = table.snap(RICH).iter().map(|s| s.delay_s.unwrap_or(4.0)).collect();
    add("snap, low +1/2: lag, s", lags, (0.3, 1.5), 0.5);
    for (name, place, least, most) in HALVES {
        let halves = table.half_running(place);
        let unburnt = halves.iter().map(|h| lost(h.unburnt_percent)).collect();
        add(name, unburnt, (least.ln(), most.ln()), 1.0);
    }
    for (name, place) in OPENINGS {
        let opened = table.roll_on(place);
        let unburnt = opened.iter().map(|r| lost(r.unburnt_percent)).collect();
        add(name, unburnt, (-inf, 4_f64.ln()), 1.0);
    }
    let rise = |place| -> Vec<f64> { table.pinch(place).iter().map(|p| p.rise_percent).collect() };
    add("pinched, low -1/24: rise, %", rise(LEAN[0]), (1.2, inf), 0.5);
    add("pinched, low -1/8: rise, %", rise(LEAN[1]), (-inf, 0.4), 0.5);
    // The cold engine: what it leaves unburnt as it opens, and how far below its warm idle it still is after 50 s.
    let mut warming = WarmingUp::begin(table);
    warming.round();
    let opening = warming.opening();
    let unburnt = opening.iter().map(|s| lost(s.unburnt_percent)).collect();
    add("cold, opening: unburnt, ln %", unburnt, (8_f64.ln(), inf), 1.0);
    for _ in 1..5 {
        warming.round();
    }
    let (warm, cold) = (table.idle(off(0.0, 0.0)), warming.look());
    let deficits = cold
        .iter()
        .zip(&warm)
        .map(|(cold, warm)| 100.0 * (1.0 - cold.rpm / warm.rpm.max(1.0)));
    add(
        "cold, after 50 s: idle below the warm one by, %",
        deficits.collect(),
        (8.5, inf),
        4.0,
    );
}
