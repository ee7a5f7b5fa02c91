//! Valve lift over crank angle, from every way in which the trade states a cam.
//!
//! A measured table is interpolated without overshoot. Otherwise the curve is
//! synthesised from the angles at one or two checking lifts. All lifts kept here are
//! net lifts of the valve, lash taken off.

mod measured;
mod synthesis;

use crate::monotone::Monotone;
use std::f64::consts::PI;

/// Length of the four-stroke cycle, rad.
const CYCLE: f64 = 4.0 * PI;

/// Where a lift was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum MeasuredAt {
    /// At the valve with the running lash in the train.
    Valve,
    /// At the valve with the lash taken up.
    ValveWithoutLash,
    /// At the lifter (or cam lobe); the rocker ratio leads to the valve.
    Lifter {
        /// Valve lift over lifter lift.
        rocker_ratio: f64,
    },
}

/// A lift and where it was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lift {
    /// The lift, m.
    pub value: f64,
    /// Where it was measured.
    pub at: MeasuredAt,
}

impl Lift {
    /// Net valve lift, m, with the running `lash` (m, at the valve); may be negative while the lash
    /// is not yet taken up.
    pub fn net(&self, lash: f64) -> f64 {
        match self.at {
            MeasuredAt::Valve => self.value,
            MeasuredAt::ValveWithoutLash => self.value - lash,
            MeasuredAt::Lifter { rocker_ratio } => self.value * rocker_ratio - lash,
        }
    }
}

/// Angles at which a lift is passed, rad after firing dead centre of the cylinder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// The checking lift.
    pub lift: Lift,
    /// Angle of opening through it.
    pub opens: f64,
    /// Angle of closing through it.
    pub closes: f64,
}

impl Opening {
    /// From a duration (rad) and the angle of the centreline (rad after firing dead centre: an
    /// intake centreline of 106 degrees after top centre is 466 degrees).
    pub fn from_duration(lift: Lift, duration: f64, centreline: f64) -> Self {
        Self { lift, opens: centreline - 0.5 * duration, closes: centreline + 0.5 * duration }
    }
}

/// What had to be assumed to make the curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LiftAssumption {
    /// Only one checking lift was given: the flanks have the usual exponent. The seat angles that
    /// come out are uncertain by about 8 degrees each.
    Flanks,
    /// Beyond the lowest checking lift a ramp leads to the seat, this many rad before and after.
    SeatRamp {
        /// From seat to the lowest checking lift.
        opening: f64,
        /// From the lowest checking lift back to the seat.
        closing: f64,
    },
    /// The lobe's nose was put midway between the angles at the highest checking lift.
    SymmetricalNose,
}

/// Net valve lift over crank angle.
#[derive(Clone, Debug, PartialEq)]
pub struct LiftCurve {
    table: Monotone,
    centreline: f64,
    max_lift: f64,
}

impl LiftCurve {
    /// Net valve lift, m, at `theta` (rad after firing dead centre, any turn).
    pub fn lift(&self, theta: f64) -> f64 {
        let first = self.table.first();
        let angle = first + (theta - first).rem_euclid(CYCLE);
        if angle > self.table.last() { 0.0 } else { self.table.at(angle) }
    }

    /// Largest net valve lift, m.
    pub fn max_lift(&self) -> f64 {
        self.max_lift
    }

    /// Angle of the largest lift, rad after firing dead centre.
    pub fn centreline(&self) -> f64 {
        self.centreline
    }

    /// Angles at which the valve leaves and meets its seat, rad after firing dead centre.
    pub fn seat_events(&self) -> (f64, f64) {
        (self.table.first(), self.table.last())
    }

    /// Angles of opening and closing through the net valve lift `lift` (m), or `None` when it is
    /// not reached.
    pub fn events_at(&self, lift: f64) -> Option<(f64, f64)> {
        if !(lift >= 0.0 && lift < self.max_lift) {
            return None;
        }
        let (first, last) = self.seat_events();
        let crossing = |mut shut: f64, mut open: f64| {
            for _ in 0..60 {
                let mid = 0.5 * (shut + open);
                if self.table.at(mid) > lift { open = mid } else { shut = mid }
            }
            0.5 * (shut + open)
        };
        Some((crossing(first, self.centreline), crossing(last, self.centreline)))
    }

    /// Area under the curve, m rad.
    pub fn area(&self) -> f64 {
        let points: Vec<(f64, f64)> = self.table.points().collect();
        points
            .windows(2)
            .map(|w| {
                // Simpson's rule, exact for the cubic pieces.
                let middle = self.table.at(0.5 * (w[0].0 + w[1].0));
                (w[1].0 - w[0].0) / 6.0 * (w[0].1 + 4.0 * middle + w[1].1)
            })
            .sum()
    }

    /// The same lobe turned by `angle` rad (positive: later).
    pub fn retarded(&self, angle: f64) -> Self {
        let (x, y) = self.table.points().map(|(x, y)| (x + angle, y)).unzip();
        let centreline = self.centreline + angle;
        Self { table: Monotone::new(x, y), centreline, max_lift: self.max_lift }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Test lobe of the trade check rows: 11 cos^2(pi (theta - c)/300), c 106 after top centre.
    fn lobe(deg: f64) -> f64 {
        let x = PI * (deg - 106.0) / 300.0;
        if x.abs() < PI / 2.0 { 11e-3 * x.cos().powi(2) } else { 0.0 }
    }

    fn table() -> LiftCurve {
        let rows: Vec<(f64, f64)> = (-9..=53)
            .map(|i| 5.0 * i as f64 + 0.0)
            .map(|deg| (f64::to_radians(deg + 360.0), lobe(deg)))
            .collect();
        LiftCurve::measured(&rows, MeasuredAt::Valve, 0.0).unwrap()
    }

    /// Trade check row: lobe 0.390 in, ratio 1.60, lash 0.018 in.
    #[test]
    fn lash_is_taken_off_the_valve_lift() {
        let inch = 0.0254;
        let lift = Lift { value: 0.390 * inch, at: MeasuredAt::Lifter { rocker_ratio: 1.60 } };
        assert!((lift.net(0.018 * inch) / inch - 0.606).abs() < 1e-9);
    }

    /// Trade check rows: lift at top centre 2.1747 mm, duration at 1 mm 241.505 degrees; the area of
    /// a cos^2 lobe is half its lift times its duration.
    #[test]
    fn measured_table_gives_lift_duration_and_area() {
        let c = table();
        assert!((c.lift(2.0 * PI) - 2.174704868e-3).abs() < 2e-6);
        assert!((c.lift(-2.0 * PI) - c.lift(2.0 * PI)).abs() < 1e-12);
        let (open, shut) = c.events_at(1e-3).unwrap();
        assert!(((shut - open).to_degrees() - 241.5053313).abs() < 0.05);
        let area = 0.5 * 11e-3 * f64::to_radians(300.0);
        assert!((c.area() / area - 1.0).abs() < 1e-3);
        assert_eq!(c.lift(0.0), 0.0);
    }

    /// From two durations of the same lobe the rest of it comes back; 2 % of area is half of what a
    /// flow bench repeats (common practice, no source).
    #[test]
    fn two_durations_give_back_the_lobe() {
        let at = |mm: f64| {
            let duration = 600.0 / PI * (mm / 11.0).sqrt().acos();
            let lift = Lift { value: mm * 1e-3, at: MeasuredAt::Valve };
            Opening::from_duration(lift, f64::to_radians(duration), f64::to_radians(466.0))
        };
        let max = Lift { value: 11e-3, at: MeasuredAt::Valve };
        let (c, assumed) = LiftCurve::synthesised(max, 0.0, &[at(1.0), at(0.1)]).unwrap();
        assert!(assumed.iter().any(|a| matches!(a, LiftAssumption::SeatRamp { .. })));
        assert!((c.area() / table().area() - 1.0).abs() < 0.02, "{}", c.area() / table().area());
        assert!((c.lift(2.0 * PI) - 2.1747e-3).abs() < 0.1e-3);
        for mm in [0.1, 1.0] {
            let (open, shut) = c.events_at(mm * 1e-3).unwrap();
            let wanted = 600.0 / PI * (mm / 11.0f64).sqrt().acos();
            assert!(((shut - open).to_degrees() - wanted).abs() < 0.05, "{mm}");
        }
    }

    /// Common hydraulic cam: 230 degrees at 0.050 in of lifter rise has 276-290 at 0.006 in
    /// (common practice, no source).
    #[test]
    fn one_duration_gives_a_usual_seat_duration() {
        let lifter = MeasuredAt::Lifter { rocker_ratio: 1.5 };
        let r = f64::to_radians;
        let max = Lift { value: 0.333 * 0.0254, at: lifter };
        let check = Lift { value: 0.050 * 0.0254, at: lifter };
        let opening = Opening::from_duration(check, r(230.0), r(466.0));
        let (c, assumed) = LiftCurve::synthesised(max, 0.0, &[opening]).unwrap();
        assert!(assumed.contains(&LiftAssumption::Flanks));
        let (open, shut) = c.events_at(0.006 * 0.0254 * 1.5).unwrap();
        assert!((272.0..292.0).contains(&(shut - open).to_degrees()));
        assert!((c.centreline() - r(466.0)).abs() < 1e-12);
    }

    #[test]
    fn lash_shortens_the_opening() {
        let rows: Vec<(f64, f64)> =
            (-60..=272).map(|deg| (f64::to_radians(deg as f64), lobe(deg as f64))).collect();
        let tight = LiftCurve::measured(&rows, MeasuredAt::ValveWithoutLash, 0.0).unwrap();
        let loose = LiftCurve::measured(&rows, MeasuredAt::ValveWithoutLash, 0.3e-3).unwrap();
        assert!((tight.max_lift() - loose.max_lift() - 0.3e-3).abs() < 1e-9);
        let span = |c: &LiftCurve| c.seat_events().1 - c.seat_events().0;
        assert!(span(&loose) < span(&tight) - 0.3);
    }

    #[test]
    fn contradictions_are_named() {
        let lift = |mm: f64| Lift { value: mm * 1e-3, at: MeasuredAt::Valve };
        let r = f64::to_radians;
        let wide = Opening::from_duration(lift(1.0), r(280.0), r(466.0));
        let narrow = Opening::from_duration(lift(0.1), r(240.0), r(466.0));
        let e = LiftCurve::synthesised(lift(10.0), 0.0, &[wide, narrow]).unwrap_err();
        assert!(e.to_string().contains("not inside"), "{e}");
        let e = LiftCurve::synthesised(lift(10.0), 0.0, &[]).unwrap_err();
        assert!(e.to_string().contains("0 checking lifts"), "{e}");
    }
}
