//! The legend: a piece of each line with its marks and its words.

use super::curves::{THICKEST, THINNEST};
use super::pen::{Pen, Stroke, Text};
use super::{EDGE, WIDTH, marks};
use crate::chart::{Chart, Kind, Series, Slot};
use crate::crowd::Crowd;
use crate::look::text_width;

const SIZE: f64 = 13.5;
const SWATCH: f64 = 46.0;
const ROW: f64 = 24.0;
const GAP: f64 = 26.0;

/// Draws the legend below `from`; returns the y below it.
pub(crate) fn draw(pen: &mut Pen, chart: &Chart, from: f64) -> f64 {
    let (mut x, mut y) = (EDGE, from + 14.0);
    let mut place = |width: f64| {
        if x > EDGE && x + width > WIDTH - EDGE {
            (x, y) = (EDGE, y + ROW);
        }
        let at = (x, y);
        x += width + GAP;
        at
    };
    if let Some(family) = &chart.family {
        let (first, last) = (family.members.first(), family.members.last());
        if let (Some(first), Some(last)) = (first, last) {
            let words = format!(
                "{}: {} (thin) to {} (thick), {}",
                family.varied,
                first.label(),
                last.label(),
                first.kind().word()
            );
            let (x, y) = place(SWATCH + 8.0 + text_width(&words, SIZE));
            fan(pen, first, x, y);
            pen.text(Text::new(x + SWATCH + 8.0, y + 5.0, SIZE, &words));
        }
    }
    for crowd in &chart.crowds {
        let label = text_width(crowd.middle.label(), SIZE) + 8.0;
        let words = crowd.words();
        let (x, y) = place(SWATCH + 8.0 + label + text_width(&words, SIZE));
        crowd_swatch(pen, crowd, x, y);
        pen.text(Text::new(x + SWATCH + 8.0, y + 5.0, SIZE, crowd.middle.label()).bold());
        pen.text(Text::new(x + SWATCH + 8.0 + label, y + 5.0, SIZE, &words).quiet());
    }
    for series in &chart.series {
        let label = text_width(series.label(), SIZE) + 8.0;
        let kind = series.kind().word();
        let (x, y) = place(SWATCH + 8.0 + label + text_width(kind, SIZE));
        swatch(pen, series, x, y);
        pen.text(Text::new(x + SWATCH + 8.0, y + 5.0, SIZE, series.label()).bold());
        pen.text(Text::new(x + SWATCH + 8.0 + label, y + 5.0, SIZE, kind).quiet());
    }
    y + 10.0
}

fn swatch(pen: &mut Pen, series: &Series, x: f64, y: f64) {
    let box_ = format!("M{x:.1} {:.1}h{SWATCH}v16h-{SWATCH}Z", y - 8.0);
    let (kind, slot) = (series.kind(), series.slot());
    if has_band(series) {
        match kind {
            Kind::Predicted => pen.hatch(&box_, slot),
            Kind::Measured => pen.tint(&box_, slot),
        }
    }
    let stroke = marks::line(pen, kind, slot);
    pen.path(&format!("M{x:.1} {y:.1}h{SWATCH}"), stroke);
    marks::mark(pen, kind, slot, x + 0.5 * SWATCH, y);
}

fn crowd_swatch(pen: &mut Pen, crowd: &Crowd, x: f64, y: f64) {
    if crowd.band.is_some() {
        let d = format!("M{x:.1} {:.1}h{SWATCH}v16h-{SWATCH}Z", y - 8.0);
        pen.tint(&d, crowd.middle.slot());
    }
    for aside in [-5.0, 5.0] {
        pen.path(&format!("M{x:.1} {:.1}h{SWATCH}", y + aside), super::crowd::thin(pen));
    }
    swatch(pen, &crowd.middle, x, y);
}

fn has_band(series: &Series) -> bool {
    let probe = crate::chart::Axis::torque(crate::chart::Unit::new("N·m", 1.0));
    series.points_rpm().first().is_some_and(|&rpm| series.plus_minus_at(&probe, rpm).is_some())
}

/// Three strokes from thin to thick.
fn fan(pen: &mut Pen, series: &Series, x: f64, y: f64) {
    let slot: Slot = series.slot();
    for (i, width) in [THINNEST, 0.5 * (THINNEST + THICKEST), THICKEST].into_iter().enumerate() {
        let stroke = Stroke { width, ..marks::line(pen, series.kind(), slot) };
        pen.path(&format!("M{x:.1} {:.1}h{SWATCH}", y + 6.0 * (1.0 - i as f64)), stroke);
    }
}
