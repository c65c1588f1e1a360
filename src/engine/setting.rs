//! Where an engine's screws stand, and what is wrong with it besides them: what may change while its constants stay.

/// Screw positions in turns open from closed.
#[derive(Clone, Copy, Debug, PartialEq, Default, serde::Serialize)]
pub struct Setting {
    /// High-speed needle.
    pub high_turns: f64,
    /// Low-speed needle.
    pub low_turns: f64,
    /// Idle stop.
    pub idle_turns: f64,
}

/// What may be wrong with an engine besides its needles: every one is a physical link, all at rest in [`Faults::NONE`].
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Faults {
    /// Flow area of an air leak behind the carburettor, mm².
    pub air_leak_mm2: f64,
    /// Added restriction of the fuel line, as a share (0-0.95) of its open area that is blocked, at the high-speed needle's scale.
    pub line_blocked_share: f64,
    /// Share of the pipe's pressure that a leaking pressure line loses, 0-1.
    pub pressure_line_leak_share: f64,
    /// Share of the plug's catalytic part that is gone, 0-1.
    pub plug_tired_share: f64,
    /// Share of the trapped charge that a worn sleeve loses, 0-0.5.
    pub sleeve_wear_share: f64,
    /// Share (0-0.95) of the air filter's area that is blocked.
    pub filter_blocked_share: f64,
    /// Dragging brake, newtons at the wheels.
    pub brake_drag_n: f64,
    /// Share of the time in which the fuel line carries foam, 0-1.
    pub foam_share: f64,
}

impl Faults {
    /// A sound engine.
    pub const NONE: Self = Self {
        air_leak_mm2: 0.0,
        line_blocked_share: 0.0,
        pressure_line_leak_share: 0.0,
        plug_tired_share: 0.0,
        sleeve_wear_share: 0.0,
        filter_blocked_share: 0.0,
        brake_drag_n: 0.0,
        foam_share: 0.0,
    };
}

impl Default for Faults {
    fn default() -> Self {
        Self::NONE
    }
}
