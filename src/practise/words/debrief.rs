//! The debrief in plain words, line by line, each with its tone; what is still being made says so.

use super::check::{self, Degrees};
use super::costs::{costs, counted, spared, worn};
use super::map::map;
use super::noticed::{failed, leaning, noticed};
use super::{fraction, turns, warning};
use crate::practise::debrief::{Debrief, Piece, ScrewEnd};
use crate::tuning::action::Screw;
use crate::tuning::episode::Ending;
use crate::tuning::score::Score;

/// How a line is to be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// A heading.
    Heading,
    /// Something that failed.
    Failed,
    /// Anything else.
    Plain,
}

/// A line.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// How it is to be read.
    pub tone: Tone,
    /// Its words.
    pub text: String,
}

/// Lines in the making.
#[derive(Default)]
struct Lines(Vec<Told>);

impl Lines {
    fn add(&mut self, tone: Tone, text: impl Into<String>) {
        self.0.push(Told {
            tone,
            text: text.into(),
        });
    }
    fn plain(&mut self, text: impl Into<String>) {
        self.add(Tone::Plain, text);
    }
    /// A heading after an empty line.
    fn heading(&mut self, text: &str) {
        self.plain("");
        self.add(Tone::Heading, text);
    }
}

/// The debrief as text.
pub fn debrief(debrief: &Debrief) -> String {
    told(debrief)
        .into_iter()
        .fold(String::new(), |out, line| out + &line.text + "\n")
}

/// The debrief line by line.
pub fn told(d: &Debrief) -> Vec<Told> {
    let mut out = Lines::default();
    out.add(Tone::Heading, ending(d.ended));
    stages(&mut out, d);
    if d.ended == Some(Ending::Lost) {
        out.plain(format!("  what took its life: {}", worn(&d.score)));
    }
    strength(&mut out, d);
    what_failed(&mut out, d);
    if d.ended.is_some_and(|ended| ended != Ending::Left) || !d.noticed.is_empty() {
        out.heading("What you noticed, and what it meant there");
        noticed(&d.noticed).into_iter().for_each(|line| out.plain(line));
    }
    checks(&mut out, d);
    screws(&mut out, d);
    if let Some(found) = &d.map {
        out.heading("The map");
        if d.next() <= Piece::Map {
            out.plain(format!(
                "  being drawn, {:.0} % done",
                (100.0 * d.progress().share()).floor()
            ));
        } else {
            map(found).into_iter().for_each(|line| out.plain(line));
        }
    }
    out.heading("The score, in the order in which it counts");
    costs(&d.score).into_iter().for_each(|line| out.plain(line));
    spared(&d.score).into_iter().for_each(|line| out.plain(line));
    par(&mut out, d);
    if d.map.is_some() {
        fewer(&mut out, d);
    }
    out.plain(format!("What this teaches: {}", d.teaches));
    out.0
}

fn ending(ending: Option<Ending>) -> &'static str {
    match ending {
        Some(Ending::Clean) => "CLEAN: every check passed.",
        Some(Ending::NotClean) => "NOT CLEAN: signed off, but something failed.",
        Some(Ending::Lost) => "ENGINE LOST: it was run too lean, too hot or too hard too long.",
        Some(Ending::OutOfTime) => "OUT OF TIME: the time for it is up.",
        Some(Ending::Left) => "LEFT before signing off.",
        None => "Not ended yet.",
    }
}

/// The stages before the last.
fn stages(out: &mut Lines, d: &Debrief) {
    if d.stages.is_empty() {
        return;
    }
    out.heading("Signed off before");
    for stage in &d.stages {
        let failed = stage.failed.iter().map(|name| check::check_name(*name));
        let left = stage
            .left_at_fault
            .iter()
            .map(|part| format!("`fix {}` undone", part.word()));
        let wrong: Vec<String> = failed.chain(left).collect();
        let (tone, how) = if stage.clean {
            (Tone::Plain, "clean".to_string())
        } else {
            (Tone::Failed, format!("NOT CLEAN: {}", wrong.join(", ")))
        };
        out.add(tone, format!("  {}: {how}", stage.summary));
    }
}

/// In which strength it is clean.
fn strength(out: &mut Lines, d: &Debrief) {
    if d.ended != Some(Ending::Clean) {
        return;
    }
    let leaner = "with the high-speed needle 1/8 and the low-speed needle 1/24 leaner";
    match &d.leaner {
        Some(report) if !report.clean => {
            let failed: Vec<String> = report.failed().into_iter().map(check::check_name).collect();
            out.plain(format!(
                "  race-clean, not safe-clean: {leaner}, as a lower tank or a colder hour makes it, it fails {}",
                failed.join(", ")
            ));
        }
        _ => out.plain(format!("  race-clean and safe-clean: it stays clean {leaner}")),
    }
}

/// Which end failed, and what to do about it.
fn what_failed(out: &mut Lines, d: &Debrief) {
    if d.failed_ends.is_empty() && d.left_at_fault.is_empty() {
        return;
    }
    out.heading("What failed");
    for part in &d.left_at_fault {
        out.add(
            Tone::Failed,
            format!(
                "  not the mixture: `fix {}` was left undone, and no needle cures that",
                part.word()
            ),
        );
    }
    for end in &d.failed_ends {
        out.add(Tone::Failed, failed(end));
    }
}

fn checks(out: &mut Lines, d: &Debrief) {
    let (heading, report) = match (&d.sign_off, &d.as_left) {
        (Some(report), _) => ("The checks", report),
        (None, Some(report)) => (
            "The checks, as a sign-off would have met them where you left the screws",
            report,
        ),
        (None, None) => return,
    };
    out.heading(heading);
    for found in &report.checks {
        let (tone, verdict) = if found.pass {
            (Tone::Plain, "passed")
        } else {
            (Tone::Failed, "FAILED")
        };
        out.add(tone, format!("  {verdict}  {}", check::told(found, report.bog)));
    }
    for worth in &report.warnings {
        out.plain(format!("  note    {}", warning(worth, Degrees::Celsius)));
    }
    if let Some(why) = &d.explained {
        super::explain::commands(why)
            .into_iter()
            .for_each(|line| out.plain(line));
    }
}

fn screws(out: &mut Lines, d: &Debrief) {
    out.heading("The screws (against where they stood at the start, in turns)");
    for end in &d.screws {
        let (plus, minus) = match end.screw {
            Screw::Idle => ("in", "out"),
            Screw::High | Screw::Low => ("out", "in"),
        };
        out.plain(format!(
            "  {:18} you ended at {:>7}; the true setting was at {:>7}   (+ {plus}, - {minus})",
            end.screw.name(),
            turns(end.left_turns),
            turns(end.true_turns)
        ));
    }
    let path: Vec<String> = d
        .path
        .iter()
        .map(|at| {
            format!(
                "{}/{}/{}",
                turns(at.high_turns),
                turns(at.low_turns),
                turns(at.idle_turns)
            )
        })
        .collect();
    out.plain(format!("  path (high/low/idle): {}", path.join("  ")));
    out.plain(format!(
        "  in the jug: {:.1} % nitro, {:.1} % oil; at the start the screws were open by {:.2}, {:.2}, {:.2} turns",
        d.jug.nitro_percent, d.jug.oil_percent, d.start.high_turns, d.start.low_turns, d.start.idle_turns
    ));
}

fn par(out: &mut Lines, d: &Debrief) {
    out.plain("");
    match d.par {
        None => out.plain("Par, knowing the truth: being worked out"),
        Some(par) => out.plain(format!(
            "Par, knowing the truth: {}, {:.2} turns of rotation, {}. You: {}, {:.2}, {}.",
            counted(par.turns, "needle adjustment"),
            par.rotation_turns,
            counted(par.idle_trims, "idle-stop trim"),
            d.score.turns,
            d.score.rotation_turns,
            d.score.idle_trims
        )),
    }
}

/// How it could have been done in fewer turns.
fn fewer(out: &mut Lines, d: &Debrief) {
    if d.next() <= Piece::Par {
        out.plain("The coach, knowing no more than you did: being played");
    } else if let Some(score) = &d.coached {
        out.plain(coached(score));
    }
    for end in &d.screws {
        out.0.extend(in_few_turns(end));
    }
    if d.score.lean.needles_s > 1.0 {
        out.plain(
            "Lean seconds count before turns: come to a setting from its rich side, and listen after every turn in.",
        );
    }
    if d.score.lean.starved_s > 1.0 {
        out.plain("Lean seconds that no needle made: look at tank, lines and seals before you give fuel to hide them.");
    }
}

/// What the coach needs.
fn coached(score: &Score) -> String {
    let end = match (score.unharmed, score.clean) {
        (false, _) => "and loses the engine",
        (true, true) => "and ends clean",
        (true, false) => "and does not end clean",
    };
    format!(
        "The coach, knowing no more than you did: {}, {:.2} turns of rotation, {}, {:.0} minutes, {:.1} s too lean, {end}.",
        counted(score.turns, "needle adjustment"),
        score.rotation_turns,
        counted(score.idle_trims, "idle-stop trim"),
        score.minutes,
        score.lean_s
    )
}

/// How far a needle had to go, where that was far: out at once, for rich is the safe side; in by steps.
fn in_few_turns(end: &ScrewEnd) -> Option<Told> {
    let far = end.screw != Screw::Idle && end.true_turns.abs() > 1.0 / 12.0;
    let way = if end.true_turns < 0.0 {
        leaning(end.true_turns)
    } else {
        format!(
            "out by {}, and that in one turn: rich is the safe side",
            fraction(end.true_turns)
        )
    };
    far.then(|| Told {
        tone: Tone::Plain,
        text: format!("In fewer: the {} had to go {way}.", end.screw.name()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practise::session::{Level, Session};
    use crate::tuning::action::Action;
    use crate::tuning::episode::ALL_HEARD;
    use crate::tuning::scenario::{Scenario, source};

    #[test]
    fn what_is_still_being_made_says_so_and_the_rest_is_there() {
        let mut scenario = Scenario::read(&source("lesson-1").unwrap()).unwrap();
        (scenario.fault.chance_percent, scenario.fault.air_leak_mm2) = (100.0, 0.3);
        let mut session = Session::start(scenario, Level::ByEar, 3, 0).unwrap();
        session.act(&Action::Start).unwrap();
        ALL_HEARD.iter().for_each(|action| _ = session.act(action).unwrap());
        session.act(&Action::SignOff).unwrap();
        let mut d = Debrief::begin(&session);
        let has = |d: &Debrief, text: &str| debrief(d).contains(text);
        for pending in [
            "The map\n  being drawn, 0 % done\n",
            "truth: being worked out",
            "did: being played",
        ] {
            assert!(has(&d, pending), "{pending}");
        }
        assert!(has(&d, "NOT CLEAN") && has(&d, "The checks") && has(&d, "What this teaches"));
        d.finish(&session, |_| {});
        assert!(!has(&d, "being") && has(&d, "* the true setting") && has(&d, "did: "));
        let told = told(&d);
        let failed: Vec<&Told> = told.iter().filter(|line| line.tone == Tone::Failed).collect();
        let checks = d.sign_off.as_ref().map_or(0, |report| report.failed().len());
        assert_eq!(failed.len(), checks + d.failed_ends.len() + 1, "the leak was left, too");
        assert_eq!(told[0].tone, Tone::Heading);
    }

    /// A debrief of a practice left at once, which a test then makes into another.
    fn left() -> Debrief {
        let scenario = Scenario::read(&source("lesson-1").unwrap()).unwrap();
        let mut session = Session::start(scenario, Level::ByEar, 3, 0).unwrap();
        session.act(&Action::Leave).unwrap();
        let mut d = Debrief::begin(&session);
        d.as_left = Some(session.episode().as_left());
        d
    }

    #[test]
    fn a_lost_engine_is_told_what_took_its_life_and_how_to_spare_the_next() {
        let mut d = left();
        d.ended = Some(Ending::Lost);
        (d.score.wear.detonation, d.score.wear.revving) = (0.9, 0.1);
        let text = debrief(&d);
        for words in [
            "ENGINE LOST",
            "what took its life: knocking under load 90 %, revving with the wheels up 10 %",
            "shut the throttle at the first crackle",
            "where you left the screws",
            "FAILED",
        ] {
            assert!(text.contains(words), "{words}\n{text}");
        }
    }

    #[test]
    fn a_clean_setting_is_told_in_which_strength_it_is_clean() {
        let mut d = left();
        d.ended = Some(Ending::Clean);
        let mut report = d.as_left.clone().unwrap();
        assert!(!report.clean);
        d.leaner = Some(report.clone());
        let text = debrief(&d);
        assert!(
            text.contains("race-clean, not safe-clean") && text.contains("it fails "),
            "{text}"
        );
        report.clean = true;
        d.leaner = Some(report);
        assert!(debrief(&d).contains("race-clean and safe-clean"));
    }

    /// A beginner who does what the debrief says never leans a needle far in one go.
    #[test]
    fn a_long_way_in_is_told_in_steps_and_a_long_way_out_at_once() {
        let end = |true_turns| ScrewEnd {
            screw: Screw::High,
            left_turns: 0.0,
            true_turns,
        };
        let told = |turns| in_few_turns(&end(turns)).map(|told| told.text);
        assert!(told(-0.5).unwrap().contains("an eighth at a time at most"));
        assert!(told(0.5).unwrap().contains("out by 1/2, and that in one turn"));
        assert_eq!(told(0.02), None);
    }
}
