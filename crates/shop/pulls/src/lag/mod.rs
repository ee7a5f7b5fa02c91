//! Channels that come late: shifting them, and the delay of a mixture sensor.
//!
//! A channel late by `tau` in a sweep of rate R is drawn `tau R` too high in speed. The delay of a
//! mixture sensor is plug flow from the valve to the sensor and the sensor's own time constant:
//! `tau = n 120/N + V rho / m + t_s` with the engine cycles n counted (1 from injection to exhaust
//! valve, 0 from the exhaust valve on), V the volume between valve and sensor, rho and m density and
//! mass flow of the exhaust in it. Common practice, no source; one fixed delay is wrong by 20 times
//! between light and full load.

mod estimate;

pub use estimate::{LagEstimate, estimate_lag};

use crate::channel::Channel;
use crate::error::PullsError;
use crate::recording::Recording;
use std::f64::consts::PI;
use std::ops::Range;

/// Gas constant of exhaust, J/(kg K): that of air. Burned petrol has 285 lean to 300 rich.
const R_EXHAUST: f64 = 287.0;

/// How late a channel is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Delay {
    /// By the same time always, s; below zero when early.
    Fixed(f64),
    /// As a mixture sensor down an exhaust pipe.
    Mixture(ExhaustPath),
}

/// A lag that is stated for a channel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lag {
    /// The channel that comes late.
    pub channel: Channel,
    /// How late.
    pub delay: Delay,
}

/// What exhaust goes through on its way to the sensor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExhaustPath {
    /// Volume from the exhaust valves to the sensor, m³.
    pub volume: f64,
    /// Share of the engine's exhaust that passes the sensor, above 0 and up to 1.
    pub share: f64,
    /// Temperature of the exhaust between valve and sensor, K.
    pub temperature: f64,
    /// Pressure in the pipe, Pa, absolute.
    pub pressure: f64,
    /// Time constant of the sensor with its housing, s.
    pub time_constant: f64,
    /// Engine cycles counted: 1 from injection on, 0 from the exhaust valve on.
    pub cycles: f64,
    /// Stoichiometric air-fuel ratio of the fuel, kg/kg; used where there is no air meter.
    pub stoichiometric_ratio: f64,
}

impl ExhaustPath {
    /// Delay, s, at an exhaust mass flow (kg/s, of the whole engine) and engine speed (rad/s). Not
    /// finite without flow.
    pub fn delay(&self, mass_flow: f64, speed: f64) -> f64 {
        let density = self.pressure / (R_EXHAUST * self.temperature);
        let transport = self.volume * density / (self.share * mass_flow);
        self.cycles * 4.0 * PI / speed + transport + self.time_constant
    }

    /// Delay of each row, s; not a number where the flow is not known.
    ///
    /// # Errors
    /// [`PullsError::NoChannel`] when neither air flow nor fuel flow with lambda is there.
    pub fn delays(&self, recording: &Recording) -> Result<Vec<f64>, PullsError> {
        let need = |channel, remedy| {
            recording.get(channel).ok_or(PullsError::NoChannel { channel, remedy })
        };
        let speed = need(Channel::EngineSpeed, "say which column it is")?;
        let fuel = recording.get(Channel::FuelFlow);
        let air = recording.get(Channel::AirFlow);
        let lambda = (0..=2).find_map(|bank| recording.get(Channel::Lambda(bank)));
        let flow = |row: usize| match (air, fuel, lambda) {
            (Some(air), Some(fuel), _) => air[row] + fuel[row],
            (Some(air), None, Some(lambda)) => {
                air[row] * (1.0 + 1.0 / (lambda[row] * self.stoichiometric_ratio))
            }
            (Some(air), None, None) => air[row],
            (None, Some(fuel), Some(lambda)) => {
                fuel[row] * (1.0 + lambda[row] * self.stoichiometric_ratio)
            }
            _ => f64::NAN,
        };
        if air.is_none() && (fuel.is_none() || lambda.is_none()) {
            let remedy = "the delay of a mixture sensor needs air flow, or fuel flow and lambda; \
                          state a fixed delay";
            return Err(PullsError::NoChannel { channel: Channel::AirFlow, remedy });
        }
        let delay = |row: usize| {
            let delay = self.delay(flow(row), speed[row]);
            if delay.is_finite() && delay >= 0.0 { delay } else { f64::NAN }
        };
        Ok((0..recording.rows()).map(delay).collect())
    }
}

/// The values that belong to `rows` of a channel that is late by `delay(row)` (s): read off that much
/// later, on a straight line between rows. `part` are the rows of one clock. Not a number where the
/// recording has ended or a neighbour is missing.
pub fn shifted(
    time: &[f64],
    values: &[f64],
    part: Range<usize>,
    rows: Range<usize>,
    delay: impl Fn(usize) -> f64,
) -> Vec<f64> {
    let mut at = rows.start.clamp(part.start, part.end.saturating_sub(1).max(part.start));
    rows.map(|row| {
        let wanted = time[row] + delay(row);
        if !wanted.is_finite() || part.is_empty() {
            return f64::NAN;
        }
        while at > part.start && time[at] > wanted {
            at -= 1;
        }
        while at + 1 < part.end && time[at + 1] <= wanted {
            at += 1;
        }
        if time[at] == wanted {
            return values[at];
        }
        if at + 1 == part.end || time[at] > wanted {
            return f64::NAN;
        }
        let share = (wanted - time[at]) / (time[at + 1] - time[at]);
        values[at] + share * (values[at + 1] - values[at])
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::RPM;

    fn path(temperature: f64) -> ExhaustPath {
        ExhaustPath {
            volume: 1.2e-3,
            share: 1.0,
            temperature,
            pressure: 99e3,
            time_constant: 0.0,
            cycles: 0.0,
            stoichiometric_ratio: 14.6,
        }
    }

    /// Plug flow worked out elsewhere, to 1e-4: 1.2 L at 99 kPa; 0.090 kg/s at 850 °C takes
    /// 4.09500346 ms, 0.006 kg/s at 500 °C takes 89.23177525 ms; one cycle at 6000 rpm takes 20 ms.
    #[test]
    fn transport_time_of_full_and_light_load() {
        let check = |path: ExhaustPath, flow: f64, milliseconds: f64| {
            let found = path.delay(flow, 6000.0 * RPM) * 1e3;
            assert!((found / milliseconds - 1.0).abs() < 1e-4, "{found}");
        };
        check(path(1123.15), 0.090, 4.095_003_46);
        check(path(773.15), 0.006, 89.231_775_25);
        check(ExhaustPath { cycles: 1.0, volume: 0.0, ..path(1123.15) }, 0.09, 20.0);
        check(ExhaustPath { time_constant: 0.05, volume: 0.0, ..path(1123.15) }, 0.09, 50.0);
    }

    #[test]
    fn a_late_channel_is_brought_back_between_rows_too() {
        let time: Vec<f64> = (0..200).map(|row| 0.01 * f64::from(row)).collect();
        let truth = |t: f64| 300.0 + 20.0 * (2.0 * t).sin();
        for tau in [0.2, 0.034, -0.017] {
            let late: Vec<f64> = time.iter().map(|t| truth(t - tau)).collect();
            let found = shifted(&time, &late, 0..200, 0..200, |_| tau);
            for (t, found) in time.iter().zip(&found).filter(|(_, found)| found.is_finite()) {
                // A straight line over 10 ms of 20 sin 2t is off by 0.01²/8 · 80 = 0.001 at most.
                assert!((found - truth(*t)).abs() < 0.0011, "{tau} {t}");
            }
            let missing = found.iter().filter(|value| value.is_nan()).count();
            assert!(missing as f64 <= (tau.abs() / 0.01).ceil() + 1.0, "{tau}: {missing}");
        }
    }

    #[test]
    fn another_clock_and_a_missing_neighbour_are_not_read() {
        let time = [0.0, 1.0, 2.0, 0.0, 1.0];
        let values = [1.0, 2.0, f64::NAN, 4.0, 5.0];
        let found = shifted(&time, &values, 0..3, 0..3, |_| 0.5);
        assert!(found[0] == 1.5 && found[1].is_nan() && found[2].is_nan());
        assert!(shifted(&time, &values, 3..5, 3..5, |_| f64::NAN)[0].is_nan());
    }
}
