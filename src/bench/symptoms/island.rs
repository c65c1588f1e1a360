//! The clean island: where the sign-off checks pass and where they must not. A careful racer leaves the high-speed needle an eighth of a
//! turn or more from its lean edge, and the low-speed needle a click or two from either.

use super::{Asked, Group, INF, Off, Rows, Table, given, off};

pub(super) const GROUP: Group = Group {
    name: "island",
    asks: || -> Vec<Asked> { Vec::new() },
    rows: &[island],
};

const CLICK: f64 = 1.0 / 24.0;

/// Settings around the reference, and whether they are clean.
const PLACES: [(&str, Off, bool); 11] = [
    ("reference: margin", off(0.0, 0.0), true),
    ("high +1/24: margin", off(CLICK, 0.0), true),
    ("high -1/24: margin", off(-CLICK, 0.0), true),
    ("high +1/8: margin", off(0.125, 0.0), true),
    ("high -1/8: margin", off(-0.125, 0.0), true),
    ("low +1/24: margin", off(0.0, CLICK), true),
    ("low -1/24: margin", off(0.0, -CLICK), true),
    ("high +1/2: margin", off(0.5, 0.0), false),
    ("high -1/4: margin", off(-0.25, 0.0), false),
    ("low +1/4: margin", off(0.0, 0.25), false),
    ("low -1/8: margin", off(0.0, -0.125), false),
];

/// Margins of the checks around the reference setting. What is not clean has to run, too: a stall tells nothing of the checks.
fn island(t: &Table, rows: &mut Rows) {
    let reports = t.reports(&PLACES.map(|place| place.1));
    for ((name, _, clean), reports) in PLACES.iter().zip(reports) {
        let limits = if *clean { (0.0, INF) } else { (-INF, -1e-9) };
        let margin = |k: usize| given(!reports[k].symptoms.stalled, reports[k].margin());
        rows.add(("island", name), margin, limits, 0.1);
    }
}
