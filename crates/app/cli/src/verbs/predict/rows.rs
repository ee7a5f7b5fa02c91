//! Predictions as CSV: one row a speed; every heading says its unit.

use super::{Answer, One};
use crate::figures::FIGURES;
use crate::json::clean;
use crate::manner::Manner;
use crate::text::csv_row;
use shortblock_curve::{DifferencePoint, Quantity as Column};
use shortblock_plan::BuildDifference;
use shortblock_units::{Origin, Quantity};

const COLUMNS: [(&str, Column, Quantity); 2] =
    [("torque", Column::Torque, Quantity::Torque), ("power", Column::Power, Quantity::Power)];

/// The rows of every build; of several, each row begins with its letter and file, and ends with the
/// difference to the first.
pub fn csv(answer: &Answer, manner: &Manner) -> String {
    let several = !answer.others.is_empty();
    let mut out = csv_row(&headings(several, manner));
    let differences =
        std::iter::once(None).chain(answer.others.iter().map(|o| Some(&o.difference)));
    for (one, difference) in answer.each().zip(differences) {
        for i in 0..one.prediction.points.len() {
            let mut cells = row(&one, i, manner);
            if several {
                cells.splice(0..0, [one.letter.to_string(), one.subject.opened.name.clone()]);
                cells.extend(less(difference, one.prediction.points[i].speed, manner));
            }
            out += &csv_row(&cells);
        }
    }
    out
}

fn headings(several: bool, manner: &Manner) -> Vec<String> {
    let symbol = |quantity| manner.unit(quantity).symbol;
    let pair = |word: &str, of: Quantity| {
        [format!("{word} {}", symbol(of)), format!("{word} ± {}", symbol(of))]
    };
    let mut all = vec![format!("speed {}", symbol(Quantity::EngineSpeed))];
    all.extend(COLUMNS.iter().flat_map(|(word, _, of)| pair(word, *of)));
    all.push("kind".to_owned());
    all.extend(FIGURES.iter().map(|figure| {
        format!("{} {}", figure.key.replace('_', " "), symbol(figure.quantity)).trim().to_owned()
    }));
    if several {
        all.splice(0..0, ["build".to_owned(), "file".to_owned()]);
        let less =
            COLUMNS.iter().flat_map(|(word, _, of)| pair(&format!("{word} less first"), *of));
        all.extend(less);
    }
    all
}

fn cell(number: Option<f64>) -> String {
    number.map_or(String::new(), |n| clean(n).to_string())
}

/// One speed of a build.
fn row(one: &One, i: usize, manner: &Manner) -> Vec<String> {
    let (curve, point) = (&one.prediction.curve, &one.prediction.points[i]);
    let mut cells = vec![cell(Some(manner.unit(Quantity::EngineSpeed).from_si(point.speed)))];
    for (_, column, of) in COLUMNS {
        let unit = manner.unit(of);
        let pm = curve.plus_minus(column).and_then(|all| all.get(i));
        cells.push(cell(curve.column(column).get(i).map(|si| unit.from_si(*si))));
        cells.push(cell(pm.map(|si| unit.span_from_si(*si))));
    }
    cells.push(Origin::Predicted.key().to_owned());
    cells.extend(FIGURES.iter().map(|figure| {
        let unit = manner.unit(figure.quantity);
        cell((figure.of)(point).map(|si| unit.from_si(si)))
    }));
    cells
}

/// A difference of torque and power at a speed, each with its ±; empty where there is none.
pub fn less(difference: Option<&BuildDifference>, speed: f64, manner: &Manner) -> [String; 4] {
    let points = difference.map(|d| d.curve.points()).unwrap_or_default();
    let point: Option<&DifferencePoint> = points.iter().find(|point| point.speed == speed);
    let in_unit =
        |si: Option<f64>, of: Quantity| cell(si.map(|si| manner.unit(of).span_from_si(si)));
    [
        in_unit(point.map(|p| p.torque), Quantity::Torque),
        in_unit(point.and_then(|p| p.torque_plus_minus), Quantity::Torque),
        in_unit(point.map(|p| p.power), Quantity::Power),
        in_unit(point.and_then(|p| p.power_plus_minus), Quantity::Power),
    ]
}
