//! Least-squares parabola and the limits of its top.
//!
//! Equation: `T = a + b (x - m) + c (x - m)^2`, m the mean of the settings; top at
//! `x* = m - b / (2 c)`. Limits of the top: the settings rho (counted from m) at which
//! `(b + 2 rho c)^2 = t^2 (C_bb + 4 rho C_bc + 4 rho^2 C_cc)` with C the covariance of a, b, c
//! (E. C. Fieller, J. R. Stat. Soc. B 16 (1954) 175, from memory).
//! Used for: spark and mixture loops near their top.

use crate::reading::Scatter;
use crate::student::nineteen_in_twenty;
use nalgebra::{Matrix3, Vector3};

/// A fitted parabola.
#[derive(Debug, Clone, PartialEq)]
pub struct Parabola {
    /// Mean of the settings.
    pub centre: f64,
    /// a, b, c.
    pub coefficients: [f64; 3],
    /// Covariance of a, b, c.
    pub covariance: [[f64; 3]; 3],
    /// Standard deviation of a reading, N·m.
    pub scatter: f64,
    /// Degrees of freedom of the scatter, the history's included.
    pub dof: f64,
}

/// Limits of the top, 19 times in 20.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Parabola {
    /// Least squares through settings and torques with the scatter pooled from its own residuals
    /// and the history; `None` with fewer than three different settings, or when nothing is known
    /// of the scatter.
    pub fn fit(settings: &[f64], torques: &[f64], history: &Scatter) -> Option<Self> {
        let n = settings.len().min(torques.len());
        let centre = settings.iter().sum::<f64>() / n as f64;
        let reach = settings.iter().map(|x| (x - centre).abs()).fold(0.0, f64::max);
        if n < 3 || reach <= 0.0 {
            return None;
        }
        // Scaled to a reach of one: the normal matrix is then as well conditioned as it can be.
        let row = |x: f64| {
            let u = (x - centre) / reach;
            Vector3::new(1.0, u, u * u)
        };
        let rows = || settings.iter().map(|x| row(*x)).zip(torques);
        let normal: Matrix3<f64> = rows().map(|(v, _)| v * v.transpose()).sum();
        let inverse = normal.try_inverse()?;
        let beta = inverse * rows().map(|(v, t)| v * *t).sum::<Vector3<f64>>();
        let residual: f64 = rows().map(|(v, t)| (t - v.dot(&beta)).powi(2)).sum();
        let mean = torques.iter().sum::<f64>() / n as f64;
        let own = n as f64 - 3.0;
        let dof = own + history.dof;
        let known = history.dof * (history.share * mean).powi(2);
        let variance = (residual + known) / dof;
        let scale = [1.0, 1.0 / reach, 1.0 / (reach * reach)];
        let covariance: [[f64; 3]; 3] = std::array::from_fn(|i| {
            std::array::from_fn(|j| variance * inverse[(i, j)] * scale[i] * scale[j])
        });
        let finite = dof > 0.0 && covariance.iter().flatten().all(|c| c.is_finite());
        finite.then(|| Self {
            centre,
            coefficients: std::array::from_fn(|i| beta[i] * scale[i]),
            covariance,
            scatter: variance.sqrt(),
            dof,
        })
    }

    /// Setting of the top; meaningful only where the curvature is below 0.
    pub fn top(&self) -> f64 {
        let [_, b, c] = self.coefficients;
        self.centre - b / (2.0 * c)
    }

    /// Torque at a setting.
    pub fn at(&self, setting: f64) -> f64 {
        let [a, b, c] = self.coefficients;
        let u = setting - self.centre;
        a + b * u + c * u * u
    }

    /// Standard deviation of the torque at a setting.
    pub fn deviation_at(&self, setting: f64) -> f64 {
        let u = setting - self.centre;
        let powers = [1.0, u, u * u];
        let sum = (0..3).flat_map(|i| (0..3).map(move |j| (i, j)));
        sum.map(|(i, j)| powers[i] * powers[j] * self.covariance[i][j]).sum::<f64>().max(0.0).sqrt()
    }

    /// Slope at a setting and its standard deviation.
    pub fn slope_at(&self, setting: f64) -> (f64, f64) {
        let [_, b, c] = self.coefficients;
        let u = setting - self.centre;
        let k = &self.covariance;
        let variance = k[1][1] + 4.0 * u * k[1][2] + 4.0 * u * u * k[2][2];
        (b + 2.0 * c * u, variance.max(0.0).sqrt())
    }

    /// Limits of the top, 19 times in 20; `None` when the curvature is not below 0 by more than its
    /// own scatter: then there may be no top at all.
    pub fn limits(&self) -> Option<Limits> {
        let t2 = nineteen_in_twenty(self.dof).powi(2);
        let [_, b, c] = self.coefficients;
        let k = &self.covariance;
        let (squared, linear, constant) =
            (4.0 * (c * c - t2 * k[2][2]), 4.0 * (b * c - t2 * k[1][2]), b * b - t2 * k[1][1]);
        let root = linear * linear - 4.0 * squared * constant;
        if c >= 0.0 || squared <= 0.0 || root < 0.0 {
            return None;
        }
        let end = |sign: f64| self.centre + (-linear + sign * root.sqrt()) / (2.0 * squared);
        Some(Limits { low: end(-1.0), high: end(1.0) })
    }

    /// Distance from the top at which this share of its torque is lost.
    pub fn reach_of_loss(&self, share: f64) -> f64 {
        (share * self.at(self.top()) / -self.coefficients[2]).sqrt()
    }
}
