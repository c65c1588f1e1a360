//! Terminals that say the absurd about their size.

use super::pseudo::{Terminal, size};

#[test]
fn a_terminal_of_any_size_is_drawn_on() {
    // Its memory is bounded from outside, so that a picture for every cell of it would fail here and not take the machine along.
    for (columns, rows) in [(40_000, 40_000), (65_535, 65_535), (40_000, 24), (80, 40_000), (0, 0)] {
        let home = tempfile::tempdir().unwrap();
        let script = format!(
            "ulimit -v 2000000; exec '{}' practise lesson-1 --seed 1 --no-record",
            env!("CARGO_BIN_EXE_needlebench")
        );
        let mut terminal = Terminal::start_sized("sh", &["-c", &script], home.path(), false, size(columns, rows));
        terminal.wait_for("any key");
        terminal.after("x", "Engine stands");
        terminal.after("e", "Engine runs");
        terminal.press("\x03");
        assert_eq!(terminal.end(), 130, "{columns} x {rows}");
    }
}
