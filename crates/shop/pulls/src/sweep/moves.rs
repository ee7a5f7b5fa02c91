//! Where speed moves and where it is held.

use super::clean::median;
use super::rules::Rules;
use super::slope::local_slopes;
use super::trace::{Leg, Trace, legs};
use std::ops::Range;

/// Half the time over which a rate is taken to tell moving from still, s.
const BROAD: f64 = 0.5;
/// The same to tell where a movement ends at a turn, s.
const NARROW: f64 = 0.1;
/// Rates over speed are taken in cells of this share of a reversal: 25 rpm of an engine.
const CELL: f64 = 0.25;
/// A hold is left for good beyond this many standard deviations, or [`LEAST`].
const LEAVING: f64 = 2.0;
/// What goes less far than this share of a reversal wanders around a held speed.
const WANDERING: f64 = 0.7;
/// Smallest departure from a hold as a share of a reversal: 10 rpm of an engine.
const LEAST: f64 = 0.1;
/// A run-up goes at more than this many times the usual rate of the movement that it leads into.
const HASTE: f64 = 2.0;

/// What speed does over a stretch of points.
#[derive(Debug, Clone, PartialEq)]
pub struct Move {
    /// The points.
    pub points: Range<usize>,
    /// +1 up, -1 down, 0 held.
    pub sign: f64,
}

impl Move {
    /// True when speed is held.
    pub fn held(&self) -> bool {
        self.sign == 0.0
    }
}

/// Rates at every point, rad/s².
struct Rates {
    broad: Vec<f64>,
    narrow: Vec<f64>,
}

/// Cuts a piece into moves and holds, in their order and without gaps.
pub fn moves(trace: &Trace, rules: &Rules) -> Vec<Move> {
    let all = 0..trace.time.len();
    let legs = legs(&trace.speed, rules.reversal);
    if legs.is_empty() {
        return vec![Move { points: all, sign: 0.0 }];
    }
    let rates = Rates {
        broad: local_slopes(&trace.time, &trace.speed, BROAD),
        narrow: local_slopes(&trace.time, &trace.speed, NARROW),
    };
    let mut found = Vec::new();
    for leg in &legs {
        found.append(&mut of_leg(trace, leg, &rates, rules));
    }
    found.retain(|part: &Move| !part.points.is_empty());
    let mut found = joined(found);
    sharpen(trace, &mut found, rules);
    found.retain(|part| !part.points.is_empty());
    split_run_ups(trace, found, &rates.broad, rules)
}

/// Moves and holds of one leg.
fn of_leg(trace: &Trace, leg: &Leg, rates: &Rates, rules: &Rules) -> Vec<Move> {
    let mut found = joined(told_apart(trace, leg, rates, rules));
    let typical = typical_rate(trace, leg, rules);
    sharpen_turns(&mut found, leg, rates, 0.5 * typical, |part| {
        trace.duration(&part.points) < rules.dwell
    });
    found
}

/// The rate, rad/s², that a quarter of the speeds of a leg are crossed faster than.
fn typical_rate(trace: &Trace, leg: &Leg, rules: &Rules) -> f64 {
    let width = CELL * rules.reversal;
    let mut rates = cell_rates(trace, leg.points.clone(), leg.sign, width);
    quantile(&mut rates, 0.75).unwrap_or_default()
}

/// The greatest rate, rad/s², that is seen over the time in which moving is told from still: speed
/// that jumps from one row to the next, as in a log of held speeds alone, shows no more than this.
fn seen_rate(leg: &Leg, rates: &Rates) -> f64 {
    leg.points.clone().map(|i| leg.sign * rates.broad[i]).fold(0.0, f64::max)
}

/// Moves and holds by the typical rate of a leg.
fn told_apart(trace: &Trace, leg: &Leg, rates: &Rates, rules: &Rules) -> Vec<Move> {
    let least = rules.still * typical_rate(trace, leg, rules).min(seen_rate(leg, rates));
    let mut found: Vec<Move> = Vec::new();
    for i in leg.points.clone() {
        let moving = leg.sign * rates.broad[i] > least;
        push(&mut found, Move { points: i..i + 1, sign: if moving { leg.sign } else { 0.0 } });
    }
    // What wanders around a held speed is no movement, and what pauses for an instant is no hold.
    for part in &mut found {
        if !part.held() && leg.sign * trace.change(&part.points) < WANDERING * rules.reversal {
            part.sign = 0.0;
        }
    }
    let mut found = joined(found);
    let last = found.len().saturating_sub(1);
    for (at, part) in found.iter_mut().enumerate().filter(|(_, part)| part.held()) {
        let instant = trace.duration(&part.points) < 0.5 * rules.dwell;
        if instant && at > 0 && at < last {
            part.sign = leg.sign;
        }
    }
    joined(found).into_iter().flat_map(|part| closer(trace, part, leg, rates, rules)).collect()
}

/// What creeps along is no hold: beside a hasty run-up a sweep looks still, so it is looked at by its
/// own rate.
fn closer(trace: &Trace, part: Move, leg: &Leg, rates: &Rates, rules: &Rules) -> Vec<Move> {
    if !part.held() || leg.sign * trace.creep(&part.points) <= rules.reversal {
        return vec![part];
    }
    if part.points == leg.points {
        return vec![Move { sign: leg.sign, ..part }];
    }
    told_apart(trace, &Leg { points: part.points, sign: leg.sign }, rates, rules)
}

/// At a turn the broad rate falls off early and looks like a short hold: there the narrow rate says
/// how far the movement goes.
fn sharpen_turns(
    found: &mut [Move],
    leg: &Leg,
    rates: &Rates,
    least: f64,
    short: impl Fn(&Move) -> bool,
) {
    let goes = |i: usize| leg.sign * rates.narrow[i] > least;
    let n = found.len();
    if n < 2 {
        return;
    }
    if found[0].held() && short(&found[0]) {
        let first = found[0].points.clone().find(|&i| goes(i)).unwrap_or(found[0].points.end);
        found[0].points.end = first;
        found[1].points.start = first;
    }
    if found[n - 1].held() && short(&found[n - 1]) {
        let points = found[n - 1].points.clone();
        let end = points.clone().rev().find(|&i| goes(i)).map_or(points.start, |i| i + 1);
        found[n - 2].points.end = end;
        found[n - 1].points.start = end;
    }
}

fn push(found: &mut Vec<Move>, next: Move) {
    match found.last_mut() {
        Some(last) if last.sign == next.sign => last.points.end = next.points.end,
        _ => found.push(next),
    }
}

fn joined(parts: Vec<Move>) -> Vec<Move> {
    let mut found = Vec::with_capacity(parts.len());
    for part in parts {
        push(&mut found, part);
    }
    found
}

/// Rates at which cells of speed of a width (rad/s) are crossed for the first time, rad/s², above zero, in the order
/// of crossing.
fn cell_rates(trace: &Trace, points: Range<usize>, sign: f64, width: f64) -> Vec<f64> {
    let mut rates = Vec::new();
    let Some(first) = points.clone().next() else { return rates };
    let mut edge = sign * trace.speed[first];
    let mut entered = trace.time[first];
    for i in points.clone().skip(1) {
        let (before, now) = (sign * trace.speed[i - 1], sign * trace.speed[i]);
        while now >= edge + width {
            edge += width;
            let share =
                if now > before { ((edge - before) / (now - before)).max(0.0) } else { 1.0 };
            let crossed = trace.time[i - 1] + share * (trace.time[i] - trace.time[i - 1]);
            if crossed > entered {
                rates.push(width / (crossed - entered));
            }
            entered = crossed;
        }
    }
    rates
}

fn quantile(values: &mut [f64], share: f64) -> Option<f64> {
    values.sort_unstable_by(f64::total_cmp);
    values.get((share * values.len() as f64) as usize).copied()
}

/// Moves the border between a hold and a movement to where speed leaves the hold for good.
fn sharpen(trace: &Trace, found: &mut [Move], rules: &Rules) {
    for k in 0..found.len() {
        if !found[k].held() {
            continue;
        }
        let hold = found[k].points.clone();
        let (level, spread) = level(trace, &hold);
        let margin = (LEAVING * spread).max(LEAST * rules.reversal);
        let inside = |i: usize, sign: f64| sign * (trace.speed[i] - level) <= margin;
        let middle = hold.start + hold.len() / 2;
        if k + 1 < found.len() && !found[k + 1].held() {
            let (sign, end) = (found[k + 1].sign, found[k + 1].points.end);
            let leaves = (middle..end).rev().find(|&i| inside(i, sign)).map_or(middle, |i| i + 1);
            found[k].points.end = leaves;
            found[k + 1].points.start = leaves;
        }
        if k > 0 && !found[k - 1].held() {
            let (sign, start) = (-found[k - 1].sign, found[k - 1].points.start);
            let comes = (start..middle).find(|&i| inside(i, sign)).unwrap_or(middle);
            found[k].points.start = comes;
            found[k - 1].points.end = comes;
        }
    }
}

/// Level of a hold and the standard deviation of speed around it, by its middle half.
fn level(trace: &Trace, hold: &Range<usize>) -> (f64, f64) {
    let quarter = hold.len() / 4;
    let core = &trace.speed[hold.start + quarter..hold.end - quarter];
    let level = median(&mut core.to_vec()).unwrap_or_default();
    let variance = core.iter().map(|v| (v - level).powi(2)).sum::<f64>() / core.len().max(1) as f64;
    (level, variance.sqrt())
}

/// Cuts the hasty beginning off a movement that then goes on at its usual rate.
fn split_run_ups(trace: &Trace, found: Vec<Move>, rates: &[f64], rules: &Rules) -> Vec<Move> {
    let cell = CELL * rules.reversal;
    let mut cut = Vec::with_capacity(found.len());
    for part in found {
        let usual = median(&mut cell_rates(trace, part.points.clone(), part.sign, cell));
        let middle = 0.5 * (trace.start(&part.points) + trace.end(&part.points));
        let hurries = |i: usize, usual: f64| {
            part.sign * (trace.speed[i] - middle) < 0.0 && part.sign * rates[i] > HASTE * usual
        };
        let last = |usual| part.points.clone().rev().find(|&i| hurries(i, usual));
        let at = usual.filter(|_| !part.held()).and_then(last).map_or(part.points.start, |i| i + 1);
        let hasty = part.points.start..at;
        if part.sign * trace.change(&hasty) > 2.0 * rules.reversal {
            cut.push(Move { points: hasty, sign: part.sign });
            cut.push(Move { points: at..part.points.end, sign: part.sign });
        } else {
            cut.push(part);
        }
    }
    cut
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::RPM;

    /// Speeds at 100 Hz from corners (s, rpm), with a hunting of ±15 rpm at 0.5 Hz.
    fn trace(corners: &[(f64, f64)]) -> Trace {
        let end = corners[corners.len() - 1].0;
        let mut trace = Trace::default();
        for row in 0..(end * 100.0) as usize {
            let t = row as f64 / 100.0;
            let next = corners.iter().position(|c| c.0 > t).unwrap_or(corners.len() - 1);
            let (a, b) = (corners[next - 1], corners[next]);
            let rpm = a.1 + (b.1 - a.1) * (t - a.0) / (b.0 - a.0);
            trace.rows.push(row);
            trace.time.push(t);
            trace.speed.push((rpm + 15.0 * (std::f64::consts::PI * t).sin()) * RPM);
        }
        trace
    }

    fn check(corners: &[(f64, f64)], expected: &[(f64, f64, f64)]) {
        let trace = trace(corners);
        let found = moves(&trace, &Rules::default());
        assert_eq!(found.len(), expected.len(), "{found:?}");
        for (part, &(from, to, sign)) in found.iter().zip(expected) {
            assert_eq!(part.sign, sign);
            let (start, end) = (part.points.start as f64 / 100.0, part.points.end as f64 / 100.0);
            // A fifth of a second: 40 rpm of a sweep, and what hunting hides.
            assert!((start - from).abs() < 0.2 && (end - to).abs() < 0.2, "{start} {end}");
        }
    }

    #[test]
    fn hold_sweep_hold_and_fall() {
        check(
            &[(0.0, 3000.0), (4.0, 3000.0), (29.0, 8000.0), (31.0, 8000.0), (34.0, 2000.0)],
            &[(0.0, 4.0, 0.0), (4.0, 29.0, 1.0), (29.0, 31.0, 0.0), (31.0, 34.0, -1.0)],
        );
    }

    #[test]
    fn steps_are_holds_between_short_moves() {
        check(
            &[(0.0, 3e3), (5.0, 3e3), (6.0, 3250.0), (11.0, 3250.0), (12.0, 3.5e3), (17.0, 3.5e3)],
            &[
                (0.0, 5.0, 0.0),
                (5.0, 6.0, 1.0),
                (6.0, 11.0, 0.0),
                (11.0, 12.0, 1.0),
                (12.0, 17.0, 0.0),
            ],
        );
    }

    #[test]
    fn a_slow_sweep_is_no_hold_and_a_hasty_start_is_cut_off() {
        check(&[(0.0, 3000.0), (100.0, 6000.0)], &[(0.0, 100.0, 1.0)]);
        // The rate is taken over a second, so the cut is half a second late at the most.
        let found = moves(&trace(&[(0.0, 1e3), (1.5, 3e3), (26.5, 8e3)]), &Rules::default());
        assert_eq!(found.len(), 2, "{found:?}");
        assert!((140..=200).contains(&found[0].points.end), "{found:?}");
    }

    #[test]
    fn nothing_but_a_hold() {
        check(&[(0.0, 3000.0), (5.0, 3000.0)], &[(0.0, 5.0, 0.0)]);
    }
}
