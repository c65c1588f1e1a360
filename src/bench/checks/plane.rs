//! The sign-off of many settings at once, for maps: what a whole row of settings can share is played once. The best
//! power of a row is that of a few trials of its own; all else is as in a sign-off of one.

use super::Facts;
use super::limits::Limits;
use super::report::{self, Report};
use super::symptoms::{self, AT_IDLE};
use crate::bench::lab::{Case, Lab};
use crate::bench::measures::{Best, Findings, Measured, Steady, What};
use crate::engine::Setup;
use crate::engine::params::Setting;

/// Settings that differ by the high-speed needle alone.
#[derive(Clone, Debug, Default)]
pub struct Row {
    /// What is signed off: each with its setting and the seed of its noise.
    pub fields: Vec<(Case, Setting, u64)>,
    /// What best power is looked for among, from lean to rich, some twelfth of a turn apart and beyond the fields on both sides.
    pub trials: Vec<Case>,
}

/// The sign-offs of rows of a lab side by side, row by row.
pub fn check_rows(lab: &mut Lab, rows: &[Row], setup: &Setup, facts: Facts, limits: &Limits) -> Vec<Vec<Report>> {
    let fields = || rows.iter().flat_map(|row| &row.fields).map(|field| field.0);
    let braked = rows.iter().flat_map(|row| &row.trials).copied().chain(fields());
    let first: Vec<_> = braked
        .map(|case| (case, What::SwiftBrake))
        .chain(fields().map(|case| (case, What::Idle)))
        .collect();
    lab.measure(first);
    let idles = |case: &Case| lab.findings(*case).idle.is_some_and(|m| m.found.rpm > 0.0);
    // No check asks how fast it runs with the wheels up.
    let then = AT_IDLE.into_iter().filter(|what| *what != What::Free);
    let then: Vec<_> = fields()
        .filter(idles)
        .flat_map(|case| then.clone().map(move |what| (case, what)))
        .collect();
    lab.measure(then);
    rows.iter()
        .map(|row| {
            let best = best(lab, &row.trials);
            let judged = |(case, setting, seed): &(Case, Setting, u64)| {
                let found = lab.findings(*case);
                let found = Findings {
                    best_power: best,
                    ..found.clone()
                };
                let symptoms = symptoms::symptoms(&found, setup, *setting);
                report::report(symptoms, setup, facts, *setting, *seed, limits)
            };
            row.fields.iter().map(judged).collect()
        })
        .collect()
}

/// The best that a row's trials show; none where none of them turns the brake.
fn best(lab: &Lab, trials: &[Case]) -> Option<Measured<Best>> {
    let runs = |m: &Measured<Steady>| m.found.rpm > 0.0 && m.found.power_w > 0.0;
    let shown: Vec<Measured<Steady>> = trials
        .iter()
        .filter_map(|case| lab.findings(*case).swift_brake)
        .filter(runs)
        .collect();
    let end = shown.last()?.end;
    let found = Best::among(shown.iter().map(|m| m.found));
    Some(Measured { found, end })
}
