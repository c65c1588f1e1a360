//! The page's colours against WCAG 2.2 AA, computed from its own style sheet: 4.5 for text, 3 for edges and marks, by day and by night.

use std::collections::BTreeMap;

use needlebench::practise::web::files::file;

type Colours = BTreeMap<String, [f64; 3]>;

fn colours(block: &str) -> Colours {
    block
        .split(';')
        .filter_map(|line| line.trim().strip_prefix("--")?.split_once(':'))
        .filter_map(|(name, value)| {
            let hex = value.trim().strip_prefix('#')?;
            let part = |at: usize| u8::from_str_radix(&hex[at..at + 2], 16).unwrap();
            Some((name.to_string(), [0, 2, 4].map(|at| f64::from(part(at)) / 255.0)))
        })
        .collect()
}

/// Both palettes: by day, and by night over it.
fn palettes() -> [Colours; 2] {
    let sheet = file("/page.css").unwrap().text;
    let debrief = file("/debrief.css").unwrap().text;
    let block = |text: &str, from: &str| {
        let at = text.find(from).unwrap_or_else(|| panic!("no {from}"));
        let body = &text[at + text[at..].find(":root {").unwrap() + 7..];
        colours(&body[..body.find('}').unwrap()])
    };
    let mut day = block(sheet, ":root {");
    day.extend(block(debrief, ":root {"));
    let mut night = day.clone();
    night.extend(block(sheet, "prefers-color-scheme: dark"));
    [day, night]
}

/// Relative luminance and contrast as WCAG 2.2 defines them.
fn luminance(colour: [f64; 3]) -> f64 {
    let linear = |c: f64| {
        if c <= 0.040_45 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    };
    let [r, g, b] = colour.map(linear);
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

fn contrast(a: [f64; 3], b: [f64; 3]) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn black_on_white_is_twenty_one_to_one() {
    assert!((contrast([0.0; 3], [1.0; 3]) - 21.0).abs() < 1e-9);
}

#[test]
fn every_pair_that_meets_on_the_page_can_be_told_apart() {
    for (palette, when) in palettes().iter().zip(["day", "night"]) {
        assert!(palette.len() > 20, "{when}: {palette:?}");
        let held = |over: &str, under: &str, least: f64| {
            let ratio = contrast(palette[over], palette[under]);
            assert!(
                ratio >= least,
                "{over} on {under} by {when}: {ratio:.2}, at least {least}"
            );
        };
        for under in ["sheet", "bench"] {
            for over in ["ink", "soft", "brass", "steel", "alarm", "good"] {
                held(over, under, 4.5);
            }
            for over in ["line", "focus"] {
                held(over, under, 3.0);
            }
        }
        held("on-brass", "brass", 4.5);
        held("on-plate", "plate", 4.5);
        held("sheet", "alarm", 4.5);
        held("metal-dark", "metal", 3.0);
        for ground in ["g-clean", "g-lean", "g-low", "g-rich", "g-idle", "g-dies"] {
            held("on-ground", ground, 4.5);
        }
        // White smoke on the sky, and the engine before it.
        let smoke = [240.0 / 255.0, 240.0 / 255.0, 236.0 / 255.0];
        assert!(
            contrast(smoke, palette["sky"]) >= 3.0,
            "smoke by {when}: {}",
            contrast(smoke, palette["sky"])
        );
    }
}
