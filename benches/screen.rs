//! One picture of a practice at full throttle: a thirtieth of a second of engine, and the whole screen drawn to memory. The
//! promise is that it takes a small part of its 33 ms, so that the rest is the machine's.

use std::hint::black_box;
use std::time::Instant;

use criterion::{Criterion, criterion_group, criterion_main};
use needlebench::practise::recording::Practice;
use needlebench::practise::screen::desk::Desk;
use needlebench::practise::screen::draw::draw;
use needlebench::practise::screen::keys::{Key, Stroke};
use needlebench::practise::session::Level;
use needlebench::tuning::scenario;
use ratatui::Terminal;
use ratatui::backend::TestBackend;

/// Time of a picture, ms.
const SLICE_MS: u32 = 33;

/// A guided practice with the engine running at full throttle; its screen fills with the strip first.
fn at_full_throttle(columns: u16, rows: u16) -> (Practice, Desk, Terminal<TestBackend>) {
    let source = scenario::source("lesson-1").expect("built in");
    let mut practice = Practice::begin(&source, Level::Guided, 1, 0, None).expect("built in");
    let mut desk = Desk::new(&practice, None);
    desk.resize(columns, rows, &mut practice);
    for (at, key) in "xek0".chars().enumerate() {
        desk.key(&mut practice, Key::Char(key), Stroke::Down, 1000 * at as u64);
    }
    for _ in 0..600 {
        desk.pass(&mut practice, SLICE_MS, 5000);
    }
    let terminal = Terminal::new(TestBackend::new(columns, rows)).expect("memory");
    (practice, desk, terminal)
}

fn screen(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("screen");
    for (columns, rows) in [(80, 24), (120, 40)] {
        group.bench_function(format!("picture/{columns}x{rows}"), |bencher| {
            let (mut practice, mut desk, mut terminal) = at_full_throttle(columns, rows);
            bencher.iter(|| {
                desk.pass(&mut practice, SLICE_MS, 5000);
                terminal
                    .draw(|frame| draw(frame, black_box(&desk), true))
                    .expect("memory");
            });
            assert!(
                desk.view.frame.sight.running && desk.view.frame.sight.throttle == 1.0,
                "measured at full throttle"
            );
        });
    }
    group.bench_function("engine alone", |bencher| {
        let (mut practice, _, _) = at_full_throttle(80, 24);
        bencher.iter(|| black_box(practice.pass(SLICE_MS)));
    });
    group.finish();
    let (mut practice, mut desk, mut terminal) = at_full_throttle(120, 40);
    let (start, pictures) = (Instant::now(), 1000);
    for _ in 0..pictures {
        desk.pass(&mut practice, SLICE_MS, 5000);
        terminal.draw(|frame| draw(frame, &desk, true)).expect("memory");
    }
    let took_ms = start.elapsed().as_secs_f64() * 1e3 / f64::from(pictures);
    println!(
        "a picture of 120x40 takes {took_ms:.2} ms, {:.1} % of its {SLICE_MS} ms",
        100.0 * took_ms / f64::from(SLICE_MS)
    );
}

criterion_group!(benches, screen);
criterion_main!(benches);
