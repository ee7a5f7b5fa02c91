//! Crowds: every pull thin and grey, over them the tint that holds most of them.

use super::panel::Panel;
use super::pen::{Pen, Stroke, polyline};
use crate::chart::Axis;
use crate::crowd::Crowd;
use shortblock_curve::Quantity;
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;

/// The thin lines of all crowds, then their tints; the middles are curves like any other.
pub(crate) fn draw(pen: &mut Pen, crowds: &[Crowd], axis: &Axis, panel: &Panel) {
    let grey = thin(pen);
    for member in crowds.iter().flat_map(|crowd| &crowd.members) {
        let points = member.speed().iter().zip(member.column(axis.quantity));
        let at = |(speed, value): (&f64, &f64)| at(axis, panel, *speed, *value);
        pen.path(&polyline(points.map(at)), grey);
    }
    for crowd in crowds {
        tint(pen, crowd, axis, panel);
    }
}

/// Stroke of one pull among many.
pub(crate) fn thin(pen: &Pen) -> Stroke<'static> {
    Stroke::solid(pen.palette.edge, 1.0).faded(0.55)
}

fn at(axis: &Axis, panel: &Panel, speed: f64, value: f64) -> (f64, f64) {
    (panel.frame.x.px(speed / RPM), panel.y.px(value / axis.unit.si))
}

fn tint(pen: &mut Pen, crowd: &Crowd, axis: &Axis, panel: &Panel) {
    let Some(band) = &crowd.band else { return };
    let edge = |speed: f64, torque: f64| match axis.quantity {
        Quantity::Torque => at(axis, panel, speed, torque),
        Quantity::Power => at(axis, panel, speed, torque * speed),
    };
    let upper = band.iter().map(|[speed, _, high]| edge(*speed, *high));
    let lower = band.iter().rev().map(|[speed, low, _]| edge(*speed, *low));
    pen.tint(&(polyline(upper.chain(lower)) + "Z"), crowd.middle.slot());
}
