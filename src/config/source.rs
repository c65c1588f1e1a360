//! A file's text and its name: read within bounds, with byte offsets turned into lines and columns.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use crate::config::error::{ConfigError, Place};

/// Text with the name it goes by in messages.
#[derive(Clone, Debug)]
pub struct Source {
    /// Path as the user wrote it, or the place of a built-in file in the project.
    pub path: String,
    /// The text.
    pub text: String,
}

impl Source {
    /// The most that is read of a file, bytes: far more than any model needs.
    pub const LIMIT: u64 = 1 << 20;

    /// Text from elsewhere, such as a file built into the program.
    pub fn new(path: &str, text: &str) -> Self {
        Self {
            path: path.to_string(),
            text: text.to_string(),
        }
    }

    /// Reads a text file, at most [`Source::LIMIT`] bytes of it.
    ///
    /// # Errors
    /// No such file, a directory, no permission, a failure of the system, too large, or not UTF-8.
    pub fn read(path: &Path) -> Result<Self, ConfigError> {
        let name = path.display().to_string();
        let file = Self::open(path)?;
        let mut bytes = Vec::new();
        let read = file.take(Self::LIMIT + 1).read_to_end(&mut bytes);
        read.map_err(|cause| unread(path, cause))?;
        if bytes.len() as u64 > Self::LIMIT {
            return Err(ConfigError::TooLarge {
                path: name,
                limit: Self::LIMIT,
            });
        }
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Self { path: name, text }),
            Err(error) => {
                let good = error.utf8_error().valid_up_to();
                let text = String::from_utf8_lossy(&error.as_bytes()[..good]).into_owned();
                Err(ConfigError::NotText {
                    place: Self { path: name, text }.place(good),
                })
            }
        }
    }

    /// Opens a file to read, of whatever length.
    ///
    /// # Errors
    /// No such file, a directory, no permission, or a failure of the system.
    pub fn open(path: &Path) -> Result<File, ConfigError> {
        if path.is_dir() {
            return Err(unread(path, ErrorKind::IsADirectory.into()));
        }
        File::open(path).map_err(|cause| unread(path, cause))
    }

    /// Line and column of a byte offset; an offset beyond the end is taken as the end.
    pub fn place(&self, offset: usize) -> Place {
        let mut offset = offset.min(self.text.len());
        while !self.text.is_char_boundary(offset) {
            offset -= 1;
        }
        let before = &self.text[..offset];
        let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
        Place {
            path: self.path.as_str().into(),
            line: counted(before.matches('\n').count()),
            column: counted(before[line_start..].chars().count()),
        }
    }
}

/// Why the system does not deliver a file.
fn unread(path: &Path, cause: std::io::Error) -> ConfigError {
    let path = path.display().to_string();
    match cause.kind() {
        ErrorKind::NotFound => ConfigError::NotFound { path },
        ErrorKind::PermissionDenied => ConfigError::Permission { path },
        ErrorKind::IsADirectory => ConfigError::Directory { path },
        _ => ConfigError::Read { path, cause },
    }
}

/// A count from zero as it's told, from one; a file's limit keeps it far below the largest.
fn counted(from_zero: usize) -> u32 {
    u32::try_from(from_zero).map_or(u32::MAX, |count| count.saturating_add(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_count_from_one_in_characters() {
        let source = Source::new("a.toml", "x = 1\ncm³ = 2\n");
        assert_eq!(source.place(0).to_string(), "a.toml:1:1");
        assert_eq!(source.place(6).to_string(), "a.toml:2:1");
        // Two bytes, one character, also from the middle of it.
        assert_eq!(source.place(10).to_string(), "a.toml:2:4");
        assert_eq!(source.place(9).to_string(), "a.toml:2:3");
        assert_eq!(source.place(usize::MAX).to_string(), "a.toml:3:1");
    }

    #[test]
    fn files_that_cannot_be_read() {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        assert!(matches!(
            Source::read(&path("none.toml")),
            Err(ConfigError::NotFound { .. })
        ));
        assert!(matches!(
            Source::read(folder.path()),
            Err(ConfigError::Directory { .. })
        ));
        std::fs::write(path("bytes.toml"), b"a = 1\nb = \xff\n").unwrap();
        match Source::read(&path("bytes.toml")) {
            Err(ConfigError::NotText { place }) => assert_eq!((place.line, place.column), (2, 5)),
            other => panic!("{other:?}"),
        }
        std::fs::write(path("limit.toml"), vec![b'#'; Source::LIMIT as usize]).unwrap();
        assert!(Source::read(&path("limit.toml")).is_ok());
        std::fs::write(path("huge.toml"), vec![b'#'; Source::LIMIT as usize + 1]).unwrap();
        assert!(matches!(
            Source::read(&path("huge.toml")),
            Err(ConfigError::TooLarge { .. })
        ));
    }
}
