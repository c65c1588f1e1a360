//! What somebody at the bench hears and sees at this moment: the ear tuned to today's engine, what it compares, and what it follows.

use super::heard::COLD_HEAD;
use super::{Episode, Found};
use crate::bench::instruments::{Compared, Following, Laps, Note, Tuned, follow, laps, listen};

/// A pitch is had anew after so long, ms.
const PITCH_MS: u64 = 4000;

impl Episode {
    /// What the ear is tuned to now.
    fn tuned(&self) -> Tuned {
        let limits = &self.hidden.limits;
        let clutch_rpm = self.hidden.setup.engine.drive.clutch_engage_rpm;
        let share = |percent: f64| percent / 100.0;
        Tuned {
            idle_low_rpm: limits.idle_low_rpm,
            idle_high_rpm: limits.idle_high_rpm.min(clutch_rpm - limits.idle_below_clutch_rpm),
            clutch_rpm,
            crisp_s: limits.snap_delay_ratio * self.hidden.judging.facts.best_snap_delay_s,
            snap_mark_rpm: self.hidden.judging.waits.snap_mark_rpm,
            puff_excess: limits.snap_puff_excess,
            return_s: limits.return_s,
            hang_s: limits.hang_s,
            excess_share: share(limits.early_excess_percent),
            deficit_share: share(limits.early_deficit_percent),
            waver_share: share(limits.idle_variation_percent),
            hot_idle_share: share(limits.hot_idle_percent),
            snap_missed_share: share(limits.snap_misfire_percent),
            part_missed_share: share(limits.half_misfire_percent),
            opening_missed_share: share(limits.roll_on_misfire_percent),
            opening_smoke_percent: limits.roll_on_opacity_percent,
            crackle: limits.detonation_index,
            late_deg: self.at_best.late_deg,
            pitch_error: 1.0 + self.pitch_percent() / 100.0,
            settled_rpm: self.log.strip.memory().settled_rpm(),
        }
    }

    /// How far this ear takes a pitch wrong that it has had time to listen to: it has it three times, and takes the mean.
    fn pitch_percent(&self) -> f64 {
        const TIMES: u64 = 3;
        let at = |times_ago| {
            self.human
                .pitch_percent(self.clock_ms.saturating_sub(times_ago * PITCH_MS))
        };
        (0..TIMES).map(at).sum::<f64>() / TIMES as f64
    }

    /// What is heard and seen now.
    pub fn notes(&self) -> Vec<Note> {
        let mut notes = listen(self.log.strip.rows(), &self.tuned());
        if self.running() && self.rig.state.head_temperature < COLD_HEAD {
            notes.insert(0, Note::Cold);
        }
        let gap_mm = self.idle_gap_mm();
        if gap_mm > self.hidden.limits.idle_gap_high_mm {
            notes.push(Note::GapWide);
        } else if gap_mm < self.hidden.limits.idle_gap_low_mm {
            notes.push(Note::GapNarrow);
        }
        notes
    }

    /// How what is heard now differs from the same before the last turn, or from the last time.
    pub fn compared(&self) -> Vec<Compared> {
        self.log.strip.memory().compare(self.log.strip.rows())
    }

    /// The return from a burst as it is followed, if there is one.
    pub fn following(&self) -> Option<Following> {
        follow(self.log.strip.rows(), &self.tuned())
    }

    /// What laps told that began at `began_s` on the engine's clock, as far back as an ear remembers.
    pub(super) fn heard_laps(&self, began_s: f64) -> Vec<Found> {
        let rows = self.log.strip.rows();
        let from = rows.partition_point(|row| row.time_s <= began_s);
        let Some(Laps { straight, exit, way_in }) = laps(&rows[from..], &self.tuned()) else {
            return Vec::new();
        };
        vec![
            Found::Straight { straight },
            Found::Corner { exit },
            Found::WayIn { way_in },
        ]
    }
}
