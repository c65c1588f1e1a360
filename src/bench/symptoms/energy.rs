//! Where the fuel's energy goes, rows S17 and S27, on the brake with the head settled; that it closes is a law's test.

use super::power::high;
use super::{Change, INF, Rows, Table, given};
use crate::bench::manoeuvre::{Mark, table};
use crate::bench::player::{Now, Observer};
use crate::engine::state::{Revolution, State};
use crate::units::celsius_from_kelvin;

/// Energies over a while, J, and the fuel that brought them, kg.
#[derive(Clone, Copy, Debug, Default)]
struct Account {
    fuel_in: f64,
    fuel_out: f64,
    heat: f64,
    wall: f64,
    exhaust: f64,
    friction: f64,
}

impl Observer for Account {
    fn see(&mut self, now: &Now, r: &Revolution, _: &State) {
        if now.mark == Mark::Watch {
            self.fuel_in += r.fuel_in;
            self.fuel_out += r.fuel_out;
            self.heat += r.heat;
            self.wall += r.wall_heat;
            self.exhaust += r.enthalpy_out - r.enthalpy_in;
            self.friction += r.friction_work;
        }
    }
}

pub(super) fn s17_s27(t: &Table, rows: &mut Rows) {
    let look = table::steady(1.0, 0.0, 2.0);
    let played = t.play(Change::Nothing, &t.braked(high(0.5)), &look, |_| Account::default());
    let fuel = &t.setup().fuel;
    // Of a kilogram of what burns; oil is inert.
    let heating_value = fuel.lower_heating_value / (1.0 - fuel.oil_mass_fraction);
    let brought = |k: usize| played[k].watch.fuel_in * heating_value;
    // What leaves as fuel, short-circuited or unburnt, and what a rich burn leaves in its products.
    let unburnt = |k: usize| brought(k) - played[k].watch.heat;
    rows.add(
        ("S27", "high +1/2: unburnt fuel over wall heat"),
        |k| unburnt(k) / played[k].watch.wall,
        (1.0, INF),
        0.3,
    );
    rows.add(
        ("S27", "high +1/2: wall heat over exhaust"),
        |k| played[k].watch.wall / played[k].watch.exhaust,
        (1.0, INF),
        0.3,
    );
    rows.add(
        ("S27", "high +1/2: exhaust over friction"),
        |k| played[k].watch.exhaust / played[k].watch.friction,
        (1.0, INF),
        0.3,
    );
    for (name, part) in [
        ("high +1/2: fuel out as fuel, % of energy", 0),
        ("high +1/2: all that did not burn out, % of energy", 1),
        ("high +1/2: wall heat, % of energy", 2),
        ("high +1/2: exhaust, % of energy", 3),
        ("high +1/2: friction, % of energy", 4),
    ] {
        rows.tell(("S17", name), |k| {
            let a = &played[k].watch;
            let energies = [a.fuel_out * heating_value, unburnt(k), a.wall, a.exhaust, a.friction];
            100.0 * energies[part] / brought(k)
        });
    }
    let (clean, braked) = (t.brake(high(0.0)), t.braked(high(0.0)));
    let runs = |k: usize| clean[k].power_w > 0.0;
    rows.add(
        ("S27", "clean, wide open: gas in the pipe, °C"),
        |k| given(runs(k), celsius_from_kelvin(braked[k].state.pipe_temperature)),
        (250.0, 410.0),
        30.0,
    );
    rows.add(
        ("S27", "clean, wide open: tank pressure, kPa"),
        |k| given(runs(k), 1e-3 * braked[k].state.tank_pressure),
        (1.4, 10.0),
        1.0,
    );
}
