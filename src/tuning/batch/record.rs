//! What a practice in batch came to, as one row of a table: the study it belongs to, who played which hidden engine, and the score. A
//! row that is written and read again is the same to the bit, so a report made from a file is the one made on the run.

use super::playing::{End, Practice};
use super::study::{Study, skill_name};
use crate::tuning::human::Skill;
use crate::tuning::score::{FirstTurn, Score};

/// One practice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Record {
    /// Number of the hidden engine, through all situations in turn.
    pub engine: u64,
    /// How practised who plays.
    pub skill: Skill,
    /// Who plays: the place among the study's entrants.
    pub entrant: usize,
    /// How it ended; none where no practice could be drawn.
    pub end: Option<End>,
    /// What it came to.
    pub outcome: Outcome,
}

/// The score of a practice, and what it took.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Outcome {
    /// Needle turns.
    pub turns: u32,
    /// Idle-stop trims.
    pub idle_trims: u32,
    /// Rotation of the needles, turns.
    pub rotation_turns: f64,
    /// Seconds too lean.
    pub lean_s: f64,
    /// Times it went from safe to too lean.
    pub lean_crossings: u32,
    /// Fuel, g.
    pub fuel_g: f64,
    /// Minutes on the clock.
    pub minutes: f64,
    /// Wear; 100 % is a lost engine.
    pub wear_percent: f64,
    /// Still clean a little leaner.
    pub safe_clean: bool,
    /// Which way the first turn of a needle went; none without one.
    pub first_turn: Option<FirstTurn>,
    /// Parts put right.
    pub cures: u32,
    /// Actions.
    pub actions: u32,
    /// Par, needle turns; none where it was not sought.
    pub par_turns: Option<u32>,
    /// Revolutions of the engine.
    pub revolutions: u64,
}

/// The columns of the table.
pub const COLUMNS: [&str; 21] = [
    "study",
    "engine",
    "scenario",
    "episode",
    "skill",
    "strategy",
    "end",
    "turns",
    "idle_trims",
    "rotation_turns",
    "lean_s",
    "lean_crossings",
    "fuel_g",
    "minutes",
    "wear_percent",
    "safe_clean",
    "first_turn",
    "cures",
    "actions",
    "par_turns",
    "revolutions",
];

/// A row's end where no practice could be drawn.
const NO_PRACTICE: &str = "no-practice";

/// The names of all ends.
const ENDS: [(End, &str); 10] = [
    (End::Clean, "clean"),
    (End::NotClean, "not-clean"),
    (End::Lost, "lost"),
    (End::OutOfTime, "out-of-time"),
    (End::OutOfActions, "out-of-actions"),
    (End::NothingProposed, "nothing-proposed"),
    (End::TunerDied, "tuner-died"),
    (End::TunerSilent, "tuner-silent"),
    (End::TunerUnreadable, "tuner-unreadable"),
    (End::TunerFlooded, "tuner-flooded"),
];

const FIRST_TURNS: [(FirstTurn, &str); 3] = [
    (FirstTurn::Right, "right"),
    (FirstTurn::WrongWay, "wrong-way"),
    (FirstTurn::NotNeeded, "not-needed"),
];

fn name<T: Copy + PartialEq>(of: T, names: &[(T, &'static str)]) -> &'static str {
    names
        .iter()
        .find(|(value, _)| *value == of)
        .map_or("", |(_, name)| name)
}

fn named<T: Copy>(word: &str, names: &[(T, &'static str)]) -> Option<T> {
    names.iter().find(|(_, name)| *name == word).map(|(value, _)| *value)
}

impl End {
    /// Its name in files.
    pub fn key(self) -> &'static str {
        name(self, &ENDS)
    }
}

/// What is left of a practice that has been played.
#[derive(Clone, Debug)]
pub struct Played {
    end: Option<End>,
    score: Score,
    actions: u32,
    revolutions: u64,
}

impl Played {
    /// Of a practice.
    pub fn of<T>(practice: &Practice<T>) -> Self {
        Self {
            end: practice.end,
            score: practice.episode.score(),
            actions: practice.actions,
            revolutions: practice.revolutions,
        }
    }
}

impl Record {
    /// Of a practice that has been played.
    pub fn of(played: &Played, engine: u64, skill: Skill, entrant: usize, par_turns: Option<u32>) -> Self {
        let score = &played.score;
        Self {
            engine,
            skill,
            entrant,
            end: played.end,
            outcome: Outcome {
                turns: score.turns,
                idle_trims: score.idle_trims,
                rotation_turns: score.rotation_turns,
                lean_s: score.lean_s,
                lean_crossings: score.lean_crossings,
                fuel_g: score.fuel_g,
                minutes: score.minutes,
                wear_percent: 100.0 * score.damage,
                safe_clean: score.safe_clean,
                first_turn: score.first_turn,
                cures: score.cures,
                actions: played.actions,
                par_turns,
                revolutions: played.revolutions,
            },
        }
    }

    /// Its row in the table of a study of that identity.
    pub fn row(&self, study: &Study, identity: u64) -> String {
        let (scenario, episode) = study.engine(self.engine);
        let o = &self.outcome;
        let head = format!(
            "{identity:016x},{},{},{episode},{},{}",
            self.engine,
            study.scenarios[scenario].name,
            skill_name(self.skill),
            study.entrants[self.entrant].label
        );
        let Some(end) = self.end else {
            return format!("{head},{NO_PRACTICE},,,,,,,,,,,,,,");
        };
        format!(
            "{head},{},{},{},{},{},{},{},{},{},{},{},{},{},{},{}",
            end.key(),
            o.turns,
            o.idle_trims,
            o.rotation_turns,
            o.lean_s,
            o.lean_crossings,
            o.fuel_g,
            o.minutes,
            o.wear_percent,
            u8::from(o.safe_clean),
            o.first_turn.map_or("", |turn| name(turn, &FIRST_TURNS)),
            o.cures,
            o.actions,
            o.par_turns.map_or(String::new(), |turns| turns.to_string()),
            o.revolutions,
        )
    }

    /// Reads a row back; what is wrong with it if it is none of this study.
    ///
    /// # Errors
    /// What is wrong, in words.
    pub fn read(row: &str, study: &Study, identity: u64) -> Result<Self, String> {
        let cells: Vec<&str> = row.split(',').collect();
        if cells.len() != COLUMNS.len() {
            return Err(format!("{} cells where a row has {}", cells.len(), COLUMNS.len()));
        }
        let cell = |column: &str| {
            let at = COLUMNS.iter().position(|name| *name == column);
            at.map_or("", |at| cells[at])
        };
        let nothing = |column: &str| format!("`{}` is no {column}", cell(column).escape_debug());
        if cell("study") != format!("{identity:016x}") {
            return Err(format!(
                "it is of study {}, and this one is {identity:016x}",
                cell("study").escape_debug()
            ));
        }
        let whole = |column: &str| cell(column).parse::<u64>().map_err(|_| nothing(column));
        let small = |column: &str| cell(column).parse::<u32>().map_err(|_| nothing(column));
        let number = |column: &str| {
            let read = cell(column).parse::<f64>().ok().filter(|value| value.is_finite());
            read.ok_or_else(|| nothing(column))
        };
        let engine = whole("engine")?;
        if engine >= study.engines() {
            return Err(nothing("engine"));
        }
        let entrant = study.entrants.iter().position(|e| e.label == cell("strategy"));
        let skill = Skill::ALL.into_iter().find(|skill| skill_name(*skill) == cell("skill"));
        let head = Self {
            engine,
            skill: skill.ok_or_else(|| nothing("skill"))?,
            entrant: entrant.ok_or_else(|| nothing("strategy"))?,
            end: None,
            outcome: Outcome::default(),
        };
        if cell("end") == NO_PRACTICE {
            return Ok(head);
        }
        Ok(Self {
            end: Some(named(cell("end"), &ENDS).ok_or_else(|| nothing("end"))?),
            outcome: Outcome {
                turns: small("turns")?,
                idle_trims: small("idle_trims")?,
                rotation_turns: number("rotation_turns")?,
                lean_s: number("lean_s")?,
                lean_crossings: small("lean_crossings")?,
                fuel_g: number("fuel_g")?,
                minutes: number("minutes")?,
                wear_percent: number("wear_percent")?,
                safe_clean: cell("safe_clean") == "1",
                first_turn: named(cell("first_turn"), &FIRST_TURNS),
                cures: small("cures")?,
                actions: small("actions")?,
                par_turns: cell("par_turns").parse().ok(),
                revolutions: whole("revolutions")?,
            },
            ..head
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::Source;
    use crate::tuning::batch::study::STUDIES;

    fn study() -> Study {
        Study::read(&Source::new(STUDIES[0].path, STUDIES[0].text)).unwrap()
    }

    fn record(end: Option<End>) -> Record {
        Record {
            engine: 17,
            skill: Skill::Club,
            entrant: 0,
            end,
            outcome: end.map_or(Outcome::default(), |_| Outcome {
                turns: 3,
                idle_trims: 2,
                rotation_turns: 0.1 + 0.2,
                lean_s: 1.0 / 3.0,
                lean_crossings: 1,
                fuel_g: 54.321,
                minutes: 1e-7,
                wear_percent: 100.0 / 7.0,
                safe_clean: true,
                first_turn: Some(FirstTurn::NotNeeded),
                cures: 4,
                actions: 99,
                par_turns: Some(2),
                revolutions: u64::MAX,
            }),
        }
    }

    #[test]
    fn a_row_is_read_back_to_the_bit() {
        let study = study();
        for end in ENDS.iter().map(|(end, _)| Some(*end)).chain([None]) {
            let record = record(end);
            let row = record.row(&study, 7);
            assert_eq!(row.split(',').count(), COLUMNS.len(), "{row}");
            assert_eq!(Record::read(&row, &study, 7), Ok(record), "{row}");
        }
    }

    #[test]
    fn what_is_no_row_of_this_study_is_named() {
        let study = study();
        let row = record(Some(End::Clean)).row(&study, 7);
        assert!(
            Record::read(&row, &study, 8)
                .unwrap_err()
                .contains("it is of study 0000000000000007")
        );
        for (from, to, what) in [
            (",coach,", ",couch,", "`couch` is no strategy"),
            (",club,", ",clubs,", "`clubs` is no skill"),
            (",clean,3,", ",clean,three,", "`three` is no turns"),
            (",clean,3,", ",cleaned,3,", "`cleaned` is no end"),
            (",54.321,", ",inf,", "`inf` is no fuel_g"),
            (",17,", ",99999999,", "`99999999` is no engine"),
            (",99,", ",", "20 cells where a row has 21"),
        ] {
            assert!(row.contains(from), "{from}");
            let message = Record::read(&row.replacen(from, to, 1), &study, 7).unwrap_err();
            assert!(message.contains(what), "{message}");
        }
    }
}
