//! A class code: scenario, seed and level in five words of a short list, to be said aloud and typed, so that a whole class has the same
//! engine before it.
//!
//! Thirty bits: five for a check, so that of mistyped words 31 in 32 are noticed; two for the level, six for the scenario, seventeen for
//! the seed. They are mixed before they become words, so that neighbouring seeds don't have neighbouring codes.

use thiserror::Error;

use super::session::Level;
use crate::tuning::scenario::SCENARIOS;

/// The words: short, told apart by ear and by their first three letters, and none of a part's name that a practice might mean.
const WORDS: [&str; 64] = [
    "acorn", "amber", "anvil", "apple", "badge", "basin", "beech", "birch", "brook", "cabin", "candle", "cedar",
    "chalk", "clover", "copper", "daisy", "delta", "drum", "eagle", "ember", "fern", "flint", "forest", "garden",
    "ginger", "granite", "hazel", "heron", "honey", "island", "ivory", "jacket", "jungle", "kettle", "lantern",
    "lemon", "linen", "maple", "marble", "meadow", "mustard", "nettle", "oak", "olive", "orchard", "otter", "paddle",
    "pebble", "pigeon", "plum", "quarry", "raven", "ribbon", "river", "saddle", "silver", "spruce", "summit", "timber",
    "tulip", "velvet", "walnut", "willow", "yellow",
];
/// Words of a code.
const COUNT: u32 = 5;
const BITS: u32 = 6 * COUNT;
/// Seeds that a code has room for.
pub const SEEDS: u64 = 1 << 17;
/// Odd, so that multiplying by it can be undone; and its inverse modulo 2^30 (a test multiplies them).
const MIX: u64 = 0x2545_f491;
const UNMIX: u64 = inverse(MIX);
const MASK: u64 = (1 << BITS) - 1;
const HALF: u32 = BITS / 2;
/// So that nothing at all is no word five times over.
const START: u64 = 0x15a5_3c69;

/// The inverse of an odd number modulo a power of two, by Newton's iteration.
const fn inverse(odd: u64) -> u64 {
    let mut x = odd;
    let mut k = 0;
    while k < 6 {
        x = x.wrapping_mul(2_u64.wrapping_sub(odd.wrapping_mul(x)));
        k += 1;
    }
    x & MASK
}

/// What a class practises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Class {
    /// Name of a built-in scenario.
    pub scenario: &'static str,
    /// Seed of what is hidden.
    pub seed: u64,
    /// How much is shown.
    pub level: Level,
}

/// Words that are no class code.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum CodeError {
    /// Too few or too many words.
    #[error("a class code has five words with hyphens between them, such as `{EXAMPLE}`; this has {0}")]
    Count(usize),
    /// No word of the list.
    #[error("`{word}` is no word of a class code{}", hint(.near))]
    Word {
        /// As it was typed.
        word: String,
        /// The word that was probably meant.
        near: Option<&'static str>,
    },
    /// All of them are words, but not together.
    #[error("these words don't make a class code together: one of them was misheard, or they changed places")]
    Check,
}

/// A code for the words of errors and of help.
pub const EXAMPLE: &str = "cabin-spruce-amber-timber-daisy";

fn hint(near: &Option<&'static str>) -> String {
    near.map_or_else(String::new, |near| format!("; perhaps `{near}`"))
}

const LEVELS: [Level; 3] = [Level::Guided, Level::Assisted, Level::ByEar];

/// Mixed so that every bit of a word hangs on every bit of what it says; each step can be undone.
fn mixed(bits: u64) -> u64 {
    let bits = bits ^ START;
    let bits = (bits ^ (bits >> HALF)).wrapping_mul(MIX) & MASK;
    bits ^ (bits >> HALF)
}

fn unmixed(bits: u64) -> u64 {
    // A shift by half undoes itself.
    let bits = (bits ^ (bits >> HALF)).wrapping_mul(UNMIX) & MASK;
    bits ^ (bits >> HALF) ^ START
}

/// The check: any change of one word changes it, and most others do.
fn check(payload: u64) -> u64 {
    (payload.wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 59) & 31
}

impl Class {
    /// Its code; none for a scenario that is not built in, or a seed beyond [`SEEDS`].
    pub fn code(scenario: &str, seed: u64, level: Level) -> Option<String> {
        let scenario = SCENARIOS.iter().position(|known| known.name == scenario)? as u64;
        let level = LEVELS.iter().position(|known| *known == level)? as u64;
        if seed >= SEEDS || scenario >= 64 {
            return None;
        }
        let payload = (scenario << 19) | (seed << 2) | level;
        let mixed = mixed((check(payload) << 25) | payload);
        let words: Vec<&str> = (0..COUNT)
            .rev()
            .map(|k| WORDS[((mixed >> (6 * k)) & 63) as usize])
            .collect();
        Some(words.join("-"))
    }

    /// What a code says.
    ///
    /// # Errors
    /// What is wrong with its words.
    pub fn read(code: &str) -> Result<Self, CodeError> {
        let typed = code.to_lowercase();
        let words: Vec<&str> = typed
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .collect();
        if words.len() != COUNT as usize {
            return Err(CodeError::Count(words.len()));
        }
        let mut mixed = 0;
        for word in words {
            let place = WORDS.iter().position(|known| *known == word);
            let place = place.ok_or_else(|| CodeError::Word {
                word: word.chars().take(20).collect(),
                near: WORDS
                    .into_iter()
                    .find(|known| word.chars().take(3).eq(known.chars().take(3))),
            })?;
            mixed = (mixed << 6) | place as u64;
        }
        let all = unmixed(mixed);
        let payload = all & ((1 << 25) - 1);
        let (scenario, level) = (
            SCENARIOS.get((payload >> 19) as usize),
            LEVELS.get((payload & 3) as usize),
        );
        match (scenario, level) {
            (Some(scenario), Some(level)) if check(payload) == all >> 25 => Ok(Self {
                scenario: scenario.name,
                seed: (payload >> 2) & (SEEDS - 1),
                level: *level,
            }),
            _ => Err(CodeError::Check),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_says_what_it_was_made_of() {
        assert_eq!(MIX.wrapping_mul(UNMIX) & MASK, 1);
        for scenario in SCENARIOS {
            for (seed, level) in [
                (0, Level::Guided),
                (1, Level::Assisted),
                (99_999, Level::ByEar),
                (SEEDS - 1, Level::Guided),
            ] {
                let code = Class::code(scenario.name, seed, level).unwrap();
                let class = Class {
                    scenario: scenario.name,
                    seed,
                    level,
                };
                assert_eq!(Class::read(&code), Ok(class), "{code}");
                assert_eq!(Class::read(&code.to_uppercase().replace('-', " ")), Ok(class));
            }
        }
        assert_eq!(Class::code(SCENARIOS[0].name, SEEDS, Level::Guided), None);
        assert_eq!(Class::code("my-own.toml", 1, Level::Guided), None);
    }

    #[test]
    fn a_misheard_word_is_noticed_nearly_always() {
        let code = Class::code(SCENARIOS[1].name, 4711, Level::ByEar).unwrap();
        let words: Vec<&str> = code.split('-').collect();
        let (mut tried, mut missed) = (0, 0);
        for place in 0..words.len() {
            for other in WORDS.into_iter().filter(|other| *other != words[place]) {
                let mut heard = words.clone();
                heard[place] = other;
                tried += 1;
                missed += u32::from(Class::read(&heard.join("-")).is_ok());
            }
        }
        assert!(missed * 20 < tried, "{missed} of {tried}");
    }

    #[test]
    fn what_is_wrong_is_said() {
        assert_eq!(Class::read("acorn-river"), Err(CodeError::Count(2)));
        assert!(
            Class::read("acorn-river-plum-oak-hern")
                .unwrap_err()
                .to_string()
                .contains("hern")
        );
        assert!(
            Class::read("acorn-river-plum-oak-herom")
                .unwrap_err()
                .to_string()
                .contains("`heron`")
        );
        assert_eq!(Class::read(""), Err(CodeError::Count(0)));
        let starts: std::collections::BTreeSet<String> =
            WORDS.iter().map(|word| word.chars().take(3).collect()).collect();
        assert_eq!(starts.len(), WORDS.len(), "told apart by their first letters");
    }

    /// A code that was handed out stays what it is: new scenarios go to the end of the list.
    #[test]
    fn codes_last() {
        let codes: Vec<String> = SCENARIOS
            .iter()
            .map(|scenario| Class::code(scenario.name, 7, Level::Guided).unwrap())
            .collect();
        assert_eq!(codes.join("\n"), HANDED_OUT, "\n{}", codes.join("\n"));
    }

    const HANDED_OUT: &str = "\
ribbon-granite-garden-nettle-maple
amber-mustard-apple-cedar-jacket
hazel-linen-ginger-forest-orchard
island-meadow-quarry-kettle-amber
ginger-cabin-oak-oak-lantern
maple-ginger-jacket-chalk-honey
badge-anvil-olive-apple-hazel
oak-basin-walnut-willow-delta
willow-lemon-brook-spruce-saddle
timber-forest-linen-hazel-olive
birch-maple-flint-spruce-maple
honey-badge-candle-pebble-ivory
lantern-ember-lemon-yellow-raven
ivory-beech-spruce-granite-mustard
cabin-spruce-amber-timber-daisy
garden-beech-pigeon-brook-cabin";
}
