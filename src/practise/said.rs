//! What is worth saying: each thing once. A screen that writes line by line asks here what of a frame is news; what is heard on and
//! on is said when it changes or a screw has been turned, what happens again is said again.

use super::session::HEARD_MS;
use crate::bench::instruments::{Compared, Following, Note, Phase, SHUT};
use crate::tuning::strategy::{Marks, Sight};

/// What a note is about; a newer one about the same takes its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum About {
    /// The idle.
    Idle,
    /// The return from a burst.
    Return,
    /// A snap.
    Snap,
    /// A slow opening.
    Opening,
    /// Part throttle.
    Part,
    /// Full throttle.
    Full,
    /// A crackle.
    Crackle,
    /// The smoke.
    Smoke,
    /// What else holds on: the gap, the cold.
    Standing,
    /// Of this moment only.
    Moment,
}

/// What a note is about.
pub fn about(note: Note) -> About {
    match note {
        Note::IdleSlow
        | Note::IdleEven
        | Note::IdleFast
        | Note::IdleWavers
        | Note::IdleFalls
        | Note::IdleRises
        | Note::IdleBurbles => About::Idle,
        Note::ReturnHangs | Note::ReturnSinks | Note::ReturnDrops | Note::ReturnClean => About::Return,
        Note::SnapCrisp | Note::SnapHesitates | Note::SnapBogs | Note::SnapStutters | Note::SnapPuffs => About::Snap,
        Note::OpeningEven
        | Note::OpeningStuttersLow
        | Note::OpeningStuttersMiddle
        | Note::OpeningStuttersTop
        | Note::OpeningSmokes => About::Opening,
        Note::PartRough | Note::PartClean => About::Part,
        Note::FullRough | Note::FullDull | Note::FullLazy | Note::FullSoft | Note::FullClean | Note::FullSags => {
            About::Full
        }
        Note::Crackle => About::Crackle,
        Note::SmokeNone
        | Note::SmokeHaze
        | Note::SmokeThin
        | Note::SmokeTrail
        | Note::SmokeDense
        | Note::SmokeThick
        | Note::SmokeCloud => About::Smoke,
        Note::GapWide | Note::GapNarrow | Note::Cold => About::Standing,
        Note::Silent | Note::IdleTooSoon => About::Moment,
    }
}

/// What of a frame is news.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct News {
    /// What is heard and seen.
    pub notes: Vec<Note>,
    /// How it differs from before.
    pub compared: Vec<Compared>,
    /// Where a return is.
    pub following: Option<Following>,
}

/// What was said so far.
#[derive(Clone, Debug, Default)]
pub struct Said {
    /// Notes of the frame before.
    before: Vec<Note>,
    /// Notes that hold on, as they were last said.
    held: Vec<Note>,
    /// Smoke as it was last said: throttle shut, part open, full.
    smoke: [Option<Note>; 3],
    compared: Vec<Compared>,
    phase: Option<Phase>,
    marks: Marks,
    /// When a screw was last turned, s.
    turned_s: Option<f64>,
}

impl Said {
    /// Whoever listens on purpose wants to be told everything once more.
    pub fn forget(&mut self) {
        *self = Self {
            compared: std::mem::take(&mut self.compared),
            marks: self.marks,
            turned_s: self.turned_s,
            ..Self::default()
        };
    }

    /// What of a frame is news; it counts as said from then on.
    pub fn news(&mut self, sight: &Sight) -> News {
        if sight.marks != self.marks {
            // What it does now is another setting's; the smoke is only said if it is another.
            self.marks = sight.marks;
            self.turned_s = Some(sight.clock_s);
            self.held.retain(|note| about(*note) == About::Standing);
        }
        // What still sounds as a screw is turned was said by the setting before; a snap or a crackle is told from the one before anyway.
        let heard_s = HEARD_MS as f64 / 1e3;
        let still = self.turned_s.is_some_and(|turned_s| sight.clock_s - turned_s < heard_s);
        let sounds_on = |note: Note| matches!(about(note), About::Idle | About::Part | About::Full | About::Smoke);
        let heard = |note: &&Note| !(still && sounds_on(**note));
        let notes: Vec<Note> = sight
            .notes
            .iter()
            .filter(heard)
            .copied()
            .filter(|note| self.is_news(*note, sight))
            .collect();
        for note in sight.notes.iter().filter(heard) {
            self.keep(*note, sight);
        }
        // What stands no longer is news when it comes again.
        self.held
            .retain(|note| about(*note) != About::Standing || sight.notes.contains(note));
        self.before.clone_from(&sight.notes);
        let phase = sight.following.map(|following| following.phase);
        let following = sight.following.filter(|_| phase != self.phase);
        self.phase = phase;
        News {
            notes,
            compared: self.compared(&sight.compared),
            following,
        }
    }

    /// What of comparisons is news.
    pub fn compared(&mut self, compared: &[Compared]) -> Vec<Compared> {
        let news: Vec<Compared> = compared
            .iter()
            .copied()
            .filter(|now| !self.compared.iter().any(|said| same(said, now)))
            .collect();
        self.compared.extend(&news);
        // A manoeuvre of long ago is never compared again.
        let over = self.compared.len().saturating_sub(64);
        self.compared.drain(..over);
        news
    }

    fn is_news(&self, note: Note, sight: &Sight) -> bool {
        match about(note) {
            About::Idle | About::Part | About::Full | About::Standing => !self.held.contains(&note),
            About::Smoke => self.smoke[place(sight.throttle)] != Some(note),
            _ => !self.before.contains(&note),
        }
    }

    fn keep(&mut self, note: Note, sight: &Sight) {
        match about(note) {
            kind @ (About::Idle | About::Part | About::Full) => {
                self.held
                    .retain(|held| about(*held) != kind || sight.notes.contains(held));
                if !self.held.contains(&note) {
                    self.held.push(note);
                }
            }
            About::Standing if !self.held.contains(&note) => self.held.push(note),
            About::Smoke => self.smoke[place(sight.throttle)] = Some(note),
            _ => {}
        }
    }
}

/// Shut, part open, full.
fn place(throttle: f64) -> usize {
    if throttle < SHUT {
        0
    } else if throttle < 0.9 {
        1
    } else {
        2
    }
}

/// The same thing of the same manoeuvre; "sooner" after "later" is another.
fn same(a: &Compared, b: &Compared) -> bool {
    (a.manoeuvre, a.sense, a.more, a.than, a.began_s.to_bits())
        == (b.manoeuvre, b.sense, b.more, b.than, b.began_s.to_bits())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::instruments::{Manoeuvre, Sense, Than};

    fn sight(throttle: f64, notes: &[Note]) -> Sight {
        Sight {
            clock_s: 0.0,
            running: true,
            throttle,
            marks: Marks::default(),
            idle_gap_mm: 0.8,
            tank_quarters: 4,
            notes: notes.to_vec(),
            compared: Vec::new(),
            following: None,
            found: Vec::new(),
            tachometer_rpm: None,
            missing: Default::default(),
            ended: None,
        }
    }

    #[test]
    fn what_holds_on_is_said_once_until_it_changes_or_a_screw_is_turned() {
        let mut said = Said::default();
        let (even, fast) = ([Note::IdleEven, Note::SmokeThin], [Note::IdleFast, Note::SmokeThin]);
        assert_eq!(said.news(&sight(0.0, &even)).notes, even);
        assert_eq!(said.news(&sight(0.0, &even)).notes, []);
        assert_eq!(
            said.news(&sight(1.0, &[Note::FullClean, Note::SmokeTrail])).notes.len(),
            2
        );
        assert_eq!(
            said.news(&sight(0.0, &even)).notes,
            [],
            "the same idle with the same smoke"
        );
        assert_eq!(said.news(&sight(0.0, &fast)).notes, [Note::IdleFast]);
        let mut turned = sight(0.0, &fast);
        turned.marks.high_turns = 0.125;
        assert_eq!(said.news(&turned).notes, [], "of the setting before");
        turned.clock_s += 1.0;
        assert_eq!(said.news(&turned).notes, [Note::IdleFast], "of another setting");
        said.forget();
        assert_eq!(said.news(&turned).notes, fast, "asked for");
    }

    #[test]
    fn a_turn_says_nothing_anew_but_how_the_gap_stands_and_the_same_is_said_of_the_next_manoeuvre() {
        let mut said = Said::default();
        let scream = [Note::SnapCrisp, Note::FullClean, Note::SmokeTrail];
        assert_eq!(said.news(&sight(1.0, &scream)).notes, scream);
        // It has sprung back, and nothing has sounded since.
        let mut turned = sight(0.0, &[&scream[..], &[Note::GapWide]].concat());
        turned.marks.idle_turns = 0.25;
        assert_eq!(said.news(&turned).notes, [Note::GapWide]);
        turned.marks.high_turns = -0.125;
        assert_eq!(said.news(&turned).notes, []);
        let mut again = sight(1.0, &scream[1..]);
        (again.marks, again.clock_s) = (turned.marks, 3.0);
        assert_eq!(said.news(&again).notes, [Note::FullClean]);
    }

    #[test]
    fn what_happens_again_is_said_again() {
        let mut said = Said::default();
        for _ in 0..3 {
            assert_eq!(said.news(&sight(1.0, &[Note::SnapCrisp])).notes, [Note::SnapCrisp]);
            assert_eq!(said.news(&sight(1.0, &[Note::SnapCrisp])).notes, []);
            assert_eq!(said.news(&sight(0.0, &[Note::IdleTooSoon])).notes, [Note::IdleTooSoon]);
        }
    }

    #[test]
    fn a_comparison_is_said_once_of_each_manoeuvre() {
        let mut said = Said::default();
        let compared = |began_s| Compared {
            manoeuvre: Manoeuvre::Snap,
            sense: Sense::Time,
            more: true,
            than: Than::BeforeTurn,
            began_s,
        };
        assert_eq!(said.compared(&[compared(1.0)]).len(), 1);
        assert_eq!(said.compared(&[compared(1.0)]).len(), 0);
        assert_eq!(said.compared(&[compared(30.0)]).len(), 1);
    }
}
