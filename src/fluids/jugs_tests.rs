//! Unit tests of the mixing bench.

use super::*;
use proptest::prelude::*;

fn jug(nitro_percent: f64, oil_percent: f64, castor_share: f64, volume_ml: f64) -> Jug {
    Jug {
        blend: Blend {
            nitro_percent,
            oil_percent,
            castor_share,
        },
        volume_ml,
    }
}

fn only_jugs(a: Jug, b: Jug) -> Shelf {
    Shelf {
        jugs: [a, b],
        methanol_ml: 0.0,
        nitromethane_ml: 0.0,
        castor_oil_ml: 0.0,
        synthetic_oil_ml: 0.0,
    }
}

fn wanted(nitro_percent: f64, oil_percent: f64, volume_ml: f64) -> Wanted {
    Wanted {
        blend: Blend {
            nitro_percent,
            oil_percent,
            castor_share: 1.0,
        },
        volume_ml,
        any_oil: false,
    }
}

#[test]
fn equal_parts_meet_in_the_middle() {
    let mixed = mix_two(jug(10.0, 20.0, 1.0, 500.0), jug(30.0, 10.0, 0.0, 500.0));
    assert!((mixed.blend.nitro_percent - 20.0).abs() < 1e-12 && (mixed.blend.oil_percent - 15.0).abs() < 1e-12);
    assert!((mixed.blend.castor_share - 2.0 / 3.0).abs() < 1e-12);
    assert_eq!(mixed.volume_ml, 1000.0);
    assert_eq!(
        mix_two(jug(10.0, 20.0, 1.0, 0.0), jug(5.0, 5.0, 1.0, 0.0)).volume_ml,
        0.0
    );
}

#[test]
fn two_jugs_make_what_lies_between_them() {
    let recipe = only_jugs(jug(10.0, 12.0, 1.0, 2000.0), jug(30.0, 12.0, 1.0, 2000.0))
        .mix(&wanted(16.0, 12.0, 1000.0))
        .unwrap();
    assert!((recipe.jugs[0].volume_ml - 700.0).abs() < 1e-6 && (recipe.jugs[1].volume_ml - 300.0).abs() < 1e-6);
    assert!(recipe.methanol.volume_ml < 1e-6);
    assert!((recipe.result.blend.nitro_percent - 16.0).abs() < 1e-6);
}

#[test]
fn pure_parts_fill_up_and_carry_their_masses() {
    let shelf = Shelf {
        methanol_ml: f64::INFINITY,
        nitromethane_ml: 500.0,
        ..only_jugs(jug(25.0, 16.0, 1.0, 500.0), jug(0.0, 0.0, 1.0, 0.0))
    };
    let recipe = shelf.mix(&wanted(16.0, 8.0, 1000.0)).unwrap();
    assert!((recipe.jugs[0].volume_ml - 500.0).abs() < 1e-6);
    assert!((recipe.nitromethane.volume_ml - 35.0).abs() < 1e-6);
    assert!((recipe.nitromethane.mass_g - 35.0 * 1.1371).abs() < 1e-6);
    assert!((recipe.methanol.volume_ml - 465.0).abs() < 1e-6);
}

#[test]
fn what_cannot_be_made_says_what_can() {
    let (a, b) = (jug(10.0, 12.0, 1.0, 1000.0), jug(30.0, 12.0, 1.0, 150.0));
    match only_jugs(a, b).mix(&wanted(16.0, 12.0, 1000.0)) {
        Err(MixError::NotEnough { reachable_ml }) => assert!((reachable_ml - 500.0).abs() < 1e-3, "{reachable_ml}"),
        other => panic!("{other:?}"),
    }
    let unreachable = only_jugs(a, b).mix(&wanted(40.0, 12.0, 100.0)).unwrap_err();
    let expected = MixError::Unreachable {
        nitro_low: 10.0,
        nitro_high: 30.0,
        oil_low: 12.0,
        oil_high: 12.0,
    };
    assert_eq!(unreachable, expected);
    let synthetic = Wanted {
        blend: Blend {
            castor_share: 0.0,
            ..wanted(16.0, 12.0, 1.0).blend
        },
        ..wanted(16.0, 12.0, 100.0)
    };
    assert_eq!(only_jugs(a, b).mix(&synthetic), Err(MixError::OilKind));
    let any = only_jugs(a, b)
        .mix(&Wanted {
            any_oil: true,
            ..synthetic
        })
        .unwrap();
    assert!((any.result.blend.castor_share - 1.0).abs() < 1e-9);
}

#[test]
fn nonsense_is_refused() {
    let shelf = only_jugs(jug(10.0, 12.0, 1.0, 1000.0), jug(30.0, 12.0, 1.0, 150.0));
    assert_eq!(shelf.mix(&wanted(16.0, 12.0, 0.0)), Err(MixError::Volume(0.0)));
    assert!(matches!(
        shelf.mix(&wanted(16.0, 12.0, f64::NAN)),
        Err(MixError::Volume(_))
    ));
    assert!(matches!(shelf.mix(&wanted(120.0, 12.0, 1.0)), Err(MixError::Blend(_))));
    assert!(matches!(
        Shelf {
            methanol_ml: -1.0,
            ..shelf
        }
        .mix(&wanted(16.0, 12.0, 1.0)),
        Err(MixError::Volume(_))
    ));
}

proptest! {
    /// With plenty of everything any blend can be made, exactly, out of parts that are never negative.
    #[test]
    fn plenty_makes_anything(
        nitro in 0.0..60.0_f64, oil in 0.0..40.0_f64, castor in 0.0..1.0_f64, volume in 10.0..5000.0_f64,
        nitro_a in 0.0..50.0_f64, oil_a in 0.0..50.0_f64, in_a in 0.0..3000.0_f64, in_b in 0.0..3000.0_f64,
        any_oil in any::<bool>(),
    ) {
        let plenty = f64::INFINITY;
        let jugs = [jug(nitro_a, oil_a, 0.5, in_a), jug(oil_a, nitro_a, 1.0, in_b)];
        let shelf = Shelf { jugs, methanol_ml: plenty, nitromethane_ml: plenty, castor_oil_ml: plenty, synthetic_oil_ml: plenty };
        let blend = Blend { nitro_percent: nitro, oil_percent: oil, castor_share: castor };
        let recipe = shelf.mix(&Wanted { blend, volume_ml: volume, any_oil }).unwrap();
        let [a, b] = recipe.jugs;
        let parts = [a, b, recipe.methanol, recipe.nitromethane, recipe.castor_oil, recipe.synthetic_oil];
        prop_assert!(parts.iter().all(|part| part.volume_ml >= 0.0 && part.mass_g.is_finite()));
        let poured: f64 = parts.iter().map(|part| part.volume_ml).sum();
        prop_assert!((poured - volume).abs() < 1e-6 * volume);
        prop_assert!(a.volume_ml <= in_a + 1e-6 * volume && b.volume_ml <= in_b + 1e-6 * volume);
        prop_assert!((recipe.result.blend.nitro_percent - nitro).abs() < 1e-5);
        prop_assert!((recipe.result.blend.oil_percent - oil).abs() < 1e-5);
        if !any_oil {
            prop_assert!((recipe.result.blend.castor_share - castor).abs() * oil < 1e-4);
        }
    }
}
