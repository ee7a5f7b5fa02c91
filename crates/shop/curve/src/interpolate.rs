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
        let mut slope = slopes(&x, &y);
        // Differences of very large or very close numbers overflow: lie flat there.
        slope.iter_mut().filter(|s| !s.is_finite()).for_each(|s| *s = 0.0);
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
    if secant_before.signum() != secant_after.signum()
        || secant_before == 0.0
        || secant_after == 0.0
    {
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

#[cfg(test)]
mod tests {
    use super::{MonotoneCubic, linear};

    const X: [f64; 7] = [300.0, 350.0, 460.0, 500.0, 640.0, 700.0, 800.0];
    const Y: [f64; 7] = [240.0, 250.0, 251.0, 300.0, 310.0, 310.0, 255.0];

    #[test]
    fn agrees_with_an_independent_program() {
        // SciPy 1.17.1, scipy.interpolate.PchipInterpolator(X, Y).
        let spline = MonotoneCubic::through(&X, &Y);
        for (at, wanted) in [
            (312.0, 243.208_298_784_160_63),
            (350.0, 250.0),
            (400.0, 250.459_819_697_948_2),
            (455.0, 250.901_143_527_060_67),
            (480.0, 274.798_486_246_012_66),
            (510.0, 301.539_310_342_125_76),
            (600.0, 309.336_818_389_357_1),
            (699.0, 310.0),
            (705.0, 309.813_515_625_000_04),
            (750.0, 293.671_875),
            (799.0, 255.892_354_375),
        ] {
            let found = spline.at(at);
            assert!((found - wanted).abs() < 1e-10, "at {at}: {found}, {wanted} wanted");
        }
    }

    #[test]
    fn end_slope_is_limited_where_the_shape_turns() {
        // SciPy 1.17.1: PchipInterpolator([1, 2, 3], [0, 1, -9]), slopes 3 and -15.5 at the ends.
        let spline = MonotoneCubic::through(&[1.0, 2.0, 3.0], &[0.0, 1.0, -9.0]);
        assert!((spline.at(1.5) - 0.875).abs() < 1e-12);
        assert!((spline.at(2.5) + 2.0625).abs() < 1e-12);
    }

    #[test]
    fn one_point_is_a_constant_and_ends_are_held() {
        let one = MonotoneCubic::through(&[3.0], &[7.0]);
        assert_eq!([one.at(0.0), one.at(3.0), one.at(9.0), one.at(f64::NAN)], [7.0; 4]);
        let two = MonotoneCubic::through(&[1.0, 3.0], &[10.0, 20.0]);
        assert_eq!([two.at(0.0), two.at(2.0), two.at(4.0)], [10.0, 15.0, 20.0]);
        assert_eq!(MonotoneCubic::through(&[], &[]).at(1.0), 0.0);
    }

    #[test]
    fn straight_lines_between_points() {
        let at = |w| linear(&[1.0, 2.0, 4.0], &[0.0, 10.0, 30.0], w);
        assert_eq!(
            [at(0.0), at(1.0), at(1.5), at(3.0), at(4.0), at(5.0)],
            [0.0, 0.0, 5.0, 20.0, 30.0, 30.0]
        );
    }
}
