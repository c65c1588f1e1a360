//! The shaft: friction, pumping, the clutch, and what it drives. Speed steps by energy, so a stall is found, not set: an engine
//! that cannot bring its flywheel over the next compression stops.

use super::links::{Link, Sources};
use crate::lanes::{Lanes, Registers};
use crate::units::{
    cubic_metre_from_ml, metre_from_mm, pascal_from_bar, rev_per_second_from_rpm, square_metre_from_mm2,
};
use std::f64::consts::PI;

/// Energy of one rev/s squared per unit of inertia: E = 2 pi² J n².
const ENERGY: f64 = 2.0 * PI * PI;

#[derive(Clone, Copy, Debug)]
pub(super) struct Shaft {
    displacement: f64,
    base: f64,
    linear: f64,
    square: f64,
    pumping: f64,
    cold: f64,
    /// Square of the least speed that brings the flywheel over the next compression, rev²/s².
    compression: f64,
    inertia: f64,
    /// rev²/s² per J of the flywheel.
    per_energy: f64,
    engage: f64,
    /// Clutch torque per (rev/s)² above engagement, N m s².
    clutch: f64,
    stand_inertia: f64,
    stand_drag: f64,
    car_inertia: f64,
    car_rolling: f64,
    car_air: f64,
    travel: f64,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Turned<T> {
    pub speed: T,
    pub wheel_speed: T,
    pub friction_work: T,
    pub shaft_work: T,
}

/// What acts on the shaft in one revolution.
#[derive(Clone, Copy, Debug)]
pub(super) struct Crank<T> {
    /// Engine speed, rev/s.
    pub speed: T,
    /// Speed of the drive train, as engine revolutions per second.
    pub wheel_speed: T,
    /// Work of the gas, J.
    pub work: T,
    /// Crankcase pressure over ambient.
    pub pressure_ratio: T,
    /// Crankcase, K: stiffens or thins the oil.
    pub crankcase_temperature: T,
    /// Speed held by a brake, rev/s; 0 for none.
    pub brake_speed: T,
    /// 1 in the car, 0 on the stand.
    pub on_track: T,
    /// 0 for a standing engine.
    pub alive: T,
    /// Duration, s.
    pub duration: T,
}

impl Shaft {
    pub fn new(s: &Sources) -> Self {
        let inertia = square_metre_from_mm2(s.engine.drive.flywheel_inertia_kg_mm2);
        let per_energy = 1.0 / (inertia * ENERGY);
        Self {
            displacement: cubic_metre_from_ml(s.engine.geometry.displacement_cm3),
            base: pascal_from_bar(s.laws.friction.base_bar),
            linear: s.laws.friction.per_100_rev_per_s_bar * 1e3,
            square: s.laws.friction.per_100_rev_per_s_squared_bar * 10.0,
            pumping: pascal_from_bar(s.laws.friction.pumping_bar),
            cold: s.laws.friction.cold_per_k,
            compression: {
                s.laws.friction.compression_work
                    * s.air(Link::AirPressureToCylinder).pressure
                    * cubic_metre_from_ml(s.engine.geometry.displacement_cm3)
                    * per_energy
            },
            inertia,
            per_energy,
            engage: rev_per_second_from_rpm(s.engine.drive.clutch_engage_rpm),
            clutch: {
                let engage = rev_per_second_from_rpm(s.engine.drive.clutch_engage_rpm);
                let above = engage + rev_per_second_from_rpm(5000.0);
                metre_from_mm(s.engine.drive.clutch_torque_n_mm) / (above * above - engage * engage)
            },
            stand_inertia: square_metre_from_mm2(s.engine.drive.stand_inertia_kg_mm2),
            stand_drag: metre_from_mm(s.engine.drive.stand_drag_n_mm) / (500.0 * 500.0),
            car_inertia: {
                let radius = metre_from_mm(s.engine.drive.travel_per_rev_mm) / (2.0 * PI);
                square_metre_from_mm2(s.engine.drive.stand_inertia_kg_mm2)
                    + s.engine.drive.car_mass_kg * radius * radius
            },
            car_rolling: {
                metre_from_mm(
                    (s.engine.drive.rolling_drag_n + s.faults.brake_drag_n) * s.engine.drive.travel_per_rev_mm,
                ) / (2.0 * PI)
            },
            car_air: {
                let travel = metre_from_mm(s.engine.drive.travel_per_rev_mm);
                0.5 * s.air(Link::AirDensityToDrag).density
                    * s.engine.drive.drag_area_cm2
                    * 1e-4
                    * travel
                    * travel
                    * travel
                    / (2.0 * PI)
            },
            travel: metre_from_mm(s.engine.drive.travel_per_rev_mm),
        }
    }

    /// Road speed at a drive-train speed, m/s.
    #[inline(always)]
    pub fn road_speed<R: Registers>(&self, wheel_speed: Lanes<R>) -> Lanes<R> {
        wheel_speed * self.travel
    }

    /// One revolution of the shaft.
    #[inline(always)]
    pub fn turn<R: Registers>(&self, inputs: Crank<Lanes<R>>) -> Turned<Lanes<R>> {
        let Crank {
            speed,
            wheel_speed,
            work,
            pressure_ratio,
            crankcase_temperature,
            brake_speed,
            on_track,
            alive,
            duration,
        } = inputs;
        let stiff = 1.0 + self.cold * (333.15 - crankcase_temperature).max(0.0);
        let friction_work = (self.base + speed * (self.linear + speed * self.square)) * stiff * self.displacement;
        let pumping_work = self.pumping * (1.0 - pressure_ratio) * self.displacement;
        let shaft_work = (work - friction_work - pumping_work) * alive;

        // Clutch: torque limited by the shoes, and by what would bring both sides to one speed within this revolution.
        let train_inertia = self.stand_inertia + (self.car_inertia - self.stand_inertia) * on_track;
        let shoes = self.clutch * (speed * speed - self.engage * self.engage).max(0.0);
        let slip = speed - wheel_speed;
        let [per_both, per_train] = Lanes::recips([self.inertia + train_inertia, train_inertia]);
        let meeting = slip * (2.0 * PI * self.inertia) * train_inertia * per_both * speed;
        let torque = meeting.clamp(-shoes, shoes);
        let after = speed * speed + (shaft_work - torque * (2.0 * PI)) * self.per_energy;
        let free = after.if_less(self.compression, 0.0, after.max(0.0).sqrt()) * alive;
        // A brake holds its speed, whatever the engine gives; it takes it there at 3000 rev/s².
        let reach = duration * 3000.0;
        let braked = speed + (brake_speed - speed).clamp(-reach, reach);
        let speed = brake_speed.if_less(1.0, free, braked * alive);

        let stand_drag = self.stand_drag * wheel_speed * wheel_speed;
        let car_drag = self.car_rolling + self.car_air * wheel_speed * wheel_speed;
        let drag = stand_drag + (car_drag - stand_drag) * on_track;
        let spin = duration * (1.0 / (2.0 * PI)) * per_train;
        let wheel_speed = (wheel_speed + (torque - drag) * spin).max(0.0);
        Turned {
            speed,
            wheel_speed,
            friction_work,
            shaft_work,
        }
    }
}
