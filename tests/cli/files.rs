//! Files that meet: two results in one file, a result over what is read, links, pipes, and recordings over what is there. A file
//! is known by what it is, whatever it is called.

#![cfg(unix)]

use std::fs::{self, File};
use std::io::Read;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::{changed, file, listing, needlebench, refused_in};

/// A folder with a trace, an engine and a recording of one's own, each also under another name and behind a link.
fn furnished() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    file(at, "trace.csv", b"time_s,throttle\n0,0\n1,0.5\n");
    for (model, name) in [
        ("offroad-3.5", "engine.toml"),
        ("race-25", "fuel.toml"),
        ("medium", "plug.toml"),
    ] {
        changed(at, model, "\n", "\n");
        fs::rename(at.join("changed.toml"), at.join(name)).unwrap();
    }
    let engine = fs::read_to_string(at.join("engine.toml")).unwrap();
    let engine = engine.replace("fuel = \"race-25\"", "fuel = \"./fuel.toml\"");
    assert!(engine.contains("./fuel.toml"));
    fs::write(at.join("own-fuel.toml"), engine).unwrap();
    needlebench(&["practise", "lesson-1", "--seed", "1", "--record", "r.jsonl"])
        .current_dir(at)
        .write_stdin("start\nquit\n")
        .assert()
        .code(1);
    fs::create_dir(at.join("sub")).unwrap();
    for name in ["trace.csv", "engine.toml", "fuel.toml", "plug.toml", "r.jsonl"] {
        fs::hard_link(at.join(name), at.join(format!("hard-{name}"))).unwrap();
        symlink(name, at.join(format!("soft-{name}"))).unwrap();
    }
    folder
}

/// Everything in a folder, names and contents.
fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    listing(folder)
        .into_iter()
        .map(|name| {
            let path = folder.join(&name);
            let bytes = if path.is_file() {
                fs::read(path).unwrap()
            } else {
                Vec::new()
            };
            (name, bytes)
        })
        .collect()
}

#[test]
fn a_file_that_is_read_is_never_written() {
    let folder = furnished();
    let at = folder.path();
    let before = contents(at);
    let by_any_name = |name: &str| {
        [
            name.to_string(),
            format!("./{name}"),
            format!("sub/../{name}"),
            format!("hard-{name}"),
            format!("soft-{name}"),
            at.join(name).display().to_string(),
        ]
    };
    for (flag, name) in [
        ("--trace", "trace.csv"),
        ("--engine", "engine.toml"),
        ("--fuel", "fuel.toml"),
        ("--plug", "plug.toml"),
    ] {
        for target in by_any_name(name) {
            for result in ["--csv", "--plot"] {
                let message = format!(
                    "^{result}: its result would go to .*, the file that {flag} reads; allowed: .*name another"
                );
                refused_in(at, &["run", flag, name, result, &target], &message);
            }
        }
    }
    refused_in(
        at,
        &["run", "--engine", "own-fuel.toml", "--csv", "fuel.toml"],
        "the file that --engine reads",
    );
    for target in by_any_name("r.jsonl") {
        let message = "the file that FILE reads";
        refused_in(at, &["replay", "r.jsonl", "--record", &target], message);
        refused_in(at, &["progress", "r.jsonl", "--plot", &target], message);
    }
    assert!(contents(at) == before);
}

#[test]
fn standard_output_is_a_place_like_any_other() {
    let folder = furnished();
    let at = folder.path();
    let before = contents(at);
    let into = |name: &str, arguments: &[&str]| {
        let out = fs::OpenOptions::new()
            .append(true)
            .create(true)
            .open(at.join(name))
            .unwrap();
        let output = Command::new(assert_cmd::cargo::cargo_bin("needlebench"))
            .args(arguments)
            .current_dir(at)
            .stdout(out)
            .output()
            .unwrap();
        (output.status.code().unwrap(), String::from_utf8(output.stderr).unwrap())
    };
    for (name, arguments, message) in [
        ("a", &["run", "--json", "--csv", "a"][..], "as that of --json does"),
        (
            "a",
            &["run", "--json", "--csv", "/dev/stdout"],
            "as that of --json does",
        ),
        (
            "trace.csv",
            &["run", "--trace", "trace.csv"],
            "the file that --trace reads",
        ),
        ("r.jsonl", &["replay", "r.jsonl"], "the file that FILE reads"),
        (
            "a",
            &["replay", "r.jsonl", "--record", "./a"],
            "as that of the text does",
        ),
        ("a", &["progress", "r.jsonl", "--plot", "a"], "as that of the text does"),
    ] {
        let (code, said) = into(name, arguments);
        assert_eq!(code, 2, "{arguments:?}: {said}");
        assert!(said.contains(message) && said.lines().count() == 1, "{said}");
    }
    assert_eq!(fs::read(at.join("a")).unwrap(), b"");
    fs::remove_file(at.join("a")).unwrap();
    assert!(contents(at) == before);
    // By its name among the devices it is written to as it is, behind what stands there.
    fs::write(at.join("a"), "before\n").unwrap();
    assert_eq!(into("a", &["run", "--csv", "/dev/stdout"]), (0, String::new()));
    assert!(fs::read_to_string(at.join("a")).unwrap().starts_with("before\ntime_s,"));
}

#[test]
fn two_results_never_go_to_one_file() {
    let folder = furnished();
    let at = folder.path();
    symlink("new", at.join("dangling")).unwrap();
    fs::write(at.join("old"), "").unwrap();
    fs::hard_link(at.join("old"), at.join("older")).unwrap();
    for (one, other) in [
        ("a", "./a"),
        ("a", "sub/../a"),
        ("new", "dangling"),
        ("old", "older"),
        ("old", &at.join("old").display().to_string()),
    ] {
        let message = "^--plot: its result would go to .*, as that of --csv does";
        refused_in(at, &["run", "--csv", one, "--plot", other], message);
    }
    assert!(!at.join("new").exists());
}

#[test]
fn a_link_is_followed_to_its_end() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    fs::create_dir(at.join("sub")).unwrap();
    fs::write(at.join("sub/there"), "old").unwrap();
    symlink("sub/there", at.join("to-there")).unwrap();
    symlink("sub/new", at.join("to-new")).unwrap();
    symlink("to-new", at.join("further")).unwrap();
    symlink("circle", at.join("circle")).unwrap();
    for (link, end) in [("to-there", "sub/there"), ("further", "sub/new")] {
        needlebench(&["run", "--csv", link]).current_dir(at).assert().success();
        assert!(fs::symlink_metadata(at.join(link)).unwrap().is_symlink(), "{link}");
        assert!(
            fs::read_to_string(at.join(end)).unwrap().starts_with("time_s,"),
            "{end}"
        );
    }
    assert!(fs::symlink_metadata(at.join("to-new")).unwrap().is_symlink());
    refused_in(at, &["run", "--csv", "circle"], "it can't be written");
    assert!(fs::symlink_metadata(at.join("circle")).unwrap().is_symlink());
    // Neither its link nor what it leads to is a new file to record to.
    for link in ["to-there", "circle"] {
        refused_in(
            at,
            &["practise", "--record", link],
            "there is a link of this name already",
        );
    }
    assert_eq!(listing(&at.join("sub")).len(), 2);
}

fn pipe(folder: &Path) -> std::path::PathBuf {
    let path = folder.join("pipe");
    assert!(Command::new("mkfifo").arg(&path).status().unwrap().success());
    path
}

#[test]
fn a_pipe_that_nobody_reads_is_refused_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    pipe(at);
    for (arguments, message) in [
        (
            &["run", "--csv", "pipe"][..],
            "nobody reads from this pipe.*start what reads from it first",
        ),
        (
            &["run", "--plot", "a.svg", "--csv", "pipe"],
            "nobody reads from this pipe",
        ),
        (&["run", "--json", "--plot", "pipe"], "nobody reads from this pipe"),
        (
            &["practise", "--record", "pipe"],
            "there is a pipe or a device of this name already",
        ),
        (
            &["practise", "--record", "/dev/null"],
            "there is a pipe or a device of this name already",
        ),
    ] {
        let start = Instant::now();
        let mut program = Command::new(assert_cmd::cargo::cargo_bin("needlebench"))
            .args(arguments)
            .current_dir(at)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        while program.try_wait().unwrap().is_none() {
            if start.elapsed() > Duration::from_secs(10) {
                program.kill().unwrap();
                panic!("{arguments:?} waits");
            }
            std::thread::sleep(Duration::from_millis(5));
        }
        refused_in(at, arguments, message);
    }
    assert_eq!(listing(at).len(), 1);
}

#[test]
fn a_pipe_that_is_read_gets_everything() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let path = pipe(at);
    let whole = needlebench(&["run", "--manoeuvre", "laps"]).output().unwrap().stdout;
    // More than a pipe holds, to a reader in no hurry.
    assert!(whole.len() > 200_000, "{}", whole.len());
    let reader = std::thread::spawn(move || {
        let mut pipe = File::open(path).unwrap();
        let mut all = Vec::new();
        let mut some = vec![0; 50_000];
        while let Ok(count @ 1..) = pipe.read(&mut some) {
            all.extend_from_slice(&some[..count]);
            std::thread::sleep(Duration::from_millis(20));
        }
        all
    });
    // It is refused until the reader is there.
    let start = Instant::now();
    while !needlebench(&["run", "--manoeuvre", "laps", "--csv", "pipe"])
        .current_dir(at)
        .output()
        .unwrap()
        .status
        .success()
    {
        assert!(start.elapsed() < Duration::from_secs(20));
    }
    assert!(reader.join().unwrap() == whole);
}

#[test]
fn a_recording_goes_to_a_new_file_and_the_message_says_what_works() {
    let folder = furnished();
    let at = folder.path();
    let before = contents(at);
    let remedy =
        "a recording overwrites nothing; name a new file, or leave out --record for a new one in the practices' folder";
    for (target, what) in [("r.jsonl", "a file"), ("sub", "a folder"), ("engine.toml", "a file")] {
        let message = format!("^{target}: there is {what} of this name already, and {remedy}$");
        refused_in(at, &["practise", "--record", target], &message);
    }
    let message = "^--record: `-` is standard output.*; allowed: a new file; name one";
    refused_in(at, &["practise", "--record", "-"], message);
    assert!(contents(at) == before);
    // What it offers does work.
    needlebench(&["practise"])
        .current_dir(at)
        .env("XDG_DATA_HOME", at.join("data"))
        .write_stdin("quit\n")
        .assert()
        .code(1);
    assert_eq!(listing(&at.join("data/needlebench/practices")).len(), 1);
}

#[test]
fn a_replay_recorded_to_standard_output_is_the_recording_alone() {
    let folder = furnished();
    let at = folder.path();
    let again = needlebench(&["replay", "r.jsonl", "--record", "-"])
        .current_dir(at)
        .assert()
        .success();
    assert_eq!(again.get_output().stdout, fs::read(at.join("r.jsonl")).unwrap());
    assert!(!at.join("-").exists());
}
