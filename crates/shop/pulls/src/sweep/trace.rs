//! An unbroken piece of a speed signal, and the legs in it: up until speed turns, down until it
//! turns again.

use super::clean::{Cleaned, median};
use super::rules::Rules;
use super::slope::slope;
use std::ops::Range;

/// Usable points of a piece without gaps.
#[derive(Debug, Clone, Default)]
pub struct Trace {
    /// Row of each point in the recording.
    pub rows: Vec<usize>,
    /// Time, s.
    pub time: Vec<f64>,
    /// Speed, rad/s.
    pub speed: Vec<f64>,
    /// The signal was lost at the end, and came back later.
    pub lost: bool,
}

impl Trace {
    /// Time from the first to the last point of a stretch, s.
    pub fn duration(&self, points: &Range<usize>) -> f64 {
        if points.is_empty() { 0.0 } else { self.time[points.end - 1] - self.time[points.start] }
    }

    /// Change of speed over a stretch, rad/s.
    pub fn change(&self, points: &Range<usize>) -> f64 {
        self.end(points) - self.start(points)
    }

    /// How far speed creeps over a stretch, rad/s, whatever it does at the very ends: one and a half
    /// times the way from the middle of the first third to that of the last.
    pub fn creep(&self, points: &Range<usize>) -> f64 {
        let third = points.len().div_ceil(3);
        let middle = |part: Range<usize>| median(&mut self.speed[part].to_vec());
        let first = middle(points.start..points.start + third);
        let last = middle(points.end - third..points.end);
        first.zip(last).map_or(0.0, |(first, last)| 1.5 * (last - first))
    }

    /// Speed at the start of a stretch, rad/s, by the line through its first three points.
    pub fn start(&self, points: &Range<usize>) -> f64 {
        self.at(points.start..(points.start + 3).min(points.end), points.start)
    }

    /// Speed at the end of a stretch, rad/s, by the line through its last three points.
    pub fn end(&self, points: &Range<usize>) -> f64 {
        let last = points.end.saturating_sub(1);
        self.at(points.end.saturating_sub(3).max(points.start)..points.end, last)
    }

    /// Speed at a point by the line through some; 0 of nothing.
    fn at(&self, points: Range<usize>, point: usize) -> f64 {
        let (time, speed) = (&self.time[points.clone()], &self.speed[points]);
        let n = speed.len().max(1) as f64;
        let slope = slope(time, speed);
        let mean = speed.iter().sum::<f64>() / n;
        if !slope.is_finite() {
            return mean;
        }
        mean + slope * (self.time[point] - time.iter().sum::<f64>() / n)
    }

    /// Rows of the recording that a stretch covers, those without speed between them included.
    pub fn rows(&self, points: &Range<usize>) -> Range<usize> {
        if points.is_empty() {
            return 0..0;
        }
        self.rows[points.start]..self.rows[points.end - 1] + 1
    }
}

/// Cuts the rows of one part where speed is missing for too long.
pub fn pieces(time: &[f64], cleaned: &Cleaned, part: Range<usize>, rules: &Rules) -> Vec<Trace> {
    let good: Vec<usize> = part.filter(|&row| cleaned.speed[row].is_finite()).collect();
    let mut steps: Vec<f64> = good.windows(2).map(|w| time[w[1]] - time[w[0]]).collect();
    let gap = rules.gap.max(4.0 * median(&mut steps).unwrap_or_default());
    let mut found: Vec<Trace> = Vec::new();
    let mut last = f64::NEG_INFINITY;
    for row in good {
        if time[row] - last > gap {
            if let Some(piece) = found.last_mut() {
                piece.lost = true;
            }
            found.push(Trace::default());
        }
        if let Some(piece) = found.last_mut() {
            piece.rows.push(row);
            piece.time.push(time[row]);
            piece.speed.push(cleaned.speed[row]);
        }
        last = time[row];
    }
    found
}

/// A leg: from one turn of speed to the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// Its points; the turning point belongs to the leg that it ends.
    pub points: Range<usize>,
    /// +1 up, -1 down.
    pub sign: f64,
}

/// Cuts a speed signal at its turns; going back by less than `reversal` is no turn. Empty for a
/// signal that never moves that far.
pub fn legs(speed: &[f64], reversal: f64) -> Vec<Leg> {
    let mut legs = Vec::new();
    let (mut low, mut high) = (0, 0);
    let mut sign = 0.0;
    let mut start = 0;
    for i in 1..speed.len() {
        if speed[i] > speed[high] {
            high = i;
        }
        if speed[i] < speed[low] {
            low = i;
        }
        let turned = match sign {
            s if s > 0.0 => speed[high] - speed[i] > reversal,
            s if s < 0.0 => speed[i] - speed[low] > reversal,
            _ => speed[high] - speed[low] > reversal,
        };
        if !turned {
            continue;
        }
        let before = if sign == 0.0 {
            sign = if high > low { -1.0 } else { 1.0 };
            None
        } else {
            Some(if sign > 0.0 { high } else { low })
        };
        if let Some(turn) = before {
            legs.push(Leg { points: start..turn + 1, sign });
            start = turn + 1;
        }
        sign = -sign;
        (low, high) =
            if sign > 0.0 { (before.unwrap_or(low), i) } else { (i, before.unwrap_or(high)) };
    }
    if sign != 0.0 {
        legs.push(Leg { points: start..speed.len(), sign });
    }
    legs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn legs_end_where_speed_turns() {
        let speed: Vec<f64> = [0, 0, 5, 3, 10, 20, 30, 29, 30, 10, 0, -10, -9, 15, 16]
            .iter()
            .map(|&v| f64::from(v))
            .collect();
        let found = legs(&speed, 4.0);
        let as_found: Vec<_> = found.iter().map(|leg| (leg.points.clone(), leg.sign)).collect();
        assert_eq!(as_found, [(0..7, 1.0), (7..12, -1.0), (12..15, 1.0)]);
        assert_eq!(legs(&[3.0, 1.0, 2.0], 4.0), []);
        assert_eq!(legs(&[9.0, 5.0, 0.0], 4.0), [Leg { points: 0..3, sign: -1.0 }]);
        assert_eq!(legs(&[], 4.0), []);
    }

    #[test]
    fn a_gap_cuts_and_a_short_one_does_not() {
        let time: Vec<f64> = (0..300).map(|i| f64::from(i) / 100.0).collect();
        let mut speed = vec![300.0; 300];
        speed[50..60].fill(f64::NAN);
        speed[150..220].fill(f64::NAN);
        let cleaned = Cleaned { speed, masked: Vec::new() };
        let found = pieces(&time, &cleaned, 0..300, &Rules::default());
        let ends: Vec<_> = found.iter().map(|t| (t.rows(&(0..t.rows.len())), t.lost)).collect();
        assert_eq!(ends, [(0..150, true), (220..300, false)]);
    }
}
