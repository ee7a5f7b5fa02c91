//! Against printed tables: NIST's reference data, the GUM's annex H, ISO 5725, run orders. Provenance in
//! the head of each file of `data`.

use crate::simulate::day::tried;
use serde_json::Value;
use shortblock_compare::*;

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().or_else(|| value.as_str()?.parse().ok()).unwrap_or_else(|| panic!("{value}"))
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(number).collect()
}

/// Digits that agree (NIST's logarithm of the relative error).
fn digits(found: f64, certified: f64) -> f64 {
    -((found - certified) / certified).abs().max(1e-16).log10()
}

/// Variance `sd`² of each pull known from long, and nothing else that moves a pull.
fn pulls_only(sd: f64) -> Scatter {
    let mut s = Scatter::assumed(DynoKind::Engine, Change::BoltOn);
    s.pull = known(sd, 1e12);
    let others = [&mut s.refit, &mut s.session, &mut s.slope, &mut s.warm_up, &mut s.dyno];
    others.into_iter().for_each(|other| *other = known(0.0, 1e12));
    s
}

fn known(sd: f64, dof: f64) -> Known {
    Known { variance: Profile::flat(sd * sd), dof, origin: Origin::Assumed }
}

fn pull(b: bool, block: u32, order: f64, y: f64) -> Tried {
    tried(if b { "b" } else { "a" }, block, order, vec![y; 2])
}

fn compared(pulls: Vec<Tried>, scatter: &Scatter) -> Comparison {
    let plan = Plan {
        a: "a".to_string(),
        b: "b".to_string(),
        from_rpm: 0.0,
        to_rpm: 9000.0,
        planned_pulls: pulls.len(),
        extended: false,
        margin: Margin::per_cent(0.5).unwrap(),
    };
    let speeds_rpm = vec![4000.0, 4050.0];
    compare(&PullSet { speeds_rpm, pulls }, scatter, &plan).unwrap()
}

/// Each group of a NIST set as a fit of A, all at one time so that there is no drift; one pull of B
/// that tells nothing of the scatter.
fn fits_of(set: &Value) -> Vec<Tried> {
    let (groups, y) = (numbers(&set["group"]), numbers(&set["y"]));
    let mut pulls: Vec<Tried> =
        groups.iter().zip(&y).map(|(group, y)| pull(false, *group as u32, 0.0, *y)).collect();
    pulls.push(pull(true, 1000, 0.0, y[0]));
    pulls
}

/// Certified analysis of variance: the mean square within is the scatter of the pulls, that between
/// gives the spread of refits, (MS between - MS within)/n (ISO 5725-2). Nine digits; SmLs07 has thirteen
/// digits before those that differ, and exact arithmetic on what is left of it in 64 bits gives 4.0.
#[test]
fn scatter_of_pulls_and_refits_is_that_of_the_certified_analysis_of_variance() {
    let sets = json(include_str!("../data/nist_strd.json"));
    for (name, wanted) in
        [("SiRstv", 9.0), ("AtmWtAg", 9.0), ("SmLs01", 9.0), ("SmLs04", 9.0), ("SmLs07", 4.0)]
    {
        let set = &sets["anova"][name];
        let between = number(&set["between"]["ms"]);
        let within = number(&set["within"]["ms"]);
        let fits = number(&set["between"]["df"]) + 1.0;
        let each = numbers(&set["y"]).len() as f64 / fits;
        let c = compared(fits_of(set), &pulls_only(0.001));
        let seen = &c.for_history[0].1;
        assert_eq!(seen.dof, number(&set["within"]["df"]), "{name}");
        let refit = c.refit_spread.unwrap();
        assert_eq!(refit.dof, fits - 1.0);
        for (found, certified) in
            [(seen.variances[0].unwrap(), within), (refit.variance, (between - within) / each)]
        {
            let right = digits(found, certified);
            assert!(right >= wanted, "{name}: {found} for {certified}, {right:.1} digits");
        }
    }
}

/// Repeatability and the spread between the five instruments, as ISO 5725 works them out.
#[test]
fn iso_5725_repeatability_and_spread_between() {
    let expected = json(include_str!("../data/iso5725_youden.json"));
    let sets = json(include_str!("../data/nist_strd.json"));
    let c = compared(fits_of(&sets["anova"]["SiRstv"]), &pulls_only(0.001));
    assert!(digits(c.pull_scatter_seen.unwrap(), number(&expected["s_r"])) > 9.0);
    let spread = c.refit_spread.unwrap().variance;
    assert!(digits(spread.sqrt(), number(&expected["s_L"])) > 9.0);
    let both = (c.pull_scatter_seen.unwrap().powi(2) + spread).sqrt();
    assert!(digits(both, number(&expected["s_R"])) > 9.0);
}

/// Two instruments as A and B, with the certified scatter: t² is the certified F.
#[test]
fn t_squared_of_two_groups_is_the_certified_f() {
    let sets = json(include_str!("../data/nist_strd.json"));
    let set = &sets["anova"]["AtmWtAg"];
    let (groups, y) = (numbers(&set["group"]), numbers(&set["y"]));
    let one = |(group, y): (&f64, &f64)| pull(*group == 2.0, *group as u32, 0.0, *y);
    let pulls = groups.iter().zip(&y).map(one).collect();
    let e = compared(pulls, &pulls_only(number(&set["resid_sd"]))).outcome.average;
    let f = (e.delta / e.standard).powi(2);
    assert!(digits(f, number(&set["between"]["F"])) > 7.0, "{f}");
}

/// Norris: pulls along a drift scatter beside it by the certified residual deviation, with 34 degrees
/// of freedom. In thousandths, so that no pull lies below 30 % of the best.
#[test]
fn pulls_along_a_drift_scatter_as_certified() {
    let sets = json(include_str!("../data/nist_strd.json"));
    let set = &sets["linear"]["Norris"];
    let rows = numbers(&set["x"]).into_iter().zip(numbers(&set["y"]));
    let mut pulls: Vec<Tried> = rows.map(|(x, y)| pull(false, 0, x, y / 1000.0)).collect();
    pulls.push(pull(true, 1, 0.0, 0.5));
    let c = compared(pulls, &pulls_only(0.001));
    assert_eq!(c.for_history[0].1.dof, 34.0);
    let found = 1000.0 * c.pull_scatter_seen.unwrap();
    assert!(digits(found, number(&set["resid_sd"])) > 9.0, "{found}");
}

/// GUM H.3, a calibration line: A drifts by an unknown amount per pull, B is one pull at 30 °C that
/// reads 0. The difference is then the correction foretold there, -b(30 °C) = 0.1494 °C; its variance
/// is that of b and of one reading. Printed: s 0.0035, b -0.1494, u 0.0041.
#[test]
fn a_calibration_line_foretells_as_in_annex_h_3() {
    let h3 = &json(include_str!("../data/gum_annex_h.json"))["H3"];
    let s = number(&h3["s"]);
    let mut scatter = pulls_only(s);
    scatter.slope = known(1e3 * s, 1e12);
    let rows = numbers(&h3["t"]).into_iter().zip(numbers(&h3["b"]));
    let mut pulls: Vec<Tried> = rows.map(|(t, b)| pull(false, 0, t, b)).collect();
    pulls.push(pull(true, 1, 30.0, 0.0));
    let c = compared(pulls, &scatter);
    assert_eq!(c.for_history[0].1.dof, 9.0);
    assert!(digits(c.pull_scatter_seen.unwrap(), s) > 9.0);
    assert!((c.pull_scatter_seen.unwrap() - 0.0035).abs() < 0.00005);
    // A drift known to a thousand times the scatter is held by a millionth of it.
    let e = c.outcome.average;
    assert!((e.delta + number(&h3["b30"])).abs() < 1e-6, "{e:?}");
    assert!((e.delta - 0.1494).abs() < 0.00005);
    let u = (e.standard * e.standard - s * s).sqrt();
    assert!((u - number(&h3["u_b30"])).abs() < 1e-6, "{u}");
    assert!((u - 0.0041).abs() < 0.00005);
}

/// GUM H.1, the end gauge: four contributions of 25, 9.7, 2.9 and 16.6 nm with 18, 25.6, 50 and 2
/// degrees of freedom, as one pull of each build with four sources. Printed: 32 nm, 16.7 degrees of
/// freedom, and with 16 of them t 2.92 at 99 %.
#[test]
fn four_sources_combine_as_in_annex_h_1() {
    let file = json(include_str!("../data/gum_annex_h.json"));
    let h1 = &file["H1"];
    // The difference of two holds each source twice; in thousandths.
    let of = |key: &str| {
        let part = numbers(&h1["components_nm_dof"][key]);
        known(part[0] / 1000.0 / 2.0_f64.sqrt(), part[1])
    };
    let mut scatter = pulls_only(0.0);
    scatter.pull = of("l_s");
    scatter.refit = of("d");
    scatter.session = of("l_s*theta_bar*delta_alpha");
    scatter.dyno = of("l_s*alpha_s*delta_theta");
    let a = pull(false, 0, 0.0, 0.5);
    let b = Tried { session: 1, dyno: "other".to_string(), ..pull(true, 0, 0.0, 0.5) };
    let e = compared(vec![a, b], &scatter).outcome.average;
    assert!(digits(1000.0 * e.standard, number(&h1["u_c_computed"])) > 9.0);
    assert!(digits(e.dof, number(&h1["nu_eff_computed"])) > 9.0, "{e:?}");
    assert!((1000.0 * e.standard - 32.0).abs() < 0.5 && (e.dof - 16.7).abs() < 0.1);
    let t = Estimate { delta: 0.0, standard: 1.0, dof: e.dof.floor() }.half_width(0.01).0;
    assert!((t - 2.92).abs() < 0.005, "{t}");
}

/// Student's t as in the GUM's table G.2.
#[test]
fn quantiles_are_those_of_table_g_2() {
    let file = json(include_str!("../data/gum_annex_h.json"));
    let table = file["t_table"].as_object().unwrap();
    assert!(table.len() > 10);
    for (dof, row) in table {
        let e = Estimate { delta: 0.0, standard: 1.0, dof: dof.parse().unwrap() };
        for (level, t) in [0.05, 0.01].into_iter().zip(numbers(row)) {
            assert!(digits(e.half_width(level).0, t) > 9.0, "{dof}: {t}");
        }
    }
}

/// Variance of the difference without drift and with a drift nothing is known of, and what drift,
/// warm-up and bending do to a plain difference of means; all to the digits of the table.
#[test]
fn run_orders_have_the_variance_and_the_bias_of_the_table() {
    let mut rows = 0;
    for line in include_str!("../data/design_table.csv").lines().skip(2) {
        let cells: Vec<&str> = line.split(',').collect();
        let order = Order::parse(cells[0]).unwrap();
        let s = 0.001;
        let day = |acts: &dyn Fn(f64) -> f64| -> Vec<Tried> {
            let one = |(i, b): (usize, &bool)| pull(*b, u32::from(*b), i as f64, acts(i as f64));
            order.pulls().iter().enumerate().map(one).collect()
        };
        let nothing = compared(day(&|_| 0.0), &pulls_only(s)).outcome.average;
        let variance = (nothing.standard / s).powi(2);
        assert!((variance - cells[2].parse::<f64>().unwrap()).abs() < 5.1e-7, "{line}");
        if let Ok(wanted) = cells[3].parse::<f64>() {
            let drifting = Scatter { slope: known(1e4 * s, 1e12), ..pulls_only(s) };
            let found = compared(day(&|_| 0.0), &drifting).outcome.average.standard / s;
            assert!((found * found - wanted).abs() < 1e-6, "{line}: {}", found * found);
        }
        let middle = (order.pulls().len() as f64 - 1.0) / 2.0;
        let bias = |acts: &dyn Fn(f64) -> f64, wanted: &str| {
            let found =
                100.0 * compared(day(&|t| 0.01 * acts(t)), &pulls_only(s)).outcome.average.delta;
            assert!((found - wanted.parse::<f64>().unwrap()).abs() < 5.1e-5, "{line}: {found}");
        };
        bias(&|t| t, cells[5]);
        bias(&|t| (-t / 2.0).exp(), cells[6]);
        bias(&|t| (t - middle).powi(2), cells[7]);
        rows += 1;
    }
    assert!(rows > 12);
}

/// Mixed model with a random block by REML (statsmodels): given its two variances, the best unbiased
/// difference and its uncertainty are the same. In thousandths of a newton metre.
#[test]
fn random_refits_weigh_as_in_a_mixed_model() {
    let reference =
        json(include_str!("../data/ab_test_reference.json").replace("NaN", "0").as_str());
    let (data, reml) = (&reference["data"], &reference["mixedlm_reml"]);
    let mut scatter = pulls_only(number(&reml["sigma2"]).sqrt() / 1000.0);
    scatter.refit = known(number(&reml["var_block"]).sqrt() / 1000.0, 1e12);
    let (torque, b, block) =
        (numbers(&data["torque"]), numbers(&data["B"]), numbers(&data["block"]));
    let one = |i: usize| pull(b[i] > 0.5, block[i] as u32, i as f64, torque[i] / 1000.0);
    let e = compared((0..9).map(one).collect(), &scatter).outcome.average;
    assert!(digits(1000.0 * e.delta, number(&reml["B"])) > 9.0, "{e:?}");
    assert!(digits(1000.0 * e.standard, number(&reml["se_B"])) > 9.0, "{e:?}");
}

/// One pull each, scatter 0.35 % with 24 degrees of freedom: the interval of the reference.
#[test]
fn one_pull_each_has_the_interval_of_the_reference() {
    let reference =
        json(include_str!("../data/ab_test_reference.json").replace("NaN", "0").as_str());
    let one = &reference["one_pull_each"];
    let mut scatter = pulls_only(0.0);
    scatter.pull = known(number(&one["s_r"]), number(&one["dof_history"]));
    let difference = number(&one["observed_rel_diff"]);
    let pulls = vec![pull(false, 0, 0.0, 0.0), pull(true, 1, 1.0, difference)];
    let e = compared(pulls, &scatter).outcome.average;
    let ends = numbers(&one["ci95"]);
    let interval = e.interval(0.05);
    assert!(digits(interval.low, ends[0]) > 9.0 && digits(interval.high, ends[1]) > 9.0);
    assert!(digits(e.p_value(), number(&one["p"])) > 9.0);
}

/// The curve set: difference over speed beside a drift, and the moderated uncertainty at each speed.
#[test]
fn difference_over_speed_of_the_curve_set() {
    let expected = json(include_str!("../data/curve_set_expected.json"));
    let csv = include_str!("../data/curve_set_ABBABAAB.csv").lines().skip(2);
    let rows: Vec<Vec<f64>> =
        csv.map(|line| line.split(',').map(|c| c.parse().unwrap()).collect()).collect();
    let pulls = [false, true, true, false, true, false, false, true].into_iter().enumerate();
    let pulls = pulls.map(|(i, b)| {
        let ln_torque = rows.iter().map(|row| row[i + 1].ln()).collect();
        Tried { ln_torque, ..pull(b, u32::from(b), i as f64, 0.0) }
    });
    let mut scatter = pulls_only(0.0);
    scatter.pull = known(0.0036, 24.0);
    let set = PullSet { speeds_rpm: rows.iter().map(|r| r[0]).collect(), pulls: pulls.collect() };
    let plan = Plan {
        a: "a".to_string(),
        b: "b".to_string(),
        from_rpm: 0.0,
        to_rpm: 9000.0,
        planned_pulls: 8,
        extended: false,
        margin: Margin::per_cent(0.5).unwrap(),
    };
    let band = compare(&set, &scatter, &plan).unwrap().outcome.band;
    assert_eq!(band.dof, number(&expected["moderated"]["df"]));
    let (delta, se) = (numbers(&expected["delta_rel"]), numbers(&expected["moderated"]["se"]));
    assert_eq!(delta.len(), band.delta.len());
    for g in 0..delta.len() {
        assert!((band.delta[g] - delta[g]).abs() < 1e-12, "{g}: {}", band.delta[g]);
        assert!(digits(band.half_width[g] / band.critical, se[g]) > 9.0, "{g}");
    }
}

/// Pulls a side that find a difference four times in five at 5 %, with scatter not known and known.
#[test]
fn pulls_required_find_it_four_times_in_five() {
    let reference = json(include_str!("../data/power_reference.json"));
    for row in reference["pulls_required"].as_array().unwrap() {
        let effect = number(&row["mdd_pct"]) / number(&row["s_r_pct"]);
        let chance = |n: f64, dof: f64| chance_of_real(effect * (n / 2.0).sqrt(), dof, 0.05);
        let exact = number(&row["n_exact"]);
        assert!((chance(exact, 2.0 * exact - 2.0) - 0.8).abs() < 1e-6, "{row}");
        let n = number(&row["n"]);
        assert!(chance(n, 2.0 * n - 2.0) >= 0.8 && chance(n - 1.0, 2.0 * n - 4.0) < 0.8, "{row}");
        let known = number(&row["n_known_sigma"]);
        assert!(chance(known, f64::INFINITY) >= 0.8, "{row}");
        assert!(chance(known - 1.0, f64::INFINITY) < 0.8, "{row}");
    }
}
