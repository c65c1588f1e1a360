//! The table's bench: one engine at and around its reference setting, under changes of fuel and weather, with the noise of one seed
//! or many. All seeds of a measure are played side by side, and what has been measured once is remembered.

use std::cell::{OnceCell, RefCell};
use std::collections::HashMap;

use super::running::Running;
use super::{Asked, Change, Group, Quantity, Rows};
use crate::bench::checks::{self, Facts, Limits, Report};
use crate::bench::lab::{Case, Lab};
use crate::bench::manoeuvre::Manoeuvre;
use crate::bench::manoeuvre::table::Waits;
use crate::bench::measures::{Burst, Findings, Idle, Measured, Pinch, RollOn, Snap, Steady, What, hastened};
use crate::bench::player::{Observer, Play, Played, Stand, play};
use crate::engine::params::Setting;
use crate::engine::{Engine, Setup};

/// Turns off the reference setting, under a change of fuel or weather.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Off {
    /// Fuel or weather.
    pub change: Change,
    /// High-speed needle.
    pub high: f64,
    /// Low-speed needle.
    pub low: f64,
    /// Idle stop.
    pub idle: f64,
}

/// The needles moved by these turns.
pub const fn off(high: f64, low: f64) -> Off {
    Off {
        change: Change::Nothing,
        high,
        low,
        idle: 0.0,
    }
}

/// The head has settled by then, and the film and the gas in the pipe, which nobody hastens.
const SWIFT_HOLD_S: f64 = 8.0;

impl Off {
    /// The same with the idle stop moved.
    pub const fn idle(mut self, turns: f64) -> Self {
        self.idle = turns;
        self
    }
    /// The same under a change.
    pub const fn under(mut self, change: Change) -> Self {
        self.change = change;
        self
    }
    fn key(self) -> [u64; 3] {
        [self.high, self.low, self.idle].map(f64::to_bits)
    }
}

/// The setting with the needles moved by these turns.
pub fn moved(setting: Setting, high: f64, low: f64) -> Setting {
    Setting {
        high_turns: setting.high_turns + high,
        low_turns: setting.low_turns + low,
        ..setting
    }
}

/// One engine under one change.
#[derive(Debug)]
struct Room {
    setup: Setup,
    lab: Lab,
    /// The cases of every setting, one a seed.
    cases: HashMap<[u64; 3], Vec<Case>>,
}

/// One engine, its reference setting, and the seeds of its noise.
#[derive(Debug)]
pub struct Table {
    setup: Setup,
    setting: Setting,
    seeds: Vec<u64>,
    waits: Waits,
    best_snap_delay_s: f64,
    rooms: RefCell<HashMap<Change, Room>>,
    quiet: OnceCell<Box<Table>>,
    swift: OnceCell<Box<Table>>,
    signing: OnceCell<Box<Table>>,
}

impl Table {
    /// A table whose brake holds `waits.brake_rpm`, and whose best snap takes `best_snap_delay_s`.
    pub fn new(
        setup: &Setup,
        setting: Setting,
        seeds: impl IntoIterator<Item = u64>,
        waits: Waits,
        best_snap_delay_s: f64,
    ) -> Self {
        Self {
            setup: *setup,
            setting,
            seeds: seeds.into_iter().collect(),
            waits,
            best_snap_delay_s,
            rooms: RefCell::default(),
            quiet: OnceCell::new(),
            swift: OnceCell::new(),
            signing: OnceCell::new(),
        }
    }

    /// The engine without noise: every seed would give the same, so there is one.
    pub fn quiet(&self) -> &Self {
        self.quiet.get_or_init(|| {
            let mut setup = self.setup;
            setup.laws.film.trapping_noise = 0.0;
            setup.laws.film.release_noise = 0.0;
            let one = self.seeds.first().copied();
            Box::new(Self::new(&setup, self.setting, one, self.waits, self.best_snap_delay_s))
        })
    }

    /// The engine without noise whose solids settle sooner, and with it the brake's hold: for best power in many changes.
    pub fn swift(&self) -> &Self {
        self.swift.get_or_init(|| {
            let quiet = self.quiet();
            let mut waits = self.waits;
            waits.brake_hold_s = SWIFT_HOLD_S;
            Box::new(Self {
                waits,
                ..quiet.with_setup(&hastened(&quiet.setup))
            })
        })
    }

    /// The rows of some groups, whose measures are taken first, all side by side.
    pub fn rows<'a>(&self, groups: impl IntoIterator<Item = &'a Group> + Clone) -> Vec<Quantity> {
        let asks = groups.clone().into_iter().flat_map(|group| (group.asks)());
        self.measure(&asks.collect::<Vec<_>>());
        let mut rows = Rows {
            seeds: &self.seeds,
            out: Vec::new(),
        };
        for row in groups.into_iter().flat_map(|group| group.rows) {
            row(self, &mut rows);
        }
        rows.out
    }

    /// A table of another engine, the rest as here.
    pub fn with_setup(&self, setup: &Setup) -> Self {
        let seeds = self.seeds.iter().copied();
        Self::new(setup, self.setting, seeds, self.waits, self.best_snap_delay_s)
    }
    /// Rated speed over that of the reference engine: speeds that the table states for it go in proportion.
    pub fn rated(&self) -> f64 {
        self.waits.brake_rpm / Waits::STANDARD.brake_rpm
    }
    /// The engine's tank, ml.
    pub fn tank_ml(&self) -> f64 {
        self.setup.engine.tank.volume_ml
    }
    /// Parts, fuel, weather.
    pub fn setup(&self) -> &Setup {
        &self.setup
    }
    /// The reference setting.
    pub fn setting(&self) -> Setting {
        self.setting
    }
    /// Seeds of the engine's noise.
    pub fn seeds(&self) -> &[u64] {
        &self.seeds
    }
    /// Waits and marks.
    pub fn waits(&self) -> &Waits {
        &self.waits
    }
    /// The setting at a place off the reference.
    pub fn at(&self, off: Off) -> Setting {
        let mut setting = moved(self.setting, off.high, off.low);
        setting.idle_turns += off.idle;
        setting
    }
    /// The engine under a change.
    pub fn engine(&self, change: Change) -> Engine {
        self.room(change, |room| *room.lab.engine())
    }

    fn room<T>(&self, change: Change, work: impl FnOnce(&mut Room) -> T) -> T {
        let mut rooms = self.rooms.borrow_mut();
        work(rooms.entry(change).or_insert_with(|| {
            let setup = change.of(&self.setup);
            Room {
                setup,
                lab: Lab::of(change.engine(&self.setup), &setup, &self.waits),
                cases: HashMap::new(),
            }
        }))
    }

    /// The cases of these places, one a seed each.
    fn cases(&self, room: &mut Room, off: Off) -> Vec<Case> {
        let setting = self.at(off);
        let known = room.cases.entry(off.key());
        let new = || {
            self.seeds
                .iter()
                .map(|seed| room.lab.add_warm(setting, *seed))
                .collect()
        };
        known.or_insert_with(new).clone()
    }

    /// Measures all this at every seed, what shares an engine side by side.
    pub fn measure(&self, asks: &[Asked]) {
        let mut open: Vec<Asked> = asks.to_vec();
        while let Some((Off { change, .. }, _)) = open.first().copied() {
            let (here, later): (Vec<Asked>, _) = open.into_iter().partition(|(off, _)| off.change == change);
            open = later;
            self.room(change, |room| {
                let cases = here.into_iter().flat_map(|(off, what)| {
                    let cases = self.cases(room, off);
                    cases.into_iter().map(move |case| (case, what))
                });
                let cases: Vec<_> = cases.collect();
                room.lab.measure(cases);
            });
        }
    }

    /// A measure at a place, of every seed.
    fn of<T>(&self, off: Off, what: What, pick: impl Fn(&Findings) -> Option<Measured<T>>) -> Vec<Measured<T>> {
        self.measure(&[(off, what)]);
        self.room(off.change, |room| {
            let cases = self.cases(room, off);
            cases
                .into_iter()
                .filter_map(|case| pick(room.lab.findings(case)))
                .collect()
        })
    }

    /// Where engines stand that start warm at a place.
    pub fn warm(&self, off: Off) -> Vec<Stand> {
        let engine = self.engine(off.change);
        let setting = self.at(off);
        let stand = |seed: &u64| crate::bench::rig::warm(&engine, setting, *seed);
        self.seeds.iter().map(stand).collect()
    }

    /// Plays a manoeuvre with every seed's engine, watched by eyes that may differ.
    pub fn play<O: Observer>(
        &self,
        change: Change,
        from: &[Stand],
        manoeuvre: &Manoeuvre,
        watch: impl Fn(usize) -> O,
    ) -> Vec<Played<O>> {
        let plays = from.iter().enumerate().map(|(k, from)| Play {
            from: *from,
            manoeuvre: manoeuvre.clone(),
            watch: watch(k),
        });
        play(&self.engine(change), plays)
    }

    /// The sign-offs at these places, each of every seed.
    pub fn reports(&self, places: &[Off]) -> Vec<Vec<Report>> {
        // A sign-off has one mark of a snap for every engine.
        let snap_mark_rpm = Waits::STANDARD.snap_mark_rpm;
        if self.waits.snap_mark_rpm != snap_mark_rpm {
            let waits = Waits {
                snap_mark_rpm,
                ..self.waits
            };
            let new = || {
                let seeds = self.seeds.iter().copied();
                Box::new(Self::new(
                    &self.setup,
                    self.setting,
                    seeds,
                    waits,
                    self.best_snap_delay_s,
                ))
            };
            return self.signing.get_or_init(new).reports(places);
        }
        let facts = Facts {
            rated_rpm: self.waits.brake_rpm,
            best_snap_delay_s: self.best_snap_delay_s,
        };
        self.room(Change::Nothing, |room| {
            let mut cases = Vec::new();
            for off in places {
                let own = self.cases(room, *off).into_iter().zip(&self.seeds);
                cases.extend(own.map(|(case, seed)| (case, self.at(*off), *seed)));
            }
            let reports = checks::check_in(&mut room.lab, &cases, &room.setup, facts, &Limits::STANDARD);
            reports.chunks(self.seeds.len()).map(<[Report]>::to_vec).collect()
        })
    }
}

macro_rules! measured {
    ($($(#[$meta:meta])* $name:ident: $field:ident $what:ident $found:ty, $kept:path;)*) => {
        impl Table {
            $($(#[$meta])* pub fn $name(&self, off: Off) -> Vec<$found> {
                self.of(off, What::$what, |findings| findings.$field).into_iter().map(|m| $kept(m.found)).collect()
            })*
        }
    };
}

measured! {
    /// The settled idle, of every seed; not-a-number of one that died, as in all that follow.
    idle: idle Idle Idle, Running::or_none;
    /// The same, 0 rpm of one that died.
    idle_or_stall: idle Idle Idle, std::convert::identity;
    /// Full throttle on the brake.
    brake: brake Brake Steady, Running::or_none;
    /// The return from a burst.
    burst: burst Burst Burst, Running::or_none;
    /// A snap.
    snap: snap Snap Snap, Running::or_none;
    /// The same, also of one that died.
    snap_or_stall: snap Snap Snap, std::convert::identity;
    /// A slow opening, also of one that died.
    roll_on: roll_on RollOn RollOn, std::convert::identity;
    /// Steady half throttle.
    half: half Half Steady, Running::or_none;
    /// Half throttle of an engine that has not idled before.
    half_running: half_running HalfRunning Steady, Running::or_none;
    /// Wheels up, wide open.
    free: free Free Steady, Running::or_none;
    /// The pinched line, also of one that had died before.
    pinch: pinch Pinch Pinch, std::convert::identity;
}

impl Table {
    /// Where the engines stand once their idle has settled.
    pub fn settled(&self, off: Off) -> Vec<Stand> {
        self.of(off, What::Idle, |f| f.idle)
            .into_iter()
            .map(|m| m.end)
            .collect()
    }
    /// Where they stand once the head has settled on the brake.
    pub fn braked(&self, off: Off) -> Vec<Stand> {
        self.of(off, What::Brake, |f| f.brake)
            .into_iter()
            .map(|m| m.end)
            .collect()
    }
}
