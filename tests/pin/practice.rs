//! A scripted practice of every built-in scenario, and one played by the coach. Five digests each: what was drawn, what every action
//! showed, the checks of the sign-off, the score, and the coach's own actions with the score they came to.

use rayon::prelude::*;

use crate::adapter::{self, Played};
use crate::digest::Digest;

const SEED: u64 = 3;

/// What is done in every practice, a line of a recording each: all that can be done, what is refused, and what is heard after it.
const SCRIPT: [&str; 48] = [
    r#"{"do":"start"}"#,
    r#"{"do":"start"}"#,
    r#"{"do":"warm"}"#,
    r#"{"do":"laps","laps":2}"#,
    r#"{"do":"fuel"}"#,
    r#"{"do":"gun"}"#,
    r#"{"do":"hold","position":1.0,"ms":3000}"#,
    r#"{"do":"wait","ms":1500}"#,
    r#"{"do":"wait","ms":8500}"#,
    r#"{"do":"hold","position":1.0,"ms":2000}"#,
    r#"{"do":"wait","ms":3000}"#,
    r#"{"do":"throttle","position":0.25}"#,
    r#"{"do":"wait","ms":1500}"#,
    r#"{"do":"throttle","position":0.5}"#,
    r#"{"do":"wait","ms":1500}"#,
    r#"{"do":"throttle","position":1.5}"#,
    r#"{"do":"throttle","position":1.0}"#,
    r#"{"do":"wait","ms":4000}"#,
    r#"{"do":"throttle","position":0.0}"#,
    r#"{"do":"wait","ms":12000}"#,
    r#"{"do":"judge","end":"high","verdict":"rich","sure_percent":70}"#,
    r#"{"do":"judge","end":"low","verdict":"lean","sure_percent":45}"#,
    r#"{"do":"judge","end":"idle","verdict":"lean","sure_percent":45}"#,
    r#"{"do":"turn","screw":"high","turns":-0.125}"#,
    r#"{"do":"turn","screw":"high","turns":0.041666666666666664}"#,
    r#"{"do":"turn","screw":"low","turns":3.0}"#,
    r#"{"do":"judge","end":"low","verdict":"lean","sure_percent":45}"#,
    r#"{"do":"laps","laps":1}"#,
    r#"{"do":"pinch"}"#,
    r#"{"do":"inspect"}"#,
    r#"{"do":"plug"}"#,
    r#"{"do":"pinch"}"#,
    r#"{"do":"fix","part":"leak"}"#,
    r#"{"do":"fix","part":"line"}"#,
    r#"{"do":"fix","part":"plug"}"#,
    r#"{"do":"inspect"}"#,
    r#"{"do":"start"}"#,
    r#"{"do":"warm"}"#,
    r#"{"do":"turn","screw":"low","turns":-0.08333333333333333}"#,
    r#"{"do":"turn","screw":"idle","turns":0.125}"#,
    r#"{"do":"hold","position":1.0,"ms":3000}"#,
    r#"{"do":"wait","ms":10000}"#,
    r#"{"do":"hold","position":1.0,"ms":2000}"#,
    r#"{"do":"plug"}"#,
    r#"{"do":"gun"}"#,
    r#"{"do":"stop"}"#,
    r#"{"do":"sign-off"}"#,
    r#"{"do":"gun"}"#,
];

/// Name and digest of each.
pub fn all() -> Vec<(String, u64)> {
    adapter::scenarios()
        .into_par_iter()
        .flat_map_iter(|scenario| {
            let mut shown = Digest::new();
            let played = Played::script(scenario, SEED, &SCRIPT, &mut shown);
            let mut coach = Digest::new();
            adapter::coached(scenario, SEED, &mut coach);
            let (mut hidden, mut checks, mut score) = (Digest::new(), Digest::new(), Digest::new());
            played.hidden(&mut hidden);
            played.checks(&mut checks);
            played.score(&mut score);
            [
                ("hidden", hidden),
                ("shown", shown),
                ("checks", checks),
                ("score", score),
                ("coach", coach),
            ]
            .map(|(what, digest)| (format!("practice/{scenario}/{what}"), digest.value()))
        })
        .collect()
}
