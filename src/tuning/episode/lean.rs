//! Whether the engine runs too lean at this moment, and why: decided by its own condition in each revolution, whatever the throttle
//! hand did before.
//!
//! Too lean is, under load, a metered mixture leaner than the sound engine would meter in the very same state with both needles an
//! eighth of a turn leaner than true: so the slide's opening, the speed, the weather and a cold engine are the same for both, and a
//! moment of opening, lean in any carburettor, counts for nobody. Under load is an engine that traps as much as begins to harm it, as its
//! wear has it, or whose throttle is half open: wheels up it revs so high that it traps little, and yet burns as much in a second.
//! Knocking is no seconds of this: it is wear, and counted as that.

use super::super::hidden::Hidden;
use super::super::judging::within;
use crate::bench::instruments::OPENING_S;
use crate::bench::player::Stand;
use crate::engine::Engine;
use crate::engine::params::Setting;
use crate::engine::state::{Controls, Load, Revolution, State};
use crate::noise::whole;
use crate::tuning::sums::LeanCause;
use crate::units::cubic_metre_from_ml;

/// How much leaner than true is still right: a turn that a tuner notices at once, and the lean edge of a clean setting (common practice).
const RIGHT_TURNS: f64 = 0.125;
/// Throttle at which an engine works hard whatever it drives (assumed; half throttle clears an engine out).
const OPEN: f64 = 0.5;
/// The mixture is looked at in every so many revolutions of a loaded engine, and stands for those between: some 16 ms.
const LOOK_EVERY: u64 = 8;

/// Less fuel than this share of the tank is no excuse for a lean mixture (common practice: a tank is filled before it is a quarter full).
const TANK_SHARE: f64 = 0.25;

/// What "too lean" is held against: the sound engine at its true setting, and leaner.
#[derive(Clone, Debug)]
pub(super) struct Right {
    sound: Engine,
    /// Where the engine stood: its noise is the practice's.
    stand: Stand,
    truth: Setting,
    leanest: Setting,
    /// Largest detonation index of a clean setting.
    detonation_index: f64,
    /// 1/kg.
    per_full_air: f64,
    /// Load at which pressures begin to harm, as trapped air over a full charge.
    gentle: f64,
}

/// What is remembered from one revolution to the next.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Leanness {
    /// Why the mixture was too lean when it was last looked at.
    mixture: Option<LeanCause>,
    /// For how long it has been under load, s.
    loaded_s: f64,
    /// Pressure that a sound line would have brought to the tank, Pa; followed only while the line leaks.
    tank_pressure: Option<f64>,
}

/// What is judged of a revolution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Judged {
    /// It was under load.
    pub loaded: bool,
    /// It knocked, and not only as the throttle opened.
    pub knocks: bool,
    /// Why it was too lean, if it was.
    pub lean: Option<LeanCause>,
}

/// Where the hands were in a revolution.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hands {
    /// Throttle, 0..1.
    pub throttle: f64,
    /// The screws.
    pub setting: Setting,
    /// The line that brings the pipe's pressure to the tank leaks.
    pub line_leaks: bool,
    /// A hand pinches the fuel line: what that keeps away for seconds is the test, and harms nothing.
    pub pinched: bool,
}

impl Leanness {
    /// Every number it holds, for a digest of the practice.
    pub fn numbers(&self) -> [f64; 3] {
        let Self {
            mixture,
            loaded_s,
            tank_pressure,
        } = *self;
        [
            mixture.map_or(-1.0, |cause| f64::from(cause as u8)),
            loaded_s,
            tank_pressure.unwrap_or(-1.0),
        ]
    }
}

/// Whether the mixture is looked at in a revolution from `revolution` on, if the engine is under load in it.
#[inline(always)]
fn looks(seen: &Leanness, revolution: u64) -> bool {
    seen.loaded_s == 0.0 || revolution.is_multiple_of(LOOK_EVERY)
}

impl Right {
    pub fn of(hidden: &Hidden, stand: Stand) -> Self {
        let truth = hidden.truth;
        let sound = &hidden.sound;
        Self {
            sound: Engine::new(sound),
            stand,
            truth,
            leanest: within(Setting {
                high_turns: truth.high_turns - RIGHT_TURNS,
                low_turns: truth.low_turns - RIGHT_TURNS,
                ..truth
            }),
            detonation_index: hidden.limits.detonation_index,
            per_full_air: 1.0 / (sound.air.dry_density * cubic_metre_from_ml(sound.engine.geometry.displacement_cm3)),
            gentle: sound.laws.wear.gentle_load_share,
        }
    }

    /// Hands on the sound engine with its needles at `needles`, the slide where `hands` have it.
    fn at(hands: &Hands, needles: Setting) -> Controls {
        let at = Setting {
            idle_turns: hands.setting.idle_turns,
            ..needles
        };
        Controls {
            throttle: hands.throttle,
            ..Controls::new(at, Load::Stand)
        }
    }

    /// The equivalence ratio that the sound engine meters from a state with its needles at `needles`.
    fn metered(&self, from: &State, hands: &Hands, needles: Setting) -> f64 {
        self.sound.metered(from, &Self::at(hands, needles), self.stand.noise)
    }

    /// The pressure in its tank after a revolution from a state, at its leanest, Pa.
    fn tank_pressure(&self, from: &State, hands: &Hands) -> f64 {
        let mut state = *from;
        self.sound
            .step(&mut state, &Self::at(hands, self.leanest), self.stand.noise);
        state.tank_pressure
    }

    /// Whether the state after this revolution may be asked for once the next one is judged: only then it has to be kept.
    #[inline(always)]
    pub fn looks_back(seen: &Leanness, line_leaks: bool, after: &State) -> bool {
        line_leaks || looks(seen, whole(after.revolution))
    }

    /// Looks at the mixture that was metered from a state, if it is to be looked at. What a leaking line costs the tank in pressure is
    /// followed beside it.
    #[inline(never)]
    fn look(&self, seen: &mut Leanness, hands: &Hands, before: &State, metered: Option<f64>) {
        let tank_pressure = seen.tank_pressure.unwrap_or(before.tank_pressure);
        let sound = State {
            tank_fuel: before.tank_fuel.max(TANK_SHARE * self.sound.tank_capacity()),
            tank_pressure: tank_pressure.max(before.tank_pressure),
            ..*before
        };
        seen.tank_pressure = hands.line_leaks.then(|| self.tank_pressure(&sound, hands));
        let Some(metered) = metered else { return };
        seen.mixture = (metered < self.metered(&sound, hands, self.leanest)).then(|| {
            let right = self.metered(&sound, hands, self.truth);
            let here = self.metered(&sound, hands, hands.setting);
            // Whichever takes more of the fuel.
            if right - here >= here - metered {
                LeanCause::Needles
            } else {
                LeanCause::Starved
            }
        });
    }

    /// Judges a revolution that went from `before` to `after`.
    #[inline(always)]
    pub fn judge(
        &self,
        seen: &mut Leanness,
        hands: &Hands,
        (before, r, after): (&State, &Revolution, &State),
    ) -> Judged {
        let load = (r.air_burnt + after.left.air) * self.per_full_air;
        let loaded = r.speed > 0.0 && !hands.pinched && (load >= self.gentle || hands.throttle >= OPEN);
        let look = loaded && looks(seen, whole(after.revolution) - 1);
        if look || hands.line_leaks {
            self.look(seen, hands, before, look.then_some(r.metered_equivalence_ratio));
        }
        if !loaded {
            (seen.mixture, seen.loaded_s) = (None, 0.0);
        } else {
            seen.loaded_s += r.duration;
        }
        let knocks = seen.loaded_s > OPENING_S && r.detonation > self.detonation_index;
        Judged {
            loaded,
            knocks,
            lean: seen.mixture,
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::config::Source;
    use crate::tuning::action::{Action, Screw};
    use crate::tuning::episode::Episode;
    use crate::tuning::scenario::{Scenario, source};
    use crate::tuning::sums::LeanSeconds;

    fn running(scenario: &str, high: f64, low: f64) -> Episode {
        started(&Scenario::read(&source(scenario).unwrap()).unwrap(), high, low)
    }

    /// A running engine of a scenario, its needles so far from the truth.
    fn started(scenario: &Scenario, high: f64, low: f64) -> Episode {
        let mut episode = Episode::reset(scenario, 3, 0).unwrap();
        for (screw, off) in [(Screw::High, high), (Screw::Low, low), (Screw::Idle, 0.0)] {
            let turns = off - episode.off(screw);
            episode.act(&Action::Turn { screw, turns }).unwrap();
        }
        episode.act(&Action::Start).unwrap();
        assert!(episode.running());
        episode
    }

    /// Seconds too lean of holding a throttle for ten seconds, in parts of these throttles and lengths.
    fn lean_s(mut episode: Episode, parts: &[(f64, u32)]) -> LeanSeconds {
        let before = episode.score().lean;
        let mut left_ms = 10_000;
        for (position, ms) in parts.iter().cycle() {
            let ms = left_ms.min(*ms);
            episode.act(&Action::Throttle { position: *position }).unwrap();
            episode.act(&Action::Wait { ms }).unwrap();
            left_ms -= ms;
            if left_ms == 0 {
                break;
            }
        }
        let after = episode.score().lean;
        LeanSeconds {
            needles_s: after.needles_s - before.needles_s,
            starved_s: after.starved_s - before.starved_s,
        }
    }

    const HELD: &[(f64, u32)] = &[(1.0, 10_000)];
    const NEARLY: &[(f64, u32)] = &[(0.79, 10_000)];
    const ALTERNATING: &[(f64, u32)] = &[(1.0, 700), (0.9, 700)];
    const BLIPS: &[(f64, u32)] = &[(1.0, 700), (0.0, 700)];

    #[test]
    fn a_lean_engine_is_lean_whatever_the_throttle_hand_does() {
        for parts in [HELD, NEARLY, ALTERNATING] {
            let lean = lean_s(running("lesson-1", -0.25, 0.0), parts);
            assert!(lean.needles_s > 9.5 && lean.starved_s == 0.0, "{parts:?}: {lean:?}");
        }
        let blips = lean_s(running("lesson-1", -0.25, 0.0), BLIPS);
        assert!((3.5..6.5).contains(&blips.total()), "only what is open: {blips:?}");
        // Gentle throttle harms nothing.
        assert_eq!(lean_s(running("lesson-1", -0.25, 0.0), &[(0.1, 10_000)]).total(), 0.0);
    }

    #[test]
    fn an_engine_within_an_eighth_of_the_truth_is_not_lean_and_an_opening_counts_for_nobody() {
        for (high, low) in [(0.0, 0.0), (-0.12, -0.04), (0.25, 0.1)] {
            for parts in [HELD, NEARLY, ALTERNATING, BLIPS] {
                let lean = lean_s(running("lesson-1", high, low), parts);
                assert_eq!(lean.total(), 0.0, "{high} {low} {parts:?}");
            }
        }
    }

    #[test]
    fn what_keeps_the_fuel_away_besides_the_needles_is_told_apart() {
        let at_fault = |fault: &str| {
            let text = source("lesson-1").unwrap().text;
            let text = format!("{text}\n[fault]\nchance_percent = 100\n{fault}\n");
            let scenario = Scenario::read(&Source::new("leaks", &text)).unwrap();
            started(&scenario, 0.0, 0.0)
        };
        let lean = lean_s(at_fault("air_leak_mm2 = 0.6"), NEARLY);
        assert!(lean.starved_s > 5.0 && lean.needles_s == 0.0, "{lean:?}");
        // The whole pipe's pressure lost, of which the tank shows nothing.
        let lean = lean_s(at_fault("pressure_line_leak_share = 1.0"), HELD);
        assert!(lean.starved_s > 8.0 && lean.needles_s < 0.1, "{lean:?}");
        // An empty tank.
        let mut dry = running("lesson-1", 0.0, 0.0);
        dry.rig.state.tank_fuel = 1e-4;
        let lean = lean_s(dry, HELD);
        assert!(lean.starved_s > 0.05 && lean.needles_s == 0.0, "{lean:?}");
    }

    #[test]
    fn a_pinched_line_starves_nobody_that_counts() {
        let mut episode = running("lesson-1", 0.0, 0.0);
        episode.act(&Action::Laps { laps: 2 }).unwrap();
        episode.act(&Action::Wait { ms: 10_000 }).unwrap();
        let before = episode.score().lean_s;
        episode.act(&Action::Pinch).unwrap();
        assert_eq!(episode.score().lean_s, before);
    }

    #[test]
    fn done_at_once_or_in_parts_it_is_the_same() {
        let (mut whole, mut parts) = (running("lesson-1", -0.2, 0.0), running("lesson-1", -0.2, 0.0));
        let hold = Action::Hold {
            position: 1.0,
            ms: 3000,
        };
        whole.act(&hold).unwrap();
        parts.begin(&hold).unwrap();
        while parts.advance(37, crate::bench::player::Unseen).is_none() {}
        assert!(whole.score().lean_s > 2.0);
        assert_eq!(whole.digest(), parts.digest());
    }
}
