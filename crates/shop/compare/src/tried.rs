//! Pulls as the comparison needs them, on one speed grid.

/// How torque was read over speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mode {
    /// Speed rises through the pull.
    Sweep,
    /// Speed is held at each step.
    Steady,
}

/// Where torque was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Place {
    /// At the crankshaft (engine dynamometer).
    Crank,
    /// At the wheels (roller).
    Wheel,
}

/// Why a pull was left out. Left out before anybody saw the difference it is a repair; after, it
/// is a choice, and both verdicts are given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SetAside {
    /// For a cause written down before A and B were looked at.
    BeforeSeen,
    /// After the difference was seen.
    AfterSeen,
}

/// One pull.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// Name of the pull, for sentences.
    pub label: String,
    /// Build it was made with.
    pub build: String,
    /// Dynamometer.
    pub dyno: String,
    /// Session (a day, or a stretch on the same mounting) counted over all dynos.
    pub session: u32,
    /// Refit count within the session: goes up whenever parts come off and go on.
    pub block: u32,
    /// Place in the session, counted in pulls (0, 1, 2...; fractions for waiting).
    pub order: f64,
    /// Pulls made since the engine last stood for more than 20 minutes, 0 for the first.
    pub pulls_since_stop: f64,
    /// Natural logarithm of the weather correction factor.
    pub ln_correction: f64,
    /// Oil temperature at the start, °C.
    pub oil_temperature_celsius: Option<f64>,
    /// Sweep or steady.
    pub mode: Mode,
    /// Crank or wheel.
    pub place: Place,
    /// Sweep rate, rpm/s; of no meaning when steady.
    pub sweep_rate_rpm_s: f64,
    /// Whether the torque that accelerates engine and rotor was added back.
    pub inertia_corrected: bool,
    /// Natural logarithm of corrected torque, one a grid speed, not a number where not covered.
    pub ln_torque: Vec<f64>,
    /// Left out, and when that was decided.
    pub set_aside: Option<SetAside>,
}

/// Pulls on one speed grid.
#[derive(Debug, Clone, PartialEq)]
pub struct PullSet {
    /// Speeds, rpm, rising in equal steps.
    pub speeds_rpm: Vec<f64>,
    /// The pulls.
    pub pulls: Vec<Tried>,
}
