//! The limits that pulls are held against, and where each comes from.

/// Where a limit comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    /// The engine's file.
    Engine,
    /// The dyno's file.
    Dyno,
    /// The session's file.
    Session,
    /// Shipped with the program: common practice, no source.
    CommonPractice,
    /// Chosen for this program: no practice that could be named.
    Chosen,
    /// The pull before.
    PullBefore,
}

impl From {
    /// The words for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Engine => "engine's file",
            Self::Dyno => "dyno's file",
            Self::Session => "session's file",
            Self::CommonPractice => "common practice",
            Self::Chosen => "chosen here",
            Self::PullBefore => "the pull before",
        }
    }
}

/// A limit and where it comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stated {
    /// Value in SI.
    pub value: f64,
    /// Where it comes from.
    pub from: From,
}

/// The limits of one engine on one dyno. Shares are of 1, temperatures in K, pressures in Pa.
#[derive(Debug, Clone, PartialEq)]
pub struct Limits {
    /// Highest engine speed, rad/s; nobody can guess it.
    pub engine_speed: Option<Stated>,
    /// Oil pressure for each rad/s of engine speed, Pa s, hot: watch below.
    pub oil_pressure_slope: Stated,
    /// Lowest oil pressure at any speed of a pull, Pa gauge: stop below. None by common practice.
    pub oil_pressure: Option<Stated>,
    /// Drop of oil pressure against the pull before: watch above.
    pub oil_pressure_drop: Stated,
    /// Coolant at the start, from and to.
    pub coolant: [Stated; 2],
    /// Coolant at any time: stop above.
    pub coolant_stop: Stated,
    /// Oil at the start, from and to.
    pub oil: [Stated; 2],
    /// Oil at any time: stop above.
    pub oil_stop: Stated,
    /// Change of coolant, oil and inlet air at the start from pull to pull: watch above.
    pub between_pulls: [Stated; 3],
    /// Highest torque that the dyno or the engine is to see, N·m: stop above. None by common practice.
    pub torque: Option<Stated>,
    /// Highest power, W: stop above. None by common practice.
    pub power: Option<Stated>,
    /// Highest boost, Pa gauge: stop above. None by common practice.
    pub boost: Option<Stated>,
    /// Lowest fuel pressure, Pa gauge: stop below. None by common practice.
    pub fuel_pressure: Option<Stated>,
    /// Lambda at full load: stop when leaner for more than 0.2 s.
    pub lambda: Stated,
    /// Lambda wanted, where somebody said it.
    pub lambda_target: Option<Stated>,
    /// Difference of banks or from the target: watch above.
    pub lambda_spread: Stated,
    /// Drop of fuel pressure over a pull as a share: watch, stop.
    pub fuel_pressure_drop: [Stated; 2],
    /// Injector duty: watch, stop.
    pub injector_duty: [Stated; 2],
    /// Knock in the file's own scale: stop above. None by common practice.
    pub knock: Option<Stated>,
    /// Exhaust temperature: watch above.
    pub exhaust: Stated,
    /// Spread of exhaust temperatures, or its change from the pull before: watch above.
    pub exhaust_spread: Stated,
    /// Rise of inlet air over a pull: watch above.
    pub inlet_rise: Stated,
    /// Manifold below the air outside at full throttle: watch above.
    pub manifold_depression: Stated,
    /// Throttle that counts as open.
    pub throttle: Stated,
    /// Supply, V: watch below.
    pub supply: Stated,
    /// Crankcase pressure, Pa gauge: watch above.
    pub crankcase: Stated,
    /// Rate of a sweep away from the plan or the pull before, as a share: watch above.
    pub rate: Stated,
    /// Sweep rate that was planned, rad/s².
    pub planned_rate: Option<Stated>,
    /// Way that speed may go back within a sweep, rad/s.
    pub went_back: Stated,
    /// Drop of torque within 0.3 s as a share: stop above.
    pub torque_drop: Stated,
    /// Scatter of torque within a bin as a share: watch above.
    pub torque_scatter: Stated,
    /// Torque read with the engine standing, as a share of the best: watch above.
    pub torque_zero: Stated,
    /// Disagreement of air meter, fuel and speed-density: watch above.
    pub triangle: Stated,
    /// True for an engine with a compressor: other lambda limit, no manifold depression.
    pub boosted: bool,
}

const RPM: f64 = std::f64::consts::PI / 30.0;
const CELSIUS: f64 = 273.15;
/// 1 psi in Pa.
const PSI: f64 = 6_894.757;

/// A limit that is common practice.
const fn usual(value: f64) -> Stated {
    Stated { value, from: From::CommonPractice }
}

impl Limits {
    /// Limits of common practice, no source: they call for a look, they are not the engine's own.
    /// 10 psi of oil for each 1000 rpm is the trade's rule, and many engines run less by design.
    pub fn shipped() -> Self {
        let celsius = |low: f64, high: f64| [usual(low + CELSIUS), usual(high + CELSIUS)];
        Self {
            engine_speed: None,
            oil_pressure_slope: usual(10.0 * PSI / (1000.0 * RPM)),
            oil_pressure: None,
            oil_pressure_drop: usual(0.10),
            coolant: celsius(75.0, 95.0),
            coolant_stop: usual(110.0 + CELSIUS),
            oil: celsius(75.0, 125.0),
            oil_stop: usual(145.0 + CELSIUS),
            between_pulls: [usual(3.0), usual(5.0), usual(3.0)],
            torque: None,
            power: None,
            boost: None,
            fuel_pressure: None,
            lambda: usual(0.95),
            lambda_target: None,
            lambda_spread: usual(0.03),
            fuel_pressure_drop: [usual(0.05), usual(0.10)],
            injector_duty: [usual(0.85), usual(0.97)],
            knock: None,
            exhaust: usual(950.0 + CELSIUS),
            exhaust_spread: usual(60.0),
            inlet_rise: usual(3.0),
            manifold_depression: usual(3.0e3),
            throttle: usual(0.97),
            supply: usual(12.0),
            crankcase: usual(5.0e3),
            rate: usual(0.05),
            planned_rate: None,
            went_back: usual(30.0 * RPM),
            torque_drop: usual(0.05),
            torque_scatter: usual(0.02),
            torque_zero: usual(0.01),
            triangle: usual(0.04),
            boosted: false,
        }
    }

    /// The same for an engine with a compressor: leaner than 0.88 is then a stop.
    #[must_use]
    pub fn of_boosted(mut self) -> Self {
        if self.lambda.from == From::CommonPractice {
            self.lambda = usual(0.88);
        }
        self.boosted = true;
        self
    }
}
