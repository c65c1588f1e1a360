//! Rows of the steady idle: S1, S2, S18.

use super::{INF, Quantity, Table, adder, percent};

impl Table<'_> {
    /// S1, S2, S18.
    pub fn idle_rows(&self, out: &mut Vec<Quantity>) {
        let mut add = adder(out);
        let clean = self.idle(0.0, 0.0).1;
        let rich = self.idle(0.0, 0.75).1;
        let rise = if rich.rpm > 0.0 {
            percent(clean.rpm, rich.rpm)
        } else {
            100.0
        };
        add("S1", "idle speed from low +3/4 to clean, %", rise, 15.0, INF, 10.0);
        // Every sixteenth of a turn; a parabola through the best three places the peak between them.
        let speeds: Vec<f64> = (-6..=6).map(|k| self.idle(0.0, f64::from(k) / 16.0).1.rpm).collect();
        let best = (0..speeds.len())
            .max_by(|a, b| speeds[*a].total_cmp(&speeds[*b]))
            .unwrap_or(0);
        let between = match (best.checked_sub(1).and_then(|i| speeds.get(i)), speeds.get(best + 1)) {
            (Some(a), Some(c)) if a + c < 2.0 * speeds[best] => 0.5 * (a - c) / (a + c - 2.0 * speeds[best]),
            _ => 0.0,
        };
        let fastest = ((best as f64 + between - 6.0) / 16.0, speeds[best]);
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
        add("idle", "clean idle speed, rpm", clean.rpm, 9_000.0, 12_500.0, 1000.0);
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
}
