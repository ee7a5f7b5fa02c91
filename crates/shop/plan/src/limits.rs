//! Limits of a build: in order, watch, stop.

use shortblock_units::Quantity;

/// How a limit stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Beyond it: do not run.
    Stop,
    /// Close to it, or a sign that something is not as written.
    Watch,
    /// Well inside.
    InOrder,
}

impl Verdict {
    /// The words on every page: `in order`, `watch`, `stop`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::InOrder => "in order",
            Self::Watch => "watch",
            Self::Stop => "stop",
        }
    }
}

/// Whose a limit is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Whose {
    /// The engine file's.
    File,
    /// Shipped, with its source.
    Shipped(String),
}

/// One limit against the prediction.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitCheck {
    /// What is limited: "mean piston speed".
    pub name: &'static str,
    /// How it stands.
    pub verdict: Verdict,
    /// The value that comes closest to the limit, SI.
    pub value: f64,
    /// The limit, SI; two where a range is wanted.
    pub limit: (Option<f64>, Option<f64>),
    /// Quantity of both.
    pub quantity: Quantity,
    /// Engine speed at which it comes closest, rad/s; `None` where speed plays no part.
    pub speed: Option<f64>,
    /// What it means, one sentence.
    pub reason: String,
    /// Whose limit it is.
    pub whose: Whose,
}
