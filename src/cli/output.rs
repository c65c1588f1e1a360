//! Where results go: standard output, or a file that appears whole or not at all.
//!
//! A reader that closes the pipe early has read enough; that is no error.

use std::fs::{File, OpenOptions};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use serde::Serialize;

use crate::cli::signals::Unfinished;
use crate::cli::{Failure, places};

/// Writes to standard output.
pub fn print(text: &str) -> Result<(), Failure> {
    standard(text.as_bytes())
}

fn standard(bytes: &[u8]) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    read_far_enough(out.write_all(bytes).and_then(|()| out.flush())).map_err(|cause| failed(Path::new("-"), cause))
}

/// A reader that has closed the pipe has read enough.
fn read_far_enough(written: std::io::Result<()>) -> std::io::Result<()> {
    match written {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        written => written,
    }
}

/// A value as JSON text.
pub fn json(value: &impl Serialize) -> Result<String, Failure> {
    match serde_json::to_string_pretty(value) {
        Ok(text) => Ok(text + "\n"),
        Err(error) => Err(failed(Path::new("-"), error.into())),
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

/// Shows help, version or a mistake in the arguments, with the exit code that belongs to it.
pub fn usage(message: &clap::Error) -> ExitCode {
    let shown = message.print();
    if !message.use_stderr() {
        let shown = shown.and_then(|()| std::io::stdout().flush());
        if let Err(cause) = read_far_enough(shown) {
            say(&failed(Path::new("-"), cause).to_string());
            return ExitCode::from(2);
        }
    }
    ExitCode::from(u8::try_from(message.exit_code()).unwrap_or(2))
}

/// Why a result can't be written, with what to do about it.
pub fn failed(target: &Path, cause: std::io::Error) -> Failure {
    let remedy = match cause.kind() {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => "make room there, or name a file elsewhere",
        ErrorKind::FileTooLarge => "raise the limit on the size of files (`ulimit -f`)",
        _ if places::is_standard(target) => "see where it leads to",
        ErrorKind::NotConnected => "start what reads from it first, or name a file",
        _ => "name a file in a folder you may write to, or `-`",
    };
    Failure::Output {
        path: if places::is_standard(target) {
            "standard output".to_string()
        } else {
            target.display().to_string()
        },
        cause,
        remedy,
    }
}

/// Writes several results, all or none: every file is made ready beside its target before anything is written to standard
/// output, a pipe or a device, and the files take their places last.
pub fn write_all(results: &[(&Path, &[u8])]) -> Result<(), Failure> {
    let (mut printed, mut streams, mut files) = (Vec::new(), Vec::new(), Vec::new());
    for (target, bytes) in results {
        let known = std::fs::metadata(target).ok();
        if places::is_standard_output(target) {
            printed.push(bytes);
        } else if known.is_some_and(|known| !known.is_file() && !known.is_dir()) {
            streams.push((
                target,
                open_stream(target).map_err(|cause| failed(target, cause))?,
                bytes,
            ));
        } else {
            files.push(prepare(target, bytes).map_err(|cause| failed(target, cause))?);
        }
    }
    for bytes in printed {
        standard(bytes)?;
    }
    for (target, mut stream, bytes) in streams {
        read_far_enough(stream.write_all(bytes)).map_err(|cause| failed(target, cause))?;
    }
    Unfinished::put(files).map_err(|(target, cause)| failed(&target, cause))
}

/// Opens a pipe or a device to write to it as it is. A pipe that nobody reads from is refused rather than waited for.
#[cfg(unix)]
fn open_stream(target: &Path) -> std::io::Result<File> {
    use std::os::unix::fs::{FileTypeExt, OpenOptionsExt};

    use rustix::fs::{OFlags, fcntl_getfl, fcntl_setfl};
    let kind = std::fs::metadata(target)?.file_type();
    if kind.is_block_device() {
        return Err(std::io::Error::other("it is a whole disk"));
    }
    let opened = OpenOptions::new()
        .write(true)
        .custom_flags(OFlags::NONBLOCK.bits().cast_signed())
        .open(target);
    let no_reader = |error: &std::io::Error| error.raw_os_error() == Some(rustix::io::Errno::NXIO.raw_os_error());
    let stream = opened.map_err(|error| match error {
        error if kind.is_fifo() && no_reader(&error) => {
            std::io::Error::new(ErrorKind::NotConnected, "nobody reads from this pipe")
        }
        error => error,
    })?;
    // Only the opening must not wait; a slow reader is waited for.
    fcntl_setfl(&stream, fcntl_getfl(&stream)? - OFlags::NONBLOCK)?;
    Ok(stream)
}

#[cfg(not(unix))]
fn open_stream(target: &Path) -> std::io::Result<File> {
    OpenOptions::new().write(true).open(target)
}

/// Writes beside the target, so that a reader never meets half a file. A link keeps pointing at what is written.
fn prepare(target: &Path, bytes: &[u8]) -> std::io::Result<(Unfinished, PathBuf)> {
    let target = places::target(target)?;
    let before = std::fs::metadata(&target).ok();
    if before.as_ref().is_some_and(|known| known.is_dir()) {
        return Err(ErrorKind::IsADirectory.into());
    }
    let folder = target.parent().unwrap_or(Path::new("."));
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
    let mut ready = Unfinished::make(|| builder.tempfile_in(folder))?;
    let file = ready.file();
    file.as_file_mut().write_all(bytes)?;
    if let Some(mode) = mode {
        if mode.readonly() {
            return Err(ErrorKind::PermissionDenied.into());
        }
        file.as_file().set_permissions(mode)?;
    }
    Ok((ready, target))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn write(target: &Path, bytes: &[u8]) -> Result<(), Failure> {
        write_all(&[(target, bytes)])
    }

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
