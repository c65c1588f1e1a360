//! The shaft: friction, pumping, the clutch, and what it drives. Speed steps by energy, so a stall is found, not set: an engine
//! that cannot bring its flywheel over the next compression stops.

use super::Setup;
use crate::lanes::Lanes;
use std::f64::consts::PI;

/// Energy of one rev/s squared per unit of inertia: E = 2 pi² J n².
const ENERGY: f64 = 2.0 * PI * PI;

#[derive(Clone, Copy, Debug)]
pub(super) struct Shaft<const N: usize> {
    displacement: Lanes<N>,
    base: Lanes<N>,
    linear: Lanes<N>,
    square: Lanes<N>,
    pumping: Lanes<N>,
    cold: Lanes<N>,
    compression: Lanes<N>,
    inertia: Lanes<N>,
    engage: Lanes<N>,
    /// Clutch torque per (rev/s)² above engagement, N m s².
    clutch: Lanes<N>,
    stand_inertia: Lanes<N>,
    stand_drag: Lanes<N>,
    car_inertia: Lanes<N>,
    car_rolling: Lanes<N>,
    car_air: Lanes<N>,
    travel: Lanes<N>,
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Turned<const N: usize> {
    pub speed: Lanes<N>,
    pub wheel_speed: Lanes<N>,
    pub friction_work: Lanes<N>,
    pub shaft_work: Lanes<N>,
}

impl<const N: usize> Shaft<N> {
    pub fn new(setups: &[Setup; N]) -> Self {
        let each = |f: fn(&Setup) -> f64| Lanes::each(|i| f(&setups[i]));
        Self {
            displacement: each(|s| s.engine.geometry.displacement_cm3 * 1e-6),
            base: each(|s| s.laws.friction.base_bar * 1e5),
            linear: each(|s| s.laws.friction.per_100_rev_per_s_bar * 1e3),
            square: each(|s| s.laws.friction.per_100_rev_per_s_squared_bar * 10.0),
            pumping: each(|s| s.laws.friction.pumping_bar * 1e5),
            cold: each(|s| s.laws.friction.cold_per_k),
            compression: each(|s| {
                s.laws.friction.compression_work * s.air.pressure * s.engine.geometry.displacement_cm3 * 1e-6
            }),
            inertia: each(|s| s.engine.drive.flywheel_inertia_kg_mm2 * 1e-6),
            engage: each(|s| s.engine.drive.clutch_engage_rpm / 60.0),
            clutch: each(|s| {
                let engage = s.engine.drive.clutch_engage_rpm / 60.0;
                let above = engage + 5000.0 / 60.0;
                s.engine.drive.clutch_torque_n_mm * 1e-3 / (above * above - engage * engage)
            }),
            stand_inertia: each(|s| s.engine.drive.stand_inertia_kg_mm2 * 1e-6),
            stand_drag: each(|s| s.engine.drive.stand_drag_n_mm * 1e-3 / (500.0 * 500.0)),
            car_inertia: each(|s| {
                let radius = s.engine.drive.travel_per_rev_mm * 1e-3 / (2.0 * PI);
                s.engine.drive.stand_inertia_kg_mm2 * 1e-6 + s.engine.drive.car_mass_kg * radius * radius
            }),
            car_rolling: each(|s| {
                (s.engine.drive.rolling_drag_n + s.faults.brake_drag_n) * s.engine.drive.travel_per_rev_mm * 1e-3
                    / (2.0 * PI)
            }),
            car_air: each(|s| {
                let travel = s.engine.drive.travel_per_rev_mm * 1e-3;
                0.5 * s.air.density * s.engine.drive.drag_area_cm2 * 1e-4 * travel * travel * travel / (2.0 * PI)
            }),
            travel: each(|s| s.engine.drive.travel_per_rev_mm * 1e-3),
        }
    }

    /// Road speed at a drive-train speed, m/s.
    #[inline(always)]
    pub fn road_speed(&self, wheel_speed: Lanes<N>) -> Lanes<N> {
        wheel_speed * self.travel
    }

    /// One revolution under the gas's `work`, J.
    #[inline(always)]
    #[allow(clippy::too_many_arguments)]
    pub fn turn(
        &self,
        speed: Lanes<N>,
        wheel_speed: Lanes<N>,
        work: Lanes<N>,
        pressure_ratio: Lanes<N>,
        crankcase_temperature: Lanes<N>,
        brake_speed: Lanes<N>,
        on_track: Lanes<N>,
        alive: Lanes<N>,
        duration: Lanes<N>,
    ) -> Turned<N> {
        let stiff = 1.0 + self.cold * (333.15 - crankcase_temperature).max(0.0);
        let friction_work = (self.base + speed * (self.linear + speed * self.square)) * stiff * self.displacement;
        let pumping_work = self.pumping * (1.0 - pressure_ratio) * self.displacement;
        let shaft_work = (work - friction_work - pumping_work) * alive;

        // Clutch: torque limited by the shoes, and by what would bring both sides to one speed within this revolution.
        let train_inertia = self.stand_inertia + (self.car_inertia - self.stand_inertia) * on_track;
        let shoes = self.clutch * (speed * speed - self.engage * self.engage).max(0.0);
        let slip = speed - wheel_speed;
        let meeting = slip * (2.0 * PI) * self.inertia * train_inertia / ((self.inertia + train_inertia) * duration);
        let torque = meeting.clamp(-shoes, shoes);
        let after = speed * speed + (shaft_work - torque * (2.0 * PI)) / (self.inertia * ENERGY);
        let over_compression = self.compression / (self.inertia * ENERGY);
        let free = after.if_less(over_compression, Lanes::splat(0.0), after.max(0.0).sqrt()) * alive;
        // A brake holds its speed, whatever the engine gives; it takes it there at 3000 rev/s².
        let reach = duration * 3000.0;
        let braked = speed + (brake_speed - speed).clamp(-reach, reach);
        let speed = brake_speed.if_less(1.0, free, braked * alive);

        let stand_drag = self.stand_drag * wheel_speed * wheel_speed;
        let car_drag = self.car_rolling + self.car_air * wheel_speed * wheel_speed;
        let drag = stand_drag + (car_drag - stand_drag) * on_track;
        let spin = duration * (1.0 / (2.0 * PI)) / train_inertia;
        let wheel_speed = (wheel_speed + (torque - drag) * spin).max(0.0);
        Turned {
            speed,
            wheel_speed,
            friction_work,
            shaft_work,
        }
    }
}
