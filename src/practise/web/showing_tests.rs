//! A recording shown, driven as its server drives it: it comes out as it was recorded at any pace, and what is said to be true is so.

use std::sync::{Arc, LazyLock};

use super::ask::{Ask, FAST};
use super::showing::Showing;
use crate::practise::demonstration::{Deed, Tape, Truth};
use crate::practise::recording::Practice;
use crate::practise::replay_tests::{Disk, rewritten};
use crate::practise::session::Level;
use crate::tuning::action::{Action, Screw, Verdict};
use crate::tuning::scenario::source;
use crate::units::{celsius_from_kelvin, mg_from_kilogram};

const RATE_HZ: u32 = 8_000;
const CLICK: f64 = 1.0 / 24.0;

/// A short practice: its recording, and what was so when its needle had been turned.
struct Recorded {
    text: String,
    digest: u64,
    film_mg: f64,
    crown_c: f64,
    head_c: f64,
    rpm: f64,
    off_turns: [f64; 3],
}

static RECORDED: LazyLock<Recorded> = LazyLock::new(|| {
    let disk = Disk::new(1 << 20);
    let level = Level::ByEar;
    let out = Box::new(disk.clone());
    let mut practice = Practice::begin(&source("lesson-1").unwrap(), level, 3, 0, Some(out)).unwrap();
    practice.act(&Action::Start).unwrap();
    practice.pass(1500);
    for (position, ms) in [(0.6, 300), (1.0, 900), (0.0, 1000)] {
        practice.act(&Action::Throttle { position }).unwrap();
        practice.pass(ms);
    }
    practice.note("dull");
    for _ in 0..3 {
        let screw = Screw::High;
        practice.act(&Action::Turn { screw, turns: -CLICK }).unwrap();
    }
    let episode = practice.session().episode();
    let state = episode.state();
    let recorded = Recorded {
        film_mg: mg_from_kilogram(state.film_fuel),
        crown_c: celsius_from_kelvin(state.crown_temperature),
        head_c: celsius_from_kelvin(state.head_temperature),
        rpm: episode.rpm(),
        off_turns: Screw::ALL.map(|screw| episode.off(screw)),
        digest: 0,
        text: String::new(),
    };
    practice.act(&Action::Hold { position: 1.0, ms: 700 }).unwrap();
    practice.pass(400);
    practice.act(&Action::Stop).unwrap();
    practice.pass(400);
    practice.act(&Action::Leave).unwrap();
    Recorded {
        digest: practice.session().digest(),
        text: disk.text(),
        ..recorded
    }
});

fn read(text: &str) -> Option<Tape> {
    Tape::read("r", text.as_bytes()).unwrap().0
}

static TAPE: LazyLock<Arc<Tape>> = LazyLock::new(|| Arc::new(read(&RECORDED.text).unwrap()));

fn begun() -> Showing {
    let mut showing = Showing::new(Arc::clone(&TAPE), RATE_HZ);
    showing.ask(&Ask::Begin { n: 1 });
    showing
}

/// Lets time pass in slices until it is over, and looks at each; how long that was, ms, and all of its sound.
fn play(showing: &mut Showing, mut look: impl FnMut(&mut Showing)) -> (u32, Vec<f32>) {
    let mut samples = Vec::new();
    for slice in 0..20_000 {
        if showing.still() {
            return (8 * slice, samples);
        }
        showing.pass(8);
        samples.extend(showing.sound().1);
        look(showing);
    }
    panic!("it never ends");
}

fn loudest(samples: &[f32]) -> f32 {
    samples.iter().fold(0.0, |most, sample| most.max(sample.abs()))
}

#[test]
fn a_tape_has_every_deed_and_only_of_a_practice_that_is_whole_and_over() {
    let text = &RECORDED.text;
    let deeds = TAPE.deeds();
    assert_eq!(deeds[0], Deed::Act(Action::Start));
    assert!(deeds.contains(&Deed::Note("dull".to_string())));
    let passed: u32 = deeds
        .iter()
        .map(|deed| if let Deed::Pass(ms) = deed { *ms } else { 0 })
        .sum();
    assert_eq!(passed, 1500 + 300 + 900 + 1000 + 400 + 400);
    let lines: Vec<String> = text.split_inclusive('\n').map(str::to_string).collect();
    let without_end = lines[..lines.len() - 2].concat();
    let edited = text.replacen("\"ms\":700", "\"ms\":701", 1);
    let passes = 1 + lines.iter().position(|line| line.starts_with("{\"pass\"")).unwrap();
    let other_models = rewritten(&lines, passes, |object| {
        let at = object.find("\"state\":\"").unwrap() + 9;
        format!("{}0123456789abcdef{}", &object[..at], &object[at + 16..])
    });
    for (wrong, exact, running) in [
        (without_end.as_str(), true, true),
        (&text[..text.len() - 5], false, false),
        (&edited, false, true),
        (&other_models, false, false),
    ] {
        let (tape, replayed) = Tape::read("r", wrong.as_bytes()).unwrap();
        assert_eq!((replayed.exact(), replayed.running()), (exact, running), "{wrong}");
        assert!(tape.is_none(), "{wrong}");
    }
}

#[test]
fn it_goes_as_it_was_recorded_with_its_words_its_sound_and_the_truth() {
    let mut showing = begun();
    let (mut words, mut doing, mut at_turn) = (Vec::new(), Vec::new(), None::<(Truth, f64)>);
    let before = showing.truth().clone();
    assert!(before.mixture.is_none() && before.rpm == 0.0, "it stands: {before:?}");
    let (took_ms, samples) = play(&mut showing, |showing| {
        let bench = showing.bench();
        words.extend(bench.captions.into_iter().map(|caption| caption.text));
        doing.extend(showing.state().doing);
        if bench.screws[0].turns == -3.0 * CLICK && at_turn.is_none() {
            at_turn = Some((showing.truth().clone(), showing.state().clock_s));
        }
    });
    let seconds = samples.len() as f64 / f64::from(RATE_HZ);
    assert!(
        (seconds - f64::from(took_ms) * 1e-3).abs() < 0.02,
        "{seconds} s of sound in {took_ms} ms"
    );
    assert!(loudest(&samples) > 0.02);
    doing.dedup();
    assert_eq!(doing, ["Start the engine", "Full throttle for 1 s"]);
    assert!(words.iter().any(|text| text.contains("smoke")), "{words:?}");
    // Done and found, as it stands in the notebook.
    let book: Vec<String> = showing.bench().notebook.into_iter().map(|entry| entry.text).collect();
    let place = |text: &str| {
        book.iter()
            .position(|entry| entry == text)
            .unwrap_or_else(|| panic!("{text}: {book:?}"))
    };
    let order = [
        "started it",
        "full throttle, shut after 1.2 s",
        "dull",
        "high in 1/8, now in 1/8",
        "Full throttle for 1 s",
    ]
    .map(place);
    assert!(order.is_sorted(), "{book:?}");
    // It ends where the practice did, to the bit.
    assert!(showing.run().over && showing.run().verdict.unwrap().starts_with("LEFT"));
    assert_eq!(showing.digest(), RECORDED.digest);
    assert!(
        showing.truth().mixture.is_none() && showing.truth().rpm == 0.0,
        "it was stopped"
    );
    // What was true once the needle had been turned is what was so in the practice itself, and in the file's last line.
    let (truth, _) = at_turn.unwrap();
    let recorded = &*RECORDED;
    assert_eq!(
        [truth.film_mg, truth.crown_c, truth.head_c, truth.rpm],
        [recorded.film_mg, recorded.crown_c, recorded.head_c, recorded.rpm]
    );
    let offs = [truth.high.off_turns, truth.low.off_turns, truth.idle_off_turns];
    assert_eq!(offs, recorded.off_turns);
    let end: serde_json::Value = serde_json::from_str(recorded.text.lines().last().unwrap()).unwrap();
    for (at, off) in offs.iter().enumerate() {
        let [start, true_turns] = ["start_turns", "truth_turns"].map(|key| end["end"][key][at].as_f64().unwrap());
        let turned = if at == 0 { -3.0 * CLICK } else { 0.0 };
        assert!((start + turned - true_turns - off).abs() < 1e-12, "{at}: {off}");
    }
    // A rich high end meters more than it should, and less of it after a turn in; the low needle is right, and so is its end.
    assert_eq!((before.high.stands, before.low.stands), (Verdict::Rich, Verdict::Right));
    assert!(
        before.high.equivalence_ratio > truth.high.equivalence_ratio
            && truth.high.equivalence_ratio > 1.02 * truth.high.right
    );
    assert!(truth.crown_c > truth.head_c && truth.film_mg > 0.1, "{truth:?}");
}

#[test]
fn it_waits_while_it_is_halted_and_four_times_as_fast_it_is_the_same_and_silent() {
    let mut showing = begun();
    for _ in 0..400 {
        showing.pass(8);
    }
    let at = showing.state().clock_s;
    assert!(at > 3.0);
    showing.ask(&Ask::Pause { paused: true });
    showing.sound();
    showing.pass(1000);
    assert!(showing.state().clock_s == at && showing.sound().1.is_empty() && showing.still());
    // Nor does anything that would act on the engine.
    for ask in [
        Ask::Throttle { position: 1.0, n: 2 },
        Ask::Skip { seconds: 10 },
        Ask::Do {
            actions: vec![Action::Stop],
            n: 3,
        },
        Ask::Note {
            text: "mine".to_string(),
        },
    ] {
        showing.ask(&ask);
    }
    showing.ask(&Ask::Pause { paused: false });
    let (live_ms, _) = play(&mut showing, |_| {});
    assert_eq!(showing.digest(), RECORDED.digest);
    // From its beginning again, and faster.
    showing.ask(&Ask::Pace { times: FAST });
    showing.ask(&Ask::Begin { n: 4 });
    assert!(!showing.run().over && showing.state().clock_s == 0.0 && showing.run().times == FAST);
    let (fast_ms, samples) = play(&mut showing, |_| {});
    assert_eq!(showing.digest(), RECORDED.digest);
    let whole_ms = live_ms + 3200;
    assert!(fast_ms.abs_diff(whole_ms / 4) < 50, "{fast_ms} of {whole_ms}");
    // The first sound is faded out.
    assert_eq!(loudest(&samples[100..]), 0.0);
}
