//! Rows of fuel, weather and tank: S9-S12, S21.

use super::{INF, Quantity, Table, adder, moved, percent, with_fuel, with_weather};
use crate::bench::measures;
use crate::bench::rig::Rig;
use crate::engine::Setup;
use crate::engine::state::Load;
use crate::fluids::air::Weather;
use crate::fluids::fuel::Blend;

impl Table<'_> {
    /// S9-S12, S21.
    pub fn mixture_rows(&self, out: &mut Vec<Quantity>) {
        let mut add = adder(out);
        let mut quiet = *self.setup;
        quiet.laws.film.trapping_noise = 0.0;
        quiet.laws.film.release_noise = 0.0;
        let step = {
            let (mut rig, _) = measures::settled(&quiet, self.setting, self.seed, &self.waits);
            rig = rig.with_setting(moved(self.setting, 0.0, 0.125));
            let mut series = Vec::new();
            let (mut fuel, mut air, mut since) = (0.0, 0.0, 0.0);
            let mut film = rig.state.film_fuel;
            rig.hold(0.0, 30.0, |t, r, s| {
                fuel += r.fuel_in + film - s.film_fuel;
                film = s.film_fuel;
                air += r.air_in;
                since += r.duration;
                if since >= 0.25 {
                    series.push((t, fuel / air.max(1e-12)));
                    (fuel, air, since) = (0.0, 0.0, 0.0);
                }
            });
            let first = {
                let (mut rig, _) = measures::settled(&quiet, self.setting, self.seed, &self.waits);
                let (mut fuel, mut air) = (0.0, 0.0);
                let mut film = rig.state.film_fuel;
                rig.hold(0.0, 2.0, |_, r, s| {
                    fuel += r.fuel_in + film - s.film_fuel;
                    film = s.film_fuel;
                    air += r.air_in;
                });
                fuel / air.max(1e-12)
            };
            let last = series.last().map_or(0.0, |x| x.1);
            let mark = first + 0.9 * (last - first);
            let after = series.iter().position(|x| x.1 - first >= 0.9 * (last - first));
            match after.map(|i| (i.checked_sub(1).and_then(|b| series.get(b)), series[i])) {
                Some((Some(before), now)) => before.0 + (now.0 - before.0) * (mark - before.1) / (now.1 - before.1),
                Some((None, now)) => now.0,
                None => 30.0,
            }
        };
        add("S9", "90 % of a low-needle change takes, s", step, 3.0, 20.0, 2.0);
        let erased = {
            let film_after = |low: f64| {
                let (rig, _) = measures::settled(&quiet, moved(self.setting, 0.0, low), self.seed, &self.waits);
                let mut rig = rig.with_setting(self.setting);
                let before = rig.state.film_fuel;
                rig.pass(1.0, 1.0);
                (before, rig.state.film_fuel)
            };
            let (rich, clean) = (film_after(0.25), film_after(0.0));
            100.0 * (1.0 - (rich.1 - clean.1) / (rich.0 - clean.0).max(1e-12))
        };
        add(
            "S9",
            "1 s of full throttle erases of a film difference, %",
            erased,
            85.0,
            INF,
            5.0,
        );

        let (idle, full) = self.metering(&quiet);
        let more_nitro = with_fuel(
            &quiet,
            Blend {
                nitro_percent: quiet.fuel.blend.nitro_percent + 10.0,
                ..quiet.fuel.blend
            },
        );
        add(
            "S10",
            "nitro +10 %: equivalence ratio wide open, %",
            percent(self.metering(&more_nitro).1, full),
            -12.0,
            -6.0,
            2.0,
        );
        let best = |setup: &Setup| {
            let (rig, _) = self.brake(setup, 0.0);
            measures::best_power(&rig, self.setting, 0.5).1
        };
        add(
            "S10",
            "nitro +10 %: equivalence ratio of best power, %",
            percent(best(&more_nitro), best(&quiet)),
            3.0,
            10.0,
            2.0,
        );
        let (oily_idle, oily_full) = self.metering(&with_fuel(
            &quiet,
            Blend {
                oil_percent: quiet.fuel.blend.oil_percent + 4.0,
                ..quiet.fuel.blend
            },
        ));
        add("S11", "oil +4 %: idle, %", percent(oily_idle, idle), -20.0, -0.5, 3.0);
        add(
            "S11",
            "oil +4 %: idle over full throttle",
            percent(oily_idle, idle) / percent(oily_full, full),
            1.2,
            3.0,
            0.3,
        );
        let mut colder_fuel = quiet;
        colder_fuel.engine.carburettor.jet_warming_k -= 20.0;
        let (cold_idle, cold_full) = self.metering(&colder_fuel);
        add(
            "S11",
            "fuel 20 K colder: idle, %",
            percent(cold_idle, idle),
            -20.0,
            -0.5,
            3.0,
        );
        add(
            "S11",
            "fuel 20 K colder: idle over full throttle",
            percent(cold_idle, idle) / percent(cold_full, full),
            1.2,
            3.0,
            0.3,
        );

        let reference = Weather::REFERENCE;
        let mut cold_air = with_weather(
            &quiet,
            Weather {
                temperature_c: reference.temperature_c - 20.0,
                ..reference
            },
        );
        // Compared with the fuel at the same temperature, so that only the air differs; a crankcase 60 K above the air warms the
        // jet half as much again as one 40 K above.
        let warming = &mut cold_air.engine.carburettor.jet_warming_k;
        *warming = (*warming + 20.0) / 1.5;
        add(
            "S12",
            "air 20 K colder: full throttle, %",
            percent(self.metering(&cold_air).1, full),
            -4.0,
            -0.5,
            1.0,
        );
        let high_pressure = with_weather(
            &quiet,
            Weather {
                pressure_hpa: reference.pressure_hpa + 30.0,
                ..reference
            },
        );
        add(
            "S12",
            "+30 hPa: full throttle, %",
            percent(self.metering(&high_pressure).1, full),
            -2.0,
            -0.5,
            0.5,
        );
        let mountain = with_weather(
            &quiet,
            // The standard atmosphere's lapse goes with the altitude: 9.75 K cooler at 1500 m (ISO 2533).
            Weather::at_altitude(reference.temperature_c - 9.75, 1500.0, reference.humidity_percent),
        );
        add(
            "S12",
            "1500 m: full throttle, %",
            percent(self.metering(&mountain).1, full),
            4.0,
            8.0,
            1.5,
        );
        add(
            "S12",
            "1500 m: power, %",
            percent(self.brake(&mountain, 0.0).1.power_w, self.brake(&quiet, 0.0).1.power_w),
            -24.0,
            -14.0,
            3.0,
        );
        let dry = with_weather(
            &quiet,
            Weather {
                temperature_c: 30.0,
                humidity_percent: 20.0,
                ..reference
            },
        );
        let humid = with_weather(
            &quiet,
            Weather {
                temperature_c: 30.0,
                humidity_percent: 90.0,
                ..reference
            },
        );
        add(
            "S12",
            "humidity 20 to 90 % at 30 °C: full throttle, %",
            percent(self.metering(&humid).1, self.metering(&dry).1),
            1.0,
            3.0,
            0.7,
        );
        let cold_day = with_weather(
            &quiet,
            Weather {
                temperature_c: reference.temperature_c - 20.0,
                ..reference
            },
        );
        let idle_speed = self.idle(0.0, 0.0).1.rpm / 60.0;
        let turn = {
            // The brake carries an engine whose idle dies on such a day.
            let at = |setup: &Setup, low: f64| {
                let setting = moved(self.setting, 0.0, low);
                let mut rig = Rig::warm(setup, setting, self.seed).with_load(Load::Brake(idle_speed));
                rig.pass(0.0, 2.0);
                measures::watch_steady(&mut rig, 0.0, 1.0).equivalence_ratio
            };
            let (warm, zero, eighth) = (at(&quiet, 0.0), at(&cold_day, 0.0), at(&cold_day, 0.125));
            0.125 * (warm - zero) / (eighth - zero).max(1e-9)
        };
        add(
            "S12",
            "a 20 K colder day on the low needle, turns",
            turn,
            1.0 / 24.0,
            0.2,
            0.05,
        );
        let low_tank = {
            let mut rig = measures::settled(&quiet, self.setting, self.seed, &self.waits).0;
            let before = measures::watch_idle(&mut rig, 2.0).equivalence_ratio;
            rig.state.tank_fuel = rig.engine.tank_capacity() * 0.25;
            rig.pass(0.0, 2.0);
            percent(measures::watch_idle(&mut rig, 2.0).equivalence_ratio, before)
        };
        add(
            "S21",
            "tank full to a quarter: idle mixture, %",
            low_tank,
            -8.0,
            -2.0,
            2.0,
        );
    }
}
