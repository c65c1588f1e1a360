//! The curves behind the README's picture and behind three rows of the symptom table, drawn as SVG beside this file:
//! `cargo bench --bench figures` writes `benches/figures/{hang,air,track}.svg`. A racer looks at the curve, not at its row.

use std::path::Path;

use needlebench::bench::checks::best_snap_delay_s;
use needlebench::bench::lab::Lab;
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::manoeuvre::{Manoeuvre, Mark, table};
use needlebench::bench::measures::What;
use needlebench::bench::player::{Now, Observer, Unseen};
use needlebench::bench::symptoms::{Change, Table, off};
use needlebench::config::reference_setup;
use needlebench::engine::state::{Revolution, State};
use needlebench::fluids::air::{Air, Weather};
use needlebench::units::{celsius_from_kelvin, rpm_from_rev_per_second};
use plotters::prelude::*;

const SIZE: (u32, u32) = (900, 460);
type Curve = (String, Vec<(f64, f64)>);

fn main() {
    let (engine, setup) = reference_setup("offroad-3.5").expect("built in");
    let best = best_snap_delay_s(&setup, engine.reference);
    let table = Table::new(&setup, engine.reference, [1], Waits::STANDARD, best);
    draw(
        "hang",
        "After 1.5 s of full throttle, throttle shut at 0 s: nine low needles, idle stop as it is",
        ("time, s", "speed, thousand rpm"),
        (0.0..6.0, 6.0..20.0),
        &hangs(&table),
    );
    draw(
        "air",
        "Best power over the high needle, head settled, against the air's temperature (50 %, 1013 hPa)",
        ("air temperature, °C", "power, W"),
        (-10.0..45.0, 600.0..1000.0),
        &[("best over the high needle".to_owned(), powers(&table))],
    );
    draw(
        "track",
        "Head after eight laps of race duty against the high needle",
        ("high needle off the reference, turns (+ richer)", "head, °C"),
        (-0.6..0.6, 70.0..140.0),
        &[("head".to_owned(), heads(&table))],
    );
}

/// Speeds after the throttle was shut, tenth by tenth.
#[derive(Default)]
struct Fall {
    turned: f64,
    since: f64,
    tenths: Vec<(f64, f64)>,
}

impl Observer for Fall {
    fn see(&mut self, now: &Now, r: &Revolution, _: &State) {
        if now.mark != Mark::Return {
            return;
        }
        self.turned += r.speed * r.duration;
        self.since += r.duration;
        if self.since >= 0.1 {
            let mean = rpm_from_rev_per_second(self.turned / self.since) * 1e-3;
            self.tenths.push((now.seconds - 0.5 * self.since, mean));
            (self.turned, self.since) = (0.0, 0.0);
        }
    }
}

fn hangs(table: &Table) -> Vec<Curve> {
    let burst = table::burst(table.waits());
    (-4..=4)
        .map(|k| {
            let eighths = if k > 2 { 2 * k - 2 } else { k };
            let place = off(0.0, f64::from(eighths) / 8.0);
            let idle = table::settle(table.waits());
            let settled = table.play(Change::Nothing, &table.warm(place), &idle, |_| Unseen);
            let from: Vec<_> = settled.iter().map(|p| p.end).collect();
            let fall = table.play(Change::Nothing, &from, &burst, |_| Fall::default());
            let name = match eighths {
                0 => "reference".to_owned(),
                lean if lean < 0 => format!("{}/8 turn lean", -lean),
                rich => format!("{rich}/8 turn rich"),
            };
            (name, fall[0].watch.tenths.clone())
        })
        .collect()
}

fn powers(table: &Table) -> Vec<(f64, f64)> {
    let at = |celsius: f64| {
        let mut setup = *table.setup();
        setup.air = Air::new(&Weather {
            temperature_c: celsius,
            ..Weather::REFERENCE
        });
        let mut lab = Lab::new(&setup, table.waits());
        let case = lab.add_warm(table.setting(), 1);
        lab.measure([(case, What::BestPower)]);
        (
            celsius,
            lab.findings(case)
                .best_power
                .map_or(f64::NAN, |best| best.found.power_w),
        )
    };
    (-1..=4).map(|k| at(10.0 * f64::from(k))).collect()
}

fn heads(table: &Table) -> Vec<(f64, f64)> {
    let laps: Manoeuvre = table::laps(4);
    let after = |turns: f64| {
        let mut stands = table.warm(off(turns, 0.0));
        for _ in 0..2 {
            for stand in &mut stands {
                stand.state.tank_fuel = table.engine(Change::Nothing).tank_capacity();
            }
            let driven = table.play(Change::Nothing, &stands, &laps, |_| Unseen);
            stands = driven.iter().map(|p| p.end).collect();
        }
        (turns, celsius_from_kelvin(stands[0].state.head_temperature))
    };
    (-8..=8).map(|k| after(f64::from(k) / 16.0)).collect()
}

/// Lean ends of the family are warm, rich ones cool; the reference is black and thick.
fn colour(index: usize, count: usize) -> RGBColor {
    let middle = count / 2;
    if index == middle {
        return BLACK;
    }
    let far = index.abs_diff(middle) as f64 / middle.max(1) as f64;
    let faded = |strong: f64| (strong + (1.0 - far) * 0.55 * (255.0 - strong)) as u8;
    if index < middle {
        RGBColor(faded(190.0), faded(60.0), faded(20.0))
    } else {
        RGBColor(faded(20.0), faded(90.0), faded(170.0))
    }
}

fn draw(
    name: &str,
    title: &str,
    (across, up): (&str, &str),
    (x, y): (std::ops::Range<f64>, std::ops::Range<f64>),
    curves: &[Curve],
) {
    let shown = x.clone();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("benches/figures/{name}.svg"));
    let mut svg = String::new();
    {
        let area = SVGBackend::with_string(&mut svg, SIZE).into_drawing_area();
        area.fill(&WHITE).expect("text");
        let mut chart = ChartBuilder::on(&area)
            .caption(title, ("sans-serif", 17))
            .margin(14)
            .x_label_area_size(42)
            .y_label_area_size(58)
            .build_cartesian_2d(x, y)
            .expect("a chart");
        chart
            .configure_mesh()
            .x_desc(across)
            // No tick reads -0.0.
            .x_label_formatter(&|x| format!("{:.1}", (10.0 * x).round() / 10.0 + 0.0))
            .y_desc(up)
            .light_line_style(WHITE)
            .label_style(("sans-serif", 14))
            .axis_desc_style(("sans-serif", 15))
            .draw()
            .expect("axes");
        for (index, (label, points)) in curves.iter().enumerate() {
            let colour = colour(index, curves.len());
            let width = if colour == BLACK { 3 } else { 2 };
            let inside = points.iter().copied().filter(|(x, _)| shown.contains(x));
            let line = LineSeries::new(inside, colour.stroke_width(width));
            chart
                .draw_series(line)
                .expect("a curve")
                .label(label)
                .legend(move |(x, y)| PathElement::new([(x, y), (x + 22, y)], colour.stroke_width(width)));
        }
        if curves.len() > 1 {
            chart
                .configure_series_labels()
                .position(SeriesLabelPosition::UpperRight)
                .background_style(WHITE)
                .border_style(RGBColor(160, 160, 160))
                .label_font(("sans-serif", 14))
                .draw()
                .expect("a legend");
        }
        area.present().expect("text");
    }
    std::fs::create_dir_all(path.parent().expect("a folder")).expect("benches/ can be written to");
    std::fs::write(&path, svg).expect("benches/ can be written to");
    println!("wrote benches/figures/{name}.svg");
    for (label, points) in curves {
        let told: Vec<String> = points
            .iter()
            .step_by(points.len().div_ceil(12))
            .map(|(x, y)| format!("{x:.2} {y:.1}"))
            .collect();
        println!("  {label}: {}", told.join(", "));
    }
}
