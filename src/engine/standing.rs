//! Where an engine begins: standing with a full tank as cold as the day, or brought to running temperature and spun.

use super::Engine;
use super::state::{Charge, Damage, State};
use crate::lanes::one;

impl Engine {
    /// A standing engine with a full tank, everything at ambient temperature.
    pub fn cold_state(&self) -> State {
        let density = self.ambient_pressure / (self.ambient_temperature * 290.0);
        State {
            time: 0.0,
            revolution: 0.0,
            speed: 0.0,
            wheel_speed: 0.0,
            film_fuel: 0.0,
            film_oil: 0.0,
            tank_pressure: 0.0,
            tank_fuel: self.tank.capacity(),
            line_drawn: 0.0,
            head_temperature: self.ambient_temperature,
            crankcase_temperature: self.ambient_temperature,
            crown_temperature: self.ambient_temperature,
            mixture_temperature: self.ambient_temperature,
            tank_temperature: self.ambient_temperature,
            plug_temperature: self.ambient_temperature,
            pipe_temperature: self.ambient_temperature,
            left: Charge {
                air: density * self.displacement,
                fuel: 0.0,
                burnt: 0.0,
                temperature: self.ambient_temperature,
            },
            pipe_mist: 0.0,
            pipe_oil: 0.0,
            knock: 0.0,
            damage: Damage::default(),
        }
    }

    /// The same engine brought to running temperature (head 100 °C, crankcase 60 °C, plug lit) and spun to `speed` rev/s.
    pub fn warm_state(&self, speed: f64) -> State {
        State {
            speed,
            head_temperature: 373.15,
            crankcase_temperature: 333.15,
            crown_temperature: 420.0,
            tank_temperature: self.tank.warm(one(333.15)).number(),
            plug_temperature: 1000.0,
            pipe_temperature: 600.0,
            ..self.cold_state()
        }
    }
}
