//! Plans for another fuel or weather: their clean settings pass the sign-off there, their rich starts are richer than what any case asks
//! for, and they move the needles as stoichiometry, published corrections of power and common practice have it.

use needlebench::bench::checks::{self, Facts, Limits, Symptoms};
use needlebench::bench::manoeuvre::Mark;
use needlebench::bench::manoeuvre::table::{self, Waits};
use needlebench::bench::player::Now;
use needlebench::bench::rig::Rig;
use needlebench::config::{FuelModel, Models, models};
use needlebench::engine::params::{Faults, Setting};
use needlebench::engine::state::{Revolution, State};
use needlebench::fluids::air::{Air, Weather};
use needlebench::fluids::atmosphere;
use needlebench::fluids::fuel::Blend;
use needlebench::insight::change::{Change, Left, Place, Plan, RichStart, plan, unknown};
use needlebench::tuning::usual::Usual;

/// The reference engine on its own fuel with other percentages, in some weather.
fn place(nitro_percent: Option<f64>, oil_percent: Option<f64>, weather: Weather) -> Place {
    let usual = Models::of_engine("offroad-3.5").unwrap();
    let mut models = usual.clone();
    let blend = models.fuel.blend;
    if nitro_percent.is_some() || oil_percent.is_some() {
        models.fuel = FuelModel::from_blend(Blend {
            nitro_percent: nitro_percent.unwrap_or(blend.nitro_percent),
            oil_percent: oil_percent.unwrap_or(blend.oil_percent),
            ..blend
        });
    }
    Place { usual, models, weather }
}

fn usual_day() -> Place {
    place(None, None, Weather::REFERENCE)
}

fn of<'a>(from: &'a Place, to: &'a Place, sets: &'a [unknown::Set]) -> Change<'a> {
    Change {
        from,
        to,
        stands: None,
        sets,
        limits: Limits::STANDARD,
        seed: 1,
    }
}

fn solved(from: &Place, to: &Place) -> Plan {
    plan(&of(from, to, &[])).unwrap()
}

/// The setting with the usual mixture in this weather, and what is noticed there.
fn at_the_usual_mixture(weather: &Weather) -> (Setting, Symptoms) {
    let known = place(None, None, *weather).known().unwrap();
    let engine = Models::of_engine("offroad-3.5").unwrap().engine;
    let usual = Usual {
        engine: &engine,
        setup: &known.usual,
        setting: engine.reference,
        limits: Limits::STANDARD,
        seed: 1,
    };
    let same = usual.same_on(&known.setup);
    let report = usual.judging_as_checked(&known.setup).check(&known.setup, same);
    (same, report.symptoms)
}

/// The setting passes as `check` judges it.
fn passes(place: &Place, setting: Setting) -> bool {
    let setup = place.models.setup(&place.weather, Faults::NONE).unwrap();
    let facts = Facts::of(&place.models.engine, &setup);
    checks::check(&setup, facts, setting, 1, &Limits::STANDARD, &Waits::STANDARD).clean
}

/// The plan holds what a plan promises; the rich start.
fn held(from: &Place, to: &Place) -> RichStart {
    // Constants that the model may as well have: a gap that acts viscously over more and less of its length.
    let reference = (from.models.engine.params, from.models.laws);
    let engines = [0.8, 1.25].map(|factor| {
        let mut engine = reference;
        engine.0.carburettor.low_length_mm *= factor;
        engine
    });
    let sets = unknown::sets(from, to, &engines).unwrap();
    let plan = plan(&of(from, to, &sets)).unwrap();
    assert!(plan.is_clean() && passes(to, plan.after.setting));
    assert!(!passes(to, plan.stands), "the change asks for nothing");
    assert_eq!(plan.of_sets.len(), sets.len());
    let rich = plan.rich_start.unwrap();
    for set in &plan.of_sets {
        assert!(
            (0..2).all(|k| rich.turns_from_here[k] > set.turns[k] + 1.0 / 24.0),
            "{set:?}"
        );
    }
    assert!((0..2).all(|k| rich.turns_from_here[k] > plan.moves[k].most_turns));
    // Needles further out are fuel, not only turns: both ends, at the same speed.
    assert!(rich.richer_percent.iter().all(|percent| *percent > 3.0), "{rich:?}");
    assert!(rich.idle_rpm > Limits::STANDARD.idle_low_rpm, "{rich:?}");
    for m in &plan.moves {
        assert!(m.least_turns <= m.turns && m.turns <= m.most_turns);
        assert!((m.spread_turns - 0.5 * (m.most_turns - m.least_turns)).abs() < 1e-12);
    }
    rich
}

#[test]
fn from_16_to_30_percent_nitromethane() {
    let (from, to) = (
        place(Some(16.0), None, Weather::REFERENCE),
        place(Some(30.0), None, Weather::REFERENCE),
    );
    let rich = held(&from, &to);
    // Solved anew and in full for jugs whose labels are wrong in the direction that asks for most fuel: still on the rich side.
    let (weak, strong) = (
        place(Some(15.0), Some(10.5), Weather::REFERENCE),
        place(Some(31.0), Some(11.5), Weather::REFERENCE),
    );
    for (from, to) in [(&weak, &to), (&from, &strong)] {
        let other = solved(from, to);
        assert!(other.is_clean());
        assert!(
            (0..2).all(|k| rich.turns_from_here[k] > other.moves[k].turns),
            "{:?}",
            other.moves
        );
    }
}

#[test]
fn from_a_cool_day_at_sea_level_to_a_hot_one_in_the_mountains() {
    let weather = |temperature_c, altitude_m| Weather::at_altitude(temperature_c, altitude_m, 50.0);
    let rich = held(
        &place(None, None, weather(10.0, 0.0)),
        &place(None, None, weather(32.0, 1500.0)),
    );
    // Thin air asks for less: nothing is leaned before the engine has been heard.
    assert!(rich.turns_from_here[0] >= 0.0 && rich.turns_from_here[1] >= 0.0 && !rich.leaner_than_it_stands);
}

#[test]
fn no_change_moves_nothing() {
    let day = usual_day();
    let plan = solved(&day, &day);
    assert!(plan.moves.iter().all(|m| m.turns == 0.0 && !m.worth_turning));
    assert!(plan.nothing_worth_turning() && passes(&day, plan.after.setting));
}

#[test]
fn where_nothing_is_clean_the_plan_says_what_fails() {
    let heat = Weather {
        temperature_c: 48.0,
        ..Weather::REFERENCE
    };
    let plan = solved(&usual_day(), &place(None, None, heat));
    assert!(!plan.is_clean() && !plan.after.failed.is_empty());
    assert!(plan.moves.is_empty() && plan.rich_start.is_none() && plan.work.is_none());
}

/// A hot plug lets the idle race after a burst where it stands; a click or two richer, with the stop further out, is clean, and that is found.
#[test]
fn another_plug_has_a_clean_setting_too() {
    let (from, mut to) = (usual_day(), usual_day());
    to.models.plug = models::plug("hot").unwrap();
    let plan = solved(&from, &to);
    assert!(plan.is_clean() && passes(&to, plan.after.setting), "{:?}", plan.after);
}

/// What draws fuel through both needles and the line at this flow, kg/s: plane Poiseuille flow and an orifice in each gap, worked here
/// from the engine's file and the fuel's density and viscosity.
fn spent(place: &Place, setting: Setting, flow: f64, temperature: f64, viscous: f64) -> f64 {
    let c = place.models.engine.params.carburettor;
    let fuel = place.models.fuel.fuel();
    let volume = flow / fuel.density(temperature);
    let gap = |length_mm: f64, perimeter_mm: f64, gap_mm: f64| {
        let (length, perimeter, gap) = (length_mm * 1e-3, perimeter_mm * 1e-3, gap_mm * 1e-3);
        let orifice = 0.5 * fuel.density(temperature) * (volume / (c.discharge_coefficient * perimeter * gap)).powi(2);
        orifice + viscous * 12.0 * fuel.viscosity(temperature) * length * volume / (perimeter * gap.powi(3))
    };
    let high = setting.high_turns * c.needle_pitch_mm * c.high_gap_per_lift;
    let lift = setting.low_turns * c.needle_pitch_mm + c.slide_travel_mm;
    let low = c.low_gap_per_lift * lift * (1.0 + lift / c.low_flare_mm);
    let line = 0.5 * fuel.density(temperature) * (volume / (c.line_area_mm2 * 1e-6)).powi(2);
    gap(c.high_length_mm, c.high_perimeter_mm, high) + gap(c.low_length_mm, c.low_perimeter_mm, low) + line
}

/// On the brake at full throttle: fuel, kg/s, its temperature at the jet, K, and the tank's pressure, Pa.
fn on_the_brake(place: &Place, setting: Setting) -> [f64; 3] {
    let setup = place.models.setup(&place.weather, Faults::NONE).unwrap();
    let mut rig = Rig::warm(&setup, setting, 1);
    let (mut seconds, mut sums) = (0.0, [0.0; 3]);
    let waits = Waits::rated(place.models.engine.rated_rpm);
    let _ = rig.play(&table::brake(&waits), |now: &Now, r: &Revolution, state: &State| {
        if now.mark == Mark::Watch {
            seconds += r.duration;
            sums[0] += r.fuel_in + r.oil_in;
            sums[1] += r.fuel_temperature * r.duration;
            sums[2] += state.tank_pressure * r.duration;
        }
    });
    sums.map(|sum| sum / seconds)
}

/// The needle that a fuel change asks for, by stoichiometry. For a needle alone, without viscosity, turns go with the flow over the root
/// of the density: that is what a rule of thumb has, and the solved plan is within a quarter of it. It leaves out two corrections that
/// nearly cancel: the other restrictions in the line don't open (more turns), and the viscous part of a gap opens with its cube (fewer).
/// With both, by the published laws of either flow, the plan is met within a twelfth.
#[test]
fn a_needle_moves_by_stoichiometry_within_the_viscous_correction() {
    let (from, to) = (
        place(Some(16.0), None, Weather::REFERENCE),
        place(Some(30.0), None, Weather::REFERENCE),
    );
    let plan = solved(&from, &to);
    let (before, after) = (plan.before.setting, plan.after.setting);
    let turned = after.high_turns - before.high_turns;
    let [weak, strong] = [&from, &to].map(|place| place.models.fuel.fuel());
    let [flow, temperature, pressure] = on_the_brake(&from, before);
    let [richer_flow, _, richer_pressure] = on_the_brake(&to, after);
    // Mass of fuel: the mixture times what the air burns of it (`Fuel` is held against published ratios in tests/reference).
    let phi = |left: &Left| left.report.symptoms.equivalence_ratio_full.unwrap();
    let stoichiometric = weak.stoichiometric_air_fuel_ratio / strong.stoichiometric_air_fuel_ratio;
    let wanted = flow * stoichiometric * phi(&plan.after) / phi(&plan.before);
    assert!(
        (richer_flow / wanted - 1.0).abs() < 0.02,
        "{richer_flow} against {wanted}"
    );
    let root = (weak.density(temperature) / strong.density(temperature)).sqrt();
    let alone = before.high_turns * (wanted / flow * root - 1.0);
    // The throat draws as before at the same speed; the pipe's pressure has grown with what goes through it.
    let with = |viscous: f64| {
        let drive = spent(&from, before, flow, temperature, viscous) + richer_pressure - pressure;
        let (mut low, mut high) = (before.high_turns, 20.0);
        while high - low > 1e-6 {
            let high_turns = 0.5 * (low + high);
            let lacks = spent(&to, Setting { high_turns, ..after }, wanted, temperature, viscous) > drive;
            (low, high) = if lacks { (high_turns, high) } else { (low, high_turns) };
        }
        low - before.high_turns
    };
    let (in_line, viscous) = (with(0.0), with(1.0));
    println!("solved {turned:.3} turns; needle alone {alone:.3}, in its line {in_line:.3}, viscous {viscous:.3}");
    assert!((turned / alone - 1.0).abs() < 0.25, "{turned} against {alone}");
    assert!(
        (turned / viscous - 1.0).abs() < 1.0 / 12.0,
        "{turned} against {viscous}"
    );
    assert!(in_line > alone && viscous < in_line);
}

/// Best power over the needle against the air's state. Direction and size against the correction standards: the factor from power today
/// to power on the standard's day is that of SAE J1349 (tests/data/ambient_correction.csv, which tests/reference holds `atmosphere` to).
/// Ours answers pressure by 1.2 times the standards, which take friction for 15 % of the work where ours takes more, and temperature by
/// 1.4 times: why was not separated (fuel's evaporation and the pipe's tuned speed go with it, too).
#[test]
fn power_follows_the_air_as_the_correction_standards_have_it() {
    let airs =
        [(0.0, 1013.25), (40.0, 1013.25), (20.0, 900.0), (20.0, 850.0)].map(|(temperature_c, pressure_hpa)| Weather {
            temperature_c,
            pressure_hpa,
            humidity_percent: 30.0,
        });
    let dry = Weather {
        humidity_percent: 30.0,
        ..Weather::REFERENCE
    };
    let power = |weather: &Weather| at_the_usual_mixture(weather).1.best_power_w.unwrap();
    let standard = |weather: &Weather| {
        let air = Air::new(weather);
        atmosphere::sae_j1349_brake(air.temperature, air.pressure - air.vapour_pressure).recip()
    };
    let on_the_day = power(&dry);
    for weather in &airs {
        let ours = power(weather) / on_the_day - 1.0;
        let theirs = standard(weather) / standard(&dry) - 1.0;
        println!("{weather:?}: {:.1} % against {:.1} %", 100.0 * ours, 100.0 * theirs);
        assert!(
            (0.6..1.6).contains(&(ours / theirs)),
            "{weather:?}: {ours} against {theirs}"
        );
    }
}

/// Common practice: cold dense air wants richer, altitude leaner, more nitromethane more fuel, more oil moves the low end most.
#[test]
fn the_needles_move_as_practice_has_it() {
    let from = usual_day();
    let reference = Weather::REFERENCE;
    let cold = Weather {
        temperature_c: 5.0,
        ..reference
    };
    let dense = Weather {
        pressure_hpa: 1045.0,
        ..reference
    };
    let mountain = Weather::at_altitude(20.0, 1500.0, 50.0);
    let same = |weather: &Weather| at_the_usual_mixture(weather).0;
    let on_the_day = same(&reference);
    let apart = |to: Setting, from: Setting| [to.high_turns - from.high_turns, to.low_turns - from.low_turns];
    let [cold, dense, mountain] = [cold, dense, mountain].map(|weather| apart(same(&weather), on_the_day));
    assert!(cold[0] > 0.04 && cold[1] > 0.02, "{cold:?}");
    assert!(dense[0] > 0.0, "{dense:?}");
    assert!(mountain[0] < -0.1, "{mountain:?}");
    let (nitro, oil) = (place(Some(35.0), None, reference), place(None, Some(15.0), reference));
    // With the screws as they are.
    let known = from.known().unwrap();
    let usual = Usual {
        engine: &from.usual.engine,
        setup: &known.usual,
        setting: from.usual.engine.reference,
        limits: Limits::STANDARD,
        seed: 1,
    };
    let leaner = |place: &Place| {
        let now = usual.mixtures(&place.known().unwrap().setup, &[usual.setting])[0];
        let was = usual.mixtures(&known.setup, &[usual.setting])[0];
        [0, 1].map(|k| 1.0 - now[k] / was[k])
    };
    let [nitro, oil] = [leaner(&nitro), leaner(&oil)];
    assert!(nitro[0] > 0.05 && nitro[1] > 0.03, "{nitro:?}");
    assert!(oil[0] > 0.0 && oil[1] > 1.2 * oil[0], "{oil:?}");
}
