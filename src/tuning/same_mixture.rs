//! The setting at which one engine gets the mixture and the idle speed that another has: what a tuner would set who turns until the
//! plug, the ear and the tachometer say the same as before.

use super::warmth::Warmth;
use crate::bench::manoeuvre::Manoeuvre;
use crate::bench::manoeuvre::table;
use crate::bench::measures::{Steadily, Watching};
use crate::bench::player::{Observer, Play, Played, Stand, play};
use crate::config::EngineModel;
use crate::engine::params::Setting;
use crate::engine::state::Load;
use crate::engine::{Engine, Setup};
use crate::units::rev_per_second_from_rpm;

/// Openings wide open: a file may say no more.
const MOST: Setting = EngineModel::MOST_OPEN;

/// The setting at which `sound` gets the mixture and idle speed that `reference` has at `setting`.
///
/// Wide open it is compared on a brake at `rated_rpm`, both with the noise of `seed`, both engines at running temperature.
pub fn same_mixture(sound: &Setup, reference: &Setup, setting: Setting, rated_rpm: f64, seed: u64) -> Setting {
    let [sound, reference] = [sound, reference].map(|setup| {
        let engine = Engine::new(setup);
        let warmth = Warmth::running(&engine);
        Warmed { engine, warmth, seed }
    });
    same_mixture_of(&sound, &reference, setting, rated_rpm, None)
}

/// An engine, how warm it is, and the seed of its noise.
#[derive(Clone, Copy)]
pub(super) struct Warmed {
    engine: Engine,
    warmth: Warmth,
    seed: u64,
}

impl Warmed {
    pub fn new(setup: &Setup, warmth: Warmth, seed: u64) -> Self {
        Self {
            engine: Engine::new(setup),
            warmth,
            seed,
        }
    }

    fn stand(&self, setting: Setting) -> Stand {
        self.warmth.stand(&self.engine, setting, self.seed)
    }

    /// Plays a manoeuvre from many stands side by side.
    fn played<O: Observer + Default>(
        &self,
        from: impl Iterator<Item = Stand>,
        manoeuvre: &Manoeuvre,
    ) -> Vec<Played<O>> {
        let plays = from.map(|from| Play {
            from,
            manoeuvre: manoeuvre.clone(),
            watch: O::default(),
        });
        play(&self.engine, plays)
    }

    /// Equivalence ratios at a throttle on a brake, which holds a speed even where an idle would die.
    fn mixtures(&self, settings: &[Setting], rpm: f64, look: &Manoeuvre) -> Vec<f64> {
        let held = settings.iter().map(|setting| {
            let mut stand = self.stand(*setting);
            stand.controls.drive(Load::Brake(rev_per_second_from_rpm(rpm)));
            stand
        });
        let played = self.played::<Steadily>(held, look).into_iter();
        played.map(|p| p.watch.steady().equivalence_ratio).collect()
    }

    pub fn wide_open(&self, settings: &[Setting], rpm: f64) -> Vec<f64> {
        self.mixtures(settings, rpm, &table::steady(1.0, 1.0, 0.5))
    }

    pub fn shut(&self, settings: &[Setting], rpm: f64) -> Vec<f64> {
        self.mixtures(settings, rpm, &table::steady(0.0, 1.0, 1.0))
    }

    pub fn idle_rpm(&self, settings: &[Setting]) -> Vec<f64> {
        let free = settings.iter().map(|setting| self.stand(*setting));
        let played = self.played::<Watching>(free, &table::quick_idle()).into_iter();
        played.map(|p| p.watch.idle().rpm).collect()
    }
}

/// The same, each engine as warm as it is, at an idle of `wanted_rpm` or that of the reference.
pub(super) fn same_mixture_of(
    sound: &Warmed,
    reference: &Warmed,
    setting: Setting,
    rated_rpm: f64,
    wanted_rpm: Option<f64>,
) -> Setting {
    let reference_rpm = reference.idle_rpm(&[setting])[0];
    let wanted_rpm = wanted_rpm.filter(|_| reference_rpm > 0.0).unwrap_or(reference_rpm);
    let rpm = if reference_rpm > 0.0 { reference_rpm } else { 10_000.0 };
    let full = reference.wide_open(&[setting], rated_rpm)[0];
    let idle = reference.shut(&[setting], rpm)[0];
    let mut found = setting;
    let low = |found: Setting| {
        let at = |low_turns| Setting { low_turns, ..found };
        bisect(MOST.low_turns, at, |settings| sound.shut(settings, rpm), idle).low_turns
    };
    for _ in 0..2 {
        let at = |high_turns| Setting { high_turns, ..found };
        found = bisect(
            MOST.high_turns,
            at,
            |settings| sound.wide_open(settings, rated_rpm),
            full,
        );
        found.low_turns = low(found);
        if reference_rpm > 0.0 {
            found = nearest_stop(
                found,
                setting.idle_turns,
                |settings| sound.idle_rpm(settings),
                wanted_rpm,
            );
        }
    }
    found.low_turns = low(found);
    found
}

/// Idle stops tried side by side, and how far they reach to either side of where the stop stands, turns.
const STOPS: usize = 25;
const REACH: f64 = 3.0;

/// The idle stop nearest to `near` at which the idle passes `wanted`, by two rounds of tries side by side. An engine that fires
/// irregularly may idle as fast at two openings, so halving a long way would find either. Where none reaches it, the stop that comes
/// closest.
fn nearest_stop(found: Setting, near: f64, measure: impl Fn(&[Setting]) -> Vec<f64>, wanted: f64) -> Setting {
    let at = |idle_turns| Setting { idle_turns, ..found };
    let (mut low, mut high) = ((near - REACH).max(0.05), (near + REACH).min(MOST.idle_turns));
    for _ in 0..2 {
        let step = (high - low) / (STOPS - 1) as f64;
        let stops: Vec<f64> = (0..STOPS).map(|k| low + step * k as f64).collect();
        let idles = measure(&stops.iter().map(|turns| at(*turns)).collect::<Vec<_>>());
        let far = |k: &usize| (stops[k - 1] - near).abs().min((stops[*k] - near).abs());
        let passing = (1..STOPS).filter(|k| (idles[k - 1] - wanted) * (idles[*k] - wanted) <= 0.0);
        let Some(k) = passing.min_by(|a, b| far(a).total_cmp(&far(b))) else {
            let off = |k: &usize| (idles[*k] - wanted).abs();
            let closest = (0..STOPS).min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(0);
            return at(stops[closest]);
        };
        (low, high) = (stops[k - 1], stops[k]);
    }
    at(0.5 * (low + high))
}

/// Halvings that are answered at a time: seven settings side by side cost little more than one, whichever way the answers go.
const AHEAD: usize = 7;

/// Where what rises from closed to wide open passes `wanted`, to a hundredth of a turn.
fn bisect(most: f64, at: impl Fn(f64) -> Setting, measure: impl Fn(&[Setting]) -> Vec<f64>, wanted: f64) -> Setting {
    let (mut low, mut high) = (0.05, most);
    while high - low > 0.01 {
        // Every middle that the next halvings can ask for: that of place k is followed by those of 2k + 1 (below) and 2k + 2 (above).
        let mut spans = vec![(low, high)];
        for k in 0..AHEAD / 2 {
            let (low, high) = spans[k];
            let middle = 0.5 * (low + high);
            spans.extend([(low, middle), (middle, high)]);
        }
        let middles: Vec<f64> = spans.iter().map(|(low, high)| 0.5 * (low + high)).collect();
        let measured = measure(&middles.iter().map(|turns| at(*turns)).collect::<Vec<_>>());
        let mut place = 0;
        while place < AHEAD && high - low > 0.01 {
            if measured[place] - wanted < 0.0 {
                low = middles[place];
                place = 2 * place + 2;
            } else {
                high = middles[place];
                place = 2 * place + 1;
            }
        }
    }
    at(0.5 * (low + high))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::setup::reference_setup;

    #[test]
    fn one_engine_cold_and_warm_is_two_engines() {
        let (model, setup) = reference_setup("offroad-3.5").unwrap();
        let running = Warmth::running(&Engine::new(&setup));
        let found = |sound, reference| {
            let [sound, reference] = [sound, reference].map(|warmth| Warmed::new(&setup, warmth, 1));
            same_mixture_of(&sound, &reference, model.reference, model.rated_rpm, None).idle_turns
        };
        let (same, colder) = (found(Warmth::COLD, Warmth::COLD), found(Warmth::COLD, running));
        assert!((same - model.reference.idle_turns).abs() < 0.02, "{same}");
        assert!(
            (colder - same).abs() > 0.04,
            "{colder} against {same}: the cold is seen"
        );
    }

    #[test]
    fn halvings_answered_ahead_are_halvings_one_by_one() {
        let at = |high_turns| Setting {
            high_turns,
            ..Setting::default()
        };
        let curve = |setting: &Setting| setting.high_turns * setting.high_turns;
        for wanted in [-1.0, 0.04, 0.3, 2.0, 7.7, 40.0, 63.9, 100.0] {
            let (mut low, mut high) = (0.05, 8.0);
            while high - low > 0.01 {
                let middle = 0.5 * (low + high);
                if middle * middle - wanted < 0.0 {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            let ahead = bisect(8.0, at, |settings| settings.iter().map(curve).collect(), wanted);
            assert_eq!(ahead.high_turns, 0.5 * (low + high));
        }
    }
}
