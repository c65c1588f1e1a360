//! Which files are one and the same: told by what they are, not by their names, so that two results never go to one file and
//! no result to a file that the same command reads.

use std::fs::Metadata;
use std::path::{Path, PathBuf};

use super::Failure;

/// Links followed before a path counts as going in a circle.
const MOST_LINKS: usize = 40;

/// What a path leads to.
#[derive(Debug, PartialEq, Eq)]
enum Place {
    /// Something that exists: its device and its number there.
    #[cfg(unix)]
    There(u64, u64),
    /// A file by its resolved path, existing or not.
    At(PathBuf),
}

/// A file of a command: the flag or argument that names it, and its path.
pub type Named<'a> = (&'static str, &'a Path);

/// Whether a path is the name that stands for standard output.
pub fn is_standard(path: &Path) -> bool {
    path == Path::new("-")
}

/// Where a file would be written: a link is followed to its end, whether there is a file at it or not.
pub fn target(path: &Path) -> std::io::Result<PathBuf> {
    if path.exists() {
        return path.canonicalize();
    }
    if path.to_string_lossy().ends_with(std::path::is_separator) {
        return Err(std::io::ErrorKind::IsADirectory.into());
    }
    let mut path = path.to_path_buf();
    for _ in 0..MOST_LINKS {
        match std::fs::read_link(&path) {
            Ok(next) => path = folder(&path).join(next),
            Err(_) => {
                let name = path.file_name().ok_or(std::io::ErrorKind::IsADirectory)?;
                // A folder that isn't there is told when the file in it is made.
                let folder = folder(&path);
                let folder = folder.canonicalize().unwrap_or_else(|_| folder.to_path_buf());
                return Ok(folder.join(name));
            }
        }
    }
    Err(std::io::Error::other("its links go in a circle"))
}

/// The folder that a path names a file in.
fn folder(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    }
}

/// What standard output goes to; none if that can't be told.
#[cfg(unix)]
fn standard() -> Option<Metadata> {
    use std::os::fd::AsFd;
    let out = std::io::stdout().as_fd().try_clone_to_owned().ok()?;
    std::fs::File::from(out).metadata().ok()
}

#[cfg(not(unix))]
fn standard() -> Option<Metadata> {
    None
}

#[cfg(unix)]
fn there(found: &Metadata) -> Place {
    use std::os::unix::fs::MetadataExt;
    Place::There(found.dev(), found.ino())
}

/// The place of a path and what is there; none for a path that can lead nowhere.
fn place(path: &Path) -> Option<(Place, Option<Metadata>)> {
    let standard_output = is_standard(path);
    let found = if standard_output {
        standard()
    } else {
        std::fs::metadata(path).ok()
    };
    #[cfg(unix)]
    if let Some(found) = found {
        return Some((there(&found), Some(found)));
    }
    let at = if standard_output {
        path.to_path_buf()
    } else {
        target(path).ok()?
    };
    Some((Place::At(at), found))
}

/// Whether a target is where standard output goes, by whatever name.
pub fn is_standard_output(path: &Path) -> bool {
    let at = |path| place(path).map(|(place, _)| place);
    is_standard(path) || at(path).is_some_and(|place| at(Path::new("-")) == Some(place))
}

/// Refuses two results in one place, and a result in the place of a file that is read.
pub fn apart(inputs: &[Named<'_>], outputs: &[Named<'_>]) -> Result<(), Failure> {
    // What is read is lost by a result only if it is a file: a terminal is read and written.
    let read: Vec<_> = inputs
        .iter()
        .filter_map(|(flag, path)| {
            let (place, found) = place(path)?;
            found.is_some_and(|found| found.is_file()).then_some((*flag, place))
        })
        .collect();
    let mut written: Vec<(&'static str, Place)> = Vec::new();
    for (flag, path) in outputs {
        let Some((place, _)) = place(path) else { continue };
        let shown = if is_standard(path) {
            "standard output".to_string()
        } else {
            path.display().to_string()
        };
        if let Some((first, _)) = written.iter().find(|(_, before)| *before == place) {
            return Err(Failure::Usage {
                flag,
                what: format!("its result would go to {shown}, as that of {first} does"),
                allowed: "one result for a file or for standard output",
                remedy: "name another file",
            });
        }
        if let Some((first, _)) = read.iter().find(|(_, before)| *before == place) {
            return Err(Failure::Usage {
                flag,
                what: format!("its result would go to {shown}, the file that {first} reads"),
                allowed: "a file that this command doesn't read",
                remedy: "name another file",
            });
        }
        written.push((flag, place));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meets(inputs: &[&Path], outputs: &[&Path]) -> bool {
        let inputs: Vec<Named<'_>> = inputs.iter().map(|path| ("--in", *path)).collect();
        let outputs: Vec<Named<'_>> = outputs.iter().map(|path| ("--out", *path)).collect();
        apart(&inputs, &outputs).is_err()
    }

    #[test]
    fn one_file_is_one_file_by_any_name() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        std::fs::create_dir(at("sub")).unwrap();
        std::fs::write(at("a"), "").unwrap();
        assert!(meets(&[], &[&at("new"), &at("sub/../new")]));
        assert!(meets(&[&at("a")], &[&at("sub/../a")]));
        assert!(!meets(&[&at("a")], &[&at("new"), &at("sub/new"), &at("sub/a")]));
        // Files that aren't there are read by nobody; that they can't be read is told elsewhere.
        assert!(!meets(&[&at("new")], &[&at("new")]));
    }

    #[cfg(unix)]
    #[test]
    fn links_lead_to_where_they_end() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let link = |to: &str, name: &str| std::os::unix::fs::symlink(to, at(name)).unwrap();
        std::fs::write(at("a"), "").unwrap();
        std::fs::hard_link(at("a"), at("hard")).unwrap();
        link("a", "soft");
        link("new", "dangling");
        link("dangling", "further");
        link("circle", "circle");
        assert!(meets(&[&at("a")], &[&at("hard")]) && meets(&[&at("soft")], &[&at("a")]));
        assert!(meets(&[], &[&at("new"), &at("further")]));
        let real = folder.path().canonicalize().unwrap();
        assert_eq!(target(&at("further")).unwrap(), real.join("new"));
        assert_eq!(target(&at("soft")).unwrap(), real.join("a"));
        assert!(target(&at("circle")).is_err());
    }
}
