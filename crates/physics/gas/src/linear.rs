//! Small dense linear systems.

/// Returns x of `a x = b` by elimination with row pivoting; entries are not finite when `a` is
/// singular.
#[inline]
pub(crate) fn solve<const N: usize>(mut a: [[f64; N]; N], mut b: [f64; N]) -> [f64; N] {
    for k in 0..N {
        let mut pivot = k;
        for i in k + 1..N {
            if a[i][k].abs() > a[pivot][k].abs() {
                pivot = i;
            }
        }
        a.swap(k, pivot);
        b.swap(k, pivot);
        let inverse = 1.0 / a[k][k];
        for i in k + 1..N {
            let factor = a[i][k] * inverse;
            for j in k + 1..N {
                a[i][j] -= factor * a[k][j];
            }
            b[i] -= factor * b[k];
        }
    }
    for k in (0..N).rev() {
        let mut sum = b[k];
        for j in k + 1..N {
            sum -= a[k][j] * b[j];
        }
        b[k] = sum / a[k][k];
    }
    b
}
