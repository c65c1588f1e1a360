//! `run`: where its results go, what they are, and how it is told wrongly.

use std::fs;

use predicates::str::is_empty;

use super::{listing, needlebench, refused_in};

/// Standard output of a command that succeeds in a folder, with nothing on standard error.
fn output_in(folder: &std::path::Path, arguments: &[&str]) -> String {
    let output = needlebench(arguments)
        .current_dir(folder)
        .assert()
        .success()
        .stderr(is_empty());
    String::from_utf8(output.get_output().stdout.clone()).unwrap()
}

#[test]
fn results_go_where_they_are_wanted_and_agree() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let csv = output_in(at, &["run"]);
    assert!(csv.starts_with("time_s,"));
    assert_eq!(output_in(at, &["run", "--csv", "-"]), csv);
    let svg = output_in(at, &["run", "--plot", "-"]);
    assert!(
        svg.starts_with("<svg ") && svg.ends_with("</svg>\n") && svg.len() < 300_000,
        "{}",
        svg.len()
    );
    assert!(listing(at).is_empty());

    assert_eq!(output_in(at, &["run", "--plot", "a.svg"]), "");
    assert_eq!(output_in(at, &["run", "--plot", "b.svg", "--csv", "-"]), csv);
    let json = output_in(at, &["run", "--json"]);
    assert_eq!(
        output_in(at, &["run", "--plot", "c.svg", "--json", "--csv", "c.csv"]),
        json
    );
    assert_eq!(output_in(at, &["run", "--csv", "d.csv", "--plot", "-"]), svg);
    for name in ["a.svg", "b.svg", "c.svg"] {
        assert_eq!(fs::read_to_string(at.join(name)).unwrap(), svg, "{name}");
    }
    for name in ["c.csv", "d.csv"] {
        assert_eq!(fs::read_to_string(at.join(name)).unwrap(), csv, "{name}");
    }
    assert_eq!(listing(at).len(), 5);
    // Again over what is there.
    assert_eq!(output_in(at, &["run", "--plot", "a.svg", "--seed", "2"]), "");
    assert_ne!(fs::read_to_string(at.join("a.svg")).unwrap(), svg);
    assert_eq!(listing(at).len(), 5);
}

#[test]
fn two_results_never_go_to_one_place() {
    let folder = tempfile::tempdir().unwrap();
    for (arguments, message) in [
        (
            &["--csv", "a", "--plot", "a"][..],
            "^--plot: .*to a, as that of --csv does; allowed: one result",
        ),
        (
            &["--csv", "-", "--plot", "-"],
            "^--plot: .*to standard output, as that of --csv does",
        ),
        (
            &["--json", "--plot", "-"],
            "^--plot: .*to standard output, as that of --json does.*name another file",
        ),
        (
            &["--json", "--csv", "-"],
            "^--csv: .*to standard output, as that of --json does",
        ),
        (
            &["--sound", "a", "--plot", "a"],
            "^--sound: .*to a, as that of --plot does",
        ),
        (
            &["--json", "--sound", "-"],
            "^--sound: .*to standard output, as that of --json does",
        ),
    ] {
        refused_in(folder.path(), &[&["run"], arguments].concat(), message);
    }
}

#[test]
fn a_result_that_cannot_be_written_leaves_none() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    fs::create_dir(at.join("folder")).unwrap();
    let message = "it can't be written .*nothing was; name a file in a folder you may write to";
    for arguments in [
        &["--csv", "none/a.csv"][..],
        &["--plot", "none/a.svg"],
        &["--csv", "folder"],
        &["--plot", "folder"],
        &["--csv", "a.csv", "--plot", "none/a.svg"],
        &["--csv", "none/a.csv", "--plot", "a.svg"],
        &["--csv", "-", "--plot", "none/a.svg"],
        &["--json", "--plot", "none/a.svg"],
        &["--json", "--csv", "none/a.csv", "--plot", "a.svg"],
        &["--sound", "none/a.wav"],
        &["--sound", "folder"],
        &["--sound", "a.wav", "--csv", "none/a.csv"],
    ] {
        refused_in(at, &[&["run"], arguments].concat(), message);
    }
    assert!(listing(&at.join("folder")).is_empty());
}

#[test]
fn manoeuvres_and_the_brakes_speed_are_told_with_what_is_allowed() {
    let folder = tempfile::tempdir().unwrap();
    for (arguments, message) in [
        (
            &["--manoeuvre", "wobble"][..],
            "(?s)'wobble' for '--manoeuvre.*possible values: idle, roll-on, half, burst, snap, brake, pinch, laps",
        ),
        (&["--manoeuvre", ""], "--manoeuvre"),
        (
            &["--manoeuvre", "brake", "--rpm", "500"],
            "'--rpm <RPM>': out of range; allowed 3000 to 50000 rpm; choose",
        ),
        (
            &["--manoeuvre", "brake", "--rpm", "-1"],
            "'--rpm <RPM>': out of range; allowed 3000 to 50000 rpm; choose",
        ),
        (
            &["--manoeuvre", "brake", "--rpm", "fast"],
            "'--rpm <RPM>': not a number; allowed 3000 to 50000 rpm",
        ),
        (
            &["--rpm", "20000"],
            "^--rpm: nothing holds a speed in `burst`; allowed: beside --manoeuvre brake; add that",
        ),
    ] {
        refused_in(
            folder.path(),
            &[&["run", "--csv", "a.csv"], arguments].concat(),
            message,
        );
    }
}

#[test]
fn a_picture_says_what_was_run() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    for manoeuvre in ["idle", "roll-on", "half", "burst", "snap", "brake", "pinch", "laps"] {
        let svg = output_in(at, &["run", "--manoeuvre", manoeuvre, "--seed", "5", "--plot", "-"]);
        for part in [
            &format!("\n{manoeuvre}: offroad-3.5 on race-25\n"),
            "seed 5\n",
            "\nHead temperature, °C\n",
            " °C, ",
        ] {
            assert!(svg.contains(part), "{manoeuvre}: {part}");
        }
        assert!(svg.len() < 300_000, "{manoeuvre}: {}", svg.len());
    }
    let svg = output_in(at, &["run", "--fahrenheit", "--temperature-c", "30", "--plot", "-"]);
    assert!(svg.contains("\nHead temperature, °F\n") && svg.contains("air 86.0 °F") && !svg.contains("°C"));
    let mine = super::file(at, "my trace.csv", b"time_s,throttle\n0,0\n2,1\n");
    let svg = output_in(at, &["run", "--trace", &mine, "--high", "3.25", "--plot", "-"]);
    assert!(svg.contains("\nmy trace.csv: offroad-3.5 on race-25\n") && svg.contains("high-speed needle 3.250"));
    let pinched = output_in(at, &["run", "--manoeuvre", "pinch", "--plot", "-"]);
    assert!(pinched.contains("fuel line pinched at 10.0 s"));
}

#[test]
fn fahrenheit_is_for_the_plot_alone() {
    let folder = tempfile::tempdir().unwrap();
    for form in [&["run"][..], &["run", "--json"]] {
        let plain = output_in(folder.path(), form);
        assert_eq!(output_in(folder.path(), &[form, &["--fahrenheit"]].concat()), plain);
    }
}

#[test]
fn the_sound_is_a_wav_file_as_long_as_the_series() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let mine = super::file(at, "mine.csv", b"time_s,throttle\n0,0\n1,0\n1.2,1\n3,1\n");
    let sounded = |name: &str, more: &[&str]| -> Vec<i16> {
        output_in(at, &[&["run", "--trace", &mine, "--sound", name], more].concat());
        let reader = hound::WavReader::open(at.join(name)).unwrap();
        let spec = reader.spec();
        assert_eq!((spec.channels, spec.sample_rate, spec.bits_per_sample), (1, 48_000, 16));
        reader.into_samples().map(Result::unwrap).collect()
    };
    let samples = sounded("a.wav", &[]);
    let loud = |part: &[i16]| part.iter().map(|x| f64::from(*x).powi(2)).sum::<f64>() / part.len() as f64;
    let (idle, full) = (&samples[..48_000], &samples[96_000..144_000]);
    // Three seconds, to a revolution; louder with the throttle open.
    assert!(samples.len().abs_diff(3 * 48_000) < 600, "{}", samples.len());
    assert!(
        loud(idle) > 100.0 * 100.0 && loud(full) > 4.0 * loud(idle),
        "{} {}",
        loud(idle),
        loud(full)
    );
    // Same seed, same file; another seed, another.
    assert!(sounded("b.wav", &["--csv", "b.csv", "--plot", "b.svg"]) == samples);
    assert!(sounded("c.wav", &["--seed", "2"]) != samples);
    // Alone it leaves standard output empty; to standard output it is the file.
    let output = needlebench(&["run", "--trace", &mine, "--sound", "-"])
        .output()
        .unwrap();
    assert!(output.status.success() && output.stdout == fs::read(at.join("a.wav")).unwrap());
    assert_eq!(listing(at).len(), 6);
}
