//! A manoeuvre against time: what the throttle, the load and the fuel line do, and the engine's answer at 100 rows a second.

use super::measures::LAP;
use super::rig::Rig;
use crate::engine::state::Load;

/// Rows per second.
pub const ROWS_PER_SECOND: f64 = 100.0;

/// A throttle position that holds from its time on (or is approached in a straight line from the row before).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Seconds from the start.
    pub time_s: f64,
    /// Throttle, 0..1.
    pub throttle: f64,
}

/// What the hands do over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// Points in order of time; between two the throttle moves in a straight line.
    pub points: Vec<Point>,
    /// What the engine drives.
    pub load: Load,
    /// When the fuel line is pinched, if it is, s.
    pub pinch_at_s: Option<f64>,
}

/// The named manoeuvres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manoeuvre {
    /// 60 s with the throttle shut.
    Idle,
    /// A slow opening to full.
    RollOn,
    /// Steady half throttle.
    Half,
    /// Full throttle, shut, hold.
    Burst,
    /// Clear out twice, idle the wait, full.
    Snap,
    /// Full throttle held at one speed by a brake.
    Brake,
    /// The fuel line pinched at idle.
    Pinch,
    /// Race duty on the track.
    Laps,
}

impl Manoeuvre {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Idle,
        Self::RollOn,
        Self::Half,
        Self::Burst,
        Self::Snap,
        Self::Brake,
        Self::Pinch,
        Self::Laps,
    ];

    /// Its name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::Idle => "idle",
            Self::RollOn => "roll-on",
            Self::Half => "half",
            Self::Burst => "burst",
            Self::Snap => "snap",
            Self::Brake => "brake",
            Self::Pinch => "pinch",
            Self::Laps => "laps",
        }
    }

    /// What the hands do; `brake_rpm` is the speed that a brake would hold.
    pub fn trace(self, brake_rpm: f64) -> Trace {
        // A throttle hand takes a twentieth of a second from stop to stop.
        let steps = |list: &[(f64, f64)]| -> Vec<Point> {
            let mut points = Vec::new();
            let mut time_s = 0.0;
            for (seconds, throttle) in list {
                if time_s > 0.0 {
                    points.push(Point {
                        time_s: time_s + 0.05,
                        throttle: *throttle,
                    });
                } else {
                    points.push(Point {
                        time_s,
                        throttle: *throttle,
                    });
                }
                time_s += seconds;
                points.push(Point {
                    time_s,
                    throttle: *throttle,
                });
            }
            points
        };
        let (points, load, pinch_at_s) = match self {
            Self::Idle => (steps(&[(60.0, 0.0)]), Load::Stand, None),
            Self::RollOn => (
                vec![
                    Point {
                        time_s: 0.0,
                        throttle: 0.0,
                    },
                    Point {
                        time_s: 5.0,
                        throttle: 0.0,
                    },
                    Point {
                        time_s: 13.0,
                        throttle: 1.0,
                    },
                    Point {
                        time_s: 15.0,
                        throttle: 1.0,
                    },
                ],
                Load::Stand,
                None,
            ),
            Self::Half => (steps(&[(3.0, 0.0), (12.0, 0.5)]), Load::Stand, None),
            Self::Burst => (steps(&[(12.0, 0.0), (1.5, 1.0), (12.0, 0.0)]), Load::Stand, None),
            Self::Snap => (
                steps(&[(1.0, 1.0), (1.5, 0.0), (1.0, 1.0), (10.0, 0.0), (3.0, 1.0), (2.0, 0.0)]),
                Load::Stand,
                None,
            ),
            Self::Brake => (steps(&[(60.0, 1.0)]), Load::Brake(brake_rpm / 60.0), None),
            Self::Pinch => (steps(&[(30.0, 0.0)]), Load::Stand, Some(10.0)),
            Self::Laps => {
                let three: Vec<(f64, f64)> = LAP.iter().cycle().take(3 * LAP.len()).copied().collect();
                (steps(&three), Load::Track, None)
            }
        };
        Trace {
            points,
            load,
            pinch_at_s,
        }
    }
}

impl Trace {
    /// Throttle at a time.
    pub fn throttle(&self, time_s: f64) -> f64 {
        let after = self.points.partition_point(|p| p.time_s <= time_s);
        match (
            after.checked_sub(1).and_then(|i| self.points.get(i)),
            self.points.get(after),
        ) {
            (Some(a), Some(b)) => a.throttle + (b.throttle - a.throttle) * (time_s - a.time_s) / (b.time_s - a.time_s),
            (Some(a), None) => a.throttle,
            (None, Some(b)) => b.throttle,
            (None, None) => 0.0,
        }
    }

    /// Its length, s.
    pub fn duration_s(&self) -> f64 {
        self.points.last().map_or(0.0, |p| p.time_s)
    }
}

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
}

/// Column names of the CSV, in order.
pub const COLUMNS: [&str; 13] = [
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
];

impl Row {
    /// The values in the order of [`COLUMNS`].
    pub fn values(&self) -> [Option<f64>; 13] {
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
        ]
    }
}

#[derive(Default)]
struct Sum {
    seconds: f64,
    turns: f64,
    air: f64,
    blend: f64,
    burnt: f64,
    opacity: f64,
    work: f64,
}

/// Runs a trace; `fuel_density` (kg/m³) turns the tank's mass into ml.
pub fn run(rig: &mut Rig, trace: &Trace, fuel_density: f64) -> Vec<Row> {
    let start = rig.state.time;
    *rig = rig.with_load(trace.load);
    let length = trace.duration_s();
    let mut rows = Vec::with_capacity((length * ROWS_PER_SECOND) as usize + 1);
    let mut sum = Sum::default();
    let mut next = 1.0;
    let stoichiometric = rig.engine.stoichiometric_air_fuel_ratio();
    while next <= length * ROWS_PER_SECOND + 1e-9 {
        let time = rig.state.time - start;
        rig.controls.throttle = trace.throttle(time).clamp(0.0, 1.0);
        rig.controls.line_open = f64::from(u8::from(trace.pinch_at_s.is_none_or(|at| time < at)));
        let r = rig.turn();
        let duration = r.duration;
        let alive = r.speed > 0.0;
        let mut left = duration;
        let end = time + duration;
        // A revolution is spread over the rows it spans: at idle one row holds about two, on a dead engine a step spans two rows.
        while left > 0.0 && next <= length * ROWS_PER_SECOND + 1e-9 {
            let boundary = next / ROWS_PER_SECOND;
            let part = left.min((boundary - (end - left)).max(0.0));
            let share = part / duration;
            sum.seconds += part;
            sum.turns += if alive { share } else { 0.0 };
            sum.air += r.air_in * share;
            sum.blend += (r.fuel_in + r.oil_in) * share;
            sum.burnt += r.burnt_share * part;
            sum.opacity += r.opacity * part;
            sum.work += r.shaft_work * share;
            left -= part;
            if left <= 0.0 && end < boundary {
                break;
            }
            let seconds = sum.seconds.max(1e-12);
            let ratio = (sum.blend > 1e-12 && sum.air > 1e-12).then(|| sum.air / sum.blend);
            rows.push(Row {
                time_s: boundary,
                throttle: rig.controls.throttle,
                engine_rpm: sum.turns / seconds * 60.0,
                equivalence_ratio: (sum.air > 1e-12).then(|| stoichiometric * sum.blend / sum.air),
                air_fuel_ratio: ratio,
                burnt_share: sum.burnt / seconds,
                fuel_film_mg: rig.state.film_fuel * 1e6,
                head_temperature_c: rig.state.head_temperature - 273.15,
                plug_temperature_c: rig.state.plug_temperature - 273.15,
                smoke_opacity_percent: 100.0 * sum.opacity / seconds,
                fuel_flow_mg_per_s: sum.blend / seconds * 1e6,
                power_w: sum.work / seconds,
                tank_ml: rig.state.tank_fuel / fuel_density * 1e6,
            });
            sum = Sum::default();
            next += 1.0;
        }
    }
    rows
}
