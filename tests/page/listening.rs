//! The listening room in a real browser: a step of a sweep and a question are heard, the question is answered by key, and how it stands is
//! shown; at the sizes of a laptop and of a phone nothing is cut off, nameless or too small.

use serde_json::json;

use crate::driver::{Shown, Window, in_browser};
use crate::layout::holds;

async fn enters(page: &Shown) {
    page.click("a[href='/listening']").await;
    page.until("document.getElementById('ask')?.disabled === false").await;
}

#[test]
fn a_question_is_heard_told_by_key_and_counted() {
    let laptop = Window {
        width: 1280,
        height: 800,
        arguments: &[],
    };
    in_browser(&["lesson-1", "--seed", "3"], &laptop, |page| async move {
        enters(&page).await;
        page.click("#steps button:nth-child(3)").await;
        page.until(
            "document.getElementById('saying').textContent === 'High-speed needle 1/8 turn richer, full throttle'",
        )
        .await;
        page.until("listening.rms > 0.003").await;
        page.until("!document.querySelector('[data-sounds]')").await;
        page.script("document.getElementById('drill').value = 'high-half'; listening.rms = 0")
            .await;
        page.click("#ask").await;
        page.until("document.querySelectorAll('#answers button').length === 2 && listening.rms > 0.003")
            .await;
        println!("{}", page.script("return listening").await);
        let before = page.script("return document.querySelector('.blind').innerText").await;
        let before = before.as_str().unwrap();
        assert!(!before.contains("leaner,") && !before.contains("richer"), "{before}");
        page.until("!document.querySelector('[data-sounds]')").await;
        // The space bar plays it again, the mute key mutes, and one answers with a key.
        page.script("listening.rms = 0").await;
        page.key(' ', 20).await;
        page.until("listening.rms > 0.003").await;
        page.key('m', 20).await;
        page.until("document.getElementById('mute').ariaPressed === 'true'")
            .await;
        page.key('2', 20).await;
        page.until("document.getElementById('verdict').textContent.includes('leaner')")
            .await;
        let told = page
            .script("return [document.getElementById('verdict').dataset.right, document.querySelector('[data-drill=high-half] td').textContent]")
            .await;
        assert!(
            told == json!(["true", "1 of 1"]) || told == json!(["false", "0 of 1"]),
            "{told}"
        );
        assert_eq!(
            page.script("return document.querySelectorAll('#answers [data-was]').length")
                .await,
            1
        );
        // A second answer changes nothing.
        page.key('1', 20).await;
        page.key('n', 20).await;
        page.until("document.getElementById('verdict').textContent === '' && document.querySelector('#answers button')?.disabled === false")
            .await;
        let asked = page
            .script("return document.querySelector('[data-drill=high-half] td').textContent")
            .await;
        assert_eq!(asked, told[1]);
        assert_eq!(
            page.script("return document.getElementById('trouble').hidden").await,
            true
        );
    });
}

#[test]
fn it_fits_a_phone_and_a_laptop_before_and_after_an_answer() {
    for window in [
        Window {
            width: 780,
            height: 1688,
            arguments: &["--force-device-scale-factor=2", "--hide-scrollbars"],
        },
        Window {
            width: 1280,
            height: 800,
            arguments: &[],
        },
    ] {
        in_browser(
            &["lesson-1", "--seed", "3", "--no-record"],
            &window,
            |page| async move {
                enters(&page).await;
                holds(&page, "the listening room").await;
                page.click("#ask").await;
                page.until("document.querySelectorAll('#answers button').length === 2")
                    .await;
                page.click("#answers button").await;
                page.until("document.getElementById('verdict').textContent !== ''")
                    .await;
                holds(&page, "an answer").await;
            },
        );
    }
}
