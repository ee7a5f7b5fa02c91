//! Curves and bands inside a panel.

use super::marks;
use super::panel::Panel;
use super::pen::{Pen, Stroke, polyline};
use crate::chart::{Axis, Chart, DifferenceSeries, Family, Kind, Series};

/// Step of drawing between the points of a curve, rpm.
const DRAWN_EVERY_RPM: f64 = 25.0;
/// Distance of the marks along a curve, rpm.
const MARKS_EVERY_RPM: f64 = 500.0;
/// A measured curve with points nearer than this gets marks at round speeds.
const SPARSE_RPM: f64 = 200.0;
/// Widths of the first and the last curve of a family, px.
pub(crate) const THINNEST: f64 = 1.0;
pub(crate) const THICKEST: f64 = 2.8;

/// All curves of `axis`: bands, then lines, then marks, so that no band hides a line.
pub(crate) fn draw(pen: &mut Pen, chart: &Chart, axis: &Axis, panel: &Panel) {
    for series in chart.single() {
        band(pen, series, axis, panel);
    }
    if let Some(family) = &chart.family {
        members(pen, family, axis, panel);
    }
    for series in chart.single() {
        let stroke = marks::line(pen, series.kind(), series.slot());
        pen.path(&path(series, axis, panel), stroke);
    }
    for series in chart.single() {
        for rpm in marks_at(series) {
            if let Some(value) = series.at(axis, rpm) {
                let (x, y) = (panel.frame.x.px(rpm), panel.y.px(value));
                marks::mark(pen, series.kind(), series.slot(), x, y);
            }
        }
    }
}

/// The family, from thin to thick.
fn members(pen: &mut Pen, family: &Family, axis: &Axis, panel: &Panel) {
    let last = family.members.len().saturating_sub(1).max(1);
    for (i, series) in family.members.iter().enumerate() {
        let width = THINNEST + (THICKEST - THINNEST) * i as f64 / last as f64;
        let width = (width * 100.0).round() / 100.0;
        let stroke = Stroke { width, ..marks::line(pen, series.kind(), series.slot()) };
        pen.path(&path(series, axis, panel), stroke);
    }
}

/// A difference: zero line, band, line.
pub(crate) fn draw_difference(pen: &mut Pen, difference: &DifferenceSeries, panel: &Panel) {
    let zero = panel.y.px(0.0);
    let at = |rpm: f64, value: f64| (panel.frame.x.px(rpm), panel.y.px(value));
    let known: Option<Vec<_>> =
        difference.points.iter().map(|&(n, v, pm)| pm.map(|pm| (n, v, pm))).collect();
    if let Some(points) = known {
        let lower = points.iter().map(|&(n, v, pm)| at(n, v - pm));
        let upper = points.iter().rev().map(|&(n, v, pm)| at(n, v + pm));
        let d = polyline(lower.chain(upper)) + "Z";
        if difference.measured {
            pen.tint(&d, difference.slot);
        } else {
            pen.hatch(&d, difference.slot);
        }
    }
    let across = format!("M{:.1} {zero:.1}H{:.1}", panel.frame.left, panel.frame.right);
    pen.path(&across, Stroke::solid(pen.palette.ink, 2.0));
    let kind = if difference.measured { Kind::Measured } else { Kind::Predicted };
    let stroke = marks::line(pen, kind, difference.slot);
    pen.path(&polyline(difference.points.iter().map(|&(n, v, _)| at(n, v))), stroke);
}

fn band(pen: &mut Pen, series: &Series, axis: &Axis, panel: &Panel) {
    let edges: Vec<_> = drawn_at(series)
        .into_iter()
        .filter_map(|rpm| Some((rpm, series.at(axis, rpm)?, series.plus_minus_at(axis, rpm)?)))
        .collect();
    if edges.len() < 2 {
        return;
    }
    let at = |rpm: f64, value: f64| (panel.frame.x.px(rpm), panel.y.px(value));
    let upper = edges.iter().map(|&(n, v, pm)| at(n, v + pm));
    let lower = edges.iter().rev().map(|&(n, v, pm)| at(n, v - pm));
    let d = polyline(upper.chain(lower)) + "Z";
    match series.kind() {
        Kind::Measured => pen.tint(&d, series.slot()),
        Kind::Predicted => pen.hatch(&d, series.slot()),
    }
}

fn path(series: &Series, axis: &Axis, panel: &Panel) -> String {
    polyline(drawn_at(series).into_iter().filter_map(|rpm| {
        series.at(axis, rpm).map(|value| (panel.frame.x.px(rpm), panel.y.px(value)))
    }))
}

/// Speeds at which a curve is drawn: its points and steps between them.
pub(crate) fn drawn_at(series: &Series) -> Vec<f64> {
    let points = series.points_rpm();
    let mut out = Vec::new();
    for pair in points.windows(2) {
        let steps = ((pair[1] - pair[0]) / DRAWN_EVERY_RPM).round().clamp(1.0, 400.0);
        out.extend((0..steps as usize).map(|i| pair[0] + (pair[1] - pair[0]) * i as f64 / steps));
    }
    out.extend(points.last());
    out
}

/// Speeds of the marks: round ones for a prediction or a dense measurement
/// (shifted, so that no mark hides another), the points themselves else.
fn marks_at(series: &Series) -> Vec<f64> {
    let points = series.points_rpm();
    let (low, high) = (points[0], points[points.len() - 1]);
    let sparse = points.len() < 2 || (high - low) / (points.len() - 1) as f64 >= SPARSE_RPM;
    let shift = match series.kind() {
        Kind::Measured if sparse => return points,
        Kind::Measured => 250.0 + 125.0 * series.slot().index() as f64,
        Kind::Predicted if points.len() < 2 => return points,
        Kind::Predicted => 0.0,
    };
    crate::ticks::multiples(low - shift, high - shift, MARKS_EVERY_RPM)
        .into_iter()
        .map(|rpm| rpm + shift)
        .filter(|&rpm| rpm >= low && rpm <= high)
        .collect()
}
