//! The rows of a study in a file: added as they are played, in the order of the hidden engines, so that what is there is always the
//! beginning of the whole. A run that was broken off goes on where the last whole engine ends; parts are merged by their engines'
//! numbers.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use needlebench::config::Source;
use needlebench::tuning::batch::record::{COLUMNS, Record};
use needlebench::tuning::batch::study::Study;

use crate::cli::{Failure, output};

/// A file to which rows are added, locked while it is open.
pub struct Rows {
    file: File,
    path: PathBuf,
}

/// Engines numbered in a message.
const MOST_NAMED: usize = 5;

fn head() -> String {
    COLUMNS.join(",") + "\n"
}

/// All rows as a text.
pub fn text(study: &Study, identity: u64, records: &[Record]) -> String {
    let mut text = head();
    for record in records {
        text += &record.row(study, identity);
        text.push('\n');
    }
    text
}

/// Hidden engines among records in order.
pub fn engines(records: &[Record]) -> usize {
    records.chunk_by(|a, b| a.engine == b.engine).count()
}

/// A mistake in a row.
fn mistake(path: &Path, line: usize, what: String, remedy: &'static str) -> Failure {
    Failure::Row {
        path: path.display().to_string(),
        line,
        what,
        remedy,
    }
}

impl Rows {
    /// Opens the file of a study that plays these engines; what it holds already, if it is to go on from that.
    pub fn open(
        path: &Path,
        resume: bool,
        study: &Study,
        identity: u64,
        numbers: &[u64],
    ) -> Result<(Vec<Record>, Self), Failure> {
        let failed = |cause| output::failed(path, cause);
        if std::fs::metadata(path).is_ok_and(|known| !known.is_file() && !known.is_dir()) {
            return Err(Failure::Usage {
                flag: "--csv",
                what: format!(
                    "{} is no file: rows that go there can't be gone on with",
                    path.display()
                ),
                allowed: "a file",
                remedy: "name one, such as study.csv",
            });
        }
        let mut options = OpenOptions::new();
        options.read(true).write(true).create(true).truncate(false);
        let mut file = options.open(path).map_err(failed)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(Failure::Busy {
                    path: path.display().to_string(),
                });
            }
            // A file system that knows no locks.
            Err(TryLockError::Error(_)) => {}
        }
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).map_err(failed)?;
        if !bytes.is_empty() && !resume {
            return Err(Failure::RowsThere {
                path: path.display().to_string(),
            });
        }
        // What is no text can only be a last row that was not written to its end.
        let kept = bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
        let text = String::from_utf8(bytes[..kept].to_vec()).map_err(|error| {
            let line = bytes[..error.utf8_error().valid_up_to()]
                .iter()
                .filter(|b| **b == b'\n')
                .count();
            mistake(
                path,
                line + 1,
                "no text".to_string(),
                "name the file of a study, or a new one",
            )
        })?;
        let (records, kept) = if text.is_empty() {
            (Vec::new(), 0)
        } else {
            let records = read(path, &text, study, identity)?;
            whole(path, records, &text, study, numbers)?
        };
        file.set_len(kept as u64).map_err(failed)?;
        file.seek(SeekFrom::End(0)).map_err(failed)?;
        if kept == 0 {
            file.write_all(head().as_bytes()).map_err(failed)?;
        }
        let path = path.to_path_buf();
        Ok((records, Self { file, path }))
    }

    /// Adds the rows of one engine.
    pub fn add(&mut self, study: &Study, identity: u64, records: &[Record]) -> Result<(), Failure> {
        let mut text = String::new();
        for record in records {
            text += &record.row(study, identity);
            text.push('\n');
        }
        self.file
            .write_all(text.as_bytes())
            .map_err(|cause| Failure::RowsStopped {
                path: self.path.display().to_string(),
                cause,
            })
    }
}

/// The records of a file's whole lines.
fn read(path: &Path, text: &str, study: &Study, identity: u64) -> Result<Vec<Record>, Failure> {
    let mut lines = text.lines();
    if lines.next() != Some(&head()[..head().len() - 1]) {
        let what = "the first line does not name the columns of a study".to_string();
        return Err(mistake(path, 1, what, "name a file that --csv wrote"));
    }
    lines
        .enumerate()
        .map(|(at, line)| {
            Record::read(line, study, identity).map_err(|what| {
                let remedy = "give the study, --seed and --episodes that it was made with, or name another file";
                mistake(path, at + 2, what, remedy)
            })
        })
        .collect()
}

/// As many of the records as make up whole engines, which must be the first of these, and how many bytes of the text they take.
fn whole(
    path: &Path,
    mut records: Vec<Record>,
    text: &str,
    study: &Study,
    numbers: &[u64],
) -> Result<(Vec<Record>, usize), Failure> {
    let mut kept = 0;
    for (at, group) in records.chunk_by(|a, b| a.engine == b.engine).enumerate() {
        if numbers.get(at) != Some(&group[0].engine) {
            let what = format!("hidden engine {} is not the next of this run", group[0].engine);
            return Err(mistake(path, kept + 2, what, "give the --shard it was made with"));
        }
        if group.len() < study.practices(study.engine(group[0].engine).1) {
            break;
        }
        kept += group.len();
    }
    records.truncate(kept);
    let bytes = text.split_inclusive('\n').take(kept + 1).map(str::len).sum();
    Ok((records, bytes))
}

/// The records of all parts of a study, in order.
pub fn merge(paths: &[PathBuf], study: &Study, identity: u64) -> Result<Vec<Record>, Failure> {
    let mut parts: Vec<(Vec<Record>, &Path)> = Vec::new();
    for path in paths {
        let mut text = String::new();
        let file = Source::open(path)?;
        let mut file = std::io::BufReader::new(file);
        file.read_to_string(&mut text).map_err(|cause| match cause.kind() {
            ErrorKind::InvalidData => mistake(path, 1, "no text".to_string(), "name a file that --csv wrote"),
            _ => output::failed(path, cause),
        })?;
        let kept = text.rfind('\n').map_or(0, |at| at + 1);
        parts.push((read(path, &text[..kept], study, identity)?, path));
    }
    let mut engines: Vec<(u64, &[Record], &Path)> = Vec::new();
    for (records, path) in &parts {
        engines.extend(
            records
                .chunk_by(|a, b| a.engine == b.engine)
                .map(|group| (group[0].engine, group, *path)),
        );
    }
    engines.sort_by_key(|(engine, ..)| *engine);
    if let Some(twice) = engines.windows(2).find(|pair| pair[0].0 == pair[1].0) {
        return Err(Failure::Parts {
            what: format!(
                "hidden engine {} stands in both {} and {}",
                twice[0].0,
                twice[0].2.display(),
                twice[1].2.display()
            ),
            remedy: "name each part once",
        });
    }
    let whole = |engine: u64, group: &[Record]| group.len() == study.practices(study.engine(engine).1);
    if let Some((engine, _, path)) = engines.iter().find(|(engine, group, _)| !whole(*engine, group)) {
        return Err(Failure::Parts {
            what: format!("{}: hidden engine {engine} was not played by all", path.display()),
            remedy: "go on with that part by --resume, then merge",
        });
    }
    let missing: Vec<u64> = {
        let mut there = engines.iter().map(|(engine, ..)| *engine).peekable();
        (0..study.engines()).filter(|n| there.next_if_eq(n).is_none()).collect()
    };
    if !missing.is_empty() {
        return Err(Failure::Parts {
            what: absent(&missing, study, paths.len() as u64),
            remedy: "name the file of every part, or go on with the one that was broken off by --resume",
        });
    }
    Ok(engines
        .into_iter()
        .flat_map(|(_, group, _)| group.iter().copied())
        .collect())
}

/// Which engines are in no file, and which part that is, if it is one.
fn absent(missing: &[u64], study: &Study, files: u64) -> String {
    let named: Vec<String> = missing.iter().take(MOST_NAMED).map(u64::to_string).collect();
    let more = if missing.len() > MOST_NAMED { ", ..." } else { "" };
    let all = study.engines();
    // One part missing leaves every so manieth engine out.
    let part = (files + 1..=files + 1).find(|of| {
        let part = missing[0] % of;
        missing
            .iter()
            .copied()
            .eq((0..all).filter(|engine| engine % of == part))
    });
    let part = part.map_or(String::new(), |of| format!(": part {}/{of}", missing[0] % of + 1));
    format!(
        "{} of {all} hidden engines ({}{more}) are in none of the files{part}",
        missing.len(),
        named.join(", ")
    )
}
