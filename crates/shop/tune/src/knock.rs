//! What hearing no knock means.
//!
//! Equation: with no event in n cycles the chance of knock in a cycle is below `1 - 0.05^(1/n)`
//! 19 times in 20, which for large n is `3 / n` (the rule of three; Hanley & Lippman-Hand, JAMA 249
//! (1983) 1743, from memory).
//! Used for: saying how little a quick sweep proves.

/// Highest chance of knock in a cycle that `cycles` cycles without knock leave, 19 times in 20; 1
/// when none was listened to.
pub fn knock_bound(cycles: u32) -> f64 {
    if cycles == 0 { 1.0 } else { 1.0 - 0.05f64.powf(1.0 / f64::from(cycles)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The rule of three is the limit of the exact bound; 42 cycles leave about 7 %.
    #[test]
    fn no_knock_in_a_sweep_proves_little() {
        assert!((knock_bound(42) - 3.0 / 42.0).abs() < 0.003);
        assert!((knock_bound(10_000) * 10_000.0 - 3.0).abs() < 0.005);
        assert_eq!(knock_bound(0), 1.0);
    }
}
