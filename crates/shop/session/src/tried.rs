//! The pulls of a day as the comparison wants them: one grid of speeds, logarithms of corrected
//! torque, and everything that may move a pull beside the change under test.

use crate::corrected::InAir;
use shortblock_compare::{Mode, Place, PullSet, SetAside, Tried};
use shortblock_pulls::sweep::Kind;
use shortblock_pulls::{Channel, Pull, Recording};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
/// Step of the grid, rpm; as the points of a pull.
const STEP_RPM: f64 = 50.0;

/// One pull with what the day knows of it.
#[derive(Debug, Clone, Copy)]
pub struct Ran<'a> {
    /// Its name.
    pub label: &'a str,
    /// The build it was made with.
    pub build: &'a str,
    /// The log it is in.
    pub recording: &'a Recording,
    /// The pull.
    pub pull: &'a Pull,
    /// On a roller: power at the wheels over engine speed at the points of the pull, N·m; it stands
    /// for the torque of the log.
    pub at_wheels: Option<&'a [f64]>,
    /// Its factor; without one its torque counts as read.
    pub air: Option<&'a InAir>,
    /// Name of the dyno.
    pub dyno: &'a str,
    /// Session, counted.
    pub session: u32,
    /// Refit count in the session.
    pub block: u32,
    /// Place in the session.
    pub order: u32,
    /// Pulls since the engine last stood for long.
    pub since_stop: u32,
    /// True when the log's torque already holds what accelerates the rotating parts.
    pub inertia_included: bool,
    /// Left out, and when.
    pub set_aside: Option<SetAside>,
}

/// Pulls of one comparison on the grid of all speeds that any of them has. A pull without torque at
/// a speed has no number there. Where some pulls have a factor and others have none, none is used:
/// corrected and observed torque are not compared; see [`all_corrected`].
#[must_use]
pub fn pull_set(ran: &[Ran]) -> PullSet {
    let all_corrected = all_corrected(ran);
    let speeds = ran.iter().flat_map(|r| r.pull.speeds.iter().map(|w| w / RPM));
    let (low, high) = speeds.fold((f64::INFINITY, 0.0_f64), |(l, h), n| (l.min(n), h.max(n)));
    let from = (low / STEP_RPM).floor() * STEP_RPM;
    let count = if high > from { ((high - from) / STEP_RPM).round() as usize + 1 } else { 0 };
    let speeds_rpm: Vec<f64> = (0..count).map(|i| from + STEP_RPM * i as f64).collect();
    // As the files corrected it, if all of them did: that is never mixed with torque as read.
    let as_read = |one: &Ran| one.at_wheels.is_some() || one.pull.best_torque().is_some();
    let as_filed = !ran.iter().any(as_read);
    let pulls = ran.iter().map(|one| tried(one, &speeds_rpm, all_corrected, as_filed)).collect();
    PullSet { speeds_rpm, pulls }
}

/// Whether every pull that takes part has a factor; one set aside before anything was seen does not.
#[must_use]
pub fn all_corrected(ran: &[Ran]) -> bool {
    let mut in_it = ran.iter().filter(|r| r.set_aside != Some(SetAside::BeforeSeen));
    in_it.all(|r| r.air.is_some())
}

fn tried(one: &Ran, speeds_rpm: &[f64], corrected: bool, as_filed: bool) -> Tried {
    let air = one.air.filter(|_| corrected);
    let torque = match one.at_wheels {
        Some(torque) => torque.to_vec(),
        None if as_filed => filed(one.pull).unwrap_or_default(),
        None => torque(one.pull),
    };
    let torque = match air {
        // A standard that wants friction gives no figure: the pull then has none to compare.
        Some(air) => air.corrected(&torque).unwrap_or_else(|_| vec![f64::NAN; torque.len()]),
        None => torque,
    };
    let oil = one.pull.as_read(one.recording, Channel::OilTemperature);
    let steady = matches!(one.pull.stretch.kind, Kind::Steps | Kind::Table);
    Tried {
        label: one.label.to_owned(),
        build: one.build.to_owned(),
        dyno: one.dyno.to_owned(),
        session: one.session,
        block: one.block,
        order: f64::from(one.order),
        pulls_since_stop: f64::from(one.since_stop),
        ln_correction: air.map_or(0.0, |air| air.factor().ln()),
        oil_temperature_celsius: oil
            .and_then(|values| values.iter().copied().find(|v| v.is_finite()))
            .map(|kelvin| kelvin - 273.15),
        mode: if steady { Mode::Steady } else { Mode::Sweep },
        place: if one.at_wheels.is_none() && at_crankshaft(one.pull) {
            Place::Crank
        } else {
            Place::Wheel
        },
        sweep_rate_rpm_s: one.pull.stretch.rate.map_or(0.0, |rate| rate.mean.abs() / RPM),
        inertia_corrected: one.inertia_included || one.pull.with_inertia.is_some(),
        ln_torque: on_grid(&one.pull.speeds, &torque, speeds_rpm),
        set_aside: one.set_aside,
    }
}

fn at_crankshaft(pull: &Pull) -> bool {
    let filed = [Channel::CorrectedTorque, Channel::CorrectedPower];
    pull.best_torque().is_some() || filed.iter().any(|channel| pull.points(*channel).is_some())
}

/// Torque at the points of a pull as the file corrected it, N·m.
fn filed(pull: &Pull) -> Option<Vec<f64>> {
    if let Some(torque) = pull.points(Channel::CorrectedTorque) {
        return Some(torque.mean.clone());
    }
    let power = &pull.points(Channel::CorrectedPower)?.mean;
    Some(power.iter().zip(&pull.speeds).map(|(power, speed)| power / speed).collect())
}

/// Torque at the points of a pull, N·m: by a local straight line for a sweep, else the mean.
fn torque(pull: &Pull) -> Vec<f64> {
    let of_points = || pull.best_torque().map(|points| points.mean.clone());
    pull.fitted_torque.clone().or_else(of_points).unwrap_or_default()
}

/// Logarithm of torque at the grid speeds that points of the pull lie at or near: bins of a sweep lie on
/// them, held speeds up to half a step away, and are moved along the chord to their neighbours.
fn on_grid(speeds: &[f64], torque: &[f64], speeds_rpm: &[f64]) -> Vec<f64> {
    let points: Vec<(f64, f64)> =
        speeds.iter().zip(torque).map(|(w, t)| (w / RPM, t.ln())).collect();
    let off = |i: usize, rpm: f64| rpm - points[i].0;
    let at = |rpm: &f64| {
        let nearest =
            (0..points.len()).min_by(|&i, &j| off(i, *rpm).abs().total_cmp(&off(j, *rpm).abs()));
        match nearest.map(|i| (i, off(i, *rpm))) {
            Some((i, off)) if off.abs() < 1e-6 * STEP_RPM => points[i].1,
            Some((i, off)) if off.abs() <= 0.5 * STEP_RPM => points[i].1 + off * chord(&points, i),
            _ => f64::NAN,
        }
    };
    speeds_rpm.iter().map(at).collect()
}

/// Slope between the neighbours of a point, or from it to the only one; 0 without any.
fn chord(points: &[(f64, f64)], i: usize) -> f64 {
    let (low, high) = (i.saturating_sub(1), (i + 1).min(points.len() - 1));
    let slope = (points[high].1 - points[low].1) / (points[high].0 - points[low].0);
    if slope.is_finite() { slope } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Torque that goes as a power of speed, held near multiples of 500 rpm: what the chord leaves over
    /// 24 rpm is its curvature, 0.5 k (24·500 + 24²)/n², at most 0.02 % at 4000 rpm for k = 0.5.
    #[test]
    fn held_speeds_come_to_the_grid_along_the_chord() {
        let ln = |rpm: f64| 5.0 + 0.5 * (rpm / 4000.0).ln();
        let held = [3512.0, 3998.0, 4524.0, 4976.0, 5530.0];
        let speeds = held.map(|n| n * RPM);
        let torque = held.map(|n| ln(n).exp());
        let grid: Vec<f64> = (69..=112).map(|k| STEP_RPM * f64::from(k)).collect();
        let found = on_grid(&speeds, &torque, &grid);
        let there: Vec<f64> =
            grid.iter().zip(&found).filter(|(_, y)| y.is_finite()).map(|(n, _)| *n).collect();
        assert_eq!(there, [3500.0, 4000.0, 4500.0, 5000.0, 5550.0]);
        for (rpm, y) in grid.iter().zip(&found).filter(|(_, y)| y.is_finite()) {
            assert!((y - ln(*rpm)).abs() < 2e-4, "{rpm}: {}", y - ln(*rpm));
        }
        let single = on_grid(&[4010.0 * RPM], &[300.0], &[4000.0, 4050.0]);
        assert!((single[0] - 300.0_f64.ln()).abs() < 1e-12 && single[1].is_nan());
    }
}
