//! The ensemble: sets of constants that all show what the reference shows, drawn from what rows and ranges leave open. A file gives for
//! each constant that differs from the reference its value in every set: the laws' once, an engine's own for each engine.
//!
//! A set is applied to models that were read before it, so whatever it does not name stays theirs.

use serde::{Serialize, Serializer};

use crate::config::built_in::{self, BuiltIn};
use crate::config::error::ConfigError;
use crate::config::setup::Models;
use crate::config::source::Source;
use crate::config::table::Table;
use crate::engine::Setup;
use crate::engine::params::{EngineParams, LawParams};
use crate::parameters::{Key, Origin, put};

/// The ensemble that ships with the models.
pub const ENSEMBLE: BuiltIn = BuiltIn {
    name: "ensemble",
    path: "models/ensemble.toml",
    text: include_str!("../../models/ensemble.toml"),
};

/// What was found when it was drawn, as CSV: which constants the rows determine.
pub const DETERMINED: &str = include_str!("../../models/determined.csv");

/// And which measurement on a real engine would narrow which answer.
pub const NEXT: &str = include_str!("../../models/next.csv");

/// Tables and numbers at the top of the file.
const SETS: Key = Key::design("sets", 2.0, 1000.0, "Sets of constants in the file.");
const SEED: Key = Key::design("seed", 0.0, 9_007_199_254_740_992.0, "Seed that they were drawn with.");
const SET: Key = Key::design("set", 1.0, 1000.0, "A set, counted from 1.");
const TOP: &[Key] = &[SETS, SEED];
const LAWS: &str = "laws";
const ENGINE: &str = "engine";
const MISSES: &str = "misses";

/// A design constant that a set may have all the same: where the idle stop's turns are counted from follows from how fast the reference
/// setting shall idle.
const TUNED: &str = "idle_opening_closed";

/// A constant, and its value in every set.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Column {
    /// Its table.
    pub group: &'static str,
    /// What is known of it.
    #[serde(serialize_with = "by_name")]
    pub key: &'static Key,
    /// Its values, a set each.
    pub values: Vec<f64>,
}

fn by_name<S: Serializer>(key: &&'static Key, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(key.name)
}

/// What of the sets is an engine's own.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EngineSets {
    /// The engine.
    pub engine: &'static str,
    /// Its constants.
    pub columns: Vec<Column>,
    /// Rows that it holds by the reference's constants and misses by a set's: none in most.
    pub misses: Vec<Vec<String>>,
}

/// Sets of constants.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ensemble {
    /// How many.
    pub sets: usize,
    /// Seed that they were drawn with.
    pub seed: u64,
    /// The laws' constants.
    pub laws: Vec<Column>,
    /// The engines' own.
    pub engines: Vec<EngineSets>,
}

impl Ensemble {
    /// Tables that only an ensemble has: what tells its file from others.
    pub const OWN_TABLES: [&'static str; 2] = [SETS.name, LAWS];

    /// The one that ships with the models.
    ///
    /// # Errors
    /// A fault of the built-in file, which its test would have shown.
    pub fn built_in() -> Result<Self, ConfigError> {
        Self::read(&Source::new(ENSEMBLE.path, ENSEMBLE.text))
    }

    /// Reads and checks a file.
    ///
    /// # Errors
    /// The first thing in it that is missing, unknown, out of range, or not given for every set.
    pub fn read(source: &Source) -> Result<Self, ConfigError> {
        let root = Table::root(source)?;
        root.only(TOP, &[LAWS, ENGINE])?;
        let sets = whole(&root, &SETS)?;
        let seed = whole(&root, &SEED)? as u64;
        let laws = columns(&root.table(LAWS)?, LawParams::GROUPS, &[], sets)?;
        let (table, known) = (root.table(ENGINE)?, built_in::engine_names());
        let mut engines = Vec::new();
        for name in table.names() {
            let Some(engine) = known.iter().find(|known| **known == name) else {
                return Err(ConfigError::no_such(
                    table.place_of_name(&name),
                    "engine",
                    &name,
                    &known,
                ));
            };
            let own = table.table(&name)?;
            engines.push(EngineSets {
                engine,
                columns: columns(&own, EngineParams::GROUPS, &[MISSES], sets)?,
                misses: misses(&own, sets)?,
            });
        }
        Ok(Self {
            sets,
            seed,
            laws,
            engines,
        })
    }

    /// What the sets say of an engine, by the name in its file.
    pub fn of(&self, engine: &str) -> Option<&EngineSets> {
        self.engines.iter().find(|own| own.engine == engine)
    }

    /// The engine and laws of a set, put into these; false where the file has no such engine or set, and then nothing was changed.
    pub fn apply(&self, engine: &str, set: usize, params: &mut EngineParams, laws: &mut LawParams) -> bool {
        let Some(own) = self.of(engine).filter(|_| set < self.sets) else {
            return false;
        };
        for column in &self.laws {
            put(laws.get_mut(column.group, column.key.name), column.values[set]);
        }
        for column in &own.columns {
            put(params.get_mut(column.group, column.key.name), column.values[set]);
        }
        true
    }

    /// The models with the constants of each set; none where the file does not know the engine.
    pub fn models(&self, reference: &Models) -> Vec<Models> {
        self.each(|set| {
            let mut member = reference.clone();
            let name = &reference.engine.name;
            self.apply(name, set, &mut member.engine.params, &mut member.laws)
                .then_some(member)
        })
    }

    /// Everything that stays constant while an engine runs, by the constants of each set; fuel, weather and faults as they are. None
    /// where the file does not know the engine.
    pub fn setups(&self, engine: &str, setup: &Setup) -> Vec<Setup> {
        self.each(|set| {
            let mut member = *setup;
            self.apply(engine, set, &mut member.engine, &mut member.laws)
                .then_some(member)
        })
    }

    fn each<T>(&self, member: impl Fn(usize) -> Option<T>) -> Vec<T> {
        (0..self.sets).map_while(member).collect()
    }
}

fn whole(table: &Table<'_>, key: &'static Key) -> Result<usize, ConfigError> {
    let value = table.number(key)?;
    if value.fract() != 0.0 {
        return Err(ConfigError::Together {
            place: table.place_of(key.name),
            what: format!("`{}` = {value} is not a whole number", key.name),
            remedy: "write a whole number",
        });
    }
    Ok(value as usize)
}

/// Whether a set may have a constant of its own.
fn open(key: &Key) -> bool {
    key.origin == Origin::assumed || key.name == TUNED
}

/// The constants of some groups, each with a value for every set.
fn columns(
    table: &Table<'_>,
    groups: &'static [(&'static str, &'static [Key])],
    others: &[&str],
    sets: usize,
) -> Result<Vec<Column>, ConfigError> {
    let names: Vec<&str> = groups.iter().map(|(name, _)| *name).collect();
    table.only(&[], &[&names[..], others].concat())?;
    let mut columns = Vec::new();
    for (group, keys) in groups {
        let Some(own) = table.optional_table(group)? else {
            continue;
        };
        own.only(keys, &[])?;
        for key in keys.iter().filter(|key| own.has(key.name)) {
            let values = own.numbers(key)?;
            let wrong = |what: String, remedy| {
                let place = own.place_of(key.name);
                Err(ConfigError::Together { place, what, remedy })
            };
            if !open(key) {
                return wrong(
                    format!("`{}` is known, not assumed: every set has the model's", key.name),
                    "leave it out, and change it in the model's own file",
                );
            }
            if values.len() != sets {
                return wrong(
                    format!("`{}` has {} values, but there are {sets} sets", key.name, values.len()),
                    "give one for each set, in their order, or change `sets`",
                );
            }
            columns.push(Column { group, key, values });
        }
    }
    Ok(columns)
}

/// The rows that each set misses.
fn misses(table: &Table<'_>, sets: usize) -> Result<Vec<Vec<String>>, ConfigError> {
    let mut misses = vec![Vec::new(); sets];
    for missed in table.tables(MISSES)? {
        missed.only(&[SET], &["rows"])?;
        let set = whole(&missed, &SET)?;
        let rows = missed.words_of("rows")?.into_iter().map(|(row, _)| row).collect();
        let Some(of) = misses.get_mut(set - 1) else {
            return Err(ConfigError::Together {
                place: missed.place_of(SET.name),
                what: format!("there is no set {set}: the file has {sets}"),
                remedy: "name one of them, counted from 1",
            });
        };
        *of = rows;
    }
    Ok(misses)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::setup::reference_setup;

    const SMALL: &str = "sets = 2\nseed = 1\n[laws.film]\nshear_per_s = [3, 4.5]\n[engine.\"onroad-2.1\".geometry]\n\
                         pipe_gain = [0.2, 0.25]\n[[engine.\"onroad-2.1\".misses]]\nset = 2\nrows = [\"S5\"]\n";

    fn small() -> Ensemble {
        Ensemble::read(&Source::new("mine.toml", SMALL)).unwrap()
    }

    #[test]
    fn a_set_changes_what_it_names_and_nothing_else() {
        let (engine, setup) = reference_setup("onroad-2.1").unwrap();
        let members = small().setups("onroad-2.1", &setup);
        assert_eq!(members.len(), 2);
        let mut expected = setup;
        expected.laws.film.shear_per_s = 4.5;
        expected.engine.geometry.pipe_gain = 0.25;
        assert_eq!(members[1].laws, expected.laws);
        assert_eq!(members[1].engine, expected.engine);
        let models = small().models(&Models::of_engine(&engine.name).unwrap());
        assert_eq!(
            (models[1].engine.params, models[1].laws),
            (expected.engine, expected.laws)
        );
        assert!(small().setups("offroad-3.5", &setup).is_empty());
        assert_eq!(
            small().of("onroad-2.1").unwrap().misses,
            [vec![], vec!["S5".to_string()]]
        );
    }

    #[test]
    fn the_built_in_sets_are_many_and_differ() {
        let ensemble = Ensemble::built_in().unwrap_or_else(|error| panic!("{error}"));
        for name in built_in::engine_names() {
            let (engine, setup) = reference_setup(name).unwrap();
            let members = ensemble.setups(&engine.name, &setup);
            assert_eq!(members.len(), ensemble.sets, "{name}");
            for (k, one) in members.iter().enumerate() {
                let same = members[..k].iter().any(|other| other.laws == one.laws);
                assert!(!same && one.engine != setup.engine, "{name}: set {}", k + 1);
            }
        }
    }

    #[test]
    fn mistakes_are_told_at_their_place_with_range_and_remedy() {
        let changed = |from: &str, to: &str| {
            let text = SMALL.replacen(from, to, 1);
            assert_ne!(text, SMALL, "{from}");
            Ensemble::read(&Source::new("mine.toml", &text))
                .unwrap_err()
                .to_string()
        };
        for (from, to, expected) in [
            (
                "[3, 4.5]",
                "[3, 450]",
                "mine.toml:4:19: `shear_per_s` = 450 is out of range; allowed 0.5 to 60",
            ),
            (
                "[3, 4.5]",
                "[3]",
                "mine.toml:4:15: `shear_per_s` has 1 values, but there are 2 sets; give one for each",
            ),
            (
                "[3, 4.5]",
                "[3, \"x\"]",
                "`shear_per_s` is a text, but a number is wanted",
            ),
            (
                "shear_per_s",
                "sheer_per_s",
                "mine.toml:4:1: [laws.film] has no key `sheer_per_s`; did you mean `shear_per_s`?",
            ),
            (
                "laws.film",
                "laws.filn",
                "[laws] has no table `filn`; did you mean `film`?",
            ),
            (
                "pipe_gain",
                "displacement_cm3",
                "`displacement_cm3` = 0.2 is out of range",
            ),
            (
                "pipe_gain = [0.2, 0.25]",
                "compression_ratio = [9, 10]",
                "`compression_ratio` is known, not assumed",
            ),
            (
                "\"onroad-2.1\".geometry",
                "\"onroad-21\".geometry",
                "there is no engine `onroad-21`; did you mean `onroad-2.1`?",
            ),
            (
                "sets = 2",
                "sets = 2.5",
                "`sets` = 2.5 is not a whole number; write a whole number",
            ),
            ("sets = 2", "sets = 1", "`sets` = 1 is out of range; allowed 2 to 1000"),
            ("seed = 1\n", "", "lacks `seed`"),
            (
                "set = 2",
                "set = 3",
                "there is no set 3: the file has 2; name one of them",
            ),
            ("rows = [\"S5\"]", "rows = [5]", "a word or a list of words is wanted"),
        ] {
            let message = changed(from, to);
            assert!(
                message.starts_with("mine.toml:") && message.contains(expected),
                "{message}"
            );
        }
    }
}
