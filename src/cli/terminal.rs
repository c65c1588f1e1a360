//! The practice in this terminal: raw mode, the event loop, and the terminal given back however it ends. The wall clock paces the
//! engine; what the screen shows and what keys do is the library's.

use std::io::{IsTerminal, Write, stdout};
use std::mem::ManuallyDrop;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use crossterm::event::{
    DisableBracketedPaste, DisableFocusChange, EnableBracketedPaste, EnableFocusChange, Event, KeyCode, KeyEventKind,
    KeyModifiers, KeyboardEnhancementFlags, PopKeyboardEnhancementFlags, PushKeyboardEnhancementFlags,
};
use crossterm::terminal::{EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode};
use crossterm::{cursor, execute, queue};
use needlebench::practise::recording::Practice;
use needlebench::practise::screen::desk::{Desk, LEAST_COLUMNS, LEAST_ROWS};
use needlebench::practise::screen::draw::draw;
use needlebench::practise::screen::keys::{Key, Stroke};
use needlebench::practise::screen::mode::Mode;
use ratatui::backend::CrosstermBackend;
use ratatui::layout::Rect;
use ratatui::{Terminal, TerminalOptions, Viewport};

use super::Failure;
use super::keyboard::{Keyboard, key};
use super::signals::Asked;

/// The terminal as it is drawn on.
type Screen = Terminal<CrosstermBackend<std::io::Stdout>>;

/// Time between two pictures while the engine may run: thirty a second.
const SLICE: Duration = Duration::from_millis(33);
/// The same while time stands still.
const STILL: Duration = Duration::from_millis(100);
/// Longest time that passes at once, ms: what a stopped or very busy machine loses is not made up for.
const LONGEST_MS: u64 = 250;
/// Most columns and rows that are drawn on: no window has more, but a terminal may say anything.
const MOST_COLUMNS: u16 = 500;
/// See above.
const MOST_ROWS: u16 = 200;

/// How the screen was left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Left {
    /// The practice ended.
    Ended,
    /// By Ctrl-C or a signal.
    Interrupted,
}

/// Which ends of the program were a terminal's when it began.
#[derive(Clone, Copy, Debug)]
pub struct Attached {
    /// What is read.
    pub input: bool,
    output: bool,
}

impl Attached {
    /// As it is now.
    pub fn now() -> Self {
        Self {
            input: std::io::stdin().is_terminal(),
            output: stdout().is_terminal(),
        }
    }

    /// Both ends: somebody types and reads.
    pub fn both(&self) -> bool {
        self.input && self.output
    }

    /// Columns of what is written to: a terminal's own; elsewhere as many as any screen has.
    pub fn columns(&self) -> usize {
        let own = || crossterm::terminal::size().ok().map(|(columns, _)| columns);
        let own = if self.output { own() } else { None };
        usize::from(own.filter(|columns| *columns > 0).unwrap_or(LEAST_COLUMNS))
    }

    /// What was shown could not be written: a terminal is going a moment before it is gone.
    pub fn is_going(&self) -> bool {
        self.output || self.is_lost()
    }

    /// A terminal that was there is gone: its window was closed.
    pub fn is_lost(&self) -> bool {
        let now = Self::now();
        (self.input && !now.input) || (self.output && !now.output)
    }
}

/// Whether there is a terminal to draw on and keys to read.
pub fn there() -> bool {
    Attached::now().both() && !dumb()
}

/// Whether the terminal says that it can do nothing but print.
pub fn dumb() -> bool {
    std::env::var_os("TERM").is_some_and(|term| term == "dumb")
}

fn colour() -> bool {
    std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

fn failed(cause: std::io::Error) -> Failure {
    Failure::Terminal { cause }
}

/// The terminal is ours.
static OURS: AtomicBool = AtomicBool::new(false);
/// It tells when keys are let go.
static TELLS_RELEASE: AtomicBool = AtomicBool::new(false);

/// Takes the terminal.
fn take() -> std::io::Result<()> {
    enable_raw_mode()?;
    OURS.store(true, Ordering::SeqCst);
    execute!(
        stdout(),
        EnterAlternateScreen,
        cursor::Hide,
        EnableFocusChange,
        EnableBracketedPaste
    )?;
    if TELLS_RELEASE.load(Ordering::SeqCst) {
        ask_for_releases()
    } else {
        Ok(())
    }
}

fn ask_for_releases() -> std::io::Result<()> {
    execute!(
        stdout(),
        PushKeyboardEnhancementFlags(
            KeyboardEnhancementFlags::DISAMBIGUATE_ESCAPE_CODES
                | KeyboardEnhancementFlags::REPORT_EVENT_TYPES
                | KeyboardEnhancementFlags::REPORT_ALTERNATE_KEYS
        )
    )
}

/// Gives the terminal back, once; what fails on a terminal that is gone doesn't matter.
fn give_back() {
    if !OURS.swap(false, Ordering::SeqCst) {
        return;
    }
    let mut out = stdout();
    if TELLS_RELEASE.swap(false, Ordering::SeqCst) {
        let _ = queue!(out, PopKeyboardEnhancementFlags);
    }
    let _ = queue!(
        out,
        DisableBracketedPaste,
        DisableFocusChange,
        cursor::Show,
        LeaveAlternateScreen
    );
    let _ = out.flush();
    let _ = disable_raw_mode();
}

/// Gives the terminal back when it goes out of scope.
struct Guard;

impl Drop for Guard {
    fn drop(&mut self) {
        give_back();
    }
}

/// Steps aside for the shell, until called back.
fn suspend(terminal: &mut Screen) -> std::io::Result<()> {
    give_back();
    #[cfg(unix)]
    signal_hook::low_level::emulate_default_handler(signal_hook::consts::SIGTSTP)?;
    take()?;
    redraw(terminal)
}

/// Forgets what was drawn, so that all of it is drawn anew; unlike the terminal's own `clear` it asks the terminal nothing.
fn redraw(terminal: &mut Screen) -> std::io::Result<()> {
    terminal.resize(area()?)
}

/// The part of the terminal that is drawn on: all of it, within reason; the usual size where it doesn't know its own.
fn area() -> std::io::Result<Rect> {
    Ok(match crossterm::terminal::size()? {
        (0, _) | (_, 0) => Rect::new(0, 0, LEAST_COLUMNS, LEAST_ROWS),
        (columns, rows) => Rect::new(0, 0, columns.min(MOST_COLUMNS), rows.min(MOST_ROWS)),
    })
}

/// What the loop does with an event besides handing it to the desk.
enum Next {
    GoOn,
    Suspend,
    Redraw,
    End,
}

fn take_event(event: Event, desk: &mut Desk, practice: &mut Practice, now_ms: u64) -> Next {
    match event {
        Event::Key(k) if k.modifiers.contains(KeyModifiers::CONTROL) && k.kind != KeyEventKind::Release => match k.code
        {
            KeyCode::Char('c') => return Next::End,
            KeyCode::Char('z') => return Next::Suspend,
            KeyCode::Char('l') => return Next::Redraw,
            _ => {}
        },
        Event::Key(k) => {
            if let Some((key, stroke)) = key(k) {
                desk.key(practice, key, stroke, now_ms);
            }
        }
        // Pasted text is a remark or nothing: it presses no keys.
        Event::Paste(text) => {
            for letter in text.chars().filter(|c| !c.is_control()) {
                if matches!(desk.mode, Mode::Note(_)) {
                    desk.key(practice, Key::Char(letter), Stroke::Down, now_ms);
                }
            }
        }
        Event::FocusLost => desk.looked_away(practice),
        Event::Resize(..) | Event::FocusGained | Event::Mouse(_) => {}
    }
    Next::GoOn
}

/// Works with the terminal taken, and gives it back however the work ends: done, failed or in a panic, whose message then
/// stands on the terminal as it was.
fn within<T>(work: impl FnOnce() -> std::io::Result<T>) -> std::io::Result<T> {
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        give_back();
        before(panic);
    }));
    let _guard = Guard;
    take()?;
    work()
}

/// Practises on the full screen until it ends.
pub fn play(practice: &mut Practice, recorded: Option<&Path>, asked: &Asked) -> Result<(Left, Desk), Failure> {
    let attached = Attached::now();
    let mut desk = Desk::new(practice, recorded.map(|path| path.display().to_string()));
    match within(|| run(practice, &mut desk, asked, &attached)) {
        Ok(left) => Ok((left, desk)),
        // A terminal that hung up is an end like any other.
        Err(_) if asked.is_set() || attached.is_lost() => Ok((Left::Interrupted, desk)),
        Err(cause) => Err(failed(cause)),
    }
}

fn run(practice: &mut Practice, desk: &mut Desk, asked: &Asked, attached: &Attached) -> std::io::Result<Left> {
    let over = || asked.is_set() || attached.is_lost();
    let viewport = Viewport::Fixed(area()?);
    let screen = Screen::with_options(CrosstermBackend::new(stdout()), TerminalOptions { viewport })?;
    // Dropped, it would show the cursor again and panic where neither that nor saying so can be written; giving the terminal
    // back shows it anyway.
    let mut terminal = ManuallyDrop::new(screen);
    redraw(&mut terminal)?;
    let colour = colour();
    let shown = area()?;
    desk.resize(shown.width, shown.height, practice);
    terminal.draw(|frame| draw(frame, desk, colour))?;
    // A terminal that doesn't say what it can takes its time, so a picture stands there first.
    let keyboard = Keyboard::listen()?;
    while !over() {
        if let Some(tells) = keyboard.tells_release(SLICE)? {
            if tells {
                TELLS_RELEASE.store(true, Ordering::SeqCst);
                ask_for_releases()?;
            }
            break;
        }
    }
    let start = Instant::now();
    let now_ms = || start.elapsed().as_millis() as u64;
    let mut passed_ms = 0;
    let mut shown = shown;
    loop {
        if over() {
            return Ok(Left::Interrupted);
        }
        let size = area()?;
        if size != shown {
            terminal.resize(size)?;
            shown = size;
        }
        desk.resize(size.width, size.height, practice);
        let now = now_ms();
        let elapsed = (now - passed_ms).min(LONGEST_MS) as u32;
        passed_ms = now;
        desk.pass(practice, elapsed, now);
        if desk.finished() {
            return Ok(Left::Ended);
        }
        terminal.draw(|frame| draw(frame, desk, colour))?;
        let slice = match (desk.busy(), desk.still()) {
            (true, _) => Duration::ZERO,
            (false, true) => STILL,
            (false, false) => SLICE,
        };
        let due = start + Duration::from_millis(now) + slice;
        // What a key did is drawn at once, and the picture is never late, however fast more keys come.
        let mut event = keyboard.next(due)?;
        while let Some(sent) = event {
            match take_event(sent, desk, practice, now_ms()) {
                Next::GoOn => {}
                Next::Suspend => {
                    suspend(&mut terminal)?;
                    passed_ms = now_ms();
                }
                Next::Redraw => redraw(&mut terminal)?,
                Next::End => asked.set(),
            }
            event = if Instant::now() < due {
                keyboard.waiting()?
            } else {
                None
            };
        }
    }
}

#[cfg(all(test, unix))]
mod tests {
    use std::io::Read;

    use portable_pty::{CommandBuilder, PtySize, native_pty_system};

    use super::*;

    /// Tells the test that it is the one that panics, in a terminal of its own.
    const PANICS: &str = "NEEDLEBENCH_TEST_PANICS";

    #[test]
    fn a_panic_gives_the_terminal_back_before_it_speaks() {
        if std::env::var_os(PANICS).is_some() {
            let _ = within(|| -> std::io::Result<()> { panic!("a mistake on purpose") });
        }
        let pair = native_pty_system().openpty(PtySize::default()).unwrap();
        let settings = || format!("{:?}", pair.master.get_termios().unwrap());
        let before = settings();
        let mut command = CommandBuilder::new(std::env::current_exe().unwrap());
        command.args([
            "--exact",
            "cli::terminal::tests::a_panic_gives_the_terminal_back_before_it_speaks",
            "--nocapture",
        ]);
        command.env(PANICS, "1");
        // What a terminal says it is, before it is asked.
        pair.master.take_writer().unwrap().write_all(b"\x1b[?62c").unwrap();
        let mut child = pair.slave.spawn_command(command).unwrap();
        let mut reader = pair.master.try_clone_reader().unwrap();
        let reading = std::thread::spawn(move || {
            let (mut all, mut some) = (Vec::new(), [0; 4096]);
            while let Ok(count @ 1..) = reader.read(&mut some) {
                all.extend_from_slice(&some[..count]);
            }
            String::from_utf8_lossy(&all).into_owned()
        });
        child.wait().unwrap();
        assert_eq!(settings(), before, "the line's settings");
        drop(pair);
        let shown = reading.join().unwrap();
        let at = |what: &str| shown.rfind(what).unwrap_or_else(|| panic!("no {what:?} in {shown:?}"));
        assert!(at("\x1b[?1049h") < at("\x1b[?1049l"));
        assert!(at("\x1b[?1049l") < at("a mistake on purpose"));
        assert!(at("\x1b[?25l") < at("\x1b[?25h"));
    }
}
