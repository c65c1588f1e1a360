//! Rows of the throttle hand besides the burst: snap, half throttle, free speed and the track, the pinched line (S7, S8, S20, S22).

use super::running::Running;
use super::{Asked, Change, Group, INF, Off, Rows, Table, at_least, given, off};
use crate::bench::manoeuvre::{Manoeuvre, Mark, Segment};
use crate::bench::measures::{Pinch, Steadily, Steady, What};
use crate::bench::player::{Now, Observer, Stand};
use crate::engine::state::{Load, Revolution, State};
use crate::units::rpm_from_rev_per_second;

pub(super) const GROUP: Group = Group {
    name: "throttle",
    asks,
    rows: &[s7, s7_very_rich, s8, s20_free, s20_track, s22],
};

const CLEAN: Off = off(0.0, 0.0);

fn asks() -> Vec<Asked> {
    let mut asks = vec![(CLEAN, What::Free)];
    asks.extend([0.0, 0.5, 1.0].map(|low| (off(0.0, low), What::Snap)));
    asks.extend([(0.0, 0.0), (0.5, 0.25), (1.0, 0.5)].map(|(high, low)| (off(high, low), What::HalfRunning)));
    asks.extend([0.0, 0.25, 0.5].map(|low| (off(0.0, low), What::Pinch)));
    asks
}

/// The longest that a snap is watched, s.
const WATCHED_S: f64 = 4.0;

fn s7(t: &Table, rows: &mut Rows) {
    let (clean, rich) = (t.snap(CLEAN), t.snap(off(0.0, 0.5)));
    let delay = |k: usize| clean[k].delay_s.unwrap_or(f64::NAN);
    // A rich one that runs and does not get there has bogged.
    let rich_delay = |k: usize| given(rich[k].runs(), rich[k].delay_s.unwrap_or(WATCHED_S));
    rows.add(
        ("S7", "lag at low +1/2 over clean"),
        |k| rich_delay(k) / delay(k),
        (1.5, INF),
        0.5,
    );
    rows.add(("S7", "clean: lag, s"), delay, (0.1, 0.7), 0.3);
    rows.add(
        ("S7", "puff at low +1/2 over clean (with 0.25 for the eye)"),
        |k| rich[k].puff_excess / at_least(clean[k].puff_excess, 0.25),
        (2.0, INF),
        1.0,
    );
    rows.add(("S7", "clean: puff excess"), |k| clean[k].puff_excess, (-INF, 1.0), 0.5);
    rows.add(
        ("S7", "clean: snap misfire, %"),
        |k| clean[k].misfire_percent,
        (-INF, 1.0),
        1.0,
    );
}

/// A whole turn rich bogs or dies, where the clean one does not.
fn s7_very_rich(t: &Table, rows: &mut Rows) {
    let (clean, rich) = (t.snap(CLEAN), t.snap_or_stall(off(0.0, 1.0)));
    let told = |k: usize| {
        let told = rich[k].stalled || rich[k].delay_s.is_none();
        given(clean[k].delay_s.is_some(), f64::from(u8::from(told)))
    };
    rows.add(("S7", "low +1: bogs or dies"), told, (0.5, INF), 1.0);
}

fn s8(t: &Table, rows: &mut Rows) {
    // Held half open from a running engine: whether its idle lives is another row.
    for (high, low, name, limits, scale) in [
        (0.0, 0.0, "half throttle, clean: misfire, %", (-INF, 0.5), 0.5),
        (
            0.5,
            0.25,
            "half throttle, high +1/2 low +1/4: misfire, %",
            (2.0, INF),
            3.0,
        ),
        (
            1.0,
            0.5,
            "half throttle, high +1 low +1/2: misfire, %",
            (10.0, INF),
            10.0,
        ),
    ] {
        let half = t.half_running(off(high, low));
        rows.add(("S8", name), |k| half[k].misfire_percent, limits, scale);
    }
}

/// A throttle held under a load: its highest speed, and what it was like at the end.
#[derive(Default)]
struct Driven {
    top_rpm: f64,
    late: Steadily,
}

impl Observer for Driven {
    fn see(&mut self, now: &Now, r: &Revolution, state: &State) {
        if now.mark != Mark::Prepare {
            self.top_rpm = self.top_rpm.max(rpm_from_rev_per_second(r.speed));
        }
        self.late.see(now, r, state);
    }
}

impl Driven {
    fn late(&self) -> Steady {
        self.late.steady().or_none()
    }
    /// The highest speed of an engine that ran to the end.
    fn top_rpm(&self) -> f64 {
        given(self.late.steady().runs(), self.top_rpm)
    }
}

fn driven(t: &Table, place: Off, throttle: f64, load: Load) -> Vec<Driven> {
    let held = Manoeuvre::from([
        Segment::hold(throttle, 15.0).load(load).mark(Mark::Open),
        Segment::hold(throttle, 2.0).mark(Mark::Watch),
    ]);
    let from: Vec<Stand> = t.warm(place);
    let played = t.play(Change::Nothing, &from, &held, |_| Driven::default());
    played.into_iter().map(|p| p.watch).collect()
}

fn s20_free(t: &Table, rows: &mut Rows) {
    let rated = t.rated();
    let free = t.free(CLEAN);
    rows.add(
        ("S20", "wheels up, full throttle, rpm"),
        |k| free[k].rpm,
        (36_000.0 * rated, 44_000.0 * rated),
        2_000.0,
    );
    let places = [0.0, -0.25, -0.5, 0.5].map(|high| driven(t, off(high, 0.0), 1.0, Load::Stand));
    let top = |k: usize| {
        places
            .iter()
            .fold(0.0_f64, |top, place| at_least(place[k].top_rpm(), top))
    };
    rows.add(
        ("S20", "wheels up, high from -1/2 to +1/2: highest, rpm"),
        top,
        (-INF, 46_000.0 * rated),
        2_000.0,
    );
}

fn s20_track(t: &Table, rows: &mut Rows) {
    let free = t.free(CLEAN);
    let (full, half) = (driven(t, CLEAN, 1.0, Load::Track), driven(t, CLEAN, 0.5, Load::Track));
    rows.add(
        ("S20", "on the track: peak over wheels up"),
        |k| full[k].top_rpm() / free[k].rpm,
        (0.5, 1.0),
        0.05,
    );
    rows.add(
        ("S20", "on the track: half throttle over full"),
        |k| half[k].late().rpm / full[k].late().rpm,
        (0.1, 0.9),
        0.05,
    );
}

fn s22(t: &Table, rows: &mut Rows) {
    let (idle, clean) = (t.idle(CLEAN), t.pinch(CLEAN));
    // One that does not die within half a minute, or has died before, shows nothing.
    let dies = |pinch: &Pinch| pinch.died_s.unwrap_or(f64::NAN);
    rows.add(
        ("S22", "pinched: speed rises by, %"),
        |k| given(idle[k].runs(), clean[k].rise_percent),
        (0.5, INF),
        3.0,
    );
    rows.add(
        ("S22", "pinched: dies after, s"),
        |k| given(idle[k].runs(), dies(&clean[k])),
        // Three to five seconds are common practice, of a line that is pinched beside the carburettor; further away it holds more.
        (2.5, 8.0),
        1.0,
    );
    let (mut living, mut before) = (idle, clean);
    for (low, rise, later) in [
        (
            0.25,
            "pinched, low +1/4: rise greater by, %",
            "pinched, low +1/4: dies later by, s",
        ),
        (
            0.5,
            "pinched, low +1/2: rise greater than +1/4 by, %",
            "pinched, low +1/2: dies later than +1/4 by, s",
        ),
    ] {
        let (idle, rich) = (t.idle(off(0.0, low)), t.pinch(off(0.0, low)));
        let both = |k: usize| idle[k].runs() && living[k].runs();
        rows.add(
            ("S22", rise),
            |k| given(both(k), rich[k].rise_percent - before[k].rise_percent),
            (0.0, INF),
            3.0,
        );
        rows.add(
            ("S22", later),
            |k| given(both(k), dies(&rich[k]) - dies(&before[k])),
            (0.0, INF),
            0.5,
        );
        (living, before) = (idle, rich);
    }
}
