//! Unit tests of the reader: each mistake at its place, with range and remedy.

use super::*;
use crate::parameters::parameters;

parameters! {
    /// Two numbers.
    Pair "pair" {
        /// A length.
        bore_mm: 1 ..= 20, design;
        /// A count.
        ports: 1 ..= 9, design;
    }
}

fn read(text: &str) -> Result<Pair, String> {
    let source = Source::new("pair.toml", text);
    let mut pair = Pair::default();
    let root = Table::root(&source).map_err(|error| error.to_string())?;
    root.only(&[], &[Pair::GROUP]).map_err(|error| error.to_string())?;
    let table = root.table(Pair::GROUP).map_err(|error| error.to_string())?;
    let set = |key: &str, value: f64| *pair.get_mut(key).unwrap() = value;
    table
        .group(Pair::KEYS, &["note"], set)
        .map_err(|error| error.to_string())?;
    Ok(pair)
}

fn message(text: &str) -> String {
    read(text).unwrap_err()
}

#[test]
fn numbers_in_any_notation() {
    let values = |text: &str| read(text).map(|pair| pair.values());
    assert_eq!(values("[pair]\nbore_mm = 1.65e1\nports = 0x3"), Ok(vec![16.5, 3.0]));
    assert_eq!(values("pair = { bore_mm = 1_0, ports = 0b11 }"), Ok(vec![10.0, 3.0]));
}

#[test]
fn each_mistake_is_told_at_its_place_with_range_and_remedy() {
    for (text, expected) in [
        (
            "[pair]\nbore_mm = 1\n",
            "pair.toml:1:2: [pair] lacks `ports`, 1 to 9 (A count); add it",
        ),
        (
            "[pairs]\nbore_mm = 1\n",
            "pair.toml:1:2: the file has no table `pairs`; did you mean `pair`?",
        ),
        (
            "[pair]\nports = 3\nbore_cm = 1.65\n",
            "pair.toml:3:1: `bore_cm` has the wrong unit: [pair] wants `bore_mm`, allowed 1 to 20 mm; convert the \
             value and rename the key",
        ),
        (
            "[pair]\nports = 3\nboremm = 16\n",
            "pair.toml:3:1: [pair] has no key `boremm`; did you mean `bore_mm`?",
        ),
        (
            "[pair]\ncolour = 3\n",
            "pair.toml:2:1: [pair] has no key `colour`; there are: bore_mm, ports, note",
        ),
        (
            "[pair]\nbore_mm = \"16 mm\"\nports = 3\n",
            "pair.toml:2:11: `bore_mm` is a text, but a number is wanted, 1 to 20 mm; write it without quotes and unit",
        ),
        (
            "[pair]\nbore_mm = 21\nports = 3\n",
            "pair.toml:2:11: `bore_mm` = 21 is out of range; allowed 1 to 20 mm (A length); change the value",
        ),
        (
            "[pair]\nbore_mm = nan\nports = 3\n",
            "pair.toml:2:11: `bore_mm` is not a finite number; allowed 1 to 20 mm; write a plain number",
        ),
        (
            "[pair]\nbore_mm = 1e999\nports = 3\n",
            "pair.toml:2:11: `bore_mm` is not a finite number; allowed 1 to 20 mm; write a plain number",
        ),
        (
            "pair = 3\n",
            "pair.toml:1:8: `pair` is a whole number, but a table is wanted; write it as [pair]",
        ),
        ("# only words\n", "pair.toml:1:1: the file says nothing"),
        ("[pair]\nports = = 3\n", "pair.toml:2:9: not valid TOML"),
    ] {
        let message = message(text);
        assert!(
            message.starts_with(expected),
            "{text:?}\n  says {message}\nwanted {expected}"
        );
    }
}

/// A value and its rise per kelvin.
static RISING: [Key; 2] = [rising("vaporised_share"), rising("vaporised_per_k")];

const fn rising(name: &'static str) -> Key {
    Key {
        name,
        low: 0.0,
        high: 1.0,
        origin: crate::parameters::Origin::design,
        meaning: "A share.",
    }
}

#[test]
fn a_stem_shared_by_two_keys_is_no_unit_mistake() {
    let source = Source::new("laws.toml", "vaporised_per_s = 1\n");
    let keys = &RISING;
    assert!(matches!(
        Table::root(&source).unwrap().only(keys, &[]),
        Err(ConfigError::Unknown { .. })
    ));
}
