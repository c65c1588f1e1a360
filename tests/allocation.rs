//! No allocation inside a revolution, alone or abreast: an allocator that counts is the whole program's.

use std::alloc::{GlobalAlloc, Layout, System};
use std::cell::Cell;

use needlebench::bench::manoeuvre::table;
use needlebench::bench::player::{Play, Unseen, play};
use needlebench::bench::rig;
use needlebench::config::reference_setup;
use needlebench::engine::state::{Controls, Load, Revolution, State};
use needlebench::engine::{Engine, Hands, Next, Run};
use needlebench::noise::{Channel, Noise};

struct Counting;

thread_local! {
    static COUNT: Cell<usize> = const { Cell::new(0) };
}

// SAFETY: every call is handed to the system's allocator unchanged; counting touches a cell without a destructor.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        COUNT.with(|c| c.set(c.get() + 1));
        unsafe { System.alloc(layout) }
    }
    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        unsafe { System.dealloc(pointer, layout) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

fn counted(run: impl FnOnce()) -> usize {
    let before = COUNT.with(Cell::get);
    run();
    COUNT.with(Cell::get) - before
}

#[test]
fn a_revolution_allocates_nothing() {
    // The counter counts at all.
    assert!(counted(|| drop(std::hint::black_box(vec![1_u8; 100]))) >= 1);
    let (model, setup) = reference_setup("offroad-3.5").unwrap();
    let noise = Noise::new(1, 0, Channel::Engine);
    let engine = Engine::new(&setup);
    let mut controls = Controls::new(model.reference, Load::Track);
    let mut state = engine.warm_state(250.0);
    let alone = counted(|| {
        for turn in 0..3000 {
            controls.throttle = f64::from(turn % 700 / 350);
            std::hint::black_box(engine.step(&mut state, &controls, noise));
        }
    });
    assert_eq!(alone, 0);
    // Side by side a block is laid out once, whatever the length of the runs.
    let allocations = |revolutions: u32| {
        let mut runs: Vec<Run<Counted>> = (0..30)
            .map(|i| Run {
                state: engine.warm_state(250.0),
                controls: Controls::new(model.reference, Load::Stand),
                noise: Noise::new(1, i, Channel::Engine),
                hands: Counted(revolutions + i as u32),
            })
            .collect();
        counted(|| engine.play(&mut runs))
    };
    assert_eq!(allocations(10), allocations(1000));
    // So does a manoeuvre, whatever its length and whatever ends its segments.
    let played = |laps: usize| {
        let from = rig::warm(&engine, model.reference, 1);
        let manoeuvre = table::laps(laps).then(&table::pinch(1));
        let plays = || {
            (0..30).map(|_| Play {
                from,
                manoeuvre: manoeuvre.clone(),
                watch: Unseen,
            })
        };
        counted(|| drop(play(&engine, plays())))
    };
    assert_eq!(played(1), played(3));
}

/// Hands that wait for some revolutions.
struct Counted(u32);

impl Hands for Counted {
    fn begin(&mut self, _: &mut State, _: &mut Controls) -> Next {
        Next::On
    }
    fn turned(&mut self, _: &mut State, _: &Revolution, _: &mut Controls) -> Next {
        self.0 -= 1;
        if self.0 > 0 { Next::On } else { Next::Done }
    }
}
