//! Where results go: standard output, or a file that appears whole or not at all.
//!
//! A reader that closes the pipe early has read enough; that is no error.

use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use serde::Serialize;

use crate::cli::Failure;

/// Writes to standard output.
pub fn print(text: &str) -> Result<(), Failure> {
    standard(text.as_bytes())
}

fn standard(bytes: &[u8]) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(cause) if cause.kind() != ErrorKind::BrokenPipe => Err(Failure::Output {
            path: "standard output".to_string(),
            cause,
        }),
        _ => Ok(()),
    }
}

/// A value as JSON text.
pub fn json(value: &impl Serialize) -> Result<String, Failure> {
    match serde_json::to_string_pretty(value) {
        Ok(text) => Ok(text + "\n"),
        Err(error) => Err(Failure::Output {
            path: "standard output".to_string(),
            cause: error.into(),
        }),
    }
}

/// Writes a value to standard output as JSON.
pub fn print_json(value: &impl Serialize) -> Result<(), Failure> {
    print(&json(value)?)
}

/// Writes words to standard error; if nobody can read them, that is that.
pub fn say(text: &str) {
    let _ = writeln!(std::io::stderr(), "{text}");
}

/// A bar on standard error, if that is a terminal; else nothing.
pub fn bar(length: usize, what: &'static str) -> ProgressBar {
    let bar = ProgressBar::with_draw_target(Some(length as u64), ProgressDrawTarget::stderr());
    let style = ProgressStyle::with_template("{msg} {wide_bar} {pos}/{len} {eta} left");
    if let Ok(style) = style {
        bar.set_style(style);
    }
    bar.set_message(what);
    bar
}

/// Shows help, version or a mistake in the arguments, with the exit code that belongs to it.
pub fn usage(message: &clap::Error) -> ExitCode {
    // Help into a closed pipe has been read far enough.
    let _ = message.print();
    ExitCode::from(u8::try_from(message.exit_code()).unwrap_or(2))
}

/// Whether a target is standard output.
pub fn is_standard(target: &Path) -> bool {
    target == Path::new("-")
}

/// Writes a result: `-` is standard output; a file appears whole or not at all.
pub fn write(target: &Path, bytes: &[u8]) -> Result<(), Failure> {
    write_all(&[(target, bytes)])
}

/// Writes several results, all or none: every file is made ready beside its target before standard output is written to and
/// the first file takes its place.
pub fn write_all(results: &[(&Path, &[u8])]) -> Result<(), Failure> {
    let failed = |target: &Path| {
        let path = target.display().to_string();
        move |cause| Failure::Output { path, cause }
    };
    let (printed, files): (Vec<_>, Vec<_>) = results.iter().partition(|(target, _)| is_standard(target));
    let mut ready = Vec::with_capacity(files.len());
    for (target, bytes) in files {
        ready.push((target, prepare(target, bytes).map_err(failed(target))?));
    }
    for (_, bytes) in printed {
        standard(bytes)?;
    }
    for (target, prepared) in ready {
        prepared.finish().map_err(failed(target))?;
    }
    Ok(())
}

/// A result that only has to take its place.
enum Prepared<'a> {
    /// A file beside the target.
    Beside(tempfile::NamedTempFile, PathBuf),
    /// A device or a named pipe, which is written to, not replaced.
    Device(std::fs::File, &'a [u8]),
}

impl Prepared<'_> {
    fn finish(self) -> std::io::Result<()> {
        match self {
            Self::Beside(file, target) => file.persist(&target).map(|_| ()).map_err(|error| error.error),
            Self::Device(mut device, bytes) => match device.write_all(bytes) {
                Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
                written => written,
            },
        }
    }
}

/// Writes beside the target, so that a reader never meets half a file.
fn prepare<'a>(target: &Path, bytes: &'a [u8]) -> std::io::Result<Prepared<'a>> {
    // A link keeps pointing at what is written.
    let target = target.canonicalize().unwrap_or_else(|_| target.to_path_buf());
    let before = std::fs::metadata(&target).ok();
    if before.as_ref().is_some_and(|known| known.is_dir()) {
        return Err(ErrorKind::IsADirectory.into());
    }
    if before.as_ref().is_some_and(|known| !known.is_file()) {
        let device = std::fs::OpenOptions::new().write(true).open(&target)?;
        return Ok(Prepared::Device(device, bytes));
    }
    let folder = match target.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(".needlebench-");
    #[cfg(unix)]
    let mode = {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
        before.map(|known| known.permissions())
    };
    #[cfg(not(unix))]
    let mode: Option<std::fs::Permissions> = None;
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    if let Some(mode) = mode {
        if mode.readonly() {
            return Err(ErrorKind::PermissionDenied.into());
        }
        file.as_file().set_permissions(mode)?;
    }
    Ok(Prepared::Beside(file, target))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_appears_whole_and_leaves_nothing_beside_it() {
        let folder = tempfile::tempdir().unwrap();
        let target = folder.path().join("a.csv");
        write(&target, b"one").unwrap();
        write(&target, b"two").unwrap();
        assert_eq!(std::fs::read(&target).unwrap(), b"two");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn nothing_is_written_where_nothing_can_be() {
        let folder = tempfile::tempdir().unwrap();
        assert!(write(&folder.path().join("none/a.csv"), b"x").is_err());
        assert!(write(folder.path(), b"x").is_err());
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
    }

    #[test]
    fn of_several_results_all_are_written_or_none() {
        let folder = tempfile::tempdir().unwrap();
        let (good, bad) = (folder.path().join("a.csv"), folder.path().join("none/b.svg"));
        for order in [[&good, &bad], [&bad, &good]] {
            assert!(write_all(&order.map(|path| (path.as_path(), &b"x"[..]))).is_err());
            assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
        }
        let other = folder.path().join("b.svg");
        write_all(&[(&good, b"one"), (&other, b"two")]).unwrap();
        assert_eq!(
            (std::fs::read(&good).unwrap(), std::fs::read(&other).unwrap()),
            (b"one".to_vec(), b"two".to_vec())
        );
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_and_permissions_are_kept() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let (file, link) = (folder.path().join("file"), folder.path().join("link"));
        std::fs::write(&file, "old").unwrap();
        std::fs::set_permissions(&file, std::fs::Permissions::from_mode(0o640)).unwrap();
        std::os::unix::fs::symlink(&file, &link).unwrap();
        write(&link, b"new").unwrap();
        assert_eq!(std::fs::read(&file).unwrap(), b"new");
        assert!(std::fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(std::fs::metadata(&file).unwrap().permissions().mode() & 0o777, 0o640);
    }

    #[cfg(unix)]
    #[test]
    fn devices_are_written_to_and_not_replaced() {
        write(Path::new("/dev/null"), b"gone").unwrap();
        assert!(!std::fs::metadata("/dev/null").unwrap().is_file());
    }
}
