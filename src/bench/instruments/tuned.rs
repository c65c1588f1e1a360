//! What an ear is tuned to: the idle's window, how soon a good engine of this kind picks up and comes down, how its beats strike at
//! their best, and from where on missed beats and smoke are more than a clean engine has.

/// What the ear is tuned to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tuned {
    /// Slowest idle, rpm.
    pub idle_low_rpm: f64,
    /// Fastest idle, rpm.
    pub idle_high_rpm: f64,
    /// Where the clutch takes hold, rpm.
    pub clutch_rpm: f64,
    /// Longest delay of a crisp snap, s.
    pub crisp_s: f64,
    /// Speed that ends the delay, rpm.
    pub snap_mark_rpm: f64,
    /// Largest excess of a snap's puff over the steady smoke.
    pub puff_excess: f64,
    /// Longest return from a burst, s.
    pub return_s: f64,
    /// Longest time above 1.1 times the settled idle after a burst, s.
    pub hang_s: f64,
    /// Excess of the speed just after a return that counts as sinking, and lack of it that counts as a drop, shares.
    pub excess_share: f64,
    /// The lack.
    pub deficit_share: f64,
    /// Variation of an idle that wavers, as a share.
    pub waver_share: f64,
    /// How far an idle hot from the track may be from the settled one, as a share.
    pub hot_idle_share: f64,
    /// Missed beats that are too many: on a snap, as shares.
    pub snap_missed_share: f64,
    /// At part throttle.
    pub part_missed_share: f64,
    /// In a part of a slow opening.
    pub opening_missed_share: f64,
    /// Smoke that is too thick in a slow opening, percent.
    pub opening_smoke_percent: f64,
    /// Crackle that is heard, as its index.
    pub crackle: f64,
    /// How late the beats of a good engine strike at full throttle, degrees.
    pub late_deg: f64,
    /// How far this listener takes a pitch wrong, as a factor about 1.
    pub pitch_error: f64,
    /// The settled idle that is remembered since the last turn, rpm.
    pub settled_rpm: Option<f64>,
}
