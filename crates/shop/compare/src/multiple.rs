//! Several parts tested in one day.

/// Holm's step-down adjustment (Holm 1979): one adjusted p value for each given, in the same
/// order, each in 0..=1. A part counts when its adjusted value is at most the level.
pub fn holm(p_values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..p_values.len()).collect();
    order.sort_by(|&i, &j| p_values[i].total_cmp(&p_values[j]));
    let mut adjusted = vec![1.0; p_values.len()];
    let mut so_far: f64 = 0.0;
    for (rank, &i) in order.iter().enumerate() {
        so_far = so_far.max(p_values[i] * (p_values.len() - rank) as f64).min(1.0);
        adjusted[i] = so_far;
    }
    adjusted
}

#[cfg(test)]
mod tests {
    use super::*;

    /// R's manual of p.adjust defines the same; worked by hand.
    #[test]
    fn the_smallest_is_charged_for_all_the_next_for_one_less() {
        let adjusted = holm(&[0.03, 0.01, 0.04]);
        for (a, b) in adjusted.iter().zip([0.06, 0.03, 0.06]) {
            assert!((a - b).abs() < 1e-12);
        }
        assert!(holm(&[]).is_empty());
    }
}
