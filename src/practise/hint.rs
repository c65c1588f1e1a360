//! The next sensible thing to try, and why: common practice read off the notes, as a club member would say it. It knows no more
//! than the frame shows.

use serde::Serialize;

use crate::bench::checks::Limits;
use crate::bench::instruments::Note;

/// Something to try, as a command of the line mode, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Hint {
    /// The command.
    pub attempt: &'static str,
    /// The reason.
    pub because: &'static str,
}

const fn hint(attempt: &'static str, because: &'static str) -> Hint {
    Hint { attempt, because }
}

/// The hint after a screw was turned: what one hears is still the old setting.
pub const AFTER_A_TURN: Hint = hint(
    "full 3",
    "a turn is heard only once the engine has run with it: clear it out, then listen",
);

/// The hint for what is heard and seen (`gun_c`: a reading of the last minute, if there is one).
pub fn next(notes: &[Note], gun_c: Option<f64>, idle_gap_mm: f64, limits: &Limits) -> Hint {
    let has = |note| notes.contains(&note);
    if has(Note::Silent) {
        return hint(
            "start",
            "the engine stands; if it won't stay alight, open the idle stop an eighth first",
        );
    }
    if has(Note::Crackle) || has(Note::FullSags) {
        return hint(
            "high out 1/8",
            "a crackle or a sagging pitch is too lean: give fuel at once, then listen",
        );
    }
    let Some(gun_c) = gun_c else {
        return hint(
            "gun",
            "a cold engine sounds rich whatever the needles do: read the head before you judge",
        );
    };
    if gun_c < 75.0 {
        return hint("warm", "the head is cold; judged now, every needle would seem rich");
    }
    if gun_c > limits.head_temperature_c {
        return hint(
            "high out 1/8",
            "the head is hotter than it may be: give fuel at the high-speed needle",
        );
    }
    if has(Note::FullRough) {
        return hint(
            "high in 1/8",
            "missing beats at full throttle are four-stroking: too rich up there",
        );
    }
    if has(Note::FullClean) && has(Note::SmokeNone) {
        return hint(
            "high out 1/12",
            "no smoke at full throttle: close to lean, and the smoke is the oil that you need",
        );
    }
    if has(Note::FullClean) && has(Note::SmokeThick) {
        return hint("high in 1/12", "an even scream under thick smoke: still rich");
    }
    if has(Note::SnapPuffs) && (has(Note::SnapHesitates) || has(Note::SnapBogs) || has(Note::SnapStutters)) {
        return hint(
            "low in 1/12",
            "a poor pick-up under a puff of smoke: fuel lay in the crankcase, the low end is rich",
        );
    }
    if has(Note::SnapStutters) {
        return hint(
            "high in 1/12",
            "it stuttered on the way up without a puff: rich above the low end, the high-speed needle first",
        );
    }
    if has(Note::SnapHesitates) || has(Note::SnapBogs) {
        return hint(
            "low out 1/12",
            "it hesitated without puff or stutter: there was too little fuel, the low end is lean",
        );
    }
    if has(Note::PartRough) {
        return hint(
            "high in 1/12",
            "missing beats at part throttle: rich between half and full",
        );
    }
    if has(Note::ReturnHangs) {
        return if idle_gap_mm > limits.idle_gap_high_mm {
            hint(
                "idle out 1/4",
                "the idle stop holds the slide too wide open: close the gap before touching the needle",
            )
        } else {
            hint(
                "low out 1/12",
                "it hangs high after a burst: the low end is lean, or the idle stop too far in",
            )
        };
    }
    if has(Note::ReturnSinks) || has(Note::ReturnDrops) || has(Note::IdleFalls) {
        return hint("low in 1/12", "the idle loads up and sinks: the low end is rich");
    }
    if has(Note::IdleFast) || idle_gap_mm > limits.idle_gap_high_mm {
        return hint(
            "idle out 1/8",
            "the idle is fast or its gap is wide: close the idle stop, then judge the low end",
        );
    }
    if has(Note::IdleSlow) {
        return hint(
            "idle in 1/8",
            "the idle is slow: trim the stop; if it wavers too, the low end is rich",
        );
    }
    if has(Note::IdleTooSoon) {
        return hint(
            "wait 8",
            "the film on the crankcase walls takes seconds to settle: what you hear now is the past",
        );
    }
    if has(Note::ReturnClean) {
        return hint("full 3", "the idle is settled: snap it open and listen how it picks up");
    }
    if has(Note::SnapCrisp) && has(Note::FullClean) && (85.0..=limits.head_temperature_c).contains(&gun_c) {
        return hint(
            "sign off",
            "it picks up at once, screams evenly, and the head is as hot as it should be",
        );
    }
    if has(Note::FullClean) || has(Note::SnapCrisp) {
        return hint(
            "wait 10",
            "the top end is even: let it come down, and listen to its idle",
        );
    }
    hint(
        "full 2",
        "clear it out first: an idle after a burst can be told from one that has loaded up",
    )
}
