//! The file of the listening room's answers: read once, with what is damaged passed over and told, and added to a line at a time. Whatever
//! keeps it from being read or written is a message; listening goes on without it.

use std::fs::{File, OpenOptions};
use std::io::{BufRead, BufReader, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use needlebench::practise::listening::Answered;
use needlebench::practise::listening::kept::{Kept, LONGEST};

use crate::cli::{output, recording};

/// Its name, beside the practices' folder.
const NAME: &str = "listening.jsonl";

/// Where answers are kept.
#[derive(Debug)]
pub struct AnswerFile {
    /// Nowhere, if there is none.
    path: Option<PathBuf>,
    /// What was told last.
    trouble: Option<String>,
}

impl AnswerFile {
    /// The file, if answers are to be kept, with what stands in it.
    pub fn open(kept: bool) -> (Self, Vec<Answered>) {
        let mut file = Self {
            path: None,
            trouble: None,
        };
        if !kept {
            return (file, Vec::new());
        }
        let Some(path) = recording::folder().and_then(|folder| Some(folder.parent()?.join(NAME))) else {
            file.tell("answers are not kept: neither XDG_DATA_HOME nor HOME names a folder".to_string());
            return (file, Vec::new());
        };
        let before = file.read(&path);
        file.path = Some(path);
        (file, before)
    }

    /// What keeps answers from being kept, or kept them from being read.
    pub fn trouble(&self) -> Option<&str> {
        self.trouble.as_deref()
    }

    /// Tells of trouble, once as long as it stays the same.
    fn tell(&mut self, words: String) {
        if self.trouble.as_ref() != Some(&words) {
            output::say(&words);
            self.trouble = Some(words);
        }
    }

    fn read(&mut self, path: &Path) -> Vec<Answered> {
        let opened = match std::fs::metadata(path) {
            Err(error) if error.kind() == ErrorKind::NotFound => return Vec::new(),
            // A pipe would be waited for.
            Ok(known) if !known.is_file() => Err(ErrorKind::InvalidInput.into()),
            Ok(_) => File::open(path),
            Err(error) => Err(error),
        };
        let read = opened.and_then(|file| read_from(BufReader::new(file)));
        match read {
            Ok((before, damaged)) => {
                if let Some(first) = damaged.first() {
                    let path = path.display();
                    let count = damaged.len();
                    self.tell(format!(
                        "{path}:{first}:1: this is no answer of the listening room; {count} such line(s) in all are passed over, the others count"
                    ));
                }
                before
            }
            Err(error) => {
                self.tell(format!(
                    "{}: earlier answers can't be read ({error}); listening begins anew",
                    path.display()
                ));
                Vec::new()
            }
        }
    }

    /// Adds an answer; what can't be written to its end is taken back.
    pub fn keep(&mut self, kept: &Kept) {
        let Some(path) = self.path.clone() else { return };
        if let Err(error) = append(&path, kept) {
            self.tell(format!(
                "{}: the answer could not be kept ({error}); listening goes on without",
                path.display()
            ));
        }
    }
}

fn append(path: &Path, kept: &Kept) -> std::io::Result<()> {
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder)?;
    }
    if std::fs::metadata(path).is_ok_and(|known| !known.is_file()) {
        return Err(ErrorKind::InvalidInput.into());
    }
    let mut file = OpenOptions::new().append(true).read(true).create(true).open(path)?;
    let length = file.metadata()?.len();
    let mut line = serde_json::to_string(kept)? + "\n";
    if length > 0 {
        let mut last = [0];
        file.seek(SeekFrom::End(-1))?;
        file.read_exact(&mut last)?;
        if last != *b"\n" {
            line.insert(0, '\n');
        }
    }
    file.write_all(line.as_bytes()).inspect_err(|_| {
        let _ = file.set_len(length);
    })
}

/// All answers, and the numbers of the lines that are none.
fn read_from(mut reader: impl BufRead) -> std::io::Result<(Vec<Answered>, Vec<usize>)> {
    let (mut answers, mut damaged) = (Vec::new(), Vec::new());
    let mut line = Vec::new();
    for number in 1.. {
        line.clear();
        if reader.by_ref().take(LONGEST as u64 + 1).read_until(b'\n', &mut line)? == 0 {
            break;
        }
        let whole = line.ends_with(b"\n");
        let text = std::str::from_utf8(&line).unwrap_or_default().trim_end();
        match Kept::read(text) {
            Some(kept) => answers.push(kept.answered()),
            None => damaged.push(number),
        }
        if !whole {
            // The rest of a line that is too long for one of ours.
            reader.skip_until(b'\n')?;
        }
    }
    Ok((answers, damaged))
}

#[cfg(test)]
mod tests {
    use needlebench::practise::listening::drill::Drill;

    use super::*;

    fn kept(right: bool) -> Kept {
        let answered = Answered {
            drill: Drill::LowIdle,
            step_clicks: 12,
            right,
        };
        Kept::new(5, "offroad-3.5", answered)
    }

    #[test]
    fn damaged_lines_are_passed_over_and_the_rest_counts() {
        let good = serde_json::to_string(&kept(true)).unwrap();
        let long = "x".repeat(10 * LONGEST) + &good;
        let text = format!("{good}\n{}\n{long}\n{good}\r\n\u{1}\n{good}", &good[..30]);
        let (answers, damaged) = read_from(text.as_bytes()).unwrap();
        assert_eq!((answers.len(), damaged), (3, vec![2, 3, 5]));
        let (answers, damaged) = read_from(&b"\xff\xfe\n"[..]).unwrap();
        assert_eq!((answers.len(), damaged), (0, vec![1]));
    }

    #[test]
    fn a_line_is_added_after_what_is_there_even_if_that_was_cut() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("below").join(NAME);
        append(&path, &kept(true)).unwrap();
        let first = std::fs::read_to_string(&path).unwrap();
        std::fs::write(&path, &first[..20]).unwrap();
        append(&path, &kept(false)).unwrap();
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(
            text.starts_with(&format!("{}\n{{", &first[..20])) && text.ends_with("}\n"),
            "{text}"
        );
        let (answers, damaged) = read_from(text.as_bytes()).unwrap();
        assert_eq!((answers, damaged), (vec![kept(false).answered()], vec![1]));
        assert!(append(folder.path(), &kept(true)).is_err());
    }
}
