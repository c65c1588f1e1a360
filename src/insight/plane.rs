//! A map of settings: the sign-off of every field of a plane of high-speed and low-speed needle around a setting, row by row, so that it
//! can be watched and broken off. Race-clean is what passes every check, safe-clean what still passes them with the needles a little
//! leaner; how far inside or outside a field lies is each check's margin, and its border is where that is nothing.

use rayon::prelude::*;

use super::contour::{Line, contours};
use super::effects::Model;
use crate::bench::checks::{self, CheckName, Limits, Report, Row};
use crate::bench::manoeuvre::table::Waits;
use crate::config::EngineModel;
use crate::engine::Engine;
use crate::engine::params::Setting;

/// Turns from the leanest to the richest field: high-speed and low-speed needle.
const SPAN: [f64; 2] = [4.0 / 3.0, 2.0 / 3.0];
/// Share of that on the lean side of the middle.
const LEAN_SHARE: f64 = 3.0 / 8.0;
/// How many fields a side may have: then a safe setting's eighth and twenty-fourth leaner are fields, too.
pub const FIELDS: [usize; 3] = [32, 64, 128];
/// A margin of what died.
const DEAD: f64 = -1.0;

/// Where a map lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// The leanest corner; its idle stop is everywhere.
    pub corner: Setting,
    /// Turns from field to field: high-speed and low-speed needle.
    pub step: [f64; 2],
    /// Fields a side, one of [`FIELDS`].
    pub fields: usize,
}

impl Frame {
    /// Around a setting, as far as the screws go.
    pub fn around(setting: Setting, fields: usize) -> Self {
        let most = EngineModel::MOST_OPEN;
        let from = |at: f64, span: f64, most: f64| (at - LEAN_SHARE * span).clamp(0.0, (most - span).max(0.0));
        Self {
            corner: Setting {
                high_turns: from(setting.high_turns, SPAN[0], most.high_turns),
                low_turns: from(setting.low_turns, SPAN[1], most.low_turns),
                ..setting
            },
            step: SPAN.map(|span| span / fields as f64),
            fields,
        }
    }

    /// The setting at a column and a row, between fields too.
    pub fn setting(&self, column: f64, row: f64) -> Setting {
        Setting {
            high_turns: self.corner.high_turns + column * self.step[0],
            low_turns: self.corner.low_turns + row * self.step[1],
            ..self.corner
        }
    }

    /// Column and row of a setting, between fields too.
    pub fn place(&self, setting: Setting) -> (f64, f64) {
        (
            (setting.high_turns - self.corner.high_turns) / self.step[0],
            (setting.low_turns - self.corner.low_turns) / self.step[1],
        )
    }

    /// Fields by which a safe setting is leaner: columns and rows.
    fn safe_fields(&self) -> [usize; 2] {
        let from = self.setting(self.fields as f64, self.fields as f64);
        let (column, row) = self.place(checks::leaner(from));
        [column, row].map(|to| (self.fields as f64 - to).round() as usize)
    }
}

/// What the sign-off finds in a field.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// Every check passed.
    pub clean: bool,
    /// The engine died in one of the manoeuvres.
    pub dies: bool,
    /// Margin of each check, in the order of [`CheckName::ALL`]; none of a dead engine.
    pub margins: Vec<Option<f64>>,
    /// Mixture wide open.
    pub equivalence_ratio_full: Option<f64>,
    /// Mixture at idle.
    pub equivalence_ratio_idle: Option<f64>,
}

impl Field {
    fn of(report: &Report) -> Self {
        let margin = |name: &CheckName| report.check(*name).and_then(checks::Check::margin);
        Self {
            clean: report.clean,
            dies: report.symptoms.stalled,
            margins: CheckName::ALL.iter().map(margin).collect(),
            equivalence_ratio_full: report.symptoms.equivalence_ratio_full,
            equivalence_ratio_idle: report.symptoms.equivalence_ratio_idle,
        }
    }

    /// The least margin of all checks.
    fn worst(&self) -> f64 {
        self.margins
            .iter()
            .map(|m| m.unwrap_or(DEAD))
            .fold(f64::INFINITY, f64::min)
    }
}

/// A map, as far as it is made.
#[derive(Clone, Debug, PartialEq)]
pub struct Plane {
    /// Where it lies.
    pub frame: Frame,
    /// Seed of all noise.
    pub seed: u64,
    /// Its fields, row by row from the leanest low-speed needle, each from the leanest high-speed needle.
    pub fields: Vec<Field>,
}

/// An island of clean settings.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Island {
    /// Share of the map, percent.
    pub percent: f64,
    /// Its middle: mean of its fields.
    pub high_turns: f64,
    /// See `high_turns`.
    pub low_turns: f64,
}

impl Plane {
    /// Nothing made yet.
    pub fn begin(frame: Frame, seed: u64) -> Self {
        Self {
            frame,
            seed,
            fields: Vec::new(),
        }
    }

    /// Makes the next rows, one for each core; the share that is done, 1 at its end.
    pub fn go_on(&mut self, model: &Model, limits: &Limits) -> f64 {
        let n = self.frame.fields;
        let done = self.fields.len() / n;
        let rows: Vec<usize> = (done..n).take(rayon::current_num_threads()).collect();
        let engine = Engine::new(model.setup);
        let (frame, seed) = (self.frame, self.seed);
        let made: Vec<Vec<Field>> = rows
            .par_iter()
            .map(|row| fields(model, engine, limits, frame, *row, seed))
            .collect();
        self.fields.extend(made.into_iter().flatten());
        self.fields.len() as f64 / (n * n) as f64
    }

    /// Heights of each field: a check's margin.
    pub fn margins(&self, name: CheckName) -> Vec<f64> {
        let at = CheckName::ALL.iter().position(|other| *other == name).unwrap_or(0);
        self.fields
            .iter()
            .map(|field| field.margins[at].unwrap_or(DEAD))
            .collect()
    }

    /// Heights of each field: the least margin of all checks.
    pub fn race(&self) -> Vec<f64> {
        self.fields.iter().map(Field::worst).collect()
    }

    /// The same of a field and of the one that is leaner by what a safe setting bears; what lies off the map counts as not clean.
    pub fn safe(&self) -> Vec<f64> {
        let race = self.race();
        let (n, [columns, rows]) = (self.frame.fields, self.frame.safe_fields());
        let safe = |at: usize| {
            let (column, row) = (at % n, at / n);
            let leaner = column.checked_sub(columns).zip(row.checked_sub(rows));
            race[at].min(leaner.map_or(DEAD, |(column, row)| race[row * n + column]))
        };
        (0..race.len()).map(safe).collect()
    }

    /// Lines of one mixture, wide open or at idle.
    pub fn mixture_lines(&self, idle: bool, level: f64) -> Vec<Line> {
        let mixture = |field: &Field| {
            let mixture = if idle {
                field.equivalence_ratio_idle
            } else {
                field.equivalence_ratio_full
            };
            mixture.unwrap_or(f64::NAN)
        };
        contours(
            &self.fields.iter().map(mixture).collect::<Vec<_>>(),
            self.frame.fields,
            level,
        )
    }

    /// The border of some heights: where they are nothing.
    pub fn border(&self, heights: &[f64]) -> Vec<Line> {
        contours(heights, self.frame.fields, 0.0)
    }

    /// The island on which some heights are above nothing; none where there is none.
    pub fn island(&self, heights: &[f64]) -> Option<Island> {
        let n = self.frame.fields;
        let inside: Vec<Setting> = (0..heights.len())
            .filter(|at| heights[*at] >= 0.0)
            .map(|at| self.frame.setting((at % n) as f64, (at / n) as f64))
            .collect();
        let count = inside.len() as f64;
        (count > 0.0).then(|| Island {
            percent: 100.0 * count / heights.len() as f64,
            high_turns: inside.iter().map(|s| s.high_turns).sum::<f64>() / count,
            low_turns: inside.iter().map(|s| s.low_turns).sum::<f64>() / count,
        })
    }
}

/// A twelfth of a turn from trial to trial, and how far beyond the fields best power is looked for, turns.
const TRIAL: f64 = 1.0 / 12.0;
const BEYOND: [f64; 2] = [11.0 / 12.0, 7.0 / 12.0];

fn fields(model: &Model, engine: Engine, limits: &Limits, frame: Frame, row: usize, seed: u64) -> Vec<Field> {
    let mut lab = checks::lab(engine, model.setup, model.facts, &Waits::STANDARD);
    let at = |column: usize| frame.setting(column as f64, row as f64);
    let fields = (0..frame.fields)
        .map(|column| (lab.add_warm(at(column), seed), at(column), seed))
        .collect();
    let (first, last) = (at(0), at(frame.fields - 1));
    let count = ((last.high_turns + BEYOND[1] - (first.high_turns - BEYOND[0])) / TRIAL).ceil() as usize;
    let trials = (0..=count)
        .map(|k| first.high_turns - BEYOND[0] + k as f64 * TRIAL)
        .filter(|high_turns| *high_turns >= 0.2)
        .map(|high_turns| lab.add_warm(Setting { high_turns, ..first }, seed))
        .collect();
    let rows = [Row { fields, trials }];
    let reports = checks::check_rows(&mut lab, &rows, model.setup, model.facts, limits);
    reports.iter().flatten().map(Field::of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::checks::{Facts, check_in};
    use crate::config::reference_setup;

    #[test]
    fn a_safe_settings_leaner_twin_is_a_field() {
        let (model, _) = reference_setup("offroad-3.5").unwrap();
        for fields in FIELDS {
            let frame = Frame::around(model.reference, fields);
            assert_eq!(frame.safe_fields(), [3 * fields / 32, fields / 16]);
            let twin = checks::leaner(frame.setting(20.0, 20.0));
            let (column, row) = frame.place(twin);
            assert!((column - column.round()).abs() < 1e-9 && (row - row.round()).abs() < 1e-9);
        }
        // Near the ends the map stays within the screws.
        let frame = Frame::around(Setting::default(), 64);
        assert_eq!(frame.corner, Setting::default());
    }

    /// What a map shares between its fields changes no verdict: three settings of a row, and each by itself.
    #[test]
    fn a_rows_sign_offs_are_those_of_each_setting_alone() {
        let (engine, setup) = reference_setup("offroad-3.5").unwrap();
        let model = Model {
            setup: &setup,
            facts: Facts::of(&engine, &setup),
        };
        let (limits, reference) = (Limits::STANDARD, engine.reference);
        let highs = [-0.35, 0.0, 0.5].map(|by| Setting {
            high_turns: reference.high_turns + by,
            ..reference
        });
        let mut lab = checks::lab(Engine::new(&setup), &setup, model.facts, &Waits::STANDARD);
        let row = Row {
            fields: highs.map(|setting| (lab.add_warm(setting, 1), setting, 1)).to_vec(),
            trials: (0..24)
                .map(|k| Setting {
                    high_turns: reference.high_turns - 1.25 + f64::from(k) * TRIAL,
                    ..reference
                })
                .map(|setting| lab.add_warm(setting, 1))
                .collect(),
        };
        let shared = checks::check_rows(&mut lab, &[row], &setup, model.facts, &limits);
        let mut lab = checks::lab(Engine::new(&setup), &setup, model.facts, &Waits::STANDARD);
        let cases: Vec<_> = highs.map(|setting| (lab.add_warm(setting, 1), setting, 1)).to_vec();
        let alone = check_in(&mut lab, &cases, &setup, model.facts, &limits);
        for (shared, alone) in shared[0].iter().zip(&alone) {
            assert_eq!(shared.failed(), alone.failed(), "{:?}", alone.setting);
            for (s, a) in shared.checks.iter().zip(&alone.checks) {
                let (s_value, a_value) = (s.value.unwrap(), a.value.unwrap());
                let near = match s.name {
                    // Best power is flat: which trials, a twelfth of a turn or 0.035 apart, lie beside it moves its mixture by up to half.
                    CheckName::FullRichOfBestPower => 0.018,
                    // Held longer, a head that knocks has warmed further.
                    CheckName::FullHeadTemperature => 3.5,
                    CheckName::FullDetonation => 0.02,
                    _ => 0.02 * a_value.abs().max(0.5),
                };
                assert!((s_value - a_value).abs() < near, "{:?}: {s_value} {a_value}", s.name);
            }
        }
        // Of the three the middle one alone is clean, so that a verdict that is always the same would be seen.
        assert_eq!(alone.iter().map(|r| r.clean).collect::<Vec<_>>(), [false, true, false]);
    }
}
