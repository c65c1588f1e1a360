//! The other engines by constants that were drawn or found for the reference engine.

use needlebench::config::{EngineModel, reference_setup};
use needlebench::engine::Setup;
use needlebench::engine::params::EngineParams;
use needlebench::parameters::Origin;

use crate::constants::Trial;
use crate::engines::{Moved, OTHERS};
use crate::misses::{Look, UNNOTICED};
use crate::reference;

/// Shares of the reference engine's way that another engine's own constants are tried at.
const SHARES: [f64; 5] = [1.0, 0.75, 0.5, 0.25, 0.0];

/// An engine that is not the reference.
pub struct Other {
    model: EngineModel,
    setup: Setup,
    look: Look,
    /// The reference engine's own constants.
    reference: EngineParams,
}

/// All of them.
pub fn others() -> Vec<Other> {
    let (reference, _) = reference();
    let other = |name| {
        let (model, setup) = reference_setup(name).expect("built in");
        Other {
            look: Look::at(&model, &setup),
            reference: reference.engine,
            model,
            setup,
        }
    };
    OTHERS.map(other).into()
}

impl Other {
    /// Whether it is clean at its reference setting by any share.
    pub fn can_be_set(&self, drawn: &Trial) -> bool {
        let mut tries = SHARES.iter().map(|share| self.in_proportion(drawn, *share));
        tries.any(|trial| self.look.beside(&trial.setup).is_some())
    }

    /// By the share that misses least: above all it is clean at its reference setting and a click beside it.
    pub fn best(&self, drawn: &Trial) -> EngineParams {
        let tries = SHARES.map(|share| self.in_proportion(drawn, share));
        let missed = |trial: &Trial| {
            let beside = self.look.beside(&trial.setup).unwrap_or(usize::MAX);
            let rows = self.look.missed(&self.look.table(&trial.setup), UNNOTICED);
            (beside, rows.len())
        };
        let best = tries.iter().min_by_key(|trial| missed(trial));
        best.map_or(self.setup.engine, |trial| trial.setup.engine)
    }

    /// With the reference engine's laws as they are now, and mixtures and idle moved as its have from where it started.
    pub fn moved(&self, start: &Trial, best: &Trial) -> Moved {
        let mut trial = self.in_proportion(best, 1.0);
        trial.idle *= best.idle / start.idle;
        trial.full *= best.full / start.full;
        trial.idle_rpm *= best.idle_rpm / start.idle_rpm;
        trial.retune(self.model.reference);
        Moved {
            trial,
            setting: self.model.reference,
            rated_rpm: self.model.rated_rpm,
        }
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.model.name
    }

    /// The laws are the set's, and its own assumed constants are moved in the reference engine's proportion or a share of it; then it is
    /// tuned until its reference setting meters and idles as it does now.
    fn in_proportion(&self, drawn: &Trial, share: f64) -> Trial {
        let mut trial = Trial::of(&self.setup, self.model.reference);
        trial.setup.laws = drawn.setup.laws;
        let (mut from, mut to) = (self.reference, drawn.setup.engine);
        for (group, keys) in EngineParams::GROUPS {
            for key in keys.iter().filter(|key| key.origin == Origin::assumed) {
                let [from, to] = [&mut from, &mut to].map(|params| params.get_mut(group, key.name).map_or(1.0, |v| *v));
                if let Some(value) = trial.setup.engine.get_mut(group, key.name) {
                    *value = (*value * (to / from).powf(share)).clamp(key.low, key.high);
                }
            }
        }
        trial.retune(self.model.reference);
        trial
    }
}
