//! The clean island: where the sign-off checks pass and where they must not.

use super::{INF, Quantity, Table, moved};
use crate::bench::checks;

impl Table<'_> {
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
}
