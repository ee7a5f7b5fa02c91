//! The figures of a point, declared once: columns of CSV, arrays of JSON.

use shortblock_cycle::Point;
use shortblock_units::Quantity;

/// A figure of every point of a curve.
pub struct Figure {
    /// Its word in JSON and CSV.
    pub key: &'static str,
    /// What kind of value it is.
    pub quantity: Quantity,
    /// Its value in SI; `None` where there is none.
    pub of: fn(&Point) -> Option<f64>,
}

const fn f(key: &'static str, quantity: Quantity, of: fn(&Point) -> Option<f64>) -> Figure {
    Figure { key, quantity, of }
}

/// All of them; angles of burning are means over the cylinders, peaks the highest, margins the
/// least.
pub const FIGURES: &[Figure] = &[
    f("bmep", Quantity::PressureDifference, |p| Some(p.imep - p.fmep)),
    f("imep", Quantity::PressureDifference, |p| Some(p.imep)),
    f("pmep", Quantity::PressureDifference, |p| Some(p.pmep)),
    f("fmep", Quantity::PressureDifference, |p| Some(p.fmep)),
    f("volumetric_efficiency", Quantity::Fraction, |p| Some(p.volumetric_efficiency)),
    f("air_flow", Quantity::MassFlow, |p| Some(p.air_flow)),
    f("fuel_flow", Quantity::MassFlow, |p| Some(p.fuel_flow)),
    f("bsfc", Quantity::FuelConsumption, |p| Some(p.bsfc)),
    f("lambda", Quantity::Ratio, |p| Some(p.lambda)),
    f("residual", Quantity::Fraction, |p| Some(p.mean(|c| c.residual))),
    f("spark_advance", Quantity::Angle, |p| Some(p.mean(|c| c.spark_advance))),
    f("knock_margin", Quantity::Angle, knock_margin),
    f("octane_margin", Quantity::Ratio, |p| least(p.cylinders.iter().map(|c| c.octane_margin))),
    f("burn_0_10", Quantity::Angle, |p| Some(p.mean(|c| c.burn_0_10))),
    f("burn_10_50", Quantity::Angle, |p| Some(p.mean(|c| c.burn_10_50))),
    f("burn_10_90", Quantity::Angle, |p| Some(p.mean(|c| c.burn_10_90))),
    f("burned_50", Quantity::Angle, |p| Some(p.mean(|c| c.burn_50))),
    f("peak_pressure", Quantity::AbsolutePressure, peak_pressure),
    f("peak_pressure_at", Quantity::Angle, |p| Some(p.mean(|c| c.peak_pressure_angle))),
    f("exhaust_temperature", Quantity::Temperature, |p| Some(p.mean(|c| c.exhaust_temperature))),
    f("piston_crown", Quantity::Temperature, piston_crown),
    f("mean_piston_speed", Quantity::Speed, |p| Some(p.mean_piston_speed)),
    f("inlet_mach_index", Quantity::Ratio, |p| Some(p.inlet_mach_index)),
    f("intake_choked", Quantity::Fraction, |p| Some(p.mean(|c| c.intake_choked))),
    f("exhaust_choked", Quantity::Fraction, |p| Some(p.mean(|c| c.exhaust_choked))),
    f("blow_down_choked", Quantity::Fraction, |p| Some(p.mean(|c| c.blow_down_choked))),
    f("heat_to_walls", Quantity::Fraction, |p| Some(p.heat_share)),
    f("spread_between_cylinders", Quantity::Fraction, |p| Some(p.air_per_cylinder_spread)),
];

/// Spark that could be added before the first cylinder knocks, rad.
pub fn knock_margin(point: &Point) -> Option<f64> {
    least(point.cylinders.iter().map(|c| c.knock_margin))
}

/// Highest pressure in any cylinder, Pa.
pub fn peak_pressure(point: &Point) -> Option<f64> {
    point.cylinders.iter().map(|c| c.peak_pressure).reduce(f64::max)
}

/// Hottest piston crown of any cylinder, K.
fn piston_crown(point: &Point) -> Option<f64> {
    point.cylinders.iter().map(|c| c.piston_temperature).reduce(f64::max)
}

fn least(all: impl Iterator<Item = Option<f64>>) -> Option<f64> {
    all.flatten().reduce(f64::min)
}
