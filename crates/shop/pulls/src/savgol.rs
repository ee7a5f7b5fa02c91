//! Smoothing and differentiating by parabolas fitted to a window of rows.
//!
//! Equation: least squares with `1, t, t²` over the window; the value and the slope at its middle.
//! For even spacing h and 2m + 1 rows the weights are
//! `(3(3m² + 3m - 1) - 15 j²) / ((2m - 1)(2m + 1)(2m + 3))` for the value and
//! `3 j / (h m (m + 1)(2m + 1))` for the slope, which is also that of a straight line.
//! Source: Savitzky & Golay 1964, Anal. Chem. 36:1627; closed forms after Madden 1978 (both from
//! memory; weights checked against SciPy 1.17.1).
//!
//! Windows lie evenly about their row, so nothing lags; at the ends the parabola of the outermost
//! window is read off its middle, nothing is padded. Rows that miss a reading are left out of the
//! fit. Uneven clocks are fitted with the times that they have.

use std::ops::Range;

/// Spacing counts as even when no step differs from the mean by more than this share.
const EVEN: f64 = 0.02;

/// Smoothed values and slopes, one a row.
#[derive(Debug, Clone, PartialEq)]
pub struct Smoothed {
    /// Values, in the unit given; not a number where fewer than three rows had one.
    pub value: Vec<f64>,
    /// Slopes, unit per second.
    pub slope: Vec<f64>,
}

/// Rows of a window that spans `seconds`: odd, at least five.
pub fn window_rows(time: &[f64], seconds: f64) -> usize {
    let steps = time.len().saturating_sub(1);
    let step = match (time.first(), time.last()) {
        (Some(first), Some(last)) if steps > 0 => (last - first) / steps as f64,
        _ => return 5,
    };
    let half = (0.5 * seconds / step).round();
    // A clock that stands still or a window of hours means all rows there are.
    let half = if half.is_finite() { half.clamp(2.0, time.len() as f64) } else { 2.0 };
    2 * half as usize + 1
}

/// Smooths and differentiates over windows of an odd number of rows.
pub fn smoothed(time: &[f64], values: &[f64], rows: usize) -> Smoothed {
    let n = time.len().min(values.len());
    let m = (rows / 2).max(2).min(n.saturating_sub(1) / 2).max(1);
    let mut out = Smoothed { value: vec![f64::NAN; n], slope: vec![f64::NAN; n] };
    if n < 3 {
        return out;
    }
    let even = m >= 2 && is_even(time) && values[..n].iter().all(|value| value.is_finite());
    if even {
        let step = (time[n - 1] - time[0]) / (n - 1) as f64;
        convolve(values, m, step, &mut out);
    }
    let by_fit = |i: usize| !even || i < m || i + m >= n;
    for i in (0..n).filter(|&i| by_fit(i)) {
        let start = i.saturating_sub(m).min(n - (2 * m + 1).min(n));
        let window = start..(start + 2 * m + 1).min(n);
        (out.value[i], out.slope[i]) = parabola(time, values, window, time[i]);
    }
    out
}

fn is_even(time: &[f64]) -> bool {
    let n = time.len();
    let step = (time[n - 1] - time[0]) / (n - 1) as f64;
    step > 0.0 && time.windows(2).all(|w| ((w[1] - w[0]) - step).abs() <= EVEN * step)
}

/// Weights of the smoothed value at evenly spaced rows, from the middle outwards.
fn value_weights(m: usize) -> Vec<f64> {
    let a = m as f64;
    let scale = (2.0 * a - 1.0) * (2.0 * a + 1.0) * (2.0 * a + 3.0);
    (0..=m).map(|j| (3.0 * (3.0 * a * a + 3.0 * a - 1.0) - 15.0 * (j * j) as f64) / scale).collect()
}

/// Weights of the slope at evenly spaced rows, from the middle outwards, for a step of 1.
fn slope_weights(m: usize) -> Vec<f64> {
    let a = m as f64;
    (0..=m).map(|j| 3.0 * j as f64 / (a * (a + 1.0) * (2.0 * a + 1.0))).collect()
}

fn convolve(values: &[f64], m: usize, step: f64, out: &mut Smoothed) {
    let (smooth, differ) = (value_weights(m), slope_weights(m));
    for i in m..out.value.len() - m {
        let (mut value, mut slope) = (smooth[0] * values[i], 0.0);
        for j in 1..=m {
            let (after, before) = (values[i + j], values[i - j]);
            value += smooth[j] * (after + before);
            slope += differ[j] * (after - before);
        }
        out.value[i] = value;
        out.slope[i] = slope / step;
    }
}

/// Value and slope at `at` of the parabola through a window; a straight line through fewer than
/// four rows; not numbers for fewer than three.
fn parabola(time: &[f64], values: &[f64], window: Range<usize>, at: f64) -> (f64, f64) {
    // Times are counted from `at` in half windows, so that the sums are of one size.
    let scale = (0.5 * (time[window.end - 1] - time[window.start])).abs();
    let mut s = [0.0; 5];
    let mut y = [0.0; 3];
    for i in window {
        let t = (time[i] - at) / scale;
        if !(values[i].is_finite() && t.is_finite()) {
            continue;
        }
        let powers = [1.0, t, t * t, t * t * t, t * t * t * t];
        for (sum, power) in s.iter_mut().zip(powers) {
            *sum += power;
        }
        for (sum, power) in y.iter_mut().zip(powers) {
            *sum += power * values[i];
        }
    }
    if s[0] < 3.0 {
        return (f64::NAN, f64::NAN);
    }
    let (c0, c1) = if s[0] < 4.0 { line(&s, &y) } else { solve(&s, &y) };
    (c0, c1 / scale)
}

fn line(s: &[f64; 5], y: &[f64; 3]) -> (f64, f64) {
    let d = s[0] * s[2] - s[1] * s[1];
    ((s[2] * y[0] - s[1] * y[1]) / d, (s[0] * y[1] - s[1] * y[0]) / d)
}

/// First two coefficients of the normal equations, by Cramer's rule.
fn solve(s: &[f64; 5], y: &[f64; 3]) -> (f64, f64) {
    let det = |a: [f64; 3], b: [f64; 3], c: [f64; 3]| {
        a[0] * (b[1] * c[2] - b[2] * c[1]) - b[0] * (a[1] * c[2] - a[2] * c[1])
            + c[0] * (a[1] * b[2] - a[2] * b[1])
    };
    let (a, b, c) = ([s[0], s[1], s[2]], [s[1], s[2], s[3]], [s[2], s[3], s[4]]);
    let whole = det(a, b, c);
    (det(*y, b, c) / whole, det(a, *y, c) / whole)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::Value;

    fn number(value: &Value) -> f64 {
        value.as_str().unwrap().parse().unwrap()
    }

    /// `savgol.json`: SciPy 1.17.1, sets of degree 2.
    #[test]
    fn weights_are_those_of_an_independent_library() {
        let sets: Value = serde_json::from_str(include_str!("../tests/data/savgol.json")).unwrap();
        let mut checked = 0;
        for set in sets["sets"].as_array().unwrap() {
            if set["poly"] != 2 {
                continue;
            }
            let m = set["window"].as_u64().unwrap() as usize / 2;
            let (smooth, differ) = (value_weights(m), slope_weights(m));
            for j in 0..=2 * m {
                let side = j.abs_diff(m);
                let sign = if j < m { -1.0 } else { 1.0 };
                let (value, slope) = (number(&set["smooth"][j]), number(&set["deriv1"][j]));
                assert!((smooth[side] - value).abs() < 1e-13, "{m} {j}");
                assert!((sign * differ[side] - slope).abs() < 1e-13, "{m} {j}");
            }
            checked += 1;
        }
        assert!(checked >= 3);
    }

    #[test]
    fn a_parabola_comes_back_exactly_on_even_uneven_and_holed_rows() {
        let even: Vec<f64> = (0..60).map(|i| 500.0 + 0.01 * f64::from(i)).collect();
        let uneven: Vec<f64> =
            even.iter().enumerate().map(|(i, t)| t + 0.003 * (i % 3) as f64).collect();
        for time in [even, uneven] {
            let truth = |t: f64| 300.0 + 31.0 * (t - 500.0) - 12.0 * (t - 500.0).powi(2);
            let mut values: Vec<f64> = time.iter().map(|&t| truth(t)).collect();
            for holed in [false, true] {
                if holed {
                    values[30] = f64::NAN;
                }
                let out = smoothed(&time, &values, 11);
                for (i, &t) in time.iter().enumerate() {
                    assert!((out.value[i] - truth(t)).abs() < 1e-8, "{i} {}", out.value[i]);
                    assert!((out.slope[i] - (31.0 - 24.0 * (t - 500.0))).abs() < 1e-6, "{i}");
                }
            }
        }
    }

    #[test]
    fn few_rows_give_a_line_or_nothing() {
        let out = smoothed(&[0.0, 1.0, 2.0], &[1.0, 3.0, 5.0], 51);
        assert!((out.slope[1] - 2.0).abs() < 1e-12 && (out.value[2] - 5.0).abs() < 1e-12);
        assert!(smoothed(&[0.0, 1.0], &[1.0, 3.0], 5).value[0].is_nan());
        assert!(smoothed(&[], &[], 5).value.is_empty());
        assert!(smoothed(&[0.0; 9], &[1.0; 9], 5).slope[4].is_nan());
    }

    #[test]
    fn a_window_of_half_a_second_at_100_hz_has_51_rows() {
        let time: Vec<f64> = (0..900).map(|i| f64::from(i) / 100.0).collect();
        assert_eq!(window_rows(&time, 0.5), 51);
        assert_eq!(window_rows(&time[..1], 0.5), 5);
        assert_eq!(window_rows(&[0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6], 0.01), 5);
        assert_eq!(window_rows(&[1.0; 4], 0.5), 5);
    }
}
