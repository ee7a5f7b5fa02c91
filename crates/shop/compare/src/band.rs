//! The band over speed that holds the whole difference at once.

use crate::student;
use nalgebra::DMatrix;
use std::f64::consts::{LN_2, TAU};

/// Shortest stretch that counts, rpm.
pub(crate) const STRETCH_RPM: f64 = 300.0;

/// What the band says at a speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Says {
    /// B gives more.
    More,
    /// B gives less.
    Less,
    /// The band holds 0.
    CantTell,
}

/// Speeds over which the band says the same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// First speed, rpm.
    pub from_rpm: f64,
    /// Last speed, rpm.
    pub to_rpm: f64,
    /// What it says.
    pub says: Says,
}

impl Stretch {
    /// True for a stretch of at least 300 rpm.
    pub fn counts(&self) -> bool {
        self.to_rpm - self.from_rpm >= STRETCH_RPM - 1e-6
    }
}

/// Difference over speed with a band for the whole curve at once.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Speeds, rpm.
    pub speeds_rpm: Vec<f64>,
    /// Difference B less A, fractions.
    pub delta: Vec<f64>,
    /// Half-width, fractions.
    pub half_width: Vec<f64>,
    /// Critical value the half-width was made with.
    pub critical: f64,
    /// Degrees of freedom (median over speed).
    pub dof: f64,
    /// Resolution elements in the range.
    pub resels: f64,
}

impl Band {
    /// What the band says at each speed, gathered into stretches over the whole range.
    pub fn stretches(&self) -> Vec<Stretch> {
        self.stretches_beyond(0.0)
    }

    /// Stretches where the band lies wholly beyond ±`margin`.
    pub(crate) fn stretches_beyond(&self, margin: f64) -> Vec<Stretch> {
        let mut out: Vec<Stretch> = Vec::new();
        for ((&rpm, &delta), &half) in self.speeds_rpm.iter().zip(&self.delta).zip(&self.half_width)
        {
            let says = if delta - half > margin {
                Says::More
            } else if delta + half < -margin {
                Says::Less
            } else {
                Says::CantTell
            };
            match out.last_mut() {
                Some(last) if last.says == says => last.to_rpm = rpm,
                _ => out.push(Stretch { from_rpm: rpm, to_rpm: rpm, says }),
            }
        }
        out
    }
}

/// Resolution elements of noise over the grid: Σ √(Σ_i (r_i,g+1 - r_i,g)²/(4 ln 2)), r = e/|e|, `e`
/// one row a pull and one column a speed. The residuals are normalised first (Worsley et al.,
/// Human Brain Mapping 4 (1996) 58-73, from memory; Kiebel et al., NeuroImage 10 (1999) 756-766,
/// from memory).
pub fn resels(residuals: &DMatrix<f64>) -> f64 {
    let norms: Vec<f64> = residuals.column_iter().map(|c| c.norm()).collect();
    let mut sum = 0.0;
    for g in 1..residuals.ncols() {
        let (n0, n1) = (norms[g - 1], norms[g]);
        if n0 <= 0.0 || n1 <= 0.0 {
            continue;
        }
        let (e0, e1) = (residuals.column(g - 1), residuals.column(g));
        let squares: f64 = e0.iter().zip(e1.iter()).map(|(a, b)| (b / n1 - a / n0).powi(2)).sum();
        sum += (squares / (4.0 * LN_2)).sqrt();
    }
    sum
}

/// Value that |t| exceeds anywhere on the curve with probability at most `level`: the smaller of
/// expected Euler characteristic, P(T > u) + resels √(4 ln 2)/2π (1 + u²/ν)^(-(ν-1)/2) = level/2
/// (Worsley et al. 1996, from memory), and Bonferroni over `speeds`.
pub fn critical_value(level: f64, dof: f64, resels: f64, speeds: usize) -> f64 {
    let bonferroni = student::quantile(1.0 - level / (2.0 * speeds.max(1) as f64), dof);
    let excess = |u: f64| {
        let power =
            if dof.is_finite() { -(dof - 1.0) / 2.0 * (u * u / dof).ln_1p() } else { -u * u / 2.0 };
        student::upper_tail(u, dof) + resels * (4.0 * LN_2).sqrt() / TAU * power.exp() - level / 2.0
    };
    if excess(bonferroni) >= 0.0 {
        return bonferroni;
    }
    let (mut low, mut high) = (0.0, bonferroni);
    for _ in 0..48 {
        let middle = 0.5 * (low + high);
        if excess(middle) > 0.0 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}
