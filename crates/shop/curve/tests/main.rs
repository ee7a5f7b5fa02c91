//! Checks on the whole crate: any numbers at all give a curve or a reason.

use proptest::prelude::*;
use shortblock_curve::{Curve, Measured, MonotoneCubic, Predicted, Quantity};

proptest! {
    #[test]
    fn any_numbers_give_a_curve_or_a_reason(
        points in prop::collection::vec((any::<f64>(), any::<f64>()), 0..12),
        asked in any::<f64>(),
    ) {
        let (speed, torque): (Vec<f64>, Vec<f64>) = points.into_iter().unzip();
        if let Ok(curve) = Curve::<Predicted>::from_torque("any", speed, torque) {
            for quantity in [Quantity::Torque, Quantity::Power] {
                let _ = curve.peak(quantity);
                let _ = curve.smoothed_peak(quantity);
                let _ = curve.range_holding(quantity, 0.95);
                let _ = curve.average(quantity, curve.lowest_speed(), asked);
                let _ = curve.at(quantity, asked);
            }
        }
    }

    #[test]
    fn interpolation_stays_between_its_neighbours(
        steps in prop::collection::vec((1.0..60.0, 50.0..400.0), 2..20),
        share in 0.0..1.0,
    ) {
        let mut at = 200.0;
        let (x, y): (Vec<f64>, Vec<f64>) =
            steps.into_iter().map(|(step, y): (f64, f64)| { at += step; (at, y) }).unzip();
        let spline = MonotoneCubic::through(&x, &y);
        for i in 1..x.len() {
            let found = spline.at(x[i - 1] + share * (x[i] - x[i - 1]));
            let (low, high) = (y[i - 1].min(y[i]), y[i - 1].max(y[i]));
            prop_assert!(found >= low - 1e-9 && found <= high + 1e-9);
        }
    }

    #[test]
    fn order_of_comparing_only_turns_the_sign(
        torque in prop::collection::vec((50.0..400.0, 50.0..400.0), 2..12),
    ) {
        let speed: Vec<f64> = (0..torque.len()).map(|i| 300.0 + 20.0 * i as f64).collect();
        let (one, other): (Vec<f64>, Vec<f64>) = torque.into_iter().unzip();
        let one = Curve::<Measured>::from_torque("A", speed.clone(), one).unwrap();
        let other = Curve::<Measured>::from_torque("B", speed, other).unwrap();
        let (there, back) = (one.less(&other).unwrap(), other.less(&one).unwrap());
        for (a, b) in there.points().iter().zip(back.points()) {
            prop_assert!(a.torque == -b.torque && a.speed == b.speed);
        }
    }
}
