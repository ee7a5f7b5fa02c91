//! Pulls on the grid, with lags and inertia, against made truth and values worked out elsewhere.

use crate::made::{Made, PULL, RPM, Scatter, day, put};
use serde_json::Value;
use shortblock_pulls::inertia::{Inertia, engine_torque, find_moment};
use shortblock_pulls::lag::{Delay, Lag};
use shortblock_pulls::savgol::smoothed;
use shortblock_pulls::sweep::{Found, Kind, Rules, find};
use shortblock_pulls::{Channel, Of, Pull, PullsError, Recording, Treatment};

/// Torque of a made engine over speed, N·m.
fn engine(rpm: f64) -> f64 {
    320.0 - 1e-5 * (rpm - 6000.0).powi(2)
}

fn with_torque(made: &Made, noise: f64) -> Recording {
    let mut recording = made.recording();
    let mut scatter = Scatter::new(made.seed + 100);
    let time = recording.time.clone();
    let torque = time.iter().map(|&t| engine(made.rpm(t)) + noise * scatter.normal()).collect();
    put(&mut recording, Channel::Torque, torque);
    recording
}

fn pulls(recording: &Recording, treatment: &Treatment) -> Vec<Pull> {
    let found = find(recording, &Rules::default()).expect("has a speed");
    let pull = |stretch| Pull::new(recording, &found, stretch, treatment).expect("can be made");
    found.pulls().map(pull).collect()
}

#[test]
fn points_lie_on_multiples_of_50_rpm_with_mean_scatter_and_count() {
    let recording = with_torque(&day(1), 2.0);
    let pull = &pulls(&recording, &Treatment::default())[0];
    assert_eq!(pull.stretch.kind, Kind::SweepUp);
    let torque = pull.points(Channel::Torque).expect("read");
    let inner = 1..pull.speeds.len() - 1;
    for at in inner {
        let rpm = pull.speeds[at] / RPM;
        assert!((rpm / 50.0 - (rpm / 50.0).round()).abs() < 1e-9);
        // 50 rpm at 300 rpm/s and 100 Hz: 16.7 rows, ± what 2 rpm of noise moves over the edges.
        assert!((13..=20).contains(&torque.count[at]), "{}", torque.count[at]);
        // 5 standard deviations of the mean of 16 rows of 2 N·m; the curve bends by less than 0.01.
        assert!((torque.mean[at] - engine(rpm)).abs() < 5.0 * 2.0 / 4.0, "{rpm}");
        assert!((pull.acceleration[at] / RPM - 300.0).abs() < 30.0);
    }
    let scatter: f64 = torque.scatter.iter().filter(|s| s.is_finite()).sum::<f64>()
        / torque.scatter.iter().filter(|s| s.is_finite()).count() as f64;
    assert!((scatter - 2.0).abs() < 0.2, "{scatter}");
    let fitted = pull.fitted_torque.as_ref().expect("a sweep");
    for at in 3..pull.speeds.len() - 3 {
        let off = fitted[at] - engine(pull.speeds[at] / RPM);
        // Variance of the local line with this weight: 0.6 / (rows in one bandwidth of 100 rpm: 33).
        assert!(off.abs() < 5.0 * 2.0 * (0.6_f64 / 33.0).sqrt(), "{off}");
    }
    assert_eq!(
        pull.as_read(&recording, Channel::Torque).map(<[f64]>::len),
        Some(pull.stretch.rows.len())
    );
}

#[test]
fn masked_rows_and_empty_bins_give_no_readings() {
    let mut recording = with_torque(&day(1), 0.0);
    // A spike in speed at row 1800 carries a wild torque; nothing is read for 40 rows (120 rpm).
    recording.channels[0].values[1800] *= 1.4;
    recording.channels[1].values[1800] = 9e9;
    recording.channels[0].values[2000..2040].fill(f64::NAN);
    let pull = &pulls(&recording, &Treatment::default())[0];
    let torque = pull.points(Channel::Torque).expect("read");
    assert!(torque.mean.iter().all(|mean| mean.is_nan() || *mean < 330.0));
    let empty: Vec<f64> = (0..pull.speeds.len())
        .filter(|&i| torque.count[i] == 0)
        .map(|i| (pull.speeds[i] / RPM).round())
        .collect();
    // Missing from 6000 to 6120 rpm: the bin of 6050 holds nothing at all.
    assert_eq!(empty, [6050.0]);
    let curve = pull.curve("p1", Of::AsRead).expect("has torque");
    assert_eq!(curve.len(), pull.speeds.len() - 1);
    let said = "1 row left out: its engine speed is a spike or dropout";
    assert_eq!(curve.notes(), ["average in 50 rpm steps", said]);
}

#[test]
fn a_step_test_has_one_point_a_dwell() {
    let mut corners = vec![(0.0, 5000.0)];
    for step in 0..4 {
        let (t, rpm) = (6.0 * f64::from(step), 5000.0 - 400.0 * f64::from(step));
        corners.extend([(t + 5.0, rpm), (t + 6.0, rpm - 400.0)]);
    }
    corners.pop();
    let recording = with_torque(&Made::new(&corners), 3.0);
    let pull = &pulls(&recording, &Treatment::default())[0];
    assert_eq!((pull.stretch.kind, pull.speeds.len()), (Kind::Steps, 4));
    let torque = pull.points(Channel::Torque).expect("read");
    for (at, rpm) in [3800.0, 4200.0, 4600.0, 5000.0].into_iter().enumerate() {
        assert!((pull.speeds[at] / RPM - rpm).abs() < 1.0);
        assert!((torque.mean[at] - engine(rpm)).abs() < 5.0 * 3.0 / 20.0);
        assert!((torque.scatter[at] - 3.0).abs() < 0.6 && torque.count[at] > 400);
    }
    assert_eq!(pull.curve("p1", Of::AsRead).expect("has torque").len(), 4);
    assert!(matches!(pull.curve("p1", Of::WithInertia), Err(PullsError::NoChannel { .. })));
}

#[test]
fn rows_without_time_are_points_as_they_stand() {
    let mut recording = Recording::default();
    let rpm = [3000.0, 3500.0, 4000.0];
    put(&mut recording, Channel::EngineSpeed, rpm.iter().map(|n| n * RPM).collect());
    put(&mut recording, Channel::CorrectedPower, vec![80e3, 95e3, 110e3]);
    let pull = &pulls(&recording, &Treatment::default())[0];
    let curve = pull.curve("sheet of 1998", Of::AsFiled).expect("has power");
    let power: Vec<f64> = curve.power().iter().map(|watts| watts.round()).collect();
    assert_eq!(power, [80e3, 95e3, 110e3]);
    assert_eq!(curve.notes()[1], "corrected by the factor in the file");
    let none = pull.curve("p", Of::AsRead).unwrap_err().to_string();
    assert_eq!(none, "the log has no power; say which column is torque or power");
}

/// `lag_shift.json`: a channel late by tau in a sweep of rate R is drawn tau R too high.
#[test]
fn a_late_channel_is_drawn_too_high_by_lag_times_rate_and_put_right_by_the_lag() {
    let table: Value = serde_json::from_str(include_str!("../data/lag_shift.json")).expect("JSON");
    for row in table["rows"].as_array().expect("rows") {
        let number = |name: &str| row[name].as_f64().expect("a number");
        let (tau, rate) = (number("tau_s"), number("rate_rpm_s"));
        let corners = [
            (0.0, 3000.0),
            (3.0, 3000.0),
            (3.0 + 4000.0 / rate, 7000.0),
            (5.0 + 4000.0 / rate, 7000.0),
        ];
        let made = Made { noise_rpm: 0.0, ..Made::new(&corners) };
        let mut recording = made.recording();
        // A channel that is the speed itself, in rpm, so that its shift can be read off.
        let late = recording.time.iter().map(|t| made.rpm((t - tau).max(0.0))).collect();
        put(&mut recording, Channel::Torque, late);
        let shift = |treatment: &Treatment| {
            let pull = &pulls(&recording, treatment)[0];
            let at = pull.speeds.partition_point(|s| *s < 5000.0 * RPM - 1.0);
            pull.points(Channel::EngineSpeed).expect("speed").mean[at] / RPM
                - pull.points(Channel::Torque).expect("read").mean[at]
        };
        assert!((shift(&Treatment::default()) - number("rpm_shift")).abs() < 1e-6);
        let lag = Lag { channel: Channel::Torque, delay: Delay::Fixed(tau) };
        assert!(shift(&Treatment { lags: vec![lag], inertia: None }).abs() < 1e-6);
    }
}

/// `sweep_inertia.csv`: 100 Hz, 300 rpm/s with a ripple, J 0.35 kg·m²; SciPy's figures, to the last
/// digit that its header prints.
#[test]
fn torque_with_inertia_has_the_errors_that_an_independent_library_has() {
    let rows: Vec<Vec<f64>> = include_str!("../data/sweep_inertia.csv")
        .lines()
        .filter(|line| !line.starts_with(['#', 't']))
        .map(|line| line.split(',').map(|cell| cell.parse().expect("a number")).collect())
        .collect();
    let column = |k: usize, scale: f64| rows.iter().map(|row| row[k] * scale).collect::<Vec<f64>>();
    let (time, speed, read) = (column(0, 1.0), column(1, RPM), column(2, 1.0));
    let truth = column(3, 1.0);
    let inner = 50..rows.len() - 50;
    let errors = |found: &[f64]| {
        let off: Vec<f64> = inner.clone().map(|i| found[i] - truth[i]).collect();
        let n = off.len() as f64;
        (off.iter().sum::<f64>() / n, (off.iter().map(|e| e * e).sum::<f64>() / n).sqrt())
    };
    let (mean, rms) = errors(&engine_torque(&time, &speed, &read, Inertia::new(0.35)));
    assert!((mean - 0.013).abs() <= 5e-4, "{mean}");
    assert!((rms - 0.447).abs() <= 5e-4, "{rms}");
    let (mean, _) = errors(&smoothed(&time, &read, 51).value);
    assert!((mean + 10.868).abs() <= 5e-4, "{mean}");
    // At the ends the fit has more noise and no bias; SciPy's own is 4 times that of the middle.
    let ends = engine_torque(&time, &speed, &read, Inertia::new(0.35));
    assert!((ends[0] - truth[0]).abs() < 5.0 * 4.0 * 0.447);
}

/// `derivative_noise.json`: noise of the rate from noise of speed, in closed form.
#[test]
fn noise_of_the_rate_is_that_of_the_closed_form() {
    let table: Value =
        serde_json::from_str(include_str!("../data/derivative_noise.json")).expect("JSON");
    for row in table["rows"].as_array().expect("rows") {
        let number = |name: &str| row[name].as_f64().expect("a number");
        let (hertz, window) = (number("fs_Hz"), number("N") as usize);
        let mut scatter = Scatter::new(3);
        let n = 200 * window;
        let time: Vec<f64> = (0..n).map(|i| i as f64 / hertz).collect();
        let noise: Vec<f64> = (0..n).map(|_| number("rpm_noise_rms") * scatter.normal()).collect();
        let slope = smoothed(&time, &noise, window).slope;
        let inner = &slope[window..n - window];
        let sd = (inner.iter().map(|s| s * s).sum::<f64>() / inner.len() as f64).sqrt();
        // About 200 independent windows: the sd of an sd of 200 is 5 %; three of them.
        let wanted = number("accel_noise_rpm_per_s");
        assert!((sd / wanted - 1.0).abs() < 0.15, "{sd} for {wanted}");
    }
}

/// Engine torque less J alpha is what the cell reads in a sweep of this rate.
fn swept(rate: f64, seed: u64, offset: f64) -> Recording {
    let corners = [
        (0.0, 3000.0),
        (3.0, 3000.0),
        (3.0 + 4500.0 / rate, 7500.0),
        (5.0 + 4500.0 / rate, 7500.0),
    ];
    let made = Made { seed, ..Made::new(&corners) };
    let mut recording = with_torque(&made, 2.0);
    let moving = 3.0..3.0 + 4500.0 / rate;
    for (t, torque) in recording.time.iter().zip(&mut recording.channels[1].values) {
        *torque *= 1.0 + offset;
        if moving.contains(t) {
            *torque -= 0.35 * rate * RPM;
        }
    }
    recording
}

#[test]
fn sweeps_of_different_rates_agree_once_inertia_is_added() {
    let inertia = Treatment { lags: Vec::new(), inertia: Some(Inertia::new(0.35)) };
    for rate in [150.0, 300.0, 600.0] {
        let pull = &pulls(&swept(rate, 5, 0.0), &inertia)[0];
        let found = &pull.with_inertia.as_ref().expect("stated").mean;
        // Inside by the half window of 0.25 s and a bin, where a hold's end bends the rate.
        let margin = (0.25 * rate / 50.0).ceil() as usize + 2;
        for at in margin..pull.speeds.len() - margin {
            // 0.35 kg·m² times 2 rpm of noise over half a second: 0.07 N·m; torque 2/√(51 · 4/9).
            let off = found[at] - engine(pull.speeds[at] / RPM);
            assert!(off.abs() < 5.0 * 0.45, "{rate}: {off} at {}", pull.speeds[at] / RPM);
        }
        let curve = pull.curve("p", Of::WithInertia).expect("has it");
        let said =
            "torque that accelerates 0.350 kg·m² added; torque and rate smoothed over 0.50 s";
        assert_eq!(curve.notes().last().map(String::as_str), Some(said));
        assert_eq!(pull.curve("p", Of::AsRead).expect("read").notes(), ["average in 50 rpm steps"]);
    }
}

#[test]
fn the_moment_of_inertia_is_found_with_a_plus_minus_that_holds_it() {
    let mut held = 0;
    let mut scatter = Scatter::new(11);
    for round in 0..40 {
        let rates = [150.0, 300.0, 600.0, 300.0, 150.0];
        let made: Vec<Pull> = rates
            .iter()
            .enumerate()
            .map(|(k, &rate)| {
                let recording = swept(rate, 100 * round + k as u64, 0.003 * scatter.normal());
                pulls(&recording, &Treatment::default()).remove(0)
            })
            .collect();
        let found = find_moment(&made.iter().collect::<Vec<_>>()).expect("rates differ");
        let plus_minus = found.plus_minus.expect("five pulls");
        held += u32::from((found.moment - 0.35).abs() <= plus_minus);
        assert_eq!(found.pulls, 5);
    }
    // 95 % of 40 is 38; 33 or fewer has a chance of 1 in 1,500 (binomial).
    assert!(held >= 34, "{held} of 40");
}

#[test]
fn a_moment_cannot_be_found_from_equal_rates_or_one_pull() {
    let one = pulls(&swept(300.0, 1, 0.0), &Treatment::default()).remove(0);
    let other = pulls(&swept(310.0, 2, 0.0), &Treatment::default()).remove(0);
    let fast = pulls(&swept(600.0, 3, 0.0), &Treatment::default()).remove(0);
    let said = find_moment(&[&one, &other]).unwrap_err().to_string();
    assert!(said.contains("run half and double the usual rate"), "{said}");
    assert!(find_moment(&[&one]).is_err() && find_moment(&[]).is_err());
    let two = find_moment(&[&one, &fast]).expect("rates differ");
    assert_eq!((two.plus_minus, two.pulls), (None, 2));
}

#[test]
fn what_is_not_there_is_refused_with_a_remedy() {
    let recording = with_torque(&Made::new(&PULL), 0.0);
    let found = find(&recording, &Rules::default()).expect("has a speed");
    let sweep = found.pulls().next().expect("one");
    let lag = Lag { channel: Channel::Lambda(1), delay: Delay::Fixed(0.1) };
    let treatment = Treatment { lags: vec![lag], inertia: None };
    let said = Pull::new(&recording, &found, sweep, &treatment).unwrap_err().to_string();
    assert_eq!(said, "the log has no lambda of bank 1; take the lag stated for it away");
    let nonsense = Treatment { lags: Vec::new(), inertia: Some(Inertia::new(-0.3)) };
    let said = Pull::new(&recording, &found, sweep, &nonsense).unwrap_err().to_string();
    assert_eq!(said, "moment of inertia -0.3: it has to be above zero");
    let short = with_torque(&Made::new(&[(0.0, 900.0), (1.0, 900.0)]), 0.0);
    let other = Pull::new(&short, &Found::default(), sweep, &Treatment::default());
    assert!(matches!(other, Err(PullsError::Rows { .. })));
}
