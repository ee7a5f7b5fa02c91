//! Against figures worked out with other libraries (NumPy, SciPy, statsmodels, rft1d's formula) and
//! NIST's certified analysis of variance; provenance in the head of each file of `data`.

use crate::simulate::day::tried;
use nalgebra::DMatrix;
use serde_json::Value;
use shortblock_compare::*;

fn rows(csv: &str) -> Vec<Vec<f64>> {
    csv.lines()
        .filter(|l| !l.starts_with('#'))
        .skip(1)
        .map(|l| l.split(',').map(|c| c.parse().unwrap_or(f64::NAN)).collect())
        .collect()
}

fn json(text: &str) -> Value {
    serde_json::from_str(&text.replace("NaN", "null")).unwrap()
}

fn residuals_of_the_curve_set() -> DMatrix<f64> {
    let data = rows(include_str!("../data/curve_set_ABBABAAB.csv"));
    let y = DMatrix::from_fn(8, data.len(), |i, g| data[g][i + 1].ln());
    let b = [0.0, 1.0, 1.0, 0.0, 1.0, 0.0, 0.0, 1.0];
    let x = DMatrix::from_fn(8, 3, |i, j| match j {
        0 => 1.0,
        1 => b[i],
        _ => i as f64 - 3.5,
    });
    let beta = (x.transpose() * &x).try_inverse().unwrap() * x.transpose() * &y;
    y - x * beta
}

#[test]
fn critical_values_of_the_curve_set() {
    let expected = json(include_str!("../data/curve_set_expected.json"));
    let wanted = expected["resels"].as_f64().unwrap();
    // The file differentiates before it divides by the norm. Dividing first, the rule here, leaves
    // out how the norm itself changes, so it can only be less.
    assert!(resels(&residuals_of_the_curve_set()) < wanted);
    let u = critical_value(0.05, 5.0, wanted, 41);
    assert!((u - expected["u_rft_0.05"].as_f64().unwrap()).abs() < 1e-6, "{u}");
    let bonferroni = critical_value(0.05, 5.0, 1.0e6, 41);
    assert!((bonferroni - expected["u_bonferroni_0.05"].as_f64().unwrap()).abs() < 1e-6);
    let moderated = critical_value(0.05, 29.0, wanted, 41);
    assert!((moderated - expected["moderated"]["u"].as_f64().unwrap()).abs() < 1e-6);
}

#[test]
fn moderated_standard_errors_of_the_curve_set() {
    let expected = json(include_str!("../data/curve_set_expected.json"));
    let e = residuals_of_the_curve_set();
    let prior = Prior { variance: 0.0036 * 0.0036, dof: 24.0 };
    for (g, wanted) in expected["moderated"]["se"].as_array().unwrap().iter().enumerate() {
        // ABBABAAB: the variance of the difference is half a pull's.
        let se = (moderated(prior, e.column(g).norm_squared(), 5.0) * 0.5).sqrt();
        assert!((se / wanted.as_f64().unwrap() - 1.0).abs() < 1e-9, "{g}: {se}");
    }
}

#[test]
fn critical_values_of_the_printed_table() {
    let resels = [0.0, 1.0, 2.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0];
    for row in rows(include_str!("../data/rft_critical_values.csv")) {
        let dof = if row[0].is_nan() { f64::INFINITY } else { row[0] };
        for (r, wanted) in resels.iter().zip(&row[1..]) {
            // So many speeds that Bonferroni never is the smaller.
            let u = critical_value(0.05, dof, *r, 100_000_000);
            assert!((u - wanted).abs() < 2e-6, "dof {dof} resels {r}: {u} {wanted}");
        }
    }
}

#[test]
fn power_of_the_t_test_is_that_of_the_reference() {
    let reference = json(include_str!("../data/power_reference.json"));
    for row in reference["power"].as_array().unwrap() {
        let n = row["n_per_group"].as_f64().unwrap();
        let effect = row["effect_over_sigma"].as_f64().unwrap() * (n / 2.0).sqrt();
        let wanted = row["power_two_sided_0.05"].as_f64().unwrap();
        let found = chance_of_real(effect, 2.0 * n - 2.0, 0.05);
        assert!((found - wanted).abs() < 1e-7, "{found} {wanted}");
    }
}

/// Two one-sided tests at 5 %, no difference: the integral over the scatter seen, by SciPy 1.17.1's
/// quadrature; the 400 steps taken here leave less than a ten-thousandth.
#[test]
fn chance_of_equivalence_is_that_of_the_reference() {
    for (ratio, dof, wanted) in [
        (2.0, 4.0, 0.205_786_468_357_094_2),
        (3.0, 10.0, 0.747_406_537_272_333_7),
        (2.5, 37.5, 0.581_847_411_182_230_9),
    ] {
        let found = chance_of_equivalence(ratio, dof);
        assert!((found - wanted).abs() < 1e-4, "{ratio} {dof}: {found}");
    }
}

/// Moments of Smyth 2004 with SciPy 1.17.1's polygamma and root finder.
#[test]
fn prior_of_five_sessions_is_that_of_the_reference() {
    let sessions = [(4e-6, 6.0), (1.1e-5, 8.0), (2.3e-5, 5.0), (9e-6, 12.0), (3.1e-5, 6.0)];
    let prior = prior_of(&sessions).unwrap();
    assert!((prior.variance / 1.235_776_137_323_999_8e-5 - 1.0).abs() < 1e-9, "{prior:?}");
    assert!((prior.dof / 6.893_732_680_750_313 - 1.0).abs() < 1e-9, "{prior:?}");
}

/// Smallest detectable differences with scatter known and unknown: their chance is 0.8.
#[test]
fn detectable_differences_are_found_four_times_in_five() {
    for row in rows(include_str!("../data/min_detectable_difference.csv")) {
        let (n, se) = (row[1], row[2]);
        let known = chance_of_real(row[3] / se, f64::INFINITY, 0.05);
        assert!((known - 0.8).abs() < 1e-4, "{known}");
        if n > 1.0 {
            let unknown = chance_of_real(row[4] / se, 2.0 * n - 2.0, 0.05);
            assert!((unknown - 0.8).abs() < 1e-5, "{n} {unknown}");
        }
    }
}

/// Nine pulls A3B3A3 on one speed; with pull scatter only and no prior the method is the ordinary
/// regression of statsmodels on the same data.
#[test]
fn with_pull_scatter_only_it_is_ordinary_regression() {
    let reference = json(include_str!("../data/ab_test_reference.json"));
    let numbers = |key: &str| -> Vec<f64> {
        reference["data"][key].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
    };
    let (lt, b) = (numbers("lt"), numbers("B"));
    let pulls = (0..9).map(|i| pull(i, b[i] > 0.5, lt[i])).collect();
    let set = PullSet { speeds_rpm: vec![4000.0, 4050.0], pulls };
    let c = compare(&set, &pulls_only(), &plan()).unwrap();
    let ols = &reference["ols"][3];
    assert_eq!(ols["formula"], "lt ~ B");
    let wanted = ols["params"]["B"].as_f64().unwrap();
    assert!((c.outcome.average.delta / wanted - 1.0).abs() < 1e-9);
    // sigma known: u = sigma √(1/6 + 1/3).
    let sigma = ols["sigma"].as_f64().unwrap();
    assert!((c.outcome.average.standard - sigma * 0.5_f64.sqrt()).abs() < 1e-9);
    let se = ols["se"]["B"].as_f64().unwrap();
    assert!((c.outcome.average.standard / se - 1.0).abs() < 1e-6);
}

fn pulls_only() -> Scatter {
    let mut scatter = Scatter::assumed(DynoKind::Engine, Change::Setting);
    for known in
        [&mut scatter.refit, &mut scatter.slope, &mut scatter.warm_up, &mut scatter.session]
    {
        known.variance = Profile::flat(0.0);
    }
    let sigma: f64 = 0.0019462911819007368;
    scatter.pull.variance = Profile::flat(sigma * sigma);
    scatter.pull.dof = 1.0e12;
    scatter
}

fn plan() -> Plan {
    Plan {
        a: "a".to_string(),
        b: "b".to_string(),
        from_rpm: 0.0,
        to_rpm: 9000.0,
        planned_pulls: 9,
        extended: false,
        margin: Margin::per_cent(0.5).unwrap(),
    }
}

fn pull(i: usize, b: bool, ln_torque: f64) -> Tried {
    tried(if b { "b" } else { "a" }, i as u32 / 3, i as f64, vec![ln_torque; 2])
}

/// Gaussian noise of a known width W over a range R has R/W resolution elements (Worsley et al.
/// 1996, from memory); on a grid of step h a factor √(1 - e^-x)/√x, x = 2 ln 2 h²/W², less.
#[test]
fn resels_of_noise_of_known_width() {
    let mut d = crate::simulate::noise::Deviates::named("resels", 0);
    let noise: Vec<Vec<f64>> =
        (0..400).map(|_| crate::simulate::noise::smooth(&mut d, 300.0)).collect();
    let e = DMatrix::from_fn(400, noise[0].len(), |i, g| noise[i][g] * (1.0 + 0.02 * g as f64));
    let x = 2.0 * std::f64::consts::LN_2 * (50.0_f64 / 300.0).powi(2);
    let wanted = 4000.0 / 300.0 * ((1.0 - (-x).exp()) / x).sqrt();
    let found = resels(&e);
    assert!((found / wanted - 1.0).abs() < 0.02, "{found}, {wanted}");
}
