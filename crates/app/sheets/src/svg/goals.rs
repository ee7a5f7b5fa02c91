//! Goals: dots and the word, placed where no curve runs.

use super::curves::drawn_at;
use super::panel::Panel;
use super::pen::{Pen, Stroke, Text};
use crate::chart::{Axis, Chart, Goal};
use crate::look::text_width;
use crate::number::{plain_number, read_rpm};

const SIZE: f64 = 13.0;
/// Half length of the dots of a goal at one speed, rpm.
const REACH_RPM: f64 = 300.0;
/// Room around words, px.
const CLEAR: f64 = 4.0;

/// An upright slice of the page that is taken: x, top, bottom.
type Slice = (f64, f64, f64);

#[derive(Clone, Copy)]
struct Rect {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

impl Rect {
    fn is_clear_of(&self, slices: &[Slice]) -> bool {
        slices.iter().all(|&(x, top, bottom)| {
            x < self.left - CLEAR
                || x > self.right + CLEAR
                || bottom < self.top - CLEAR
                || top > self.bottom + CLEAR
        })
    }

    /// Gap to the dots, sideways and upright; words that begin with the dots win a draw.
    fn distance(&self, dots: (f64, f64), y: f64) -> f64 {
        let aside = (self.left - dots.1).max(dots.0 - self.right).max(0.0);
        let away = (self.top - y).max(y - self.bottom).max(0.0);
        aside.hypot(away) + 0.01 * (self.left - dots.0).abs()
    }

    fn slices(&self) -> impl Iterator<Item = Slice> + use<> {
        let (top, bottom) = (self.top, self.bottom);
        steps(self.left, self.right).map(move |x| (x, top, bottom))
    }
}

/// Dots and words of every goal of `axis`.
pub(crate) fn draw(pen: &mut Pen, chart: &Chart, axis: &Axis, panel: &Panel) {
    let goals: Vec<&Goal> =
        chart.goals.iter().filter(|goal| goal.quantity == axis.quantity).collect();
    let mut taken = taken_by_curves(chart, axis, panel);
    for goal in &goals {
        let (from, to) = reach(goal, panel);
        let y = panel.y.px(goal.value / axis.unit.si);
        taken.extend(steps(from, to).map(|x| (x, y - 1.0, y + 1.0)));
        let stroke = Stroke::solid(pen.palette.ink, 2.4).dashed("2 4");
        pen.path(&format!("M{from:.1} {y:.1}H{to:.1}"), stroke);
    }
    for goal in goals {
        let words = words(goal, axis);
        let y = panel.y.px(goal.value / axis.unit.si);
        let rect = free_place(reach(goal, panel), y, text_width(&words, SIZE), panel, &taken);
        taken.extend(rect.slices());
        pen.text(Text::new(rect.left, rect.bottom - 2.0, SIZE, &words));
    }
}

fn words(goal: &Goal, axis: &Axis) -> String {
    let value = plain_number(goal.value / axis.unit.si, 0);
    let at = goal.rpm().map_or(String::new(), |rpm| format!(" at {}", read_rpm(rpm)));
    format!("goal {value} {}{at}", axis.unit.symbol)
}

fn reach(goal: &Goal, panel: &Panel) -> (f64, f64) {
    let (left, right) = (panel.frame.left, panel.frame.right);
    let px = |n| panel.frame.x.px(n).clamp(left, right);
    match goal.rpm() {
        Some(rpm) => (px(rpm - REACH_RPM), px(rpm + REACH_RPM)),
        None => {
            let [from, to] = goal.range_rpm();
            (from.map_or(left, px), to.map_or(right, px))
        }
    }
}

/// The place nearest to the dots that no curve, band or word has taken; the
/// place over the dots when there is none.
fn free_place(dots: (f64, f64), y: f64, width: f64, panel: &Panel, taken: &[Slice]) -> Rect {
    let rect = |left: f64, bottom: f64| {
        let last = (panel.frame.right - width - 4.0).max(panel.frame.left + 6.0);
        let left = left.clamp(panel.frame.left + 6.0, last);
        Rect { left, top: bottom - SIZE, right: left + width, bottom }
    };
    let lefts = steps(dots.0 - 1.5 * width, dots.1 + 0.5 * width);
    let free = lefts
        .flat_map(|left| (0..24).map(move |i| (left, y - 90.0 + 8.0 * f64::from(i))))
        .chain([(dots.0 + 6.0, y - 6.0), (dots.0 + 6.0, y + 6.0 + SIZE)])
        .map(|(left, bottom)| rect(left, bottom))
        .filter(|r| r.top > panel.top + 1.0 && r.bottom < panel.bottom - 2.0)
        .filter(|r| r.is_clear_of(taken))
        .min_by(|a, b| a.distance(dots, y).total_cmp(&b.distance(dots, y)));
    free.unwrap_or_else(|| rect(dots.0, y - 6.0))
}

fn taken_by_curves(chart: &Chart, axis: &Axis, panel: &Panel) -> Vec<Slice> {
    let slices = chart.all_series().flat_map(|series| {
        drawn_at(series).into_iter().filter_map(move |rpm| {
            let value = series.at(axis, rpm)?;
            let pm = series.plus_minus_at(axis, rpm).unwrap_or(0.0);
            // Marks reach a little beyond the line.
            let (top, bottom) = (panel.y.px(value + pm) - 5.0, panel.y.px(value - pm) + 5.0);
            Some((panel.frame.x.px(rpm), top, bottom))
        })
    });
    slices.collect()
}

fn steps(from: f64, to: f64) -> impl Iterator<Item = f64> {
    (0..).map(move |i| from + 4.0 * f64::from(i)).take_while(move |&x| x <= to)
}
