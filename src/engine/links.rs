//! The paths by which one thing in the engine acts on another, by name, so that each can be held at another run's value.
//!
//! Two kinds: what acts once, when an engine is derived from weather and fuel ([`Sources`]), and what acts in every revolution
//! ([`Hold`]). A run with no link held is the new run to the bit; with every link held it is the other run. So the share of a path
//! in an effect can be measured, by letting go of one link after the other.

use super::Setup;
use crate::fluids::air::Air;
use crate::fluids::fuel::Fuel;
use crate::fluids::heat_release::HeatRelease;
use crate::lanes::{Lanes, Operand, Registers};

macro_rules! links {
    ($($(#[doc = $doc:literal])+ $link:ident $name:literal,)+) => {
        /// A path by which one thing acts on another.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Link {
            $($(#[doc = $doc])+ $link,)+
        }

        impl Link {
            /// All of them: those of weather and fuel first.
            pub const ALL: &'static [Self] = &[$(Self::$link,)+];

            /// Its name, in words.
            pub fn name(self) -> &'static str {
                match self {
                    $(Self::$link => $name,)+
                }
            }
        }
    };
}

links! {
    /// Oxygen in a swept volume.
    AirDensityToCharge "air density -> charge",
    /// The day's air in the crankcase.
    AirTemperatureToCharge "air temperature -> charge",
    /// Speed of the air through the throat.
    AirTemperatureToThroat "air temperature -> throat",
    /// What the throat's depression is a part of.
    AirPressureToThroat "air pressure -> throat",
    /// What the cylinder holds as its exhaust opens, and what a compression costs.
    AirPressureToCylinder "air pressure -> cylinder",
    /// Fuel at the jet: its viscosity and density.
    AirTemperatureToJet "air temperature -> fuel at the jet",
    /// Head and crankcase.
    AirTemperatureToCooling "air temperature -> cooling",
    /// Gas in the pipe.
    AirTemperatureToPipe "air temperature -> pipe",
    /// Back pressure of the pipe's outlet.
    AirPressureToTank "air pressure -> tank pressure",
    /// Air drag of the car.
    AirDensityToDrag "air density -> drag",
    /// Volume of the exhaust in which the smoke is spread.
    AirDensityToPlume "air density -> plume",
    /// Water vapour that adds to the exhaust.
    HumidityToExhaust "humidity -> exhaust",
    /// Air that a kilogram of fuel needs.
    FuelToStoichiometry "fuel -> stoichiometry",
    /// Share of the blend that is oil.
    FuelToOil "fuel -> oil",
    /// Viscous loss in the needles.
    FuelToViscosity "fuel -> viscosity",
    /// Inertial loss in the needles, height of the fuel, weight of a tank.
    FuelToDensity "fuel -> density",
    /// What its evaporation takes.
    FuelToLatentHeat "fuel -> latent heat",
    /// What it gives as it burns.
    FuelToHeat "fuel -> heat",
    /// Nitromethane brings knock nearer.
    FuelToKnock "fuel -> knock",

    /// The high-speed needle's gap.
    HighNeedleToMetering "high-speed needle -> metering",
    /// The low-speed needle's gap.
    LowNeedleToMetering "low-speed needle -> metering",
    /// The slide's stop.
    IdleStopToSlide "idle stop -> slide",
    /// The pipe's gas sets its tuned speed.
    PipeToCharge "pipe -> charge",
    /// The pipe's gas sets its back pressure.
    PipeToTank "pipe -> tank pressure",
    /// A hot crankcase thins the charge.
    CrankcaseToCharge "crankcase -> charge",
    /// A hot crown warms the charge.
    CrownToCharge "crown -> charge",
    /// Fuel warmed in the tank.
    TankToJet "tank's fuel -> fuel at the jet",
    /// A warm carburettor warms the fuel.
    CrankcaseToJet "crankcase -> fuel at the jet",
    /// Warm walls dry the film.
    CrankcaseToFilm "crankcase -> film",
    /// Cold oil is stiff.
    CrankcaseToFriction "crankcase -> friction",
    /// Depression of the throat draws fuel.
    ThroatToMetering "throat -> metering",
    /// Pressure and level of the tank push fuel.
    TankToMetering "tank -> metering",
    /// What the needles let through lands on the walls or not.
    MeteringToFilm "metering -> film",
    /// What the walls let go reaches the cylinder.
    FilmToCylinder "film -> cylinder",
    /// What the last revolution left dilutes this one.
    LeftToCharge "left-over gas -> charge",
    /// Mixture and flammability.
    MixtureToFiring "mixture -> firing",
    /// Mixture and speed of burning.
    MixtureToPhase "mixture -> phase",
    /// Mixture and heat.
    MixtureToHeat "mixture -> heat",
    /// Burnt gas and flammability.
    DilutionToFiring "dilution -> firing",
    /// Burnt gas and speed of burning.
    DilutionToPhase "dilution -> phase",
    /// A hot charge fires though diluted.
    ChargeTemperatureToFiring "charge temperature -> firing",
    /// A hot charge lights itself.
    ChargeTemperatureToPhase "charge temperature -> phase",
    /// What the walls take can do no work.
    WallsToWork "walls -> work",
    /// A hot wire lights more.
    PlugToFiring "plug -> firing",
    /// A cold wire lights late.
    PlugToPhase "plug -> phase",
    /// The head warms the wire.
    HeadToPlug "head -> plug",
    /// A hot head brings knock nearer.
    HeadToKnock "head -> knock",
    /// Knock heats the walls.
    KnockToWalls "knock -> walls",
    /// A higher speed leaves less time to burn.
    SpeedToPhase "speed -> phase",
    /// What burnt turns the shaft.
    WorkToSpeed "work -> speed",
}

/// How many links there are.
pub const LINKS: usize = Link::ALL.len();

/// Some links.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Links(u64);

impl Links {
    /// No link.
    pub const NONE: Self = Self(0);
    /// Every link.
    pub const ALL: Self = Self((1 << LINKS) - 1);

    /// These and one more.
    #[must_use]
    pub const fn and(self, link: Link) -> Self {
        Self(self.0 | 1 << link as u64)
    }
    /// These without one.
    #[must_use]
    pub const fn without(self, link: Link) -> Self {
        Self(self.0 & !(1 << link as u64))
    }
    /// 1 for each link that is among them, 0 for the others.
    pub fn mask(self) -> Passed {
        std::array::from_fn(|k| f64::from(u8::from(self.0 & 1 << k != 0)))
    }
    /// Whether the link is among them.
    pub const fn contain(self, link: Link) -> bool {
        self.0 & 1 << link as u64 != 0
    }
}

/// Where a law takes weather and fuel from: today's, or another run's for the links that are held.
///
/// The engine, its faults and the laws' constants are today's, and read as if this were the setup itself.
#[derive(Clone, Copy, Debug)]
pub struct Sources<'a> {
    setup: &'a Setup,
    other: &'a Setup,
    held: Links,
}

impl std::ops::Deref for Sources<'_> {
    type Target = Setup;
    fn deref(&self) -> &Setup {
        self.setup
    }
}

impl<'a> Sources<'a> {
    /// All from one setup.
    pub fn of(setup: &'a Setup) -> Self {
        Self::holding(setup, setup, Links::NONE)
    }
    /// From `setup`, but along the `held` links from `other`.
    pub fn holding(setup: &'a Setup, other: &'a Setup, held: Links) -> Self {
        Self { setup, other, held }
    }
    fn along(&self, link: Link) -> &'a Setup {
        if self.held.contain(link) {
            self.other
        } else {
            self.setup
        }
    }
    /// The weather as it acts along a link.
    pub fn air(&self, link: Link) -> &'a Air {
        &self.along(link).air
    }
    /// The fuel as it acts along a link.
    pub fn fuel(&self, link: Link) -> &'a Fuel {
        &self.along(link).fuel
    }
    /// Its heat.
    pub fn heat(&self, link: Link) -> &'a HeatRelease {
        &self.along(link).heat
    }
}

/// What passes along the links in one revolution: as it comes, or held.
pub trait Hold<R: Registers> {
    /// What arrives where `own` set out.
    fn pass(&mut self, link: Link, own: Lanes<R>) -> Lanes<R>;
}

/// Nothing is held: every value arrives as it set out, at no cost.
#[derive(Clone, Copy, Debug)]
pub struct Free;

impl<R: Registers> Hold<R> for Free {
    #[inline(always)]
    fn pass(&mut self, _: Link, own: Lanes<R>) -> Lanes<R> {
        own
    }
}

/// Values that passed along every link in one revolution; those of weather and fuel are not used.
pub type Passed = [f64; LINKS];

/// Links held lane by lane, and a note of what would have passed.
#[derive(Debug)]
pub struct Held<'a, const N: usize> {
    /// What arrives where a link is held, per link and lane.
    pub held: &'a [[f64; N]; LINKS],
    /// 1 where a link is held, 0 where it is free, per link and lane.
    pub mask: &'a [[f64; N]; LINKS],
    /// What set out.
    pub own: &'a mut [[f64; N]; LINKS],
}

impl<R: Registers, const N: usize> Hold<R> for Held<'_, N> {
    #[inline(always)]
    fn pass(&mut self, link: Link, own: Lanes<R>) -> Lanes<R> {
        let at = link as usize;
        own.store(&mut self.own[at]);
        let registers = own.registers();
        let mask = Lanes::load(registers, &self.mask[at]);
        mask.if_less(0.5f64.lanes(registers), own, Lanes::load(registers, &self.held[at]))
    }
}
