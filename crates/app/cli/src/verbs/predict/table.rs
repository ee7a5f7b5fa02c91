//! The table of one prediction: a row for each speed.

use crate::figures::{knock_margin, peak_pressure};
use crate::manner::Manner;
use shortblock_curve::Quantity as Column;
use shortblock_cycle::Point;
use shortblock_plan::Prediction;
use shortblock_sheets::{Table, plain_number, plus_minus_column};
use shortblock_units::Quantity;
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;

/// Torque and power with their ±, and what a builder looks at beside them.
pub fn table(prediction: &Prediction, manner: &Manner) -> String {
    let curve = &prediction.curve;
    let power = column(curve.power(), curve.plus_minus(Column::Power), Quantity::Power, manner);
    let torque = column(curve.torque(), curve.plus_minus(Column::Torque), Quantity::Torque, manner);
    let unit = |quantity| manner.symbol(manner.unit(quantity));
    let pressure = manner.unit(Quantity::AbsolutePressure);
    let headings = [
        "rpm".to_owned(),
        format!("torque, {}", unit(Quantity::Torque)),
        format!("power, {}", unit(Quantity::Power)),
        "filling, %".to_owned(),
        "spark, deg".to_owned(),
        "margin, deg".to_owned(),
        format!("peak, {}", manner.symbol(pressure)),
    ];
    let mut table = Table::new(&headings.each_ref().map(String::as_str));
    for (i, point) in prediction.points.iter().enumerate() {
        let rest = |of: Option<f64>, places| of.map_or("-".to_owned(), |v| plain_number(v, places));
        let peak = peak_pressure(point).map(|si| three_figures(pressure.from_si(si)));
        table.row(vec![
            manner.text(&plain_number(point.speed / RPM, 0)),
            manner.text(torque.get(i).map_or("", String::as_str)),
            manner.text(power.get(i).map_or("", String::as_str)),
            rest(Some(100.0 * point.volumetric_efficiency), 0),
            spark(point),
            manner.text(&rest(knock_margin(point).map(f64::to_degrees), 0)),
            rest(peak, 0),
        ]);
    }
    let mut text = table.text(2);
    if prediction.points.iter().any(limited_by_knock) {
        text += "  k: knock, not torque, sets the spark\n";
    }
    text + "  margin: from spark to knock limit (- none in reach); peak: in the cylinder\n"
}

fn limited_by_knock(point: &Point) -> bool {
    point.cylinders.iter().any(|cylinder| cylinder.knock_limited)
}

fn spark(point: &Point) -> String {
    let degrees = point.mean(|cylinder| cylinder.spark_advance).to_degrees();
    let mark = if limited_by_knock(point) { "k" } else { " " };
    format!("{}{mark}", plain_number(degrees, 0))
}

/// A number without ± to three figures.
fn three_figures(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let step = 10_f64.powi(value.abs().log10().floor() as i32 - 2);
    (value / step).round() * step
}

fn column(
    values: &[f64],
    plus_minus: Option<&[f64]>,
    quantity: Quantity,
    manner: &Manner,
) -> Vec<String> {
    let unit = manner.unit(quantity);
    let shown: Vec<f64> = values.iter().map(|si| unit.from_si(*si)).collect();
    let pm: Vec<Option<f64>> =
        plus_minus.unwrap_or_default().iter().map(|si| Some(unit.span_from_si(*si))).collect();
    plus_minus_column(&shown, &pm)
}
