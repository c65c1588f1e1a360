//! Rows of the throttle hand: burst, snap, half throttle, pinched line, free speed (S4-S8, S20, S22).

use super::{INF, Quantity, Table, adder, moved, percent};
use crate::bench::measures;
use crate::bench::rig::Rig;

impl Table<'_> {
    /// S4-S8, S20, S22.
    pub fn burst_rows(&self, out: &mut Vec<Quantity>) {
        let mut add = adder(out);
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
        // How long the speed stays up once the throttle is shut, by the clean idle: richer is shorter, and falls deeper.
        let spell_s = |low: f64, mark: f64| {
            let mut rig = self.idle(0.0, low).0;
            rig.pass(1.0, self.waits.burst_s);
            let mut down = 12.0;
            rig.hold(0.0, 12.0, |t, r, _| {
                if down == 12.0 && r.speed * 60.0 < mark {
                    down = t;
                }
            });
            down
        };
        let shorter = spell_s(0.5, 0.95 * idle.rpm) - spell_s(0.75, 0.95 * idle.rpm);
        add(
            "S4",
            "low +3/4: high spell shorter than +1/2 by, s",
            shorter,
            0.0,
            INF,
            0.3,
        );
        let deeper = percent(self.idle(0.0, 0.5).1.rpm, self.idle(0.0, 0.75).1.rpm.max(1.0)).min(100.0);
        add("S4", "low +3/4: falls deeper than +1/2 by, %", deeper, 0.0, INF, 5.0);
        let (lean_idle, lean, _) = self.burst(0.0, -0.125);
        // To a tenth above the clean idle, where a hand on the throttle calls it down.
        let later = spell_s(-0.125, 1.1 * idle.rpm) - spell_s(0.0, 1.1 * idle.rpm);
        add(
            "S6",
            "low -1/8: comes down later than clean by, s",
            later,
            0.0,
            INF,
            0.1,
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
        // Held half open from a running engine: whether its idle lives is another row.
        let half = |high, low| {
            let running = Rig::warm(self.setup, moved(self.setting, high, low), self.seed);
            measures::half_throttle(running).misfire_percent
        };
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
            let pinch = measures::pinch(self.idle(0.0, low).0);
            (pinch.rise_percent, pinch.died_s.unwrap_or(30.0))
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
}
