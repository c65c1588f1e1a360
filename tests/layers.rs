//! Holds the layers of the source: a file uses its own layer or a lower one, folders never use each other in a circle, and the
//! engine's laws never use each other.
//!
//! It reads the `use crate::` and `use super::` lines (and the binary's `use needlebench::` lines), so a forbidden arrow
//! fails where it is drawn.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The layers, lowest first, by the first name under `src/`.
const LAYERS: &[&[&str]] = &[
    &["lanes", "noise", "chance", "digest", "units", "stats", "parameters"],
    &["fluids", "engine"],
    &["config"],
    &["bench", "tuning", "insight"],
    &["sound", "plot", "report", "practise"],
    &["cli", "main"],
];

/// Files in `engine/` that laws may use: data, not laws.
const ENGINE_DATA: &[&str] = &["links", "openings", "params", "setting", "state"];

/// One `use` of a module: who, whom, and where it is written.
struct Arrow {
    from: Vec<String>,
    to: Vec<String>,
    place: String,
}

fn source_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

fn rust_files(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            rust_files(&path, files);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            files.push(path);
        }
    }
}

/// The module of a file: `src/engine/film.rs` is `engine::film`, `src/engine/mod.rs` is `engine`.
fn module(file: &Path) -> Vec<String> {
    let relative = file.strip_prefix(source_folder()).unwrap().with_extension("");
    let mut parts: Vec<String> = relative
        .iter()
        .map(|part| part.to_string_lossy().into_owned())
        .collect();
    if parts.last().is_some_and(|last| last == "mod") {
        parts.pop();
    }
    parts
}

/// The paths that a `use` tree names: `a::{b, c::{self, D}}` names `a::b`, `a::c` and `a::c::D`.
fn paths(tree: &str) -> Vec<String> {
    let tree = tree.trim();
    let Some(open) = tree.find('{') else {
        let path = tree.split(" as ").next().unwrap().trim().trim_end_matches("::self");
        return vec![path.to_string()];
    };
    let head = tree[..open].trim();
    let inner = &tree[open + 1..tree.rfind('}').unwrap()];
    let (mut depth, mut start, mut all) = (0, 0, Vec::new());
    for (at, letter) in inner.char_indices().chain([(inner.len(), ',')]) {
        match letter {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                let part = inner[start..at].trim();
                if !part.is_empty() {
                    all.extend(paths(&format!("{head}{part}")));
                }
                start = at + 1;
            }
            _ => {}
        }
    }
    all
}

/// A path beside a module, written out from the root: `super::film` in `engine::heat` is `engine::film`.
fn in_folder(module: &[String], tree: &str) -> String {
    let folder = &module[..module.len() - 1];
    if folder.is_empty() {
        tree.to_string()
    } else {
        format!("{}::{tree}", folder.join("::"))
    }
}

/// Every arrow of the source, comments and tests within the files included.
fn arrows() -> Vec<Arrow> {
    let mut files = Vec::new();
    rust_files(&source_folder(), &mut files);
    let mut arrows = Vec::new();
    for file in files {
        let text = fs::read_to_string(&file).unwrap();
        // A statement may run over several lines, up to its semicolon.
        for (at, _) in text.match_indices("use ") {
            let before = text[..at].rsplit('\n').next().unwrap();
            let indented = before.starts_with(' ');
            let before = before.trim();
            let statement = text[at + 4..].split(';').next().unwrap();
            if !(before.is_empty() || before.starts_with("pub")) {
                continue;
            }
            let root = ["crate::", "needlebench::"]
                .into_iter()
                .find_map(|root| statement.strip_prefix(root));
            // `super` at the left margin is the folder; further in, it is the file around a test module.
            let beside = statement.strip_prefix("super::").filter(|_| !indented);
            let tree = match (root, beside) {
                (Some(tree), _) => tree.to_string(),
                (None, Some(tree)) => in_folder(&module(&file), tree),
                (None, None) => continue,
            };
            let line = text[..at].matches('\n').count() + 1;
            for path in paths(&tree) {
                arrows.push(Arrow {
                    from: module(&file),
                    to: path.split("::").map(|part| part.trim().to_string()).collect(),
                    place: format!("{}:{line}: use {path}", file.display()),
                });
            }
        }
    }
    arrows
}

fn layer(name: &str) -> Option<usize> {
    LAYERS.iter().position(|names| names.contains(&name))
}

#[test]
fn use_trees_are_read() {
    assert_eq!(
        paths("config::{Source, table::{self, Table}}"),
        ["config::Source", "config::table", "config::table::Table"]
    );
    assert_eq!(paths("lanes::exp as e"), ["lanes::exp"]);
    assert_eq!(paths("\n    a::{\n        B,\n        C,\n    }"), ["a::B", "a::C"]);
    assert!(arrows().len() > 40, "the reader finds the source's own lines");
}

#[test]
fn every_module_has_a_layer() {
    let mut files = Vec::new();
    rust_files(&source_folder(), &mut files);
    for file in files {
        let module = module(&file);
        if module != ["lib"] {
            assert!(layer(&module[0]).is_some(), "{} is in no layer", file.display());
        }
    }
}

#[test]
fn nothing_is_used_from_a_higher_layer() {
    let forbidden: Vec<String> = arrows()
        .iter()
        .filter(|arrow| match (layer(&arrow.from[0]), layer(&arrow.to[0])) {
            (Some(from), Some(to)) => to > from,
            // The library's own root may name anything; a path of no layer is a macro or an item of the root.
            _ => false,
        })
        .map(|arrow| arrow.place.clone())
        .collect();
    assert!(forbidden.is_empty(), "{forbidden:#?}");
}

#[test]
fn paths_in_the_text_stay_within_the_layers_too() {
    // `crate::name::item` written out instead of imported.
    let mut files = Vec::new();
    rust_files(&source_folder(), &mut files);
    let mut forbidden = Vec::new();
    for file in files {
        let Some(from) = layer(&module(&file)[0]) else { continue };
        let text = fs::read_to_string(&file).unwrap();
        for (at, _) in text.match_indices("crate::") {
            let rest = &text[at + "crate::".len()..];
            let name: String = rest
                .chars()
                .take_while(|letter| letter.is_alphanumeric() || *letter == '_')
                .collect();
            if layer(&name).is_some_and(|to| to > from) {
                forbidden.push(format!(
                    "{}:{}: crate::{name}",
                    file.display(),
                    text[..at].matches('\n').count() + 1
                ));
            }
        }
    }
    assert!(forbidden.is_empty(), "{forbidden:#?}");
}

#[test]
fn folders_never_use_each_other_in_a_circle() {
    let mut uses: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for arrow in arrows() {
        if arrow.from[0] != arrow.to[0] && layer(&arrow.from[0]).is_some() && layer(&arrow.to[0]).is_some() {
            uses.entry(arrow.from[0].clone())
                .or_default()
                .insert(arrow.to[0].clone());
        }
    }
    assert_no_circle(&uses);
}

fn assert_no_circle(uses: &BTreeMap<String, BTreeSet<String>>) {
    for start in uses.keys() {
        let (mut reached, mut open) = (BTreeSet::new(), vec![start.clone()]);
        while let Some(from) = open.pop() {
            for next in uses.get(&from).into_iter().flatten() {
                assert_ne!(next, start, "{start} reaches itself through {from}");
                if reached.insert(next.clone()) {
                    open.push(next.clone());
                }
            }
        }
    }
}

/// The file that a path leads to, if it is one with a name of its own; a folder's `mod.rs` only gathers what is in the folder.
fn file_of(path: &[String]) -> Option<String> {
    (1..=path.len())
        .rev()
        .map(|length| path[..length].join("/"))
        .find(|name| source_folder().join(format!("{name}.rs")).is_file())
}

#[test]
fn files_never_use_each_other_in_a_circle() {
    let mut uses: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for arrow in arrows() {
        match (file_of(&arrow.from), file_of(&arrow.to)) {
            (Some(from), Some(to)) if from != to => {
                uses.entry(from).or_default().insert(to);
            }
            _ => {}
        }
    }
    assert_no_circle(&uses);
}

#[test]
fn the_engines_laws_never_use_each_other() {
    let forbidden: Vec<String> = arrows()
        .iter()
        .filter(|arrow| {
            let law =
                arrow.from.len() > 1 && arrow.from[0] == "engine" && !ENGINE_DATA.contains(&arrow.from[1].as_str());
            let other = arrow.to.get(1).map(String::as_str).unwrap_or_default();
            let is_file = source_folder().join("engine").join(format!("{other}.rs")).is_file();
            law && arrow.to[0] == "engine" && is_file && !ENGINE_DATA.contains(&other) && arrow.from[1] != other
        })
        .map(|arrow| arrow.place.clone())
        .collect();
    assert!(forbidden.is_empty(), "{forbidden:#?}");
}

/// An index into a stream of noise is an address that two might share: the engine's revolutions have theirs, everything else is drawn
/// by channel and variable.
#[test]
fn what_a_practice_draws_has_a_generator_of_its_own() {
    let streams: Vec<String> = arrows()
        .iter()
        .filter(|arrow| ["tuning", "practise", "cli"].contains(&arrow.from[0].as_str()))
        .filter(|arrow| arrow.to == ["noise", "Noise"])
        .map(|arrow| arrow.place.clone())
        .collect();
    assert!(streams.is_empty(), "{streams:#?}");
}

/// The bench from what hands do to what it says of an engine: each knows those before it.
const BENCH: &[&[&str]] = &[
    &["manoeuvre", "instruments"],
    &["guide"],
    &["player"],
    &["rig"],
    &["measures", "series"],
    &["lab"],
    &["checks"],
    &["symptoms"],
];

#[test]
fn on_the_bench_hands_know_nothing_of_eyes_nor_eyes_of_verdicts() {
    let rank = |path: &[String]| {
        let name = (path.first()? == "bench").then(|| path.get(1))??;
        BENCH.iter().position(|names| names.contains(&name.as_str()))
    };
    let mut files = Vec::new();
    rust_files(&source_folder().join("bench"), &mut files);
    let unknown: Vec<_> = files
        .iter()
        .map(|file| module(file))
        .filter(|m| m.len() > 1 && rank(m).is_none())
        .collect();
    assert!(unknown.is_empty(), "{unknown:?} have no place in the bench's order");
    let (inside, forbidden): (Vec<_>, Vec<_>) = arrows()
        .into_iter()
        .filter_map(|arrow| Some((rank(&arrow.from)?, rank(&arrow.to)?, arrow.place)))
        .partition(|(from, to, _)| to <= from);
    assert!(inside.len() > 30, "{} arrows", inside.len());
    assert!(forbidden.is_empty(), "{forbidden:#?}");
}
