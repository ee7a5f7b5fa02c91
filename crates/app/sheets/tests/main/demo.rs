//! Invented curves of an invented four-cylinder, before and after a change.

use shortblock_curve::Quantity;
use shortblock_curve::{Curve, Kind, Measured, Predicted};
use shortblock_sheets::{Axis, Chart, Compared, Crowd, DifferenceSeries, Family, Goal, Part};
use shortblock_sheets::{Says, Series, Slot, Unit};
use std::f64::consts::PI;

pub const RPM: f64 = PI / 30.0;
const HORSEPOWER_W: f64 = 745.699_9;

pub fn torque_axis() -> Axis {
    Axis::torque(Unit::new("N·m", 1.0))
}

pub fn power_axis() -> Axis {
    Axis::power(Unit::new("hp", HORSEPOWER_W))
}

pub fn curve<K: Kind>(label: &str, rpm: &[f64], torque: &[f64], share: f64) -> Curve<K> {
    let speed = rpm.iter().map(|n| n * RPM).collect();
    let curve = Curve::from_torque(label, speed, torque.to_vec()).unwrap();
    curve.with_torque_plus_minus(torque.iter().map(|t| t.abs() * share).collect()).unwrap()
}

const RPM_14: [f64; 11] =
    [3500.0, 4000.0, 4500.0, 5000.0, 5500.0, 6000.0, 6500.0, 7000.0, 7500.0, 8000.0, 8500.0];
const B8: [f64; 11] = [248.1, 254.8, 257.9, 267.6, 286.5, 304.0, 315.3, 319.4, 313.8, 299.7, 280.0];
const B7: [f64; 11] = [251.0, 258.0, 261.2, 270.0, 288.0, 304.5, 312.4, 313.1, 305.2, 291.6, 270.0];

pub fn b8() -> Curve<Predicted> {
    curve("b8", &RPM_14, &B8, 0.025)
}

/// As a dynamometer would give it: every 50 rpm, with a little unevenness.
pub fn b7() -> Curve<Measured> {
    let smooth: Curve<Measured> = curve("b7", &RPM_14, &B7, 0.0);
    let rpm: Vec<f64> = (0..=96).map(|i| 3600.0 + 50.0 * f64::from(i)).collect();
    let torque: Vec<f64> = rpm
        .iter()
        .map(|n| smooth.at(Quantity::Torque, n * RPM).unwrap() + 0.8 * (n / 61.0).sin())
        .collect();
    curve("b7", &rpm, &torque, 0.007)
}

pub fn planner() -> Chart {
    let difference = shortblock_curve::predicted_less_measured(&b8(), &b7()).unwrap();
    Chart {
        title: "114/b8: trumpet length 70 → 50 mm, primary bore 44.5 → 47.0 mm".to_owned(),
        axes: vec![torque_axis(), power_axis()],
        series: vec![Series::measured(Slot::B, b7()), Series::predicted(Slot::A, b8())],
        family: None,
        crowds: Vec::new(),
        goals: vec![
            Goal { quantity: Quantity::Power, value: 340.0 * HORSEPOWER_W, from: None, to: None },
            Goal {
                quantity: Quantity::Torque,
                value: 270.0,
                from: Some(5000.0 * RPM),
                to: Some(5000.0 * RPM),
            },
        ],
        differences: vec![DifferenceSeries::new(&difference, power_axis(), Slot::A)],
        notes: vec![
            "± 19 times in 20. Measured: corrected to 99 kPa dry, 25 °C; mean of 50 rpm steps."
                .to_owned(),
        ],
    }
}

pub fn sweep() -> Chart {
    let members = (0..7)
        .map(|i| {
            let length = 600.0 + 50.0 * f64::from(i);
            let tuned = 8600.0 - 4.0 * (length - 600.0);
            let torque: Vec<f64> = RPM_14
                .iter()
                .zip(B8)
                .map(|(n, t)| t - 12.0 + 22.0 * (-((n - tuned) / 900.0).powi(2)).exp())
                .collect();
            Series::predicted(Slot::A, curve(&format!("{length:.0}"), &RPM_14, &torque, 0.0))
        })
        .collect();
    Chart {
        title: "114/b8, primary length 600 to 900 mm".to_owned(),
        axes: vec![torque_axis(), power_axis()],
        family: Some(Family { varied: "primary length, mm".to_owned(), members }),
        ..Chart::default()
    }
}

/// Every line style there is.
pub fn eight() -> Chart {
    let shifted = |i: usize| -> Vec<f64> { B8.iter().map(|t| t - 14.0 * i as f64).collect() };
    let names = ["b1", "b2", "b3", "b4"];
    let predicted = Slot::ALL
        .into_iter()
        .enumerate()
        .map(|(i, slot)| Series::predicted(slot, curve(names[i], &RPM_14, &shifted(i), 0.012)));
    let measured = Slot::ALL
        .into_iter()
        .enumerate()
        .map(|(i, slot)| Series::measured(slot, curve(names[i], &RPM_14, &shifted(i + 4), 0.006)));
    Chart {
        title: "Four builds, predicted and measured".to_owned(),
        axes: vec![torque_axis()],
        series: predicted.chain(measured).collect(),
        ..Chart::default()
    }
}

/// Two dozen pulls of two builds, each a little off and a little uneven, and their difference.
pub fn back_to_back() -> Chart {
    let rpm: Vec<f64> = (0..=94).map(|i| 3700.0 + 50.0 * f64::from(i)).collect();
    let smooth: Curve<Measured> = curve("b7", &RPM_14, &B7, 0.0);
    let gain = |n: f64| 2.8 * ((n - 5900.0) / 900.0).tanh() + 1.0;
    let pull = |i: usize, b: bool| {
        let off = 1.0 + 0.003 * ((i as f64 * 1.7).sin());
        let torque: Vec<f64> = rpm
            .iter()
            .map(|n| {
                let true_torque = smooth.at(Quantity::Torque, n * RPM).unwrap();
                let uneven = 0.5 * (n / 47.0 + i as f64).sin();
                true_torque * off + uneven + if b { gain(*n) } else { 0.0 }
            })
            .collect();
        let speed = rpm.iter().map(|n| n * RPM).collect();
        Curve::from_torque(format!("p{i}"), speed, torque).unwrap()
    };
    let a = (0..12).map(|i| pull(i, false)).collect();
    let b = (12..24).map(|i| pull(i, true)).collect();
    let points = rpm.iter().map(|n| (*n, gain(*n) * n * RPM / HORSEPOWER_W, 0.8)).collect();
    let part = |from_rpm, to_rpm, says| Part { from_rpm, to_rpm, says };
    let compared = Compared {
        label: "b7 − b6".to_owned(),
        points,
        strip: vec![
            part(3700.0, 5250.0, Says::Less),
            part(5250.0, 6150.0, Says::CantTell),
            part(6150.0, 8400.0, Says::More),
        ],
    };
    Chart {
        title: "114: b7 beside b6, 24 pulls".to_owned(),
        axes: vec![torque_axis(), power_axis()],
        crowds: vec![Crowd::of(Slot::A, "b6", a).unwrap(), Crowd::of(Slot::B, "b7", b).unwrap()],
        differences: vec![DifferenceSeries::compared(compared, power_axis(), Slot::B)],
        notes: vec!["The band of the difference holds the whole curve 97 times in 100.".to_owned()],
        ..Chart::default()
    }
}
