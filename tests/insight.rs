//! Why the screws do what they do, held against what is known otherwise: the metering law's closed form, the sum of the shares, common
//! practice. Few seeds, since these are about agreement and signs.

use needlebench::bench::checks::Facts;
use needlebench::bench::lab::Lab;
use needlebench::bench::manoeuvre::table::Waits;
use needlebench::bench::measures::What;
use needlebench::config::{EngineModel, reference_setup};
use needlebench::engine::Setup;
use needlebench::engine::params::Setting;
use needlebench::insight::causes::{Action, Causes, Outcome, Path, causes};
use needlebench::insight::effects::{Effect, Missing, Model, TURNS, Turn, effects, pairs};
use needlebench::insight::metering::sensitivity;
use needlebench::insight::relative_gain::interaction;
use needlebench::insight::story::{Tale, story};
use needlebench::insight::symptom::Symptom;
use needlebench::tuning::action::Screw;

fn reference() -> (EngineModel, Setup) {
    reference_setup("offroad-3.5").unwrap()
}

fn found(effects: &[Effect], screw: Screw, by: f64, symptom: Symptom) -> Effect {
    let turn = Turn { screw, by };
    *effects.iter().find(|e| e.turn == turn && e.symptom == symptom).unwrap()
}

/// How the mixtures' gains per turn compare with what the metering law alone says of them: (high, low) wide open, (low, high) at idle.
fn beside_the_law(engine: &EngineModel, setup: &Setup, effects: &[Effect]) -> [f64; 4] {
    // What viscosity spends there.
    let mut lab = Lab::new(setup, &Waits::STANDARD);
    let case = lab.add_warm(engine.reference, 1);
    lab.measure([(case, What::Idle), (case, What::Brake)]);
    let shares = lab.findings(case);
    let [idle, full] = [
        shares.idle.unwrap().found.viscous_share,
        shares.brake.unwrap().found.viscous_share,
    ];
    let c = &setup.engine.carburettor;
    let slide = c.idle_opening_closed + c.idle_opening_per_turn * engine.reference.idle_turns;
    let at_full = sensitivity(setup, engine.reference, 1.0, full);
    let at_idle = sensitivity(setup, engine.reference, slide, idle);
    [
        (Screw::High, Symptom::MixtureFull, at_full.high),
        (Screw::Low, Symptom::MixtureFull, at_full.low),
        (Screw::Low, Symptom::MixtureIdle, at_idle.low),
        (Screw::High, Symptom::MixtureIdle, at_idle.high),
    ]
    .map(|(screw, symptom, law)| {
        let [lean, rich] = [-TURNS, TURNS].map(|by| found(effects, screw, by, symptom));
        let at = lean.at.unwrap();
        let gain = ((at + rich.change.unwrap()) / (at + lean.change.unwrap())).ln() / (2.0 * TURNS);
        gain / law
    })
}

#[test]
fn the_mixtures_gains_follow_the_metering_law_and_the_low_needle_leaves_full_throttle_alone() {
    let (engine, setup) = reference();
    let model = Model {
        setup: &setup,
        facts: Facts::of(&engine, &setup),
    };
    let pairs = pairs(&model, engine.reference, &[1, 2]);
    let effects = effects(&pairs, &[]);
    let with_pressure = beside_the_law(&engine, &setup, &effects);
    // Richer, more mass leaves, and it presses on the tank: that answers with still more fuel, wide open. A pressure line that leaks
    // altogether takes the answer away, and leaves the law.
    let mut leaking = setup;
    leaking.faults.pressure_line_leak_share = 1.0;
    let model = Model {
        setup: &leaking,
        ..model
    };
    let without = needlebench::insight::effects::effects(
        &needlebench::insight::effects::pairs(&model, engine.reference, &[1, 2]),
        &[],
    );
    let without_pressure = beside_the_law(&engine, &leaking, &without);
    println!("{with_pressure:?} {without_pressure:?}");
    for k in [0, 1] {
        assert!((without_pressure[k] - 1.0).abs() < 0.05, "{without_pressure:?}");
        assert!((1.0..1.2).contains(&with_pressure[k]), "{with_pressure:?}");
    }
    // At idle the tank hardly presses; what is left is the speed, which draws, and the fuel's warming on its way.
    for ratios in [with_pressure, without_pressure] {
        assert!(
            (ratios[2] - 1.0).abs() < 0.15 && (ratios[3] - 1.0).abs() < 0.25,
            "{ratios:?}"
        );
    }
    // Common practice: the low-speed needle has next to nothing to do with steady full throttle.
    for by in [-TURNS, TURNS] {
        let power = found(&effects, Screw::Low, by, Symptom::FullPower);
        assert!(power.change.unwrap().abs() < 0.01 * power.at.unwrap(), "{power:?}");
        let mixture = found(&effects, Screw::Low, by, Symptom::MixtureFull);
        assert!(
            mixture.change.unwrap().abs() < 0.01 * mixture.at.unwrap(),
            "{mixture:?}"
        );
    }
    // Each screw has its own outcome.
    let interaction = interaction(&pairs).unwrap();
    assert_eq!(interaction.pairing(), [0, 1, 2], "{interaction:?}");
    for row in interaction.relative {
        assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-9, "{interaction:?}");
    }
}

fn explained(setup: &Setup, setting: Setting, (screw, by): (Screw, f64), outcome: Outcome) -> Causes {
    let turn = Turn { screw, by };
    let causes = causes(setup, setting, Action { turn, outcome }, &[1, 2, 3]).unwrap();
    let sum: f64 = causes.parts.iter().map(|part| part.change.mean).sum();
    let whole = causes.whole.mean;
    assert!((sum - whole).abs() < 1e-9 * whole.abs().max(1.0), "{sum} of {whole}");
    // As shares they are only told where the whole is told from nothing.
    let shares: Vec<f64> = causes.parts.iter().filter_map(|part| part.share).collect();
    assert_eq!(
        shares.len(),
        if causes.whole.is_sure() { causes.parts.len() } else { 0 }
    );
    assert!(
        shares.is_empty() || (shares.iter().sum::<f64>() - 1.0).abs() < 1e-9,
        "{causes:?}"
    );
    causes
}

#[test]
fn leaning_the_high_needle_raises_the_idle_by_an_earlier_burn_and_the_shares_sum_to_the_whole() {
    let (engine, setup) = reference();
    let causes = explained(&setup, engine.reference, (Screw::High, -TURNS), Outcome::Idle);
    assert!(causes.whole.is_sure() && causes.whole.mean > 0.0, "{causes:?}");
    let most = causes
        .parts
        .iter()
        .max_by(|a, b| a.change.mean.total_cmp(&b.change.mean));
    assert_eq!(most.unwrap().path, Some(Path::Phase), "{causes:?}");
    // All of it comes by the mixture: with the film giving what it gave, next to nothing is left.
    assert!(causes.past_film.unwrap().abs() < 0.1, "{causes:?}");
    // The whole is that of runs in which nothing is held.
    let mut lab = Lab::new(&setup, &Waits::STANDARD);
    let leaner = Setting {
        high_turns: engine.reference.high_turns - TURNS,
        ..engine.reference
    };
    let mut sum = 0.0;
    for seed in 1..=3 {
        let [from, to] = [engine.reference, leaner].map(|setting| lab.add_warm(setting, seed));
        lab.measure([(from, What::Idle), (to, What::Idle)]);
        let rpm = |case| lab.findings(case).idle.unwrap().found.rpm;
        sum += rpm(to) - rpm(from);
    }
    assert!(
        (sum / 3.0 - causes.whole.mean).abs() < 1e-6,
        "{} {}",
        sum / 3.0,
        causes.whole.mean
    );
}

#[test]
fn after_a_burst_a_lean_low_end_stays_up_and_a_rich_one_drops() {
    let (engine, setup) = reference();
    let lean = explained(&setup, engine.reference, (Screw::Low, -TURNS), Outcome::AfterBurst);
    let rich = explained(&setup, engine.reference, (Screw::Low, TURNS), Outcome::AfterBurst);
    assert!(lean.whole.is_sure() && lean.whole.mean > 0.0, "{lean:?}");
    assert!(rich.whole.mean < 0.0, "{rich:?}");
}

#[test]
fn nothing_is_said_of_an_engine_that_does_not_run() {
    let (engine, setup) = reference();
    let model = Model {
        setup: &setup,
        facts: Facts::of(&engine, &setup),
    };
    let shut = Setting {
        high_turns: 0.0,
        low_turns: 0.0,
        ..engine.reference
    };
    let pairs = pairs(&model, shut, &[1, 2]);
    let effects = effects(&pairs, &[]);
    let idle = |screw, by| found(&effects, screw, by, Symptom::IdleRpm);
    assert_eq!(idle(Screw::High, -TURNS).missing, Some(Missing::AtItsEnd));
    assert_eq!(idle(Screw::High, TURNS).missing, Some(Missing::Dies));
    assert!(interaction(&pairs).is_none());
    let turn = Turn {
        screw: Screw::High,
        by: TURNS,
    };
    let outcome = Outcome::Idle;
    assert_eq!(causes(&setup, shut, Action { turn, outcome }, &[1]), None);
}

#[test]
fn every_story_shows_its_symptom_at_its_setting_more_than_at_the_clean_one() {
    let (engine, setup) = reference();
    for tale in Tale::ALL {
        let asked = tale.shown_by().from(engine.reference).unwrap();
        let story = story(&setup, engine.rated_rpm, tale, [asked, engine.reference], 1);
        let [asked, clean] = story.measures();
        let (asked, clean) = (asked.unwrap_or(f64::INFINITY), clean.unwrap());
        assert!(asked > 1.3 * clean + 0.1, "{tale:?}: {asked} against {clean}");
        for samples in &story.samples {
            assert!(samples.windows(2).all(|pair| pair[1].time_s > pair[0].time_s));
            assert!(
                samples.first().unwrap().time_s < 0.0 && samples.last().unwrap().time_s > 3.0,
                "{tale:?}"
            );
        }
    }
}
