//! The digest of a practice: everything in it that can differ, so that equal digests mean an equal practice from here on.
//!
//! Structs are taken apart field by field, without "and the rest": a field that is added does not compile until it stands here too.
//! The engine's state and controls have a way to reach every field.

use super::Episode;
use super::log::Log;
use crate::bench::checks::Report;
use crate::bench::rig::Rig;
use crate::digest::Digest;
use crate::engine::params::{Faults, Setting};
use crate::engine::state::{Controls, State};
use crate::tuning::drawn::Drawn;
use crate::tuning::hidden::Hidden;
use crate::tuning::score::Judgement;
use crate::tuning::sums::LeanCause;

impl Episode {
    /// A digest of the whole state.
    pub fn digest(&self) -> u64 {
        let mut digest = Digest::from(0);
        let Self {
            hidden,
            rig,
            // It follows from what is hidden.
            right: _,
            log,
            doing,
            marks,
            clock_ms,
            ran_ms,
            held,
            left_at_fault,
            cures,
            counter,
            first_turn,
            judgements,
            human,
            ending,
            report,
            leaner,
            path,
            // It stands in a recording's first line.
            origin: _,
            signed_off,
            // It follows from what is hidden.
            at_best: _,
        } = self;
        let Log {
            strip,
            lean,
            leanness,
            safe_s,
            spell_s,
            lean_crossings,
            fuel_kg,
            cleared_ms,
            seen,
            heard,
            silent_ms,
        } = log;
        take_hidden(&mut digest, hidden);
        digest.word(signed_off.len() as u64);
        // All there is to it: an action under way is seldom asked for, and has many fields.
        let doing = doing.as_ref().map(|doing| format!("{doing:?}")).unwrap_or_default();
        digest.words(doing.bytes().map(u64::from));
        // The engine is what its setup made it, and its noise what the seed made it: both are hidden's.
        let Rig { state, controls, .. } = rig;
        take_state(&mut digest, state);
        take_controls(&mut digest, controls);
        digest.numbers(strip.numbers());
        digest.numbers(*marks);
        digest.words([
            *clock_ms,
            *ran_ms,
            or_none(*silent_ms),
            or_none(*cleared_ms),
            u64::from(*held),
        ]);
        digest.words(left_at_fault.iter().map(|part| *part as u64));
        digest.words(
            cures
                .iter()
                .map(|(part, in_need)| 2 * *part as u64 + u64::from(*in_need)),
        );
        digest.words(counter.words());
        digest.numbers(LeanCause::ALL.map(|cause| lean.of(cause)));
        digest.numbers(leanness.numbers());
        digest.numbers([*safe_s, *spell_s, *fuel_kg]);
        digest.word(u64::from(*lean_crossings));
        digest.word(or_none(first_turn.map(|turn| turn as u64)));
        for judgement in judgements {
            take_judgement(&mut digest, judgement);
        }
        digest.numbers(seen.numbers());
        digest.numbers(heard.numbers());
        digest.words(human.readings());
        digest.word(or_none(ending.map(|ending| ending as u64)));
        for report in [report, leaner] {
            digest.words(report.as_ref().map(words).unwrap_or_default());
        }
        // Each place of the path was the last one once, and the digests of a recording are chained.
        digest.word(path.len() as u64);
        path.last().into_iter().for_each(|last| take_setting(&mut digest, last));
        digest.value()
    }
}

/// A word that no count reaches for "none".
fn or_none(value: Option<u64>) -> u64 {
    value.unwrap_or(u64::MAX)
}

fn take_hidden(digest: &mut Digest, hidden: &Hidden) {
    // What is left out follows from the scenario, which stands in a recording's first line, and from what is taken in.
    let Hidden {
        setup,
        sound: _,
        judging: _,
        limits: _,
        truth,
        at_truth,
        start,
        came,
        blend: _,
        drawn,
    } = hidden;
    let Faults {
        air_leak_mm2,
        line_blocked_share,
        pressure_line_leak_share,
        plug_tired_share,
        sleeve_wear_share,
        filter_blocked_share,
        brake_drag_n,
        foam_share,
    } = setup.faults;
    digest.numbers([
        air_leak_mm2,
        line_blocked_share,
        pressure_line_leak_share,
        plug_tired_share,
        sleeve_wear_share,
        filter_blocked_share,
        brake_drag_n,
        foam_share,
    ]);
    take_setting(digest, truth);
    take_setting(digest, start);
    take_setting(digest, came);
    digest.words(words(at_truth));
    let Drawn {
        nitro_percent,
        oil_percent,
        viscosity_share,
        sleeve_wear_share,
        // It is among the setup's faults.
        fault: _,
        start_turns,
        least_mark_turns,
        most_mark_turns,
        engine_seed,
        set_share,
    } = *drawn;
    digest.numbers([nitro_percent, oil_percent, viscosity_share, sleeve_wear_share]);
    digest.numbers([start_turns, least_mark_turns, most_mark_turns].into_iter().flatten());
    digest.word(engine_seed);
    digest.numbers(set_share);
}

fn take_setting(digest: &mut Digest, setting: &Setting) {
    let Setting {
        high_turns,
        low_turns,
        idle_turns,
    } = *setting;
    digest.numbers([high_turns, low_turns, idle_turns]);
}

fn take_judgement(digest: &mut Digest, judgement: &Judgement) {
    let Judgement {
        end,
        said,
        sure_percent,
        was,
        readable,
        turns_before,
    } = *judgement;
    digest.words([
        end as u64,
        said as u64,
        u64::from(sure_percent),
        was as u64,
        u64::from(readable),
        u64::from(turns_before),
    ]);
}

/// What the checks measured, and whether they passed.
fn words(report: &Report) -> Vec<u64> {
    let checks = report.checks.iter();
    checks
        .flat_map(|check| [check.value.map_or(u64::MAX, f64::to_bits), u64::from(check.pass)])
        .collect()
}

fn take_state(digest: &mut Digest, state: &State) {
    _ = state.each(|number| digest.numbers([*number]));
}

fn take_controls(digest: &mut Digest, controls: &Controls) {
    _ = controls.each(|number| digest.numbers([*number]));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tuning::action::{Action, Part, Screw, Verdict};
    use crate::tuning::episode::Ending;
    use crate::tuning::scenario::{Scenario, source};
    use crate::tuning::score::FirstTurn;

    /// Whatever in a practice is another, its digest is.
    #[test]
    fn nothing_in_a_practice_changes_without_its_digest() {
        let mut scenario = Scenario::read(&source("lesson-1").unwrap()).unwrap();
        (scenario.fault.chance_percent, scenario.fault.air_leak_mm2) = (100.0, 0.3);
        let mut practice = Episode::reset(&scenario, 3, 0).unwrap();
        practice.act(&Action::Start).unwrap();
        practice
            .act(&Action::Judge {
                end: Screw::Low,
                verdict: Verdict::Lean,
                sure_percent: 50,
            })
            .unwrap();
        practice.act(&Action::Wait { ms: 700 }).unwrap();
        type Change = (&'static str, fn(&mut Episode));
        let changes: [Change; 37] = [
            ("speed", |e| e.rig.state.speed += 1e-9),
            ("wheels", |e| e.rig.state.wheel_speed += 1e-9),
            ("film of oil", |e| e.rig.state.film_oil += 1e-12),
            ("tank pressure", |e| e.rig.state.tank_pressure += 1e-9),
            ("pinched fuel", |e| e.rig.state.line_drawn += 1e-12),
            ("pipe", |e| e.rig.state.pipe_temperature += 1e-9),
            ("charge", |e| e.rig.state.left.fuel += 1e-12),
            ("mist", |e| e.rig.state.pipe_mist += 1e-12),
            ("revolution", |e| e.rig.state.revolution += 1.0),
            ("throttle", |e| e.rig.controls.throttle += 0.1),
            ("glow lead", |e| e.rig.controls.glow_lead = 1.0),
            ("line", |e| e.rig.controls.line_open = 0.5),
            ("track", |e| e.rig.controls.on_track = 1.0),
            ("mark", |e| e.marks[1] += 0.125),
            ("time run", |e| e.ran_ms += 1),
            ("silence", |e| e.log.silent_ms = Some(1)),
            ("held", |e| e.held = true),
            ("cure", |e| e.cures.push((Part::Tank, false))),
            ("fault", |e| e.left_at_fault.clear()),
            ("fixed", |e| e.hidden.setup.faults.air_leak_mm2 = 0.0),
            ("adjustments", |e| e.counter.turned(Screw::High, 0.1, 0)),
            ("trims", |e| e.counter.turned(Screw::Idle, 0.1, 0)),
            ("safe time", |e| e.log.safe_s = 0.5),
            ("too lean", |e| e.log.lean.starved_s += 1e-9),
            ("lean spell", |e| e.log.spell_s += 1e-9),
            ("crossings", |e| e.log.lean_crossings += 1),
            ("fuel", |e| e.log.fuel_kg += 1e-12),
            ("first turn", |e| e.first_turn = Some(FirstTurn::NotNeeded)),
            ("sureness", |e| e.judgements[0].sure_percent += 1),
            ("judgement", |e| e.judgements.clear()),
            ("cleared out", |e| e.log.cleared_ms = Some(5)),
            ("plug", |e| e.log.seen.mixture(1.0, 0.1, 300.0)),
            ("heard", |e| e.log.heard.idle_turned()),
            ("gun", |e| _ = e.human.gun_c()),
            ("pinch", |e| _ = e.human.pinch()),
            ("doing", |e| e.begin(&Action::Wait { ms: 100 }).unwrap()),
            ("ending", |e| e.ending = Some(Ending::Left)),
        ];
        for (what, change) in changes {
            let mut other = practice.clone();
            change(&mut other);
            assert_ne!(other.digest(), practice.digest(), "{what}");
        }
        assert_eq!(practice.clone().digest(), practice.digest());
        assert_eq!(practice.left_at_fault(), [Part::Leak]);
    }
}
