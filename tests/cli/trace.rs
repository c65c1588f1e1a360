//! `run --trace`: traces of one's own, right and wrong.

use super::{file, json, listing, number, refused_in, regex_escape};

#[test]
fn a_trace_is_followed_in_straight_lines() {
    let folder = tempfile::tempdir().unwrap();
    // With a mark of byte order, blanks, an empty line and the other line ends.
    let path = file(
        folder.path(),
        "mine.csv",
        "\u{feff}time_s,throttle\r\n0, 0\r\n\r\n 1.0,0\r\n2,1.0\r\n3,1\r\n".as_bytes(),
    );
    let answer = json(&["run", "--trace", &path, "--json"]);
    let rows = answer["rows"].as_array().unwrap();
    assert_eq!(rows.len(), 300);
    for row in rows {
        let expected = (number(row, "time_s") - 1.0).clamp(0.0, 1.0);
        // A row holds the throttle of the last revolution that began in it.
        assert!((number(row, "throttle") - expected).abs() < 0.03, "{row}");
    }
    let name = json(&["run", "--trace", &path, "--json"]);
    assert_eq!(name, answer);
}

#[test]
fn wrong_traces_are_told_at_their_place() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let header = "the header `time_s,throttle`; write that as the first line";
    let cases: &[(&[u8], &str, &str)] = &[
        (b"", ":1:1: there is no header", header),
        (b"\n", ":1:1: there is no header", header),
        (b"0,0\n1,1\n", ":1:1: the header is `0,0`", header),
        (
            b"time,throttle\n0,0\n1,1\n",
            ":1:1: the header is `time,throttle`",
            header,
        ),
        (
            b"throttle,time_s\n0,0\n1,1\n",
            ":1:1: the header is `throttle,time_s`",
            header,
        ),
        (
            b"\x1b[31mred\x07\n0,0\n1,1\n",
            ":1:1: the header is `\\[31mred`",
            header,
        ),
        (
            b"time_s,throttle\n",
            ":2:1: no trace of at least 0.01 s",
            "add rows `seconds,throttle`",
        ),
        (
            b"time_s,throttle\n0,0\n",
            ":3:1: no trace of at least 0.01 s",
            "add rows `seconds,throttle`",
        ),
        (
            b"time_s,throttle\n0,0\n2,1\n1,0\n",
            ":4:1: the time 1 s doesn't rise: the row before has 2 s",
            "later than the row before; sort",
        ),
        (
            b"time_s,throttle\n0,0\n1,1\n1,0\n",
            ":4:1: the time 1 s doesn't rise",
            "later than the row before; sort",
        ),
        (
            b"time_s,throttle\n0,0\nNaN,1\n",
            ":3:1: `NaN` is no number",
            "time_s: 0 to 3600 s; write a plain number",
        ),
        (
            b"time_s,throttle\n0,0\n1,nan\n",
            ":3:3: `nan` is no number",
            "throttle: 0 \\(shut\\) to 1 \\(full\\); write",
        ),
        (
            b"time_s,throttle\n0,0\n1,inf\n",
            ":3:3: `inf` is no number",
            "throttle: 0",
        ),
        (
            b"time_s,throttle\n0,0\n1,  50%\n",
            ":3:5: `50%` is no number",
            "throttle: 0",
        ),
        (
            b"time_s,throttle\n0,0\n1,50\n",
            ":3:3: 50 is out of range",
            "throttle: 0 \\(shut\\) to 1 \\(full\\); choose a value within",
        ),
        (
            b"time_s,throttle\n-1,0\n1,1\n",
            ":2:1: -1 is out of range",
            "time_s: 0 to 3600 s; choose",
        ),
        (
            b"time_s,throttle\n0,0\n3601,1\n",
            ":3:1: 3601 is out of range",
            "time_s: 0 to 3600 s; choose",
        ),
        (
            b"time_s,throttle\n0,0\n1\n",
            ":3:1: 1 value instead of two",
            "`seconds,throttle`; write two",
        ),
        (
            b"time_s,throttle\n0,0\n1,0,5\n",
            ":3:1: 3 values instead of two",
            "with points for decimals",
        ),
        (
            b"time_s;throttle\n0;0\n",
            ":1:1: the header is `time_s;throttle`",
            header,
        ),
        (
            "time_s,throttle\n0,0\nö".as_bytes(),
            ":3:1: 1 value instead of two",
            "write two",
        ),
        (
            b"time_s,throttle\n0,0\n1,\xff\n",
            ":3:3: not UTF-8 text",
            "save the file as UTF-8",
        ),
    ];
    for (bytes, what, remedy) in cases {
        let path = file(at, "wrong.csv", bytes);
        let message = format!("^{}{what}.*; allowed: .*{remedy}", regex_escape(&path));
        refused_in(
            at,
            &["run", "--trace", &path, "--csv", "out.csv", "--plot", "out.svg"],
            &message,
        );
    }
    let huge = file(
        at,
        "huge.csv",
        &[b"time_s,throttle\n0,0\n".to_vec(), vec![b'\n'; 4 << 20]].concat(),
    );
    refused_in(
        at,
        &["run", "--trace", &huge],
        "huge.csv:1:1: it is larger than 4 MiB; allowed: .*; leave out rows",
    );
    refused_in(
        at,
        &["run", "--trace", "none.csv"],
        "^none.csv:1:1: there is no such file; allowed: .*; check the path",
    );
    refused_in(
        at,
        &["run", "--trace", "."],
        "^.:1:1: this is a directory; allowed: .*; name a file in it",
    );
    #[cfg(target_os = "linux")]
    refused_in(
        at,
        &["run", "--trace", "/dev/zero"],
        "^/dev/zero:1:1: it is larger than 4 MiB",
    );
    let good = file(at, "good.csv", b"time_s,throttle\n0,0\n0.5,1\n");
    refused_in(
        at,
        &["run", "--trace", &good, "--manoeuvre", "idle"],
        "cannot be used with",
    );
    refused_in(at, &["run", "--trace", &good, "--rpm", "20000"], "cannot be used with");
    assert_eq!(listing(at).len(), 3);
}
