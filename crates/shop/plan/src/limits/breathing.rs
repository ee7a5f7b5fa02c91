//! Limits of breathing: Mach index, choking, carburettor, restrictor, flow sheets, power peak.

use super::{LimitCheck, Verdict, largest, shipped, sign, whose, worst};
use crate::prediction::Best;
use shortblock_cycle::Point;
use shortblock_engine::{Build, build};
use shortblock_units::Quantity;
use std::f64::consts::PI;

/// Shares of the open time in which flow is choked at intake and exhaust valves. Intake valves of a
/// sound engine hardly choke; exhaust valves do while the cylinder blows down. Own.
const CHOKED: (f64, f64) = (0.05, 0.50);
/// Range of Taylor's index Z at the power peak: flow coefficient 0.35, speed of sound 345 m/s. 17
/// published engines: mean 0.53, standard deviation 0.05.
const INDEX_AT_PEAK: (f64, f64) = (0.40, 0.70);
/// Flow coefficient in that index.
const INDEX_FLOW: f64 = 0.35;
/// Speed of sound in that index, m/s.
const INDEX_SOUND: f64 = 345.0;
/// Flow coefficients on the curtain area above this are rarely real: advertised flows lie 8 to 17 %
/// above an independent bench.
const MOST_COEFFICIENT: f64 = 0.80;
/// Below this lift over diameter the curtain is no measure of the passage; own.
const LEAST_LIFT: f64 = 0.10;
/// Air on a flow bench at 25 degC and 101.325 kPa, kg/m³.
const BENCH_AIR: f64 = 1.184;
/// Gas constant (J/kg K) and ratio of specific heats of dry air.
const AIR: (f64, f64) = (287.05, 1.4);
/// A restrictor passing more than this share of its choked flow holds the engine back; own.
const RESTRICTED: f64 = 0.95;

pub(super) fn checks(build: &Build, points: &[Point], best_power: &Best) -> Vec<LimitCheck> {
    let mut all = Vec::new();
    all.extend(mach_index(build, points, best_power));
    all.extend([intake_choking(points), exhaust_choking(points)].into_iter().flatten());
    all.extend(carburettor(build, points));
    all.extend(restrictor(build, points));
    all.extend(flow_sheet("intake flow coefficient", &build.intake));
    all.extend(flow_sheet("exhaust flow coefficient", &build.exhaust));
    all.push(peak_index(build, best_power));
    all
}

/// Largest up to the power peak: past it, it may rise as it likes.
fn mach_index(build: &Build, points: &[Point], best_power: &Best) -> Option<LimitCheck> {
    let used: Vec<Point> =
        points.iter().filter(|p| p.speed <= best_power.speed * 1.001).cloned().collect();
    let (speed, value) = largest(&used, |point| point.inlet_mach_index)?;
    let limit = &build.limits.inlet_mach_index;
    Some(LimitCheck {
        name: "inlet Mach index",
        verdict: sign(value, limit.si),
        value,
        limit: (None, Some(limit.si)),
        quantity: Quantity::Ratio,
        speed: Some(speed),
        reason: "Above it the valves are too small for the speed and filling falls.".into(),
        whose: whose(limit),
    })
}

fn intake_choking(points: &[Point]) -> Option<LimitCheck> {
    let (speed, value) = largest(points, |point| worst(point, |c| c.intake_choked))?;
    let reason =
        "Share of the open time with sound speed in the valve: more valve or lift may pay.";
    Some(choking("intake valves choked", CHOKED.0, (speed, value), reason))
}

/// Blow-down chokes the exhaust valve before bottom dead centre; after it, a valve too small for the
/// stroke or a pipe that draws hard does.
fn exhaust_choking(points: &[Point]) -> Option<LimitCheck> {
    let (speed, value) = largest(points, |point| worst(point, |c| c.exhaust_choked))?;
    let point = points.iter().find(|point| point.speed == speed)?;
    let early = point.cylinders.iter().find(|c| c.exhaust_choked == value)?.blow_down_choked;
    let reason = if early > 0.5 * value {
        "Share of the open time with sound speed in the valve, most of it before bottom dead centre: \
         the blow-down takes too long."
    } else {
        "Share of the open time with sound speed in the valve, most of it after bottom dead centre: \
         the valves are small for the stroke, or the pipe draws hard then; little gas may be left to \
         choke."
    };
    Some(choking("exhaust valves choked", CHOKED.1, (speed, value), reason))
}

fn choking(name: &'static str, limit: f64, (speed, value): (f64, f64), reason: &str) -> LimitCheck {
    LimitCheck {
        name,
        verdict: sign(value, limit),
        value,
        limit: (None, Some(limit)),
        quantity: Quantity::Fraction,
        speed: Some(speed),
        reason: reason.to_owned(),
        whose: shipped("own"),
    }
}

/// Drop at the mean flow, as the square of it over the rated one.
fn carburettor(build: &Build, points: &[Point]) -> Option<LimitCheck> {
    let carburettor = build.intake_system.carburettor.as_ref()?;
    let (rated, drop) = carburettor.rating.as_ref()?;
    let all = rated.si * carburettor.count.max(1) as f64;
    let density = build.state.air_pressure.si / (AIR.0 * build.state.air_temperature.si);
    let (speed, flow) = largest(points, |point| point.air_flow / density)?;
    let value = drop.si * (flow / all).powi(2);
    Some(LimitCheck {
        name: "carburettor pressure drop",
        verdict: sign(value, drop.si),
        value,
        limit: (None, Some(drop.si)),
        quantity: Quantity::PressureDifference,
        speed: Some(speed),
        reason: "Above the drop it is rated at, the carburettor costs power at this speed.".into(),
        whose: if drop.is_assumed() { shipped(&drop.source) } else { shipped("c.p.") },
    })
}

/// Choked mass flow of a nozzle (compressible flow tables): A p0 / sqrt(R T0) sqrt(k) (2/(k+1))^3
/// for k = 1.4.
fn restrictor(build: &Build, points: &[Point]) -> Option<LimitCheck> {
    let (diameter, discharge) = build.intake_system.restrictor.as_ref()?;
    let (gas_constant, k) = AIR;
    let area = 0.25 * PI * diameter.si.powi(2) * discharge.si;
    let state = &build.state;
    let choked = area * state.air_pressure.si / (gas_constant * state.air_temperature.si).sqrt()
        * k.sqrt()
        * (2.0 / (k + 1.0)).powi(3);
    let (speed, flow) = largest(points, |point| point.air_flow)?;
    let value = flow / choked;
    Some(LimitCheck {
        name: "restrictor flow",
        verdict: sign(value, RESTRICTED),
        value,
        limit: (None, Some(RESTRICTED)),
        quantity: Quantity::Fraction,
        speed: Some(speed),
        reason: "Share of what it can pass with sound speed in the throat: at 1 no part behind it \
                 brings more air."
            .into(),
        whose: shipped("own"),
    })
}

/// None for a sheet that was assumed.
fn flow_sheet(name: &'static str, side: &build::Side) -> Option<LimitCheck> {
    let sheet = &side.flow;
    if sheet.assumed_above == Some(0.0) {
        return None;
    }
    let diameter = side.valves.diameter.si;
    let ideal = (2.0 * sheet.test_pressure.si / BENCH_AIR).sqrt();
    let rows =
        sheet.lift.iter().zip(&sheet.flow).filter(|(lift, _)| **lift >= LEAST_LIFT * diameter);
    let coefficient = |(lift, flow): (&f64, &f64)| {
        flow / (ideal * side.valves.count as f64 * PI * diameter * lift)
    };
    let value = rows.map(coefficient).filter(|c| c.is_finite()).reduce(f64::max)?;
    Some(LimitCheck {
        name,
        verdict: sign(value, MOST_COEFFICIENT),
        value,
        limit: (None, Some(MOST_COEFFICIENT)),
        quantity: Quantity::Ratio,
        speed: None,
        reason: "Flow over ideal flow through the curtain; higher ones are mostly a bench reading \
                 too much."
            .into(),
        whose: shipped("published heads against an independent bench"),
    })
}

fn peak_index(build: &Build, best_power: &Best) -> LimitCheck {
    let bottom = &build.bottom_end;
    let valves = &build.intake.valves;
    let area_ratio = bottom.bore.si.powi(2) / (valves.count as f64 * valves.diameter.si.powi(2));
    let piston_speed = bottom.stroke.si * best_power.speed / PI;
    let value = area_ratio * piston_speed / (INDEX_FLOW * INDEX_SOUND);
    let inside = (INDEX_AT_PEAK.0..=INDEX_AT_PEAK.1).contains(&value);
    LimitCheck {
        name: "place of the power peak",
        verdict: if inside { Verdict::InOrder } else { Verdict::Watch },
        value,
        limit: (Some(INDEX_AT_PEAK.0), Some(INDEX_AT_PEAK.1)),
        quantity: Quantity::Ratio,
        speed: Some(best_power.speed),
        reason: match best_power.at_end {
            true => "Taylor's Z at the end of the curve: the peak may lie beyond it.".into(),
            false => "Taylor's Z there; outside this range look for a value that is off.".into(),
        },
        whose: shipped("17 published engines: 0.53, standard deviation 0.05"),
    }
}

#[cfg(test)]
mod tests {
    use crate::limits::Verdict;
    use crate::limits::tests::check;
    use crate::tests_support::{four, plain_point};
    use std::f64::consts::PI;

    #[test]
    fn index_at_the_power_peak_is_taylors() {
        // b²/(2 d²) = 86²/(2 x 34²) = 3.199; Sp = 2 x 0.086 x 6500/60 = 18.63 m/s;
        // Z = 3.199 x 18.63 / (0.35 x 345) = 0.4936.
        let build = four();
        let point = plain_point(&build, 6500.0 * PI / 30.0);
        let found = check(&build, point, "place of the power peak").unwrap();
        assert!((found.value - 0.4936).abs() < 2e-4, "{}", found.value);
        assert_eq!(found.verdict, Verdict::InOrder);
        let slow =
            check(&build, plain_point(&build, 3000.0 * PI / 30.0), "place of the power peak");
        assert_eq!(slow.unwrap().verdict, Verdict::Watch);
    }

    #[test]
    fn restrictor_chokes_at_the_textbook_flow() {
        // Air at 101325 Pa and 293.15 K through 20 mm with coefficient 1: 0.0404184 sqrt(kg K)/J^.5
        // x A p0 / sqrt(T0) = 0.07513 kg/s (choked flow function of air, compressible flow tables).
        let build = four().with("intake.restrictor.diameter", "20 mm").unwrap();
        let build = build.with("intake.restrictor.discharge", "1.0").unwrap();
        let build = build.with("air.temperature", "20 degC").unwrap();
        let build = build.with("air.pressure", "101.325 kPa").unwrap();
        let mut point = plain_point(&build, 500.0);
        point.air_flow = 0.07513;
        let found = check(&build, point, "restrictor flow").unwrap();
        assert!((found.value - 1.0).abs() < 1e-3, "{}", found.value);
        assert_eq!(found.verdict, Verdict::Watch);
    }

    #[test]
    fn choked_exhaust_valves_tell_in_which_part_of_the_cycle() {
        let build = four();
        let reason = |blow_down: f64| {
            let mut point = plain_point(&build, 500.0);
            point.cylinders[2].exhaust_choked = 0.6;
            point.cylinders[2].blow_down_choked = blow_down;
            let found = check(&build, point, "exhaust valves choked").unwrap();
            assert_eq!(found.verdict, Verdict::Watch);
            found.reason
        };
        assert!(reason(0.4).contains("before bottom dead centre: the blow-down"));
        let late = reason(0.2);
        assert!(late.contains("after bottom dead centre") && !late.contains("blow-down"), "{late}");
    }

    #[test]
    fn an_assumed_flow_sheet_is_not_judged_a_measured_one_is() {
        let build = four();
        let name = "intake flow coefficient";
        assert!(check(&build, plain_point(&build, 500.0), name).is_none());
        let typed = "{ test_pressure = \"28 inH2O\", columns = [\"lift mm\", \"flow cfm\"], \
                     rows = [[4, 130], [8, 300], [10, 320]] }";
        let build = build.with("intake.flow", typed).unwrap();
        // 300 cfm = 0.141584 m³/s; sqrt(2 x 6974.5 / 1.184) = 108.54 m/s; two curtains of
        // pi x 34 mm x 8 mm = 1.70903e-3 m²: 0.7633.
        let found = check(&build, plain_point(&build, 500.0), name).unwrap();
        assert!((found.value - 0.763).abs() < 2e-3, "{}", found.value);
    }
}
