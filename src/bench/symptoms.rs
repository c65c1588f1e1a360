//! The symptom table: what such an engine must show, row by row, as numbers with limits. Tests hold the rows, the calibration
//! searches for constants that satisfy them, and both measure them here, so that neither can drift from the other.

use super::checks;
use super::measures::{self, Burst, Idle, Snap, Steady, Waits};
use super::rig::Rig;
use crate::engine::Setup;
use crate::engine::params::Setting;
use crate::engine::state::Load;
use crate::fluids::air::{Air, Weather};
use crate::fluids::fuel::{Blend, Fuel};
use crate::fluids::heat_release::HeatRelease;

/// One number of a row.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Quantity {
    /// Row of the table.
    pub row: &'static str,
    /// What is measured.
    pub name: &'static str,
    /// Its value.
    pub value: f64,
    /// Smallest value that shows the symptom.
    pub low: f64,
    /// Largest value that shows the symptom.
    pub high: f64,
    /// A difference that counts as one unit when the distance to a limit is weighed.
    pub scale: f64,
}

impl Quantity {
    /// Distance to the nearer limit in units of the scale; negative outside.
    pub fn margin(&self) -> f64 {
        let margin = ((self.value - self.low) / self.scale).min((self.high - self.value) / self.scale);
        if margin.is_nan() { -10.0 } else { margin }
    }
    /// Whether the row's limit holds.
    pub fn holds(&self) -> bool {
        self.margin() >= 0.0
    }
}

const INF: f64 = f64::INFINITY;

/// The table's bench: one engine, its reference setting, one seed.
#[derive(Clone, Copy, Debug)]
pub struct Table<'a> {
    /// Parts, fuel, weather.
    pub setup: &'a Setup,
    /// The reference setting.
    pub setting: Setting,
    /// Seed of the engine's noise.
    pub seed: u64,
    /// Waits.
    pub waits: Waits,
    /// The engine's best snap delay, s.
    pub best_snap_delay_s: f64,
}

/// The setting with the needles moved by these turns.
pub fn moved(setting: Setting, high: f64, low: f64) -> Setting {
    Setting {
        high_turns: setting.high_turns + high,
        low_turns: setting.low_turns + low,
        ..setting
    }
}

fn with_fuel(setup: &Setup, blend: Blend) -> Setup {
    let fuel = Fuel::new(blend);
    Setup {
        fuel,
        heat: HeatRelease::fit(&fuel).unwrap_or(setup.heat),
        ..*setup
    }
}

fn with_weather(setup: &Setup, weather: Weather) -> Setup {
    Setup {
        air: Air::new(&weather),
        ..*setup
    }
}

/// Percent by which `a` differs from `b`.
fn percent(a: f64, b: f64) -> f64 {
    100.0 * (a / b - 1.0)
}

impl Table<'_> {
    fn clutch_rpm(&self) -> f64 {
        self.setup.engine.drive.clutch_engage_rpm
    }
    fn idle(&self, high: f64, low: f64) -> (Rig, Idle) {
        measures::settled(self.setup, moved(self.setting, high, low), self.seed, &self.waits)
    }
    fn burst(&self, high: f64, low: f64) -> (Idle, Burst, Rig) {
        let (rig, idle) = self.idle(high, low);
        (
            idle,
            measures::burst(rig, idle.rpm.max(1.0), self.clutch_rpm(), &self.waits),
            rig,
        )
    }
    fn snap(&self, high: f64, low: f64) -> Snap {
        measures::snap(self.idle(high, low).0, &self.waits)
    }
    fn brake(&self, setup: &Setup, high: f64) -> (Rig, Steady) {
        measures::on_brake(setup, moved(self.setting, high, 0.0), self.seed, &self.waits)
    }
    /// A short look at full throttle and at idle for comparing metering: (idle, wide open).
    fn metering(&self, setup: &Setup) -> (f64, f64) {
        let (_, idle) = measures::settled(setup, self.setting, self.seed, &self.waits);
        let mut rig = Rig::warm(setup, self.setting, self.seed).with_load(Load::Brake(500.0));
        rig.pass(1.0, 3.0);
        (
            idle.equivalence_ratio,
            measures::watch_steady(&mut rig, 1.0, 1.0).equivalence_ratio,
        )
    }

    /// All rows.
    pub fn all(&self) -> Vec<Quantity> {
        let mut q = Vec::with_capacity(96);
        self.idle_rows(&mut q);
        self.burst_rows(&mut q);
        self.brake_rows(&mut q);
        self.mixture_rows(&mut q);
        self.heat_rows(&mut q);
        self.other_rows(&mut q);
        self.island_rows(&mut q);
        q
    }

    /// S1, S2, S18.
    pub fn idle_rows(&self, out: &mut Vec<Quantity>) {
        let mut add = |row, name, value, low, high, scale| {
            out.push(Quantity {
                row,
                name,
                value,
                low,
                high,
                scale,
            })
        };
        let clean = self.idle(0.0, 0.0).1;
        let rich = self.idle(0.0, 0.75).1;
        let rise = if rich.rpm > 0.0 {
            percent(clean.rpm, rich.rpm)
        } else {
            100.0
        };
        add("S1", "idle speed from low +3/4 to clean, %", rise, 15.0, INF, 10.0);
        let mut fastest = (0.0, 0.0);
        for k in [6, 4, 3, 2, 1, 0, -1, -2, -3, -4, -6] {
            let offset = f64::from(k) / 16.0;
            let rpm = self.idle(0.0, offset).1.rpm;
            if rpm > fastest.1 {
                fastest = (offset, rpm);
            }
        }
        add(
            "S1",
            "fastest idle at low needle offset, turns",
            fastest.0,
            -0.25,
            0.0,
            0.25,
        );
        let lean = self.idle(0.0, -0.5).1.rpm / fastest.1.max(1.0);
        add("S1", "idle at low -1/2 over fastest", lean, -INF, 0.5, 0.3);
        let high_rich = self.idle(1.0, 0.0).1;
        let rise = percent(clean.rpm, high_rich.rpm.max(1.0));
        add("S2", "idle speed from high +1 to clean, %", rise, 1.0, 15.0, 5.0);
        let both = percent(self.idle(0.0, 0.25).1.rpm, self.idle(1.0, 0.25).1.rpm.max(1.0));
        add(
            "S2",
            "the same with low +1/4, more by, %",
            both.min(60.0) - rise,
            0.0,
            INF,
            3.0,
        );
        add("idle", "clean idle speed, rpm", clean.rpm, 9_000.0, 12_000.0, 1000.0);
        add(
            "S18",
            "clean idle: missed revolutions, %",
            clean.misfire_percent,
            -INF,
            1.0,
            1.0,
        );
        add(
            "S18",
            "clean idle: speed variation, %",
            clean.variation_percent,
            0.2,
            3.0,
            1.0,
        );
        let rich = self.idle(0.0, 0.5).1;
        add(
            "S18",
            "idle at low +1/2: missed revolutions, %",
            rich.misfire_percent,
            15.0,
            INF,
            10.0,
        );
        add("S11", "viscous share at idle", clean.viscous_share, 0.55, 0.85, 0.1);
        add(
            "S9",
            "film time constant at idle, s",
            clean.film_time_constant_s,
            3.0,
            6.0,
            1.0,
        );
        add(
            "idle",
            "clean idle: equivalence ratio",
            clean.equivalence_ratio,
            1.0,
            1.45,
            0.1,
        );
    }

    /// S4-S8, S20, S22.
    pub fn burst_rows(&self, out: &mut Vec<Quantity>) {
        let mut add = |row, name, value, low, high, scale| {
            out.push(Quantity {
                row,
                name,
                value,
                low,
                high,
                scale,
            })
        };
        let (idle, clean, rig) = self.burst(0.0, 0.0);
        add(
            "S5",
            "clean: deviation later than 1 s after the return, %",
            clean.late_deviation_percent,
            -INF,
            6.0,
            2.0,
        );
        add(
            "S5",
            "clean: early excess, %",
            clean.early_excess_percent,
            -INF,
            6.0,
            4.0,
        );
        let back = clean.return_s.unwrap_or(12.0);
        add("S5", "clean: return, s", back, 0.1, 1.5, 0.5);
        add(
            "S20",
            "wheels up, full throttle, rpm",
            {
                let mut r = rig;
                r.pass(1.0, 4.0);
                measures::watch_steady(&mut r, 1.0, 1.0).rpm
            },
            36_000.0,
            44_000.0,
            2_000.0,
        );
        let (_, half, _) = self.burst(0.0, 0.5);
        let (_, three, _) = self.burst(0.0, 0.75);
        add(
            "S4",
            "low +1/2: early excess, %",
            half.early_excess_percent,
            15.0,
            INF,
            10.0,
        );
        add("S4", "low +1/2: within 5 % only after, s", half.settle_s, 1.5, INF, 1.0);
        add(
            "S4",
            "low +3/4: early excess, %",
            if three.stalled {
                30.0
            } else {
                three.early_excess_percent
            },
            15.0,
            INF,
            10.0,
        );
        add(
            "S4",
            "low +3/4 returns sooner than +1/2 by, s",
            half.return_s.unwrap_or(12.0) - three.return_s.unwrap_or(12.0),
            0.0,
            INF,
            0.3,
        );
        let (lean_idle, lean, _) = self.burst(0.0, -0.125);
        add(
            "S6",
            "low -1/8: comes down later than clean by, s",
            lean.return_s.unwrap_or(12.0) - back,
            0.02,
            INF,
            0.3,
        );
        add(
            "S6",
            "low -1/8: lowest after the return, %",
            lean.lowest_percent,
            -6.0,
            INF,
            3.0,
        );
        add(
            "S6",
            "low -1/8: idle against clean, %",
            percent(lean_idle.rpm.max(1.0), idle.rpm),
            0.0,
            INF,
            3.0,
        );
        let (very, races, _) = self.burst(0.0, -0.5);
        let very_lean = f64::from(u8::from(
            very.rpm <= 0.0
                || races.stalled
                || races.return_s.is_none_or(|t| t > 3.0 * back)
                || self.snap(0.0, -0.5).delay_s.is_none(),
        ));
        add("S6", "low -1/2: races or dies", very_lean, 1.0, INF, 1.0);
        let snap = measures::snap(rig, &self.waits);
        let rich = self.snap(0.0, 0.5);
        let delay = snap.delay_s.unwrap_or(4.0);
        add(
            "S7",
            "lag at low +1/2 over clean",
            rich.delay_s.unwrap_or(4.0) / delay,
            1.5,
            INF,
            0.5,
        );
        add("S7", "clean: lag, s", delay, 0.1, 0.7, 0.3);
        add(
            "S7",
            "puff at low +1/2 over clean (with 0.25 for the eye)",
            rich.puff_excess / snap.puff_excess.max(0.25),
            2.0,
            INF,
            1.0,
        );
        add("S7", "clean: puff excess", snap.puff_excess, -INF, 1.0, 0.5);
        add("S7", "clean: snap misfire, %", snap.misfire_percent, -INF, 1.0, 1.0);
        let half = |high, low| measures::half_throttle(self.idle(high, low).0).misfire_percent;
        add("S8", "half throttle, clean: misfire, %", half(0.0, 0.0), -INF, 0.5, 0.5);
        add(
            "S8",
            "half throttle, high +1/2 low +1/4: misfire, %",
            half(0.5, 0.25),
            2.0,
            INF,
            3.0,
        );
        add(
            "S8",
            "half throttle, high +1 low +1/2: misfire, %",
            half(1.0, 0.5),
            10.0,
            INF,
            10.0,
        );
        // S22: fuel line pinched at idle.
        let pinch = |low: f64| {
            let (mut rig, idle) = self.idle(0.0, low);
            rig.controls.line_open = crate::lanes::Lanes([0.0]);
            let (mut top, mut died) = (0.0_f64, 30.0_f64);
            let (mut mean, mut since) = (0.0, 0.0);
            rig.hold(0.0, 30.0, |t, r, _| {
                mean += 1.0;
                since += r.duration.0[0];
                if since >= 0.2 {
                    top = top.max(mean / since * 60.0);
                    (mean, since) = (0.0, 0.0);
                }
                if r.speed.0[0] <= 0.0 {
                    died = died.min(t);
                }
            });
            (percent(top, idle.rpm.max(1.0)), died)
        };
        let (rise, died) = pinch(0.0);
        let (rich_rise, rich_died) = pinch(0.25);
        add("S22", "pinched: speed rises by, %", rise, 0.5, INF, 3.0);
        add("S22", "pinched: dies after, s", died, 0.3, 25.0, 2.0);
        add(
            "S22",
            "pinched, low +1/4: rise greater by, %",
            rich_rise - rise,
            0.0,
            INF,
            3.0,
        );
        add(
            "S22",
            "pinched, low +1/4: dies later by, s",
            rich_died - died,
            0.0,
            INF,
            0.5,
        );
    }

    /// S3, S13 (brake), S14, S15, S17.
    pub fn brake_rows(&self, out: &mut Vec<Quantity>) {
        let mut add = |row, name, value, low, high, scale| {
            out.push(Quantity {
                row,
                name,
                value,
                low,
                high,
                scale,
            })
        };
        let (rig, clean) = self.brake(self.setup, 0.0);
        let (best, best_phi) = measures::best_power(&rig, self.setting, 1.0);
        add("S3", "equivalence ratio of best power", best_phi, 1.1, 1.6, 0.1);
        add("S3", "clean power over best", clean.power_w / best, 0.97, INF, 0.02);
        add(
            "S3",
            "clean richer than best power by",
            clean.equivalence_ratio - best_phi,
            0.0,
            0.35,
            0.05,
        );
        add("power", "best power, W", best, 800.0, 1300.0, 150.0);
        let (_, lean) = self.brake(self.setup, -0.25);
        let (_, leaner) = self.brake(self.setup, -0.5);
        let (_, rich) = self.brake(self.setup, 0.5);
        let (_, richer) = self.brake(self.setup, 1.0);
        add(
            "S3",
            "high -1/2: power over best",
            leaner.power_w / best,
            -INF,
            0.97,
            0.05,
        );
        add(
            "S3",
            "high -1/2: detonation index",
            leaner.detonation_index,
            0.02,
            INF,
            0.1,
        );
        add("S3", "clean: detonation index", clean.detonation_index, -INF, 0.0, 0.05);
        add(
            "S3",
            "high -1/8: detonation index above the check's limit",
            self.brake(self.setup, -0.125).1.detonation_index,
            0.0,
            INF,
            0.05,
        );
        add(
            "S3",
            "high +1/2: power over best",
            rich.power_w / best,
            0.75,
            0.965,
            0.03,
        );
        add(
            "S3",
            "high +1: power over best",
            richer.power_w / best,
            -INF,
            rich.power_w / best,
            0.05,
        );
        add("S3", "high +1/2: misfire, %", rich.misfire_percent, -INF, 2.0, 2.0);
        let four = self.brake(self.setup, 1.5).1;
        add("S3", "high +1 1/2: misfire, %", four.misfire_percent, 5.0, INF, 5.0);
        let sag = {
            let mut rig =
                Rig::warm(self.setup, moved(self.setting, -0.25, 0.0), self.seed).with_load(Load::Brake(500.0));
            rig.state.head_temperature = crate::lanes::Lanes([clean.head_temperature_c + 273.15 - 10.0]);
            rig.pass(1.0, 1.0);
            let early = measures::watch_steady(&mut rig, 1.0, 1.0).power_w;
            rig.pass(1.0, 8.0);
            percent(measures::watch_steady(&mut rig, 1.0, 1.0).power_w, early)
        };
        add("S3", "high -1/4 held 10 s: power changes by, %", sag, -INF, -0.3, 1.0);
        add(
            "S13",
            "high -1/4: head hotter by, K",
            lean.head_temperature_c - clean.head_temperature_c,
            8.0,
            20.0,
            4.0,
        );
        add(
            "S13",
            "high +1/2: head cooler by, K",
            clean.head_temperature_c - rich.head_temperature_c,
            12.0,
            30.0,
            5.0,
        );
        add(
            "S13",
            "clean: head on the brake, °C",
            clean.head_temperature_c,
            100.0,
            135.0,
            10.0,
        );
        add(
            "crankcase",
            "clean: crankcase on the brake, °C",
            rig.state.crankcase_temperature.0[0] - 273.15,
            50.0,
            75.0,
            10.0,
        );
        add("S11", "viscous share wide open", clean.viscous_share, 0.15, 0.3, 0.05);
        add("S14", "clean: opacity, %", clean.opacity_percent, 3.0, 25.0, 5.0);
        add(
            "S14",
            "high -1/4: opacity less by, %",
            clean.opacity_percent - lean.opacity_percent,
            0.2,
            INF,
            1.0,
        );
        add(
            "S14",
            "high +1/2: opacity more by, %",
            rich.opacity_percent - clean.opacity_percent,
            0.5,
            INF,
            2.0,
        );
        let oily = with_fuel(
            self.setup,
            Blend {
                oil_percent: self.setup.fuel.blend.oil_percent + 4.0,
                ..self.setup.fuel.blend
            },
        );
        let oily = self.brake(&oily, 0.0).1;
        add(
            "S14",
            "oil +4 %: opacity more by, %",
            oily.opacity_percent - clean.opacity_percent,
            0.5,
            INF,
            2.0,
        );
        add(
            "S14",
            "oil +4 %: leaner by, %",
            percent(clean.equivalence_ratio, oily.equivalence_ratio),
            0.0,
            INF,
            1.0,
        );
        let flat_out = 125.0 * self.setup.fuel.density(self.setup.air.temperature) * 1e-6
            / (clean.fuel_flow_g_per_s * 1e-3)
            / 60.0;
        add("S15", "125 ml flat out, min", flat_out, 2.5, 4.0, 0.5);
        add(
            "S15",
            "high -1/4: lasts longer by, %",
            percent(clean.fuel_flow_g_per_s, lean.fuel_flow_g_per_s),
            0.0,
            INF,
            5.0,
        );
        add(
            "S17",
            "brake efficiency at clean, %",
            100.0 * clean.power_w / (clean.fuel_flow_g_per_s * 1e-3 * self.setup.fuel.lower_heating_value),
            5.0,
            20.0,
            4.0,
        );
    }

    /// S9-S12, S21.
    pub fn mixture_rows(&self, out: &mut Vec<Quantity>) {
        let mut add = |row, name, value, low, high, scale| {
            out.push(Quantity {
                row,
                name,
                value,
                low,
                high,
                scale,
            })
        };
        let mut quiet = *self.setup;
        quiet.laws.film.trapping_noise = 0.0;
        quiet.laws.film.release_noise = 0.0;
        let step = {
            let (mut rig, _) = measures::settled(&quiet, self.setting, self.seed, &self.waits);
            rig = rig.with_setting(moved(self.setting, 0.0, 0.125));
            let mut series = Vec::new();
            let (mut fuel, mut air, mut since) = (0.0, 0.0, 0.0);
            let mut film = rig.state.film_fuel.0[0];
            rig.hold(0.0, 30.0, |t, r, s| {
                fuel += r.fuel_in.0[0] + film - s.film_fuel.0[0];
                film = s.film_fuel.0[0];
                air += r.air_in.0[0];
                since += r.duration.0[0];
                if since >= 0.25 {
                    series.push((t, fuel / air.max(1e-12)));
                    (fuel, air, since) = (0.0, 0.0, 0.0);
                }
            });
            let first = {
                let (mut rig, _) = measures::settled(&quiet, self.setting, self.seed, &self.waits);
                let (mut fuel, mut air) = (0.0, 0.0);
                let mut film = rig.state.film_fuel.0[0];
                rig.hold(0.0, 2.0, |_, r, s| {
                    fuel += r.fuel_in.0[0] + film - s.film_fuel.0[0];
                    film = s.film_fuel.0[0];
                    air += r.air_in.0[0];
                });
                fuel / air.max(1e-12)
            };
            let last = series.last().map_or(0.0, |x| x.1);
            series
                .iter()
                .find(|x| (x.1 - first) >= 0.9 * (last - first))
                .map_or(30.0, |x| x.0)
        };
        add("S9", "90 % of a low-needle change takes, s", step, 3.0, 20.0, 2.0);
        let erased = {
            let film_after = |low: f64| {
                let (rig, _) = measures::settled(&quiet, moved(self.setting, 0.0, low), self.seed, &self.waits);
                let mut rig = rig.with_setting(self.setting);
                let before = rig.state.film_fuel.0[0];
                rig.pass(1.0, 1.0);
                (before, rig.state.film_fuel.0[0])
            };
            let (rich, clean) = (film_after(0.25), film_after(0.0));
            100.0 * (1.0 - (rich.1 - clean.1) / (rich.0 - clean.0).max(1e-12))
        };
        add(
            "S9",
            "1 s of full throttle erases of a film difference, %",
            erased,
            85.0,
            101.0,
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
        let turn = {
            let at = |low: f64| {
                measures::settled(&cold_day, moved(self.setting, 0.0, low), self.seed, &self.waits)
                    .1
                    .equivalence_ratio
            };
            let (zero, eighth) = (at(0.0), at(0.125));
            0.125 * (idle - zero) / (eighth - zero).max(1e-9)
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

    /// S13 (race duty, time constant), S15 (race duty), S16.
    pub fn heat_rows(&self, out: &mut Vec<Quantity>) {
        let mut add = |row, name, value, low, high, scale| {
            out.push(Quantity {
                row,
                name,
                value,
                low,
                high,
                scale,
            })
        };
        let mut rig = Rig::warm(self.setup, self.setting, self.seed).with_load(Load::Track);
        measures::drive(&mut rig, 6);
        measures::refill(&mut rig);
        let before = rig.state.time.0[0];
        measures::drive(&mut rig, 2);
        let seconds = rig.state.time.0[0] - before;
        let used = (rig.engine.tank_capacity().0[0] - rig.state.tank_fuel.0[0]) / seconds;
        add(
            "S13",
            "race duty: head, °C",
            rig.state.head_temperature.0[0] - 273.15,
            95.0,
            125.0,
            8.0,
        );
        add(
            "S15",
            "125 ml in race duty, min",
            125e-6 * self.setup.fuel.density(self.setup.air.temperature) / used.max(1e-9) / 60.0,
            7.0,
            11.0,
            1.0,
        );
        let clean = self.idle(0.0, 0.0).1;
        // Time constant: step from idle-warm to full load.
        let mut rig = Rig::warm(self.setup, self.setting, self.seed).with_load(Load::Brake(500.0));
        rig.state.head_temperature = crate::lanes::Lanes([333.15]);
        let mut series = Vec::new();
        rig.hold(1.0, 150.0, |t, _, s| series.push((t, s.head_temperature.0[0])));
        let last = series.last().map_or(0.0, |x| x.1);
        let first = series.first().map_or(0.0, |x| x.1);
        let tau = series
            .iter()
            .find(|x| x.1 - first >= 0.632 * (last - first))
            .map_or(0.0, |x| x.0);
        add("S13", "head time constant, s", tau, 20.0, 60.0, 10.0);
        // Cold engine.
        let mut cold = Rig::cold(self.setup, self.setting, self.seed);
        cold.controls.glow_lead = crate::lanes::Lanes([1.0]);
        cold.pass(0.25, 6.0);
        cold.controls.glow_lead = crate::lanes::Lanes([0.0]);
        cold.pass(0.0, 12.0);
        let idle = measures::watch_idle(&mut cold, 4.0);
        add(
            "S16",
            "cold: metered equivalence ratio, %",
            percent(idle.equivalence_ratio, clean.equivalence_ratio),
            -5.0,
            5.0,
            2.0,
        );
        add(
            "S16",
            "cold: missed revolutions more by, %",
            if idle.rpm > 0.0 { idle.misfire_percent } else { 100.0 } - clean.misfire_percent,
            0.5,
            INF,
            3.0,
        );
        add(
            "S16",
            "cold: idle against clean, %",
            percent(idle.rpm.max(1.0), clean.rpm),
            -INF,
            -3.0,
            5.0,
        );
        let snap_oil = |rig: &Rig| {
            let mut r = *rig;
            let mut m = measures::Mean::default();
            r.hold(0.6, 1.0, |_, v, _| {
                m.add(v.oil_out.0[0] / v.duration.0[0], v.duration.0[0])
            });
            m.value().unwrap_or(0.0)
        };
        let warm_rig = self.idle(0.0, 0.0).0;
        add(
            "S16",
            "cold: smoke on opening over warm",
            if cold.stalled() {
                2.0
            } else {
                snap_oil(&cold) / snap_oil(&warm_rig).max(1e-12)
            },
            1.02,
            INF,
            0.2,
        );
        // Warm-up: gentle running on the stand with the throttle blipped, until the idle is clean.
        let mut warming = Rig::cold(self.setup, self.setting, self.seed);
        warming.controls.glow_lead = crate::lanes::Lanes([1.0]);
        let mut clean_after = 300.0;
        for k in 0..30 {
            warming.pass(0.25, 7.0);
            warming.controls.glow_lead = crate::lanes::Lanes([0.0]);
            warming.pass(0.0, 3.0);
            let mut look = warming;
            let now = measures::watch_idle(&mut look, 2.0);
            if now.misfire_percent < 1.5 && percent(now.rpm.max(1.0), clean.rpm).abs() < 8.0 {
                clean_after = f64::from(k + 1) * 10.0;
                break;
            }
        }
        add("S16", "cold: clean after, s", clean_after, 60.0, 240.0, 30.0);
    }

    /// The clean island: margins of the checks around the reference setting.
    pub fn island_rows(&self, out: &mut Vec<Quantity>) {
        let facts = checks::Facts {
            rated_rpm: self.waits.brake_rpm,
            best_snap_delay_s: self.best_snap_delay_s,
        };
        let mut add = |name, high, low, clean: bool| {
            let report = checks::check(
                self.setup,
                facts,
                moved(self.setting, high, low),
                self.seed,
                &checks::Limits::STANDARD,
                &self.waits,
            );
            let margin = report.margin();
            let (low, high) = if clean { (0.0, INF) } else { (-INF, -1e-9) };
            out.push(Quantity {
                row: "island",
                name,
                value: margin,
                low,
                high,
                scale: 0.1,
            });
        };
        let click = 1.0 / 24.0;
        add("reference: margin", 0.0, 0.0, true);
        add("high +1/24: margin", click, 0.0, true);
        add("high -1/24: margin", -click, 0.0, true);
        add("low +1/24: margin", 0.0, click, true);
        add("low -1/24: margin", 0.0, -click, true);
        add("high +1/2: margin", 0.5, 0.0, false);
        add("high -1/8: margin", -0.125, 0.0, false);
        add("low +1/4: margin", 0.0, 0.25, false);
        add("low -1/8: margin", 0.0, -0.125, false);
    }

    /// S23.
    pub fn other_rows(&self, out: &mut Vec<Quantity>) {
        let mut add = |row, name, value, low, high, scale| {
            out.push(Quantity {
                row,
                name,
                value,
                low,
                high,
                scale,
            })
        };
        let clean = self.idle(0.0, 0.0).1;
        let rich = moved(self.setting, 0.5, 0.375);
        // Open the idle stop until the idle is back to normal.
        let mut opened = rich;
        while opened.idle_turns < self.setting.idle_turns + 4.0
            && measures::settled(self.setup, opened, self.seed, &self.waits).1.rpm < clean.rpm
        {
            opened.idle_turns += 0.125;
        }
        let gap = (opened.idle_turns - self.setting.idle_turns)
            * self.setup.engine.carburettor.idle_opening_per_turn
            * self.setup.engine.carburettor.slide_travel_mm;
        add("S23", "false idle: gap wider by, mm", gap, 0.02, 0.39, 0.05);
        let closed = measures::settled(self.setup, rich, self.seed, &self.waits).1.rpm;
        add(
            "S23",
            "false idle, stop closed to its reference: idle, %",
            percent(closed.max(1.0), clean.rpm),
            -INF,
            -8.0,
            5.0,
        );
    }
}
