//! The row of the false idle, S23.

use super::{INF, Quantity, Table, adder, moved, percent};
use crate::bench::measures;

impl Table<'_> {
    /// S23.
    pub fn other_rows(&self, out: &mut Vec<Quantity>) {
        let mut add = adder(out);
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
