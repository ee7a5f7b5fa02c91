//! Sweeps and runs held at steps of speed in one comparison.
//!
//! Each mode has its own level at every speed and its own scatter; refits, days and drift act on both.
//! They are pooled where their differences agree.

use crate::compare::{Levels, Outcome};
use crate::estimate::Estimate;
use crate::fitted::Fitted;
use crate::scatter::Scatter;
use crate::select::Data;
use crate::tried::Mode;
use crate::verdict::Margin;
use nalgebra::DVector;

/// Standard uncertainties that the two differences may lie apart and still be pooled.
const AGREE: f64 = 2.0;

/// What sweeps and held speeds say, each without the other.
#[derive(Debug, Clone, PartialEq)]
pub struct ByMode {
    /// The answer of the sweeps alone.
    pub sweep: Outcome,
    /// The answer of the held speeds alone.
    pub steady: Outcome,
    /// Average difference of the held speeds less that of the sweeps. What acts on both cancels.
    pub apart: Estimate,
}

impl ByMode {
    /// True when the two differences lie within twice the standard uncertainty of their distance.
    pub fn agrees(&self) -> bool {
        self.apart.delta.abs() <= AGREE * self.apart.standard
    }
}

/// The answer of a set, and of its modes where both ran both builds. Modes that do not agree are not
/// pooled: the answer is then that of the mode that was run first. `None` when B cannot be told.
pub(crate) fn asked(
    data: &Data,
    scatter: &Scatter,
    levels: Levels,
    margin: Margin,
) -> Option<(Outcome, Option<ByMode>)> {
    let whole = Fitted::new(data, scatter)?;
    let by_mode = by_mode(&whole, scatter, levels, margin);
    let outcome = match &by_mode {
        Some(modes) if !modes.agrees() && data.spots[0].mode == Mode::Steady => {
            modes.steady.clone()
        }
        Some(modes) if !modes.agrees() => modes.sweep.clone(),
        _ => whole.outcome(levels, margin),
    };
    Some((outcome, by_mode))
}

/// The pulls that an answer rests on.
pub(crate) fn pooled(data: &Data, by_mode: Option<&ByMode>) -> Data {
    if by_mode.is_some_and(|modes| !modes.agrees()) { first_mode(data) } else { data.clone() }
}

/// The pulls of the mode that was run first.
pub(crate) fn first_mode(data: &Data) -> Data {
    data.without(|i| data.spots[i].mode != data.spots[0].mode)
}

fn by_mode(whole: &Fitted, scatter: &Scatter, levels: Levels, margin: Margin) -> Option<ByMode> {
    let data = whole.data;
    let alone = |mode: Mode| {
        let of = data.without(|i| data.spots[i].mode != mode);
        let (a, b) = of.counts();
        (a > 0 && b > 0).then_some(of)
    };
    let (swept, held) = (alone(Mode::Sweep)?, alone(Mode::Steady)?);
    let (sweep, steady) = (Fitted::new(&swept, scatter)?, Fitted::new(&held, scatter)?);
    let mut weights = DVector::zeros(data.spots.len());
    for (fitted, sign, mode) in [(&sweep, -1.0, Mode::Sweep), (&steady, 1.0, Mode::Steady)] {
        let rows = (0..data.spots.len()).filter(|&i| data.spots[i].mode == mode);
        rows.zip(fitted.weighted.a.iter()).for_each(|(i, a)| weights[i] = sign * a);
    }
    let apart = whole.model.weighted(weights);
    let apart = whole.model.estimate(&apart, &whole.means, &whole.average_variance, None);
    let (sweep, steady) = (sweep.outcome(levels, margin), steady.outcome(levels, margin));
    Some(ByMode { sweep, steady, apart })
}
