//! What the terminal sends, read by a thread of its own: the reading may wait for the rest of a key that never comes, or go
//! round for ever on a terminal that is gone, and the practice must not.

use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, TryRecvError, sync_channel};
use std::time::{Duration, Instant};

use crossterm::event::{self, Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use crossterm::terminal::supports_keyboard_enhancement;
use needlebench::practise::screen::keys::{Key, Stroke};

/// Events that wait to be taken before the terminal is left to wait with more.
const WAITING: usize = 256;

/// What the terminal sends.
enum Sent {
    /// Whether it can tell that a key is let go: the first thing it is asked.
    TellsRelease(bool),
    /// A key, a size and the like.
    Event(Event),
    /// It can't be read.
    Failed(std::io::Error),
}

/// The keyboard of this terminal.
pub struct Keyboard {
    sent: Receiver<Sent>,
}

impl Keyboard {
    /// Starts reading, once the terminal is ours.
    pub fn listen() -> std::io::Result<Self> {
        let (send, sent) = sync_channel(WAITING);
        std::thread::Builder::new()
            .name("keyboard".to_string())
            .spawn(move || read(&send))?;
        Ok(Self { sent })
    }

    /// Whether the terminal can tell that a key is let go; none while it hasn't answered within `patience`.
    pub fn tells_release(&self, patience: Duration) -> std::io::Result<Option<bool>> {
        match self.sent.recv_timeout(patience) {
            Ok(Sent::TellsRelease(tells)) => Ok(Some(tells)),
            Ok(Sent::Failed(error)) => Err(error),
            Ok(Sent::Event(_)) | Err(RecvTimeoutError::Timeout) => Ok(None),
            Err(RecvTimeoutError::Disconnected) => Err(gone()),
        }
    }

    /// The next event, if there is one before `due`.
    pub fn next(&self, due: Instant) -> std::io::Result<Option<Event>> {
        match self.sent.recv_timeout(due.saturating_duration_since(Instant::now())) {
            Ok(sent) => event_of(sent),
            Err(RecvTimeoutError::Timeout) => Ok(None),
            Err(RecvTimeoutError::Disconnected) => Err(gone()),
        }
    }

    /// The next event, if one is there already.
    pub fn waiting(&self) -> std::io::Result<Option<Event>> {
        match self.sent.try_recv() {
            Ok(sent) => event_of(sent),
            Err(TryRecvError::Empty) => Ok(None),
            Err(TryRecvError::Disconnected) => Err(gone()),
        }
    }
}

fn gone() -> std::io::Error {
    std::io::Error::other("its keys can't be read any more")
}

fn event_of(sent: Sent) -> std::io::Result<Option<Event>> {
    match sent {
        Sent::Event(event) => Ok(Some(event)),
        Sent::TellsRelease(_) => Ok(None),
        Sent::Failed(error) => Err(error),
    }
}

/// Reads until nobody listens any more.
fn read(send: &SyncSender<Sent>) {
    let tells = || -> std::io::Result<Sent> {
        // One that can't be read at all would be asked for ever.
        event::poll(Duration::ZERO)?;
        Ok(Sent::TellsRelease(matches!(supports_keyboard_enhancement(), Ok(true))))
    };
    let mut sent = tells().unwrap_or_else(Sent::Failed);
    while send.send(sent).is_ok() {
        sent = event::read().map_or_else(Sent::Failed, Sent::Event);
    }
}

/// The desk's key; none for what is held together with others.
pub fn key(event: KeyEvent) -> Option<(Key, Stroke)> {
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
