//! Rows of race duty and the cold engine: S13, S15, S16.

use super::{INF, Quantity, Table, adder, percent};
use crate::bench::measures;
use crate::bench::rig::Rig;
use crate::engine::state::Load;

impl Table<'_> {
    /// S13 (race duty, time constant), S15 (race duty), S16.
    pub fn heat_rows(&self, out: &mut Vec<Quantity>) {
        let mut add = adder(out);
        let mut rig = Rig::warm(self.setup, self.setting, self.seed).with_load(Load::Track);
        measures::drive(&mut rig, 6);
        measures::refill(&mut rig);
        let before = rig.state.time;
        measures::drive(&mut rig, 2);
        let seconds = rig.state.time - before;
        let used = (rig.engine.tank_capacity() - rig.state.tank_fuel) / seconds;
        add(
            "S13",
            "race duty: head, °C",
            rig.state.head_temperature - 273.15,
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
        rig.state.head_temperature = 333.15;
        let mut series = Vec::new();
        rig.hold(1.0, 150.0, |t, _, s| series.push((t, s.head_temperature)));
        let last = series.last().map_or(0.0, |x| x.1);
        let first = series.first().map_or(0.0, |x| x.1);
        let tau = series
            .iter()
            .find(|x| x.1 - first >= 0.632 * (last - first))
            .map_or(0.0, |x| x.0);
        add("S13", "head time constant, s", tau, 20.0, 60.0, 10.0);
        // Cold engine.
        let mut cold = Rig::cold(self.setup, self.setting, self.seed);
        cold.controls.glow_lead = 1.0;
        cold.pass(0.25, 6.0);
        cold.controls.glow_lead = 0.0;
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
            "cold: idle against clean, %",
            percent(idle.rpm.max(1.0), clean.rpm),
            -INF,
            -3.0,
            5.0,
        );
        // An opening to six tenths: oil that leaves, and revolutions that miss.
        let opening = |rig: &Rig| {
            let mut rig = *rig;
            let (mut oil, mut missed) = (measures::Mean::default(), measures::Mean::default());
            rig.hold(0.6, 1.0, |_, r, _| {
                oil.add(r.oil_out / r.duration, r.duration);
                missed.add(f64::from(u8::from(r.burnt_share < 0.5)), 1.0);
            });
            (oil.value().unwrap_or(0.0), 100.0 * missed.value().unwrap_or(1.0))
        };
        let (warm_oil, warm_missed) = opening(&self.idle(0.0, 0.0).0);
        let (cold_oil, cold_missed) = if cold.stalled() {
            (2.0 * warm_oil, 100.0)
        } else {
            opening(&cold)
        };
        let more = idle.misfire_percent - clean.misfire_percent + cold_missed - warm_missed;
        add(
            "S16",
            "cold: missed revolutions at idle and on opening, more by, %",
            more,
            0.5,
            INF,
            3.0,
        );
        add(
            "S16",
            "cold: smoke on opening over warm",
            cold_oil / warm_oil.max(1e-12),
            1.02,
            INF,
            0.2,
        );
        // Warm-up: gentle running on the stand with the throttle blipped, until the idle is clean.
        let mut warming = Rig::cold(self.setup, self.setting, self.seed);
        warming.controls.glow_lead = 1.0;
        let mut clean_after = 300.0;
        for k in 0..30 {
            warming.pass(0.25, 7.0);
            warming.controls.glow_lead = 0.0;
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
}
