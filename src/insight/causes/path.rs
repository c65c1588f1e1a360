//! The paths by which a turn of a screw comes to move the engine, each a group of the engine's named links that can be held at their old
//! values together; and the trunk that all of them share.

use crate::engine::links::{Link, Links};

/// A path from the mixture to the speed, beside others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Path {
    /// The mixture decides whether and how much of the charge burns.
    Firing,
    /// The mixture decides how early it burns.
    Phase,
    /// The mixture decides how much heat the same air gives.
    Heat,
    /// How warm the charge is and what dilutes it: the last revolution's gas, crown, crankcase, walls and plug. One path, since hot gas and
    /// the hot parts around it keep each other up: an engine with one of them held and the other free may run away or die.
    Warmth,
    /// Speed acts back: draught, tank pressure, pipe, time to burn.
    Speed,
}

/// How many paths there are.
pub const PATHS: usize = Path::ALL.len();

impl Path {
    /// All of them, in the order in which a turn comes by.
    pub const ALL: [Self; 5] = [Self::Firing, Self::Phase, Self::Heat, Self::Warmth, Self::Speed];

    /// Its links.
    pub fn links(self) -> &'static [Link] {
        match self {
            Self::Firing => &[Link::MixtureToFiring],
            Self::Phase => &[Link::MixtureToPhase],
            Self::Heat => &[Link::MixtureToHeat],
            Self::Warmth => &[
                Link::LeftToCharge,
                Link::DilutionToFiring,
                Link::DilutionToPhase,
                Link::ChargeTemperatureToFiring,
                Link::ChargeTemperatureToPhase,
                Link::CrownToCharge,
                Link::CrankcaseToCharge,
                Link::CrankcaseToFilm,
                Link::CrankcaseToJet,
                Link::CrankcaseToFriction,
                Link::TankToJet,
                Link::WallsToWork,
                Link::PlugToFiring,
                Link::PlugToPhase,
                Link::HeadToPlug,
                Link::HeadToKnock,
                Link::KnockToWalls,
            ],
            Self::Speed => &[
                Link::SpeedToPhase,
                Link::ThroatToMetering,
                Link::TankToMetering,
                Link::PipeToTank,
                Link::PipeToCharge,
            ],
        }
    }
}

/// What every path hangs on: the screws, what they meter, the film, and the work that turns the shaft. Held, nothing is left to share.
#[cfg(test)]
const TRUNK: [Link; 6] = [
    Link::HighNeedleToMetering,
    Link::LowNeedleToMetering,
    Link::IdleStopToSlide,
    Link::MeteringToFilm,
    Link::FilmToCylinder,
    Link::WorkToSpeed,
];

/// The links of some paths, by a bit for each of [`Path::ALL`].
pub fn links_of(paths: usize) -> Links {
    let among = |k: &usize| paths & (1 << k) != 0;
    let paths = (0..PATHS).filter(among).map(|k| Path::ALL[k]);
    paths
        .flat_map(Path::links)
        .fold(Links::NONE, |links, link| links.and(*link))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_link_of_the_running_engine_is_in_one_path_or_in_the_trunk() {
        // Those of weather and fuel come first; a turn of a screw leaves them alone.
        let running = Link::ALL.iter().skip_while(|link| **link != Link::HighNeedleToMetering);
        for link in running {
            let paths = Path::ALL.iter().filter(|path| path.links().contains(link)).count();
            assert_eq!(paths + usize::from(TRUNK.contains(link)), 1, "{}", link.name());
        }
        assert_eq!(links_of(0), Links::NONE);
        assert!(links_of(0b10).contain(Link::MixtureToPhase) && !links_of(0b10).contain(Link::MixtureToFiring));
    }
}
