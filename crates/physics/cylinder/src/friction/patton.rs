//! Friction by component: Patton, Nitschke & Heywood 1989 and Sandoval & Heywood 2003.
//!
//! kPa with lengths in mm, N rpm, Sp m/s, nb bearings, nc cylinders, nv valves, Lv lift, rc
//! compression ratio, m = sqrt(viscosity ratio) (1 in the 1989 edition), n0 = 1000 rpm (1989) or
//! 500 rpm (2003):
//! crankshaft `1.22e5 Db/(B^2 S nc) + m 3.03e-4 N Db^3 Lb nb/(B^2 S nc) + 1.35e-10 Db^2 N^2 nb/nc`;
//! reciprocating `m 294 Sp/B + 4.06e4 Fo (1+n0/N)/B^2 + m 3.03e-4 N Db^3 Lb nb/(B^2 S nc)` (rods);
//! gas `6.89 (pi/pa) [0.088 m rc + 0.182 Ft rc^(1.33 - K Sp)]`, K 0.0238 s/m (2003: twice that);
//! valve train `244 m N nb/(B^2 S nc) + Cff (1+n0/N) nv/(S nc)` (flat) `or Crf N nv/(S nc)` (roller)
//! `+ m Coh Lv^1.5 N^0.5 nv/(B S nc) + Com (1+n0/N) Lv nv/(S nc)`.
//! Source: SAE 890836; SAE 2003-01-0725 and Sandoval's thesis (MIT 2002); all numbers from memory,
//! the valve-train constants least certain. Range: production spark-ignition engines to about
//! 6000 rpm (from memory).

use super::{Bearings, Follower, FrictionMep, FrictionParts, ValveTrain};
use std::f64::consts::PI;

/// Which edition of the correlation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edition {
    /// Patton, Nitschke & Heywood 1989.
    Of1989,
    /// Sandoval & Heywood 2003, with oil viscosity and lower ring and cam friction.
    Of2003,
}

/// Pa in one kPa.
const KPA: f64 = 1e3;
/// Sealing drag, kPa mm^2.
const SEALS: f64 = 1.22e5;
/// Hydrodynamic drag of a plain bearing, kPa min/mm.
const BEARING: f64 = 3.03e-4;
/// Turbulent dissipation in crank bearings, kPa min^2/mm^2.
const TURBULENT: f64 = 1.35e-10;
/// Skirt drag, kPa mm s/m.
const SKIRT: f64 = 294.0;
/// Ring drag without gas load, kPa mm^2.
const RINGS: f64 = 4.06e4;
/// psi in kPa, the unit of the gas-pressure term.
const PSI: f64 = 6.89;
/// Camshaft bearing drag, kPa mm^3 min.
const CAM_BEARING: f64 = 244.0;

/// Valve-train constants: flat follower, roller follower, hydrodynamic and mixed oscillating.
fn constants(train: ValveTrain, of2003: bool) -> (f64, f64, f64, f64) {
    match train {
        ValveTrain::DirectActing if of2003 => (133.0, 0.005, 0.5, 10.7),
        ValveTrain::DirectActing => (200.0, 0.0076, 0.5, 10.7),
        ValveTrain::FingerFollower => (600.0, 0.0227, 0.2, 42.8),
        ValveTrain::RockerOverhead => (400.0, 0.0151, 0.5, 21.4),
        ValveTrain::RockerLifterOverhead | ValveTrain::Pushrod => (400.0, 0.0151, 0.5, 32.1),
    }
}

/// Returns the friction mean effective pressures, Pa, without pumping and auxiliaries.
///
/// - `speed`: crank speed, rad/s, positive. - `intake_pressure_ratio`: manifold over ambient.
pub fn fmep(
    edition: Edition,
    parts: &FrictionParts,
    speed: f64,
    intake_pressure_ratio: f64,
) -> FrictionMep {
    let p = parts;
    let of2003 = edition == Edition::Of2003;
    let n = speed * 30.0 / PI;
    let sp = p.stroke * speed / PI;
    let (b, s) = (p.bore * 1e3, p.stroke * 1e3);
    let volume = b * b * s * p.cylinders;
    let oil = if of2003 { p.viscosity_ratio.sqrt() } else { 1.0 };
    let rings = if of2003 { p.ring_ratio } else { 1.0 };
    let boundary = 1.0 + if of2003 { 500.0 } else { 1000.0 } / n;
    let drag = |x: &Bearings| {
        oil * BEARING * n * (x.diameter * 1e3).powi(3) * x.length * 1e3 * x.count / volume
    };
    let main_diameter = p.mains.diameter * 1e3;
    let crankshaft = SEALS * main_diameter / volume
        + drag(&p.mains)
        + TURBULENT * (main_diameter * n).powi(2) * p.mains.count / p.cylinders;
    let reciprocating = oil * SKIRT * sp / b + RINGS * rings * boundary / (b * b) + drag(&p.rods);
    let k = if of2003 { 2.0 * 2.38e-2 } else { 2.38e-2 };
    let gas_pressure = PSI
        * intake_pressure_ratio
        * (0.088 * oil * p.compression_ratio
            + 0.182 * rings * p.compression_ratio.powf(1.33 - k * sp));
    let (flat, roller, hydrodynamic, mixed) = constants(p.valve_train, of2003);
    let lift = p.valve_lift * 1e3;
    let per_valve = p.valves / (s * p.cylinders);
    let follower = match p.follower {
        Follower::Flat => flat * boundary,
        Follower::Roller => roller * n,
    };
    let valve_train = CAM_BEARING * oil * n * p.cam_bearings / volume
        + follower * per_valve
        + oil * hydrodynamic * lift.powf(1.5) * n.sqrt() * per_valve / b
        + mixed * boundary * lift * per_valve;
    FrictionMep {
        crankshaft: crankshaft * KPA,
        reciprocating: reciprocating * KPA,
        gas_pressure: gas_pressure * KPA,
        valve_train: valve_train * KPA,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::friction::auxiliary;

    /// The engine of the sample file.
    fn sample() -> FrictionParts {
        FrictionParts {
            bore: 0.086,
            stroke: 0.086,
            cylinders: 4.0,
            compression_ratio: 10.5,
            mains: Bearings { diameter: 0.056, length: 0.021, count: 5.0 },
            rods: Bearings { diameter: 0.056, length: 0.021, count: 4.0 },
            cam_bearings: 5.0,
            valves: 16.0,
            valve_lift: 0.009,
            valve_train: ValveTrain::DirectActing,
            follower: Follower::Flat,
            viscosity_ratio: 1.0,
            ring_ratio: 1.0,
        }
    }

    /// Samples evaluated independently from the same formulas (five digits). Auxiliaries only to
    /// 6000 rpm, above which their squared term is not extrapolated here.
    #[test]
    fn components_give_the_sampled_values() {
        let mut rows = 0;
        for line in include_str!("../../tests/data/friction_samples.csv").lines() {
            let v: Vec<f64> = line.split(',').filter_map(|x| x.parse().ok()).collect();
            if v.len() != 16 {
                continue;
            }
            rows += 1;
            let speed = v[0] * PI / 30.0;
            for (edition, first) in [(Edition::Of1989, 2), (Edition::Of2003, 8)] {
                let f = fmep(edition, &sample(), speed, 1.0);
                let found = [f.crankshaft, f.reciprocating, f.gas_pressure, f.valve_train];
                for (i, x) in found.iter().enumerate() {
                    assert!((x / 1e3 / v[first + i] - 1.0).abs() < 1e-4, "{line} {i} {x}");
                }
                if v[0] <= 6000.0 {
                    let aux = auxiliary::all(edition, speed);
                    assert!((aux / 1e3 / v[first + 4] - 1.0).abs() < 1e-4, "{line} {aux}");
                }
            }
        }
        assert_eq!(rows, 7);
    }

    /// Band: rubbing friction of a production four at 3000-6000 rpm 80-200 kPa; mechanical
    /// efficiency 0.75-0.9 at 12 bar (Heywood 1988 section 2.5, from memory).
    #[test]
    fn total_is_in_the_usual_band() {
        for (rpm, low, high) in [(3000.0, 70e3, 130e3), (6000.0, 120e3, 200e3)] {
            let speed = rpm * PI / 30.0;
            let all = fmep(Edition::Of2003, &sample(), speed, 1.0).total()
                + auxiliary::all(Edition::Of2003, speed);
            assert!((low..=high).contains(&all), "{rpm}: {all}");
        }
    }

    #[test]
    fn thinner_oil_rubs_less() {
        let thin = FrictionParts { viscosity_ratio: 0.6, ..sample() };
        let at = |p| fmep(Edition::Of2003, p, 400.0, 1.0).total();
        assert!(at(&thin) < at(&sample()));
    }
}
