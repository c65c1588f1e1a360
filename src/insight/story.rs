//! One symptom's whole story over time: what every store of the engine does (film, hot crown, pipe, tank) from before it shows until it
//! is over, at a setting and beside the clean one, with the same chance.

use crate::bench::checks::CheckName;
use crate::bench::instruments;
use crate::bench::manoeuvre::table::Waits;
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment};
use crate::bench::player::{Now, Observer, Play, play};
use crate::bench::rig;
use crate::engine::params::Setting;
use crate::engine::state::{Load, Revolution, State};
use crate::engine::{Engine, Setup};
use crate::insight::effects::Turn;
use crate::tuning::action::Screw;
use crate::units::{celsius_from_kelvin, mg_from_kilogram, rev_per_second_from_rpm, rpm_from_rev_per_second};

/// A symptom with a story.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tale {
    /// The speed stays up after a burst.
    Hang,
    /// The idle sinks as the crankcase fills.
    LoadUp,
    /// A puff of smoke as the throttle is snapped open.
    Puff,
    /// It picks up late, or not at all.
    Bog,
    /// It fires every second time.
    FourStroking,
    /// Power fades within seconds at full throttle.
    Sag,
}

impl Tale {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Hang,
        Self::LoadUp,
        Self::Puff,
        Self::Bog,
        Self::FourStroking,
        Self::Sag,
    ];

    /// Its name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::Hang => "hang",
            Self::LoadUp => "load-up",
            Self::Puff => "puff",
            Self::Bog => "bog",
            Self::FourStroking => "four-stroking",
            Self::Sag => "sag",
        }
    }

    /// The story of a check that failed at this setting, beside the clean one; none where none of them tells it.
    pub fn of(failed: CheckName, at: Setting, clean: Setting) -> Option<Self> {
        let lean = at.low_turns < clean.low_turns;
        match failed {
            CheckName::BurstReturn | CheckName::BurstHang | CheckName::BurstEarlyExcess => Some(Self::Hang),
            CheckName::IdlePinchRise | CheckName::HotIdle if lean => Some(Self::Hang),
            CheckName::IdleVariation => Some(Self::LoadUp),
            CheckName::SnapPuff => Some(Self::Puff),
            CheckName::SnapDelay | CheckName::SnapMisfire => Some(Self::Bog),
            CheckName::HalfMisfire | CheckName::RollOnMisfire => Some(Self::FourStroking),
            CheckName::FullPower if at.high_turns > clean.high_turns => Some(Self::FourStroking),
            CheckName::FullRichOfBestPower | CheckName::FullDetonation | CheckName::FullHeadTemperature => {
                Some(Self::Sag)
            }
            _ => None,
        }
    }

    /// The turn from the clean setting that shows it best, where no setting is asked for.
    pub fn shown_by(self) -> Turn {
        let (screw, by) = match self {
            Self::Hang => (Screw::Low, -0.25),
            Self::LoadUp | Self::Puff => (Screw::Low, 0.5),
            Self::Bog => (Screw::Low, 0.75),
            Self::FourStroking => (Screw::High, 1.0),
            Self::Sag => (Screw::High, -0.5),
        };
        Turn { screw, by }
    }

    /// What hands do; the story's time counts from the first revolution marked as returned, or opened where nothing returns.
    fn manoeuvre(self, rated_rpm: f64) -> Manoeuvre {
        let shut = |seconds| Segment::hold(0.0, seconds);
        let full = |seconds| Segment::hold(1.0, seconds);
        let clear = [Segment::hold(0.5, 0.7), shut(Waits::STANDARD.idle_hold_s)];
        let braked = |seconds| {
            let brake = Load::Brake(rev_per_second_from_rpm(rated_rpm));
            full(seconds).load(brake).mark(Mark::Return)
        };
        let then: Vec<Segment> = match self {
            Self::Hang => vec![
                shut(1.0).mark(Mark::Watch),
                full(1.5).mark(Mark::Open),
                shut(8.0).mark(Mark::Return),
            ],
            Self::LoadUp => vec![
                shut(1.0).mark(Mark::Watch),
                full(1.5).mark(Mark::Open),
                shut(60.0).mark(Mark::Return),
            ],
            Self::Puff | Self::Bog => vec![
                full(1.0),
                shut(1.5),
                full(1.0),
                shut(1.5 + Waits::STANDARD.snap_wait_s).mark(Mark::Watch),
                full(4.0).mark(Mark::Return),
            ],
            Self::FourStroking => vec![shut(1.0).mark(Mark::Watch), braked(8.0).refuelled()],
            Self::Sag => vec![shut(1.0).mark(Mark::Watch), braked(30.0).refuelled()],
        };
        clear.into_iter().chain(then).collect()
    }

    /// Seconds that one sample is the mean of.
    fn sample_s(self) -> f64 {
        match self {
            Self::LoadUp => 0.5,
            Self::Sag => 0.25,
            _ => 0.1,
        }
    }
}

/// Means over a short while, and the stores at its end.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Sample {
    /// Middle of the while, from the moment that the story counts from.
    pub time_s: f64,
    /// Speed; 0 once it has died.
    pub engine_rpm: f64,
    /// As metered; none while no air flows.
    pub metered_equivalence_ratio: Option<f64>,
    /// In the cylinder.
    pub cylinder_equivalence_ratio: Option<f64>,
    /// Fuel on the crankcase's walls.
    pub film_mg: f64,
    /// The piston's crown.
    pub crown_temperature_c: f64,
    /// The head.
    pub head_temperature_c: f64,
    /// The charge as the ports close; none once it has died.
    pub charge_temperature_c: Option<f64>,
    /// Oil on the pipe's walls and in its mist.
    pub pipe_oil_mg: f64,
    /// Pressure in the tank above the air's.
    pub tank_pressure_kpa: f64,
    /// Share of the charge that burns.
    pub burnt_percent: f64,
    /// Revolutions that missed.
    pub missed_percent: f64,
    /// Smoke.
    pub smoke_opacity_percent: f64,
    /// At the shaft.
    pub power_w: f64,
}

/// Watches a story.
#[derive(Clone, Debug, Default)]
struct Eyes {
    sample_s: f64,
    /// When the story's time begins, on the engine's clock, s.
    origin: Option<f64>,
    samples: Vec<Sample>,
    sum: Sample,
    seconds: f64,
    turns: f64,
    alive: bool,
}

impl Observer for Eyes {
    fn see(&mut self, now: &Now, r: &Revolution, state: &State) {
        if now.mark == Mark::Prepare {
            return;
        }
        if now.mark == Mark::Return && self.origin.is_none() {
            self.origin = Some(state.time - r.duration);
        }
        let d = r.duration;
        self.alive = r.speed > 0.0;
        self.seconds += d;
        self.turns += if self.alive { 1.0 } else { 0.0 };
        let sum = &mut self.sum;
        let add = |to: &mut Option<f64>, value: f64| *to = Some(to.unwrap_or(0.0) + value * d);
        if self.alive {
            add(&mut sum.metered_equivalence_ratio, r.metered_equivalence_ratio);
            add(&mut sum.cylinder_equivalence_ratio, r.equivalence_ratio);
            add(&mut sum.charge_temperature_c, celsius_from_kelvin(r.charge_temperature));
        }
        sum.burnt_percent += 100.0 * r.burnt_share * d;
        sum.smoke_opacity_percent += 100.0 * r.opacity * d;
        sum.power_w += r.shaft_work;
        sum.missed_percent += 100.0 * f64::from(u8::from(instruments::missed(r)));
        if self.seconds >= self.sample_s {
            self.keep(state);
        }
    }
}

impl Eyes {
    fn keep(&mut self, state: &State) {
        let (sum, seconds) = (std::mem::take(&mut self.sum), self.seconds);
        let mean = |sum: Option<f64>| sum.filter(|_| self.alive).map(|sum| sum / seconds);
        self.samples.push(Sample {
            time_s: state.time - 0.5 * seconds,
            engine_rpm: rpm_from_rev_per_second(self.turns / seconds),
            metered_equivalence_ratio: mean(sum.metered_equivalence_ratio),
            cylinder_equivalence_ratio: mean(sum.cylinder_equivalence_ratio),
            charge_temperature_c: mean(sum.charge_temperature_c),
            film_mg: mg_from_kilogram(state.film_fuel),
            crown_temperature_c: celsius_from_kelvin(state.crown_temperature),
            head_temperature_c: celsius_from_kelvin(state.head_temperature),
            pipe_oil_mg: mg_from_kilogram(state.pipe_oil + state.pipe_mist),
            tank_pressure_kpa: 1e-3 * state.tank_pressure,
            burnt_percent: sum.burnt_percent / seconds,
            missed_percent: sum.missed_percent / self.turns.max(1.0),
            smoke_opacity_percent: sum.smoke_opacity_percent / seconds,
            power_w: sum.power_w / seconds,
        });
        (self.seconds, self.turns) = (0.0, 0.0);
    }
}

/// A story: the same manoeuvre at two settings.
#[derive(Clone, Debug, PartialEq)]
pub struct Story {
    /// Of what.
    pub tale: Tale,
    /// The setting asked about.
    pub asked: Setting,
    /// The clean one.
    pub clean: Setting,
    /// What was seen at each of them.
    pub samples: [Vec<Sample>; 2],
}

/// Plays a story at a setting and at the clean one, with the same seed.
pub fn story(setup: &Setup, rated_rpm: f64, tale: Tale, [asked, clean]: [Setting; 2], seed: u64) -> Story {
    let engine = Engine::new(setup);
    let manoeuvre = tale.manoeuvre(rated_rpm);
    let plays = [asked, clean].map(|setting| Play {
        from: rig::warm(&engine, setting, seed),
        manoeuvre: manoeuvre.clone(),
        watch: Eyes {
            sample_s: tale.sample_s(),
            ..Eyes::default()
        },
    });
    let mut samples = play(&engine, plays).into_iter().map(|played| {
        let Eyes {
            origin, mut samples, ..
        } = played.watch;
        let origin = origin.unwrap_or(0.0);
        for sample in &mut samples {
            sample.time_s -= origin;
        }
        samples
    });
    Story {
        tale,
        asked,
        clean,
        samples: std::array::from_fn(|_| samples.next().unwrap_or_default()),
    }
}

/// A store of the engine, whose filling takes time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Store {
    /// Fuel on the crankcase's walls.
    Film,
    /// The piston's crown.
    Crown,
    /// Oil in the pipe.
    Pipe,
    /// Pressure in the tank.
    Tank,
}

impl Store {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Film, Self::Crown, Self::Pipe, Self::Tank];

    /// What is in it: mg, °C, mg, kPa.
    pub fn of(self, sample: &Sample) -> f64 {
        match self {
            Self::Film => sample.film_mg,
            Self::Crown => sample.crown_temperature_c,
            Self::Pipe => sample.pipe_oil_mg,
            Self::Tank => sample.tank_pressure_kpa,
        }
    }
}

/// How a store differs from the clean engine's.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Apart {
    /// Which.
    pub store: Store,
    /// The largest difference from the story's moment on.
    pub most: f64,
    /// When, s.
    pub at_s: f64,
    /// When half of it is gone for good, s; none if it stays.
    pub half_gone_s: Option<f64>,
}

impl Story {
    /// How each store differs from the clean engine's from the story's moment on.
    pub fn apart(&self) -> [Apart; 4] {
        let [asked, clean] = &self.samples;
        Store::ALL.map(|store| {
            let differences: Vec<(f64, f64)> = asked
                .iter()
                .zip(clean)
                .filter(|(asked, _)| asked.time_s >= 0.0)
                .map(|(asked, clean)| (asked.time_s, store.of(asked) - store.of(clean)))
                .collect();
            let most = differences
                .iter()
                .copied()
                .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
            let (at_s, most) = most.unwrap_or((0.0, 0.0));
            Apart {
                store,
                most,
                at_s,
                half_gone_s: half_gone_s(&differences, most),
            }
        })
    }

    /// The symptom itself in one number, at the setting and at the clean one; none of an engine that died before it could be told.
    ///
    /// Seconds above 1.1 times the idle before the burst; percent that the idle sinks from 3 s to the end; peak of the smoke over what it
    /// comes to; seconds to 20 000 rpm; percent of revolutions missed from a second on; percent of power lost from 3 s to the end.
    pub fn measures(&self) -> [Option<f64>; 2] {
        [0, 1].map(|of| measure(self.tale, &self.samples[of]))
    }
}

/// When half of the largest difference is gone for good; what has gone over to the other side is gone.
fn half_gone_s(differences: &[(f64, f64)], most: f64) -> Option<f64> {
    let last = differences
        .iter()
        .rposition(|(_, by)| by * most.signum() > 0.5 * most.abs())?;
    differences.get(last + 1).map(|(time, _)| *time)
}

/// Mean over the samples between two times.
fn mean(samples: &[Sample], [from, to]: [f64; 2], value: impl Fn(&Sample) -> f64) -> Option<f64> {
    let of: Vec<f64> = samples
        .iter()
        .filter(|s| (from..to).contains(&s.time_s))
        .map(value)
        .collect();
    (!of.is_empty()).then(|| of.iter().sum::<f64>() / of.len() as f64)
}

fn measure(tale: Tale, samples: &[Sample]) -> Option<f64> {
    let end = samples.last()?.time_s + 1e-9;
    let rpm = |s: &Sample| s.engine_rpm;
    let lives = samples.last()?.engine_rpm > 0.0;
    match tale {
        Tale::Hang => {
            // Before the burst it idles for a second.
            let idle =
                mean(&samples[..samples.len().min(9)], [f64::NEG_INFINITY, 0.0], rpm).filter(|rpm| *rpm > 0.0)?;
            let hangs = |s: &&Sample| s.time_s >= 0.0 && s.engine_rpm > 1.1 * idle;
            lives.then(|| samples.iter().rfind(hangs).map_or(0.0, |s| s.time_s))
        }
        Tale::LoadUp => {
            let first = mean(samples, [3.0, 6.0], rpm).filter(|rpm| *rpm > 0.0)?;
            Some(100.0 * (1.0 - mean(samples, [end - 5.0, end], rpm)? / first))
        }
        Tale::Puff => {
            let steady = mean(samples, [2.5, end], |s| s.smoke_opacity_percent).filter(|smoke| *smoke > 0.0)?;
            let after = samples.iter().filter(|s| s.time_s >= 0.0);
            let peak = after.fold(0.0_f64, |peak, s| peak.max(s.smoke_opacity_percent));
            lives.then(|| peak / steady - 1.0)
        }
        Tale::Bog => {
            let there = samples
                .iter()
                .find(|s| s.time_s >= 0.0 && s.engine_rpm >= Waits::STANDARD.snap_mark_rpm);
            there.map(|s| s.time_s)
        }
        Tale::FourStroking => mean(samples, [1.0, end], |s| s.missed_percent).filter(|_| lives),
        Tale::Sag => {
            let first = mean(samples, [2.0, 4.0], |s| s.power_w).filter(|power| *power > 0.0)?;
            Some(100.0 * (1.0 - mean(samples, [end - 2.0, end], |s| s.power_w)? / first))
        }
    }
}

#[cfg(test)]
#[path = "story_tests.rs"]
mod tests;
