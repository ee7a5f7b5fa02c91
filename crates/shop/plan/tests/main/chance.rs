//! Chance with a seed, for invented engines.

/// SplitMix64 (Steele, Lea & Flood 2014; constants from memory).
pub struct Chance(u64);

impl Chance {
    /// A stream of its own for each seed.
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x656E_6769_6E65)
    }

    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Evenly spread from `low` up to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// Yes with this chance.
    pub fn yes(&mut self, share: f64) -> bool {
        self.share() < share
    }

    /// One of several, all alike.
    pub fn one<T: Copy>(&mut self, of: &[T]) -> T {
        of[((of.len() as f64 * self.share()) as usize).min(of.len() - 1)]
    }
}
