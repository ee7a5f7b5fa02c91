//! Many pulls of one build as one thing to look at.

use crate::chart::{Series, Slot};
use shortblock_curve::{Curve, CurveError, Measured, Quantity};
use std::f64::consts::PI;

/// From this many pulls on the middle nine tenths of them are tinted.
const BAND_FROM: usize = 5;

/// Pulls of one build: each a thin grey line, over them their middle in the colour of the build,
/// and from five pulls on a tint that holds the middle nine tenths (5 to 95 %).
#[derive(Debug, Clone)]
pub struct Crowd {
    pub(crate) members: Vec<Curve<Measured>>,
    pub(crate) middle: Series,
    /// At the points of the middle: speed (rad/s), low and high torque (N·m).
    pub(crate) band: Option<Vec<[f64; 3]>>,
}

impl Crowd {
    /// The pulls `members` under one label. Middle and tint are taken at the speeds of the first one
    /// that all others reach; they are the median and, on a straight line between pulls in order of
    /// size, the quantiles 0.05 and 0.95 of torque.
    ///
    /// # Errors
    /// No pull, or no speed that all of them reach.
    pub fn of(
        slot: Slot,
        label: impl Into<String>,
        members: Vec<Curve<Measured>>,
    ) -> Result<Self, CurveError> {
        let speeds = members.first().map_or(&[][..], |first| first.speed());
        let mut kept = Vec::new();
        let mut columns = Vec::new();
        for speed in speeds {
            let here: Option<Vec<f64>> =
                members.iter().map(|m| m.at(Quantity::Torque, *speed)).collect();
            if let Some(mut here) = here {
                here.sort_by(f64::total_cmp);
                kept.push(*speed);
                columns.push(here);
            }
        }
        let middle = columns.iter().map(|here| quantile(here, 0.5)).collect();
        let tinted = kept.iter().zip(&columns).filter(|_| members.len() >= BAND_FROM);
        let band: Vec<[f64; 3]> =
            tinted.map(|(speed, c)| [*speed, quantile(c, 0.05), quantile(c, 0.95)]).collect();
        let middle = Series::measured(slot, Curve::from_torque(label, kept, middle)?);
        Ok(Self { middle, band: (!band.is_empty()).then_some(band), members })
    }

    /// What the legend says of it.
    pub(crate) fn words(&self) -> String {
        let tint = if self.band.is_some() { ", tint 5 to 95 % of them" } else { "" };
        format!("middle of {} pulls (thin){tint}, measured", self.members.len())
    }

    /// Speeds of every pull, rpm.
    pub(crate) fn speeds_rpm(&self) -> impl Iterator<Item = f64> {
        self.members.iter().flat_map(|member| member.speed()).map(|speed| speed / (PI / 30.0))
    }

    /// Torque or power of every pull, in SI.
    pub(crate) fn values(&self, quantity: Quantity) -> impl Iterator<Item = f64> {
        self.members.iter().flat_map(move |member| member.column(quantity)).copied()
    }
}

/// Quantile of sorted values on a straight line between them (definition 7 of Hyndman & Fan, Am.
/// Stat. 50 (1996) 361, from memory).
fn quantile(sorted: &[f64], p: f64) -> f64 {
    let at = p * (sorted.len() - 1) as f64;
    let below = at.floor() as usize;
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + (at - below as f64) * (sorted[above] - sorted[below])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::{Axis, Unit};

    /// NumPy's default quantile of 1, 2, 3, 4, 10 (definition 7): 5 %: 1.2, 50 %: 3, 95 %: 8.8.
    #[test]
    fn quantiles_are_those_of_the_usual_definition() {
        let sorted = [1.0, 2.0, 3.0, 4.0, 10.0];
        for (p, expected) in [(0.05, 1.2), (0.5, 3.0), (0.95, 8.8)] {
            assert!((quantile(&sorted, p) - expected).abs() < 1e-12);
        }
        assert_eq!(quantile(&[7.0], 0.95), 7.0);
    }

    #[test]
    fn the_middle_goes_as_far_as_all_pulls_do() {
        let pull = |from: f64, torque: f64| {
            let speed: Vec<f64> = (0..10).map(|i| from + 10.0 * f64::from(i)).collect();
            Curve::from_torque("p", speed, vec![torque; 10]).unwrap()
        };
        let pulls = vec![pull(100.0, 200.0), pull(120.0, 204.0), pull(100.0, 210.0)];
        let crowd = Crowd::of(Slot::A, "b6", pulls).unwrap();
        let rpm = crowd.middle.points_rpm();
        assert!((rpm[0] * PI / 30.0 - 120.0).abs() < 1e-9);
        let torque = Axis::torque(Unit::new("N·m", 1.0));
        assert!(rpm.iter().all(|n| (crowd.middle.at(&torque, *n).unwrap() - 204.0).abs() < 1e-9));
        assert_eq!(crowd.band, None);
        assert!(Crowd::of(Slot::A, "none", Vec::new()).is_err());
    }
}
