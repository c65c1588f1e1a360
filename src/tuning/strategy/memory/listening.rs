//! What a memory takes in by ear and eye: findings, sounds with the throttle as it stands, and what passes while a hand is on it.

use super::super::Sight;
use super::super::called::{colour_word, exit_word, rise_word, straight_word, way_in_word};
use super::super::findings::When;
use super::{FULL_S, Memory, OPEN, WIDE};
use crate::bench::instruments::{Note, SHUT};
use crate::tuning::action::Part;
use crate::tuning::episode::Found;

/// Wait after a pinch test, s: it emptied the film, and what is heard sooner is its doing.
const AFTER_PINCH_S: f64 = 8.0;
/// By hand an idle is listened to once it has been shut for so long, s: before that it may still come down. It is the wait that rules ask
/// for.
const COMES_DOWN_S: f64 = 10.0;

impl Memory {
    /// Takes in what is heard as time passes with the throttle in a hand.
    pub fn listen(&mut self, sight: &Sight) {
        if self.running && !sight.running {
            self.deaths += 1;
            self.died_opened |= self.throttle > OPEN;
            self.died_idling |= self.throttle <= OPEN;
        }
        let wide = sight.running && self.throttle >= WIDE && sight.throttle >= WIDE;
        let passed_s = if wide { sight.clock_s - self.clock_s } else { 0.0 };
        self.wide_s = if wide { self.wide_s + passed_s } else { 0.0 };
        self.plug_saw_s += passed_s;
        self.full_s = self.full_s.max(self.wide_s);
        if sight.throttle >= SHUT {
            self.open_at_s = sight.clock_s;
        }
        self.take_in_sounds(sight, sight.clock_s - self.open_at_s >= COMES_DOWN_S);
    }

    /// Takes in what was found.
    pub(super) fn take_in(&mut self, found: &Found, clock_s: f64) {
        match *found {
            Found::Gun { head_c } => self.gun = Some((head_c, clock_s)),
            Found::Looked { part, at_fault } => self.put_down(part, at_fault),
            Found::Pinched { rise, seconds } => {
                self.pinch_s = Some(seconds);
                self.found.told("pinch", rise_word(rise));
                self.pinched_s = clock_s;
            }
            Found::Plug(plug) => {
                self.put_down(Part::Plug, plug.tired);
                if let Some(colour) = plug.colour.filter(|_| self.plug_saw_s >= 0.5 * FULL_S) {
                    self.found.told("plug", colour_word(colour));
                }
                self.plug_saw_s = 0.0;
            }
            Found::Warmed { head_c, .. } | Found::Cooled { head_c } => self.gun = Some((head_c, clock_s)),
            Found::Straight { straight } => self.found.told("straight", straight_word(straight)),
            Found::Corner { exit } => self.found.told("corner", exit_word(exit)),
            Found::WayIn { way_in } => self.found.told("way_in", way_in_word(way_in)),
            Found::Fixed { .. } | Found::NotJudged | Found::SayAgain | Found::HeadHot | Found::TrustPlug => {}
            Found::SignedOff { .. } => self.begin_anew(),
        }
    }

    /// Takes in what is heard now. The words hold for what came before them, so the last of a throttle's length counts. An idle that has
    /// not come down is not settled.
    pub(super) fn take_in_sounds(&mut self, sight: &Sight, come_down: bool) {
        self.clock_s = sight.clock_s;
        self.gap_mm = sight.idle_gap_mm;
        self.tank_quarters = sight.tank_quarters;
        self.running = sight.running;
        self.missing = sight.missing;
        self.throttle = sight.throttle;
        self.marks = [sight.marks.high_turns, sight.marks.low_turns, sight.marks.idle_turns];
        let open = sight.throttle > OPEN;
        // The first opening after a turn clears out what the old setting left; only what comes after it is heard as a snap.
        self.cleared |= self.open && !open && !self.turned;
        self.turned &= !open;
        self.open = open;
        self.snapping &= open;
        let pinched = sight.clock_s - self.pinched_s <= AFTER_PINCH_S;
        self.settled = sight.throttle < SHUT && sight.running && come_down && !sight.has(Note::IdleTooSoon) && !pinched;
        if self.turned || !sight.running {
            return;
        }
        let picked_up = [Note::SnapCrisp, Note::SnapHesitates, Note::SnapBogs];
        let snapped = open && self.cleared && !pinched && picked_up.iter().any(|note| sight.has(*note));
        if snapped {
            // One opening is one snap, however often it is looked at.
            self.snaps += u32::from(!self.snapping);
            self.snapping = true;
        }
        let idle = self.settled;
        let counts = |when| match when {
            When::Open => open,
            When::Slow => open && self.cleared,
            When::Idle | When::Return => idle,
            When::Snap => snapped,
            When::Told => false,
        };
        self.found.hear(counts, |note| sight.has(note));
        if let Some(rpm) = sight.tachometer_rpm {
            let full = [
                Note::FullRough,
                Note::FullDull,
                Note::FullLazy,
                Note::FullSoft,
                Note::FullClean,
            ];
            if full.iter().any(|note| sight.has(*note)) {
                self.full_rpm.now = Some(rpm.max(self.full_rpm.now.unwrap_or(0.0)));
            }
            if self.settled {
                self.idle_rpm.now = Some(rpm);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::checks::Limits;
    use crate::chance::Chance;

    /// What was heard of an opening still stands in the ear at the moment in which the hand lets go.
    #[test]
    fn one_opening_by_hand_is_one_snap_though_it_is_heard_as_it_shuts() {
        let mut memory = Memory::new(Limits::STANDARD, Chance::new(1, 0));
        let mut bursts = 0;
        for second in 0..40_u32 {
            // Full for two seconds in every ten.
            let full = second % 10 < 2;
            let just_shut = second % 10 == 2;
            bursts += u32::from(second % 10 == 0);
            memory.listen(&Sight {
                running: true,
                clock_s: f64::from(second),
                throttle: if full { 1.0 } else { 0.0 },
                notes: if full || just_shut {
                    vec![Note::SnapCrisp]
                } else {
                    Vec::new()
                },
                ..Sight::standing()
            });
            assert_eq!(memory.snaps, bursts, "{second} s");
        }
    }
}
