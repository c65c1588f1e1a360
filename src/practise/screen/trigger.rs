//! The trigger: it springs back when let go. A terminal usually tells only that a key goes down and repeats, so a key that has
//! not come again for a moment counts as let go; where the terminal tells that a key was let go, that counts.

/// A key just pressed counts as held for this long, ms: keyboards wait up to 0.7 s before they repeat.
pub const FIRST_MS: u64 = 800;
/// A repeating key counts as held for this long, ms: keyboards repeat every 0.02 to 0.1 s.
pub const REPEAT_MS: u64 = 300;

/// The trigger.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Trigger {
    position: f64,
    kept: bool,
    until_ms: Option<u64>,
    told_of_release: bool,
}

impl Trigger {
    /// Throttle, 0 shut to 1 full.
    pub fn position(&self) -> f64 {
        self.position
    }
    /// It stays where it is set.
    pub fn kept(&self) -> bool {
        self.kept
    }

    /// A throttle key goes down, or repeats.
    pub fn press(&mut self, position: f64, now_ms: u64) {
        let repeats = self.position == position && self.until_ms.is_some_and(|until| now_ms <= until);
        self.position = position;
        self.until_ms = if self.kept || self.told_of_release {
            None
        } else if repeats {
            self.until_ms.max(Some(now_ms + REPEAT_MS))
        } else {
            Some(now_ms + FIRST_MS)
        };
    }

    /// The key of this throttle was let go.
    pub fn released(&mut self, position: f64) {
        self.told_of_release = true;
        if !self.kept && self.position == position {
            self.let_go();
        }
    }

    /// Keeps it where it is, or, kept, lets it go.
    pub fn keep(&mut self) {
        if self.kept {
            self.let_go();
        } else {
            self.kept = true;
            self.until_ms = None;
        }
    }

    /// Lets it go.
    pub fn let_go(&mut self) {
        self.position = 0.0;
        self.kept = false;
        self.until_ms = None;
    }

    /// The window is no longer looked at: a key let go there is never told.
    pub fn looked_away(&mut self) {
        if !self.kept {
            self.let_go();
        }
    }

    /// Springs back once its key has not come again.
    pub fn relax(&mut self, now_ms: u64) {
        if self.until_ms.is_some_and(|until| now_ms > until) {
            self.let_go();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_press_springs_back_and_a_repeating_key_holds() {
        let mut trigger = Trigger::default();
        trigger.press(1.0, 0);
        trigger.relax(FIRST_MS);
        assert_eq!(trigger.position(), 1.0);
        trigger.relax(FIRST_MS + 1);
        assert_eq!(trigger.position(), 0.0);
        // A slow keyboard: 0.66 s to the first repeat, then 25 a second.
        let mut now = 10_000;
        trigger.press(0.5, now);
        now += 660;
        while now < 15_000 {
            trigger.relax(now);
            assert_eq!(trigger.position(), 0.5, "{now}");
            trigger.press(0.5, now);
            now += 40;
        }
        trigger.relax(now + REPEAT_MS);
        assert_eq!(trigger.position(), 0.0, "let go soon after the last repeat");
    }

    #[test]
    fn a_kept_trigger_stays_until_it_is_let_go() {
        let mut trigger = Trigger::default();
        trigger.keep();
        trigger.press(0.3, 0);
        trigger.relax(60_000);
        trigger.released(0.3);
        trigger.looked_away();
        assert_eq!(trigger.position(), 0.3);
        trigger.keep();
        assert_eq!((trigger.position(), trigger.kept()), (0.0, false));
        // Kept while pressed.
        trigger.press(1.0, 70_000);
        trigger.keep();
        trigger.relax(80_000);
        assert_eq!(trigger.position(), 1.0);
    }

    #[test]
    fn a_release_that_is_told_counts_at_once_and_from_then_on_holding_needs_no_repeats() {
        let mut trigger = Trigger::default();
        trigger.press(1.0, 0);
        trigger.released(1.0);
        assert_eq!(trigger.position(), 0.0);
        trigger.press(1.0, 100);
        trigger.relax(30_000);
        assert_eq!(trigger.position(), 1.0);
        trigger.released(0.5);
        assert_eq!(trigger.position(), 1.0, "another key's release");
        trigger.looked_away();
        assert_eq!(trigger.position(), 0.0);
    }
}
