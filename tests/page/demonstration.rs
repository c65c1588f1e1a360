//! A demonstration in a real browser: the words fall, the truth stands beside them, and a halt halts all of it; at the sizes of a laptop and of
//! a phone nothing is cut off, nameless or too small.

use std::path::Path;
use std::time::Duration;

use crate::driver::{Shown, Window, in_browser};
use crate::layout::holds;

const LAPTOP: Window = Window {
    width: 1280,
    height: 800,
    arguments: &["--force-prefers-reduced-motion"],
};

/// A short practice, recorded.
fn recorded(folder: &Path) -> String {
    let path = folder.join("r.jsonl").to_string_lossy().into_owned();
    assert_cmd::Command::cargo_bin("needlebench")
        .unwrap()
        .args(["practise", "lesson-1", "--seed", "3", "--record", &path])
        .write_stdin("start\nfull 1\nhigh in 1/8\nwait 4\nfull 2\nquit\n")
        .assert()
        .code(1);
    path
}

async fn text(page: &Shown, id: &str) -> String {
    let text = page
        .script(&format!("return document.getElementById('{id}').innerText"))
        .await;
    text.as_str().unwrap().to_string()
}

#[test]
fn words_fall_the_truth_is_shown_and_a_halt_stops_the_clock() {
    let folder = tempfile::tempdir().unwrap();
    in_browser(&["--demo", &recorded(folder.path())], &LAPTOP, |page| async move {
        page.until("!document.getElementById('begin').disabled").await;
        let cautions = page
            .script("return document.querySelector('.cautions').innerText")
            .await;
        assert!(cautions.as_str().unwrap().contains("carbon monoxide"), "{cautions}");
        holds(&page, "the start").await;
        page.click("#begin").await;
        page.until("document.getElementById('runs').textContent === 'The engine runs'")
            .await;
        page.until("needlebench.sound.rms > 0.003").await;
        page.until("document.querySelectorAll('#now li').length > 0").await;
        page.until("document.getElementById('book').innerText.includes('high in 1/8, now in 1/8')")
            .await;
        // The truth, turned with it.
        page.until("document.querySelector('#high [data-off]').textContent === '11/24 turn rich'")
            .await;
        let phi = |which: &'static str| format!("Number(document.querySelector('#high [{which}]').textContent)");
        page.until(&format!("{} > {} && {0} > 1", phi("data-phi"), phi("data-right")))
            .await;
        page.until("Number(document.getElementById('film').textContent) > 0")
            .await;
        page.until("Number(document.getElementById('crown').textContent) > Number(document.getElementById('head').textContent)")
            .await;
        holds(&page, "the demonstration").await;
        // By key it halts: clock, sound and truth.
        page.key(' ', 20).await;
        page.until("document.getElementById('pause').ariaPressed === 'true'")
            .await;
        tokio::time::sleep(Duration::from_millis(400)).await;
        let clock = text(&page, "clock").await;
        let truth = text(&page, "show").await;
        tokio::time::sleep(Duration::from_millis(1500)).await;
        assert_eq!(text(&page, "clock").await, clock);
        assert_eq!(text(&page, "show").await, truth);
        page.until("needlebench.sound.rms < 1e-4").await;
        page.key('z', 20).await;
        page.key('4', 20).await;
        page.until("document.querySelector('[data-times=\"4\"]').ariaPressed === 'true'")
            .await;
        page.until("document.getElementById('verdict').textContent.startsWith('LEFT')")
            .await;
        assert!(text(&page, "clock").await > clock);
        assert_eq!(text(&page, "clock").await, text(&page, "length").await);
        holds(&page, "its end").await;
        page.click("#again").await;
        page.until(
            "document.getElementById('verdict').textContent === '' && document.getElementById('book').innerText === ''",
        )
        .await;
    });
}

#[test]
fn it_fits_a_phone() {
    let folder = tempfile::tempdir().unwrap();
    let phone = Window {
        width: 780,
        height: 1688,
        arguments: &["--force-device-scale-factor=2", "--hide-scrollbars"],
    };
    in_browser(&["--demo", &recorded(folder.path())], &phone, |page| async move {
        page.until("!document.getElementById('begin').disabled").await;
        holds(&page, "the start").await;
        page.click("#begin").await;
        page.until("document.querySelectorAll('#book li').length > 1").await;
        holds(&page, "the demonstration").await;
    });
}
