//! What signing off asks for, revolution by revolution: what passes, and what can't.

use super::*;

const HOT: f64 = 370.0;

/// An ear, and hands on an engine whose head has this temperature.
struct Bench {
    heard: Heard,
    head: f64,
}

impl Bench {
    fn hot() -> Self {
        Self {
            heard: Heard::default(),
            head: HOT,
        }
    }
    /// A throttle held, in revolutions of 4 ms.
    fn hold(&mut self, throttle: f64, seconds: f64) -> &mut Self {
        self.beats(seconds, |_| throttle, true)
    }
    fn beats(&mut self, seconds: f64, throttle: impl Fn(f64) -> f64, running: bool) -> &mut Self {
        let count = (seconds / 0.004).round() as u32;
        for k in 0..count {
            self.heard.hear(Beat {
                throttle: throttle(f64::from(k) / f64::from(count)),
                running,
                head: self.head,
                seconds: 0.004,
            });
        }
        self
    }
    fn roll_on(&mut self, seconds: f64) -> &mut Self {
        self.hold(0.0, 1.0).beats(seconds, |way| way, true).hold(1.0, 0.1)
    }
    fn stalled(&mut self) -> &mut Self {
        self.beats(0.004, |_| 0.0, false)
    }
    fn all(&mut self) -> &mut Self {
        self.roll_on(6.0).hold(1.0, 3.0).hold(0.0, 10.0).hold(1.0, 1.0)
    }
    fn missing(&self) -> Vec<Ask> {
        self.heard.missing().iter().collect()
    }
}

#[test]
fn all_four_of_a_warm_engine_are_enough_and_no_three_are() {
    assert_eq!(Bench::hot().all().missing(), []);
    use Ask::{Full, Idle, RollOn, Snap};
    for (left_out, bench) in [
        (vec![RollOn], Bench::hot().hold(1.0, 3.0).hold(0.0, 10.0).hold(1.0, 1.0)),
        (
            vec![Full],
            Bench::hot().roll_on(6.0).hold(1.0, 1.0).hold(0.0, 10.0).hold(1.0, 1.0),
        ),
        (
            vec![Idle],
            Bench::hot().hold(0.0, 10.0).hold(1.0, 3.0).roll_on(6.0).hold(0.0, 5.8),
        ),
        (vec![Snap], Bench::hot().roll_on(6.0).hold(1.0, 3.0).hold(0.0, 30.0)),
        (vec![Full, Idle, Snap, RollOn], Bench::hot().hold(0.0, 1.0)),
        (Ask::ALL[1..].to_vec(), &mut Bench::hot()),
    ] {
        assert_eq!(bench.missing(), left_out);
    }
}

#[test]
fn a_cold_engine_tells_nothing_and_a_cooling_one_still_does() {
    let mut cold = Bench::hot();
    cold.head = WARM_HEAD - 1.0;
    assert_eq!(cold.all().missing(), Ask::ALL[1..]);
    // Warm, but hardly: at idle it falls below, and is the same engine; then it is a cold one.
    let mut cooling = Bench::hot();
    cooling.roll_on(6.0).hold(1.0, 3.0);
    cooling.head = WARM_HEAD - 10.0;
    assert_eq!(cooling.hold(0.0, 10.0).missing(), [Ask::Snap]);
    cooling.head = WARM_HEAD - 21.0;
    assert_eq!(cooling.hold(1.0, 1.0).missing(), [Ask::Warm, Ask::Snap]);
    // What it has told warm it has told.
    let mut done = Bench::hot();
    done.all().head = 300.0;
    assert_eq!(done.hold(0.0, 1.0).missing(), []);
}

#[test]
fn a_stalled_engine_is_not_heard_to_the_end() {
    // It dies on the snap, in the idle, in the third second, half open.
    let mut bench = Bench::hot();
    assert_eq!(bench.hold(1.0, 2.8).stalled().hold(1.0, 2.8).missing().len(), 4);
    assert_eq!(
        bench
            .stalled()
            .hold(1.0, 3.0)
            .hold(0.0, 5.0)
            .stalled()
            .hold(0.0, 10.0)
            .missing()
            .len(),
        3
    );
    assert_eq!(bench.hold(1.0, 0.5).stalled().hold(1.0, 0.9).missing().len(), 3);
    let way = |way: f64| 0.5 * way;
    bench.hold(0.0, 1.0).beats(3.0, way, true).stalled();
    assert_eq!(
        bench.beats(3.0, |w| 0.5 + way(w), true).hold(1.0, 0.1).missing().len(),
        3
    );
    // One that never runs.
    assert_eq!(Bench::hot().beats(60.0, |_| 1.0, false).missing().len(), 4);
}

#[test]
fn a_needle_turned_asks_for_all_again_and_the_idle_stop_for_idle_and_snap() {
    let mut bench = Bench::hot();
    bench.all().heard.needle_turned();
    assert_eq!(bench.missing(), [Ask::Full, Ask::Idle, Ask::Snap, Ask::RollOn]);
    // What was going on when it was turned counts for nothing.
    bench.all().hold(1.0, 2.9).heard.needle_turned();
    assert_eq!(bench.hold(1.0, 2.9).missing().len(), 4);
    let mut bench = Bench::hot();
    bench.all().heard.idle_turned();
    assert_eq!(bench.missing(), [Ask::Idle, Ask::Snap]);
    // Neither a wait nor a burst from before the trim is one after it.
    bench.all().hold(0.0, 9.0).heard.idle_turned();
    assert_eq!(bench.hold(0.0, 9.0).hold(1.0, 1.0).missing(), [Ask::Idle, Ask::Snap]);
    assert_eq!(bench.hold(0.0, 10.0).hold(1.0, 1.0).missing(), []);
}

#[test]
fn what_is_not_the_manoeuvre_does_not_count_as_it() {
    let missing = |bench: &mut Bench| bench.missing();
    // Full throttle in pieces, or nearly full.
    let pieces = Bench::hot().hold(1.0, 2.0).hold(0.5, 0.1).hold(1.0, 2.0).missing();
    assert!(pieces.contains(&Ask::Full));
    assert!(missing(Bench::hot().hold(0.9, 9.0)).contains(&Ask::Full));
    // A blip is no burst, nor is half throttle, nor an idle that was opened in between.
    for mut bench in [Bench::hot(), Bench::hot(), Bench::hot()]
        .into_iter()
        .zip([0.3, 0.9, 0.5])
        .map(|(mut b, s)| {
            b.hold(1.0, s);
            b
        })
    {
        assert!(missing(bench.hold(0.0, 12.0)).contains(&Ask::Idle));
    }
    assert!(missing(Bench::hot().hold(0.5, 5.0).hold(0.0, 12.0)).contains(&Ask::Idle));
    assert!(missing(Bench::hot().hold(1.0, 3.0).hold(0.0, 5.0).hold(0.2, 0.2).hold(0.0, 5.0)).contains(&Ask::Idle));
    // A snap after too short a wait, or opened by a slow hand, or let go at once.
    let waited = || {
        let mut bench = Bench::hot();
        bench.hold(0.0, 10.0);
        bench
    };
    assert!(missing(Bench::hot().hold(0.0, 9.0).hold(1.0, 3.0)).contains(&Ask::Snap));
    assert!(missing(waited().hold(0.5, 1.0).hold(1.0, 3.0)).contains(&Ask::Snap));
    assert!(missing(waited().hold(1.0, 0.8)).contains(&Ask::Snap));
    assert!(!missing(waited().hold(0.5, 0.2).hold(1.0, 1.0)).contains(&Ask::Snap));
    // An opening in a second, one that goes back, and one with a jump in it.
    assert!(missing(Bench::hot().roll_on(1.0)).contains(&Ask::RollOn));
    let back = |way: f64| if way < 0.5 { way } else { way - 0.2 };
    assert!(missing(Bench::hot().hold(0.0, 1.0).beats(6.0, back, true).hold(1.0, 1.0)).contains(&Ask::RollOn));
    assert!(missing(Bench::hot().hold(0.0, 1.0).hold(0.2, 4.0).hold(1.0, 1.0)).contains(&Ask::RollOn));
    // By the number keys, some half second each.
    let keys = |way: f64| (way * 9.0).ceil() / 10.0;
    assert!(!missing(Bench::hot().hold(0.0, 1.0).beats(4.5, keys, true).hold(1.0, 0.5)).contains(&Ask::RollOn));
}
