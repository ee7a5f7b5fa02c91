//! One clock for all columns: that of the engine speed; slower or faster groups are read at its
//! times, on a straight line between their own rows.

use super::columns::Working;
use super::datum::datum_shift;
use super::finding::Doubt;
use super::scale::Scale;
use crate::channel::Channel;
use crate::log::{Column, Log};
use crate::recording::{Recorded, Recording};
use shortblock_units::{Quantity, unit};

/// Sample steps in this range, s, are usual; outside a time without unit is read in another one.
const STEPS: std::ops::RangeInclusive<f64> = 2.0e-4..=5.0;

/// A clock that steps by less than this many usual steps goes on over a page.
const PAGE: f64 = 3.0;

/// All channels in SI on the clock of the engine speed, or of the first group without one.
pub(crate) fn recording(
    all: &[Working],
    log: &Log,
    speed: Option<usize>,
    barometer: Option<f64>,
    doubts: &mut Vec<Doubt>,
) -> Recording {
    let main = speed.map_or(0, |i| all[i].group);
    let parts = log.groups.get(main).map_or(&[][..], |group| &group.parts);
    let clock = time_of(all, main, parts, doubts);
    let parts = &of_their_own(parts, clock.as_deref());
    let mut recording = Recording { parts: parts.clone(), ..Recording::default() };
    for found in all {
        let (Some(channel), Some(scale)) = (found.channel, found.scale) else {
            keep_unknown(&mut recording, found);
            continue;
        };
        if channel == Channel::Time {
            continue;
        }
        let shift = datum_shift(found, barometer);
        let own = found.values().iter().map(|v| scale.to_si(*v) + shift);
        let values = if found.group == main {
            own.collect()
        } else {
            let own: Vec<f64> = own.collect();
            match (&clock, time_of(all, found.group, &[], doubts)) {
                (Some(clock), Some(time)) => at_times(clock, &time, &own),
                _ => {
                    keep_unknown(&mut recording, found);
                    continue;
                }
            }
        };
        recording.channels.push(Recorded { channel, heading: found.heading().to_owned(), values });
    }
    recording.time = clock.map_or_else(Vec::new, |clock| from_zero(clock, parts));
    recording
}

/// Parts less those that only go on: headings printed again on every page.
fn of_their_own(parts: &[usize], clock: Option<&[f64]>) -> Vec<usize> {
    let Some(clock) = clock else { return parts.to_vec() };
    let mut steps: Vec<f64> = clock.windows(2).map(|w| w[1] - w[0]).filter(|d| *d > 0.0).collect();
    let usual = super::power::median(&mut steps);
    let step = |row: usize| Some(clock.get(row)? - clock.get(row.checked_sub(1)?)?);
    let goes_on = |row: usize| step(row).is_some_and(|step| step > 0.0 && step <= PAGE * usual);
    parts.iter().copied().filter(|row| !goes_on(*row)).collect()
}

/// The same time with every part from 0.
fn from_zero(mut time: Vec<f64>, parts: &[usize]) -> Vec<f64> {
    let ends = parts.iter().copied().chain([time.len()]);
    let mut from = 0;
    for to in ends {
        let Some(part) = time.get_mut(from..to) else { break };
        let start = part.iter().copied().find(|t| t.is_finite()).unwrap_or(0.0);
        part.iter_mut().for_each(|t| *t -= start);
        from = to;
    }
    time
}

fn keep_unknown(recording: &mut Recording, found: &Working) {
    let Column { name, unit, values } = found.source;
    recording.unknown.push(Column {
        name: name.clone(),
        unit: unit.clone(),
        values: values.clone(),
    });
}

/// Time of a group in s, or `None` without a column of it that rises within each part.
fn time_of(
    all: &[Working],
    group: usize,
    parts: &[usize],
    doubts: &mut Vec<Doubt>,
) -> Option<Vec<f64>> {
    let found = all.iter().find(|f| f.group == group && f.channel == Some(Channel::Time))?;
    let scale = found.scale?;
    let time: Vec<f64> = found.values().iter().map(|v| scale.to_si(*v)).collect();
    let steps = time
        .windows(2)
        .zip(1..)
        .filter(|(w, row)| w[0].is_finite() && w[1].is_finite() && !parts.contains(row));
    let back = steps.filter(|(w, _)| w[1] < w[0]).count();
    if back * 20 > time.len() {
        let question = "this time runs backwards too often to be a clock; the log is read without \
                        a time"
            .to_owned();
        doubts.push(Doubt { heading: found.heading().to_owned(), question });
        return None;
    }
    Some(spread(time, parts))
}

/// A clock that is coarser than the rows, to whole seconds for instance, with the rows spread evenly
/// between the rows at which it goes on; any other clock as it is.
fn spread(mut time: Vec<f64>, parts: &[usize]) -> Vec<f64> {
    let stands = time.windows(2).filter(|w| w[1] == w[0]).count();
    if 2 * stands < time.len() {
        return time;
    }
    let ends: Vec<usize> = parts.iter().copied().chain([time.len()]).collect();
    let mut from = 0;
    for to in ends {
        if let Some(part) = time.get_mut(from..to) {
            spread_part(part);
        }
        from = to;
    }
    time
}

fn spread_part(time: &mut [f64]) {
    let goes_on: Vec<(usize, f64)> = (1..time.len())
        .filter(|&row| time[row] > time[row - 1])
        .map(|row| (row, time[row]))
        .collect();
    let (Some(first), Some(last)) = (goes_on.first(), goes_on.last()) else { return };
    if last.0 == first.0 {
        return;
    }
    // Before the first and after the last the rows go on at the mean rate.
    let step = (last.1 - first.1) / (last.0 - first.0) as f64;
    let (first, last) = (*first, *last);
    for (row, t) in time.iter_mut().enumerate().filter(|(_, t)| t.is_finite()) {
        let after = goes_on.partition_point(|(at, _)| *at <= row);
        *t = match (after.checked_sub(1).map(|i| goes_on[i]), goes_on.get(after)) {
            (Some((r0, t0)), Some((r1, t1))) => {
                t0 + (t1 - t0) * (row - r0) as f64 / (*r1 - r0) as f64
            }
            (None, _) => first.1 - step * (first.0 - row) as f64,
            (Some(_), None) => last.1 + step * (row - last.0) as f64,
        };
    }
}

/// The unit in which the middle step of a time is a usual one: s before ms.
pub(crate) fn by_step(found: &Working) -> Option<Scale> {
    let mut steps: Vec<f64> =
        found.values().windows(2).map(|w| w[1] - w[0]).filter(|d| *d > 0.0).collect();
    if steps.is_empty() {
        return None;
    }
    let step = super::power::median(&mut steps);
    let units = ["s", "ms", "us"].into_iter().filter_map(|s| unit(Quantity::Time, s));
    units.map(Scale::Unit).find(|scale| STEPS.contains(&scale.to_si(step)))
}

/// Values of a column at other times, on a straight line between its rows that are there; not a
/// number before the first and after the last.
fn at_times(wanted: &[f64], time: &[f64], values: &[f64]) -> Vec<f64> {
    let rows = time.iter().copied().zip(values.iter().copied());
    let points: Vec<(f64, f64)> = rows.filter(|(t, v)| t.is_finite() && v.is_finite()).collect();
    wanted.iter().map(|t| at_time(&points, *t)).collect()
}

fn at_time(points: &[(f64, f64)], t: f64) -> f64 {
    let after = points.partition_point(|(time, _)| *time < t);
    match (after.checked_sub(1).and_then(|i| points.get(i)), points.get(after)) {
        (_, Some((time, value))) if *time == t => *value,
        (Some((t0, v0)), Some((t1, v1))) => v0 + (v1 - v0) * (t - t0) / (t1 - t0),
        _ => f64::NAN,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 20 rows a second of a clock to whole seconds, begun within a second.
    #[test]
    fn a_clock_to_whole_seconds_is_spread_over_its_rows() {
        let true_time = |row: u32| 10.35 + 0.05 * f64::from(row);
        let coarse: Vec<f64> = (0..500).map(|row| (true_time(row) + 1e-9).floor()).collect();
        let found = spread(coarse, &[]);
        for (row, t) in found.iter().enumerate() {
            assert!((t - true_time(row as u32)).abs() < 0.051, "{row}: {t}");
        }
        let fine = vec![0.0, 0.1, 0.1, 0.3];
        assert_eq!(spread(fine.clone(), &[]), fine);
    }

    #[test]
    fn a_slow_column_is_read_between_its_rows() {
        let at = at_times(&[0.0, 0.5, 1.0, 2.5, 3.0], &[0.0, 1.0, 2.0], &[10.0, 20.0, 10.0]);
        assert_eq!(at[..3], [10.0, 15.0, 20.0]);
        assert!(at[3].is_nan() && at[4].is_nan());
        let gap = at_times(&[1.0], &[0.0, 1.0, 2.0], &[1.0, f64::NAN, 3.0]);
        assert_eq!(gap, [2.0]);
    }
}
