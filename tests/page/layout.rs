//! The page at the sizes of a laptop and of a phone: nothing is cut off at the side, everything can be reached by the keyboard and has a
//! name, and fingers hit what they aim at.

use serde_json::json;

use crate::driver::{Window, in_browser};

/// What is wider than the window.
const WIDE: &str = "const w = document.documentElement.clientWidth; return [...document.querySelectorAll('main:not([hidden]) *, header *')].filter(e => e.offsetParent && e.getBoundingClientRect().right > w + 1 && !e.closest('pre, .unseen')).map(e => e.tagName + '#' + e.id + '.' + e.className)";
/// What can be used and has no name, or is smaller than 24 by 24.
const NAMELESS: &str = "const named = e => (e.ariaLabel || e.labels?.[0]?.textContent || e.textContent || '').trim(); \
    return [...document.querySelectorAll('main:not([hidden]) :is(button, input, select, [role=slider]), header :is(button, input)')].filter(e => e.offsetParent).filter(e => { \
    const b = (e.closest('label') ?? e).getBoundingClientRect(); return !named(e) || b.width < 24 || b.height < 24; }).map(e => e.outerHTML.slice(0, 120))";

pub async fn holds(page: &crate::driver::Shown, at: &str) {
    assert_eq!(page.script(WIDE).await, json!([]), "too wide at {at}");
    assert_eq!(page.script(NAMELESS).await, json!([]), "nameless or too small at {at}");
}

fn at_all_sheets(window: &Window) {
    in_browser(&["lesson-1", "--seed", "3", "--no-record"], window, |page| async move {
        page.until("!document.getElementById('begin').disabled").await;
        holds(&page, "the start").await;
        page.click("#begin").await;
        page.until("document.body.classList.contains('runs')").await;
        holds(&page, "the bench").await;
        page.until("document.getElementById('doing').textContent === ''").await;
        // By the keyboard alone: a dialog opens, closes and gives the focus back; leaving asks.
        page.key('q', 20).await;
        page.until("document.getElementById('leave').open").await;
        page.key('\u{e00c}', 20).await;
        page.until("!document.getElementById('leave').open").await;
        page.key('q', 20).await;
        page.until("document.getElementById('leave').open").await;
        page.key('\u{e007}', 20).await;
        page.until("!document.getElementById('debrief').hidden").await;
        holds(&page, "the debrief").await;
    });
}

#[test]
fn on_a_phone() {
    // Headless windows are no narrower than five hundred; a phone's width is asked for by the scale.
    at_all_sheets(&Window {
        width: 780,
        height: 1688,
        arguments: &["--force-device-scale-factor=2", "--hide-scrollbars"],
    });
}

#[test]
fn on_a_laptop_with_less_motion() {
    at_all_sheets(&Window {
        width: 1280,
        height: 800,
        arguments: &["--force-prefers-reduced-motion"],
    });
}
