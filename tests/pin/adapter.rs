//! The only part of the pin that knows the library: small functions from its types to plain numbers and stable names, in the order
//! that stands in them. When a type is renamed or rebuilt, this file follows and the digests stay.

use needlebench::bench::checks::{self, Facts, Limits, Report};
use needlebench::bench::instruments::{PinchRise, PlugColour};
use needlebench::bench::manoeuvre::table::{Named, Waits};
use needlebench::bench::player::Pace;
use needlebench::bench::rig::Rig;
use needlebench::bench::series;
use needlebench::config::{EngineModel, Models, models};
use needlebench::engine::Setup;
use needlebench::engine::params::{Faults, Setting};
use needlebench::fluids::air::Weather;
use needlebench::practise::session::{Level, Session};
use needlebench::tuning::action::{Action, Part};
use needlebench::tuning::episode::{Found, Quantity, Refusal};
use needlebench::tuning::scenario::{SCENARIOS, Scenario, source};
use needlebench::tuning::score::Score;
use needlebench::tuning::strategy::advice::Follower;
use needlebench::tuning::strategy::{Sight, coach};

use crate::digest::Digest;

/// Turns from the reference: high, low, idle.
pub type Off = [f64; 3];

pub const MANOEUVRES: [&str; 8] = ["idle", "roll-on", "half", "burst", "snap", "brake", "pinch", "laps"];

/// An engine with a fuel, in the reference weather, sound.
pub struct Bench {
    model: EngineModel,
    setup: Setup,
}

impl Bench {
    /// A fuel by name, or the engine's own.
    pub fn new(engine: &str, fuel: Option<&str>) -> Self {
        let mut chosen = Models::of_engine(engine).unwrap();
        if let Some(fuel) = fuel {
            chosen.fuel = models::fuel(fuel).unwrap();
        }
        Self {
            setup: chosen.setup(&Weather::REFERENCE, Faults::NONE).unwrap(),
            model: chosen.engine,
        }
    }

    fn setting(&self, off: Off) -> Setting {
        let r = self.model.reference;
        Setting {
            high_turns: r.high_turns + off[0],
            low_turns: r.low_turns + off[1],
            idle_turns: r.idle_turns + off[2],
        }
    }

    /// Rows of: time s, throttle, rpm, equivalence ratio, air-fuel ratio, burnt share, film mg, head °C, plug °C, opacity percent,
    /// fuel flow mg/s, power W, tank ml. The brake holds the rated speed; the tank's fuel is as warm as the air.
    pub fn series(&self, off: Off, cold: bool, manoeuvre: &str, seed: u64) -> Vec<[Option<f64>; 13]> {
        let setting = self.setting(off);
        let mut rig = if cold {
            Rig::cold(&self.setup, setting, seed)
        } else {
            Rig::warm(&self.setup, setting, seed)
        };
        let manoeuvre = Named::ALL.into_iter().find(|m| m.name() == manoeuvre).unwrap();
        let waits = Waits {
            brake_rpm: self.model.rated_rpm,
            ..Waits::STANDARD
        };
        let density = self.setup.fuel.density(self.setup.air.temperature);
        let rows = series::run(&mut rig, &manoeuvre.shown(&waits), Pace::Own, density);
        assert!(rows.len() > 1000, "{}", manoeuvre.name());
        rows.iter()
            .map(|row| std::array::from_fn(|column| row.values()[column]))
            .collect()
    }

    /// The sign-off from a warm engine.
    pub fn check(&self, off: Off, seed: u64, digest: &mut Digest) {
        let facts = Facts::of(&self.model, &self.setup);
        let (limits, waits) = (Limits::STANDARD, Waits::STANDARD);
        report(
            &checks::check(&self.setup, facts, self.setting(off), seed, &limits, &waits),
            digest,
        );
    }
}

/// Per check: its name, value, limits, whether it passes; then clean or not, and how many warnings.
fn report(report: &Report, digest: &mut Digest) {
    for check in &report.checks {
        digest.name(&stable(&check.name));
        for value in [check.value, check.low, check.high] {
            digest.maybe(value);
        }
        digest.number(f64::from(u8::from(check.pass)));
    }
    digest.number(f64::from(u8::from(report.clean)));
    digest.number(report.warnings.len() as f64);
}

/// The name under which something stands in JSON.
fn stable(value: &impl serde::Serialize) -> String {
    serde_json::to_string(value).unwrap()
}

/// The built-in scenarios.
pub fn scenarios() -> Vec<&'static str> {
    SCENARIOS.iter().map(|file| file.name).collect()
}

fn scenario(name: &str) -> Scenario {
    Scenario::read(&source(name).unwrap()).unwrap()
}

/// A practice that was played, with a tachometer.
pub struct Played(Session);

impl Played {
    /// Plays lines of a recording, and digests what each showed: the frame, or the refusal.
    pub fn script(name: &str, seed: u64, lines: &[&str], digest: &mut Digest) -> Self {
        let mut session = Session::start(scenario(name), Level::Assisted, seed, 0).unwrap();
        for line in lines {
            let action: Action = serde_json::from_str(line).unwrap();
            match session.act(&action) {
                Ok(shown) => sight(&shown.sight, digest),
                Err(refused) => digest.name(refusal(&refused)),
            }
        }
        let mut played = Self(session);
        played.strip(digest);
        played
    }

    /// Per row of the strip chart, oldest first: time s, throttle, rpm, smoke percent, missed share, crackle.
    fn strip(&mut self, digest: &mut Digest) {
        for row in self.0.strip(120.0) {
            digest.numbers(&[
                row.time_s,
                row.throttle,
                row.rpm,
                row.smoke_percent,
                row.missed_share,
                row.crackle,
            ]);
        }
    }

    /// The start and the truth (high, low, idle each); the marks at which the screws end, the least and the most; nitro and oil of the blend; the sleeve's wear; the checks at
    /// the truth.
    pub fn hidden(&self, digest: &mut Digest) {
        let h = &self.0.episode().hidden;
        for s in [h.start, h.truth] {
            digest.numbers(&[s.high_turns, s.low_turns, s.idle_turns]);
        }
        digest.numbers(&h.drawn.least_mark_turns);
        digest.numbers(&h.drawn.most_mark_turns);
        digest.numbers(&[
            h.blend.nitro_percent,
            h.blend.oil_percent,
            h.setup.faults.sleeve_wear_share,
        ]);
        report(&h.at_truth, digest);
    }

    /// The checks of the sign-off, and the ending.
    pub fn checks(&self, digest: &mut Digest) {
        let episode = self.0.episode();
        if let Some(found) = episode.report() {
            report(found, digest);
        }
        digest.name(&stable(&episode.ending()));
    }

    pub fn score(&self, digest: &mut Digest) {
        score(&self.0.episode().score(), digest);
    }
}

/// In the order in which it counts; the judgements as their number and mean Brier score.
fn score(score: &Score, digest: &mut Digest) {
    digest.numbers(&[
        f64::from(u8::from(score.unharmed)),
        score.damage,
        score.lean_s,
        f64::from(u8::from(score.clean)),
        f64::from(score.turns),
        f64::from(score.idle_trims),
        score.rotation_turns,
        score.fuel_g,
        score.minutes,
        f64::from(score.lean_crossings),
        score.judgements.len() as f64,
    ]);
    digest.maybe(score.first_turn_right.map(|right| f64::from(u8::from(right))));
    digest.maybe(score.brier());
}

/// Clock, running, throttle, marks (high, low, idle), gap, tank, tachometer; then what is heard, what was found, how it ended.
fn sight(frame: &Sight, digest: &mut Digest) {
    digest.numbers(&[
        frame.clock_s,
        f64::from(u8::from(frame.running)),
        frame.throttle,
        frame.marks.high_turns,
        frame.marks.low_turns,
        frame.marks.idle_turns,
        frame.idle_gap_mm,
        f64::from(frame.tank_quarters),
    ]);
    digest.maybe(frame.tachometer_rpm);
    frame.notes.iter().for_each(|note| digest.name(&stable(note)));
    frame.found.iter().for_each(|found| finding(found, digest));
    digest.name(&stable(&frame.ended));
}

/// A finding as a kind and numbers: gun (°C); part (number in `Part::ALL`, at fault or not); pinch (grade from lean 0 to rich 3,
/// seconds); plug (at fault or not; colour: 0 unread, 1 specks, 2 wet, 3 moist, 4 pale); cured (number in `Part::ALL`).
fn finding(found: &Found, digest: &mut Digest) {
    let number = |part: Part| Part::ALL.iter().position(|p| *p == part).unwrap() as f64;
    match *found {
        Found::Gun { head_c } => {
            digest.name("gun");
            digest.number(head_c);
        }
        Found::Looked { part, at_fault } => {
            digest.name("part");
            digest.numbers(&[number(part), f64::from(u8::from(at_fault))]);
        }
        Found::Pinched { rise, seconds } => {
            let grade = PinchRise::ALL.iter().position(|r| *r == rise).unwrap();
            digest.name("pinch");
            digest.numbers(&[grade as f64, seconds]);
        }
        Found::Plug(plug) => {
            let colour = match plug.colour {
                None => 0.0,
                Some(PlugColour::Specks) => 1.0,
                Some(PlugColour::Wet) => 2.0,
                Some(PlugColour::Moist) => 3.0,
                Some(PlugColour::Pale) => 4.0,
            };
            digest.name("plug");
            digest.numbers(&[f64::from(u8::from(plug.tired)), colour]);
        }
        Found::Fixed { part, .. } => {
            digest.name("cured");
            digest.number(number(part));
        }
        Found::SignedOff { clean } => {
            digest.name("signed-off");
            digest.number(f64::from(u8::from(clean)));
        }
        Found::Straight { straight } => digest.name(&stable(&straight)),
        Found::Corner { exit } => digest.name(&stable(&exit)),
        Found::WayIn { way_in } => digest.name(&stable(&way_in)),
        Found::Warmed { head_c, until } => {
            digest.name(&stable(&until));
            digest.number(head_c);
        }
        Found::Cooled { head_c } => {
            digest.name("cooled");
            digest.number(head_c);
        }
        Found::HeadHot => digest.name("hot"),
        Found::TrustPlug => digest.name("trust-plug"),
        Found::NotJudged => digest.name("not-judged"),
        Found::SayAgain => digest.name("say-again"),
    }
}

fn refusal(refusal: &Refusal) -> &'static str {
    match refusal {
        Refusal::Over => "over",
        Refusal::Busy => "busy",
        Refusal::Standing => "standing",
        Refusal::Running => "running",
        Refusal::OutOfRange {
            what: Quantity::Turns, ..
        } => "too-far",
        Refusal::AtEnd => "at-end",
        Refusal::OutOfRange { .. } => "range",
        Refusal::NoEnd => "no-end",
        Refusal::Unheard { .. } => "unheard",
    }
}

/// Follows the coach to the end: each action as a recording has it, then the score.
pub fn coached(name: &str, seed: u64, digest: &mut Digest) {
    let scenario = scenario(name);
    let limits = scenario.limits;
    let mut session = Session::start(scenario, Level::Assisted, seed, 0).unwrap();
    let mut follower = Follower::new(coach().unwrap(), limits, session.episode().chance());
    for _ in 0..1000 {
        let Some(advice) = follower.next() else { break };
        digest.name(&stable(&advice.action));
        match session.act(&advice.action) {
            Ok(shown) if shown.sight.ended.is_none() => follower.memory.did(&advice.action, &shown.sight),
            _ => break,
        }
    }
    score(&session.episode().score(), digest);
}
