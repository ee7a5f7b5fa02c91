//! What a prediction was worked out with, so that it can be worked out again.

/// Provenance of a prediction.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// Version of the program.
    pub version: &'static str,
    /// Vector instructions: `baseline`, `avx2`, `avx512`. Results are bit-identical within one.
    pub level: &'static str,
    /// Width of the numbers, bits.
    pub precision: u32,
    /// Hash of every resolved value that acts on the curve, and of the air asked for: 32
    /// hexadecimal digits, the same on every machine.
    pub fingerprint: String,
    /// Seed of the samples.
    pub seed: u64,
    /// Wanted cell length in fresh charge, m.
    pub cold_cells: f64,
    /// Wanted cell length in exhaust gas, m.
    pub hot_cells: f64,
    /// Number of cells of all ducts.
    pub cells: usize,
}
