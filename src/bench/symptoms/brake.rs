//! Rows of full throttle on the brake: S3, S13, S14, S15, S17.

use super::{INF, Quantity, Table, adder, moved, percent, with_fuel};
use crate::bench::measures;
use crate::bench::rig::Rig;
use crate::engine::state::Load;
use crate::fluids::fuel::Blend;

impl Table<'_> {
    /// S3, S13 (brake), S14, S15, S17.
    pub fn brake_rows(&self, out: &mut Vec<Quantity>) {
        let mut add = adder(out);
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
        let (_, lean_far) = self.brake(self.setup, -0.75);
        add(
            "S3",
            "high -3/4: power over best",
            lean_far.power_w / best,
            -INF,
            0.97,
            0.05,
        );
        add(
            "S3",
            "high -1/2: power over best",
            leaner.power_w / best,
            -INF,
            0.998,
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
            rig.state.head_temperature = clean.head_temperature_c + 273.15 - 10.0;
            rig.pass(1.0, 1.0);
            let early = measures::watch_steady(&mut rig, 1.0, 1.0).power_w;
            rig.pass(1.0, 8.0);
            percent(measures::watch_steady(&mut rig, 1.0, 1.0).power_w, early)
        };
        add("S3", "high -1/4 held 10 s: power changes by, %", sag, -INF, -0.1, 1.0);
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
            rig.state.crankcase_temperature - 273.15,
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
}
