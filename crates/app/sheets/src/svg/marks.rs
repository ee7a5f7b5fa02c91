//! Line styles and marks: what tells builds and kinds apart without colour.

use super::pen::{Pen, Stroke};
use crate::chart::{Kind, Slot};

/// Stroke of a curve.
pub(crate) fn line(pen: &Pen, kind: Kind, slot: Slot) -> Stroke<'static> {
    let colour = pen.palette.slot(slot);
    match (kind, slot) {
        (Kind::Predicted, _) => Stroke::solid(colour, 2.6).dashed("10 6"),
        (Kind::Measured, Slot::A | Slot::B) => Stroke::solid(colour, 2.75),
        (Kind::Measured, Slot::C) => Stroke::solid(colour, 2.75).dashed("14 5"),
        (Kind::Measured, Slot::D) => {
            Stroke { round: true, ..Stroke::solid(colour, 2.75).dashed("0.1 6") }
        }
    }
}

/// Mark of a curve at (`x`, `y`): open for predicted, filled for measured.
pub(crate) fn mark(pen: &mut Pen, kind: Kind, slot: Slot, x: f64, y: f64) {
    match kind {
        Kind::Predicted => diamond(pen, slot, x, y),
        Kind::Measured => filled(pen, slot, x, y),
    }
}

/// An open diamond; from the second build on with a sign inside.
fn diamond(pen: &mut Pen, slot: Slot, x: f64, y: f64) {
    let colour = pen.palette.slot(slot);
    let d = format!("M{x:.1} {:.1}l5.5 5.5-5.5 5.5-5.5-5.5Z", y - 5.5);
    pen.shape(&d, pen.palette.surface, Some(Stroke::solid(colour, 2.0)));
    let sign = match slot {
        Slot::A => return,
        Slot::B => format!("M{:.1} {y:.1}h3", x - 1.5),
        Slot::C => format!("M{:.1} {y:.1}h9", x - 4.5),
        Slot::D => format!("M{x:.1} {:.1}v9", y - 4.5),
    };
    let width = if slot == Slot::B { 3.0 } else { 1.6 };
    pen.path(&sign, Stroke::solid(colour, width));
}

fn filled(pen: &mut Pen, slot: Slot, x: f64, y: f64) {
    let colour = pen.palette.slot(slot);
    let d = match slot {
        Slot::A => format!("M{:.1} {:.1}h9v9h-9Z", x - 4.5, y - 4.5),
        Slot::B => format!("M{:.1} {y:.1}a5 5 0 1 1 10 0a5 5 0 1 1 -10 0Z", x - 5.0),
        Slot::C => format!("M{x:.1} {:.1}l5.5 9.5h-11Z", y - 6.0),
        Slot::D => {
            let d = format!("M{:.1} {:.1}l9 9m0-9l-9 9", x - 4.5, y - 4.5);
            return pen.path(&d, Stroke::solid(colour, 2.4));
        }
    };
    pen.shape(&d, colour, Some(Stroke::solid(pen.palette.surface, 1.0)));
}
