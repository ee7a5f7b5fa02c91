//! Weather over a pull: one factor from the weather before and after it, interpolated in time only
//! when it moved.

use crate::correction::Correction;
use crate::error::WeatherError;
use crate::figure::Factor;
use std::fmt;

/// Beyond this move of the factor it is interpolated in time (ours).
const MOVED: f64 = 0.002;
/// Beyond this age a weather reading is to be taken anew, s (common practice, no source).
pub const OLDEST_READING: f64 = 30.0 * 60.0;
/// Beyond this move of the temperature too, K (common practice, no source).
const WARMED: f64 = 2.0;

/// A correction by a reading taken at a time.
#[derive(Debug, Clone, PartialEq)]
pub struct Timed {
    /// The correction in the air that was read.
    pub correction: Correction,
    /// When it was read, s, by the clock of the pull.
    pub at: f64,
}

/// Start and end of a pull, s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Start, s.
    pub start: f64,
    /// End, s.
    pub end: f64,
}

/// Something to look at before the factor is believed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Flag {
    /// The factor moved by this share from the first reading to the second.
    Moved(f64),
    /// The reading was this old, s.
    Old(f64),
    /// The inlet air differs by this much, K, from the reading, or between the readings.
    Warmed(f64),
}

impl fmt::Display for Flag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Moved(share) => write!(
                f,
                "the weather moved the factor by {:+.2} % over the pull; it is interpolated in time",
                share * 100.0
            ),
            Self::Old(age) => write!(
                f,
                "the weather reading was {:.0} min from the pull; read it within 30 min",
                age / 60.0
            ),
            Self::Warmed(kelvin) => write!(
                f,
                "the inlet air moved by {kelvin:+.1} K since the weather was read; read it again"
            ),
        }
    }
}

/// The correction of a pull.
#[derive(Debug, Clone, PartialEq)]
pub struct PullCorrection {
    first: Timed,
    last: Timed,
    interpolated: bool,
    /// What to look at.
    pub flags: Vec<Flag>,
}

impl PullCorrection {
    /// The factor for a sample at a time, s: one for the whole pull, unless the weather moved; then
    /// in proportion to time between the readings, and held beyond them.
    pub fn factor_at(&self, time: f64) -> Factor {
        let (first, last) = (self.first.correction.factor, self.last.correction.factor);
        let (from, to) = (first.value(), last.value());
        if !self.interpolated {
            return first.with_value(0.5 * (from + to));
        }
        let share = ((time - self.first.at) / (self.last.at - self.first.at)).clamp(0.0, 1.0);
        first.with_value(from + share * (to - from))
    }

    /// The first and the last reading; the same one when only one was taken.
    pub fn readings(&self) -> (&Timed, &Timed) {
        (&self.first, &self.last)
    }

    /// True when the factor follows the time.
    pub fn interpolated(&self) -> bool {
        self.interpolated
    }
}

/// The correction of a pull from the readings at its start and, where there is one, its end.
/// `inlet_temperature` (K) is what the log itself has for the pull, where it has.
///
/// # Errors
/// [`WeatherError::OtherStandard`] when the readings were corrected by two standards,
/// [`WeatherError::Time`] when times are no numbers or run backwards.
pub fn over_pull(
    first: Timed,
    last: Option<Timed>,
    pull: Span,
    inlet_temperature: Option<f64>,
) -> Result<PullCorrection, WeatherError> {
    in_order("pull", pull.start, pull.end)?;
    let last = last.unwrap_or_else(|| first.clone());
    in_order("weather reading", first.at, last.at)?;
    let (figure, factor) = (first.correction.standard, last.correction.standard);
    if figure != factor {
        return Err(WeatherError::OtherStandard { figure, factor });
    }
    let moved = last.correction.factor.value() / first.correction.factor.value() - 1.0;
    let interpolated = moved.abs() > MOVED && last.at > first.at;
    let old = [pull.start, pull.end].map(|time| age(time, &[first.at, last.at]));
    let old = old[0].max(old[1]);
    let warmed = warming(&first, &last, inlet_temperature);
    let flags = [
        interpolated.then_some(Flag::Moved(moved)),
        (old > OLDEST_READING).then_some(Flag::Old(old)),
        (warmed.abs() > WARMED).then_some(Flag::Warmed(warmed)),
    ];
    let flags = flags.into_iter().flatten().collect();
    Ok(PullCorrection { first, last, interpolated, flags })
}

fn in_order(what: &'static str, start: f64, end: f64) -> Result<(), WeatherError> {
    if start.is_finite() && end.is_finite() && start <= end {
        return Ok(());
    }
    Err(WeatherError::Time { what, time: if start.is_finite() { end } else { start } })
}

/// Time, s, to the nearest reading.
fn age(time: f64, readings: &[f64]) -> f64 {
    readings.iter().map(|reading| (time - reading).abs()).fold(f64::INFINITY, f64::min)
}

/// The greatest move of the inlet air, K, with its sign.
fn warming(first: &Timed, last: &Timed, inlet: Option<f64>) -> f64 {
    let [start, end] = [first, last].map(|timed| timed.correction.air.temperature());
    let since = inlet.map_or(0.0, |inlet| inlet - start);
    if since.abs() > (end - start).abs() { since } else { end - start }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Air, Humidity, Outcome, Standard, Subject, correction};

    fn read(celsius: f64, at: f64) -> Timed {
        let humidity = Humidity::VapourPressure(1000.0);
        let air = Air::new(100e3, celsius + 273.15, humidity).unwrap();
        match correction(Standard::J1349Jun1990, &air, &Subject::spark()).unwrap() {
            Outcome::Applies(correction) => Timed { correction, at },
            Outcome::DoesNotApply(why) => unreachable!("{why:?}"),
        }
    }

    const PULL: Span = Span { start: 60.0, end: 80.0 };

    #[test]
    fn steady_weather_gives_one_factor() {
        let pull = over_pull(read(25.0, 0.0), Some(read(25.5, 100.0)), PULL, None).unwrap();
        assert_eq!(pull.flags, []);
        assert_eq!(pull.factor_at(60.0), pull.factor_at(80.0));
        assert!((pull.factor_at(60.0).value() - 1.000_49).abs() < 1e-5);
    }

    /// 10 K are worth 1.964 % (worked out at 50 digits), so 4 K are near 0.78 %.
    #[test]
    fn moving_weather_is_interpolated_and_flagged() {
        let pull = over_pull(read(25.0, 0.0), Some(read(29.0, 100.0)), PULL, None).unwrap();
        assert!(matches!(pull.flags[..], [Flag::Moved(share), Flag::Warmed(kelvin)]
            if (share - 0.0079).abs() < 2e-4 && (kelvin - 4.0).abs() < 1e-9));
        let at = |time| pull.factor_at(time).value();
        assert!((at(50.0) - 0.5 * (at(0.0) + at(100.0))).abs() < 1e-12);
        assert_eq!((at(-9.0), at(900.0)), (at(0.0), at(100.0)));
    }

    #[test]
    fn an_old_reading_and_a_warm_inlet_are_flagged() {
        let late = Span { start: 1900.0, end: 1920.0 };
        let pull = over_pull(read(25.0, 0.0), None, late, Some(301.15)).unwrap();
        assert_eq!(pull.flags.len(), 2);
        assert_eq!(
            pull.flags[0].to_string(),
            "the weather reading was 32 min from the pull; read it within 30 min"
        );
        assert!(over_pull(read(25.0, 0.0), None, PULL, Some(298.65)).unwrap().flags.is_empty());
    }

    #[test]
    fn times_that_run_backwards_are_refused() {
        let pull = Span { start: 80.0, end: 60.0 };
        assert!(matches!(
            over_pull(read(25.0, 0.0), None, pull, None),
            Err(WeatherError::Time { what: "pull", .. })
        ));
        assert!(over_pull(read(25.0, f64::NAN), None, PULL, None).is_err());
    }
}
