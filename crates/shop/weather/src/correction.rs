//! From air, standard and engine to a factor with everything that must be said beside it.

use crate::air::Air;
use crate::error::WeatherError;
use crate::figure::{Corrected, Factor, Figure, Observed};
use crate::humidity::Humidity;
use crate::remark::Remark;
use crate::standard::Standard;
use crate::standards::{Found, find};
use crate::subject::Subject;
use crate::window::{Limit, Watched, Window};

/// Beyond this distance from 1 no corrected figure stands alone (common practice, no source).
const LARGE: f64 = 0.07;

/// A factor, and what it was made from.
#[derive(Debug, Clone, PartialEq)]
pub struct Correction {
    /// The standard.
    pub standard: Standard,
    /// The air.
    pub air: Air,
    /// The factor.
    pub factor: Factor,
    /// The standard's limits, and on which side this test lies.
    pub windows: Vec<Window>,
    /// What must be said beside it.
    pub remarks: Vec<Remark>,
}

impl Correction {
    /// Corrects an observed figure. `friction` (same kind and speed) is asked for by
    /// [`Factor::OnIndicated`] only.
    ///
    /// # Errors
    /// [`WeatherError::FrictionMissing`].
    pub fn correct<Q: Figure>(
        &self,
        observed: Observed<Q>,
        friction: Option<Q>,
    ) -> Result<Corrected<Q>, WeatherError> {
        let standard = self.standard;
        let value = self.factor.forth(observed.0.si(), friction.map(Q::si));
        let value = value.ok_or(WeatherError::FrictionMissing { standard })?;
        Ok(Corrected::stated(Q::from_si(value), standard))
    }

    /// Takes a corrected figure back to what was observed.
    ///
    /// # Errors
    /// [`WeatherError::OtherStandard`], [`WeatherError::FrictionMissing`].
    pub fn undo<Q: Figure>(
        &self,
        corrected: Corrected<Q>,
        friction: Option<Q>,
    ) -> Result<Observed<Q>, WeatherError> {
        let standard = self.standard;
        if corrected.standard() != standard {
            let figure = corrected.standard();
            return Err(WeatherError::OtherStandard { figure, factor: standard });
        }
        let value = self.factor.back(corrected.value().si(), friction.map(Q::si));
        let value = value.ok_or(WeatherError::FrictionMissing { standard })?;
        Ok(Observed(Q::from_si(value)))
    }

    /// True when every limit holds.
    pub fn within_limits(&self) -> bool {
        self.windows.iter().all(Window::holds)
    }
}

/// Why a standard gives no factor for an engine.
#[derive(Debug, Clone, PartialEq)]
pub struct NotApplicable {
    /// The standard.
    pub standard: Standard,
    /// Why, and what to do instead.
    pub why: &'static str,
    /// What its formula would give were the engine naturally aspirated. It over-corrects: for
    /// people who know it under this name, never a headline.
    pub as_if_natural: Option<Factor>,
}

/// What a standard says of an engine in this air.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// A factor.
    Applies(Correction),
    /// None.
    DoesNotApply(NotApplicable),
}

/// The correction of `standard` for `subject` in `air`, with the limits that the standard states.
///
/// # Errors
/// [`WeatherError`] when the standard asks for something that nobody said, or the engine
/// contradicts itself.
pub fn correction(
    standard: Standard,
    air: &Air,
    subject: &Subject,
) -> Result<Outcome, WeatherError> {
    correction_within(standard, air, subject, &standard.limits(subject.ignition))
}

/// As [`correction`], with the caller's limits.
///
/// # Errors
/// As [`correction`].
pub fn correction_within(
    standard: Standard,
    air: &Air,
    subject: &Subject,
    limits: &[Limit],
) -> Result<Outcome, WeatherError> {
    subject.checked()?;
    let (factor, remarks) = match find(standard, air, subject)? {
        Found::Factor(factor, remarks) => (factor, remarks),
        Found::None { why, as_if_natural } => {
            return Ok(Outcome::DoesNotApply(NotApplicable { standard, why, as_if_natural }));
        }
    };
    let windows = limits.iter().map(|limit| window(*limit, air, factor)).collect();
    let remarks = with_general(remarks, standard, air, factor);
    Ok(Outcome::Applies(Correction { standard, air: *air, factor, windows, remarks }))
}

fn window(limit: Limit, air: &Air, factor: Factor) -> Window {
    let value = match limit.watched {
        Watched::InletTemperature => air.temperature(),
        Watched::DryPressure => air.dry_pressure(),
        Watched::Factor => factor.value(),
    };
    Window::of(limit, value)
}

/// Adds what holds for every standard.
fn with_general(
    mut remarks: Vec<Remark>,
    standard: Standard,
    air: &Air,
    factor: Factor,
) -> Vec<Remark> {
    let uses_humidity = standard != Standard::AsObserved
        && !remarks.contains(&Remark::HumidityIgnored)
        && !remarks.contains(&Remark::FullyCompensated);
    if uses_humidity && air.humidity() == Humidity::NotStated {
        remarks.push(Remark::HumidityNotStated);
    }
    if (factor.value() - 1.0).abs() > LARGE {
        remarks.push(Remark::BeyondSevenPerCent);
    }
    remarks
}
