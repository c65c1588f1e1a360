//! Practices played to their end, those of one engine side by side, their sign-offs checked together. Nothing of that can be seen in any
//! of them: it is the same to the bit as played alone, action by action.

use super::lane;
pub use super::practice::{End, MOST_ACTIONS, Practice, Tuner};
use crate::lanes::Instructions;

/// Plays every practice to its end.
pub fn play<T: Tuner>(practices: &mut [Practice<T>]) {
    play_on(Instructions::best(), practices);
}

/// The same on other instructions than the widest of this processor: for tests and benches, since the bits are the same.
pub fn play_on<T: Tuner>(instructions: Instructions, practices: &mut [Practice<T>]) {
    let mut left: Vec<&mut Practice<T>> = practices.iter_mut().filter(|p| p.end.is_none()).collect();
    while let Some(first) = left.first() {
        let which = first.episode.which();
        let (mut together, others): (Vec<_>, Vec<_>) = left.into_iter().partition(|p| p.episode.is_on(&which));
        lane::play(&which, &mut together, instructions);
        check(&mut together);
        left = others.into_iter().chain(together).filter(|p| p.end.is_none()).collect();
    }
}

/// The checks of all that were signed off, side by side. Those of one engine are judged alike.
fn check<T: Tuner>(practices: &mut [&mut Practice<T>]) {
    let mut asking: Vec<_> = practices
        .iter_mut()
        .filter_map(|p| p.to_check().map(|settings| (p, settings)))
        .collect();
    let settings: Vec<_> = asking.iter().flat_map(|(_, settings)| *settings).collect();
    let Some((first, _)) = asking.first() else { return };
    let hidden = &first.episode.hidden;
    let mut reports = hidden.judging.check_all(&hidden.setup, &settings).into_iter();
    for (practice, settings) in &mut asking {
        practice.checked(reports.by_ref().take(settings.len()).collect());
    }
}
