//! How late one channel is behind another, by cross-correlation of their rates of change.
//!
//! Rates, because two channels that both rise through a sweep agree at any lag; what they share at
//! one lag only is how they change. The peak of the correlation is read between rows by a parabola.
//! Its ± is that of the least-squares lag of `late = g lead(t - tau) + e` when e goes on from row to
//! row as the residuals do: `u = sqrt(sum_h c(h) C(h)) / (|g| C(0))`, c and C the autocovariance of the
//! residuals and the autocorrelation sum of the lead's second derivative. Own derivation; its
//! coverage is tested by simulation.

use crate::error::PullsError;
use crate::savgol::{smoothed, window_rows};
use std::fmt;

/// Window over which rates are taken, s.
const WINDOW: f64 = 0.1;
/// Fewest rows that can tell a lag.
const FEWEST: usize = 50;
/// Below this correlation of rates nothing is told (ours).
const WEAK: f64 = 0.5;
/// Another peak above this share of the best one leaves two answers (ours).
const RIVAL: f64 = 0.8;
/// A change from row to row below this share of the signal is rounding.
const ROUNDING: f64 = 1e-9;
/// Two-sided 95 % of a normal distribution.
const COVERAGE: f64 = 1.96;

/// How late one channel is behind another, and how far that is to be trusted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LagEstimate {
    /// s; below zero when the channel comes first.
    pub lag: f64,
    /// ± (coverage 95 %), s.
    pub plus_minus: f64,
    /// Correlation of the rates at that lag, -1 to 1.
    pub correlation: f64,
    /// Height of the next best peak, 0 to 1; 0 where there is none.
    pub rival: f64,
}

impl LagEstimate {
    /// Whether the lag can be used: the rates agree well, and at this lag only.
    pub fn is_clear(&self) -> bool {
        let best = self.correlation.abs();
        best >= WEAK && self.rival <= RIVAL * best
    }
}

impl fmt::Display for LagEstimate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (lag, plus_minus) = (self.lag * 1e3, self.plus_minus * 1e3);
        match (self.is_clear(), self.correlation.abs() < WEAK) {
            (true, _) => write!(f, "late by {lag:.0} ± {plus_minus:.0} ms"),
            (_, true) => write!(
                f,
                "can't tell: the two hardly change together (correlation {:.2}); open the throttle \
                 quickly, twice",
                self.correlation
            ),
            _ => write!(
                f,
                "can't tell: {lag:.0} ms fits, and another lag nearly as well; the signal repeats"
            ),
        }
    }
}

/// Finds how late `late` is behind `lead`, both one a row of `time` (s), looking up to `most` (s)
/// either way.
///
/// # Errors
/// [`PullsError::Lag`] when there are too few rows, nothing changes, or the best lag lies at the end
/// of where was looked.
pub fn estimate_lag(
    time: &[f64],
    lead: &[f64],
    late: &[f64],
    most: f64,
) -> Result<LagEstimate, PullsError> {
    let fault = |why| PullsError::Lag { why };
    let few = fault("there are too few rows; take a longer stretch");
    let clock = even_clock(time).ok_or(few.clone())?;
    let step = clock[1] - clock[0];
    let reach = (most / step).ceil().clamp(1.0, (clock.len() / 3) as f64) as usize;
    let lead = rates(time, lead, &clock).ok_or(few.clone())?;
    let late = rates(time, late, &clock).ok_or(few)?;
    let flat = fault("a channel does not change; take a stretch in which both do");
    let heights = correlations(&lead, &late, reach).ok_or(flat.clone())?;
    let best = highest(&heights);
    if best == 0 || best + 1 == heights.len() {
        return Err(fault("the lag lies beyond where was looked; look further"));
    }
    let between = vertex(heights[best - 1].abs(), heights[best].abs(), heights[best + 1].abs());
    let shift = best as isize - reach as isize;
    let rows = 2 * window_rows(&clock, WINDOW);
    let plus_minus = COVERAGE * spread(&lead, &late, shift, step, rows).ok_or(flat)?;
    Ok(LagEstimate {
        lag: (shift as f64 + between) * step,
        plus_minus,
        correlation: heights[best],
        rival: rival(&heights, best),
    })
}

/// As many times at even steps as there are rows; `None` for too few.
fn even_clock(time: &[f64]) -> Option<Vec<f64>> {
    let (first, last) = (*time.first()?, *time.last()?);
    let steps = time.len() - 1;
    let step = (last - first) / steps as f64;
    (time.len() >= FEWEST && step > 0.0 && step.is_finite())
        .then(|| (0..=steps).map(|i| first + i as f64 * step).collect())
}

/// Rates of change at an even clock, less their mean; rows that miss a reading are bridged.
fn rates(time: &[f64], values: &[f64], clock: &[f64]) -> Option<Vec<f64>> {
    let both = time.iter().copied().zip(values.iter().copied());
    let good: Vec<(f64, f64)> = both.filter(|(t, v)| t.is_finite() && v.is_finite()).collect();
    if good.len() < FEWEST {
        return None;
    }
    let mut at = 0;
    let even: Vec<f64> = clock
        .iter()
        .map(|&t| {
            while at + 2 < good.len() && good[at + 1].0 < t {
                at += 1;
            }
            let ((t0, v0), (t1, v1)) = (good[at], good[at + 1]);
            if t1 > t0 { v0 + (v1 - v0) * ((t - t0) / (t1 - t0)).clamp(0.0, 1.0) } else { v0 }
        })
        .collect();
    let mut slope = smoothed(clock, &even, window_rows(clock, WINDOW)).slope;
    let mean = slope.iter().sum::<f64>() / slope.len() as f64;
    slope.iter_mut().for_each(|slope| *slope -= mean);
    // What is left of a flat or straight signal is rounding.
    let most = |values: &[f64]| values.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
    if most(&slope) * (clock[1] - clock[0]) <= ROUNDING * most(&even) {
        slope.fill(0.0);
    }
    slope.iter().all(|slope| slope.is_finite()).then_some(slope)
}

/// Parts of two signals that lie over each other when the second is read `shift` rows later.
fn over<'a>(lead: &'a [f64], late: &'a [f64], shift: isize) -> (&'a [f64], &'a [f64]) {
    let by = shift.unsigned_abs().min(lead.len());
    if shift >= 0 {
        (&lead[..lead.len() - by], &late[by..])
    } else {
        (&lead[by..], &late[..late.len() - by])
    }
}

/// Sum of products, in sums side by side: a single one would wait for itself.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    const SUMS: usize = 8;
    let count = a.len().min(b.len());
    let (a, b) = (&a[..count], &b[..count]);
    let mut sums = [0.0; SUMS];
    for (a, b) in a.chunks_exact(SUMS).zip(b.chunks_exact(SUMS)) {
        for (sum, (a, b)) in sums.iter_mut().zip(a.iter().zip(b)) {
            *sum += a * b;
        }
    }
    let rest = count - count % SUMS;
    let left: f64 = a[rest..].iter().zip(&b[rest..]).map(|(a, b)| a * b).sum();
    sums.iter().sum::<f64>() + left
}

/// Sums of squares of the first 0, 1, 2 and so on.
fn squares(values: &[f64]) -> Vec<f64> {
    let mut sum = 0.0;
    let mut sums = vec![0.0];
    sums.extend(values.iter().map(|v| {
        sum += v * v;
        sum
    }));
    sums
}

/// Correlations at every shift from `-reach` to `reach`; `None` where a signal is flat.
fn correlations(lead: &[f64], late: &[f64], reach: usize) -> Option<Vec<f64>> {
    let reach = reach as isize;
    let (of_lead, of_late) = (squares(lead), squares(late));
    let first = |sums: &[f64], n: usize| sums[n];
    let last = |sums: &[f64], n: usize| sums[sums.len() - 1] - sums[sums.len() - 1 - n];
    let at = |shift: isize| {
        let (a, b) = over(lead, late, shift);
        let both = if shift >= 0 {
            first(&of_lead, a.len()) * last(&of_late, b.len())
        } else {
            last(&of_lead, a.len()) * first(&of_late, b.len())
        };
        let scale = both.sqrt();
        (scale > 0.0).then(|| dot(a, b) / scale)
    };
    (-reach..=reach).map(at).collect()
}

fn highest(heights: &[f64]) -> usize {
    let by_size = |a: &usize, b: &usize| heights[*a].abs().total_cmp(&heights[*b].abs());
    (0..heights.len()).max_by(by_size).unwrap_or_default()
}

/// Where between -1 and 1 the parabola through three heights is highest; the middle one is.
fn vertex(before: f64, top: f64, after: f64) -> f64 {
    let bend = before - 2.0 * top + after;
    if bend < 0.0 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 }
}

/// The highest peak outside the slopes of the best one.
fn rival(heights: &[f64], best: usize) -> f64 {
    let height = |i: usize| heights[i].abs();
    let mut low = best;
    while low > 0 && height(low - 1) < height(low) {
        low -= 1;
    }
    let mut high = best;
    while high + 1 < heights.len() && height(high + 1) < height(high) {
        high += 1;
    }
    (0..low).chain(high + 1..heights.len()).map(height).fold(0.0, f64::max)
}

/// Standard uncertainty of the lag, s.
fn spread(lead: &[f64], late: &[f64], shift: isize, step: f64, rows: usize) -> Option<f64> {
    let (a, b) = over(lead, late, shift);
    let gain = dot(a, b) / dot(a, a);
    let left: Vec<f64> = a.iter().zip(b).map(|(a, b)| b - gain * a).collect();
    let bend: Vec<f64> = a.windows(3).map(|w| (w[2] - w[0]) / (2.0 * step)).collect();
    let sum = |values: &[f64], h: usize| dot(&values[h.min(values.len())..], values);
    let n = left.len() as f64;
    let both = |h: usize| sum(&left, h) / n * sum(&bend, h);
    let variance = both(0) + 2.0 * (1..=rows).map(both).sum::<f64>();
    let own = sum(&bend, 0);
    // Residuals that swing can cancel in the sum; never below the independent rows' variance.
    let u = variance.max(both(0)).sqrt() / (gain.abs() * own);
    u.is_finite().then_some(u)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_peak_is_outside_the_slopes_of_the_best() {
        let heights = [0.1, 0.7, 0.2, 0.5, 0.9, 0.6, 0.3, 0.4];
        assert_eq!(highest(&heights), 4);
        assert_eq!(rival(&heights, 4), 0.7);
        assert_eq!(rival(&[0.1, 0.9, 0.1], 1), 0.0);
    }

    #[test]
    fn a_parabola_is_read_at_its_top() {
        let top = |x: f64| 1.0 - (x - 0.3_f64).powi(2);
        assert!((vertex(top(-1.0), top(0.0), top(1.0)) - 0.3).abs() < 1e-12);
        assert_eq!(vertex(1.0, 1.0, 1.0), 0.0);
    }

    #[test]
    fn too_little_is_refused() {
        let time: Vec<f64> = (0..100).map(|i| f64::from(i) / 100.0).collect();
        let flat = vec![3.0; 100];
        let said = estimate_lag(&time, &flat, &flat, 0.2).unwrap_err().to_string();
        assert!(said.contains("take a stretch in which both do"), "{said}");
        for n in [0, 1, 49] {
            assert!(estimate_lag(&time[..n], &flat[..n], &flat[..n], 0.2).is_err());
        }
        assert!(estimate_lag(&time, &vec![f64::NAN; 100], &flat, 0.2).is_err());
        assert!(estimate_lag(&vec![f64::NAN; 100], &flat, &flat, 0.2).is_err());
    }
}
