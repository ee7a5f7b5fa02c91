//! Panels: where numbers fall on the page, grid and tick labels.

use super::pen::{Pen, Stroke, Text};
use crate::chart::{Axis, Chart, DifferenceSeries};
use crate::number::plain_number;
use crate::ticks::{multiples, places, round_step};

const TICK_SIZE: f64 = 13.0;
const STRIP: f64 = 30.0;
const ONE_PANEL: f64 = 290.0;
const PANEL: f64 = 205.0;
const DIFFERENCE_PANEL: f64 = 120.0;
/// Least distance of grid lines, px.
const LEAST_ACROSS: f64 = 64.0;
const LEAST_UP: f64 = 34.0;
/// Room above and below the data, share of its span.
const ROOM: f64 = 0.07;
/// Half the height of a tick label, px: no tick nearer to the edge of its panel.
const HALF_LABEL: f64 = 6.0;

/// A straight scale from numbers to px.
#[derive(Clone, Copy)]
pub(crate) struct Scale {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
}

impl Scale {
    pub fn px(&self, value: f64) -> f64 {
        self.from + (value - self.low) / (self.high - self.low) * (self.to - self.from)
    }

    fn ticks(&self, least_px: f64) -> (Vec<f64>, usize) {
        let per_px = (self.high - self.low) / (self.to - self.from).abs();
        let step = round_step(per_px * least_px);
        (multiples(self.low, self.high, step), places(step))
    }
}

/// The axis of engine speed that all panels share.
pub(crate) struct Frame {
    pub left: f64,
    pub right: f64,
    pub x: Scale,
    one_panel: bool,
}

impl Frame {
    pub fn of(chart: &Chart, left: f64, right: f64) -> Self {
        let speeds = chart.all_series().flat_map(|series| series.points_rpm());
        let of_difference = chart.differences.iter().flat_map(|d| d.points.iter().map(|p| p.0));
        let of_crowds = chart.crowds.iter().flat_map(|crowd| crowd.speeds_rpm());
        let (low, high) =
            span(speeds.chain(of_difference).chain(of_crowds)).unwrap_or((0.0, 1000.0));
        let room = 0.015 * (high - low).max(100.0);
        let x = Scale { low: low - room, high: high + room, from: left, to: right };
        let one_panel = chart.axes.len() == 1 && chart.differences.is_empty();
        Self { left, right, x, one_panel }
    }

    /// Tick labels under the lowest panel; returns the y below them.
    pub fn speed_labels(&self, pen: &mut Pen, bottom: f64) -> f64 {
        let (ticks, places) = self.x.ticks(LEAST_ACROSS);
        let base = bottom + 19.0;
        for tick in ticks {
            let text = plain_number(tick, places);
            pen.text(Text::new(self.x.px(tick), base, TICK_SIZE, &text).anchor("middle").quiet());
        }
        let title = "engine speed, rpm";
        pen.text(Text::new(self.right, base + 19.0, TICK_SIZE, title).anchor("end").bold());
        base + 19.0
    }
}

/// One panel.
pub(crate) struct Panel<'a> {
    pub frame: &'a Frame,
    pub top: f64,
    pub bottom: f64,
    pub y: Scale,
    title: String,
}

impl<'a> Panel<'a> {
    /// Panel of one quantity below `from`.
    pub fn of_axis(chart: &Chart, axis: &Axis, frame: &'a Frame, from: f64) -> Self {
        let of_series = chart.all_series().flat_map(|series| {
            series.points_rpm().into_iter().filter_map(move |rpm| {
                let pm = series.plus_minus_at(axis, rpm).unwrap_or(0.0);
                series.at(axis, rpm).map(|v| [v - pm, v + pm])
            })
        });
        let goals = chart.goals.iter().filter(|g| g.quantity == axis.quantity);
        let of_crowds = chart.crowds.iter().flat_map(|crowd| crowd.values(axis.quantity));
        let of_crowds = of_crowds.map(|value| value / axis.unit.si);
        let values =
            of_series.flatten().chain(of_crowds).chain(goals.map(|g| g.value / axis.unit.si));
        let height = if frame.one_panel { ONE_PANEL } else { PANEL };
        let name = if axis.name() == "torque" { "Torque" } else { "Power" };
        let title = format!("{name}, {}", axis.unit.symbol);
        Self::with(frame, from, height, title, span(values).unwrap_or((0.0, 1.0)))
    }

    /// Panel of a difference below `from`; zero is always in it.
    pub fn of_difference(difference: &DifferenceSeries, frame: &'a Frame, from: f64) -> Self {
        let values = difference.points.iter().flat_map(|&(_, v, pm)| {
            let pm = pm.unwrap_or(0.0);
            [v - pm, v + pm, 0.0]
        });
        let axis = &difference.axis;
        let title = format!("{}: {}, {}", difference.label, axis.name(), axis.unit.symbol);
        Self::with(frame, from, DIFFERENCE_PANEL, title, span(values).unwrap_or((-1.0, 1.0)))
    }

    fn with(frame: &'a Frame, from: f64, height: f64, title: String, data: (f64, f64)) -> Self {
        let (top, bottom) = (from + STRIP, from + STRIP + height);
        let widest = data.0.abs().max(data.1.abs()).max(1e-9);
        let room = ROOM * (data.1 - data.0).max(0.02 * widest);
        let y = Scale { low: data.0 - room, high: data.1 + room, from: bottom, to: top };
        Self { frame, top, bottom, y, title }
    }

    /// Heading, grid lines, frame and the numbers at the left.
    pub fn grid(&self, pen: &mut Pen) {
        let frame = self.frame;
        let rule = Stroke::solid(pen.palette.rule, 1.0);
        pen.text(Text::new(frame.left, self.top - 9.0, 13.5, &self.title).bold());
        let (ticks, places) = self.y.ticks(LEAST_UP);
        for tick in ticks {
            let y = self.y.px(tick);
            if y < self.top + HALF_LABEL || y > self.bottom - HALF_LABEL {
                continue;
            }
            pen.path(&format!("M{:.1} {y:.1}H{:.1}", frame.left, frame.right), rule.faded(0.55));
            let text = plain_number(tick, places);
            pen.text(Text::new(frame.left - 8.0, y + 4.7, TICK_SIZE, &text).anchor("end").quiet());
        }
        for tick in frame.x.ticks(LEAST_ACROSS).0 {
            let d = format!("M{:.1} {:.1}V{:.1}", frame.x.px(tick), self.top, self.bottom);
            pen.path(&d, rule.faded(0.35));
        }
        let corner =
            format!("M{:.1} {:.1}V{:.1}H{:.1}", frame.left, self.top, self.bottom, frame.right);
        pen.path(&corner, Stroke::solid(pen.palette.edge, 1.6));
    }
}

/// Least and greatest of the finite values.
fn span(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    values.filter(|v| v.is_finite()).fold(None, |span, v| match span {
        None => Some((v, v)),
        Some((low, high)) => Some((v.min(low), v.max(high))),
    })
}
