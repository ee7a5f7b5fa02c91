//! Names at the right end of the curves, in a margin of their own.

use super::panel::Panel;
use super::pen::{Pen, Stroke, Text};
use crate::chart::{Axis, Chart, Series};
use crate::look::text_width;

const SIZE: f64 = 13.0;
const FAMILY_SIZE: f64 = 12.0;
/// Labels wider than this stand in the legend only, px.
const WIDEST: f64 = 120.0;
const LEADER: f64 = 16.0;
const LINE: f64 = 14.0;

/// Width of the margin, px.
pub(crate) fn margin(chart: &Chart) -> f64 {
    let widest = labelled(chart).map(|(s, size)| text_width(s.label(), size)).fold(0.0, f64::max);
    if widest > 0.0 { widest + LEADER + 4.0 } else { 0.0 }
}

/// Labels beside the ends of the curves, pushed apart, with a leader each.
pub(crate) fn draw(pen: &mut Pen, chart: &Chart, axis: &Axis, panel: &Panel) {
    let mut ends: Vec<(f64, f64, &Series, f64)> = labelled(chart)
        .filter_map(|(series, size)| {
            let rpm = *series.points_rpm().last()?;
            let y = panel.y.px(series.at(axis, rpm)?);
            Some((panel.frame.x.px(rpm), y, series, size))
        })
        .collect();
    ends.sort_by(|a, b| a.1.total_cmp(&b.1));
    let wanted: Vec<f64> = ends.iter().map(|end| end.1).collect();
    let placed = pushed_apart(&wanted, panel.top + 6.0, panel.bottom - 6.0);
    for ((x, y, series, size), at) in ends.into_iter().zip(placed) {
        let text_x = panel.frame.right + LEADER;
        let leader =
            format!("M{:.1} {y:.1}L{:.1} {at:.1}H{:.1}", x + 2.0, text_x - 7.0, text_x - 3.0);
        pen.path(&leader, Stroke::solid(pen.palette.edge, 1.0));
        pen.text(Text::new(text_x, at + 0.36 * size, size, series.label()));
    }
}

/// Curves that get a label: the family's always, others when there are several.
fn labelled(chart: &Chart) -> impl Iterator<Item = (&Series, f64)> {
    let family = chart.family.iter().flat_map(|f| &f.members).map(|s| (s, FAMILY_SIZE));
    let several = chart.all_series().count() > 1;
    let others = chart.single().filter(move |_| several).map(|s| (s, SIZE));
    family.chain(others).filter(|(s, size)| text_width(s.label(), *size) <= WIDEST)
}

/// Sorted positions moved as little as needed to lie `LINE` apart between `low` and `high`.
fn pushed_apart(wanted: &[f64], low: f64, high: f64) -> Vec<f64> {
    let mut at: Vec<f64> = wanted.to_vec();
    for _ in 0..200 {
        for i in 1..at.len() {
            let overlap = LINE - (at[i] - at[i - 1]);
            if overlap > 0.0 {
                at[i - 1] -= 0.5 * overlap;
                at[i] += 0.5 * overlap;
            }
        }
        at.iter_mut().for_each(|y| *y = y.clamp(low, high));
    }
    at
}

#[cfg(test)]
mod tests {
    use super::{LINE, pushed_apart};

    #[test]
    fn labels_keep_their_distance_and_their_order() {
        let at = pushed_apart(&[10.0, 11.0, 12.0, 90.0], 6.0, 100.0);
        assert!(at.windows(2).all(|p| p[1] - p[0] > LINE - 0.01), "{at:?}");
        assert!(at[0] >= 6.0 - 0.01 && at[3] == 90.0, "{at:?}");
        assert_eq!(pushed_apart(&[50.0], 6.0, 100.0), [50.0]);
    }
}
