//! Interpolation between points that never overshoots them.

/// Piecewise cubic through points whose slopes keep every rise a rise
/// (monotone cubic interpolation).
///
/// Slopes inside: weighted harmonic mean of the neighbouring secants, zero at
/// a turning point (Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5, 1984,
/// with Brodlie's weights); at the ends: the three-point formula, limited to
/// keep the shape (Fritsch and Carlson, SIAM J. Numer. Anal. 17, 1980). Both
/// from memory; checked against an independent program.
#[derive(Debug, Clone, PartialEq)]
pub struct MonotoneCubic {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl MonotoneCubic {
    /// Through the points (`x`, `y`); `x` must rise. One point gives a
    /// constant, none gives zero; the longer column is cut to the shorter.
    #[must_use]
    pub fn through(x: &[f64], y: &[f64]) -> Self {
        let count = x.len().min(y.len());
        let (x, y) = (x[..count].to_vec(), y[..count].to_vec());
        let slope = slopes(&x, &y);
        Self { x, y, slope }
    }

    /// Value at `at`, in the unit of `y`; outside the points the end value is held.
    #[must_use]
    pub fn at(&self, at: f64) -> f64 {
        let (Some(&first), Some(&last)) = (self.y.first(), self.y.last()) else {
            return 0.0;
        };
        let count = self.x.len();
        if at.is_nan() || at <= self.x[0] {
            return first;
        }
        if at >= self.x[count - 1] {
            return last;
        }
        let i = self.x.partition_point(|&x| x <= at) - 1;
        let h = self.x[i + 1] - self.x[i];
        let t = (at - self.x[i]) / h;
        let s = 1.0 - t;
        self.y[i] * s * s * (1.0 + 2.0 * t)
            + self.y[i + 1] * t * t * (1.0 + 2.0 * s)
            + h * t * s * (self.slope[i] * s - self.slope[i + 1] * t)
    }
}

fn slopes(x: &[f64], y: &[f64]) -> Vec<f64> {
    let step: Vec<f64> = x.windows(2).map(|p| p[1] - p[0]).collect();
    let secant: Vec<f64> = y.windows(2).zip(&step).map(|(p, h)| (p[1] - p[0]) / h).collect();
    match secant.len() {
        0 => return vec![0.0; x.len()],
        1 => return vec![secant[0]; 2],
        _ => {}
    }
    let mut slope = Vec::with_capacity(x.len());
    slope.push(end_slope(step[0], step[1], secant[0], secant[1]));
    for i in 1..secant.len() {
        slope.push(inner_slope(step[i - 1], step[i], secant[i - 1], secant[i]));
    }
    let n = secant.len();
    slope.push(end_slope(step[n - 1], step[n - 2], secant[n - 1], secant[n - 2]));
    slope
}

fn inner_slope(before: f64, after: f64, secant_before: f64, secant_after: f64) -> f64 {
    if secant_before * secant_after <= 0.0 {
        return 0.0;
    }
    let weight_before = 2.0 * after + before;
    let weight_after = after + 2.0 * before;
    (weight_before + weight_after) / (weight_before / secant_before + weight_after / secant_after)
}

fn end_slope(near: f64, far: f64, secant_near: f64, secant_far: f64) -> f64 {
    let slope = ((2.0 * near + far) * secant_near - near * secant_far) / (near + far);
    if slope * secant_near <= 0.0 {
        0.0
    } else if secant_near * secant_far <= 0.0 && slope.abs() > 3.0 * secant_near.abs() {
        3.0 * secant_near
    } else {
        slope
    }
}

/// Straight-line value at `at` between points (`x` rising), held at the ends.
pub(crate) fn linear(x: &[f64], y: &[f64], at: f64) -> f64 {
    let right = x.partition_point(|&x| x < at);
    if right == 0 {
        return y.first().copied().unwrap_or_default();
    }
    if right >= x.len() {
        return y.last().copied().unwrap_or_default();
    }
    let share = (at - x[right - 1]) / (x[right] - x[right - 1]);
    y[right - 1] + share * (y[right] - y[right - 1])
}
