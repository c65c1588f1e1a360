//! Actions under way, taken as far as a caller wants: whole, by the moment or by stretches that others play, the same to the bit.

use super::doing::{Doing, NOTHING};
use super::stretch::{Stretch, Until};
use super::{Ending, Episode, Found};
use crate::bench::manoeuvre::table;
use crate::bench::player::{Now, Observer};
use crate::engine::state::{Revolution, State};
use crate::tuning::action::Action;

impl Episode {
    /// Takes what is under way `ms` further, or to its end if that comes first: then it tells what came of it. With nothing under way
    /// time passes. Whoever watches is shown every revolution.
    pub fn advance(&mut self, ms: u32, mut watch: impl Observer) -> Option<Vec<Found>> {
        if self.doing.is_none() {
            self.pass(ms, watch);
            return None;
        }
        let until_ms = self.clock_ms + u64::from(ms);
        while let Some(mut stretch) = self.next_stretch(until_ms) {
            self.follow(&mut stretch, |now: &Now, r: &Revolution, s: &State| {
                watch.see(now, r, s)
            });
            self.played(&stretch);
        }
        self.finished()
    }

    /// What is played next of the action under way, up to a time on the practice's clock, ms; none there, and none if it is over.
    pub(in crate::tuning) fn next_stretch(&mut self, until_ms: u64) -> Option<Stretch> {
        let until_ms = until_ms.min(self.limit_ms());
        let Some(Doing {
            action,
            manoeuvre,
            cursor,
            ..
        }) = &self.doing
        else {
            return None;
        };
        if cursor.over() || self.ending.is_some() {
            return None;
        }
        if self.clock_ms >= until_ms {
            self.out_of_time();
            return None;
        }
        let end_s = cursor.ends_at();
        let end_ms = (end_s * 1e3).round() as u64;
        let until = if end_ms <= until_ms {
            Until {
                ms: end_ms,
                s: end_s,
                whole: true,
            }
        } else {
            Until {
                ms: until_ms,
                s: until_ms as f64 * 1e-3,
                whole: false,
            }
        };
        Some(self.stretch(action, (manoeuvre, *cursor), until))
    }

    /// Takes in that a stretch of the action under way was played.
    pub(in crate::tuning) fn played(&mut self, stretch: &Stretch) {
        let cursor = self.followed(stretch);
        let Some(mut doing) = self.doing.take() else { return };
        doing.cursor = cursor;
        if stretch.whole() {
            self.look_around();
            self.listen_to_pinch(&mut doing);
        } else {
            self.out_of_time();
        }
        self.doing = Some(doing);
    }

    /// What came of the action under way, if it is over.
    pub(in crate::tuning) fn finished(&mut self) -> Option<Vec<Found>> {
        let over = self.ending.is_some();
        let doing = self.doing.take_if(|doing| over || doing.cursor.over())?;
        if doing.cursor.over() {
            // A segment that ended while the engine was in the revolution before was not played, but its time has passed.
            let end_ms = (doing.cursor.ends_at() * 1e3).round() as u64;
            self.clock_ms = self.clock_ms.max(end_ms.min(self.limit_ms()));
        }
        Some(self.finish(doing))
    }

    /// Lets time pass with the throttle where it is.
    fn pass(&mut self, ms: u32, watch: impl Observer) {
        if self.ending.is_some() {
            return;
        }
        self.let_go();
        let until_ms = (self.clock_ms + u64::from(ms)).min(self.limit_ms());
        let seconds = (until_ms - self.clock_ms) as f64 * 1e-3;
        let doing = self.entered(Action::Wait { ms }, table::wait(self.throttle(), seconds), NOTHING);
        let until = Until {
            ms: until_ms,
            s: until_ms as f64 * 1e-3,
            whole: true,
        };
        let mut stretch = self.stretch(&doing.action, (&doing.manoeuvre, doing.cursor), until);
        self.follow(&mut stretch, watch);
        self.followed(&stretch);
        self.look_around();
    }

    /// Sees between two things whether the engine is lost or time is up.
    fn look_around(&mut self) {
        if self.rig.state.damage.total() >= 1.0 {
            self.ending = Some(Ending::Lost);
        } else {
            self.out_of_time();
        }
    }

    fn out_of_time(&mut self) {
        if self.clock_ms >= self.limit_ms() {
            self.ending = Some(Ending::OutOfTime);
        }
    }
}
