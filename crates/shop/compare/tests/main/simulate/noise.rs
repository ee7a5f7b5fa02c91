//! Noise over the speed grid.

use super::{SPEEDS, rpm};
use nalgebra::DMatrix;
use rand::{Rng, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use shortblock_pulls::grid;

/// Speed of the sweeps, rpm/s.
const SWEEP_RPM_S: f64 = 300.0;

/// Standard normal deviates.
pub struct Deviates(Xoshiro256PlusPlus, Option<f64>);

impl Deviates {
    /// Seeded with the FNV-1a hash of a name, and a number that is added to it.
    pub fn named(name: &str, number: usize) -> Self {
        let hash = name.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |h, b| {
            (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3)
        });
        Self(Xoshiro256PlusPlus::seed_from_u64(hash.wrapping_add(number as u64)), None)
    }

    /// Between 0 and 1, neither of them.
    pub fn uniform(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// Box-Muller.
    pub fn normal(&mut self) -> f64 {
        if let Some(z) = self.1.take() {
            return z;
        }
        let r = (-2.0 * self.uniform().ln()).sqrt();
        let angle = std::f64::consts::TAU * self.uniform();
        self.1 = Some(r * angle.sin());
        r * angle.cos()
    }

    pub fn chi2_over_dof(&mut self, dof: usize) -> f64 {
        (0..dof).map(|_| self.normal().powi(2)).sum::<f64>() / dof as f64
    }
}

/// Gaussian noise over the speed grid with unit variance and the given width (FWHM, rpm).
pub fn smooth(d: &mut Deviates, fwhm_rpm: f64) -> Vec<f64> {
    // White noise under a Gaussian kernel has the kernel's width (Worsley et al. 1996).
    let sd = fwhm_rpm / 2.3548 / 50.0;
    let reach = (3.0 * sd).ceil() as usize;
    let kernel: Vec<f64> =
        (0..=2 * reach).map(|i| (-0.5 * ((i as f64 - reach as f64) / sd).powi(2)).exp()).collect();
    let norm = kernel.iter().map(|k| k * k).sum::<f64>().sqrt();
    let white: Vec<f64> = (0..SPEEDS + 2 * reach).map(|_| d.normal()).collect();
    let at = |g: usize| kernel.iter().zip(&white[g..]).map(|(k, w)| k * w).sum::<f64>() / norm;
    (0..SPEEDS).map(at).collect()
}

/// White noise of the samples of a sweep as the straight lines fitted around each grid speed leave
/// it: its covariance is found by sending unit pulses through the program's own fit.
pub struct White {
    factor: DMatrix<f64>,
    reach: usize,
}

impl White {
    pub fn sampled_at(rate_hz: f64) -> Self {
        let step = SWEEP_RPM_S / rate_hz;
        let (from, to) = (rpm(0) - 300.0, rpm(SPEEDS - 1) + 300.0);
        let samples = ((to - from) / step) as usize;
        let turn = std::f64::consts::PI / 30.0;
        let speed: Vec<f64> = (0..samples).map(|i| turn * (from + step * i as f64)).collect();
        let places: Vec<f64> = (0..SPEEDS).map(|g| turn * rpm(g)).collect();
        let width = grid::bandwidth(&speed);
        let mut pulse = vec![0.0; samples];
        let mut weights = DMatrix::zeros(SPEEDS, samples);
        for i in 0..samples {
            pulse[i] = 1.0;
            weights
                .column_mut(i)
                .copy_from_slice(&grid::local_line(&speed, &pulse, &places, width));
            pulse[i] = 0.0;
        }
        let covariance = &weights * weights.transpose();
        let factor = covariance.cholesky().expect("neighbours differ in their samples").l();
        let reach = (2.0 * width / (50.0 * turn)).ceil() as usize;
        Self { factor, reach }
    }

    /// Noise of samples with unit variance.
    pub fn draw(&self, d: &mut Deviates) -> Vec<f64> {
        let z: Vec<f64> = (0..SPEEDS).map(|_| d.normal()).collect();
        let at = |g: usize| {
            let from = g.saturating_sub(self.reach);
            (from..=g).map(|k| self.factor[(g, k)] * z[k]).sum::<f64>()
        };
        (0..SPEEDS).map(at).collect()
    }

    /// Variance at the middle of the grid for samples of unit variance.
    pub fn variance(&self) -> f64 {
        self.factor.row(SPEEDS / 2).norm_squared()
    }
}
