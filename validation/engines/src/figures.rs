//! What is compared at one speed, in coherent SI, angles in degrees.

use shortblock_curve::Quantity;
use shortblock_cycle::Point;

/// Figures of one point of a full-load curve.
#[derive(Clone, Copy, Debug)]
pub struct Figures {
    /// rad/s.
    pub speed: f64,
    /// Brake torque, N·m.
    pub torque: f64,
    /// Its ± (coverage 95 %), N·m; `None` when it was not worked out.
    pub plus_minus: Option<f64>,
    /// Net indicated mean effective pressure, Pa.
    pub imep: f64,
    /// Mean effective pressure of the gas exchange strokes, Pa; negative is a loss.
    pub pmep: f64,
    /// Friction mean effective pressure, Pa.
    pub fmep: f64,
    /// Volumetric efficiency.
    pub ve: f64,
    /// Brake specific fuel consumption, kg/J.
    pub bsfc: f64,
    /// Heat to the cylinder walls over the heat of the fuel.
    pub heat_share: f64,
    /// Share of burned gas trapped from the cycle before.
    pub residual: f64,
    /// Spark, degrees before dead centre.
    pub spark: f64,
    /// Spark to 10 % burned, degrees.
    pub burn_0_10: f64,
    /// 10 to 90 % burned, degrees.
    pub burn_10_90: f64,
    /// 50 % burned, degrees after dead centre.
    pub burn_50: f64,
    /// Highest pressure, Pa.
    pub peak_pressure: f64,
    /// Where, degrees after dead centre.
    pub peak_pressure_angle: f64,
    /// Exhaust gas at the port, K.
    pub exhaust_temperature: f64,
    /// Whether knock set the spark of any cylinder.
    pub knock_limited: bool,
}

impl Figures {
    /// Mean effective pressure of compression and expansion alone, Pa.
    pub fn gross_imep(&self) -> f64 {
        self.imep - self.pmep
    }

    /// Brake mean effective pressure, Pa.
    pub fn bmep(&self) -> f64 {
        self.imep - self.fmep
    }
}

impl From<&Point> for Figures {
    fn from(point: &Point) -> Self {
        Self {
            speed: point.speed,
            torque: point.brake_torque,
            plus_minus: None,
            imep: point.imep,
            pmep: point.pmep,
            fmep: point.fmep,
            ve: point.volumetric_efficiency,
            bsfc: point.bsfc,
            heat_share: point.heat_share,
            residual: point.mean(|c| c.residual),
            spark: point.mean(|c| c.spark_advance).to_degrees(),
            burn_0_10: point.mean(|c| c.burn_0_10).to_degrees(),
            burn_10_90: point.mean(|c| c.burn_10_90).to_degrees(),
            burn_50: point.mean(|c| c.burn_50).to_degrees(),
            peak_pressure: point.mean(|c| c.peak_pressure),
            peak_pressure_angle: point.mean(|c| c.peak_pressure_angle).to_degrees(),
            exhaust_temperature: point.mean(|c| c.exhaust_temperature),
            knock_limited: point.cylinders.iter().any(|c| c.knock_limited),
        }
    }
}

/// ± of the best of a curve.
#[derive(Clone, Copy, Debug)]
pub struct Best {
    /// Best torque or best power.
    pub quantity: Quantity,
    /// Its value, coherent SI.
    pub value: f64,
    /// Its ± (coverage 95 %) as a share.
    pub share: f64,
    /// ± of its speed, rad/s.
    pub place: f64,
}

/// At each speed the point with the best torque of several phases of the cams.
pub fn envelope(phases: Vec<Vec<Figures>>) -> Vec<Figures> {
    let mut phases = phases.into_iter();
    let mut best = phases.next().unwrap_or_default();
    for phase in phases {
        for point in phase {
            match best.iter_mut().find(|b| (b.speed - point.speed).abs() < 1e-6 * b.speed) {
                Some(own) if own.torque < point.torque => *own = point,
                Some(_) => {}
                None => best.push(point),
            }
        }
    }
    best.sort_by(|a, b| a.speed.total_cmp(&b.speed));
    best
}

/// The point nearest to a speed.
pub fn nearest(points: &[Figures], speed: f64) -> Option<&Figures> {
    points.iter().min_by(|a, b| (a.speed - speed).abs().total_cmp(&(b.speed - speed).abs()))
}
