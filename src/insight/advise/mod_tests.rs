use super::*;

/// Engines that never were: at the high end "full" tells, at the low end "pinch".
fn beliefs() -> Vec<Belief> {
    let finding = |name: &str| FINDINGS.iter().position(|finding| finding.name == name).unwrap();
    let (full, pinch) = (finding("full"), finding("pinch"));
    let mut all = Vec::new();
    for high in -8..=16 {
        for low in -6..=10 {
            for fault in [None, Some(Part::Line)] {
                let mut words: Vec<Vec<f64>> = FINDINGS
                    .iter()
                    .map(|named| vec![1.0 / named.words().count() as f64; named.words().count()])
                    .collect();
                // A clogged line: lean at the top, whatever the needle.
                let shown = if fault.is_some() { high - 8 } else { high };
                words[full] = match shown {
                    8.. => vec![0.9, 0.05, 0.03, 0.01, 0.01],
                    3.. => vec![0.05, 0.85, 0.06, 0.02, 0.02],
                    _ => vec![0.01, 0.04, 0.08, 0.07, 0.8],
                };
                words[pinch] = match low {
                    3.. => vec![0.01, 0.01, 0.08, 0.2, 0.7],
                    -2.. => vec![0.05, 0.05, 0.5, 0.35, 0.05],
                    _ => vec![0.85, 0.05, 0.08, 0.01, 0.01],
                };
                all.push(Belief {
                    fault,
                    off: [f64::from(high) / CLICKS, f64::from(low) / CLICKS, 0.0],
                    prior: if fault.is_some() { 0.1 } else { 0.9 },
                    words,
                });
            }
        }
    }
    all
}

fn seen(all: &[(&str, &str)]) -> Vec<Seen> {
    all.iter()
        .map(|(name, word)| Seen::named(name, word).unwrap())
        .collect()
}

#[test]
fn what_is_heard_decides_how_the_ends_stand_and_every_end_sums_to_one() {
    let beliefs = beliefs();
    let advice = advise(&beliefs, &seen(&[("full", "rough"), ("pinch", "hardly")]), true);
    assert_eq!(advice.high.likeliest().0, Verdict::Rich);
    assert_eq!(advice.low.likeliest().0, Verdict::Lean);
    for end in [advice.high, advice.low] {
        assert!((end.rich + end.right + end.lean - 1.0).abs() < 1e-12, "{end:?}");
    }
}

#[test]
fn before_anything_was_heard_nothing_is_turned_however_rich_such_engines_mostly_are() {
    let rich: Vec<Belief> = beliefs().into_iter().filter(|belief| belief.off[0] > 0.2).collect();
    let nothing = advise(&rich, &[], true);
    assert!(nothing.assumed && nothing.high.rich > SURE, "{nothing:?}");
    assert_eq!(nothing.turn, None);
    let heard = advise(&rich, &seen(&[("full", "rough")]), true);
    assert!(!heard.assumed && heard.turn.is_some(), "{heard:?}");
}

#[test]
fn a_lean_end_is_given_fuel_before_a_rich_one_is_leaned() {
    let turn = advise(&beliefs(), &seen(&[("full", "rough"), ("pinch", "hardly")]), true)
        .turn
        .unwrap();
    assert!(turn.screw == Screw::Low && turn.turns > 0.0, "{turn:?}");
}

#[test]
fn a_crackle_is_given_fuel_whatever_else_was_heard() {
    let rich = [("full", "rough"), ("pinch", "lot")];
    let turn = |more: &[(&str, &str)]| advise(&beliefs(), &seen(&[&rich[..], more].concat()), true).turn;
    assert!(turn(&[]).unwrap().turns < 0.0, "{:?}", turn(&[]));
    for alarm in ALARMS {
        let advice = advise(&beliefs(), &seen(&[&rich[..], &[alarm]].concat()), true);
        let turn = advice.turn.unwrap();
        assert!(turn.screw == Screw::High && turn.turns >= 0.125, "{alarm:?}: {turn:?}");
        assert_eq!(advice.alarms, [alarm.0]);
    }
    assert!(turn(&[("crackles", "no")]).unwrap().turns < 0.0);
}

#[test]
fn fuel_is_not_taken_away_where_the_end_may_well_be_lean_already() {
    // Dull is likelier rich than not by how often such an engine is met, and one in four is lean.
    let with_lean = |share: f64| {
        let mut beliefs = beliefs();
        let dull = FINDINGS.iter().position(|finding| finding.name == "full").unwrap();
        for belief in &mut beliefs {
            belief.words[dull][1] = match belief.stands(0) {
                Verdict::Rich => 0.4,
                Verdict::Right => 0.01,
                Verdict::Lean => share,
            };
        }
        advise(&beliefs, &seen(&[("full", "dull")]), true)
    };
    let (sure, not) = (with_lean(0.01), with_lean(0.3));
    assert!(sure.turn.unwrap().turns < 0.0, "{sure:?}");
    assert!(not.high.rich >= SURE && not.high.lean > LEAN_ALREADY, "{not:?}");
    assert_eq!(not.turn, None);
}

#[test]
fn a_turn_in_hardly_ever_leaves_the_end_lean_and_a_smaller_one_is_taken_where_it_might() {
    let beliefs = beliefs();
    let rough = advise(&beliefs, &seen(&[("full", "rough"), ("pinch", "little")]), true)
        .turn
        .unwrap();
    assert!(rough.screw == Screw::High && rough.turns < 0.0, "{rough:?}");
    assert!(-rough.turns * CLICKS <= f64::from(MOST_IN));
    let dull = advise(&beliefs, &seen(&[("full", "dull"), ("pinch", "little")]), true);
    if let Some(turn) = dull.turn {
        assert!(turn.turns.abs() < rough.turns.abs(), "{turn:?} {rough:?}");
    }
}

#[test]
fn the_next_test_is_one_that_tells_and_was_not_done() {
    let beliefs = beliefs();
    let after = |all: &[(&str, &str)]| advise(&beliefs, &seen(all), true).next;
    assert_eq!(after(&[("full", "dull")]), Some(Test::Pinch));
    assert_eq!(after(&[("pinch", "little")]), Some(Test::FullThrottle));
    // Nothing else tells anything of these engines.
    assert_eq!(after(&[("full", "dull"), ("pinch", "little")]), None);
}

#[test]
fn words_that_one_engine_cannot_show_together_are_named() {
    let mut beliefs = beliefs();
    let crackles = FINDINGS.iter().position(|finding| finding.name == "crackles").unwrap();
    for belief in &mut beliefs {
        belief.words[crackles] = if belief.off[0] < 0.0 {
            vec![0.9, 0.1]
        } else {
            vec![0.001, 0.999]
        };
    }
    let advice = advise(&beliefs, &seen(&[("full", "rough"), ("crackles", "yes")]), true);
    assert!(advice.contradicts.contains(&"crackles"), "{advice:?}");
    // Nothing is taken away on such a word; a crackle is given fuel all the same.
    assert!(advice.turn.unwrap().turns > 0.0, "{advice:?}");
    assert!(
        advise(&beliefs, &seen(&[("full", "clean"), ("crackles", "yes")]), true)
            .contradicts
            .is_empty()
    );
}

#[test]
fn information_in_common_is_none_of_independent_things_and_all_of_one_and_the_same() {
    let mut same = vec![[0.0; 10]; 2];
    (same[0][0], same[1][3]) = (0.5, 0.5);
    assert!((in_common(&same) - 2.0_f64.ln()).abs() < 1e-12);
    let mut apart = vec![[0.0; 10]; 2];
    for row in &mut apart {
        (row[0], row[3]) = (0.25, 0.25);
    }
    assert!(in_common(&apart).abs() < 1e-12);
}

#[test]
fn what_a_look_would_have_shown_is_not_at_fault_after_it() {
    let mut beliefs = beliefs();
    for belief in beliefs.iter_mut().filter(|belief| belief.fault.is_some()).step_by(2) {
        belief.fault = Some(Part::Filter);
    }
    let shares = |looked_over| {
        let faults = advise(&beliefs, &seen(&[("full", "dull")]), looked_over).faults;
        [Part::Filter, Part::Line].map(|part| faults.iter().find(|fault| fault.part == part).unwrap().probability)
    };
    let (before, after) = (shares(false), shares(true));
    assert!(
        before[0] > 0.0 && after[0] == 0.0 && after[1] > before[1],
        "{before:?} {after:?}"
    );
}
