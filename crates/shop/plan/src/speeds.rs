//! The speeds a build is predicted at when nobody says: 14, rounded, over the range it is used in.

use crate::ask::Ask;
use crate::error::PlanError;
use shortblock_engine::Build;
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;
/// Speeds and their steps are multiples of this, rpm.
const ROUND_RPM: f64 = 50.0;
/// Taylor's index at the power peak of naturally aspirated engines with known valves: mean 0.53,
/// standard deviation 0.05 (17 published engines).
const INDEX_AT_PEAK: f64 = 0.53;
/// Effective area, mean over the lift, per valve head area: the flow coefficient of Taylor's index.
const MEAN_FLOW_COEFFICIENT: f64 = 0.35;
/// Speed of sound in the inlet that goes with it, m/s.
const SOUND: f64 = 345.0;
/// The curve goes on this far past the estimated power peak; own.
const PAST_PEAK: f64 = 1.25;
/// Past a rated or wanted speed; own.
const PAST_RATED: f64 = 1.08;
/// The curve starts at this share of its end for a mild cam and for a wild one; own.
const START: (f64, f64) = (0.22, 0.34);
/// Seat durations of the two, rad.
const MILD_WILD: (f64, f64) = (250.0 * PI / 180.0, 310.0 * PI / 180.0);
/// Lowest and highest speed ever chosen, rpm.
const REACH_RPM: (f64, f64) = (800.0, 20_000.0);
/// Most speeds in one ask.
const MOST: usize = 2000;

/// The speeds of an ask, rad/s, rising.
pub(crate) fn speeds(build: &Build, ask: &Ask) -> Result<Vec<f64>, PlanError> {
    match &ask.speeds {
        Some(speeds) => checked(speeds),
        None => {
            let (low, high) = range(build);
            Ok(spread(low, high, ask.points))
        }
    }
}

fn checked(speeds: &[f64]) -> Result<Vec<f64>, PlanError> {
    let fault = |what: String| {
        let hint = "give speeds above zero, rising, for example 2000 to 6500 rpm".to_owned();
        Err(PlanError::Ask { what, hint })
    };
    if speeds.is_empty() {
        return fault("no speed was asked for".into());
    }
    if speeds.len() > MOST {
        return fault(format!("{} speeds are more than {MOST}", speeds.len()));
    }
    if let Some(bad) = speeds.iter().find(|w| !(w.is_finite() && **w > 0.0)) {
        return fault(format!("{:.0} rpm is no engine speed", bad / RPM));
    }
    match speeds.windows(2).find(|pair| pair[1] <= pair[0]) {
        Some(pair) => {
            fault(format!("{:.0} rpm comes after {:.0} rpm", pair[1] / RPM, pair[0] / RPM))
        }
        None => Ok(speeds.to_vec()),
    }
}

/// Lowest and highest speed for a build, rad/s.
pub(crate) fn range(build: &Build) -> (f64, f64) {
    let top = top(build).clamp(2.0 * REACH_RPM.0 * RPM, REACH_RPM.1 * RPM);
    let seat = build.intake.cam.seat_duration();
    let wild = ((seat - MILD_WILD.0) / (MILD_WILD.1 - MILD_WILD.0)).clamp(0.0, 1.0);
    let mut low = top * (START.0 + wild * (START.1 - START.0));
    if let Some((from, _)) = build.goal.range {
        low = low.min(from);
    }
    (low.max(REACH_RPM.0 * RPM), top)
}

/// The limit where one is set; else past the power peak that valves and piston speed suggest, and
/// past every rated or wanted speed.
fn top(build: &Build) -> f64 {
    if let Some(limit) = &build.limits.engine_speed {
        return limit.si;
    }
    let stroke = build.bottom_end.stroke.si;
    let bore = build.bottom_end.bore.si;
    let valves = &build.intake.valves;
    let index_per_speed = bore * bore
        / (valves.count as f64 * valves.diameter.si.powi(2))
        / (MEAN_FLOW_COEFFICIENT * SOUND);
    let peak_piston_speed = INDEX_AT_PEAK / index_per_speed;
    let most = build.limits.mean_piston_speed.si;
    let by_valves = (PAST_PEAK * peak_piston_speed).min(most) * PI / stroke;
    let rated = build.ratings.iter().filter_map(|rating| rating.speed.as_ref()).map(|v| v.si);
    let wish = [&build.goal.power, &build.goal.torque].into_iter().flatten();
    let wanted = wish.flat_map(|wish| [wish.from, wish.to]).flatten();
    let used = build.goal.range.map(|(_, to)| to);
    let stated = rated.chain(wanted).fold(0.0_f64, f64::max) * PAST_RATED;
    by_valves.max(stated).max(used.unwrap_or(0.0))
}

/// So many speeds from about `low` up to `high`, in steps of a round number of rpm.
pub(crate) fn spread(low: f64, high: f64, count: usize) -> Vec<f64> {
    let count = count.clamp(1, MOST);
    let round = |rpm: f64| (rpm / ROUND_RPM).round().max(1.0) * ROUND_RPM;
    let high_rpm = round(high / RPM);
    let step = round((high - low).max(0.0) / RPM / (count - 1).max(1) as f64);
    let rpm = (0..count).rev().map(|i| high_rpm - step * i as f64);
    rpm.filter(|rpm| *rpm > 0.0).map(|rpm| rpm * RPM).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tests_support::four;

    fn rpm(speeds: &[f64]) -> Vec<f64> {
        speeds.iter().map(|w| (w / RPM).round()).collect()
    }

    #[test]
    fn fourteen_round_speeds_up_to_the_limit() {
        let build = four().with("limits.engine_speed", "7200 rpm").unwrap();
        let speeds = rpm(&speeds(&build, &Ask::default()).unwrap());
        assert_eq!(speeds.len(), 14);
        assert_eq!(speeds[13], 7200.0);
        assert!(speeds.iter().all(|rpm| rpm % 50.0 == 0.0), "{speeds:?}");
        assert!(speeds[0] >= 1000.0 && speeds[0] <= 2600.0, "{speeds:?}");
    }

    #[test]
    fn the_range_in_use_is_covered() {
        let build = four().with("goal.speed_from", "1500 rpm").unwrap();
        let build = build.with("goal.speed_to", "9000 rpm").unwrap();
        let speeds = rpm(&speeds(&build, &Ask::default()).unwrap());
        assert!(speeds[0] <= 1550.0 && speeds[13] >= 9000.0, "{speeds:?}");
    }

    #[test]
    fn speeds_that_cannot_be_are_told() {
        let asked = |speeds: &[f64]| checked(speeds).unwrap_err().to_string();
        assert!(asked(&[]).contains("no speed"));
        assert!(asked(&[300.0, -1.0]).contains("no engine speed"));
        assert!(asked(&[300.0, f64::NAN]).contains("no engine speed"));
        assert!(asked(&[300.0, 300.0]).contains("comes after"));
    }
}
