//! An earlier edition's engine is told what to delete and what to write, and has it back by doing so.

use super::*;
use crate::config::built_in::{ENGINES, LAWS};
use crate::config::schema::{EngineModel, read_laws};

/// The keys that the second edition of the laws brought.
const NEW: [&str; 6] = [
    "jet_exchange_mg_per_s",
    "body_warming_share",
    "warming_share",
    "warming_lag_s",
    "crown_capacity_j_per_k",
    "crown_to_crankcase_w_per_k",
];

/// The reference engine as an earlier edition had it.
fn earlier() -> String {
    let is_new = |line: &&str| NEW.iter().any(|key| line.starts_with(&format!("{key} =")));
    let kept: Vec<&str> = ENGINES[0].text.lines().filter(|line| !is_new(line)).collect();
    assert_eq!(kept.len() + NEW.len(), ENGINES[0].text.lines().count());
    kept.join("\n")
        .replace("\n[geometry]", "snap_delay_best_s = 0.14\n\n[geometry]")
        .replace("\n[tank]", "jet_warm_crankcase_k = 40\n\n[tank]")
}

fn refused(text: &str) -> (String, Vec<Amend>) {
    let error = EngineModel::read(&Source::new("mine.toml", text)).unwrap_err();
    let message = error.to_string();
    match error {
        ConfigError::Outdated { amends, .. } => (message, amends),
        _ => panic!("{message}"),
    }
}

#[test]
fn an_earlier_editions_engine_is_told_at_once_what_to_delete_and_what_to_write() {
    let text = earlier();
    let (message, amends) = refused(&text);
    let line = text.lines().position(|l| l.starts_with("snap_delay")).unwrap() + 1;
    assert!(message.starts_with(&format!("mine.toml:{line}:1: ")), "{message}");
    assert_eq!(message.lines().count(), 1);
    for part in [
        "[reference] has `snap_delay_best_s`, which is computed now, for any fuel and weather; delete it",
        "[carburettor] has `jet_warm_crankcase_k`, which follows now from `jet_exchange_mg_per_s`",
        "[cooling] lacks `crown_capacity_j_per_k`, ",
        "`needlebench models show offroad-3.5 --toml`",
    ] {
        assert!(message.contains(part), "{part} in {message}");
    }
    // Whoever does what it says has the engine back.
    let mut lines: Vec<String> = text.lines().map(str::to_string).collect();
    for amend in &amends {
        match amend {
            Amend::Delete { key, .. } => lines.retain(|line| !line.starts_with(&format!("{key} ="))),
            Amend::Add { group, key, start } => {
                assert!(message.contains(&format!("add it, say `{} = {}`", key.name, start.unwrap())));
                let head = lines.iter().position(|line| *line == format!("[{group}]")).unwrap();
                lines.insert(head + 1, format!("{} = {}", key.name, start.unwrap()));
            }
        }
    }
    let again = EngineModel::read(&Source::new("mine.toml", &lines.join("\n"))).unwrap();
    let built_in = EngineModel::read(&Source::new(ENGINES[0].path, ENGINES[0].text)).unwrap();
    assert_eq!(again, built_in);
    assert_eq!(amends.len(), NEW.len() + GONE.len());
}

#[test]
fn a_misspelt_key_is_told_as_that_before_its_absence() {
    let text = ENGINES[0].text.replace("warming_lag_s", "warming_leg_s");
    let message = EngineModel::read(&Source::new("mine.toml", &text))
        .unwrap_err()
        .to_string();
    assert!(message.contains("did you mean `warming_lag_s`?"), "{message}");
}

#[test]
fn a_file_that_lacks_nearly_all_is_told_briefly() {
    let mut text = String::from("name = \"x\"\nsummary = \"y\"\n[reference]\n");
    for line in ENGINES[0].text.lines().filter(|line| line.starts_with('[')) {
        text += if line == "[reference]" { "" } else { line };
        text.push('\n');
    }
    let (message, amends) = refused(&text);
    assert!(amends.len() > 50 && message.len() < 3_000, "{}", message.len());
    assert!(
        message.contains(&format!("; and {} more (", amends.len() - 12)),
        "{message}"
    );
}

#[test]
fn laws_without_a_constant_are_told_its_value() {
    let line = LAWS
        .text
        .lines()
        .find(|line| line.starts_with("annand_coefficient"))
        .unwrap();
    let text = LAWS.text.replace(line, "");
    let message = read_laws(&Source::new("laws.toml", &text)).unwrap_err().to_string();
    let value = line.split(['=', '#']).nth(1).unwrap().trim();
    assert!(
        message.contains(&format!("add it, say `annand_coefficient = {value}`")),
        "{message}"
    );
    assert!(message.contains("`needlebench models show laws --toml`"));
}
