//! A pull in the air of its day: which air, which factor, and the torque that follows.

use crate::air::Reading;
use crate::clock::time_of_day;
use crate::session::Session;
use shortblock_pulls::{Channel, Pull, Recording};
use shortblock_weather::{
    Air, Correction, Flag, Humidity, NotApplicable, Observed, Outcome, PullCorrection, Remark,
    Span, Standard, Subject, Timed, Torque, WeatherError, correction, over_pull,
};

/// An inlet this much warmer than the cell draws no air of the cell, or is read behind a compressor, K
/// (ours).
const WARMER: f64 = 10.0;
/// Two stations that make factors further apart than this do not speak of the same air (ours).
const APART: f64 = 0.005;

/// Where the air of a pull was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AirFrom {
    /// Channels of the log, over the pull itself.
    Log,
    /// Readings of the session file around the pull.
    Session,
    /// Said for this pull.
    Said,
}

/// The factor of a pull with all that must be said beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct InAir {
    /// The correction from the readings around the pull.
    pub correction: PullCorrection,
    /// Middle of the pull on the clock of its readings, s.
    pub middle: f64,
    /// Where the air was read.
    pub from: AirFrom,
    /// What stands against it: old, moved, outside the limits of the standard, two stations apart.
    pub against: Vec<String>,
    /// What is to be said beside it in any case.
    pub beside: Vec<String>,
}

/// Why a pull stays as it was read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NotCorrected {
    /// Nobody read the air.
    #[error(
        "no air: read station pressure, inlet temperature and humidity, in the log or as [[air]] of \
         session.toml"
    )]
    NoAir,
    /// The air is known, the time of the pull is not.
    #[error(
        "the air was read at several times of day and nobody said when this pull was: write its \
         time in session.toml"
    )]
    NoTime,
    /// The log holds corrected torque only.
    #[error(
        "the file corrected it already, by a factor it does not state: write corrected_by = 1.03 at \
         its [[pull]] if you know it"
    )]
    ByTheFile,
    /// The standard gives no factor for this engine.
    #[error("{} gives no factor: {}", .0.standard, .0.why)]
    DoesNotApply(NotApplicable),
    /// The air or the standard can't be used.
    #[error("{0}")]
    Weather(#[from] WeatherError),
}

impl InAir {
    /// The factor in the middle of the pull.
    pub fn factor(&self) -> f64 {
        self.correction.factor_at(self.middle).value()
    }

    /// The correction of the first reading; its air and windows are those to show.
    pub fn first(&self) -> &Correction {
        &self.correction.readings().0.correction
    }

    /// Corrected torque, N·m, of observed torques.
    ///
    /// # Errors
    /// [`WeatherError::FrictionMissing`] for a standard that acts on indicated torque.
    pub fn corrected(&self, torque: &[f64]) -> Result<Vec<f64>, WeatherError> {
        let factor = self.correction.factor_at(self.middle);
        let correction = Correction { factor, ..self.first().clone() };
        let one = |t: &f64| Ok(correction.correct(Observed(Torque(*t)), None)?.value().0);
        torque.iter().map(one).collect()
    }
}

/// The factor of a pull by a standard. The log's own barometer and inlet temperature count before
/// readings of the session file, since they were there during the pull; where both are known and far
/// apart, that is said. `time` is the time of day (s) at which the log's clock stood at 0.
///
/// # Errors
/// [`NotCorrected`], which leaves the pull as it was read.
pub fn in_air(
    recording: &Recording,
    pull: &Pull,
    session: Option<&Session>,
    time: Option<f64>,
    standard: Standard,
    subject: &Subject,
) -> Result<InAir, NotCorrected> {
    let span = span(recording, pull);
    let by_log = air_of_log(recording, pull).map(|air| {
        air.and_then(|air| {
            let at = Timed { correction: applied(standard, &air, subject)?, at: span.start };
            let mut log = finish(over_pull(at, None, span, None)?, span, AirFrom::Log);
            log.against.extend(warm_inlet(recording, pull));
            Ok(log)
        })
    });
    let by_session =
        session.and_then(|s| around(s, recording, pull, span, time, standard, subject));
    match (by_log, by_session) {
        (Some(log), Some(Ok(day))) => log.map(|log| beside(log, &day)),
        (Some(log), _) => log,
        (None, Some(day)) => day,
        (None, None) => Err(NotCorrected::NoAir),
    }
}

/// The factor of a pull in air that a person states for it.
///
/// # Errors
/// [`NotCorrected`], which leaves the pull as it was read.
pub fn in_this_air(
    recording: &Recording,
    pull: &Pull,
    air: &Air,
    standard: Standard,
    subject: &Subject,
) -> Result<InAir, NotCorrected> {
    let span = span(recording, pull);
    let at = Timed { correction: applied(standard, air, subject)?, at: span.start };
    Ok(finish(over_pull(at, None, span, None)?, span, AirFrom::Said))
}

/// Says it when the log's inlet is not the air that standards correct by.
fn warm_inlet(recording: &Recording, pull: &Pull) -> Option<String> {
    let inlet = mean(recording, pull, Channel::IntakeAirTemperature)?;
    let warmer = inlet - mean(recording, pull, Channel::CellAirTemperature)?;
    (warmer > WARMER).then(|| {
        format!(
            "the inlet air reads {warmer:.0} K above the air of the cell: behind a compressor, or soaked in \
             heat; standards correct by the air that the engine draws in"
        )
    })
}

/// Says it when the session's station speaks of other air.
fn beside(mut log: InAir, day: &InAir) -> InAir {
    let apart = log.factor() / day.factor() - 1.0;
    if apart.abs() > APART {
        log.against.push(format!(
            "the air of the session file makes a factor {:+.1} % away from that of the log; one of the \
             two stations is wrong, or the inlet draws other air",
            -100.0 * apart
        ));
    }
    log
}

/// Start and end of a pull on the log's clock, s; nothing without a clock.
fn span(recording: &Recording, pull: &Pull) -> Span {
    let time = recording.time.get(pull.stretch.rows.clone()).unwrap_or(&[]);
    let finite = || time.iter().copied().filter(|t| t.is_finite());
    let start = finite().next().unwrap_or(0.0);
    Span { start, end: finite().next_back().unwrap_or(start).max(start) }
}

/// Mean of a channel over a pull, SI.
fn mean(recording: &Recording, pull: &Pull, channel: Channel) -> Option<f64> {
    let values = pull.as_read(recording, channel)?.iter().filter(|v| v.is_finite());
    let (sum, count) = values.fold((0.0, 0.0), |(sum, count), v| (sum + v, count + 1.0));
    (count > 0.0).then(|| sum / count)
}

/// The air that the log itself has: barometer and inlet (else cell) temperature, with humidity where
/// it was read.
fn air_of_log(recording: &Recording, pull: &Pull) -> Option<Result<Air, NotCorrected>> {
    let mean = |channel| mean(recording, pull, channel);
    let cell = mean(Channel::CellAirTemperature);
    let inlet = mean(Channel::IntakeAirTemperature).or(cell)?;
    let pressure = mean(Channel::Barometer)?;
    let humidity = match (mean(Channel::RelativeHumidity), mean(Channel::DewPoint)) {
        (_, Some(dew)) => Humidity::DewPoint(dew),
        (Some(fraction), None) => {
            Humidity::Relative { fraction, sensor_temperature: cell.unwrap_or(inlet) }
        }
        (None, None) => match mean(Channel::WetBulb) {
            Some(wet) => Humidity::WetBulb { dry: cell.unwrap_or(inlet), wet },
            None => Humidity::NotStated,
        },
    };
    Some(Air::new(pressure, inlet, humidity).map_err(NotCorrected::from))
}

fn applied(standard: Standard, air: &Air, subject: &Subject) -> Result<Correction, NotCorrected> {
    match correction(standard, air, subject)? {
        Outcome::Applies(correction) => Ok(correction),
        Outcome::DoesNotApply(why) => Err(NotCorrected::DoesNotApply(why)),
    }
}

/// The factor from the readings of the session file; `None` where it has none.
fn around(
    session: &Session,
    recording: &Recording,
    pull: &Pull,
    span: Span,
    time: Option<f64>,
    standard: Standard,
    subject: &Subject,
) -> Option<Result<InAir, NotCorrected>> {
    if session.air.is_empty() {
        return None;
    }
    let (before, after) = session.air_around(time.map(|t| t + span.start));
    let at = |reading: &Reading| -> Result<Timed, NotCorrected> {
        let correction = applied(standard, &reading.air, subject)?;
        // On the clock of the log; a reading that holds all day was taken as the pull began.
        let at = reading.time.zip(time).map_or(span.start, |(read, log)| read - log);
        Ok(Timed { correction, at })
    };
    let inlet = mean(recording, pull, Channel::IntakeAirTemperature);
    let readings = match (before, after) {
        (Some(before), after) => at(before).map(|first| (first, after.map(at))),
        (None, Some(after)) => at(after).map(|first| (first, None)),
        (None, None) => return Some(Err(NotCorrected::NoTime)),
    };
    Some(readings.and_then(|(first, last)| {
        let found = over_pull(first, last.transpose()?, span, inlet)?;
        Ok(finish(found, span, AirFrom::Session))
    }))
}

fn finish(correction: PullCorrection, span: Span, from: AirFrom) -> InAir {
    let first = &correction.readings().0.correction;
    let outside = first.windows.iter().filter(|w| !w.holds()).map(ToString::to_string);
    let flags = correction.flags.iter().map(Flag::to_string);
    let (serious, usual): (Vec<Remark>, Vec<Remark>) =
        first.remarks.iter().partition(|remark| stands_against(**remark));
    let against = outside.chain(flags).chain(serious.iter().map(Remark::to_string)).collect();
    let beside = usual.iter().map(Remark::to_string).collect();
    InAir { middle: 0.5 * (span.start + span.end), from, against, beside, correction }
}

/// Whether a remark calls for a look, or only says how the standard works.
fn stands_against(remark: Remark) -> bool {
    matches!(
        remark,
        Remark::HumidityNotStated
            | Remark::HumidityIgnored
            | Remark::OverCorrectsBoost
            | Remark::BeyondSevenPerCent
    )
}

/// The reading around a pull in words: `98.9 kPa, 18.5 degC at 09:05`.
#[must_use]
pub fn reading_words(reading: &Reading) -> String {
    let air = &reading.air;
    let at = reading.time.map_or(String::new(), |t| format!(" at {}", time_of_day(t)));
    format!("{:.2} kPa, {:.1} degC{at}", air.pressure() / 1e3, air.temperature() - 273.15)
}
