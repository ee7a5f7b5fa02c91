//! The sentence that says what a chart shows.

use crate::chart::{Axis, Chart, DifferenceSeries, Series};
use crate::number::{plain_number, quantity_text, read_rpm};

/// Peaks of every curve and the ends of the difference, as sentences.
pub(crate) fn sentence(chart: &Chart) -> String {
    let mut parts: Vec<String> = Vec::new();
    if let Some(family) = &chart.family {
        parts.push(format!("{} curves over {}.", family.members.len(), family.varied));
    }
    parts.extend(chart.crowds.iter().map(|crowd| {
        format!("{} pulls of {}; their middle is given.", crowd.members.len(), crowd.middle.label())
    }));
    parts.extend(chart.all_series().map(|series| peaks(series, &chart.axes)));
    parts.extend(chart.goals.iter().flat_map(|goal| {
        chart.axes.iter().filter(|axis| axis.quantity == goal.quantity).map(|axis| {
            let at = goal.rpm().map_or(String::new(), |n| format!(" at {} rpm", read_rpm(n)));
            let value = plain_number(goal.value / axis.unit.si, 0);
            format!("Goal: {value} {}{at}.", axis.unit.symbol)
        })
    }));
    parts.extend(chart.differences.iter().filter_map(difference));
    parts.join(" ")
}

fn peaks(series: &Series, axes: &[Axis]) -> String {
    let bests: Vec<String> = axes
        .iter()
        .map(|axis| {
            let (rpm, value, pm) = series.peak(axis);
            let value = quantity_text(value, pm, &axis.unit.symbol);
            format!("best {} {value} at {} rpm", axis.name(), read_rpm(rpm))
        })
        .collect();
    format!("{}, {}: {}.", series.label(), series.kind().word(), bests.join(", "))
}

fn difference(difference: &DifferenceSeries) -> Option<String> {
    let by_value = |a: &&(f64, f64, _), b: &&(f64, f64, _)| a.1.total_cmp(&b.1);
    let (low, high) =
        (difference.points.iter().min_by(by_value)?, difference.points.iter().max_by(by_value)?);
    Some(format!(
        "{}: from {} {unit} at {} rpm to {} {unit} at {} rpm.",
        difference.label,
        plain_number(low.1, 1),
        read_rpm(low.0),
        plain_number(high.1, 1),
        read_rpm(high.0),
        unit = difference.axis.unit.symbol,
    ))
}
