//! The file that a practice is recorded to: a new one, never over anything that is there, and whole to its last line whatever
//! happens to the disk.

use std::fs::{File, OpenOptions};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use needlebench::practise::recording::Practice;

use super::{Failure, output, places};

/// A file of whole lines: one that can't be written to its end is taken back.
#[derive(Debug)]
struct WholeLines {
    file: File,
    whole: u64,
}

impl Write for WholeLines {
    /// Takes all of what is given, which is one line, or nothing.
    fn write(&mut self, line: &[u8]) -> std::io::Result<usize> {
        match self.file.write_all(line) {
            Ok(()) => {
                self.whole += line.len() as u64;
                Ok(line.len())
            }
            Err(error) => {
                // Half a line that stays is told by whoever replays it.
                let _ = self.file.set_len(self.whole);
                Err(error)
            }
        }
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.file.flush()
    }
}

/// The folder of recordings: XDG_DATA_HOME/needlebench/practices, else ~/.local/share/needlebench/practices.
pub fn folder() -> Option<PathBuf> {
    let set = |name: &str| {
        std::env::var_os(name)
            .map(PathBuf::from)
            .filter(|path| path.is_absolute())
    };
    set("XDG_DATA_HOME")
        .or_else(|| set("HOME").map(|home| home.join(".local/share")))
        .map(|data| data.join("needlebench").join("practices"))
}

/// A name fit for a file.
fn file_name(name: &str) -> String {
    let fit = |c: char| if c.is_ascii_alphanumeric() || c == '-' { c } else { '-' };
    name.chars().take(40).map(fit).collect()
}

/// A file that isn't there yet.
fn new(path: &Path) -> std::io::Result<File> {
    OpenOptions::new().append(true).create_new(true).open(path)
}

/// Refuses what is no name of a new file.
pub fn free(path: &Path) -> Result<(), Failure> {
    if places::is_standard(path) {
        return Err(Failure::Usage {
            flag: "--record",
            what: "`-` is standard output, where the practice itself is shown".to_string(),
            allowed: "a new file",
            remedy: "name one, such as practice.jsonl (`./-` is a file of that name)",
        });
    }
    if std::fs::symlink_metadata(path).is_ok() {
        return Err(there(path));
    }
    Ok(())
}

fn there(path: &Path) -> Failure {
    Failure::Exists {
        path: path.display().to_string(),
        what: what_is_there(path),
    }
}

/// Records to that file from here on.
pub fn to(path: &Path, practice: &mut Practice) -> Result<(), Failure> {
    free(path)?;
    let file = new(path).map_err(|error| match error.kind() {
        ErrorKind::AlreadyExists => there(path),
        _ => output::failed(path, error),
    })?;
    begin(file, path, practice)
}

/// Records to a new file in the practices' folder, if there can be one, and names it.
pub fn to_folder(name: &str, seed: u64, practice: &mut Practice) -> Result<Option<PathBuf>, Failure> {
    let Some(folder) = folder() else {
        output::say("not recorded: neither XDG_DATA_HOME nor HOME names a folder; `--record FILE` does");
        return Ok(None);
    };
    let name = file_name(name);
    let opened = std::fs::create_dir_all(&folder).and_then(|()| {
        for number in 1.. {
            let path = folder.join(format!("{name}-seed-{seed}-{number}.jsonl"));
            match new(&path) {
                Err(error) if error.kind() == ErrorKind::AlreadyExists && number < 10_000 => {}
                other => return other.map(|file| (file, path)),
            }
        }
        Err(ErrorKind::AlreadyExists.into())
    });
    match opened {
        Ok((file, path)) => begin(file, &path, practice).map(|()| Some(path)),
        Err(error) if is_full(&error) => Err(output::failed(&folder, error)),
        Err(error) => {
            // A practice is worth having without a recording, too.
            output::say(&format!(
                "not recorded: {} can't be written ({error})",
                folder.display()
            ));
            Ok(None)
        }
    }
}

/// Writes the first line; a file that has no room for it goes again.
fn begin(file: File, path: &Path, practice: &mut Practice) -> Result<(), Failure> {
    practice.record_to(Box::new(WholeLines { file, whole: 0 }));
    match practice.trouble() {
        None => Ok(()),
        Some(error) => {
            let _ = std::fs::remove_file(path);
            Err(output::failed(path, error))
        }
    }
}

fn is_full(error: &std::io::Error) -> bool {
    use ErrorKind::{FileTooLarge, QuotaExceeded, StorageFull};
    matches!(error.kind(), StorageFull | QuotaExceeded | FileTooLarge)
}

fn what_is_there(path: &Path) -> &'static str {
    match std::fs::symlink_metadata(path) {
        Ok(known) if known.is_symlink() => "a link",
        Ok(known) if known.is_dir() => "a folder",
        Ok(known) if !known.is_file() => "a pipe or a device",
        _ => "a file",
    }
}

#[cfg(test)]
mod tests {
    use needlebench::practise::session::Level;
    use needlebench::tuning::scenario;

    use super::*;

    #[test]
    fn what_is_no_new_file_is_refused_by_what_it_is() {
        let folder = tempfile::tempdir().unwrap();
        let there = folder.path().join("r.jsonl");
        std::fs::write(&there, "kept").unwrap();
        let source = scenario::source("lesson-1").unwrap();
        let mut practice = Practice::begin(&source, Level::ByEar, 1, 0, None).unwrap();
        for (path, what) in [(there.as_path(), "a file"), (folder.path(), "a folder")] {
            let message = to(path, &mut practice).unwrap_err().to_string();
            assert!(message.contains(&format!("there is {what} of this name")), "{message}");
        }
        assert!(to(Path::new("-"), &mut practice).is_err());
        assert_eq!(std::fs::read_to_string(&there).unwrap(), "kept");
    }
}
