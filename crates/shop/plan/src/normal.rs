//! The normal distribution, Student's factor and a small generator with a seed.

use std::f64::consts::PI;

/// Coverage factor of 95 % for a standard deviation taken as known (JCGM 100, table G.2, infinite
/// degrees of freedom).
pub(crate) const K_95: f64 = 1.959_964;

/// Student's t for 95 % and 1 to 15 degrees of freedom (JCGM 100, table G.2, to more places; from
/// memory).
const T_95: [f64; 15] = [
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160,
    2.145, 2.131,
];

/// Student's t for 95 %, two-sided; beyond 15 degrees of freedom that of 15 (a little too large).
pub(crate) fn student_95(degrees: usize) -> f64 {
    T_95[degrees.clamp(1, T_95.len()) - 1]
}

/// Share of the standard normal distribution below `z`, by Marsaglia's series (J. Statistical
/// Software 11(4), 2004; from memory); 0 and 1 beyond 7.
pub(crate) fn below(z: f64) -> f64 {
    if z.is_nan() {
        return 0.5;
    }
    if z.abs() > 7.0 {
        return if z > 0.0 { 1.0 } else { 0.0 };
    }
    let (mut term, mut sum, mut k) = (z, z, 1.0);
    while term.abs() > 1e-17 {
        k += 2.0;
        term *= z * z / k;
        sum += term;
    }
    0.5 + sum * (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

/// The z below which a share of the standard normal distribution lies; ±7 at the ends.
pub(crate) fn quantile(share: f64) -> f64 {
    let (mut low, mut high) = (-7.0, 7.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if below(middle) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// SplitMix64 (Steele, Lea & Flood 2014; constants from memory): small, seeded, the same everywhere.
#[derive(Debug, Clone)]
pub(crate) struct Chance(u64);

impl Chance {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly spread between 0 and 1, neither included.
    pub fn share(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / (1u64 << 53) as f64
    }

    /// Standard normal (Box & Muller 1958, from memory; of the pair one is used).
    pub fn normal(&mut self) -> f64 {
        let (radius, turn) = (self.share(), self.share());
        (-2.0 * radius.ln()).sqrt() * (2.0 * PI * turn).cos()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_agree_with_printed_tables() {
        // Standard normal tables (any handbook): 1.00, 1.96, 2.5758, -1.6449.
        for (z, share) in
            [(1.0, 0.841_345), (1.959_964, 0.975), (2.575_83, 0.995), (-1.644_85, 0.05)]
        {
            assert!((below(z) - share).abs() < 1e-6, "{z}");
            assert!((quantile(share) - z).abs() < 2e-5, "{share}");
        }
        assert_eq!((below(9.0), below(-9.0), below(f64::NAN)), (1.0, 0.0, 0.5));
    }

    #[test]
    fn student_factor_is_that_of_the_guide() {
        // JCGM 100 table G.2, column 95 %: 12.71, 2.57, 2.23, 2.13.
        for (degrees, t) in [(1, 12.71), (5, 2.57), (10, 2.23), (15, 2.13), (40, 2.13)] {
            assert!((student_95(degrees) - t).abs() < 0.005);
        }
    }

    #[test]
    fn generator_gives_its_published_first_numbers() {
        // First outputs for seed 1234567, as published with the reference code (from memory).
        let mut chance = Chance::new(1_234_567);
        assert_eq!(chance.next(), 6_457_827_717_110_365_317);
        assert_eq!(chance.next(), 3_203_168_211_198_807_973);
    }
}
