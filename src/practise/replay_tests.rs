//! What is recorded is replayed: every line, to the bit, whatever its length; and what was changed, cut off or comes out otherwise is
//! found at its line.

use std::cell::RefCell;
use std::io::Write;
use std::rc::Rc;

use super::lines::{Chain, Entry};
use super::progress::LeftOut;
use super::recording::Practice;
use super::replay::{ReplayError, Replayed, Step, replay};
use super::session::Level;
use crate::tuning::action::{Action, Screw, Verdict};
use crate::tuning::episode::{Ending, LIMIT_MS};
use crate::tuning::scenario;

/// A disk with room for so many bytes.
#[derive(Clone)]
pub(super) struct Disk(Rc<RefCell<Vec<u8>>>, usize);

impl Disk {
    pub(super) fn new(room: usize) -> Self {
        Self(Rc::default(), room)
    }
    pub(super) fn text(&self) -> String {
        String::from_utf8(self.0.borrow().clone()).unwrap()
    }
}

impl Write for Disk {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let room = self.1 - self.0.borrow().len();
        if room == 0 {
            return Err(std::io::ErrorKind::StorageFull.into());
        }
        let taken = room.min(bytes.len());
        self.0.borrow_mut().extend_from_slice(&bytes[..taken]);
        Ok(taken)
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

fn practice(disk: &Disk) -> Practice {
    let source = scenario::source("lesson-1").unwrap();
    Practice::begin(&source, Level::ByEar, 3, 0, Some(Box::new(disk.clone()))).unwrap()
}

fn turn(turns: f64) -> Action {
    Action::Turn {
        screw: Screw::High,
        turns,
    }
}

/// A recording of a little of everything, still running; its lines.
fn recording() -> Vec<String> {
    let disk = Disk::new(1 << 20);
    let mut practice = practice(&disk);
    let judged = Action::Judge {
        end: Screw::Low,
        verdict: Verdict::Right,
        sure_percent: 60,
    };
    for action in [Action::Start, judged, turn(-0.125), turn(-0.1), Action::Gun] {
        practice.act(&action).unwrap();
    }
    practice.note("louder");
    practice.pass(1500);
    practice.act(&Action::Hold { position: 1.0, ms: 700 }).unwrap();
    practice.act(&Action::Pinch).unwrap();
    disk.text().lines().map(|line| format!("{line}\n")).collect()
}

fn again(text: &str) -> Result<(Replayed, Vec<Step>), ReplayError> {
    let mut steps = Vec::new();
    let replayed = replay("r", text.as_bytes(), None, |_, step| steps.extend(step))?;
    Ok((replayed, steps))
}

#[test]
fn a_full_disk_stops_the_recording_and_keeps_what_was_written() {
    let disk = Disk::new(800);
    let mut practice = practice(&disk);
    for _ in 0..6 {
        practice.act(&Action::Wait { ms: 100 }).unwrap();
    }
    assert_eq!(practice.trouble().unwrap().kind(), std::io::ErrorKind::StorageFull);
    assert!(practice.trouble().is_none(), "said once");
    assert_eq!(practice.session().episode().clock_ms(), 600);
    let (replayed, steps) = again(&disk.text()).unwrap();
    assert!(
        replayed.cut_off && !steps.is_empty() && steps.len() < 6,
        "{}",
        steps.len()
    );
}

/// Also where the engine dies on the way.
#[test]
fn time_in_small_steps_is_the_same_time() {
    let disks = [Disk::new(1 << 20), Disk::new(1 << 20)];
    let digests = [(7, 1000), (7000, 1)].map(|(ms, times)| {
        let mut practice = practice(&disks[usize::from(times == 1)]);
        practice.act(&Action::Start).unwrap();
        for screw in [Screw::Low, Screw::Idle] {
            practice.act(&Action::Turn { screw, turns: -2.0 }).unwrap();
        }
        assert!(practice.session().episode().running());
        for _ in 0..times {
            practice.pass(ms);
        }
        assert!(!practice.session().episode().running(), "it died");
        practice.act(&turn(0.5)).unwrap();
        practice.session().digest()
    });
    assert_eq!(digests[0], digests[1]);
    assert_eq!(disks[0].text(), disks[1].text(), "and the same recording");
}

#[test]
fn a_whole_recording_replays_to_the_bit_and_still_runs() {
    let text = recording().concat();
    let copy = Disk::new(1 << 20);
    let replayed = replay("r", text.as_bytes(), Some(Box::new(copy.clone())), |_, _| {}).unwrap();
    assert!(replayed.exact() && replayed.running());
    assert_eq!(copy.text(), text);
}

/// Whatever happens to one line, what stands before it is replayed and the place is named; no line can be lost, doubled or swapped
/// unseen, not even one that changes nothing of the engine.
#[test]
fn an_action_left_out_doubled_edited_or_swapped_is_found_at_its_line() {
    let lines = recording();
    let found = |changed: Vec<String>, at: usize, what: &str| {
        let told = super::progress::read("r", changed.concat().as_bytes()).unwrap();
        assert_eq!(told.left_out(), Some(&LeftOut::Changed(at)), "{what}");
        // A practice takes a moment to begin: a few stand for all.
        if ![3, 8].contains(&at) {
            return;
        }
        let (replayed, steps) = again(&changed.concat()).unwrap_or_else(|error| panic!("{what} {at}: {error}"));
        assert_eq!(replayed.changed_at, Some(at), "{what}");
        assert_eq!(steps.len(), at - 2, "{what} {at}: what stands before it is replayed");
        assert_eq!(replayed.differs_at, None, "{what} {at}: the models are the same");
    };
    for index in 1..lines.len() {
        let number = index + 1;
        let (before, line, after) = (&lines[..index], lines[index].clone(), &lines[number..]);
        if !after.is_empty() {
            found([before, after].concat(), number, "left out");
        }
        found(
            [before, &[line.clone(), line.clone()], after].concat(),
            number + 1,
            "doubled",
        );
        // Another number: of an action, of the clock, of time, or another letter of a remark.
        let edited = [
            "0.125",
            "0.1}",
            ":700",
            "clock_ms\":10000",
            "\"ms\":1000",
            "louder",
            "\"pinch\"",
        ]
        .into_iter()
        .zip([
            "0.25",
            "0.11}",
            ":701",
            "clock_ms\":10001",
            "\"ms\":999",
            "louder.",
            "\"inspect\"",
        ])
        .find_map(|(from, to)| line.contains(from).then(|| line.replacen(from, to, 1)));
        if let Some(edited) = edited {
            found([before, &[edited], after].concat(), number, "edited");
        }
        if let [next, rest @ ..] = after {
            found([before, &[next.clone(), line], rest].concat(), number, "swapped");
        }
    }
}

/// The same file with one object changed and all its links made right: as if other models had written it.
pub(super) fn rewritten(lines: &[String], at: usize, change: impl Fn(&str) -> String) -> String {
    let mut chain = Chain::default();
    let mut text = String::new();
    for (index, line) in lines.iter().enumerate() {
        let object = format!("{}}}", line.split(",\"link\":").next().unwrap());
        let object = if index + 1 == at { change(&object) } else { object };
        text += &chain.close(&object);
        text.push('\n');
    }
    text
}

#[test]
fn models_that_changed_are_told_from_a_file_that_was_changed() {
    let lines = recording();
    assert_eq!(rewritten(&lines, 0, str::to_string), lines.concat());
    for at in 1..=lines.len() {
        if !lines[at - 1].contains("\"state\"") {
            continue;
        }
        let other = |object: &str| {
            let start = object.find("\"state\":\"").unwrap() + 9;
            format!("{}0123456789abcdef{}", &object[..start], &object[start + 16..])
        };
        let (replayed, steps) = again(&rewritten(&lines, at, other)).unwrap();
        assert_eq!((replayed.differs_at, replayed.changed_at), (Some(at), None));
        assert_eq!(steps.len(), lines.len() - 1, "today's models go on");
        assert!(!replayed.exact());
    }
}

#[test]
fn every_number_is_bounded_before_it_is_done() {
    let lines = recording();
    let refused = |at: usize, from: &str, to: &str, told: &str| {
        let text = rewritten(&lines, at, |object| {
            assert!(object.contains(from), "{object}");
            object.replacen(from, to, 1)
        });
        let message = again(&text).unwrap_err().to_string();
        assert!(
            message.starts_with(&format!("r:{at}:")) && message.contains(told),
            "{message}"
        );
    };
    let at = |part: &str| lines.iter().position(|line| line.contains(part)).unwrap() + 1;
    for (part, from, to, told) in [
        ("\"pass\"", "\"ms\":1000", "\"ms\":4294967295", "allowed 1 to 1000"),
        ("\"pass\"", "\"ms\":1000", "\"ms\":0", "allowed 1 to 1000"),
        ("\"pass\"", "\"ms\":1000", "\"ms\":-5", "damaged line"),
        ("\"pass\"", "\"ms\":1000", "\"ms\":1e3", "damaged line"),
        ("\"hold\"", "\"ms\":700", "\"ms\":4294967295", "allowed 0.05 to 600"),
        (
            "\"hold\"",
            "\"position\":1.0",
            "\"position\":1.5",
            "allowed 0 (shut) to 100 % (full)",
        ),
        ("-0.125", "-0.125", "9e99", "at most 2 turns"),
        ("-0.125", "-0.125", "1e999", "damaged line"),
        ("\"judge\"", ":60", ":101", "allowed 34 (a guess) to 100"),
        ("\"judge\"", ":60", ":256", "damaged line"),
    ] {
        refused(at(part), from, to, told);
    }
    let long = "x".repeat(5000);
    refused(at("louder"), "louder", &long, "a remark of 5000 bytes");
}

#[test]
fn what_is_recorded_is_read_again_whatever_its_length() {
    let disk = Disk::new(1 << 30);
    let mut practice = practice(&disk);
    // Longer than any line may be, with letters of several bytes at every edge.
    let remark = "ä€𝄞\"\\\u{7f}".repeat(100_000);
    practice.note(&remark);
    practice.act(&Action::Start).unwrap();
    for _ in 0..100 {
        practice.act(&turn(0.1)).unwrap();
        practice.act(&turn(-0.1)).unwrap();
    }
    // Longer than a practice may be.
    let frame = practice.pass(u32::MAX);
    assert_eq!(frame.sight.ended, Some(Ending::OutOfTime));
    assert_eq!(practice.session().episode().clock_ms(), LIMIT_MS);
    practice.pass(1000);
    practice.note("too late");
    assert!(practice.act(&Action::Gun).is_err());
    let text = disk.text();
    assert!(text.len() > 1 << 20, "{}", text.len());
    let (replayed, steps) = again(&text).unwrap();
    assert!(replayed.exact() && !replayed.running());
    let read: String = steps
        .iter()
        .filter_map(|step| {
            if let Step::Note(text) = step {
                Some(text.as_str())
            } else {
                None
            }
        })
        .collect();
    assert_eq!(read, remark);
    assert_eq!(replayed.practice.session().digest(), practice.session().digest());
}

/// Before the end the file tells nothing that is hidden; with the ending it tells all of it, and what was read wrong.
#[test]
fn what_is_hidden_stands_in_the_ending_alone() {
    let disk = Disk::new(1 << 20);
    let mut practice = practice(&disk);
    for action in [Action::Start, Action::Warm, Action::Gun, Action::Pinch, turn(-0.125)] {
        practice.act(&action).unwrap();
    }
    let hidden = practice.session().episode().hidden.clone();
    let drawn = hidden.drawn;
    let numbers = [
        drawn.nitro_percent,
        drawn.oil_percent,
        drawn.viscosity_share,
        hidden.start.high_turns,
        hidden.start.low_turns,
        hidden.start.idle_turns,
        hidden.truth.high_turns,
        hidden.truth.low_turns,
        hidden.truth.idle_turns,
        drawn.start_turns[0],
        drawn.least_mark_turns[0],
        drawn.most_mark_turns[2],
    ];
    let errors = practice.session().episode().errors();
    assert_eq!((errors.gun_c.len(), errors.pinch_percent.len()), (2, 1));
    let told = |text: &str, number: f64| text.contains(&serde_json::to_string(&number).unwrap());
    let running = disk.text();
    for number in numbers.into_iter().chain(errors.gun_c.clone()) {
        assert!(!told(&running, number), "{number} in {running}");
    }
    assert!(!running.contains(&drawn.engine_seed.to_string()));
    practice.act(&Action::Leave).unwrap();
    let ended = disk.text();
    let last = ended.lines().last().unwrap();
    assert!(last.starts_with("{\"end\":"));
    for number in numbers
        .into_iter()
        .chain(errors.gun_c.clone())
        .chain(errors.pinch_percent)
    {
        assert!(told(last, number), "{number} in {last}");
    }
    let object = format!("{}}}", last.split(",\"link\":").next().unwrap());
    let Entry::End(end) = serde_json::from_str(&object).unwrap() else {
        panic!("{last}");
    };
    assert_eq!(end.drawn, drawn);
    // Without its ending it was cut off between two lines.
    let cut = ended.strip_suffix(&format!("{last}\n")).unwrap();
    let (replayed, _) = again(cut).unwrap();
    assert!(replayed.cut_off && !replayed.running());
}
