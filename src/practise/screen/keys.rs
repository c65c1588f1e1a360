//! Keys, and what each asks for in each mode: a pure function, and the list of keys for the help.

use super::mode::Mode;
use crate::tuning::action::{Action, Part, Screw};

/// A key, as far as the practice knows it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Key {
    /// A character, shifted as typed.
    Char(char),
    /// Enter.
    Enter,
    /// Escape.
    Escape,
    /// Backspace.
    Backspace,
    /// Tab.
    Tab,
    /// Arrow up.
    Up,
    /// Arrow down.
    Down,
    /// Arrow left.
    Left,
    /// Arrow right.
    Right,
    /// Page up.
    PageUp,
    /// Page down.
    PageDown,
    /// To the beginning.
    Home,
    /// To the end.
    End,
    /// Any other: it closes what says "any key".
    Other,
}

/// What became of a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stroke {
    /// It went down, or repeats; most terminals tell no more.
    Down,
    /// It repeats, told apart.
    Repeat,
    /// It was let go; only some terminals tell.
    Up,
}

/// What a key asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Intent {
    /// Nothing.
    None,
    /// Press the trigger to this throttle.
    Throttle(f64),
    /// Keep the trigger where it is, or let it spring back again.
    Keep,
    /// Let the trigger go.
    LetGo,
    /// Take hold of a screw.
    Choose(Screw),
    /// Take hold of the next screw (`false`: of the one before).
    Next(bool),
    /// Turn the screw by a step, in or out.
    Turn {
        /// Clockwise.
        inward: bool,
    },
    /// Move the screw's mark right (richer, faster) or left.
    Mark {
        /// To the right.
        right: bool,
    },
    /// Another step.
    Step,
    /// An action of the practice.
    Act(Action),
    /// Start the engine, or stop it.
    StartOrStop,
    /// Open a dialog, or go back to the bench.
    Open(Dialog),
    /// Leave what is open.
    Close,
    /// Yes, to what is asked.
    Confirm,
    /// One row up or down in a form.
    Row(bool),
    /// One column left or right in a form.
    Column(bool),
    /// More or less sure.
    Surer(bool),
    /// Type a character.
    Type(char),
    /// Take a character back.
    Erase,
    /// Scroll by so many lines (`i32::MIN` and `MAX`: to an end).
    Scroll(i32),
    /// By so many pages.
    Page(i32),
    /// Away from the debrief.
    Finish,
}

/// What can be opened over the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dialog {
    /// The keys.
    Help,
    /// Time stands still.
    Pause,
    /// Rich, right or lean, and how sure.
    Judge,
    /// Which part to put right.
    Fix,
    /// A remark for the notebook.
    Note,
    /// Whether to sign off.
    SignOff,
    /// Whether to leave.
    Leave,
}

/// The throttle of a key: a digit is that many tenths, 0 and space are full.
pub fn throttle(key: Key) -> Option<f64> {
    match key {
        Key::Char(' ' | '0') => Some(1.0),
        Key::Char(c) => c.to_digit(10).map(|d| f64::from(d) / 10.0),
        _ => None,
    }
}

/// What `key` asks for in `mode`.
pub fn intent(mode: &Mode, key: Key) -> Intent {
    match mode {
        Mode::Bench => bench(key),
        Mode::Cautions | Mode::Told { .. } => Intent::Close,
        Mode::Help | Mode::Paused => match key {
            Key::Char('q') => Intent::Open(Dialog::Leave),
            Key::Escape | Key::Enter | Key::Char('z' | '?' | ' ') => Intent::Close,
            _ => Intent::None,
        },
        Mode::Judge(_) => match key {
            Key::Up => Intent::Row(false),
            Key::Down | Key::Tab => Intent::Row(true),
            Key::Left => Intent::Column(false),
            Key::Right => Intent::Column(true),
            Key::Char('+' | '=') => Intent::Surer(true),
            Key::Char('-') => Intent::Surer(false),
            Key::Enter => Intent::Confirm,
            Key::Escape | Key::Char('q' | 'j') => Intent::Close,
            _ => Intent::None,
        },
        Mode::Fix => match key {
            Key::Char(c) => c
                .to_digit(10)
                .and_then(|d| Part::ALL.get((d as usize).wrapping_sub(1)))
                .map_or(Intent::Close, |part| Intent::Act(Action::Fix { part: *part })),
            _ => Intent::Close,
        },
        Mode::Note(_) => match key {
            Key::Char(c) => Intent::Type(c),
            Key::Backspace => Intent::Erase,
            Key::Enter => Intent::Confirm,
            Key::Escape => Intent::Close,
            _ => Intent::None,
        },
        Mode::SignOff | Mode::Leave => match key {
            Key::Char('y' | 'Y') => Intent::Confirm,
            Key::Char('n' | 'N') | Key::Escape => Intent::Close,
            _ => Intent::None,
        },
        Mode::Trouble(_) => match key {
            Key::Char('c' | 'C') => Intent::Close,
            Key::Char('q' | 'Q') => Intent::Finish,
            _ => Intent::None,
        },
        Mode::Debrief => match key {
            Key::Char('q') | Key::Escape | Key::Enter => Intent::Finish,
            key => scroll(key),
        },
    }
}

fn bench(key: Key) -> Intent {
    if let Some(position) = throttle(key) {
        return Intent::Throttle(position);
    }
    match key {
        Key::Char('k') => Intent::Keep,
        Key::Backspace => Intent::LetGo,
        Key::Char('h') => Intent::Choose(Screw::High),
        Key::Char('l') => Intent::Choose(Screw::Low),
        Key::Char('t') => Intent::Choose(Screw::Idle),
        Key::Down | Key::Tab => Intent::Next(true),
        Key::Up => Intent::Next(false),
        Key::Char('i') => Intent::Turn { inward: true },
        Key::Char('o') => Intent::Turn { inward: false },
        Key::Left => Intent::Mark { right: false },
        Key::Right => Intent::Mark { right: true },
        Key::Char('c') => Intent::Step,
        Key::Char('e') => Intent::StartOrStop,
        Key::Char('w') => Intent::Act(Action::Warm),
        Key::Char('d') => Intent::Act(Action::Laps { laps: 2 }),
        Key::Char('f') => Intent::Act(Action::Fuel),
        Key::Char('r') => Intent::Act(Action::RollOn),
        Key::Char('g') => Intent::Act(Action::Gun),
        Key::Char('v') => Intent::Act(Action::Inspect),
        Key::Char('p') => Intent::Act(Action::Pinch),
        Key::Char('u') => Intent::Act(Action::Plug),
        Key::Char('>') => Intent::Act(Action::Wait { ms: 10_000 }),
        Key::Char('m') => Intent::Open(Dialog::Fix),
        Key::Char('j') => Intent::Open(Dialog::Judge),
        Key::Char('n') => Intent::Open(Dialog::Note),
        Key::Char('z') | Key::Escape => Intent::Open(Dialog::Pause),
        Key::Char('?') => Intent::Open(Dialog::Help),
        Key::Enter => Intent::Open(Dialog::SignOff),
        Key::Char('q') => Intent::Open(Dialog::Leave),
        Key::PageUp => Intent::Page(-1),
        Key::PageDown => Intent::Page(1),
        _ => Intent::None,
    }
}

fn scroll(key: Key) -> Intent {
    match key {
        Key::Up => Intent::Scroll(-1),
        Key::Down => Intent::Scroll(1),
        Key::PageUp => Intent::Page(-1),
        Key::PageDown | Key::Char(' ') => Intent::Page(1),
        Key::Home => Intent::Scroll(i32::MIN),
        Key::End => Intent::Scroll(i32::MAX),
        _ => Intent::None,
    }
}

/// The keys of the bench by group: key, and what it does.
pub const BENCH_KEYS: &[(&str, &[(&str, &str)])] = &[
    (
        "Throttle",
        &[
            ("Space 0", "full, while held"),
            ("1 .. 9", "10 % .. 90 %, while held"),
            ("k", "keep it there; again: let go"),
            ("Backspace", "let go now"),
        ],
    ),
    (
        "Screws",
        &[
            ("h l t", "high, low needle, idle stop"),
            ("i o", "turn in (clockwise), out"),
            ("← →", "mark to the left, right"),
            ("c", "step 1/24, 1/12, 1/8, 1/4"),
        ],
    ),
    (
        "Engine",
        &[
            ("e", "start, stop"),
            ("w", "warm up"),
            ("d", "drive two laps"),
            ("f", "fill the tank"),
        ],
    ),
    (
        "Look and listen",
        &[
            ("r", "open slowly to full"),
            ("g", "temperature gun"),
            ("p", "pinch test"),
            ("u", "pull and read the plug"),
            ("v", "look everything over"),
        ],
    ),
    (
        "Say and do",
        &[
            ("j", "judge: rich, right, lean"),
            ("m", "not the mixture: fix ..."),
            ("n", "note for the notebook"),
            ("Enter", "sign off"),
        ],
    ),
    (
        "Time",
        &[
            (">", "let ten seconds pass"),
            ("z", "pause"),
            ("q", "leave"),
            ("PgUp PgDn", "notebook back, on"),
        ],
    ),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practise::screen::mode::Form;

    #[test]
    fn digits_are_tenths_and_space_is_full() {
        for (key, position) in [(' ', 1.0), ('0', 1.0), ('1', 0.1), ('9', 0.9)] {
            assert_eq!(intent(&Mode::Bench, Key::Char(key)), Intent::Throttle(position));
        }
    }

    #[test]
    fn ending_takes_a_yes() {
        assert_eq!(intent(&Mode::Bench, Key::Enter), Intent::Open(Dialog::SignOff));
        for mode in [Mode::SignOff, Mode::Leave] {
            assert_eq!(intent(&mode, Key::Enter), Intent::None, "a second Enter is no yes");
            assert_eq!(intent(&mode, Key::Escape), Intent::Close);
            assert_eq!(intent(&mode, Key::Char('y')), Intent::Confirm);
        }
    }

    #[test]
    fn letters_typed_in_a_note_do_nothing_else() {
        for letter in ['e', 'q', ' ', '0', '>', 'ß'] {
            assert_eq!(
                intent(&Mode::Note(String::new()), Key::Char(letter)),
                Intent::Type(letter)
            );
        }
    }

    #[test]
    fn an_open_form_moves_no_throttle_and_no_screw() {
        let modes = [
            Mode::Cautions,
            Mode::Help,
            Mode::Paused,
            Mode::Judge(Form::default()),
            Mode::Fix,
            Mode::SignOff,
            Mode::Debrief,
        ];
        for mode in modes {
            for key in [Key::Char(' '), Key::Char('0'), Key::Char('i'), Key::Left] {
                let asked = intent(&mode, key);
                let moves = matches!(
                    asked,
                    Intent::Throttle(_) | Intent::Turn { .. } | Intent::Mark { .. } | Intent::StartOrStop
                );
                assert!(!moves, "{mode:?} {key:?}");
            }
        }
    }

    #[test]
    fn every_key_of_the_help_does_something() {
        for (_, keys) in BENCH_KEYS {
            for (names, what) in *keys {
                for name in names.split(' ').filter(|n| *n != "..") {
                    let key = match name {
                        "Space" => Key::Char(' '),
                        "Backspace" => Key::Backspace,
                        "Enter" => Key::Enter,
                        "←" => Key::Left,
                        "→" => Key::Right,
                        "PgUp" => Key::PageUp,
                        "PgDn" => Key::PageDown,
                        letter => Key::Char(letter.chars().next().unwrap()),
                    };
                    assert_ne!(intent(&Mode::Bench, key), Intent::None, "{name}: {what}");
                }
            }
        }
    }
}
