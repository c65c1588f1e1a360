//! The browser of this machine: whether there is one to be had, and opening a page in it. That it doesn't open is a word and no more.

use std::process::{Command, Stdio};

use crate::cli::output;

/// Whether a browser would have a screen to open on.
pub fn there() -> bool {
    let set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    if cfg!(any(windows, target_os = "macos")) {
        !set("SSH_CONNECTION")
    } else {
        set("DISPLAY") || set("WAYLAND_DISPLAY")
    }
}

/// Opens a page.
pub fn open(address: &str) {
    let (program, before): (&str, &[&str]) = if cfg!(windows) {
        ("cmd", &["/c", "start", ""])
    } else if cfg!(target_os = "macos") {
        ("open", &[])
    } else {
        ("xdg-open", &[])
    };
    let begun = Command::new(program)
        .args(before)
        .arg(address)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    let told = |why: &str| output::say(&format!("no browser was opened ({why}); open the address above in one"));
    match begun {
        Err(error) => told(&format!("{program}: {error}")),
        Ok(mut child) => {
            // It may go on for as long as the browser does.
            let wait = move || match child.wait() {
                Ok(status) if status.success() => {}
                Ok(status) => told(&format!("{program}: {status}")),
                Err(error) => told(&error.to_string()),
            };
            let _ = std::thread::Builder::new().spawn(wait);
        }
    }
}
