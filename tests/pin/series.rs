//! 576 series: three engines, two fuels, six settings, eight manoeuvres, from a warm and from a cold engine; and beside them the
//! sign-off of each warm setting. A series' digest goes over its rows in order of time, thirteen numbers a row.

use rayon::prelude::*;

use crate::adapter::{self, MANOEUVRES, Off};
use crate::digest::Digest;

const ENGINES: [&str; 3] = ["offroad-3.5", "onroad-2.1", "truggy-4.6"];
/// The engine's own, and one that asks for far more fuel.
const FUELS: [Option<&str>; 2] = [None, Some("drag-40")];
/// The reference, and from it the high needle lean and rich, the low needle lean and rich, the idle stop in; turns.
const SETTINGS: [(&str, Off); 6] = [
    ("reference", [0.0, 0.0, 0.0]),
    ("high-lean", [-0.125, 0.0, 0.0]),
    ("high-rich", [0.375, 0.0, 0.0]),
    ("low-lean", [0.0, -0.125, 0.0]),
    ("low-rich", [0.0, 0.25, 0.0]),
    ("idle-fast", [0.0, 0.0, 0.5]),
];
const SEED: u64 = 11;

/// Name and digest of each.
pub fn all() -> Vec<(String, u64)> {
    let mut cases = Vec::new();
    for engine in ENGINES {
        for fuel in FUELS {
            for (setting, off) in SETTINGS {
                cases.push((engine, fuel, setting, off));
            }
        }
    }
    cases
        .into_par_iter()
        .flat_map_iter(|(engine, fuel, setting, off)| {
            let bench = adapter::Bench::new(engine, fuel);
            let name = format!("{engine}/{}/{setting}", fuel.unwrap_or("own-fuel"));
            let mut found = Vec::new();
            for (warmth, cold) in [("warm", false), ("cold", true)] {
                for manoeuvre in MANOEUVRES {
                    let mut digest = Digest::new();
                    for row in bench.series(off, cold, manoeuvre, SEED) {
                        row.into_iter().for_each(|value| digest.maybe(value));
                    }
                    found.push((format!("series/{name}/{warmth}/{manoeuvre}"), digest.value()));
                }
            }
            let mut digest = Digest::new();
            bench.check(off, SEED, &mut digest);
            found.push((format!("check/{name}"), digest.value()));
            found
        })
        .collect()
}
