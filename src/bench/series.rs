//! A manoeuvre against time: what the throttle, the load and the fuel line do, and the engine's answer at 100 rows a second.

use super::manoeuvre::Manoeuvre;
use super::player::{Cursor, Now, Observer, Pace, Unseen};
use super::rig::Rig;
use crate::engine::state::{Revolution, State};
use crate::units::{celsius_from_kelvin, mg_from_kilogram, rpm_from_rev_per_second};

/// Rows per second.
pub const ROWS_PER_SECOND: f64 = 100.0;

/// One row of the answer; averages over the row weigh by time.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Row {
    /// End of the row.
    pub time_s: f64,
    /// Throttle, 0..1.
    pub throttle: f64,
    /// Engine speed; 0 when it has died.
    pub engine_rpm: f64,
    /// Metered by the carburettor, oil inert; none while no air flows.
    pub equivalence_ratio: Option<f64>,
    /// Dry air per whole blend, by mass; none while no fuel flows.
    pub air_fuel_ratio: Option<f64>,
    /// Share of the charge that burnt.
    pub burnt_share: f64,
    /// Fuel in the crankcase film.
    pub fuel_film_mg: f64,
    /// Head.
    pub head_temperature_c: f64,
    /// Plug element.
    pub plug_temperature_c: f64,
    /// Plume.
    pub smoke_opacity_percent: f64,
    /// Whole blend.
    pub fuel_flow_mg_per_s: f64,
    /// At the shaft, after friction.
    pub power_w: f64,
    /// Left in the tank.
    pub tank_ml: f64,
    /// Piston's crown.
    pub crown_temperature_c: f64,
    /// The charge as the ports close; none once the engine stands.
    pub charge_temperature_c: Option<f64>,
    /// Fuel at the jet; none while none flows.
    pub fuel_temperature_c: Option<f64>,
    /// Exhaust gas in the pipe.
    pub exhaust_temperature_c: f64,
}

/// Column names of the CSV, in order.
pub const COLUMNS: [&str; 17] = [
    "time_s",
    "throttle",
    "engine_rpm",
    "equivalence_ratio",
    "air_fuel_ratio",
    "burnt_share",
    "fuel_film_mg",
    "head_temperature_c",
    "plug_temperature_c",
    "smoke_opacity_percent",
    "fuel_flow_mg_per_s",
    "power_w",
    "tank_ml",
    "crown_temperature_c",
    "charge_temperature_c",
    "fuel_temperature_c",
    "exhaust_temperature_c",
];

impl Row {
    /// The values in the order of [`COLUMNS`].
    pub fn values(&self) -> [Option<f64>; 17] {
        [
            Some(self.time_s),
            Some(self.throttle),
            Some(self.engine_rpm),
            self.equivalence_ratio,
            self.air_fuel_ratio,
            Some(self.burnt_share),
            Some(self.fuel_film_mg),
            Some(self.head_temperature_c),
            Some(self.plug_temperature_c),
            Some(self.smoke_opacity_percent),
            Some(self.fuel_flow_mg_per_s),
            Some(self.power_w),
            Some(self.tank_ml),
            Some(self.crown_temperature_c),
            self.charge_temperature_c,
            self.fuel_temperature_c,
            Some(self.exhaust_temperature_c),
        ]
    }
}

/// What adds up over a row.
#[derive(Clone, Copy, Debug, Default)]
struct Sum {
    seconds: f64,
    turns: f64,
    air: f64,
    blend: f64,
    burnt: f64,
    opacity: f64,
    work: f64,
    /// Seconds in which the engine turns, and its charge's temperature over them.
    turning: f64,
    charge: f64,
    /// The same while fuel flows.
    flowing: f64,
    fuel: f64,
}

impl Sum {
    /// Takes in a revolution's part of `part` seconds.
    fn add(&mut self, r: &Revolution, part: f64) {
        let share = part / r.duration;
        self.seconds += part;
        self.turns += if r.speed > 0.0 { share } else { 0.0 };
        self.air += r.air_in * share;
        self.blend += (r.fuel_in + r.oil_in) * share;
        self.burnt += r.burnt_share * part;
        self.opacity += r.opacity * part;
        self.work += r.shaft_work * share;
        if r.speed > 0.0 {
            self.turning += part;
            self.charge += r.charge_temperature * part;
        }
        if r.fuel_in > 0.0 {
            self.flowing += part;
            self.fuel += r.fuel_temperature * part;
        }
    }
}

/// Watches a run row by row.
#[derive(Clone, Debug)]
struct Rows {
    rows: Vec<Row>,
    sum: Sum,
    /// Rows at most.
    most: usize,
    /// Start of the run, and end of the revolution before, on the engine's clock, s.
    start: f64,
    before: f64,
    stoichiometric: f64,
    /// kg/m³; turns the tank's mass into ml.
    fuel_density: f64,
}

impl Observer for Rows {
    fn see(&mut self, now: &Now, r: &Revolution, state: &State) {
        let mut left = r.duration;
        let end = (self.before - self.start) + r.duration;
        self.before = state.time;
        // A revolution is spread over the rows it spans: at idle one row holds about two, on a dead engine a step spans two rows.
        while left > 0.0 && self.rows.len() < self.most {
            let boundary = (self.rows.len() + 1) as f64 / ROWS_PER_SECOND;
            let part = left.min((boundary - (end - left)).max(0.0));
            self.sum.add(r, part);
            left -= part;
            if left <= 0.0 && end < boundary {
                break;
            }
            let row = self.row(boundary, now, state);
            self.rows.push(row);
            self.sum = Sum::default();
        }
    }
}

impl Rows {
    fn row(&self, time_s: f64, now: &Now, state: &State) -> Row {
        let sum = &self.sum;
        let seconds = sum.seconds.max(1e-12);
        let mean_c = |sum: f64, over: f64| (over > 0.0).then(|| celsius_from_kelvin(sum / over));
        let ratio = (sum.blend > 1e-12 && sum.air > 1e-12).then(|| sum.air / sum.blend);
        Row {
            time_s,
            throttle: now.throttle,
            engine_rpm: rpm_from_rev_per_second(sum.turns / seconds),
            equivalence_ratio: (sum.air > 1e-12).then(|| self.stoichiometric * sum.blend / sum.air),
            air_fuel_ratio: ratio,
            burnt_share: sum.burnt / seconds,
            fuel_film_mg: mg_from_kilogram(state.film_fuel),
            head_temperature_c: celsius_from_kelvin(state.head_temperature),
            plug_temperature_c: celsius_from_kelvin(state.plug_temperature),
            smoke_opacity_percent: 100.0 * sum.opacity / seconds,
            fuel_flow_mg_per_s: mg_from_kilogram(sum.blend / seconds),
            power_w: sum.work / seconds,
            tank_ml: state.tank_fuel / self.fuel_density * 1e6,
            crown_temperature_c: celsius_from_kelvin(state.crown_temperature),
            charge_temperature_c: mean_c(sum.charge, sum.turning),
            fuel_temperature_c: mean_c(sum.fuel, sum.flowing),
            exhaust_temperature_c: celsius_from_kelvin(state.pipe_temperature),
        }
    }
}

/// Plays a manoeuvre to its end; `fuel_density` (kg/m³) turns the tank's mass into ml.
pub fn run(rig: &mut Rig, manoeuvre: &Manoeuvre, pace: Pace, fuel_density: f64) -> Vec<Row> {
    run_beside(rig, manoeuvre, pace, fuel_density, Unseen).0
}

/// The same while somebody else watches, who comes back.
pub fn run_beside<O: Observer>(
    rig: &mut Rig,
    manoeuvre: &Manoeuvre,
    pace: Pace,
    fuel_density: f64,
    watch: O,
) -> (Vec<Row>, O) {
    let most = (manoeuvre.longest_s() * ROWS_PER_SECOND + 1e-6) as usize;
    let rows = Rows {
        rows: Vec::with_capacity(most),
        sum: Sum::default(),
        most,
        start: rig.state.time,
        before: rig.state.time,
        stoichiometric: rig.engine.stoichiometric_air_fuel_ratio(),
        fuel_density,
    };
    let both = rig.advance(manoeuvre, &mut Cursor::new(pace), f64::INFINITY, (rows, watch));
    (both.0.rows, both.1)
}
