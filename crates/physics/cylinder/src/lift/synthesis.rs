//! A lift curve from its largest lift and the angles at one or two checking lifts.
//!
//! Each flank is `L (1 - (a/H)^2)^q`, a the angle from the centreline, with H and q from the angles at
//! two checking lifts, or with [`USUAL_EXPONENT`] from one; where that becomes flatter than
//! [`RAMP_SLOPE`] a ramp of constant velocity leads to the seat. Own form: published lobes are rarely
//! available, and what matters (area, events at working lifts) is fixed by the two angles.

use super::{Lift, LiftAssumption, LiftCurve, Opening};
use crate::CylinderError;
use crate::monotone::Monotone;
use std::f64::consts::PI;

/// Exponent when only one checking lift is known; own, from common cams whose angles at 0.15 and
/// 1.27 mm of lifter rise are known (2.4 to 2.8).
const USUAL_EXPONENT: f64 = 2.6;
/// Velocity of the seating ramp, m of valve lift per crank rad: 0.01 mm per degree; own, between
/// lash ramps of road and racing cams.
const RAMP_SLOPE: f64 = 1.0e-5 * 180.0 / PI;
/// Spacing of the table of a synthesised curve, rad: one degree.
const SPACING: f64 = PI / 180.0;

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
