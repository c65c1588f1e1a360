//! The full screen of a practice, drawn to memory: what each state shows, at the least size and at a larger one, and that it
//! shows no more than the level allows.

use needlebench::practise::debrief::Debrief;
use needlebench::practise::recording::Practice;
use needlebench::practise::screen::desk::{Desk, LEAST_COLUMNS, LEAST_ROWS};
use needlebench::practise::screen::draw::draw;
use needlebench::practise::screen::keys::{Key, Stroke};
use needlebench::practise::screen::mode::Mode;
use needlebench::practise::session::Level;
use needlebench::practise::words::{note as note_in_words, why};
use needlebench::tuning::episode::{ALL_HEARD, Ending};
use needlebench::tuning::scenario;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use ratatui::style::Color;

/// A practice at its desk, with a clock of its own.
struct Bench {
    practice: Practice,
    desk: Desk,
    now_ms: u64,
}

impl Bench {
    fn new(scenario: &str, level: Level) -> Self {
        let source = scenario::source(scenario).unwrap();
        let mut practice = Practice::begin(&source, level, 1, 0, None).unwrap();
        let mut desk = Desk::new(&practice, Some("practice.jsonl".to_string()));
        desk.resize(LEAST_COLUMNS, LEAST_ROWS, &mut practice);
        Self {
            practice,
            desk,
            now_ms: 0,
        }
    }

    /// At the bench with the engine started.
    fn running(scenario: &str, level: Level) -> Self {
        let mut bench = Self::new(scenario, level);
        bench.press("xe");
        bench
    }

    fn key(&mut self, key: Key) {
        self.now_ms += 200;
        self.desk.key(&mut self.practice, key, Stroke::Down, self.now_ms);
    }

    /// Keys, each a moment after the other; time at the bench stands still meanwhile.
    fn press(&mut self, keys: &str) {
        for c in keys.chars() {
            self.key(if c == '\n' { Key::Enter } else { Key::Char(c) });
        }
    }

    /// Does what signing off asks for.
    fn hear_all(&mut self) {
        for action in ALL_HEARD {
            self.desk.view.frame = self.practice.act(&action).unwrap();
        }
    }

    fn slice(&mut self) {
        self.now_ms += 33;
        self.desk.pass(&mut self.practice, 33, self.now_ms);
    }

    fn wait(&mut self, seconds: f64) {
        for _ in 0..(seconds / 0.033) as usize {
            self.slice();
        }
    }

    /// Holds a key as a keyboard does: it repeats.
    fn hold(&mut self, key: char, seconds: f64) {
        for _ in 0..(seconds / 0.033) as usize {
            self.desk
                .key(&mut self.practice, Key::Char(key), Stroke::Down, self.now_ms);
            self.slice();
        }
    }

    fn buffer(&mut self, columns: u16, rows: u16, colour: bool) -> Buffer {
        self.desk.resize(columns, rows, &mut self.practice);
        let mut terminal = Terminal::new(TestBackend::new(columns, rows)).unwrap();
        terminal.draw(|frame| draw(frame, &self.desk, colour)).unwrap();
        terminal.backend().buffer().clone()
    }

    fn text(&mut self, columns: u16, rows: u16) -> String {
        let buffer = self.buffer(columns, rows, true);
        let mut text = String::new();
        for y in 0..rows {
            for x in 0..columns {
                text.push_str(buffer[(x, y)].symbol());
            }
            text.push('\n');
        }
        text
    }

    fn shown(&mut self) -> String {
        self.text(80, 24)
    }
}

fn has(text: &str, parts: &[&str]) {
    for part in parts {
        assert!(text.contains(part), "no {part:?} in\n{text}");
    }
}

#[test]
fn the_cautions_come_first_and_time_waits_for_them() {
    let mut bench = Bench::new("lesson-1", Level::Guided);
    bench.wait(2.0);
    has(
        &bench.shown(),
        &[
            "Methanol",
            "nearly",
            "Nitromethane",
            "carbon monoxide",
            "85 dB(A)",
            "Hot, spinning",
            "never lean",
            "the high-speed needle: somebody has turned it",
            "Recorded to practice.jsonl",
        ],
    );
    assert_eq!(bench.desk.view.frame.sight.clock_s, 0.0);
    bench.press("x");
    bench.wait(1.0);
    has(&bench.shown(), &["Engine stands", "clock 00:00", "silence"]);
    assert!(bench.desk.view.frame.sight.clock_s > 0.9);
}

#[test]
fn levels_show_what_they_allow() {
    for (level, dials, tips) in [
        (Level::ByEar, false, false),
        (Level::Assisted, true, false),
        (Level::Guided, true, true),
    ] {
        let mut bench = Bench::running("lesson-1", level);
        bench.hold(' ', 2.0);
        for (columns, rows) in [(80, 24), (120, 40), (200, 60)] {
            let text = bench.text(columns, rows);
            assert_eq!(text.contains("rpm"), dials, "{text}");
            assert_eq!(text.contains("Tachometer"), dials);
            assert_eq!(text.contains("Try next"), tips);
            assert_eq!(text.contains('⠒') || text.contains('⠉') || text.contains('⡇'), dials);
        }
        assert_eq!(bench.desk.view.strip.is_empty(), !dials);
    }
}

/// The text without frames and with single spaces, column by column, as one reads it.
fn read(buffer: &Buffer, left: u16, right: u16) -> String {
    let mut words = String::new();
    for y in 0..buffer.area.height {
        for x in left..right {
            words.push_str(buffer[(x, y)].symbol());
        }
        words.push(' ');
    }
    let plain: String = words
        .chars()
        .map(|c| if "│╭╮╰╯─•!".contains(c) { ' ' } else { c })
        .collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_note_of_the_frame_is_on_the_screen() {
    for level in [Level::ByEar, Level::Assisted, Level::Guided] {
        let mut bench = Bench::running("other-hands", level);
        for (key, seconds) in [(' ', 2.5), ('5', 2.0)] {
            bench.hold(key, seconds);
            let shown = read(&bench.buffer(80, 24, true), 40, 80);
            assert!(bench.desk.view.frame.sight.notes.len() > 1);
            for note in &bench.desk.view.frame.sight.notes {
                assert!(shown.contains(note_in_words(*note)), "{note:?}: {shown}");
            }
        }
    }
}

#[test]
fn every_hint_fits_with_its_reason_and_its_keys() {
    let mut bench = Bench::running("lesson-1", Level::Guided);
    // What is met by somebody who does as told; the faults and the far-off settings bring up most of the rules.
    let mut hints = Vec::new();
    for scenario in ["lesson-1", "rebuild", "big-engine", "after-crash", "cold-morning"] {
        let mut played = Bench::new(scenario, Level::Guided);
        while let Some(hint) = played.desk.view.frame.hint.clone() {
            if !hints.contains(&hint) {
                hints.push(hint.clone());
            }
            played.desk.view.frame = played.practice.act(&hint.action).unwrap();
        }
    }
    assert!(hints.len() > 15, "{hints:?}");
    for hint in hints {
        bench.desk.view.frame.hint = Some(hint.clone());
        let shown = read(&bench.buffer(80, 24, true), 40, 80);
        assert!(shown.contains(&why(&hint)), "{hint:?}: {shown}");
        let keys = shown.split("keys ").nth(1).unwrap();
        assert!(!keys.starts_with("Tachometer"), "{hint:?} has no keys: {shown}");
    }
}

#[test]
fn a_key_reaches_the_engine_before_any_time_passes_and_lets_go_soon_after() {
    let mut bench = Bench::running("lesson-1", Level::Assisted);
    let before = bench.desk.view.frame.sight.clock_s;
    bench.press("0");
    assert_eq!(
        (
            bench.desk.view.frame.sight.throttle,
            bench.desk.view.frame.sight.clock_s
        ),
        (1.0, before)
    );
    bench.hold('0', 2.0);
    assert_eq!(bench.desk.view.frame.sight.throttle, 1.0);
    has(&bench.shown(), &["throttle 100 %", "springs back", "open for 2.0 s"]);
    bench.wait(0.4);
    assert_eq!(bench.desk.view.frame.sight.throttle, 0.0);
    bench.press("k5");
    bench.wait(3.0);
    has(&bench.shown(), &["throttle 50 %", "kept, k lets go"]);
    bench.press("k");
    assert_eq!(bench.desk.view.frame.sight.throttle, 0.0);
}

#[test]
fn a_key_held_too_long_starts_the_engine_once_and_turns_a_screw_on() {
    let mut bench = Bench::new("lesson-1", Level::Guided);
    bench.press("x");
    bench.hold('e', 1.0);
    assert!(bench.desk.view.frame.sight.running);
    bench.hold('i', 0.2);
    assert_eq!((bench.desk.view.frame.sight.marks.high_turns * 24.0).round(), -6.0);
}

#[test]
fn screws_turn_by_steps_and_the_marks_say_how_far() {
    let mut bench = Bench::running("lesson-1", Level::Guided);
    bench.press("hiii");
    has(&bench.shown(), &["in 1/8 leaner", "high in 1/8, now in 1/8"]);
    bench.press("lc");
    bench.key(Key::Right);
    has(&bench.shown(), &["out 1/12 richer", "step 1/12 turn"]);
    bench.press("to");
    has(&bench.shown(), &["out 1/12 slower"]);
    let score = bench.practice.session().episode().score();
    assert_eq!((score.turns, score.idle_trims), (2, 1));
}

#[test]
fn both_ends_are_judged_before_the_first_turn_and_after_it_apart() {
    let mut bench = Bench::running("lesson-1", Level::ByEar);
    bench.press("j\n");
    has(&bench.shown(), &["choose rich, right or lean"]);
    bench.key(Key::Right);
    bench.press("++\n");
    bench.key(Key::Left);
    bench.press("\n");
    assert_eq!(bench.desk.mode, Mode::Bench);
    has(
        &bench.shown(),
        &[
            "high end judged rich, 80 %",
            "low end judged lean, 60 %",
            "both ends judged",
        ],
    );
    bench.press("hij");
    bench.key(Key::Right);
    bench.press("\n");
    let judgements = bench.practice.session().episode().score().judgements;
    let turns_before: Vec<u32> = judgements.iter().map(|judgement| judgement.turns_before).collect();
    assert_eq!(turns_before, [0, 0, 1]);
}

#[test]
fn a_cold_engine_is_not_judged_in_guided() {
    let mut bench = Bench::new("cold-morning", Level::Guided);
    bench.press("xj");
    bench.key(Key::Right);
    bench.press("\n");
    has(&bench.shown(), &["not judged: the engine is cold"]);
    assert!(bench.practice.session().episode().score().judgements.is_empty());
}

#[test]
fn a_remark_is_typed_and_nothing_else_happens() {
    let mut bench = Bench::running("lesson-1", Level::Guided);
    let before = bench.desk.view.frame.clone();
    bench.press("nsweet top end, 0 smoke");
    bench.wait(2.0);
    bench.key(Key::Backspace);
    bench.press("\n");
    assert_eq!(bench.desk.view.frame.sight.marks, before.sight.marks);
    assert_eq!(
        bench.desk.view.frame.sight.clock_s, before.sight.clock_s,
        "time stands still while one writes"
    );
    has(&bench.shown(), &["\" sweet top end, 0 smok"]);
}

#[test]
fn signing_off_takes_a_yes_and_shows_the_debrief_to_its_end() {
    let mut bench = Bench::running("lesson-1", Level::Guided);
    // Not before it was heard.
    bench.press("\n");
    has(
        &bench.shown(),
        &["Not signed off yet", "3 s of full throttle", "open it slowly"],
    );
    bench.press("y");
    assert_eq!(bench.desk.mode, Mode::Bench);
    assert_eq!(bench.desk.view.frame.sight.ended, None);
    bench.hear_all();
    bench.press("\n\n");
    bench.key(Key::Escape);
    assert_eq!(bench.desk.mode, Mode::Bench);
    bench.press("\n");
    has(&bench.shown(), &["Sign off?", "y yes, check it", "paused"]);
    bench.press("y");
    assert!(matches!(
        bench.desk.view.frame.sight.ended,
        Some(Ending::Clean | Ending::NotClean)
    ));
    has(&bench.shown(), &["Debrief", "What you noticed"]);
    bench.key(Key::End);
    has(&bench.shown(), &["What this teaches"]);
    bench.key(Key::Home);
    has(&bench.shown(), &["What you noticed"]);
    assert!(!bench.desk.finished());
    bench.press("q");
    assert!(bench.desk.finished());
}

#[test]
fn the_debrief_is_there_at_once_and_what_takes_a_while_comes_as_one_reads() {
    let mut bench = Bench::running("lesson-1", Level::Guided);
    bench.hear_all();
    bench.press("\ny");
    let all = |bench: &Bench| {
        let lines = bench.desk.debrief_lines().into_iter();
        lines.map(|(_, line)| line + "\n").collect::<String>()
    };
    let first = all(&bench);
    has(
        &first,
        &[
            "The checks",
            "being drawn, 0 % done",
            "being worked out",
            "being played",
            "What this teaches",
        ],
    );
    let mut passes = 0;
    while bench.desk.busy() {
        assert_eq!(bench.desk.mode, Mode::Debrief);
        // Keys are taken meanwhile.
        bench.key(if passes % 2 == 0 { Key::Down } else { Key::Up });
        assert_eq!(bench.desk.scroll, 1 - passes % 2);
        bench.slice();
        passes += 1;
    }
    assert!(passes > 5, "made in {passes} pieces");
    let last = all(&bench);
    has(
        &last,
        &[
            "* the true setting",
            "Par, knowing the truth: ",
            "The coach, knowing no more than you did: ",
        ],
    );
    assert!(!last.contains("being "), "{last}");
    // The same as somebody reads who waits for all of it.
    let mut whole = Debrief::begin(bench.practice.session());
    whole.finish(bench.practice.session(), |_| {});
    assert_eq!(bench.desk.view.debrief.as_ref(), Some(&whole));
}

#[test]
fn what_is_looked_over_is_told_at_once_and_kept_in_the_notebook() {
    let mut bench = Bench::running("winter-shelf", Level::ByEar);
    bench.press("v");
    has(&bench.shown(), &["Looked over", "air filter: clean"]);
    bench.press("xm");
    has(&bench.shown(), &["put right", "2  line", "6 min  6 €"]);
    bench.press("2");
    has(&bench.shown(), &["put right: line, 6 min", "Engine stands"]);
}

#[test]
fn too_small_says_what_is_needed_and_play_waits() {
    let mut bench = Bench::running("lesson-1", Level::Guided);
    let before = bench.desk.view.frame.sight.clock_s;
    for (columns, rows) in [(79, 24), (80, 23), (20, 5)] {
        let text = bench.text(columns, rows);
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        has(
            &text,
            &[&format!("has {columns} columns and {rows} rows"), "needs 80 and 24"],
        );
        bench.wait(1.0);
        bench.press("iq0");
    }
    bench.text(1, 1);
    assert_eq!(bench.desk.view.frame.sight.clock_s, before);
    assert_eq!(
        (
            bench.desk.view.frame.sight.throttle,
            bench.desk.view.frame.sight.marks.high_turns
        ),
        (0.0, 0.0)
    );
    has(&bench.text(80, 24), &["Heard and seen"]);
    bench.wait(1.0);
    assert!(bench.desk.view.frame.sight.clock_s > before + 0.9);
}

#[test]
fn without_colour_the_same_screen_comes_out() {
    let mut bench = Bench::running("other-hands", Level::Guided);
    bench.hold(' ', 2.0);
    for keys in ["", "j"] {
        bench.press(keys);
        let (with, without) = (bench.buffer(80, 24, true), bench.buffer(80, 24, false));
        assert!(with.content.iter().any(|c| c.fg != Color::Reset));
        assert!(
            without
                .content
                .iter()
                .all(|c| c.fg == Color::Reset && c.bg == Color::Reset)
        );
        assert!(
            with.content
                .iter()
                .zip(&without.content)
                .all(|(a, b)| a.symbol() == b.symbol())
        );
    }
}

#[test]
fn all_keys_named_at_the_foot_fit() {
    let mut bench = Bench::running("lesson-1", Level::Guided);
    has(&bench.shown(), &["g gun ", "Enter sign off "]);
    has(&bench.text(120, 24), &["v look over ", "q leave "]);
    bench.press("?");
    has(
        &bench.shown(),
        &["All keys", "mark to the left, right", "notebook back, on", "Esc back"],
    );
}

/// A disk with room for so many bytes.
struct Disk(usize);

impl std::io::Write for Disk {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        if self.0 == 0 {
            return Err(std::io::ErrorKind::StorageFull.into());
        }
        let taken = self.0.min(bytes.len());
        self.0 -= taken;
        Ok(taken)
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_full_disk_is_told_and_the_practice_can_go_on() {
    let source = scenario::source("lesson-1").unwrap();
    let mut practice = Practice::begin(&source, Level::Guided, 1, 0, Some(Box::new(Disk(300)))).unwrap();
    let desk = Desk::new(&practice, None);
    practice.note("x");
    let mut bench = Bench {
        practice,
        desk,
        now_ms: 0,
    };
    bench.press("xegg");
    bench.wait(3.0);
    has(
        &bench.shown(),
        &[
            "Recording stopped",
            "kept and can be replayed",
            "--record FILE",
            "exit code will be 2",
        ],
    );
    let before = bench.desk.view.frame.sight.clock_s;
    bench.press("c");
    bench.wait(1.0);
    assert!(bench.desk.view.frame.sight.clock_s > before && bench.desk.trouble().is_some());
    bench.press("qy");
    has(&bench.shown(), &["LEFT before signing off"]);
}

#[test]
fn any_keys_at_any_size_are_taken() {
    let mut random = 1_u64;
    let mut next = |below: u64| {
        // Knuth's generator; its upper bits.
        random = random
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (random >> 33) % below
    };
    let keys: Vec<Key> = " 0123456789kehltiocwdfgrvpu>mjnzq?yc+-ß漢"
        .chars()
        .map(Key::Char)
        .chain([
            Key::Enter,
            Key::Escape,
            Key::Backspace,
            Key::Tab,
            Key::Up,
            Key::Down,
            Key::Left,
            Key::Right,
            Key::PageUp,
            Key::PageDown,
            Key::Home,
            Key::End,
            Key::Other,
        ])
        .collect();
    for level in [Level::Guided, Level::Assisted, Level::ByEar] {
        let mut bench = Bench::new("after-crash", level);
        for _ in 0..150 {
            let key = keys[next(keys.len() as u64) as usize];
            let stroke = [Stroke::Down, Stroke::Down, Stroke::Repeat, Stroke::Up][next(4) as usize];
            bench.now_ms += next(500);
            bench.desk.key(&mut bench.practice, key, stroke, bench.now_ms);
            bench.slice();
            let (columns, rows) = if next(4) == 0 {
                (1 + next(250) as u16, 1 + next(80) as u16)
            } else {
                (80 + next(40) as u16, 24 + next(20) as u16)
            };
            bench.text(columns, rows);
        }
    }
}

#[test]
fn a_picture_at_full_throttle_takes_a_small_part_of_its_time() {
    let mut bench = Bench::running("lesson-1", Level::Guided);
    bench.press("k0");
    bench.wait(3.0);
    // Ten seconds of practice, thirty pictures a second; a third of real time leaves room for a slow, busy machine.
    let start = std::time::Instant::now();
    for _ in 0..300 {
        bench.slice();
        bench.buffer(120, 40, true);
    }
    let took = start.elapsed().as_secs_f64();
    assert!(took < 3.3, "{took} s for ten seconds of practice");
}
