//! An answer as text or JSON on standard output, and as a picture beside it: which forms are asked for, and where each goes.

use std::path::Path;

use super::options::AnswerOptions;
use super::{Failure, output, places};

/// A form of the answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Words.
    Text,
    /// JSON.
    Json,
    /// A picture.
    Plot,
}

/// Where each form goes that is asked for: two never to one place, none to a file that is `read`. A picture on standard output stands
/// there alone.
///
/// # Errors
/// Two results in one place, or one in the place of a file that is read.
pub fn targets<'a>(
    answer: AnswerOptions,
    plot: Option<&'a Path>,
    read: &[places::Named<'_>],
) -> Result<Vec<(Form, &'a Path)>, Failure> {
    let words = if answer.json {
        Some((Form::Json, "--json"))
    } else {
        (!plot.is_some_and(places::is_standard)).then_some((Form::Text, "the text"))
    };
    let mut targets = Vec::new();
    targets.extend(words.map(|(form, flag)| (form, flag, Path::new("-"))));
    targets.extend(plot.map(|path| (Form::Plot, "--plot", path)));
    let written: Vec<places::Named<'_>> = targets.iter().map(|(_, flag, path)| (*flag, *path)).collect();
    places::apart(read, &written)?;
    Ok(targets.into_iter().map(|(form, _, path)| (form, path)).collect())
}

/// Makes every form and writes all, or none.
///
/// # Errors
/// A form that can't be made, or a place that can't be written to.
pub fn write(targets: &[(Form, &Path)], mut made: impl FnMut(Form) -> Result<String, Failure>) -> Result<(), Failure> {
    let texts = targets
        .iter()
        .map(|(form, _)| made(*form))
        .collect::<Result<Vec<_>, _>>()?;
    let results: Vec<(&Path, &[u8])> = targets
        .iter()
        .zip(&texts)
        .map(|((_, path), text)| (*path, text.as_bytes()))
        .collect();
    output::write_all(&results)
}
