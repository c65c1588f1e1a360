//! A fingerprint of what a practice rests on: the models of its scenario, the laws' constants, the rules of the score, and how a short
//! run comes out. Recordings bear it, so that the learner's curve is told which ones belong to today's models without replaying any.

use std::sync::OnceLock;

use super::scenario::Scenario;
use super::score::RULES;
use crate::bench::rig::Rig;
use crate::config::{Ensemble, SetupError, models, reference_setup};
use crate::digest::Digest;

/// The fingerprint of today's models for a scenario.
///
/// # Errors
/// A model that can't be used.
pub fn fingerprint(scenario: &Scenario) -> Result<String, SetupError> {
    let mut digest = Digest::from(in_common()?);
    let own = &scenario.own;
    let engine = own.engine(&scenario.engine)?;
    let (fuels, plugs) = (
        [&scenario.fuel, &engine.reference_fuel].map(|name| own.fuel(name)),
        [&scenario.plug, &engine.reference_plug].map(|name| own.plug(name)),
    );
    take(&mut digest, &scenario.cold);
    take(&mut digest, &scenario.weather);
    take(&mut digest, &scenario.start);
    take(&mut digest, &scenario.hidden);
    take(&mut digest, &scenario.fault);
    take(&mut digest, &scenario.limits);
    take(&mut digest, &scenario.stages);
    take(&mut digest, &engine);
    if scenario.ensemble {
        take(&mut digest, &Ensemble::built_in()?);
    }
    for fuel in fuels {
        take(&mut digest, &fuel?);
    }
    for plug in plugs {
        take(&mut digest, &plug?);
    }
    Ok(format!("{:016x}", digest.value()))
}

/// What all scenarios have in common.
fn in_common() -> Result<u64, SetupError> {
    static KNOWN: OnceLock<u64> = OnceLock::new();
    if let Some(known) = KNOWN.get() {
        return Ok(*known);
    }
    let mut digest = Digest::from(u64::from(RULES));
    take(&mut digest, &models::laws()?);
    let (engine, setup) = reference_setup(models::ENGINES[0].name)?;
    // Cold, at part throttle, wide open and back: every law has its say.
    let mut rig = Rig::cold(&setup, engine.reference, 1);
    for (throttle, seconds) in [(0.4, 2.0), (1.0, 2.0), (0.0, 3.0)] {
        rig.pass(throttle, seconds);
    }
    _ = rig.state.each(|number| digest.numbers([*number]));
    Ok(*KNOWN.get_or_init(|| digest.value()))
}

/// Takes in everything of a value that is written out.
fn take(digest: &mut Digest, value: &impl serde::Serialize) {
    // Plain structs of numbers and names always can be written.
    digest.text(&serde_json::to_string(value).unwrap_or_default());
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::Source;
    use crate::tuning::scenario::source;

    #[test]
    fn numbers_count_and_comments_do_not() {
        let text = source("lesson-1").unwrap().text;
        let of = |text: &str| fingerprint(&Scenario::read(&Source::new("s", text)).unwrap()).unwrap();
        let today = of(&text);
        assert_eq!(of(&text), today);
        assert_eq!(of(&format!("# a comment\n{text}")), today);
        for (from, to) in [
            ("most_rich_turns = 0.9", "most_rich_turns = 0.91"),
            ("\"offroad-3.5\"", "\"truggy-4.6\""),
            ("\"race-25\"", "\"race-20\""),
        ] {
            assert_ne!(of(&text.replacen(from, to, 1)), today, "{to}");
        }
    }
}
