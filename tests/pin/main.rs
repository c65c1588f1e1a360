//! The pin: digests of complete series and practices, held against `tests/data/pin.txt`, so that every change of the model or of the
//! code around it shows exactly what it changed. Nothing here says what is right; it says what is as it was.
//!
//! A line is a name and a digest (FNV-1a, 64 bit) of every number's bits, in the order that `adapter.rs` writes down. When a change
//! is meant, `NEEDLEBENCH_PIN=write cargo test --release --test pin` writes the file anew; its difference then belongs into the same
//! commit, with a word on why.

mod adapter;
mod digest;
mod practice;
mod series;

use std::collections::BTreeMap;
use std::path::Path;

/// Name and digest of everything pinned, in the file's order.
fn pinned() -> Vec<(String, u64)> {
    let (series, practices) = rayon::join(series::all, practice::all);
    [series, practices].concat()
}

/// Lines as (name, digest as written).
fn lines(text: &str) -> BTreeMap<&str, &str> {
    text.lines()
        .filter(|line| !line.starts_with('#') && !line.is_empty())
        .map(|line| line.split_once(' ').unwrap_or((line, "")))
        .collect()
}

#[test]
fn what_was_pinned_has_not_changed() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/pin.txt");
    let found = pinned();
    let mut text = String::from(
        "# Digests of complete series and practices: see tests/pin/main.rs. Written by that test, not by hand.\n",
    );
    for (name, digest) in &found {
        text += &format!("{name} {digest:016x}\n");
    }
    if std::env::var_os("NEEDLEBENCH_PIN").is_some_and(|value| value == "write") {
        std::fs::write(&path, &text).unwrap();
        return;
    }
    let kept = std::fs::read_to_string(&path).unwrap();
    let (kept, now) = (lines(&kept), lines(&text));
    let names: std::collections::BTreeSet<&str> = kept.keys().chain(now.keys()).copied().collect();
    let differ: Vec<String> = names
        .into_iter()
        .filter(|name| kept.get(name) != now.get(name))
        .map(|name| {
            let side = |of: &BTreeMap<&str, &str>| of.get(name).map_or("nothing".to_string(), ToString::to_string);
            format!("{name}: {} was pinned, {} is now", side(&kept), side(&now))
        })
        .collect();
    assert!(
        differ.is_empty(),
        "{} of {} lines differ (NEEDLEBENCH_PIN=write pins what is now, if that is meant):\n{}",
        differ.len(),
        now.len(),
        differ.join("\n")
    );
}
