//! The practice in this terminal: raw mode, the event loop, and the terminal given back however it ends. The wall clock paces the
//! engine; what the screen shows and what keys do is the library's.

use std::io::{IsTerminal, Write, stdout};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use crossterm::event::{
    self, DisableBracketedPaste, DisableFocusChange, EnableBracketedPaste, EnableFocusChange, Event, KeyCode, KeyEvent,
    KeyEventKind, KeyModifiers, KeyboardEnhancementFlags, PopKeyboardEnhancementFlags, PushKeyboardEnhancementFlags,
};
use crossterm::terminal::{
    EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode, supports_keyboard_enhancement,
};
use crossterm::{cursor, execute, queue};
use needlebench::practise::recording::Practice;
use needlebench::practise::screen::desk::Desk;
use needlebench::practise::screen::draw::draw;
use needlebench::practise::screen::keys::{Key, Stroke};
use needlebench::practise::screen::mode::Mode;
use needlebench::tuning::action::Action;
use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;
use ratatui::layout::Rect;

use super::Failure;

/// Time between two pictures while the engine may run: thirty a second.
const SLICE: Duration = Duration::from_millis(33);
/// The same while time stands still.
const STILL: Duration = Duration::from_millis(100);
/// Longest time that passes at once, ms: what a stopped or very busy machine loses is not made up for.
const LONGEST_MS: u64 = 250;

/// How the screen was left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Left {
    /// The practice ended.
    Ended,
    /// By Ctrl-C or a signal.
    Interrupted,
}

/// Whether there is a terminal to draw on and keys to read.
pub fn there() -> bool {
    std::io::stdin().is_terminal() && stdout().is_terminal() && !dumb()
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

/// Finds out whether the terminal can tell when a key is let go, and asks for it. One that doesn't answer takes two seconds, so a
/// picture stands there first.
fn learn_of_releases() -> std::io::Result<()> {
    if matches!(supports_keyboard_enhancement(), Ok(true)) {
        TELLS_RELEASE.store(true, Ordering::SeqCst);
        ask_for_releases()?;
    }
    Ok(())
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

/// Set by a signal that asks to end.
fn asked_to_end() -> std::io::Result<Arc<AtomicBool>> {
    let flag = Arc::new(AtomicBool::new(false));
    #[cfg(unix)]
    {
        use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGXFSZ};
        for signal in [SIGTERM, SIGHUP, SIGINT, SIGQUIT] {
            // A second one ends a program that hangs on its terminal.
            signal_hook::flag::register_conditional_shutdown(signal, 130, Arc::clone(&flag))?;
            signal_hook::flag::register(signal, Arc::clone(&flag))?;
        }
        // A recording over the limit of file sizes is an error of its write, not the end.
        signal_hook::flag::register(SIGXFSZ, Arc::new(AtomicBool::new(false)))?;
    }
    Ok(flag)
}

/// Steps aside for the shell, until called back.
fn suspend(terminal: &mut Terminal<CrosstermBackend<std::io::Stdout>>) -> std::io::Result<()> {
    give_back();
    #[cfg(unix)]
    signal_hook::low_level::emulate_default_handler(signal_hook::consts::SIGTSTP)?;
    take()?;
    redraw(terminal)
}

/// Forgets what was drawn, so that all of it is drawn anew; unlike the terminal's own `clear` it asks the terminal nothing.
fn redraw(terminal: &mut Terminal<CrosstermBackend<std::io::Stdout>>) -> std::io::Result<()> {
    let size = terminal.size()?;
    terminal.resize(Rect::new(0, 0, size.width, size.height))
}

fn key(event: KeyEvent) -> Option<(Key, Stroke)> {
    if event
        .modifiers
        .intersects(KeyModifiers::CONTROL | KeyModifiers::ALT | KeyModifiers::SUPER)
    {
        return None;
    }
    let stroke = match event.kind {
        KeyEventKind::Press => Stroke::Down,
        KeyEventKind::Repeat => Stroke::Repeat,
        KeyEventKind::Release => Stroke::Up,
    };
    let key = match event.code {
        KeyCode::Char(c) => Key::Char(c),
        KeyCode::Enter => Key::Enter,
        KeyCode::Esc => Key::Escape,
        KeyCode::Backspace => Key::Backspace,
        KeyCode::Tab => Key::Tab,
        KeyCode::Up => Key::Up,
        KeyCode::Down => Key::Down,
        KeyCode::Left => Key::Left,
        KeyCode::Right => Key::Right,
        KeyCode::PageUp => Key::PageUp,
        KeyCode::PageDown => Key::PageDown,
        KeyCode::Home => Key::Home,
        KeyCode::End => Key::End,
        KeyCode::F(1) => Key::Char('?'),
        _ => Key::Other,
    };
    Some((key, stroke))
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
pub fn play(practice: &mut Practice, recorded: Option<&Path>) -> Result<(Left, Desk), Failure> {
    let end = asked_to_end().map_err(failed)?;
    let mut desk = Desk::new(practice, recorded.map(|path| path.display().to_string()));
    match within(|| run(practice, &mut desk, &end)) {
        Ok(left) => Ok((left, desk)),
        // A terminal that hung up is an end like any other.
        Err(_) if end.load(Ordering::SeqCst) => Ok((Left::Interrupted, desk)),
        Err(cause) => Err(failed(cause)),
    }
}

fn run(practice: &mut Practice, desk: &mut Desk, end: &AtomicBool) -> std::io::Result<Left> {
    let mut terminal = Terminal::new(CrosstermBackend::new(stdout()))?;
    redraw(&mut terminal)?;
    let colour = colour();
    let size = terminal.size()?;
    desk.resize(size.width, size.height, practice);
    terminal.draw(|frame| draw(frame, desk, colour))?;
    learn_of_releases()?;
    let start = Instant::now();
    let now_ms = || start.elapsed().as_millis() as u64;
    let mut passed_ms = 0;
    loop {
        if end.load(Ordering::SeqCst) {
            // What is done is kept, up to here.
            let _ = practice.act(&Action::Leave);
            return Ok(Left::Interrupted);
        }
        let size = terminal.size()?;
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
        while event::poll(due.saturating_duration_since(Instant::now()))? {
            match take_event(event::read()?, desk, practice, now_ms()) {
                Next::GoOn => {}
                Next::Suspend => {
                    suspend(&mut terminal)?;
                    passed_ms = now_ms();
                }
                Next::Redraw => redraw(&mut terminal)?,
                Next::End => end.store(true, Ordering::SeqCst),
            }
            // What a key did is drawn at once, however fast more keys come.
            if !event::poll(Duration::ZERO)? {
                break;
            }
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
