//! What is remembered of things heard and seen, as a table: one line a finding, with the notes that tell it, the words by which a
//! strategy's file calls them, when they count, and which screws make them old.

use crate::bench::instruments::Note;
use crate::tuning::action::Screw;

/// When notes are taken for a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// The throttle is open by a third or more, and the last turn has been cleared out.
    Open,
    /// As open, by an opening that began after the last turn was cleared out: an engine turned while it stands open has told of before.
    Slow,
    /// The throttle is shut, the idle has settled, and no pinch test has just been done.
    Idle,
    /// As at idle, and there is something to be said of the return from a burst.
    Return,
    /// The throttle was snapped open after such an idle.
    Snap,
    /// An action has brought it to light: its word is told, not heard.
    Told,
}

/// One thing that is remembered.
#[derive(Clone, Copy, Debug)]
pub struct Finding {
    /// Its name as a fact: what was found with the screws as they stand.
    pub name: &'static str,
    /// Its name as a fact: what was found before the last turn that made it old.
    pub before: &'static str,
    /// What it means.
    pub meaning: &'static str,
    /// When it can be found.
    pub when: When,
    /// The screws whose turns make it old.
    pub old_by: &'static [Screw],
    /// Which note is which word; of several the first counts.
    pub notes: &'static [(Note, &'static str)],
    /// The words that are told.
    pub told: &'static [&'static str],
    /// The word where none of them is heard when it can be found; none where that says nothing.
    pub otherwise: Option<&'static str>,
    /// Whether the worst counts of what was heard with the screws as they stand (an earlier word is a worse one), or the last.
    pub worst: bool,
}

const ALL: &[Screw] = &[Screw::High, Screw::Low, Screw::Idle];
const NEEDLES: &[Screw] = &[Screw::High, Screw::Low];
const HIGH: &[Screw] = &[Screw::High];
/// What the absence of a note means.
const NONE: Option<&str> = None;
const NO: Option<&str> = Some("no");
const STEADY: Option<&str> = Some("steady");

macro_rules! findings {
    ($($(#[doc = $meaning:literal])+ $name:literal $when:ident $old_by:ident [$($note:ident $word:literal)*] [$($told:literal)*] $otherwise:ident $worst:literal;)+) => {
        /// The table.
        pub static FINDINGS: &[Finding] = &[$(Finding {
            name: $name,
            before: concat!($name, "_before"),
            meaning: concat!($($meaning),+),
            when: When::$when,
            old_by: $old_by,
            notes: &[$((Note::$note, $word)),*],
            told: &[$($told),*],
            otherwise: $otherwise,
            worst: $worst,
        },)+];
    };
}

findings! {
    /// The beats at full throttle.
    "full" Open HIGH [FullRough "rough" FullDull "dull" FullLazy "lazy" FullSoft "soft" FullClean "clean"] [] NONE false;
    /// The pitch at full throttle sags while it is held.
    "full_sags" Open HIGH [FullSags "yes"] [] NO true;
    /// A hard metallic crackle.
    "crackles" Open HIGH [Crackle "yes"] [] NO true;
    /// The beats at part throttle.
    "half" Open NEEDLES [PartRough "rough" PartClean "clean"] [] NONE false;
    /// Where it stutters in a slow opening, or whether it smokes.
    "opening" Slow ALL [OpeningStuttersTop "stutters-top" OpeningStuttersMiddle "stutters-middle" OpeningStuttersLow "stutters-low" OpeningSmokes "smokes" OpeningEven "even"] [] NONE true;
    /// Beats missed at idle.
    "idle_burbles" Idle ALL [IdleBurbles "yes"] [] NO false;
    /// The return from a burst to idle.
    "return" Return ALL [ReturnHangs "hangs" ReturnSinks "sinks" ReturnDrops "drops" ReturnClean "clean"] [] NONE true;
    /// The speed of the idle, by ear.
    "idle" Idle ALL [IdleSlow "slow" IdleEven "right" IdleFast "fast"] [] NONE false;
    /// Whether the idle keeps its speed.
    "idle_course" Idle ALL [IdleFalls "falls" IdleRises "rises" IdleWavers "wavers"] [] STEADY false;
    /// How it picks up when snapped open after a wait.
    "snap" Snap ALL [SnapBogs "bogs" SnapHesitates "hesitates" SnapCrisp "crisp"] [] NONE true;
    /// It stutters on the way up.
    "snap_stutters" Snap ALL [SnapStutters "yes"] [] NO true;
    /// A puff of smoke as it opens.
    "snap_puffs" Snap ALL [SnapPuffs "yes"] [] NO true;
    /// The smoke at idle.
    "idle_smoke" Idle NEEDLES [SmokeNone "none" SmokeHaze "haze" SmokeThin "thin" SmokeTrail "trail" SmokeDense "dense" SmokeThick "thick" SmokeCloud "cloud"] [] NONE false;
    /// The smoke with the throttle open.
    "open_smoke" Open HIGH [SmokeNone "none" SmokeHaze "haze" SmokeThin "thin" SmokeTrail "trail" SmokeDense "dense" SmokeThick "thick" SmokeCloud "cloud"] [] NONE false;
    /// How much the idle speeds up when pinched, before it fades.
    "pinch" Told ALL [] ["hardly" "barely" "little" "clear" "lot"] NONE false;
    /// The plug's colour after full throttle.
    "plug" Told HIGH [] ["specks" "pale" "moist" "wet"] NONE false;
    /// The straight, on laps.
    "straight" Told HIGH [] ["crackles" "sags" "burbles" "dull" "pulls"] NONE false;
    /// The way out of the corners, on laps.
    "corner" Told NEEDLES [] ["bogs" "stutters" "crisp"] NONE false;
    /// How it idles when it comes in from laps, against its settled idle.
    "way_in" Told ALL [] ["died" "fast" "faster" "slow" "slower" "right" "as-settled"] NONE false;
}

impl Finding {
    /// Every word it can have, `otherwise` last.
    pub fn words(&self) -> impl Iterator<Item = &'static str> {
        let heard = self.notes.iter().map(|(_, word)| *word);
        heard.chain(self.told.iter().copied()).chain(self.otherwise)
    }

    /// What notes say of it.
    pub fn heard(&self, has: impl Fn(Note) -> bool) -> Option<&'static str> {
        let heard = self.notes.iter().find(|(note, _)| has(*note));
        heard.map(|(_, word)| *word).or(self.otherwise)
    }

    /// The worse of two words: the one that comes first.
    pub fn worse(&self, one: &'static str, other: &'static str) -> &'static str {
        self.words()
            .find(|word| *word == one || *word == other)
            .unwrap_or(other)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unlike_and_words_too() {
        let mut names: Vec<&str> = FINDINGS.iter().flat_map(|f| [f.name, f.before]).collect();
        let count = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), count);
        for finding in FINDINGS {
            let mut words: Vec<&str> = finding.words().collect();
            let count = words.len();
            words.sort_unstable();
            words.dedup();
            assert_eq!(words.len(), count, "{}", finding.name);
            assert!(!words.contains(&"unknown"), "{}", finding.name);
        }
    }

    #[test]
    fn the_first_note_of_the_line_counts_and_the_worse_word_is_the_first() {
        let finding = |name: &str| FINDINGS.iter().find(|f| f.name == name).unwrap();
        let snap = finding("snap");
        assert_eq!(snap.heard(|n| n == Note::SnapCrisp), Some("crisp"));
        assert_eq!(
            snap.heard(|n| n == Note::SnapCrisp || n == Note::SnapBogs),
            Some("bogs")
        );
        assert_eq!(snap.heard(|_| false), None);
        assert_eq!(snap.worse("crisp", "hesitates"), "hesitates");
        assert_eq!(finding("snap_puffs").heard(|_| false), Some("no"));
    }
}
