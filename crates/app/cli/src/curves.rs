//! Measured curves as rows of CSV and as JSON.

use crate::json::clean;
use crate::manner::Manner;
use crate::text::csv_row;
use serde_json::{Value as Json, json};
use shortblock_curve::{Curve, Measured};
use shortblock_units::{Origin, Quantity};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;

/// A measured curve and what it is.
pub struct Shown<'a> {
    /// The curve.
    pub curve: &'a Curve<Measured>,
    /// What its torque and power are: "as read", "corrected to ...".
    pub word: &'a str,
    /// True at the wheels, where power is measured and torque is that of a gear: it is left out.
    pub at_wheels: bool,
}

/// The heading of rows that begin with two cells of the caller's.
pub fn csv_heading(first: [&str; 2], manner: &Manner) -> String {
    let (torque, power) = (manner.unit(Quantity::Torque), manner.unit(Quantity::Power));
    let units = [format!("torque {}", torque.symbol), format!("power {}", power.symbol)];
    let [torque, power] = units.each_ref().map(String::as_str);
    csv_row(&[first[0], first[1], "speed rpm", torque, power, "torque is", "kind"])
}

impl Shown<'_> {
    /// A row for each point, beginning with two cells of the caller's.
    pub fn csv(&self, first: [&str; 2], manner: &Manner) -> String {
        let (torque, power) = (manner.unit(Quantity::Torque), manner.unit(Quantity::Power));
        let curve = self.curve;
        let points = curve.speed().iter().zip(curve.torque()).zip(curve.power());
        let row = |((speed, t), p): ((&f64, &f64), &f64)| {
            let t = clean(torque.from_si(*t)).to_string();
            csv_row(&[
                first[0],
                first[1],
                &clean(speed / RPM).to_string(),
                if self.at_wheels { "" } else { &t },
                &clean(power.from_si(*p)).to_string(),
                self.word,
                Origin::Measured.key(),
            ])
        };
        points.map(row).collect()
    }

    /// One array a column.
    pub fn json(&self, manner: &Manner) -> Json {
        let (torque, power) = (manner.unit(Quantity::Torque), manner.unit(Quantity::Power));
        let list = |values: &[f64], unit: &shortblock_units::Unit| -> Vec<f64> {
            values.iter().map(|v| clean(unit.from_si(*v))).collect()
        };
        let rpm: Vec<f64> = self.curve.speed().iter().map(|w| clean(w / RPM)).collect();
        let torques = json!({ "unit": torque.symbol, "values": list(self.curve.torque(), torque) });
        json!({
            "kind": Origin::Measured.key(), "torque_is": self.word, "power_is": self.word,
            "speed": { "unit": "rpm", "values": rpm },
            "torque": (!self.at_wheels).then_some(torques),
            "power": { "unit": power.symbol, "values": list(self.curve.power(), power) },
        })
    }
}
