//! Limits inside the cylinder: knock, pressure, exhaust temperature.

use super::{LimitCheck, Verdict, at_most, largest, shipped, sign, whose, worst};
use shortblock_cycle::Point;
use shortblock_engine::Build;
use shortblock_units::Quantity;

/// Above this a naturally aspirated bottom end carries more than most were made for, Pa; common
/// practice, no source.
const USUAL_PRESSURE: f64 = 11.0e6;
/// Above this, mean over the cycle at the port, exhaust valves and manifolds age quickly, K;
/// common practice, no source.
const USUAL_EXHAUST: f64 = 1273.15;
/// Crown of an aluminium piston, K: above the first it cracks with time (Heywood 1988, section 12.7.1:
/// 300 degC, from memory), above the second little of its strength is left; common practice, no
/// source.
const PISTON: (f64, f64) = (573.15, 673.15);
/// Share of the worked-out rise of the crown over the coolant that is sure: the usual crowns at full
/// load, 470 to 570 K at 363 K of coolant (Heywood 1988, section 12.7, from memory), lie 30 % about
/// their middle. The model's crowns lie high, up to 450 degC at published power peaks where 200 to 350
/// is measured (same, from memory); films that grow with piston speed (Bush & London 1965, SAE 650727,
/// from memory) would leave 0.66 to 0.78 of the rise (own, published engines at their peaks), so that
/// the share is hardly too small. Hence *watch* from 300 degC on, as the crown may really be there, and
/// no *stop* until 400.
const SURE_RISE: f64 = 0.7;
/// Angles closer than this are one angle: a spark that is sought may be short of its margin by so much,
/// rad; own.
const ANGLE: f64 = 0.1 * std::f64::consts::PI / 180.0;

pub(super) fn checks(build: &Build, points: &[Point]) -> Vec<LimitCheck> {
    [knock(build, points), pressure(build, points), exhaust(build, points), piston(build, points)]
        .into_iter()
        .flatten()
        .collect()
}

/// None where no octane number describes the fuel or knock is nowhere near.
fn knock(build: &Build, points: &[Point]) -> Option<LimitCheck> {
    let least = |point: &Point| {
        let margins = point.cylinders.iter().filter_map(|cylinder| cylinder.knock_margin);
        -margins.fold(f64::INFINITY, f64::min)
    };
    let (speed, value) = largest(points, least)?;
    let (value, limit) = (-value, &build.limits.knock_margin);
    let verdict = if value < -ANGLE {
        Verdict::Stop
    } else if value < limit.si - ANGLE {
        Verdict::Watch
    } else {
        Verdict::InOrder
    };
    Some(LimitCheck {
        name: "knock margin",
        verdict,
        value,
        limit: (Some(limit.si), None),
        quantity: Quantity::Angle,
        speed: Some(speed),
        reason: "Spark still to add in the cylinder that knocks first; a worse fuel or hotter air \
                 takes it."
            .into(),
        whose: whose(limit),
    })
}

fn pressure(build: &Build, points: &[Point]) -> Option<LimitCheck> {
    let (speed, value) = largest(points, |point| worst(point, |c| c.peak_pressure))?;
    let limit = build.limits.peak_pressure.as_ref();
    Some(LimitCheck {
        name: "cylinder pressure",
        verdict: limit.map_or(sign(value, USUAL_PRESSURE), |limit| at_most(value, limit.si)),
        value,
        limit: (None, Some(limit.map_or(USUAL_PRESSURE, |limit| limit.si))),
        quantity: Quantity::AbsolutePressure,
        speed: Some(speed),
        reason: "Head gasket, studs, pistons and rods carry it; single cycles go higher.".into(),
        whose: limit.map_or(shipped("c.p."), whose),
    })
}

fn exhaust(build: &Build, points: &[Point]) -> Option<LimitCheck> {
    let (speed, value) = largest(points, |point| worst(point, |c| c.exhaust_temperature))?;
    let limit = build.limits.exhaust_temperature.as_ref();
    Some(LimitCheck {
        name: "exhaust temperature",
        verdict: limit.map_or(sign(value, USUAL_EXHAUST), |limit| at_most(value, limit.si)),
        value,
        limit: (None, Some(limit.map_or(USUAL_EXHAUST, |limit| limit.si))),
        quantity: Quantity::Temperature,
        speed: Some(speed),
        reason: "Gas at the port, mean by flow; a probe reads less.".into(),
        whose: limit.map_or(shipped("c.p."), whose),
    })
}

/// None where no piston has a temperature.
fn piston(build: &Build, points: &[Point]) -> Option<LimitCheck> {
    let (speed, mean) = largest(points, |point| worst(point, |c| c.piston_temperature))?;
    if mean <= 0.0 {
        return None;
    }
    let coolant = build.state.coolant_temperature.si;
    let value = coolant + SURE_RISE * (mean - coolant);
    let (verdict, limit, source) = match value {
        hot if hot > PISTON.1 => (Verdict::Stop, PISTON.1, "c.p."),
        warm if warm > PISTON.0 => (Verdict::Watch, PISTON.0, PISTON_SOURCE),
        _ => (Verdict::InOrder, PISTON.0, PISTON_SOURCE),
    };
    Some(LimitCheck {
        name: "piston crown, low estimate",
        verdict,
        value,
        limit: (None, Some(limit)),
        quantity: Quantity::Temperature,
        speed: Some(speed),
        reason: "Known to lie high: crowns are measured at 200 to 350 °C. Mean of its surface \
                 without oil jets; the middle is hotter. Hot aluminium loses its strength."
            .into(),
        whose: shipped(source),
    })
}

/// Source of the lower limit.
const PISTON_SOURCE: &str = "f.m. Heywood 1988, sec. 12.7: aluminium below about 300 degC";

#[cfg(test)]
mod tests {
    use crate::limits::Verdict;
    use crate::limits::tests::check;
    use crate::tests_support::{four, plain_point};

    #[test]
    fn knock_margin_stops_below_zero_and_is_watched_below_the_limit() {
        let build = four();
        let verdict = |degrees: f64| {
            let mut point = plain_point(&build, 500.0);
            point.cylinders[2].knock_margin = Some(degrees.to_radians());
            check(&build, point, "knock margin").unwrap().verdict
        };
        assert_eq!(verdict(6.0), Verdict::InOrder);
        assert_eq!(verdict(2.0), Verdict::InOrder);
        assert_eq!(verdict(1.0), Verdict::Watch);
        assert_eq!(verdict(-1.0), Verdict::Stop);
    }

    #[test]
    fn a_hot_piston_is_watched_and_a_soft_one_stops() {
        let build = four();
        let found = |kelvin: f64| {
            let mut point = plain_point(&build, 500.0);
            point.cylinders[3].piston_temperature = kelvin;
            check(&build, point, "piston crown, low estimate")
                .map(|found| (found.verdict, found.limit.1))
        };
        // Coolant at 85 C, 358.15 K: 300 C is sure from 358.15 + 215/0.7 = 665.3 K, 400 C from 808.2 K.
        assert_eq!(found(660.0), Some((Verdict::InOrder, Some(573.15))));
        assert_eq!(found(670.0), Some((Verdict::Watch, Some(573.15))));
        assert_eq!(found(810.0), Some((Verdict::Stop, Some(673.15))));
        assert_eq!(found(0.0), None);
    }

    #[test]
    fn no_knock_margin_is_no_check() {
        let build = four();
        assert!(check(&build, plain_point(&build, 500.0), "knock margin").is_none());
    }

    #[test]
    fn pressure_beyond_the_files_limit_stops() {
        let build = four().with("limits.peak_pressure", "80 bar").unwrap();
        let mut point = plain_point(&build, 500.0);
        point.cylinders[1].peak_pressure = 8.2e6;
        let found = check(&build, point, "cylinder pressure").unwrap();
        assert_eq!((found.verdict, found.value), (Verdict::Stop, 8.2e6));
    }
}
