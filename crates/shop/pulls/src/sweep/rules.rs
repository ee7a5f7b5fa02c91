//! What counts as a sweep, a hold, a dwell: figures that a shop can change.

use crate::RPM;

/// What counts as what when pulls are looked for. The figures are ours, from common practice and no
/// source, unless a line says otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rules {
    /// Speed has turned when it went back by this much, rad/s.
    pub reversal: f64,
    /// A stretch is still when speed changes by less than this share of the usual rate beside it.
    pub still: f64,
    /// Shortest hold, s.
    pub dwell: f64,
    /// Left out at the start of a dwell, s, and at most a third of it.
    pub settling: f64,
    /// Largest step between two dwells of one step test, rad/s.
    pub step: f64,
    /// Smallest range of speed of a sweep, rad/s.
    pub span: f64,
    /// Longest gap without a usable speed inside a stretch, s.
    pub gap: f64,
    /// Smallest jump that can be a spike, rad/s.
    pub spike: f64,
    /// Speeds below this are an engine that does not run, rad/s.
    pub stopped: f64,
    /// An unloaded fall has less than this share of the greatest torque.
    pub unloaded: f64,
}

impl Default for Rules {
    fn default() -> Self {
        Self {
            reversal: 100.0 * RPM,
            still: 0.25,
            dwell: 1.0,
            settling: 0.5,
            step: 1000.0 * RPM,
            span: 500.0 * RPM,
            gap: 0.5,
            spike: 50.0 * RPM,
            stopped: 100.0 * RPM,
            unloaded: 0.25,
        }
    }
}
