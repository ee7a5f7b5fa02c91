//! Interpolation through a table that never overshoots its neighbours.
//!
//! Piecewise cubic with slopes limited so that every piece is monotone where its ends are.
//! Source: Fritsch & Butland 1984 (weighted harmonic mean of the neighbouring slopes; from memory).

/// A table of points with limited slopes; abscissae strictly ascending, at least two points.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Monotone {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl Monotone {
    /// Takes points with strictly ascending, finite abscissae (checked by the caller).
    pub fn new(x: Vec<f64>, y: Vec<f64>) -> Self {
        let n = x.len();
        let chord: Vec<f64> = (1..n).map(|i| (y[i] - y[i - 1]) / (x[i] - x[i - 1])).collect();
        let mut slope = vec![0.0; n];
        for i in 1..n.saturating_sub(1) {
            let (a, b) = (chord[i - 1], chord[i]);
            if a * b > 0.0 {
                let (h0, h1) = (x[i] - x[i - 1], x[i + 1] - x[i]);
                let (w0, w1) = (2.0 * h1 + h0, h1 + 2.0 * h0);
                slope[i] = (w0 + w1) / (w0 / a + w1 / b);
            }
        }
        if n > 1 {
            slope[0] = end_slope(chord[0], slope[1]);
            slope[n - 1] = end_slope(chord[n - 2], slope[n - 2]);
        }
        Self { x, y, slope }
    }

    pub fn first(&self) -> f64 {
        self.x[0]
    }

    pub fn last(&self) -> f64 {
        self.x[self.x.len() - 1]
    }

    pub fn points(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.x.iter().copied().zip(self.y.iter().copied())
    }

    /// Value at `x`; the end values outside.
    pub fn at(&self, x: f64) -> f64 {
        let n = self.x.len();
        if x <= self.x[0] {
            return self.y[0];
        }
        if x >= self.x[n - 1] {
            return self.y[n - 1];
        }
        let i = self.x.partition_point(|&a| a <= x) - 1;
        let h = self.x[i + 1] - self.x[i];
        let t = (x - self.x[i]) / h;
        let w = 1.0 - t;
        w * w * ((1.0 + 2.0 * t) * self.y[i] + h * t * self.slope[i])
            + t * t * ((3.0 - 2.0 * t) * self.y[i + 1] - h * w * self.slope[i + 1])
    }
}

/// Slope at an end from its chord and the next slope, limited to keep the piece monotone.
fn end_slope(chord: f64, next: f64) -> f64 {
    let slope = 1.5 * chord - 0.5 * next;
    if slope * chord <= 0.0 { 0.0 } else { slope.abs().min(3.0 * chord.abs()).copysign(chord) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn passes_its_points_and_never_overshoots() {
        let x = vec![0.0, 1.0, 1.5, 4.0, 5.0];
        let y = vec![0.0, 2.0, 2.1, 2.1, 7.0];
        let m = Monotone::new(x.clone(), y.clone());
        for (a, b) in x.iter().zip(&y) {
            assert!((m.at(*a) - b).abs() < 1e-12);
        }
        let mut last = 0.0;
        for i in 0..=500 {
            let v = m.at(i as f64 * 0.01);
            assert!(v >= last - 1e-12);
            last = v;
        }
    }

    #[test]
    fn a_straight_line_stays_one() {
        let m = Monotone::new(vec![0.0, 0.3, 1.0], vec![1.0, 1.6, 3.0]);
        assert!((m.at(0.77) - 2.54).abs() < 1e-12);
    }
}
