//! A sweep for programs.

use super::paths;
use crate::asking::Question;
use crate::json::clean;
use crate::manner::Manner;
use crate::text::csv_row;
use crate::verbs::predict::{curves, less, less_first};
use serde_json::{Value as Json, json};
use shortblock_curve::Quantity as Column;
use shortblock_plan::Sweep;
use shortblock_units::{Origin, Quantity};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;

/// One object; each curve with its difference to the build as it stands.
pub fn json(question: &Question, found: &Sweep, manner: &Manner) -> Json {
    let each = found.curves.iter().map(|one| {
        let values: Vec<Json> = one
            .values
            .iter()
            .map(|(path, value)| json!({ "path": path, "value": value }))
            .collect();
        match &one.prediction {
            Err(error) => json!({ "values": values, "not_worked_out": error.to_string() }),
            Ok(prediction) => {
                let mut object = curves(prediction, manner);
                object["values"] = json!(values);
                object["less_base"] = json!(one.less_base.as_ref().map(|d| less_first(d, manner)));
                object
            }
        }
    });
    let all: Vec<Json> = each.collect();
    let base = match &found.base {
        Ok(prediction) => curves(prediction, manner),
        Err(error) => json!({ "not_worked_out": error.to_string() }),
    };
    let file = &question.subject.opened.name;
    json!({ "format": "shortblock/sweep/1", "file": file, "base": base, "curves": all })
}

/// One row a speed of each curve.
pub fn csv(found: &Sweep, manner: &Manner) -> String {
    let unit = |of| manner.unit(of);
    let (torque, power) = (unit(Quantity::Torque), unit(Quantity::Power));
    let mut headings: Vec<String> = paths(&found.curves).into_iter().map(str::to_owned).collect();
    headings.push("speed rpm".to_owned());
    for (word, unit) in [("torque", torque), ("power", power)] {
        headings.extend([format!("{word} {}", unit.symbol), format!("{word} ± {}", unit.symbol)]);
    }
    headings.push("kind".to_owned());
    for (word, unit) in [("torque", torque), ("power", power)] {
        let word = format!("{word} less base");
        headings.extend([format!("{word} {}", unit.symbol), format!("{word} ± {}", unit.symbol)]);
    }
    let mut out = csv_row(&headings);
    for one in &found.curves {
        let Ok(prediction) = &one.prediction else { continue };
        let curve = &prediction.curve;
        for (i, speed) in curve.speed().iter().enumerate() {
            let mut cells: Vec<String> =
                one.values.iter().map(|(_, value)| value.clone()).collect();
            cells.push(clean(speed / RPM).to_string());
            for (column, unit) in [(Column::Torque, torque), (Column::Power, power)] {
                let pm = curve.plus_minus(column).and_then(|all| all.get(i));
                cells.push(clean(unit.from_si(curve.column(column)[i])).to_string());
                let pm = pm.map(|pm| clean(unit.span_from_si(*pm)).to_string());
                cells.push(pm.unwrap_or_default());
            }
            cells.push(Origin::Predicted.key().to_owned());
            cells.extend(less(one.less_base.as_ref(), *speed, manner));
            out += &csv_row(&cells);
        }
    }
    out
}
