//! Covariance of the pulls and the weights of the best unbiased difference.
//!
//! y = X β + noise, V = diag(s_r²) + Σ s_c² Z_c Z_cᵀ. The difference is a linear combination aᵀy with
//! a the row of B in (Xᵀ V⁻¹ X)⁻¹ Xᵀ V⁻¹ (generalised least squares; Aitken 1936, from memory).

use nalgebra::{Cholesky, DMatrix, DVector};

/// Weights of the last column of `fixed`; `None` when it cannot be told from the other columns.
/// `pulls` holds the variance of each pull by itself.
pub(crate) fn weights(
    fixed: &DMatrix<f64>,
    pulls: &DVector<f64>,
    random: &[(f64, &DMatrix<f64>)],
) -> Option<DVector<f64>> {
    let mut v = DMatrix::from_diagonal(pulls);
    for (variance, z) in random {
        v.gemm(*variance, z, &z.transpose(), 1.0);
    }
    let v_inverse_x = Cholesky::new(v)?.solve(fixed);
    let normal = fixed.transpose() * &v_inverse_x;
    let scale = normal.diagonal().map(|d| d.sqrt().recip());
    let scaled = DMatrix::from_fn(normal.nrows(), normal.ncols(), |i, j| {
        normal[(i, j)] * scale[i] * scale[j]
    });
    let factor = Cholesky::new(scaled)?;
    // A column that the others make up leaves nothing on the diagonal of the factor.
    if factor.l_dirty().diagonal().iter().any(|d| *d < 1e-6) {
        return None;
    }
    let last = normal.nrows() - 1;
    let mut unit = DVector::zeros(normal.nrows());
    unit[last] = 1.0;
    let row = factor.solve(&unit).component_mul(&scale) * scale[last];
    Some(v_inverse_x * row)
}

/// Orthonormal basis of the columns of `m` (modified Gram-Schmidt, twice, dependent ones dropped).
pub(crate) fn basis(m: &DMatrix<f64>) -> Vec<DVector<f64>> {
    let mut kept: Vec<DVector<f64>> = Vec::new();
    for column in m.column_iter() {
        let mut c = column.clone_owned();
        let before = c.norm();
        for _ in 0..2 {
            for q in &kept {
                let along = q.dot(&c);
                c.axpy(-along, q, 1.0);
            }
        }
        let left = c.norm();
        if left > 1e-9 * before && left > 0.0 {
            kept.push(c / left);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    /// With nothing but pull scatter the weights are those of two means.
    #[test]
    fn without_random_columns_it_is_the_difference_of_means() {
        let b = [0.0, 1.0, 1.0, 0.0, 0.0];
        let x = DMatrix::from_fn(5, 2, |i, j| if j == 0 { 1.0 } else { b[i] });
        let a = weights(&x, &DVector::from_element(5, 1.0), &[]).unwrap();
        for (a, b) in a.iter().zip(b) {
            assert!((a - if b == 1.0 { 0.5 } else { -1.0 / 3.0 }).abs() < 1e-14);
        }
        let alike = DMatrix::from_element(5, 2, 1.0);
        assert!(weights(&alike, &DVector::from_element(5, 1.0), &[]).is_none());
    }
}
