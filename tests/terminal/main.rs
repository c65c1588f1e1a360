//! The practice through a real pseudo-terminal: keys in, the screen out, and the terminal given back however it ends.
#![cfg(unix)]

mod edges;
mod gone;
mod pseudo;
mod signals;

use std::path::Path;

use assert_cmd::Command;
use predicates::prelude::PredicateBooleanExt;
use predicates::str::{contains, starts_with};

use pseudo::{Terminal, fresh_settings};

fn replays(recording: &Path) -> String {
    let output = Command::cargo_bin("needlebench")
        .unwrap()
        .arg("replay")
        .arg(recording)
        .assert()
        .success()
        .get_output()
        .stdout
        .clone();
    String::from_utf8(output).unwrap()
}

fn clock(shown: &str) -> &str {
    let at = shown.find("clock ").unwrap() + 6;
    &shown[at..at + 5]
}

fn seconds(shown: &str) -> u32 {
    let (minutes, seconds) = clock(shown).split_once(':').unwrap();
    60 * minutes.parse::<u32>().unwrap() + seconds.parse::<u32>().unwrap()
}

#[test]
fn a_whole_practice_from_the_cautions_to_the_debrief() {
    let home = tempfile::tempdir().unwrap();
    let recording = home.path().join("r.jsonl");
    let settings = fresh_settings();
    let mut terminal = Terminal::practise(
        &["--level", "guided", "lesson-1", "--record", recording.to_str().unwrap()],
        home.path(),
    );
    terminal.wait_for("Methanol");
    terminal.after("x", "Engine stands");
    assert_ne!(terminal.line_settings(), settings, "raw while it plays");
    let started = terminal.after("e", "Engine runs");
    // Time passes by itself.
    terminal.until("the clock to go on", |shown| {
        shown.contains("clock ") && clock(shown) > clock(&started)
    });
    terminal.after(" ", "throttle 100 %");
    terminal.wait_for("throttle 0 %");
    terminal.press("w");
    terminal.until("a warm engine", |shown| {
        shown.contains("warmed up") || shown.contains("warm already")
    });
    terminal.after("g", "°C on the head");
    terminal.press("j\x1b[C");
    terminal.wait_for("[rich]");
    terminal.after("\r", "said");
    terminal.press("\x1b[C\x1b[C");
    terminal.wait_for("[right]");
    terminal.after("\r", "both ends judged");
    terminal.after("hciiiiiiiii", "in 3/4 leaner");
    terminal.after("k0", "throttle 100 %");
    terminal.wait_for("kept");
    let before = terminal.after(">", "at full throttle");
    terminal.until("three seconds and more", |shown| {
        shown.contains("clock ") && clock(shown) > clock(&before)
    });
    terminal.after("k", "throttle 0 %");
    // What signing off asks for besides: a return with ten seconds of idle, a snap after it, a slow opening.
    terminal.after("\x1b[6~\r", "after a burst let it idle");
    terminal.after("n", "clock ");
    let before = terminal.wait_for("clock ");
    terminal.press(">");
    terminal.until("twelve seconds of idle", |shown| {
        shown.contains("clock ") && seconds(shown) >= seconds(&before) + 12
    });
    terminal.after("k0", "throttle 100 %");
    let before = terminal.wait_for("kept");
    terminal.until("a snap", |shown| {
        shown.contains("clock ") && seconds(shown) >= seconds(&before) + 2
    });
    terminal.after("k", "throttle 0 %");
    terminal.after("r", "opened it slowly to full");
    terminal.press("n");
    terminal.wait_for("write it down");
    terminal.press("less smoke");
    terminal.after("\r", "\" less smoke");
    // A second Enter at once would be the first one held; another key between tells them apart.
    terminal.after("\x1b[6~\r", "Sign off?");
    let debrief = terminal.after("y", "What you noticed");
    terminal.after("\x1b[F", "What this teaches");
    terminal.press("q");
    let code = terminal.end();
    assert_eq!(code, u32::from(!debrief.contains("CLEAN: every check passed")));
    terminal.given_back(&settings);
    let left = terminal.wait_for("recorded to");
    assert!(left.contains("What this teaches"), "it stays to be read:\n{left}");
    let replayed = replays(&recording);
    for line in [
        "> start",
        "> throttle 100%",
        "> judge high rich 60",
        "> note less smoke",
        "> sign off",
    ] {
        assert!(replayed.contains(line), "{line}:\n{replayed}");
    }
}

#[test]
fn too_small_waits_and_goes_on_when_enlarged() {
    let home = tempfile::tempdir().unwrap();
    let mut terminal = Terminal::practise(&["--no-record"], home.path());
    terminal.wait_for("any key");
    terminal.after("x", "Engine stands");
    terminal.resize(60, 20);
    terminal.wait_for("60 columns and 20 rows");
    terminal.wait_for("needs 80 and 24");
    terminal.resize(130, 45);
    let shown = terminal.wait_for("look over");
    assert!(shown.contains("Heard and seen") && !shown.contains("needs 80"));
    terminal.after("e", "Engine runs");
    terminal.press("\x03");
    assert_eq!(terminal.end(), 130);
}

#[test]
fn signals_and_ctrl_c_give_the_terminal_back_and_keep_what_was_done() {
    let settings = fresh_settings();
    for (number, how) in ["-TERM", "-HUP", "-INT", "Ctrl-C"].into_iter().enumerate() {
        let home = tempfile::tempdir().unwrap();
        let recording = home.path().join(format!("{number}.jsonl"));
        let mut terminal = Terminal::practise(&["--record", recording.to_str().unwrap()], home.path());
        terminal.wait_for("any key");
        terminal.after("x", "Engine stands");
        terminal.after("ek5", "throttle 50 %");
        if how == "Ctrl-C" {
            terminal.press("\x03");
        } else {
            terminal.signal(how);
        }
        assert_eq!(terminal.end(), 130, "{how}");
        terminal.given_back(&settings);
        assert!(replays(&recording).contains("> throttle 50%"), "{how}");
    }
}

#[test]
fn stepping_aside_for_the_shell_and_coming_back() {
    let home = tempfile::tempdir().unwrap();
    let settings = fresh_settings();
    let mut terminal = Terminal::practise(&["--no-record"], home.path());
    terminal.wait_for("any key");
    terminal.after("x", "Engine stands");
    terminal.press("\x1a");
    terminal.given_back(&settings);
    // It stops after it has given the terminal back; a call to go on before that would be lost.
    let process = terminal.child.process_id().unwrap();
    let state = || std::fs::read_to_string(format!("/proc/{process}/stat")).unwrap_or_default();
    if cfg!(target_os = "linux") {
        terminal.until("it to stop", |_| state().contains(") T "));
    }
    terminal.signal("-CONT");
    terminal.wait_for("Heard and seen");
    terminal.until("the second screen", |_| {
        terminal.output.lock().unwrap().screen.screen().alternate_screen()
    });
    terminal.after("e", "Engine runs");
    terminal.press("\x03");
    assert_eq!(terminal.end(), 130);
    terminal.given_back(&settings);
}

#[test]
fn being_killed_loses_nothing_that_was_done() {
    let home = tempfile::tempdir().unwrap();
    let recording = home.path().join("r.jsonl");
    let mut terminal = Terminal::practise(&["--record", recording.to_str().unwrap()], home.path());
    terminal.wait_for("any key");
    terminal.after("x", "Engine stands");
    terminal.after("eh", "Engine runs");
    terminal.after("ii", "in 1/12 leaner");
    terminal.signal("-KILL");
    terminal.end();
    let replayed = replays(&recording);
    assert_eq!(replayed.matches("> high in 0.041").count(), 2, "{replayed}");
}

#[test]
fn where_the_terminal_tells_that_a_key_is_let_go_that_counts() {
    let home = tempfile::tempdir().unwrap();
    let program = env!("CARGO_BIN_EXE_needlebench");
    let mut terminal = Terminal::start(program, &["practise", "--no-record"], home.path(), true);
    terminal.wait_for("any key");
    terminal.after("x", "Engine stands");
    let (down, up) = ("\x1b[32;1:1u", "\x1b[32;1:3u");
    terminal.after(down, "throttle 100 %");
    terminal.after(up, "throttle 0 %");
    terminal.after(down, "throttle 100 %");
    // Longer than a key without repeats holds elsewhere.
    terminal.until("holding", |shown| {
        ["open for 1.", "open for 2.", "open for 3."]
            .iter()
            .any(|t| shown.contains(t))
    });
    terminal.after(up, "throttle 0 %");
    terminal.press("q");
    terminal.after("y", "Debrief");
    terminal.press("q");
    assert_eq!(terminal.end(), 1);
    terminal.until("the end", |_| {
        let raw = terminal.output.lock().unwrap().raw.clone();
        let has = |what: &[u8]| raw.windows(what.len()).any(|w| w == what);
        has(b"\x1b[>7u") && has(b"\x1b[<1u")
    });
}

#[test]
fn a_recording_that_can_grow_no_more_is_told_and_ends_in_code_2() {
    let home = tempfile::tempdir().unwrap();
    let settings = fresh_settings();
    let recording = home.path().join("r.jsonl");
    let script = format!(
        "ulimit -f 1; exec '{}' practise lesson-1 --seed 1 --record '{}'",
        env!("CARGO_BIN_EXE_needlebench"),
        recording.display()
    );
    let mut terminal = Terminal::start("sh", &["-c", &script], home.path(), false);
    terminal.wait_for("any key");
    terminal.after("x", "Engine stands");
    terminal.press("eioioioioioioioioio");
    let told = terminal.wait_for("Recording stopped");
    assert!(
        told.contains("--record FILE") && told.contains("exit code will be 2"),
        "{told}"
    );
    terminal.until("the practice to go on", |shown| {
        terminal.press("c");
        !shown.contains("Recording stopped")
    });
    terminal.after("q", "Leave without");
    terminal.after("y", "Debrief");
    terminal.press("q");
    assert_eq!(terminal.end(), 2);
    terminal.given_back(&settings);
    let left = terminal.wait_for("recording stopped");
    assert!(
        left.contains("LEFT before signing off") || left.contains("make room"),
        "{left}"
    );
    // To its last line: half a one would make it answer no.
    assert!(replays(&recording).contains("> start"));
}

#[test]
fn no_colour_is_sent_where_none_is_wanted() {
    let colours = |home: &Path| {
        let mut terminal = Terminal::practise(&["--no-record"], home);
        terminal.wait_for("any key");
        terminal.after("x", "Engine stands");
        terminal.after("j", "Judge both ends");
        terminal.press("\x03");
        terminal.end();
        let raw = String::from_utf8_lossy(&terminal.output.lock().unwrap().raw).into_owned();
        // Each `ESC [ ... m`, parameter by parameter.
        raw.split("\x1b[")
            .filter_map(|rest| {
                let end = rest.find(|c: char| !c.is_ascii_digit() && c != ';')?;
                rest[end..].starts_with('m').then(|| rest[..end].to_string())
            })
            .flat_map(|codes| codes.split(';').map(str::to_string).collect::<Vec<_>>())
            .filter_map(|code| code.parse::<u32>().ok())
            .any(|code| matches!(code, 30..=38 | 40..=48 | 90..=107))
    };
    let home = tempfile::tempdir().unwrap();
    assert!(colours(home.path()));
    std::fs::write(home.path().join("no-colour"), "").unwrap();
    assert!(!colours(home.path()));
}

#[test]
fn no_command_is_the_screen_of_the_first_lesson_and_is_recorded() {
    let home = tempfile::tempdir().unwrap();
    let mut terminal = Terminal::start(env!("CARGO_BIN_EXE_needlebench"), &[], home.path(), false);
    let shown = terminal.wait_for("any key");
    assert!(shown.contains("lesson-1") && shown.contains("level guided"));
    terminal.after("x", "Engine stands");
    terminal.after("q", "Leave without");
    terminal.after("y", "Debrief");
    terminal.press("q");
    assert_eq!(terminal.end(), 1);
    let kept: Vec<_> = std::fs::read_dir(home.path().join("needlebench/practices"))
        .unwrap()
        .collect();
    assert_eq!(kept.len(), 1);
}

#[test]
fn without_a_terminal_on_both_sides_it_goes_line_by_line() {
    let line_mode = || {
        starts_with("Caution:")
            .and(contains("> start"))
            .and(contains("\u{1b}").not())
    };
    Command::cargo_bin("needlebench")
        .unwrap()
        .args(["practise", "--terminal", "--no-record"])
        .write_stdin("start\nquit\n")
        .assert()
        .code(1)
        .stdout(line_mode());
    // Keys from a terminal, but words into a pipe.
    let home = tempfile::tempdir().unwrap();
    let script = format!(
        "'{}' practise --terminal --no-record | cat",
        env!("CARGO_BIN_EXE_needlebench")
    );
    let mut piped = Terminal::start("sh", &["-c", &script], home.path(), false);
    piped.wait_for("Caution:");
    piped.after("quit\n", "What this teaches");
    piped.end();
    assert!(!piped.output.lock().unwrap().raw.contains(&0x1b));
    // And in a terminal, where lines are asked for.
    let mut plain = Terminal::practise(&["--plain", "--no-record"], home.path());
    plain.wait_for("Caution:");
    plain.after("help\n", "sign off   quit");
    plain.press("quit\n");
    assert_eq!(plain.end(), 1);
    assert!(!plain.output.lock().unwrap().raw.contains(&0x1b));
}
