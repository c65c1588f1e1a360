//! The same seed gives the same bytes: whatever else runs beside it, whichever instructions the processor has.

use needlebench::config::{FuelModel, Models, reference_setup};
use needlebench::engine::links::{LINKS, Link, Links, Passed};
use needlebench::engine::params::{Faults, Setting};
use needlebench::engine::state::{Controls, Load, Revolution, State};
use needlebench::engine::{Engine, Hands, Next, Run, Setup};
use needlebench::fluids::air::Weather;
use needlebench::fluids::fuel::Blend;
use needlebench::lanes::Instructions;
use needlebench::noise::{Channel, Noise};

fn setup(engine: &str, nitro_percent: f64, temperature_c: f64, faults: Faults) -> (Setup, Setting) {
    let models = Models::of_engine(engine).unwrap();
    let setting = models.engine.reference;
    let fuel = FuelModel::from_blend(Blend {
        nitro_percent,
        oil_percent: 11.0,
        castor_share: 0.3,
    });
    let weather = Weather {
        temperature_c,
        pressure_hpa: 990.0,
        humidity_percent: 60.0,
    };
    (Models { fuel, ..models }.setup(&weather, faults).unwrap(), setting)
}

/// Hands that move the throttle now and then, refuel once, stop after their own number of revolutions, and digest every number.
#[derive(Clone)]
struct Restless {
    turns: u64,
    length: u64,
    digest: u64,
}

impl Restless {
    fn new(index: u64) -> Self {
        Self {
            turns: 0,
            length: 900 + 137 * (index % 11),
            digest: 0,
        }
    }
    fn note(&mut self, value: f64) {
        self.digest = (self.digest ^ value.to_bits())
            .wrapping_mul(0x100_0000_01b3)
            .rotate_left(17);
    }
}

impl Hands for Restless {
    fn begin(&mut self, _: &mut State, controls: &mut Controls) -> Next {
        controls.throttle = 0.2;
        Next::On
    }
    fn turned(&mut self, state: &mut State, revolution: &Revolution, controls: &mut Controls) -> Next {
        let _ = state.each(|value| self.note(*value));
        let _ = revolution.each(|value| self.note(*value));
        self.turns += 1;
        if self.turns == self.length {
            return Next::Done;
        }
        if self.turns.is_multiple_of(250) {
            controls.throttle = if controls.throttle > 0.4 { 0.0 } else { 0.7 };
            state.tank_fuel *= 0.9;
            return Next::Moved;
        }
        Next::On
    }
}

fn runs(engine: &Engine, setting: Setting, count: usize) -> Vec<Run<Restless>> {
    (0..count)
        .map(|i| {
            let setting = Setting {
                high_turns: setting.high_turns + 0.1 * (i % 5) as f64 - 0.1,
                low_turns: setting.low_turns + 0.15 * (i % 4) as f64 - 0.2,
                ..setting
            };
            let load = [Load::Stand, Load::Track, Load::Brake(450.0)][i % 3];
            Run {
                state: if i % 7 == 3 {
                    engine.cold_state()
                } else {
                    engine.warm_state(250.0)
                },
                controls: Controls::new(setting, load),
                noise: Noise::new(5, i as u64, Channel::Engine),
                hands: Restless::new(i as u64),
            }
        })
        .collect()
}

fn digests(runs: &[Run<Restless>]) -> Vec<(u64, State)> {
    runs.iter().map(|run| (run.hands.digest, run.state)).collect()
}

#[test]
fn any_registers_give_the_bits_of_one_engine_alone() {
    let foam = Faults {
        foam_share: 0.3,
        ..Faults::NONE
    };
    for (setup, setting) in [
        setup("offroad-3.5", 25.0, 20.0, Faults::NONE),
        setup("onroad-2.1", 5.0, 34.0, foam),
    ] {
        let engine = Engine::new(&setup).on(Instructions::Plain);
        let mut alone = runs(&engine, setting, 61);
        engine.play(&mut alone);
        let alone = digests(&alone);
        for instructions in Instructions::all() {
            let engine = engine.on(instructions);
            // One alone; a few, and many: each in other registers, and lanes that end take the next.
            for count in [1, 2, 7, 25, 61] {
                let mut together = runs(&engine, setting, count);
                engine.play(&mut together);
                assert!(digests(&together) == alone[..count], "{instructions:?} {count} runs");
            }
        }
    }
}

#[test]
fn other_chance_is_another_run() {
    let (setup, setting) = setup("offroad-3.5", 25.0, 20.0, Faults::NONE);
    let engine = Engine::new(&setup);
    let mut runs = runs(&engine, setting, 2);
    runs[1] = runs[0].clone();
    runs[1].noise = Noise::new(6, 0, Channel::Engine);
    engine.play(&mut runs);
    assert_ne!(runs[0].hands.digest, runs[1].hands.digest);
}

/// Hands that hold links at what passed in another run, and keep what would have passed here.
#[derive(Clone)]
struct Holding {
    links: Links,
    other: Vec<Passed>,
    own: Vec<Passed>,
    hands: Restless,
}

impl Hands for Holding {
    const HOLDS: bool = true;
    fn hold(&mut self) -> (Links, Passed) {
        let values = self.other.get(self.own.len());
        (
            if values.is_some() { self.links } else { Links::NONE },
            values.copied().unwrap_or([0.0; LINKS]),
        )
    }
    fn passed(&mut self, own: &Passed) {
        self.own.push(*own);
    }
    fn begin(&mut self, state: &mut State, controls: &mut Controls) -> Next {
        self.hands.begin(state, controls)
    }
    fn turned(&mut self, state: &mut State, revolution: &Revolution, controls: &mut Controls) -> Next {
        self.hands.turned(state, revolution, controls)
    }
}

#[test]
fn holding_no_link_is_the_new_run_and_holding_all_is_the_other() {
    let (before, setting) = setup("offroad-3.5", 25.0, 20.0, Faults::NONE);
    let (after, _) = setup("offroad-3.5", 5.0, 36.0, Faults::NONE);
    let leaner = Setting {
        low_turns: setting.low_turns - 0.2,
        high_turns: setting.high_turns + 0.3,
        idle_turns: setting.idle_turns + 0.25,
    };
    let run = |engine: &Engine, setting, links, other: &[Passed]| {
        // The same start whatever the weather: a state is no link.
        let state = Engine::new(&before).warm_state(250.0);
        let mut runs = vec![Run {
            state,
            controls: Controls::new(setting, Load::Stand),
            noise: Noise::new(3, 0, Channel::Engine),
            hands: Holding {
                links,
                other: other.to_vec(),
                own: Vec::new(),
                hands: Restless::new(4),
            },
        }];
        // Company in the other lanes, to hold lane by lane.
        let mut company = runs[0].clone();
        company.hands.links = Links::NONE;
        runs.resize(4, company);
        engine.play(&mut runs);
        runs.swap_remove(0)
    };
    let old = run(&Engine::new(&before), setting, Links::NONE, &[]);
    let new = run(&Engine::new(&after), leaner, Links::NONE, &[]);
    let passed = &old.hands.own;
    let free = run(
        &Engine::holding(&after, &before, Links::NONE),
        leaner,
        Links::NONE,
        passed,
    );
    let held = run(
        &Engine::holding(&after, &before, Links::ALL),
        leaner,
        Links::ALL,
        passed,
    );
    // What is made of the held values: every state but the film and what only the sums of this run know.
    assert_eq!(free.hands.hands.digest, new.hands.hands.digest);
    assert_eq!(held.hands.hands.digest, old.hands.hands.digest);
    assert_ne!(new.hands.hands.digest, old.hands.hands.digest);
    // One link less is neither.
    for link in [Link::LowNeedleToMetering, Link::AirDensityToCharge, Link::FuelToHeat] {
        let links = Links::ALL.without(link);
        let run = run(&Engine::holding(&after, &before, links), leaner, links, passed);
        let digest = run.hands.hands.digest;
        assert!(
            digest != new.hands.hands.digest && digest != old.hands.hands.digest,
            "{link:?}"
        );
    }
}

/// Hands that wait for some revolutions.
#[derive(Clone, Debug, PartialEq)]
struct Waiting(u32);

impl Hands for Waiting {
    fn begin(&mut self, _: &mut State, controls: &mut Controls) -> Next {
        controls.throttle = 0.4;
        if self.0 > 0 { Next::On } else { Next::Done }
    }
    fn turned(&mut self, _: &mut State, _: &Revolution, _: &mut Controls) -> Next {
        self.0 -= 1;
        if self.0 > 0 { Next::On } else { Next::Done }
    }
}

fn waiting(engine: &Engine, seed: u64, turns: u32) -> Run<Waiting> {
    let (model, _) = reference_setup("offroad-3.5").unwrap();
    Run {
        state: engine.warm_state(250.0),
        controls: Controls::new(model.reference, Load::Stand),
        noise: Noise::new(seed, 0, Channel::Engine),
        hands: Waiting(turns),
    }
}

fn engine() -> Engine {
    Engine::new(&reference_setup("offroad-3.5").unwrap().1)
}

#[test]
fn the_same_seed_repeats_and_another_differs() {
    let engine = engine();
    let mut runs = [
        waiting(&engine, 7, 3000),
        waiting(&engine, 7, 3000),
        waiting(&engine, 8, 3000),
    ];
    engine.play(&mut runs);
    assert_eq!(runs[0].state, runs[1].state);
    assert_ne!(runs[0].state, runs[2].state);
}

#[test]
fn running_in_two_parts_is_running_once() {
    let engine = engine();
    let mut whole = [waiting(&engine, 2, 1000)];
    engine.play(&mut whole);
    let mut parts = [waiting(&engine, 2, 300)];
    engine.play(&mut parts);
    parts[0].hands = Waiting(700);
    engine.play(&mut parts);
    assert_eq!(whole[0].state, parts[0].state);
    assert!(whole[0].state.time > 0.5);
}

#[test]
fn a_run_that_wants_nothing_is_left_as_it_was() {
    let engine = engine();
    let mut runs = [waiting(&engine, 2, 0), waiting(&engine, 2, 5)];
    let before = runs[0].state;
    engine.play(&mut runs);
    assert_eq!(runs[0].state, before);
    assert_eq!(runs[1].state.revolution, 5.0);
}
