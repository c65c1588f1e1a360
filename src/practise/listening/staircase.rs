//! How far apart the next question of a drill is: closer after two right answers, further after a wrong one. Such stairs end where an ear is
//! right in 71 of 100 (Levitt, "Transformed up-down methods in psychoacoustics", J. Acoust. Soc. Am. 49, 1971): the smallest step heard.

/// The steps there are, clicks of 1/24 turn, the widest first.
pub const STEPS_CLICKS: [u32; 8] = [12, 9, 7, 5, 4, 3, 2, 1];
/// Right answers in a row that bring the next step.
const IN_A_ROW: u32 = 2;
/// Turns of the stairs that are left out, since they are on the way down, and how many have to follow.
const LEFT_OUT: u32 = 2;
const ENOUGH: u32 = 4;

/// One drill's stairs.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Staircase {
    at: usize,
    in_a_row: u32,
    asked: u32,
    right: u32,
    /// Whether the last step was down, once there was one.
    down: Option<bool>,
    turns: u32,
    /// Sum of the logarithms of the steps, clicks, at the turns that count.
    logs: f64,
}

impl Staircase {
    /// The step of the next question, clicks.
    pub fn step_clicks(&self) -> u32 {
        STEPS_CLICKS[self.at]
    }

    /// Questions answered.
    pub fn asked(&self) -> u32 {
        self.asked
    }

    /// Those answered right.
    pub fn right(&self) -> u32 {
        self.right
    }

    /// The smallest step heard, clicks: the geometric mean of the steps at which the stairs turned; none before they have turned often enough.
    pub fn smallest(&self) -> Option<f64> {
        let counted = self.turns.saturating_sub(LEFT_OUT);
        (counted >= ENOUGH).then(|| (self.logs / f64::from(counted)).exp())
    }

    /// Takes an answer.
    pub fn answer(&mut self, right: bool) {
        self.asked += 1;
        self.right += u32::from(right);
        if !right {
            self.in_a_row = 0;
            self.step(false);
            return;
        }
        self.in_a_row += 1;
        if self.in_a_row == IN_A_ROW {
            self.in_a_row = 0;
            self.step(true);
        }
    }

    fn step(&mut self, down: bool) {
        if self.down.is_some_and(|before| before != down) {
            self.turns += 1;
            if self.turns > LEFT_OUT {
                self.logs += f64::from(self.step_clicks()).ln();
            }
        }
        self.down = Some(down);
        let last = STEPS_CLICKS.len() - 1;
        self.at = if down {
            (self.at + 1).min(last)
        } else {
            self.at.saturating_sub(1)
        };
    }
}
