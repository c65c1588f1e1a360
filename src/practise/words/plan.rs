//! A plan for another fuel or weather in plain words, line by line, as it is printed on one page: the moves, the rich start, the order of
//! work and what to look for at each step, how sure it is, what else could be changed, and the cautions.

use super::action::{effect, way_of_turns};
use super::check::{Degrees, check_name, warning};
use super::number::clicks;
use super::work::told;
use crate::bench::checks::{Failed, Unit, Warning};
use crate::engine::params::Setting;
use crate::fluids::air::Weather;
use crate::insight::change::unknown::{NITRO_TOLERANCE_PERCENT, OIL_TOLERANCE_PERCENT, OIL_VISCOSITY_SHARE};
use crate::insight::change::{Lever, Move, Part, Place, Plan, RichStart};
use crate::tuning::action::Screw;

/// What a line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// What the page is about.
    Title,
    /// What the lines under it are about.
    Heading,
    /// Anything else.
    Text,
}

/// A line of a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What it is.
    pub kind: Kind,
    /// Its words.
    pub text: String,
}

/// The cautions that stand under every plan.
pub const CAUTIONS: [&str; 4] = [
    "Never lean an engine by numbers alone: the simulator teaches; the real engine, its maker's instructions, the fuel's data sheet, the \
     club's and local rules decide.",
    "Methanol is poisonous by breath, skin and mouth (REL 200 ppm, IDLH 6000 ppm: NIOSH) and burns with a nearly invisible flame; \
     nitromethane is hazardous (PEL 100 ppm: OSHA; IDLH 750 ppm: NIOSH) and sensitised by amines.",
    "Exhaust has carbon monoxide: run outdoors. 85 dB(A) is the limit over 8 hours, 100 dB(A) over 15 minutes (NIOSH): protect your \
     hearing.",
    "Hot head and pipe, spinning flywheel and wheels.",
];

/// Words broken into lines of at most so many letters; what follows the first is set in a little further than the first begins.
pub fn broken(text: &str, most: usize) -> Vec<String> {
    if text.chars().count() <= most {
        return vec![text.to_string()];
    }
    let indent: String = text.chars().take_while(|c| *c == ' ').collect();
    let mut lines: Vec<String> = Vec::new();
    let mut line = indent.clone();
    for word in text.split_whitespace() {
        let begun = !line.trim().is_empty();
        if begun && line.chars().count() + 1 + word.chars().count() > most {
            lines.push(std::mem::replace(&mut line, format!("{indent}  {word}")));
        } else {
            line += if begun { " " } else { "" };
            line += word;
        }
    }
    lines.push(line);
    lines
}

/// The lines of a page as they are written.
pub(super) struct Page(pub Vec<Line>);

impl Page {
    pub fn add(&mut self, kind: Kind, text: impl Into<String>) {
        self.0.push(Line {
            kind,
            text: text.into(),
        });
    }

    pub fn text(&mut self, text: impl Into<String>) {
        self.add(Kind::Text, text);
    }
}

/// An end of a change: what the engine runs on, and the weather.
pub fn place(place: &Place, degrees: Degrees) -> String {
    format!("{}, {}", place.models.fuel.name, weather(&place.weather, degrees))
}

/// A weather in few words.
pub fn weather(weather: &Weather, degrees: Degrees) -> String {
    format!(
        "{:.0} {}, {:.0} hPa, {:.0} % humidity",
        degrees.value(weather.temperature_c, Unit::Celsius),
        degrees.unit(Unit::Celsius),
        weather.pressure_hpa,
        weather.humidity_percent
    )
}

/// What fails, in a row. Of an engine that died it is said that it died, and nothing is named that could not be measured any more.
pub fn fails(failed: &Failed) -> String {
    let measured = failed.measured();
    let names: Vec<String> = measured.iter().map(|name| check_name(*name)).collect();
    let names = names.join(", ");
    match (failed.unmeasured.is_empty(), measured.is_empty()) {
        (true, _) => format!("fails {names}"),
        (false, true) => "dies in the checks".to_string(),
        (false, false) => format!("dies in the checks, and where it was measured fails {names}"),
    }
}

/// A move: `out 1/2 turn (12 clicks), likely 10 to 14`.
pub fn movement(m: &Move) -> String {
    if clicks(m.turns) == 0 {
        return "stays".to_string();
    }
    let (low, high) = if m.turns < 0.0 {
        (-m.most_turns, -m.least_turns)
    } else {
        (m.least_turns, m.most_turns)
    };
    let leave = if m.worth_turning { "" } else { "; not worth turning" };
    let count = clicks(m.turns.abs());
    let least = if clicks(low) < 0 {
        format!("{} the other way", -clicks(low))
    } else {
        clicks(low).to_string()
    };
    format!(
        "{}{}, {count} click{} of 1/24 (by what is not known {least} to {}){leave}",
        way_of_turns(m.screw, m.turns),
        effect(m.screw, m.turns).map_or(String::new(), |effect| format!(" ({effect})")),
        if count == 1 { "" } else { "s" },
        clicks(high)
    )
}

/// Openings, high/low/idle stop.
pub(super) fn setting(setting: Setting) -> String {
    format!(
        "{:.2}/{:.2}/{:.2}",
        setting.high_turns, setting.low_turns, setting.idle_turns
    )
}

/// The page of a plan from one place to another with the engine of that name.
pub fn plan(plan: &Plan, from: &Place, to: &Place, degrees: Degrees) -> Vec<Line> {
    let mut page = Page(Vec::new());
    page.add(
        Kind::Title,
        format!(
            "A change for {}: plan from the model, seed {}",
            to.models.engine.name, plan.seed
        ),
    );
    page.text(format!("from  {}", self::place(from, degrees)));
    page.text(format!("to    {}", self::place(to, degrees)));
    if from.models.plug != to.models.plug {
        page.text(format!("plug  {} to {}", from.models.plug.name, to.models.plug.name));
    }
    if from.models.engine != to.models.engine {
        page.text("Another engine: openings don't carry from one to the other; take its maker's setting, then the order of work.");
    }
    if !plan.before.clean {
        page.text(format!(
            "No clean setting was found before the change (it {}): the moves start from the nearest.",
            fails(&plan.before.failed)
        ));
    }
    if !plan.is_clean() {
        page.add(Kind::Heading, "No clean setting is in reach");
        page.text(format!(
            "The nearest that was found, at {} turns (high/low/idle stop), {}.",
            setting(plan.after.setting),
            fails(&plan.after.failed)
        ));
        page.text("So no turn of these screws makes it right: change the fuel, the plug or the head's shim, or wait for other weather.");
        return page.0;
    }
    page.add(Kind::Heading, "From where the screws stand");
    let same_engine = from.models.engine == to.models.engine;
    for m in plan.moves.iter().filter(|_| same_engine) {
        page.text(format!("{:17}  {}", m.screw.name(), movement(m)));
    }
    let rich = plan
        .rich_start
        .map_or(String::new(), |rich| format!("; rich start {}", setting(rich.setting)));
    page.text(format!(
        "In the model's openings (high/low/idle stop, turns): stands {}; clean {}{rich}.",
        setting(plan.stands),
        setting(plan.after.setting)
    ));
    as_it_stands(&mut page, plan);
    if !plan.after.failed_from_laps.is_empty() {
        page.text(format!(
            "Clean as checked at running warmth; as it comes in from laps in this weather it {}.",
            fails(&plan.after.failed_from_laps)
        ));
    }
    if let (Some(rich), false) = (&plan.rich_start, plan.nothing_worth_turning()) {
        rich_start(&mut page, rich);
    }
    if let Some(work) = &plan.work {
        page.add(Kind::Heading, "Order of work, and what to look for (common practice)");
        for (number, step) in (1..).zip(&work.steps) {
            let [what, look] = told(step, work);
            page.text(format!("{number}. {what}"));
            page.text(format!("   {look}"));
        }
    }
    how_sure(&mut page, plan);
    page.add(
        Kind::Heading,
        "Other levers, at the clean setting after the change, needles to the same mixture",
    );
    for lever in &plan.levers {
        page.text(self::lever(lever));
    }
    page.text("The model has no head shape, no pipe length, no cooling head; an insert narrows its idle, too, which a real one does not.");
    page.add(Kind::Heading, "Cautions");
    for warned in &plan.after.report.warnings {
        if let Warning::LittleOil { .. } = warned {
            page.text(warning(warned, degrees));
        }
    }
    for caution in CAUTIONS {
        page.text(caution);
    }
    page.0
}

fn as_it_stands(page: &mut Page, plan: &Plan) {
    if plan.nothing_worth_turning() {
        page.text("Nothing is worth turning: it is clean as it stands, and no move is as large as a hand can tell. Listen, and leave it.");
    } else if plan.as_it_stands_failed.is_empty() {
        page.text("It would still pass as it stands; the moves bring it back to the middle of what is clean.");
    } else {
        page.text(format!("Left as it stands it {}.", fails(&plan.as_it_stands_failed)));
    }
}

fn rich_start(page: &mut Page, rich: &RichStart) {
    page.add(
        Kind::Heading,
        "Start rich: richer at both ends than the clean setting of every case considered",
    );
    for (screw, turns) in Screw::ALL.into_iter().zip(rich.turns_from_here) {
        let told = if clicks(turns) == 0 {
            "stays where it stands".to_string()
        } else {
            format!("{} from where it stands", way_of_turns(screw, turns))
        };
        page.text(format!("{:17}  {told}", screw.name()));
    }
    let [full, idle] = rich.richer_percent;
    page.text(format!(
        "There it meters {full:.0} % more fuel wide open and {idle:.0} % more at idle than at the clean setting; {}.",
        if rich.idle_rpm > 0.0 {
            format!("it idles at some {:.0} rpm", rich.idle_rpm.round())
        } else {
            "it does not idle by itself: keep it alive with the throttle, or open the idle stop".to_string()
        }
    ));
    if rich.leaner_than_it_stands {
        page.text("As the screws stand it would load up and die: they go in this far before the start.");
    }
}

fn how_sure(page: &mut Page, plan: &Plan) {
    page.add(Kind::Heading, "How sure");
    page.text(format!(
        "The spread counts {}, and nothing else.",
        plan.spread_covers.join(", ")
    ));
    page.text(format!(
        "Label: nitromethane {NITRO_TOLERANCE_PERCENT} %, oil {OIL_TOLERANCE_PERCENT} % off; oil {:.0} % off the book; rules: by volume, mass, moles.",
        100.0 * OIL_VISCOSITY_SHARE
    ));
    let largest = |k: usize| {
        let span = |turns: [[f64; 2]; 3]| turns[k][1] - turns[k][0];
        plan.doubts
            .iter()
            .max_by(|a, b| span(a.turns).total_cmp(&span(b.turns)))
            .filter(|doubt| clicks(span(doubt.turns)) > 0)
            .map(|doubt| doubt.cause.covers())
    };
    match (largest(0), largest(1)) {
        (Some(high), Some(low)) if high == low => page.text(format!("Most of it comes from one cause: {high}.")),
        (Some(high), Some(low)) => page.text(format!("Most of it comes from: {high} (high end), {low} (low end).")),
        _ => {}
    }
}

/// A difference in tenths with its sign; nothing has none.
fn signed(value: f64) -> String {
    let tenths = (10.0 * value).round() / 10.0;
    if tenths == 0.0 {
        "0.0".to_string()
    } else {
        format!("{tenths:+.1}")
    }
}

/// A lever in one line.
pub fn lever(lever: &Lever) -> String {
    let name = match &lever.part {
        Part::Shim {
            shim_mm,
            compression_ratio,
        } => {
            let what = if *shim_mm > 0.0 { "more" } else { "less" };
            format!(
                "{:.1} mm of shim {what} (compression {compression_ratio:.2})",
                shim_mm.abs()
            )
        }
        Part::Plug { plug } => format!("plug: {plug}"),
        Part::Insert { bore_share } => format!("insert, bore {:.0} % of the throat", 100.0 * bore_share),
    };
    let effect = match (lever.power_percent, lever.head_k, lever.fuel_percent) {
        (Some(power), Some(head), Some(fuel)) => {
            let knock = lever.detonation_index.filter(|index| *index >= 0.005);
            let knock = knock.map_or(String::new(), |index| format!(", detonation index {index:.2}"));
            format!(
                "power {} %, head {} K, fuel {} %{knock}",
                signed(power),
                signed(head),
                signed(fuel)
            )
        }
        _ => "the engine does not run".to_string(),
    };
    let clean = if lever.failed.is_empty() {
        "clean".to_string()
    } else {
        fails(&lever.failed)
    };
    format!("{name:40} {effect}; {clean}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::checks::CheckName;

    #[test]
    fn of_an_engine_that_died_only_what_was_measured_is_named() {
        let told = |unmeasured: &[CheckName]| {
            fails(&Failed {
                checks: vec![CheckName::FullPower, CheckName::IdleSpeed],
                unmeasured: unmeasured.to_vec(),
            })
        };
        assert_eq!(told(&[]), "fails full power, idle speed");
        assert_eq!(
            told(&[CheckName::FullPower]),
            "dies in the checks, and where it was measured fails idle speed"
        );
        assert_eq!(
            told(&[CheckName::FullPower, CheckName::IdleSpeed]),
            "dies in the checks"
        );
    }

    #[test]
    fn no_line_is_longer_than_there_is_room_and_no_word_is_lost() {
        let text = "   one two three four five six seven";
        let lines = broken(text, 14);
        assert!(
            lines.len() > 2 && lines.iter().all(|line| line.chars().count() <= 14),
            "{lines:?}"
        );
        let words: Vec<&str> = lines.iter().flat_map(|line| line.split_whitespace()).collect();
        assert_eq!(words, text.split_whitespace().collect::<Vec<_>>());
        assert!(lines.iter().all(|line| line.starts_with("   ")));
        assert_eq!(broken("a  table   stays", 20), ["a  table   stays"]);
    }

    #[test]
    fn nothing_has_a_sign_of_its_own() {
        assert_eq!(
            [signed(-0.04), signed(0.0), signed(1.96), signed(-2.0)],
            ["0.0", "0.0", "+2.0", "-2.0"]
        );
    }
}
