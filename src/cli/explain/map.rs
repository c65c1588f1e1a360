//! `explain --map`: the plane of both needles with its islands, as a picture, a table or JSON; and how they move with fuel and weather.

use std::path::PathBuf;

use clap::Args;
use needlebench::bench::checks::{CheckName, Facts, Limits};
use needlebench::config::EngineModel;
use needlebench::engine::params::{Faults, Setting};
use needlebench::fluids::air::Weather;
use needlebench::fluids::fuel::Blend;
use needlebench::insight::effects::Model;
use needlebench::insight::plane::{Frame, Island, Plane};
use needlebench::plot;
use needlebench::practise::words::check_name;

use super::{Arguments, CAUTION, Today, write};
use crate::cli::bar::Bar;
use crate::cli::options::{FuelOptions, WeatherOptions, number};
use crate::cli::signals::Asked;
use crate::cli::{Answer, Failure, output};

/// The map, and the other day that is laid over it.
#[derive(Args, Clone, Debug)]
#[command(next_help_heading = "Map")]
pub struct MapOptions {
    /// The map of clean settings around the setting: high-speed by low-speed needle
    #[arg(long)]
    pub map: bool,
    /// Fields a side
    #[arg(long, value_name = "N", default_value = "64", value_parser = ["32", "64", "128"], requires = "map")]
    fields: String,
    /// Write the map's fields to this file as CSV, `-` for standard output
    #[arg(long, value_name = "FILE.csv", requires = "map")]
    pub csv: Option<PathBuf>,
    /// A path over the map: stops as HIGH,LOW in turns open, one after the other
    #[arg(long, value_name = "HIGH,LOW", num_args = 1.., requires = "map", value_parser = stop)]
    path: Vec<(f64, f64)>,
    /// The same engine on another fuel: its island is laid over the map
    #[arg(long, value_name = "NAME|FILE", requires = "map", conflicts_with_all = ["and_nitro", "and_oil"])]
    and_fuel: Option<String>,
    /// The other fuel's nitromethane, percent by volume
    #[arg(long, value_name = "PERCENT", requires = "map", allow_negative_numbers = true, value_parser = number(0.0, 100.0, "percent"))]
    and_nitro: Option<f64>,
    /// The other fuel's oil, percent by volume
    #[arg(long, value_name = "PERCENT", requires = "map", allow_negative_numbers = true,
          value_parser = number(0.0, Blend::MAX_OIL_PERCENT, "percent"))]
    and_oil: Option<f64>,
    /// The other day's air, °C
    #[arg(long, value_name = "C", requires = "map", allow_negative_numbers = true,
          value_parser = number(*Weather::TEMPERATURE_C.start(), *Weather::TEMPERATURE_C.end(), "°C"))]
    and_temperature_c: Option<f64>,
    /// The other day's air pressure, hPa
    #[arg(long, value_name = "HPA", requires = "map", allow_negative_numbers = true, conflicts_with = "and_altitude_m",
          value_parser = number(*Weather::PRESSURE_HPA.start(), *Weather::PRESSURE_HPA.end(), "hPa"))]
    and_pressure_hpa: Option<f64>,
    /// The other track's altitude, m
    #[arg(long, value_name = "M", requires = "map", allow_negative_numbers = true, value_parser = number(-500.0, 5500.0, "m"))]
    and_altitude_m: Option<f64>,
    /// The other day's humidity, percent
    #[arg(long, value_name = "PERCENT", requires = "map", allow_negative_numbers = true, value_parser = number(0.0, 100.0, "percent"))]
    and_humidity_percent: Option<f64>,
}

/// Reads a stop of a path.
fn stop(text: &str) -> Result<(f64, f64), String> {
    let most = EngineModel::MOST_OPEN;
    let wrong = || {
        format!(
            "not a stop; allowed HIGH,LOW with 0 to {} and 0 to {} turns; write it like 3.25,1.125",
            most.high_turns, most.low_turns
        )
    };
    let (high, low) = text.split_once(',').ok_or_else(wrong)?;
    let read = |text: &str, most: f64| {
        text.trim()
            .parse::<f64>()
            .ok()
            .filter(|turns| (0.0..=most).contains(turns))
    };
    read(high, most.high_turns)
        .zip(read(low, most.low_turns))
        .ok_or_else(wrong)
}

impl MapOptions {
    /// The other day on which the same engine runs, if one is asked for.
    fn other(&self, arguments: &Arguments, today: &Today) -> Result<Option<Today>, Failure> {
        let weather = &arguments.weather;
        let air = [
            self.and_temperature_c,
            self.and_pressure_hpa,
            self.and_altitude_m,
            self.and_humidity_percent,
        ];
        let fuels = self.and_fuel.is_some() || self.and_nitro.is_some() || self.and_oil.is_some();
        if !fuels && air.iter().all(Option::is_none) {
            return Ok(None);
        }
        let moved = self.and_pressure_hpa.is_some() || self.and_altitude_m.is_some();
        let weather = WeatherOptions {
            temperature_c: self.and_temperature_c.unwrap_or(weather.temperature_c),
            temperature_f: weather.temperature_f.filter(|_| self.and_temperature_c.is_none()),
            pressure_hpa: if moved {
                self.and_pressure_hpa
            } else {
                weather.pressure_hpa
            },
            pressure_inhg: weather.pressure_inhg.filter(|_| !moved),
            altitude_m: if moved { self.and_altitude_m } else { weather.altitude_m },
            humidity_percent: self.and_humidity_percent.unwrap_or(weather.humidity_percent),
        }
        .weather();
        let mut models = today.models.clone();
        if fuels {
            let blend = today.models.fuel.blend;
            let named = self.and_fuel.is_some();
            models.fuel = FuelOptions {
                fuel: self.and_fuel.clone(),
                nitro: (!named).then(|| self.and_nitro.unwrap_or(blend.nitro_percent)),
                oil: (!named).then(|| self.and_oil.unwrap_or(blend.oil_percent)),
                castor_share: (!named).then_some(blend.castor_share),
            }
            .load(&models.engine.reference_fuel)
            .map_err(|failure| match failure {
                Failure::Usage {
                    what, allowed, remedy, ..
                } => Failure::Usage {
                    flag: "--and-nitro, --and-oil",
                    what,
                    allowed,
                    remedy,
                },
                other => other,
            })?;
        }
        let setup = models.setup(&weather, Faults::NONE)?;
        Ok(Some(Today {
            models,
            setup,
            weather,
            setting: today.setting,
            seed: today.seed,
        }))
    }
}

#[derive(serde::Serialize)]
struct FieldJson<'a> {
    high_turns: f64,
    low_turns: f64,
    race_clean: bool,
    safe_clean: bool,
    dies: bool,
    equivalence_ratio_full: Option<f64>,
    equivalence_ratio_idle: Option<f64>,
    margins: &'a [Option<f64>],
}

#[derive(serde::Serialize)]
struct MapJson<'a> {
    seed: u64,
    engine: &'a str,
    fuel: &'a str,
    setting: Setting,
    fields_a_side: usize,
    step_turns: [f64; 2],
    checks: &'a [CheckName],
    race_island: Option<Island>,
    safe_island: Option<Island>,
    other_race_island: Option<Island>,
    other_safe_island: Option<Island>,
    fields: Vec<FieldJson<'a>>,
}

/// Makes the map and writes it.
pub fn run(arguments: &Arguments, today: &Today) -> Result<Answer, Failure> {
    let options = &arguments.map;
    let other = options.other(arguments, today)?;
    let asked = Asked::listen().map_err(|cause| Failure::Terminal { cause })?;
    let fields = options.fields.parse().unwrap_or(64);
    let mut bar = Bar::new("map");
    let days: Vec<&Today> = std::iter::once(today).chain(&other).collect();
    let mut planes = Vec::with_capacity(days.len());
    for (k, day) in days.iter().enumerate() {
        let model = Model {
            setup: &day.setup,
            facts: Facts::of(&day.models.engine, &day.setup),
        };
        let mut plane = Plane::begin(Frame::around(day.setting, fields), day.seed);
        loop {
            let share = plane.go_on(&model, &Limits::STANDARD);
            bar.show((k as f64 + share) / days.len() as f64);
            if share >= 1.0 {
                break;
            }
            if asked.is_set() {
                drop(bar);
                output::say("interrupted: the map was not finished, and nothing is written");
                return Ok(Answer::Interrupted);
            }
        }
        planes.push(plane);
    }
    drop(bar);
    let plane = &planes[0];
    let (race, safe) = (plane.race(), plane.safe());
    let told = if arguments.answer.json {
        output::json(&json(today, &planes, [&race, &safe]))?
    } else {
        text(today, &days, &planes, [&race, &safe])
    };
    let mut pictures = Vec::new();
    if arguments.plot.is_some() {
        let path: Vec<Setting> = options
            .path
            .iter()
            .map(|(high_turns, low_turns)| Setting {
                high_turns: *high_turns,
                low_turns: *low_turns,
                ..today.setting
            })
            .collect();
        let subject = today.subject(today.setting);
        pictures.push(("map.svg".to_string(), plot::plane::svg(&subject, plane, &path)?));
        if let [here, then] = &planes[..] {
            let subjects = [&subject, &days[1].subject(today.setting)];
            pictures.push(("map-moved.svg".to_string(), plot::plane::moved(subjects, [here, then])?));
        }
    }
    write(arguments, &told, Some(&csv(plane, [&race, &safe])), &pictures)?;
    let clean = race.iter().any(|margin| *margin >= 0.0);
    Ok(if clean { Answer::Yes } else { Answer::No })
}

fn json<'a>(today: &'a Today, planes: &'a [Plane], [race, safe]: [&[f64]; 2]) -> MapJson<'a> {
    let plane = &planes[0];
    let n = plane.frame.fields;
    let other = planes.get(1);
    MapJson {
        seed: plane.seed,
        engine: &today.models.engine.name,
        fuel: &today.models.fuel.name,
        setting: today.setting,
        fields_a_side: n,
        step_turns: plane.frame.step,
        checks: CheckName::ALL,
        race_island: plane.island(race),
        safe_island: plane.island(safe),
        other_race_island: other.and_then(|other| other.island(&other.race())),
        other_safe_island: other.and_then(|other| other.island(&other.safe())),
        fields: plane
            .fields
            .iter()
            .enumerate()
            .map(|(at, field)| {
                let setting = plane.frame.setting((at % n) as f64, (at / n) as f64);
                FieldJson {
                    high_turns: setting.high_turns,
                    low_turns: setting.low_turns,
                    race_clean: field.clean,
                    safe_clean: safe[at] >= 0.0,
                    dies: field.dies,
                    equivalence_ratio_full: field.equivalence_ratio_full,
                    equivalence_ratio_idle: field.equivalence_ratio_idle,
                    margins: &field.margins,
                }
            })
            .collect(),
    }
}

fn csv(plane: &Plane, [race, safe]: [&[f64]; 2]) -> String {
    let n = plane.frame.fields;
    let margins: Vec<String> = CheckName::ALL
        .iter()
        .map(|name| format!("{}_margin", name.key()))
        .collect();
    let mut out = format!(
        "high_turns,low_turns,race_clean,safe_clean,dies,equivalence_ratio_full,equivalence_ratio_idle,{}\n",
        margins.join(",")
    );
    for (at, field) in plane.fields.iter().enumerate() {
        let setting = plane.frame.setting((at % n) as f64, (at / n) as f64);
        let number = |value: Option<f64>| value.map_or(String::new(), |value| format!("{value:.5}"));
        let cells = [field.equivalence_ratio_full, field.equivalence_ratio_idle];
        let cells: Vec<String> = cells.iter().chain(&field.margins).map(|value| number(*value)).collect();
        let flags = [race[at] >= 0.0, safe[at] >= 0.0, field.dies].map(|flag| u8::from(flag).to_string());
        out += &format!(
            "{:.5},{:.5},{},{}\n",
            setting.high_turns,
            setting.low_turns,
            flags.join(","),
            cells.join(",")
        );
    }
    out
}

/// Columns and rows of the map in letters.
const LETTERS: usize = 32;

fn text(today: &Today, days: &[&Today], planes: &[Plane], [race, safe]: [&[f64]; 2]) -> String {
    let plane = &planes[0];
    let n = plane.frame.fields;
    let mut out = format!("{} {}\n\n", today.heading(), today.seed);
    let every = n / LETTERS;
    for row in (0..n).step_by(every).rev() {
        let letter = |column: usize| {
            let at = row * n + column;
            match () {
                () if safe[at] >= 0.0 => 'S',
                () if race[at] >= 0.0 => 'C',
                () if plane.fields[at].dies => 'x',
                () => '.',
            }
        };
        let letters: String = (0..n).step_by(every).map(letter).collect();
        out += &format!("  {:6.3}  {letters}\n", plane.frame.setting(0.0, row as f64).low_turns);
    }
    let ends = [0.0, (n - every) as f64].map(|column| plane.frame.setting(column, 0.0).high_turns);
    out += &format!(
        "  low     {:<16.3}{:>16.3}  high-speed needle, turns open\n",
        ends[0], ends[1]
    );
    out += "  S safe-clean (clean 1/8 leaner on the high and 1/24 on the low needle, too), C race-clean, x dies, . not clean\n\n";
    for (day, plane) in days.iter().zip(planes) {
        out += &format!("  {} ({})\n", day.models.fuel.name, day.subject(day.setting).air());
        for (name, heights) in [("race-clean", plane.race()), ("safe-clean", plane.safe())] {
            out += &match plane.island(&heights) {
                Some(island) => format!(
                    "    {name}: {:.1} % of the map, its middle at high {:.3}, low {:.3} turns\n",
                    island.percent, island.high_turns, island.low_turns
                ),
                None => format!("    {name}: nowhere on this map\n"),
            };
        }
    }
    if let [here, then] = planes
        && let (Some(from), Some(to)) = (here.island(&here.race()), then.island(&then.race()))
    {
        out += &format!(
            "  the race-clean island moves by {:+.3} turns on the high and {:+.3} on the low needle (+ is richer)\n",
            to.high_turns - from.high_turns,
            to.low_turns - from.low_turns
        );
    }
    if !race.iter().any(|margin| *margin >= 0.0) {
        out += &format!("  the check that comes nearest to its limit last: {}\n", nearest(plane));
    }
    out + &format!("\n{CAUTION}\n")
}

/// The check that fails in the field that comes nearest to clean: why there is no island.
fn nearest(plane: &Plane) -> String {
    let race = plane.race();
    let best = (0..race.len())
        .max_by(|a, b| race[*a].total_cmp(&race[*b]))
        .unwrap_or(0);
    let of = |at: usize| plane.fields[best].margins[at].unwrap_or(-1.0);
    let worst = (0..CheckName::ALL.len())
        .min_by(|a, b| of(*a).total_cmp(&of(*b)))
        .unwrap_or(0);
    check_name(CheckName::ALL[worst])
}
