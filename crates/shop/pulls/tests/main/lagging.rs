//! Lags found between two channels, against made ones.

use crate::made::Scatter;
use shortblock_pulls::lag::{LagEstimate, estimate_lag};

/// A throttle that is stepped in a rough rhythm, 0 to 1, with a rise of 0.15 s.
fn throttle(t: f64) -> f64 {
    let rise = |at: f64| 1.0 / (1.0 + (-(t - at) / 0.03).exp());
    rise(1.0) - rise(2.3) + rise(4.0) - rise(5.1) + rise(7.7)
}

fn signals(tau: f64, noise: f64, seed: u64) -> (Vec<f64>, Vec<f64>, Vec<f64>) {
    let mut scatter = Scatter::new(seed);
    let time: Vec<f64> = (0..1000).map(|row| f64::from(row) / 100.0).collect();
    let lead = time.iter().map(|&t| throttle(t) + 0.002 * scatter.normal()).collect();
    let late = time.iter().map(|&t| 250.0 * throttle(t - tau) + noise * scatter.normal()).collect();
    (time, lead, late)
}

fn estimate(tau: f64, noise: f64, seed: u64) -> LagEstimate {
    let (time, lead, late) = signals(tau, noise, seed);
    estimate_lag(&time, &lead, &late, 0.5).expect("both change")
}

#[test]
fn a_lag_is_found_between_rows_with_a_plus_minus_that_holds_it() {
    for tau in [0.0, 0.137, 0.2044, -0.081] {
        let mut held = 0;
        for seed in 0..100 {
            let found = estimate(tau, 2.0, seed);
            assert!(found.is_clear() && found.plus_minus < 0.005, "{found:?}");
            held += u32::from((found.lag - tau).abs() <= found.plus_minus);
        }
        // 95 of 100, standard deviation 2.2; four of them below.
        assert!(held >= 86, "{held} of 100 at {tau}");
    }
}

#[test]
fn an_opposite_channel_has_a_negative_correlation_and_the_same_lag() {
    let (time, lead, mut late) = signals(0.15, 2.0, 3);
    late.iter_mut().for_each(|value| *value = 300.0 - *value);
    let found = estimate_lag(&time, &lead, &late, 0.5).expect("both change");
    assert!(found.correlation < -0.5 && (found.lag - 0.15).abs() < 0.005);
    assert_eq!(found.to_string(), format!("late by 150 ± {:.0} ms", found.plus_minus * 1e3));
}

#[test]
fn missing_readings_are_bridged() {
    let (time, mut lead, mut late) = signals(0.15, 2.0, 4);
    lead[300..320].fill(f64::NAN);
    late[650..660].fill(f64::NAN);
    let found = estimate_lag(&time, &lead, &late, 0.5).expect("both change");
    assert!((found.lag - 0.15).abs() < 0.005);
}

#[test]
fn what_cannot_be_told_says_so() {
    let mut scatter = Scatter::new(9);
    let (time, lead, _) = signals(0.1, 2.0, 5);
    let noise: Vec<f64> = time.iter().map(|_| scatter.normal()).collect();
    let told = estimate_lag(&time, &lead, &noise, 0.5);
    assert!(told.is_err() || told.is_ok_and(|found| !found.is_clear()));
    // A signal that repeats every 0.2 s fits at several lags.
    let wave = |tau: f64| {
        time.iter().map(|t| (10.0 * std::f64::consts::PI * (t - tau)).sin()).collect::<Vec<f64>>()
    };
    let found = estimate_lag(&time, &wave(0.0), &wave(0.05), 0.45).expect("both change");
    assert!(!found.is_clear() && found.to_string().ends_with("the signal repeats"), "{found}");
    // The lag lies beyond where was looked.
    let far = estimate_lag(&time, &lead, &signals(0.4, 0.5, 6).2, 0.3);
    assert!(far.is_err() || far.is_ok_and(|found| !found.is_clear()));
}
