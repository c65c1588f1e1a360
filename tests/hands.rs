//! Hands as data: a segment ends when it says so, a manoeuvre played in parts is the one played at once, and a lab finds the same
//! however much it plays side by side.

use needlebench::bench::lab::Lab;
use needlebench::bench::manoeuvre::table::{self, LAP, Named, Waits};
use needlebench::bench::manoeuvre::{Manoeuvre, Mark, Segment, Throttle, Until};
use needlebench::bench::measures::What;
use needlebench::bench::player::{Cursor, Now, Observer, Pace, Play, Player, Stand, Unseen, advance, begin, play};
use needlebench::bench::rig::{self, Rig};
use needlebench::config::reference_setup;
use needlebench::engine::params::Setting;
use needlebench::engine::state::{Load, Revolution, State};
use needlebench::engine::{Engine, Run, Setup};

fn reference() -> (Setup, Setting) {
    let (model, setup) = reference_setup("offroad-3.5").unwrap();
    (setup, model.reference)
}

fn warm() -> Rig {
    let (setup, setting) = reference();
    Rig::warm(&setup, setting, 3)
}

/// Everything that is seen, as numbers.
#[derive(Clone, Default, PartialEq, Debug)]
struct Seen(Vec<(Mark, [f64; 5])>);

impl Observer for Seen {
    fn see(&mut self, now: &Now, r: &Revolution, s: &State) {
        let numbers = [now.seconds, now.throttle, r.speed, s.time, s.film_fuel];
        self.0.push((now.mark, numbers));
    }
}

/// A cold start, laps, a ramp, a pinch and a restart: all that hands can do.
fn everything() -> Manoeuvre {
    let more = Manoeuvre::from([
        Segment::ramp(0.0, 1.0, 1.0).load(Load::Stand).mark(Mark::Open),
        Segment::hold(0.0, 20.0)
            .pinched()
            .until(Until::Stalled)
            .mark(Mark::Pinch),
        Segment::hold(0.0, 0.0).line_free().refuelled(),
        Segment::hold(0.2, 2.0).lead(true).spun(150.0).mark(Mark::Return),
        Segment::hold(0.5, 0.7)
            .lead(false)
            .load(Load::Brake(300.0))
            .mark(Mark::Watch),
    ]);
    table::laps(1).then(&more)
}

#[test]
fn a_segment_ends_when_it_says_so() {
    let end = |until, throttle: f64, longest_s: f64| {
        let mut rig = warm();
        let cut = Manoeuvre::from([Segment::hold(throttle, longest_s).until(until)]);
        let seen = rig.play(&cut, Seen::default()).0;
        (rig, seen)
    };
    let (rig, seen) = end(Until::Time, 0.3, 2.0);
    let (before, last) = (seen[seen.len() - 2].1[0], seen[seen.len() - 1].1[0]);
    assert!(before < 2.0 && last >= 2.0, "{before} {last}");
    assert_eq!(rig.state.time, seen[seen.len() - 1].1[3]);
    let (rig, seen) = end(Until::SpeedAbove(400.0), 1.0, 9.0);
    assert!(rig.state.speed > 400.0 && seen[..seen.len() - 1].iter().all(|s| s.1[2] <= 400.0));
    let (rig, seen) = end(Until::SpeedBelow(200.0), 0.0, 9.0);
    assert!(rig.state.speed < 200.0 && seen[..seen.len() - 1].iter().all(|s| s.1[2] >= 200.0));
    let (rig, _) = end(Until::HeadAbove(375.0), 1.0, 60.0);
    assert!((375.0..375.1).contains(&rig.state.head_temperature));
    assert!(rig.state.time < 59.0, "{}", rig.state.time);
    let mut dead = warm();
    dead.state.speed = 0.0;
    let stand = Manoeuvre::from([Segment::hold(0.0, 5.0).until(Until::Stalled)]);
    assert_eq!(dead.play(&stand, Seen::default()).0.len(), 1);
}

#[test]
fn a_head_has_settled_when_it_moves_little_in_a_second() {
    let mut rig = warm().with_load(Load::Brake(500.0));
    let settled = Manoeuvre::from([Segment::hold(1.0, 200.0).until(Until::Settled(0.05))]);
    rig.play(&settled, Unseen);
    assert!((20.0..199.0).contains(&rig.state.time), "{}", rig.state.time);
    let before = rig.state.head_temperature;
    rig.pass(1.0, 1.0);
    assert!((rig.state.head_temperature - before).abs() < 0.06);
}

#[test]
fn a_segment_is_left_out_when_it_says_so() {
    let segments = |skip: Segment| {
        Manoeuvre::from([
            Segment::hold(0.1, 0.5).mark(Mark::Open),
            skip.mark(Mark::Watch),
            Segment::hold(0.2, 0.5).mark(Mark::Watch),
            Segment::hold(0.0, 0.5).mark(Mark::Return),
        ])
    };
    let marks = |rig: &mut Rig, skip: Segment| {
        let mut marks: Vec<Mark> = rig
            .play(&segments(skip), Seen::default())
            .0
            .iter()
            .map(|s| s.0)
            .collect();
        marks.dedup();
        marks
    };
    let all = [Mark::Open, Mark::Watch, Mark::Return];
    let cut = [Mark::Open, Mark::Return];
    let mut dead = warm();
    dead.state.speed = 0.0;
    let segment = Segment::hold(0.1, 0.5);
    assert_eq!(marks(&mut warm(), segment.skip_slow(0.0, 3)), all);
    assert_eq!(marks(&mut dead, segment.skip_slow(0.0, 3)), cut);
    assert_eq!(marks(&mut warm(), segment.skip_slow(100.0, 3)), all);
    assert_eq!(marks(&mut warm(), segment.skip_slow(1000.0, 3)), cut);
    assert_eq!(marks(&mut warm(), segment.skip_warm(500.0, 3)), all);
    assert_eq!(marks(&mut warm(), segment.skip_warm(350.0, 3)), cut);
    assert_eq!(marks(&mut dead, segment.skip_warm(500.0, 3)), cut);
    // A way back would never end: it is no way.
    assert_eq!(marks(&mut dead, segment.skip_slow(0.0, 0)), all);
}

#[test]
fn a_manoeuvre_played_in_parts_is_the_one_played_at_once() {
    for pace in [Pace::Own, Pace::Clock] {
        let mut whole = warm();
        let mut cursor = Cursor::new(pace);
        let all = whole.advance(&everything(), &mut cursor, f64::INFINITY, Seen::default());
        assert!(cursor.over());
        for part_s in [0.003, 0.05, 1.7] {
            let mut rig = warm();
            let mut cursor = Cursor::new(pace);
            let (mut seen, mut until) = (Seen::default(), 0.0);
            while !cursor.over() {
                until += part_s;
                seen = rig.advance(&everything(), &mut cursor, until, seen);
                assert!(cursor.over() || rig.state.time >= until && rig.state.time < until + 0.05);
            }
            assert!(seen == all, "{pace:?} in parts of {part_s} s");
            assert_eq!((rig.state, rig.controls), (whole.state, whole.controls));
        }
    }
}

#[test]
fn many_engines_advance_together_as_each_alone() {
    let (setup, setting) = reference();
    let engine = Engine::new(&setup);
    let manoeuvre = |k: usize| table::pinch(k as u8 % 3);
    let mut runs: Vec<Run<Player<Seen>>> = (0..30)
        .map(|k| {
            let from = rig::warm(&engine, setting, k as u64);
            let (manoeuvre, watch) = (manoeuvre(k), Seen::default());
            begin(&engine, Play { from, manoeuvre, watch }, Pace::Own)
        })
        .collect();
    let mut parts = 0_u32;
    while !advance(&engine, &mut runs, 0.1) {
        parts += 1;
        let (from, to) = (0.1 * f64::from(parts) - 1e-9, 0.1 * f64::from(parts) + 0.05);
        let running = runs.iter().filter(|run| !run.hands.over());
        assert!(running.map(|run| run.state.time).all(|time| (from..to).contains(&time)));
    }
    assert!(parts > 50, "{parts}");
    for (k, run) in runs.into_iter().enumerate() {
        let mut rig = Rig::of(engine, rig::warm(&engine, setting, k as u64));
        let seen = rig.play(&manoeuvre(k), Seen::default());
        let (end, player) = Stand::parted(run);
        assert!(player.watch == seen, "engine {k}");
        assert_eq!(end.state, rig.state);
    }
}

#[test]
fn on_a_clock_a_manoeuvre_keeps_its_time_and_at_its_own_pace_each_segment_does() {
    let blips: Manoeuvre = (0..200)
        .map(|k| Segment::hold(if k % 2 == 0 { 0.0 } else { 0.1 }, 0.05))
        .collect();
    let took = |pace| {
        let mut rig = warm();
        rig.advance(&blips, &mut Cursor::new(pace), f64::INFINITY, Unseen);
        rig.state.time
    };
    let (clock, own) = (took(Pace::Clock), took(Pace::Own));
    assert!((10.0..10.02).contains(&clock), "{clock}");
    assert!(own > 10.1, "{own}");
}

#[test]
fn points_are_led_through_in_straight_lines() {
    let led = Manoeuvre::along(&[(0.5, 0.2), (1.5, 0.6), (1.6, 0.0), (2.5, 0.0)]);
    let mut rig = warm();
    let start = rig.state.time;
    let seen = rig
        .advance(&led, &mut Cursor::new(Pace::Clock), f64::INFINITY, Seen::default())
        .0;
    let mut before = start;
    for (_, [_, throttle, _, time, _]) in seen {
        // The throttle of a revolution is that of its beginning.
        let t = before - start;
        let wanted = match t {
            t if t <= 0.5 => 0.2,
            t if t <= 1.5 => 0.2 + 0.4 * (t - 0.5),
            t if t <= 1.6 => 0.6 - 6.0 * (t - 1.5),
            _ => 0.0,
        };
        assert!((throttle - wanted).abs() < 1e-9, "{throttle} for {wanted} at {t}");
        before = time;
    }
    assert!((2.5..2.52).contains(&(rig.state.time - start)));
}

#[test]
fn what_run_shows_is_what_the_checks_play() {
    let waits = Waits::STANDARD;
    for (named, act) in [
        (Named::RollOn, table::roll_on()),
        (Named::Half, table::half()),
        (Named::Burst, table::burst(&waits)),
        (Named::Snap, table::snap(&waits)),
        (Named::Pinch, table::pinch(0)),
    ] {
        let shown = named.shown(&waits);
        let within = shown.segments().windows(act.segments().len());
        assert_eq!(within.filter(|part| *part == act.segments()).count(), 1, "{named:?}");
    }
    let [shown, judged] = [Named::Brake.shown(&waits), table::brake(&waits)].map(|m| m.segments()[0]);
    assert_eq!((shown.throttle, shown.load), (judged.throttle, judged.load));
    let lap: f64 = LAP.iter().map(|(seconds, _)| seconds).sum();
    assert!((Named::Laps.shown(&waits).longest_s() - 3.0 * lap).abs() < 1e-9);
    for named in Named::ALL {
        let shown = named.shown(&waits);
        let throttle = shown.segments().iter().flat_map(|s| match s.throttle {
            Throttle::Hold(throttle) => [throttle; 2],
            Throttle::Ramp { from, to } => [from, to],
        });
        assert!(throttle.into_iter().all(|t| (0.0..=1.0).contains(&t)), "{named:?}");
        assert!((10.0..=120.0).contains(&shown.longest_s()), "{named:?}");
    }
}

#[test]
fn a_lab_finds_the_same_alone_and_side_by_side() {
    let (setup, setting) = reference();
    let leaner = |k: usize| Setting {
        low_turns: setting.low_turns - 0.05 * k as f64,
        ..setting
    };
    let whats = [
        What::Burst,
        What::Pinch,
        What::Snap,
        What::RollOn,
        What::HotIdle,
        What::Half,
    ];
    let lab = |cases: std::ops::Range<usize>| {
        let mut lab = Lab::new(&setup, &Waits::STANDARD);
        let cases: Vec<_> = cases.map(|k| lab.add_warm(leaner(k), 5)).collect();
        (lab, cases)
    };
    let (mut many, cases) = lab(0..6);
    many.measure(cases.iter().flat_map(|case| whats.map(|what| (*case, what))));
    let shown = |lab: &Lab, case| format!("{:?}", lab.findings(case));
    for k in [0, 5] {
        let (mut one, own) = lab(k..k + 1);
        for what in whats {
            one.measure([(own[0], what)]);
            assert!(one.findings(own[0]).has(what));
        }
        assert_eq!(shown(&one, own[0]), shown(&many, cases[k]));
        // What is known is not played again.
        let before = shown(&one, own[0]);
        one.measure([(own[0], What::Burst)]);
        assert_eq!(shown(&one, own[0]), before);
    }
    assert_ne!(shown(&many, cases[0]), shown(&many, cases[5]));
}

#[test]
fn a_segment_of_no_time_only_changes_what_it_says() {
    for pace in [Pace::Own, Pace::Clock] {
        let mut rig = warm();
        rig.state.tank_fuel = 0.0;
        let full = rig.engine.tank_capacity();
        let quick = Manoeuvre::from([Segment::hold(0.3, 0.0).refuelled().load(Load::Track)]);
        let seen = rig.advance(&quick, &mut Cursor::new(pace), f64::INFINITY, Seen::default());
        assert!(seen.0.is_empty());
        assert_eq!(
            (rig.state.tank_fuel, rig.controls.throttle, rig.controls.on_track),
            (full, 0.3, 1.0)
        );
    }
}

#[test]
fn plays_of_no_segments_leave_an_engine_as_it_was() {
    let (setup, setting) = reference();
    let engine = Engine::new(&setup);
    let from = rig::warm(&engine, setting, 1);
    let nothing: Manoeuvre = std::iter::empty().collect();
    let played = play(
        &engine,
        [Play {
            from,
            manoeuvre: nothing,
            watch: Seen::default(),
        }],
    );
    assert!(played[0].watch.0.is_empty());
    assert_eq!(played[0].end.state, from.state);
}
