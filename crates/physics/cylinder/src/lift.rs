//! Valve lift over crank angle, from every way in which the trade states a cam.
//!
//! A measured table is interpolated without overshoot. Otherwise each flank is synthesised as
//! `L (1 - (a/H)^2)^q`, a the angle from the centreline, with H and q from the angles at two
//! checking lifts, or with [`USUAL_EXPONENT`] from one; where that becomes flatter than
//! [`RAMP_SLOPE`] a ramp of constant velocity leads to the seat. Own form: published lobes are rarely
//! available, and what matters (area, events at working lifts) is fixed by the two angles.
//! All lifts kept here are net lifts of the valve, lash taken off.

use crate::CylinderError;
use crate::monotone::Monotone;
use std::f64::consts::PI;

/// Exponent when only one checking lift is known; own, from common cams whose angles at 0.15 and
/// 1.27 mm of lifter rise are known (2.4 to 2.8).
pub const USUAL_EXPONENT: f64 = 2.6;
/// Velocity of the seating ramp, m of valve lift per crank rad: 0.01 mm per degree; own, between
/// lash ramps of road and racing cams.
pub const RAMP_SLOPE: f64 = 1.0e-5 * 180.0 / PI;
/// Spacing of the table of a synthesised curve, rad: one degree.
const SPACING: f64 = PI / 180.0;
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
    /// Only one checking lift was given: the flanks have [`USUAL_EXPONENT`]. The seat angles that
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

/// One flank: half width H and exponent q.
#[derive(Clone, Copy)]
struct Flank {
    half_width: f64,
    exponent: f64,
    max: f64,
}

impl LiftCurve {
    /// Synthesises the curve from the largest lift, the running lash (m at the valve, 0 for
    /// hydraulic lifters) and the angles at one or two checking lifts. Returns what was assumed.
    ///
    /// # Errors
    /// [`CylinderError::Lift`] when the data contradict each other.
    pub fn synthesised(
        max_lift: Lift,
        lash: f64,
        openings: &[Opening],
    ) -> Result<(Self, Vec<LiftAssumption>), CylinderError> {
        let max = max_lift.net(lash);
        let mut checks: Vec<(f64, f64, f64)> =
            openings.iter().map(|o| (o.lift.net(lash), o.opens, o.closes)).collect();
        check_openings(max, lash, &checks)?;
        checks.sort_by(|a, b| a.0.total_cmp(&b.0));
        let high = checks[checks.len() - 1];
        let low = checks[0];
        let centreline = 0.5 * (high.1 + high.2);
        let mut assumed = vec![LiftAssumption::SymmetricalNose];
        let (up, down) = if checks.len() == 1 {
            assumed.push(LiftAssumption::Flanks);
            let flank = Flank::from_one(high.0, centreline - high.1, max);
            (flank, flank)
        } else {
            let up = Flank::from_two(low.0, centreline - low.1, high.0, centreline - high.1, max)?;
            let down =
                Flank::from_two(low.0, low.2 - centreline, high.0, high.2 - centreline, max)?;
            (up, down)
        };
        let (ramp_up, ramp_down) = (up.ramp(), down.ramp());
        assumed.push(LiftAssumption::SeatRamp {
            opening: ramp_up.1 - (centreline - low.1),
            closing: ramp_down.1 - (low.2 - centreline),
        });
        let mut points: Vec<(f64, f64)> = Vec::new();
        let side = |flank: &Flank, ramp: (f64, f64)| -> Vec<(f64, f64)> {
            let count = (ramp.1 / SPACING).ceil() as usize;
            (1..=count)
                .map(|i| ramp.1 * i as f64 / count as f64)
                .map(|a| (a, flank.at(a, ramp)))
                .collect()
        };
        points.extend(side(&up, ramp_up).iter().rev().map(|(a, y)| (centreline - a, *y)));
        points.push((centreline, max));
        points.extend(side(&down, ramp_down).iter().map(|(a, y)| (centreline + a, *y)));
        let (x, y) = points.into_iter().unzip();
        Ok((Self { table: Monotone::new(x, y), centreline, max_lift: max }, assumed))
    }

    /// Takes a measured table of angle (rad after firing dead centre, ascending) and lift (m,
    /// measured as `at` says), with the running lash (m at the valve).
    ///
    /// # Errors
    /// [`CylinderError::Table`] naming the first row that is not in order or not a number, or when
    /// the valve never opens.
    pub fn measured(rows: &[(f64, f64)], at: MeasuredAt, lash: f64) -> Result<Self, CylinderError> {
        let fault =
            |row, what, hint| Err(CylinderError::Table { table: "lift table", row, what, hint });
        if rows.len() < 5 {
            return fault(rows.len(), "is the last", "give at least five points");
        }
        for (i, (angle, lift)) in rows.iter().enumerate() {
            if !angle.is_finite() || !(-0.01..0.2).contains(lift) {
                return fault(i + 1, "is not an angle and a lift", "lift below 0.2 m");
            }
            if i > 0 && *angle <= rows[i - 1].0 {
                return fault(i + 1, "does not follow the row before", "sort the rows by angle");
            }
        }
        if rows[rows.len() - 1].0 - rows[0].0 >= CYCLE {
            return fault(rows.len(), "is more than two turns on", "give one opening only");
        }
        let net: Vec<(f64, f64)> =
            rows.iter().map(|(a, y)| (*a, Lift { value: *y, at }.net(lash))).collect();
        let Some(first) = net.iter().position(|p| p.1 > 0.0) else {
            return fault(
                1,
                "and all others stay shut",
                "check the lash and where lift was measured",
            );
        };
        let last = net.iter().rposition(|p| p.1 > 0.0).unwrap_or(first);
        let mut points: Vec<(f64, f64)> = Vec::with_capacity(last - first + 3);
        if first > 0 {
            points.push((zero_between(net[first - 1], net[first]), 0.0));
        }
        points.extend(net[first..=last].iter().map(|p| (p.0, p.1.max(0.0))));
        if last + 1 < net.len() {
            points.push((zero_between(net[last], net[last + 1]), 0.0));
        }
        points.dedup_by(|a, b| a.0 - b.0 < 1e-9);
        if points.len() < 3 {
            return fault(first + 1, "is nearly the only one open", "measure more points");
        }
        let (centreline, max_lift) =
            points.iter().fold((0.0, 0.0), |best, p| if p.1 > best.1 { *p } else { best });
        let (x, y) = points.into_iter().unzip();
        Ok(Self { table: Monotone::new(x, y), centreline, max_lift })
    }

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

fn check_openings(max: f64, lash: f64, checks: &[(f64, f64, f64)]) -> Result<(), CylinderError> {
    let fault = |what: String, hint| Err(CylinderError::Lift { what, hint });
    if !(0.0..0.02).contains(&lash) {
        return fault(format!("lash {lash} m"), "between 0 and 0.02 m at the valve");
    }
    if !(1e-4..0.1).contains(&max) {
        return fault(
            format!("largest net lift {max} m"),
            "between 0.1 and 100 mm once the lash is taken off; check lifter or valve, and ratio",
        );
    }
    if checks.is_empty() || checks.len() > 2 {
        return fault(format!("{} checking lifts", checks.len()), "give one or two");
    }
    for (lift, opens, closes) in checks {
        if !(*lift > 0.0 && *lift < 0.9 * max) {
            return fault(
                format!("checking lift {lift} m net at the valve"),
                "above zero once the lash is taken off and below nine tenths of the largest lift",
            );
        }
        if !(0.5..3.0 * PI).contains(&(closes - opens)) {
            return fault(
                format!("duration of {:.1} degrees", (closes - opens).to_degrees()),
                "crank degrees, between 30 and 540",
            );
        }
    }
    if let [a, b] = checks {
        if a.0 == b.0 {
            return fault(
                "both checking lifts are equal".into(),
                "give two different ones, or one",
            );
        }
        let (low, high) = if a.0 < b.0 { (a, b) } else { (b, a) };
        if low.1 >= high.1 || low.2 <= high.2 {
            return fault(
                "the opening at the higher checking lift is not inside that at the lower".into(),
                "check which angle belongs to which lift, and whether it is at the lifter or valve",
            );
        }
    }
    Ok(())
}

impl Flank {
    /// From one angle: `a` at lift `h`.
    fn from_one(h: f64, a: f64, max: f64) -> Self {
        let exponent = USUAL_EXPONENT;
        let half_width = a / (1.0 - (h / max).powf(1.0 / exponent)).sqrt();
        Self { half_width, exponent, max }
    }

    /// From two angles: `a1` at the lower lift `h1`, `a2` at `h2`.
    fn from_two(h1: f64, a1: f64, h2: f64, a2: f64, max: f64) -> Result<Self, CylinderError> {
        let wanted = (h1 / max).ln() / (h2 / max).ln();
        // ln(1 - (a1/H)^2)/ln(1 - (a2/H)^2) falls from infinity at H = a1 to (a1/a2)^2.
        let ratio = |h: f64| (-(a1 / h).powi(2)).ln_1p() / (-(a2 / h).powi(2)).ln_1p();
        let (mut low, mut high) = (a1 * (1.0 + 1e-9), 3.0 * a1);
        if ratio(high) > wanted || ratio(low) < wanted {
            return Err(CylinderError::Lift {
                what: format!(
                    "angles of {:.1} and {:.1} degrees from the centreline do not make a lobe of \
                     this lift",
                    a1.to_degrees(),
                    a2.to_degrees()
                ),
                hint: "check at which lifts they were measured, at lifter or valve, and the lash",
            });
        }
        for _ in 0..100 {
            let mid = 0.5 * (low + high);
            if ratio(mid) > wanted { low = mid } else { high = mid }
        }
        let half_width = 0.5 * (low + high);
        let exponent = (h2 / max).ln() / (-(a2 / half_width).powi(2)).ln_1p();
        Ok(Self { half_width, exponent, max })
    }

    fn main_part(&self, a: f64) -> f64 {
        let x = a / self.half_width;
        self.max * (1.0 - x * x).max(0.0).powf(self.exponent)
    }

    fn slope(&self, a: f64) -> f64 {
        let x = a / self.half_width;
        let rest = (1.0 - x * x).max(0.0);
        2.0 * self.exponent * self.max * x / self.half_width * rest.powf(self.exponent - 1.0)
    }

    /// Angle from the centreline at which the ramp joins, and that of the seat.
    fn ramp(&self) -> (f64, f64) {
        // The flank's steepest point lies at x = 1/sqrt(2q - 1); beyond it the slope falls.
        let steepest = self.half_width / (2.0 * self.exponent - 1.0).max(1.0).sqrt();
        if self.slope(steepest) <= RAMP_SLOPE {
            return (self.half_width, self.half_width);
        }
        let (mut low, mut high) = (steepest, self.half_width);
        for _ in 0..60 {
            let mid = 0.5 * (low + high);
            if self.slope(mid) > RAMP_SLOPE { low = mid } else { high = mid }
        }
        (low, low + self.main_part(low) / RAMP_SLOPE)
    }

    fn at(&self, a: f64, (join, seat): (f64, f64)) -> f64 {
        if a < join { self.main_part(a) } else { (seat - a).max(0.0) * RAMP_SLOPE }
    }
}

/// Angle at which the lift between two points of different sign is zero.
fn zero_between(a: (f64, f64), b: (f64, f64)) -> f64 {
    a.0 + (b.0 - a.0) * a.1 / (a.1 - b.1)
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
