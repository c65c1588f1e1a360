//! A terminal whose window is closed: the program ends at once, with everything recorded, whether the system sends a signal too or
//! the terminal only falls silent.

use std::fs::{File, OpenOptions};
use std::io::{Read, Write};
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::{Child, Command};
use std::time::{Duration, Instant};

use rustix::event::{PollFd, PollFlags, Timespec, poll};
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{Winsize, tcsetwinsize};

use super::pseudo::{PATIENCE, cells};
use super::replays;

/// A window: the one holder of a terminal's other end, so that closing it is what closing a window is.
struct Window {
    /// None once it is closed.
    far: Option<File>,
    program: Child,
    screen: vt100::Parser,
}

impl Window {
    /// Opens a window in which the program practises. With `signal` the terminal is the session's own, so that the system sends a
    /// signal when it goes.
    fn open(arguments: &[&str], recording: &Path, signal: bool) -> Self {
        let far = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY | OpenptFlags::CLOEXEC).unwrap();
        grantpt(&far).unwrap();
        unlockpt(&far).unwrap();
        let name = ptsname(&far, Vec::new()).unwrap();
        let size = Winsize {
            ws_row: 24,
            ws_col: 80,
            ws_xpixel: 0,
            ws_ypixel: 0,
        };
        tcsetwinsize(&far, size).unwrap();
        let near = || {
            OpenOptions::new()
                .read(true)
                .write(true)
                .open(name.to_str().unwrap())
                .unwrap()
        };
        let program = env!("CARGO_BIN_EXE_needlebench");
        let mut command = Command::new(if signal { "setsid" } else { program });
        if signal {
            // A leader of a group would be left behind by a copy of itself.
            command.args(["--ctty", program]);
        } else {
            // Of this session no terminal, and of its groups not the foremost: nothing but silence tells.
            command.process_group(0);
        }
        command
            .args(["practise", "lesson-1", "--seed", "1", "--level", "by-ear", "--record"])
            .arg(recording)
            .args(arguments)
            .env("TERM", "xterm-256color")
            .stdin(near())
            .stdout(near())
            .stderr(near());
        let program = command.spawn().unwrap();
        let screen = vt100::Parser::new(cells(24), cells(80), 0);
        Self {
            far: Some(far.into()),
            program,
            screen,
        }
    }

    fn type_in(&mut self, keys: &str) {
        self.far.as_mut().unwrap().write_all(keys.as_bytes()).unwrap();
    }

    /// Reads what is shown until `text` is.
    fn wait_for(&mut self, text: &str) {
        let start = Instant::now();
        let mut some = [0; 65536];
        while !self.screen.screen().contents().contains(text) {
            let shown = self.screen.screen().contents();
            assert!(start.elapsed() < PATIENCE, "waited in vain for {text}:\n{shown}");
            let a_while = Timespec {
                tv_sec: 0,
                tv_nsec: 100_000_000,
            };
            let far = self.far.as_mut().unwrap();
            if poll(&mut [PollFd::new(&*far, PollFlags::IN)], Some(&a_while)).unwrap() > 0 {
                let count = far.read(&mut some).unwrap();
                self.screen.process(&some[..count]);
                // What the terminal is, when it is asked.
                if some[..count].windows(3).any(|asked| asked == b"\x1b[c") {
                    self.type_in("\x1b[?62c");
                }
            }
        }
    }

    /// Closes the window; the exit code, none if it doesn't end, and the time it took.
    fn close(mut self) -> (Option<i32>, Duration) {
        let start = Instant::now();
        self.far = None;
        while start.elapsed() < Duration::from_secs(5) {
            if let Some(status) = self.program.try_wait().unwrap() {
                return (status.code(), start.elapsed());
            }
            std::thread::sleep(Duration::from_millis(5));
        }
        (None, start.elapsed())
    }
}

impl Drop for Window {
    fn drop(&mut self) {
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

/// Closed, it ends within a second, as interrupted, and what was done is recorded to the leaving.
fn ends(window: Window, recording: &Path, what: &str) {
    let (code, took) = window.close();
    assert_eq!(code, Some(130), "{what}");
    assert!(took < Duration::from_secs(1), "{what}: {took:?}");
    let replayed = replays(recording);
    assert!(
        replayed.contains("> start") && replayed.contains("> quit"),
        "{what}:\n{replayed}"
    );
}

#[test]
fn a_closed_window_ends_the_full_screen() {
    for signal in [true, false] {
        let home = tempfile::tempdir().unwrap();
        let recording = home.path().join("r.jsonl");
        let mut window = Window::open(&[], &recording, signal);
        window.wait_for("any key");
        window.type_in("x");
        window.wait_for("Engine stands");
        window.type_in("ek5");
        window.wait_for("throttle 50 %");
        // The rest of this key never comes.
        window.type_in("\x1b[");
        ends(window, &recording, &format!("signal {signal}"));
    }
}

#[test]
fn a_window_closed_before_the_terminal_has_answered_is_no_other() {
    for signal in [true, false] {
        let home = tempfile::tempdir().unwrap();
        let recording = home.path().join("r.jsonl");
        let window = Window::open(&[], &recording, signal);
        // The picture stands, and the terminal is being asked what it can.
        let start = Instant::now();
        while recording.metadata().map_or(0, |known| known.len()) == 0 {
            assert!(start.elapsed() < PATIENCE);
            std::thread::sleep(Duration::from_millis(5));
        }
        std::thread::sleep(Duration::from_millis(300));
        let (code, took) = window.close();
        assert_eq!(code, Some(130), "signal {signal}");
        assert!(took < Duration::from_secs(1), "signal {signal}: {took:?}");
    }
}

#[test]
fn a_closed_window_ends_the_lines() {
    for signal in [true, false] {
        let home = tempfile::tempdir().unwrap();
        let recording = home.path().join("r.jsonl");
        let mut window = Window::open(&["--plain"], &recording, signal);
        window.wait_for("> ");
        window.type_in("start\nfull 2\n");
        window.wait_for("throttle 100 %");
        ends(window, &recording, &format!("lines, signal {signal}"));
    }
}
