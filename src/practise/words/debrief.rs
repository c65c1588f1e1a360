//! The debrief in plain words, line by line, each with its tone; what is still being made says so.

use super::check::{self, Degrees};
use super::map::map;
use super::{fraction, short, turns, verdict, warning};
use crate::practise::debrief::{Debrief, Piece, ScrewEnd};
use crate::tuning::action::Screw;
use crate::tuning::episode::Ending;
use crate::tuning::score::{Judgement, Score};

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
    costs(&mut out, &d.score);
    par(&mut out, d);
    if d.ended.is_some_and(Ending::terminated) {
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

fn checks(out: &mut Lines, d: &Debrief) {
    if let Some(report) = &d.sign_off {
        out.heading("The checks");
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
    }
    for part in &d.left_at_fault {
        out.add(
            Tone::Failed,
            format!("  FAILED  not the mixture: `fix {}` was left undone", part.word()),
        );
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

fn costs(out: &mut Lines, score: &Score) {
    out.heading("The score, in the order in which it counts");
    let harm = if !score.unharmed {
        "lost".to_string()
    } else if score.damage < 0.01 {
        "unharmed".to_string()
    } else {
        format!("alive, {:.0} % of its life gone", 100.0 * score.damage)
    };
    out.plain(format!("  engine            {harm}"));
    out.plain(format!(
        "  too lean          {:.1} s, entered {} times",
        score.lean_s, score.lean_crossings
    ));
    out.plain(format!(
        "  clean             {}",
        if score.clean { "yes" } else { "no" }
    ));
    out.plain(format!(
        "  turns             {} needle adjustments; beside them {} idle-stop trims",
        score.turns, score.idle_trims
    ));
    out.plain(format!("  rotation          {:.2} turns", score.rotation_turns));
    out.plain(format!("  fuel              {:.1} g", score.fuel_g));
    out.plain(format!("  time              {:.1} min", score.minutes));
    if score.cures > 0 {
        out.plain(format!(
            "  put right         {} parts, {} of them in vain; {} €",
            score.cures, score.cures_in_vain, score.cures_euros
        ));
    }
    if let Some(right) = score.first_turn_right {
        let way = if right {
            "in the right direction"
        } else {
            "in the wrong direction, or not needed"
        };
        out.plain(format!("  first turn        {way}"));
    }
    score.judgements.iter().for_each(|j| out.plain(judgement(j)));
}

fn judgement(j: &Judgement) -> String {
    format!(
        "  judgement         {} end: you said {} ({} %), it was {}: Brier score {:.2} (0 best, 2 worst){}",
        short(j.end),
        verdict(j.said),
        j.sure_percent,
        verdict(j.was),
        j.brier(),
        if j.readable {
            ""
        } else {
            "; judged cold or not cleared out"
        }
    )
}

fn counted(count: u32, what: &str) -> String {
    format!("{what}{}", if count == 1 { "" } else { "s" })
}

fn par(out: &mut Lines, d: &Debrief) {
    out.plain("");
    match d.par {
        None => out.plain("Par, knowing the truth: being worked out"),
        Some(par) => out.plain(format!(
            "Par, knowing the truth: {} needle {}, {:.2} turns of rotation, {} idle-stop {}. You: {}, {:.2}, {}.",
            par.turns,
            counted(par.turns, "adjustment"),
            par.rotation_turns,
            par.idle_trims,
            counted(par.idle_trims, "trim"),
            d.score.turns,
            d.score.rotation_turns,
            d.score.idle_trims
        )),
    }
}

/// How it could have been done in fewer turns.
fn fewer(out: &mut Lines, d: &Debrief) {
    if d.next() <= Piece::Book {
        out.plain("By the book, knowing no more than you did: being played");
    } else if let Some(book) = &d.by_the_book {
        out.plain(by_the_book(book));
    }
    for end in &d.screws {
        out.0.extend(in_one_turn(end));
    }
    if d.score.lean_s > 1.0 {
        out.plain(
            "Lean seconds count before turns: come to a setting from its rich side, and look at the plug after laps.",
        );
    }
    if let Some(brier) = d.brier {
        out.plain(format!(
            "Your judgements before the first turn: mean Brier score {brier:.2} (0 best; 0.67 is knowing nothing and saying so)."
        ));
    }
}

/// What the book needs.
fn by_the_book(book: &Score) -> String {
    let end = match (book.unharmed, book.clean) {
        (false, _) => "and loses the engine",
        (true, true) => "and ends clean",
        (true, false) => "and does not end clean",
    };
    format!(
        "By the book, knowing no more than you did: {} needle {}, {:.2} turns of rotation, {} idle-stop {}, {:.0} minutes, {:.1} s \
         too lean, {end}.",
        book.turns,
        counted(book.turns, "adjustment"),
        book.rotation_turns,
        book.idle_trims,
        counted(book.idle_trims, "trim"),
        book.minutes,
        book.lean_s
    )
}

/// How far a needle had to go, where that was far.
fn in_one_turn(end: &ScrewEnd) -> Option<Told> {
    let far = end.screw != Screw::Idle && end.true_turns.abs() > 1.0 / 12.0;
    far.then(|| Told {
        tone: Tone::Plain,
        text: format!(
            "In fewer: the {} had to go {} by {} in all; one turn of that size, then a trim, does what many small ones did.",
            end.screw.name(),
            if end.true_turns < 0.0 { "in" } else { "out" },
            fraction(end.true_turns)
        ),
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
        assert_eq!(failed.len(), checks + 1, "the leak was left, too");
        assert_eq!(told[0].tone, Tone::Heading);
    }
}
