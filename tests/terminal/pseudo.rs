//! A program in a pseudo-terminal of its own: keys in, what a terminal would show out.

use std::io::{Read, Write};
use std::num::NonZero;
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use assert_cmd::Command;
use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, SlavePty, native_pty_system};

/// Longest wait for anything; met at once on an idle machine.
pub const PATIENCE: Duration = Duration::from_secs(30);

/// What came out of the program.
pub struct Output {
    pub screen: vt100::Parser,
    pub raw: Vec<u8>,
}

/// A program in a terminal of its own.
pub struct Terminal {
    pub output: Arc<Mutex<Output>>,
    input: Arc<Mutex<Box<dyn Write + Send>>>,
    pub child: Box<dyn Child + Send + Sync>,
    master: Box<dyn MasterPty + Send>,
    // Held open, so that the settings of the line can be read after the end.
    _slave: Box<dyn SlavePty + Send>,
}

pub fn size(columns: u16, rows: u16) -> PtySize {
    PtySize {
        rows,
        cols: columns,
        pixel_width: 0,
        pixel_height: 0,
    }
}

pub fn cells(count: u16) -> NonZero<u16> {
    NonZero::new(count).unwrap()
}

/// Answers what the program asks its terminal: what it is, and, if `tells_release`, that it can tell when keys are let go.
fn answer(new: &[u8], tells_release: bool, input: &Mutex<Box<dyn Write + Send>>) {
    let asked = |what: &[u8]| new.windows(what.len()).any(|w| w == what);
    let mut reply = Vec::new();
    if asked(b"\x1b[?u") && tells_release {
        reply.extend(b"\x1b[?0u");
    }
    if asked(b"\x1b[c") {
        reply.extend(b"\x1b[?62c");
    }
    if !reply.is_empty() {
        input.lock().unwrap().write_all(&reply).unwrap();
    }
}

impl Terminal {
    /// Starts `program` with `arguments` in 80 columns and 24 rows.
    pub fn start(program: &str, arguments: &[&str], home: &Path, tells_release: bool) -> Self {
        Self::start_sized(program, arguments, home, tells_release, size(80, 24))
    }

    /// Starts it in a terminal that says it has that size; what is looked at here is its upper left, 500 columns and 200 rows at most.
    pub fn start_sized(program: &str, arguments: &[&str], home: &Path, tells_release: bool, says: PtySize) -> Self {
        let pair = native_pty_system().openpty(says).unwrap();
        let mut command = CommandBuilder::new(program);
        command.args(arguments);
        command.env("TERM", "xterm-256color");
        command.env("XDG_DATA_HOME", home);
        command.env_remove("NO_COLOR");
        // With a display the page would open.
        command.env_remove("DISPLAY");
        command.env_remove("WAYLAND_DISPLAY");
        if home.join("no-colour").exists() {
            command.env("NO_COLOR", "1");
        }
        let child = pair.slave.spawn_command(command).unwrap();
        let input = Arc::new(Mutex::new(pair.master.take_writer().unwrap()));
        let output = Arc::new(Mutex::new(Output {
            screen: vt100::Parser::new(cells(says.rows.clamp(24, 200)), cells(says.cols.clamp(80, 500)), 0),
            raw: Vec::new(),
        }));
        let mut reader = pair.master.try_clone_reader().unwrap();
        let (out, answers) = (Arc::clone(&output), Arc::clone(&input));
        std::thread::spawn(move || {
            let mut buffer = [0; 65536];
            while let Ok(count) = reader.read(&mut buffer) {
                if count == 0 {
                    break;
                }
                let mut out = out.lock().unwrap();
                out.screen.process(&buffer[..count]);
                out.raw.extend(&buffer[..count]);
                drop(out);
                answer(&buffer[..count], tells_release, &answers);
            }
        });
        Self {
            output,
            input,
            child,
            master: pair.master,
            _slave: pair.slave,
        }
    }

    pub fn practise(arguments: &[&str], home: &Path) -> Self {
        let fixed = ["practise", "--terminal", "--seed", "1"];
        let program = env!("CARGO_BIN_EXE_needlebench");
        Self::start(program, &[&fixed[..], arguments].concat(), home, false)
    }

    pub fn shown(&self) -> String {
        self.output.lock().unwrap().screen.screen().contents()
    }

    /// Waits until the screen is as wanted; the screen then.
    pub fn until(&self, what: &str, wanted: impl Fn(&str) -> bool) -> String {
        let start = Instant::now();
        loop {
            let shown = self.shown();
            if wanted(&shown) {
                return shown;
            }
            assert!(start.elapsed() < PATIENCE, "waited in vain for {what}:\n{shown}");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    pub fn wait_for(&self, text: &str) -> String {
        self.until(text, |shown| shown.contains(text))
    }

    pub fn press(&self, keys: &str) {
        self.input.lock().unwrap().write_all(keys.as_bytes()).unwrap();
    }

    /// Presses keys and waits for what they bring about.
    pub fn after(&self, keys: &str, text: &str) -> String {
        self.press(keys);
        self.wait_for(text)
    }

    pub fn resize(&self, columns: u16, rows: u16) {
        self.output
            .lock()
            .unwrap()
            .screen
            .screen_mut()
            .set_size(cells(rows), cells(columns));
        self.master.resize(size(columns, rows)).unwrap();
    }

    pub fn signal(&self, name: &str) {
        let process = self.child.process_id().unwrap().to_string();
        Command::new("kill").args([name, &process]).assert().success();
    }

    /// Waits for the end; the exit code.
    pub fn end(&mut self) -> u32 {
        let start = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.exit_code();
            }
            assert!(start.elapsed() < PATIENCE, "it doesn't end:\n{}", self.shown());
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    pub fn line_settings(&self) -> String {
        format!("{:?}", self.master.get_termios().unwrap())
    }

    /// The terminal is as it was: no second screen, the cursor shown, the line's settings as before.
    pub fn given_back(&self, settings: &str) {
        let start = Instant::now();
        loop {
            let output = self.output.lock().unwrap();
            let screen = output.screen.screen();
            if !screen.alternate_screen() && !screen.hide_cursor() {
                break;
            }
            assert!(start.elapsed() < PATIENCE, "not given back:\n{}", screen.contents());
            drop(output);
            std::thread::sleep(Duration::from_millis(5));
        }
        assert_eq!(self.line_settings(), settings);
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        let _ = self.child.kill();
    }
}

/// The settings of a line that nobody has changed.
pub fn fresh_settings() -> String {
    let pair = native_pty_system().openpty(size(80, 24)).unwrap();
    format!("{:?}", pair.master.get_termios().unwrap())
}
