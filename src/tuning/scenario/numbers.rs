//! The numbers of a scenario's file, group by group: today's weather, how far each screw may be off, how wide what is hidden is drawn,
//! and what may be broken.

use serde::{Deserialize, Serialize};

use crate::engine::params::Faults;
use crate::fluids::air::Weather;
use crate::parameters::parameters;
use crate::tuning::action::Part;

parameters! {
    /// Today's weather.
    WeatherNumbers "weather" {
        /// Air temperature.
        temperature_c: -30 ..= 55, design;
        /// Station pressure.
        pressure_hpa: 500 ..= 1100, design;
        /// Relative humidity.
        humidity_percent: 0 ..= 100, design;
    }
}

impl WeatherNumbers {
    /// As the air has it.
    pub fn weather(&self) -> Weather {
        Weather {
            temperature_c: self.temperature_c,
            pressure_hpa: self.pressure_hpa,
            humidity_percent: self.humidity_percent,
        }
    }
}

parameters! {
    /// How a needle stands at the start, against its true setting: chance draws whether it is off, to which side, and how far.
    NeedleNumbers "start" {
        /// Of a hundred practices, those in which it is off.
        off_percent: 0 ..= 100, design;
        /// Of a hundred of those, the ones in which it is rich.
        rich_percent: 0 ..= 100, design;
        /// Least that it is off, to either side.
        least_turns: 0 ..= 3, design;
        /// Most that it is rich.
        most_rich_turns: 0 ..= 3, design;
        /// Most that it is lean.
        most_lean_turns: 0 ..= 1, design;
    }
}

parameters! {
    /// The same of the idle stop.
    StopNumbers "start" {
        /// Of a hundred practices, those in which it is off.
        off_percent: 0 ..= 100, design;
        /// Of a hundred of those, the ones in which it is fast.
        fast_percent: 0 ..= 100, design;
        /// Least that it is off, to either side.
        least_turns: 0 ..= 3, design;
        /// Most that it is fast.
        most_fast_turns: 0 ..= 4, design;
        /// Most that it is slow.
        most_slow_turns: 0 ..= 3, design;
    }
}

/// Where the screws stand at the start, a table for each.
#[derive(Clone, Copy, Debug, PartialEq, Default, Serialize)]
pub struct StartNumbers {
    /// High-speed needle.
    pub high: NeedleNumbers,
    /// Low-speed needle.
    pub low: NeedleNumbers,
    /// Idle stop.
    pub idle: StopNumbers,
}

/// How far off its true setting a screw may start: up is rich at the needles, fast at the idle stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Off {
    /// How often it is off, 0..1.
    pub chance: f64,
    /// How often it is off upward then, 0..1.
    pub up_chance: f64,
    /// Least and most upward, turns.
    pub up_turns: [f64; 2],
    /// Least and most downward, turns.
    pub down_turns: [f64; 2],
}

impl StartNumbers {
    /// The group's table name in the file.
    pub const GROUP: &'static str = NeedleNumbers::GROUP;
    /// Its tables, in the order of the screws.
    pub const TABLES: [&'static str; 3] = ["high", "low", "idle"];

    /// High, low, idle.
    pub fn offs(&self) -> [Off; 3] {
        let needle = |n: &NeedleNumbers| Off {
            chance: n.off_percent / 100.0,
            up_chance: n.rich_percent / 100.0,
            up_turns: [n.least_turns, n.most_rich_turns],
            down_turns: [n.least_turns, n.most_lean_turns],
        };
        let n = &self.idle;
        let stop = Off {
            chance: n.off_percent / 100.0,
            up_chance: n.fast_percent / 100.0,
            up_turns: [n.least_turns, n.most_fast_turns],
            down_turns: [n.least_turns, n.most_slow_turns],
        };
        [needle(&self.high), needle(&self.low), stop]
    }
}

impl Off {
    /// A side on which it may be off, but by nothing: its most is below its least. The most, where there is one.
    pub fn contradiction(&self) -> Option<f64> {
        let sides = [(self.up_chance, self.up_turns), (1.0 - self.up_chance, self.down_turns)];
        let wrong = sides
            .into_iter()
            .find(|(chance, [least, most])| self.chance * chance > 0.0 && most < least);
        wrong.map(|(_, [_, most])| most)
    }
}

parameters! {
    /// What is hidden, each as the half width of its draw.
    HiddenNumbers "hidden" {
        /// How the places scatter where a screw's ends are felt, in and out alike (drawn from none to twice this).
        zero_turns: 0 ..= 1, design;
        /// Nitromethane against the label, in volume percent.
        nitro_percent: 0 ..= 5, design;
        /// Oil against the label, in volume percent.
        oil_percent: 0 ..= 3, design;
        /// Viscosity of the oil against the book.
        viscosity_share: 0 ..= 0.4, assumed;
        /// Largest share of the charge that a worn sleeve loses (drawn from none to this).
        sleeve_wear_share: 0 ..= 0.2, design;
    }
}

parameters! {
    /// What may be broken, nothing by default: how often one of these parts is, any of them as often as another, and how badly at the
    /// worst (drawn from [`LEAST_SHARE`] of it). Each is a physical link of the model.
    FaultNumbers "fault" {
        /// Of a hundred practices, those in which one of these parts is at fault.
        chance_percent: 0 ..= 100, design;
        /// Air leak behind the carburettor.
        air_leak_mm2: 0 ..= 3, design;
        /// Share of the fuel line that is blocked.
        line_blocked_share: 0 ..= 0.95, design;
        /// Share of the pipe's pressure that the pressure line loses.
        pressure_line_leak_share: 0 ..= 1, design;
        /// Share of the plug's catalytic part that is gone.
        plug_tired_share: 0 ..= 1, design;
        /// Share of the air filter that is blocked.
        filter_blocked_share: 0 ..= 0.95, design;
        /// Brake drag at the wheels.
        brake_drag_n: 0 ..= 60, design;
        /// Share of the time in which the fuel line carries foam.
        foam_share: 0 ..= 1, design;
    }
}

/// A fault is at least this share of the worst: one that is hardly there is none.
pub const LEAST_SHARE: f64 = 0.8;

/// A part at fault, and how badly, in the unit of its key.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fault {
    /// Which.
    pub part: Part,
    /// How badly.
    pub size: f64,
}

impl FaultNumbers {
    /// The parts that may be at fault, each at its worst.
    pub fn worst(&self) -> Vec<Fault> {
        [
            (Part::Leak, self.air_leak_mm2),
            (Part::Line, self.line_blocked_share),
            (Part::Pressure, self.pressure_line_leak_share),
            (Part::Plug, self.plug_tired_share),
            (Part::Filter, self.filter_blocked_share),
            (Part::Brake, self.brake_drag_n),
            (Part::Tank, self.foam_share),
        ]
        .into_iter()
        .filter(|(_, size)| *size > 0.0)
        .map(|(part, size)| Fault { part, size })
        .collect()
    }
}

impl Fault {
    /// As a link of the model, beside a worn sleeve.
    pub fn faults(fault: Option<Self>, sleeve_wear_share: f64) -> Faults {
        let mut faults = Faults {
            sleeve_wear_share,
            ..Faults::NONE
        };
        if let Some(Self { part, size }) = fault {
            *Self::link(&mut faults, part) = size;
        }
        faults
    }

    /// The link of a part.
    pub fn link(faults: &mut Faults, part: Part) -> &mut f64 {
        match part {
            Part::Leak => &mut faults.air_leak_mm2,
            Part::Line => &mut faults.line_blocked_share,
            Part::Pressure => &mut faults.pressure_line_leak_share,
            Part::Plug => &mut faults.plug_tired_share,
            Part::Filter => &mut faults.filter_blocked_share,
            Part::Brake => &mut faults.brake_drag_n,
            Part::Tank => &mut faults.foam_share,
        }
    }
}

parameters! {
    /// What a later day of the same engine brings, besides its weather.
    StageNumbers "stage" {
        /// Fuel in the tank when it begins.
        tank_percent: 10 ..= 100, design;
        /// Share of the charge that the sleeve has lost since the stage before.
        sleeve_wear_share: 0 ..= 0.05, design;
    }
}
