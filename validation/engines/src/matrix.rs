//! Small symmetric systems.

/// Solves `a x = b` for a symmetric positive definite `a` (Cholesky); `None` when it is not.
pub fn solve(a: &[Vec<f64>], b: &[f64]) -> Option<Vec<f64>> {
    let n = b.len();
    let mut lower = vec![vec![0.0; n]; n];
    for i in 0..n {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let left = a[i][j] - known;
            if i == j && left <= 0.0 {
                return None;
            }
            lower[i][j] = if i == j { left.sqrt() } else { left / lower[j][j] };
        }
    }
    let mut x = b.to_vec();
    for i in 0..n {
        for k in 0..i {
            x[i] -= lower[i][k] * x[k];
        }
        x[i] /= lower[i][i];
    }
    for i in (0..n).rev() {
        for k in i + 1..n {
            x[i] -= lower[k][i] * x[k];
        }
        x[i] /= lower[i][i];
    }
    Some(x)
}

/// `a x`.
pub fn times(a: &[Vec<f64>], x: &[f64]) -> Vec<f64> {
    a.iter().map(|row| row.iter().zip(x).map(|(a, x)| a * x).sum()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_worked_system() {
        // 4x + 2y = 8, 2x + 3y = 8: x = 1, y = 2.
        let x = solve(&[vec![4.0, 2.0], vec![2.0, 3.0]], &[8.0, 8.0]).unwrap();
        assert!((x[0] - 1.0).abs() < 1e-14 && (x[1] - 2.0).abs() < 1e-14);
        assert!(solve(&[vec![1.0, 2.0], vec![2.0, 1.0]], &[1.0, 1.0]).is_none());
    }
}
