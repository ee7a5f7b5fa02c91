//! Losses from a coast-down: `T_loss = c0 + c1 omega + c2 omega²`.
//!
//! With nothing driving, `J d omega/dt = -T_loss`. Speed itself is fitted, not its noisy rate:
//! `omega(t) = b - (c0 t + c1 ∫omega dt + c2 ∫omega² dt) / J`, linear in b and the three c, with the
//! integrals along the readings. What is left over is then the noise of the readings, and the ± of a
//! loss follows from it by ordinary least squares. Own formulation of Newton's second law.
//!
//! Clutch open and same gear: drag of roller, tyres and driveline **without load**.

use crate::error::PullsError;
use nalgebra::{DMatrix, DVector, Matrix4, RowVector4, Vector4};
use statrs::distribution::{ContinuousCDF, StudentsT};

/// Fewest rows of a fit.
const FEWEST: usize = 20;
/// Speed must fall to below this share of its start (ours).
const FAR: f64 = 0.8;
/// Half of 5 %.
const ONE_SIDE: f64 = 0.975;

/// Torque of losses over speed, with its ±.
#[derive(Debug, Clone, PartialEq)]
pub struct Losses {
    /// c0, N·m, c1, N·m·s, and c2, N·m·s².
    pub coefficients: [f64; 3],
    /// Covariance of `b` and the c.
    covariance: Matrix4<f64>,
    /// Factor from standard uncertainty to ±.
    coverage: f64,
    /// Lowest and highest speed of the coast-down, rad/s.
    pub range: (f64, f64),
    /// Inertia of all that coasted, kg·m² at this shaft.
    pub inertia: f64,
}

/// Loss at one speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LossAt {
    /// N·m.
    pub torque: f64,
    /// ± (coverage 95 %), N·m, by the scatter of the readings alone.
    pub plus_minus: f64,
    /// The coast-down reached this speed; where not, the parabola was prolonged.
    pub inside: bool,
}

impl Losses {
    /// Loss at a speed, rad/s.
    pub fn at(&self, speed: f64) -> LossAt {
        let [c0, c1, c2] = self.coefficients;
        let row = RowVector4::new(0.0, 1.0, speed, speed * speed);
        let variance = (row * self.covariance * row.transpose())[0];
        LossAt {
            torque: c0 + speed * (c1 + speed * c2),
            plus_minus: self.coverage * variance.max(0.0).sqrt(),
            inside: speed >= self.range.0 && speed <= self.range.1,
        }
    }
}

/// Fits the losses of a coast-down: time (s), speed (rad/s of the shaft that `inertia`, kg·m², is
/// of). Rows that miss a reading are left out.
///
/// # Errors
/// [`PullsError::CoastDown`] for too few rows or too small a fall, [`PullsError::NotPositive`].
pub fn fit_losses(time: &[f64], speed: &[f64], inertia: f64) -> Result<Losses, PullsError> {
    if !(inertia.is_finite() && inertia > 0.0) {
        return Err(PullsError::NotPositive { what: "moment of inertia", value: inertia });
    }
    let fault = |why| PullsError::CoastDown { why };
    let both = time.iter().copied().zip(speed.iter().copied());
    let rows: Vec<(f64, f64)> = both.filter(|(t, w)| t.is_finite() && w.is_finite()).collect();
    let n = rows.len();
    if n < FEWEST {
        return Err(fault("too few rows; record it at ten rows a second or more"));
    }
    let third = n / 10 + 1;
    let mean = |part: &[(f64, f64)]| part.iter().map(|(_, w)| w).sum::<f64>() / part.len() as f64;
    let (high, low) = (mean(&rows[..third]), mean(&rows[n - third..]));
    if !(low > 0.0 && low < FAR * high) {
        return Err(fault("speed falls by less than a fifth; let it coast further"));
    }
    let design = design(&rows, inertia, high);
    let wanted = DVector::from_iterator(n, rows.iter().map(|(_, w)| *w));
    let singular = fault("the rows do not tell a loss; is the clock right?");
    let (scaled, covariance) = least_squares(&design.matrix, &wanted).ok_or(singular)?;
    let scale = Matrix4::from_diagonal(&design.scale);
    let coefficients = scale * scaled;
    let dof = (n - 4) as f64;
    let coverage = StudentsT::new(0.0, 1.0, dof).map_or(2.0, |t| t.inverse_cdf(ONE_SIDE));
    Ok(Losses {
        coefficients: [coefficients[1], coefficients[2], coefficients[3]],
        covariance: scale * covariance * scale,
        coverage,
        range: (low, high),
        inertia,
    })
}

/// Columns of the fit, brought to one size, and what takes their coefficients back.
struct Design {
    matrix: DMatrix<f64>,
    scale: Vector4<f64>,
}

fn design(rows: &[(f64, f64)], inertia: f64, high: f64) -> Design {
    let length = rows[rows.len() - 1].0 - rows[0].0;
    let (mut first, mut second) = (0.0, 0.0);
    let mut matrix = DMatrix::zeros(rows.len(), 4);
    for (i, &(t, w)) in rows.iter().enumerate() {
        if i > 0 {
            let (before, v) = rows[i - 1];
            let step = t - before;
            first += 0.5 * step * (w + v);
            // Of a straight line between the rows.
            second += step * (w * w + w * v + v * v) / 3.0;
        }
        let columns = [1.0, -(t - rows[0].0), -first, -second];
        let sizes = [1.0, length, length * high, length * high * high];
        for (k, (column, size)) in columns.into_iter().zip(sizes).enumerate() {
            matrix[(i, k)] = column / size;
        }
    }
    let per = inertia / length;
    Design { matrix, scale: Vector4::new(1.0, per, per / high, per / (high * high)) }
}

/// Coefficients and their covariance by QR; `None` when columns are not independent.
fn least_squares(
    matrix: &DMatrix<f64>,
    wanted: &DVector<f64>,
) -> Option<(Vector4<f64>, Matrix4<f64>)> {
    let qr = matrix.clone().qr();
    let r = qr.r();
    let inverse = r.try_inverse()?;
    let found = &inverse * (qr.q().transpose() * wanted);
    let left = (wanted - matrix * &found).norm_squared() / (matrix.nrows() - 4) as f64;
    let covariance = &inverse * inverse.transpose() * left;
    let all = found.iter().chain(covariance.iter()).all(|value| value.is_finite());
    all.then(|| (Vector4::from_fn(|i, _| found[i]), Matrix4::from_fn(|i, j| covariance[(i, j)])))
}
