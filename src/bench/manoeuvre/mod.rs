//! What hands do to an engine, as data: a manoeuvre is a list of segments, each with a throttle, what changes in load, fuel line and
//! glow lead, and what ends it. Whoever plays one ([`player`](super::player)) needs to know nothing else of it, and a measure knows a
//! segment by its mark. The named ones stand in [`table`].

pub mod table;

use std::sync::Arc;

use crate::engine::state::Load;

/// By what a measure knows a segment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mark {
    /// On the way to what is looked at.
    Prepare,
    /// Looked at: everything is to be steady.
    Watch,
    /// The throttle has been opened.
    Open,
    /// It has been shut again.
    Return,
    /// One step of an opening by steps, from nought.
    Step(u8),
    /// The fuel line is pinched.
    Pinch,
    /// Driven on the track.
    Drive,
}

/// What the throttle does over a segment, 0 shut to 1 full.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Throttle {
    /// Stays.
    Hold(f64),
    /// Moves in a straight line over the segment's longest time.
    Ramp {
        /// At its beginning.
        from: f64,
        /// At its end.
        to: f64,
    },
}

/// What ends a segment before its longest time is over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Until {
    /// Nothing does.
    Time,
    /// The head is this hot, K.
    HeadAbove(f64),
    /// The engine turns faster than this, rev/s.
    SpeedAbove(f64),
    /// It turns slower than this, rev/s.
    SpeedBelow(f64),
    /// It stands.
    Stalled,
    /// The head has warmed or cooled by less than this within a second, K.
    Settled(f64),
}

/// A segment that is left out if the engine is in such a state when its turn comes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Skip {
    /// The engine turns no faster than this, rev/s; 0 for one that stands.
    pub speed_below: f64,
    /// The head is hotter than this, K.
    pub head_above: f64,
    /// The segment to go on with; past the last one the manoeuvre is over.
    pub to: usize,
}

/// What hands do for a while. What is none stays as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// By what a measure knows it.
    pub mark: Mark,
    /// The throttle.
    pub throttle: Throttle,
    /// What the engine is made to drive.
    pub load: Option<Load>,
    /// Share of the fuel line that is left open: 0 pinched, 1 free.
    pub line_open: Option<f64>,
    /// Glow lead on the plug (1) or off it (0).
    pub glow_lead: Option<f64>,
    /// A starter spins the engine to this speed first, rev/s.
    pub starter: Option<f64>,
    /// The tank is filled first.
    pub refuel: bool,
    /// What ends it early.
    pub until: Until,
    /// Its longest time, s. A segment of no time only changes what it says.
    pub longest_s: f64,
    /// When it is left out.
    pub skip: Option<Skip>,
}

impl Segment {
    /// The throttle held for some seconds, unmarked.
    pub const fn hold(throttle: f64, longest_s: f64) -> Self {
        Self {
            mark: Mark::Prepare,
            throttle: Throttle::Hold(throttle),
            load: None,
            line_open: None,
            glow_lead: None,
            starter: None,
            refuel: false,
            until: Until::Time,
            longest_s,
            skip: None,
        }
    }
    /// The throttle moved in a straight line.
    pub const fn ramp(from: f64, to: f64, longest_s: f64) -> Self {
        let mut segment = Self::hold(from, longest_s);
        segment.throttle = Throttle::Ramp { from, to };
        segment
    }
    /// With a mark.
    pub const fn mark(mut self, mark: Mark) -> Self {
        self.mark = mark;
        self
    }
    /// Under a load.
    pub const fn load(mut self, load: Load) -> Self {
        self.load = Some(load);
        self
    }
    /// With the fuel line pinched.
    pub const fn pinched(mut self) -> Self {
        self.line_open = Some(0.0);
        self
    }
    /// With the fuel line let go.
    pub const fn line_free(mut self) -> Self {
        self.line_open = Some(1.0);
        self
    }
    /// With the glow lead on the plug, or off it.
    pub const fn lead(mut self, on: bool) -> Self {
        self.glow_lead = Some(if on { 1.0 } else { 0.0 });
        self
    }
    /// Spun by a starter at its beginning, rev/s.
    pub const fn spun(mut self, speed: f64) -> Self {
        self.starter = Some(speed);
        self
    }
    /// With a full tank at its beginning.
    pub const fn refuelled(mut self) -> Self {
        self.refuel = true;
        self
    }
    /// Ended early.
    pub const fn until(mut self, until: Until) -> Self {
        self.until = until;
        self
    }
    /// Left out, with what follows up to the segment `to`, if the engine turns no faster than this, rev/s: 0 if it stands.
    pub const fn skip_slow(mut self, speed_below: f64, to: usize) -> Self {
        self.skip = Some(Skip {
            speed_below,
            head_above: f64::INFINITY,
            to,
        });
        self
    }
    /// Left out, with what follows up to the segment `to`, if the engine stands or its head is hotter, K.
    pub const fn skip_warm(mut self, head_above: f64, to: usize) -> Self {
        self.skip = Some(Skip {
            speed_below: 0.0,
            head_above,
            to,
        });
        self
    }
}

/// Segments in the order in which they are played; cheap to hand to many engines.
#[derive(Clone, Debug, PartialEq)]
pub struct Manoeuvre(Arc<[Segment]>);

impl Manoeuvre {
    /// Its segments.
    pub fn segments(&self) -> &[Segment] {
        &self.0
    }
    /// The throttle led through points of (seconds, throttle) in rising order of time, in straight lines between them.
    pub fn along(points: &[(f64, f64)]) -> Self {
        let before = points.first().map(|first| Segment::hold(first.1, first.0));
        let lines = points
            .windows(2)
            .map(|pair| Segment::ramp(pair[0].1, pair[1].1, pair[1].0 - pair[0].0));
        before.into_iter().chain(lines).collect()
    }
    /// Its longest time, s.
    pub fn longest_s(&self) -> f64 {
        self.0.iter().map(|s| s.longest_s).sum()
    }
    /// The last load that it sets, if it sets one.
    pub fn load(&self) -> Option<Load> {
        self.0.iter().filter_map(|s| s.load).next_back()
    }
    /// When the fuel line is first pinched, if it is and all before it takes its longest time, s.
    pub fn pinched_at_s(&self) -> Option<f64> {
        let at = self.0.iter().position(|s| s.line_open == Some(0.0))?;
        Some(self.0[..at].iter().map(|s| s.longest_s).sum())
    }
    /// This, then that.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        self.0.iter().chain(next.segments()).copied().collect()
    }
}

impl<const N: usize> From<[Segment; N]> for Manoeuvre {
    fn from(segments: [Segment; N]) -> Self {
        Self(Arc::from(segments))
    }
}

impl FromIterator<Segment> for Manoeuvre {
    fn from_iter<I: IntoIterator<Item = Segment>>(segments: I) -> Self {
        Self(segments.into_iter().collect())
    }
}
