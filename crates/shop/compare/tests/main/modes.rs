//! Sweeps and runs held at steps of speed in one comparison, and how smooth the noise is taken to be.

use crate::simulate::day::tried;
use nalgebra::DMatrix;
use shortblock_compare::*;

const SPEEDS: usize = 80;

fn set(pulls: Vec<Tried>) -> PullSet {
    PullSet { speeds_rpm: (0..SPEEDS).map(|g| 3000.0 + 50.0 * g as f64).collect(), pulls }
}

fn plan(planned_pulls: usize) -> Plan {
    Plan {
        a: "a".to_string(),
        b: "b".to_string(),
        from_rpm: 0.0,
        to_rpm: 9000.0,
        planned_pulls,
        extended: false,
        margin: Margin::per_cent(0.5).unwrap(),
    }
}

fn flat(mode: Mode, build: &str, block: u32, order: f64, above: f64) -> Tried {
    Tried { mode, ..tried(build, block, order, vec![6.0 + above; SPEEDS]) }
}

/// A, A, B, B as sweeps and as held speeds in the same two fits. Held speeds read 3 % more; pulls
/// of a pair lie `swept` or `held` apart; B gives 1 % in sweeps and `gain` held.
fn both(swept: f64, held: f64, gain: f64) -> PullSet {
    let mut pulls = Vec::new();
    for (mode, apart, gain, level) in
        [(Mode::Sweep, swept, 0.01, 0.0), (Mode::Steady, held, gain, 0.03)]
    {
        for (i, build) in ["a", "a", "b", "b"].into_iter().enumerate() {
            let side = [-0.5, 0.5][i % 2] * apart;
            let rise = if build == "b" { gain } else { 0.0 };
            pulls.push(flat(mode, build, i as u32 / 2, i as f64, level + rise + side));
        }
    }
    set(pulls)
}

/// Only pulls scatter, 0.4 % in sweeps and 0.1 % held, known from long; and refits as stated.
fn known(refit: f64) -> Scatter {
    let mut scatter = Scatter::assumed(DynoKind::Engine, Change::BoltOn);
    for other in [&mut scatter.slope, &mut scatter.warm_up, &mut scatter.session] {
        other.variance = Profile::flat(0.0);
    }
    scatter.refit = Known { dof: 1e12, ..Known::assumed_per_cent(refit) };
    scatter.pull = Known { dof: 1e12, ..Known::assumed_per_cent(0.4) };
    scatter.steady = Known { dof: 1e12, ..Known::assumed_per_cent(0.1) };
    scatter
}

/// The variance of two readings d apart is d²/2, whatever the two modes differ by.
#[test]
fn each_mode_is_seen_to_scatter_by_itself() {
    let c = compare(&both(0.004, 0.001, 0.01), &known(0.3), &plan(8)).unwrap();
    let [(Mode::Sweep, swept), (Mode::Steady, held)] = &c.for_history[..] else {
        panic!("{:?}", c.for_history)
    };
    for (seen, apart) in [(swept, 0.004_f64), (held, 0.001)] {
        assert_eq!(seen.dof, 2.0);
        let variance = seen.variances[0].unwrap();
        assert!((variance / (apart * apart / 2.0) - 1.0).abs() < 1e-9, "{variance}");
    }
    let both = ((0.004_f64.powi(2) + 0.001_f64.powi(2)) / 4.0).sqrt();
    assert!((c.pull_scatter_seen.unwrap() / both - 1.0).abs() < 1e-9);
}

/// Two independent estimates of one quantity are weighted by one over their variances (any
/// textbook of statistics).
#[test]
fn modes_that_agree_are_weighted_by_their_scatter() {
    let c = compare(&both(0.004, 0.001, 0.0108), &known(0.0), &plan(8)).unwrap();
    assert!(c.by_mode.as_ref().unwrap().agrees());
    let (swept, held) = (0.004_f64.powi(2), 0.001_f64.powi(2));
    let weight = (1.0 / held) / (1.0 / held + 1.0 / swept);
    let wanted = weight * 0.0108 + (1.0 - weight) * 0.01;
    assert!((c.outcome.average.delta - wanted).abs() < 1e-9);
    let standard = (1.0 / (1.0 / held + 1.0 / swept)).sqrt();
    assert!((c.outcome.average.standard / standard - 1.0).abs() < 1e-5);
    assert!(sentences(&c).iter().any(|s| s.contains("they agree and are taken together")));
}

/// Pooled within twice the uncertainty of the distance, not beyond. Refitting acts on both modes alike
/// and is no part of it, however much it scatters.
#[test]
fn modes_are_pooled_only_within_two_u() {
    let u = (0.004_f64.powi(2) + 0.001_f64.powi(2)).sqrt();
    for (distance, agree) in [(1.9, true), (-1.9, true), (2.1, false), (-2.1, false)] {
        let pulls = both(0.004, 0.001, 0.01 + distance * u);
        let c = compare(&pulls, &known(5.0), &plan(8)).unwrap();
        let modes = c.by_mode.as_ref().unwrap();
        assert!((modes.apart.standard / u - 1.0).abs() < 1e-5, "{:?}", modes.apart);
        assert!((modes.apart.delta - distance * u).abs() < 1e-9);
        assert_eq!(modes.agrees(), agree, "{distance}");
        assert_eq!(c.outcome.pulls, if agree { (4, 4) } else { (2, 2) });
        assert_eq!(answer(&pulls, &known(5.0), &plan(8)).unwrap(), c.outcome);
        if !agree {
            assert_eq!(c.outcome, modes.sweep);
            assert!((modes.steady.average.delta - 0.01 - distance * u).abs() < 1e-9);
            assert!(sentences(&c)[1].starts_with("Sweeps and held speeds do not agree"));
            let mut turned = pulls;
            turned.pulls.rotate_left(4);
            let c = compare(&turned, &known(5.0), &plan(8)).unwrap();
            assert_eq!(c.outcome, c.by_mode.unwrap().steady);
        }
    }
}

#[test]
fn a_swept_and_b_held_cannot_be_told_apart() {
    let mut pulls = both(0.004, 0.001, 0.01);
    pulls.pulls.retain(|p| (p.build == "a") == (p.mode == Mode::Sweep));
    let refused = compare(&pulls, &known(0.3), &plan(4));
    assert!(matches!(refused, Err(CompareError::Apart { .. })), "{refused:?}");
}

#[test]
fn a_history_speaks_for_its_own_mode() {
    for mode in [Mode::Sweep, Mode::Steady] {
        let dyno = "cell".to_string();
        let key = HistoryKey { dyno, mode, sweep_rate_rpm_s: 0, torque_from_nm: 0 };
        let mut history = History::new(key);
        for _ in 0..3 {
            history.sessions.push(SessionScatter {
                dof: 8.0,
                from_rpm: 3000.0,
                variances: vec![Some(1e-6)],
                resels_per_1000_rpm: None,
            });
        }
        let scatter = history.scatter(DynoKind::Engine, Change::BoltOn);
        let other = if mode == Mode::Sweep { Mode::Steady } else { Mode::Sweep };
        assert_eq!(scatter.pulls(mode).origin, Origin::History { sessions: 3 });
        assert_eq!(*scatter.pulls(other), Known::assumed_per_cent(0.5));
    }
}

/// Pulls that wave `waves` times over the range, out of step with each other.
fn waving(order: &str, waves: f64) -> PullSet {
    let order = Order::parse(order).unwrap();
    let pulls = order.pulls().iter().zip(order.blocks()).enumerate().map(|(i, (&b, block))| {
        let step = std::f64::consts::TAU * waves / SPEEDS as f64;
        let wave = |g: usize| 6.0 + 0.003 * (g as f64 * step + 2.4 * (i * i) as f64).sin();
        let ln_torque = (0..SPEEDS).map(wave).collect();
        tried(if b { "b" } else { "a" }, block, i as f64, ln_torque)
    });
    set(pulls.collect())
}

/// Residuals beside the mean of each block.
fn beside_blocks(set: &PullSet) -> DMatrix<f64> {
    DMatrix::from_fn(set.pulls.len(), SPEEDS, |i, g| {
        let block = set.pulls[i].block;
        let of: Vec<f64> =
            set.pulls.iter().filter(|p| p.block == block).map(|p| p.ln_torque[g]).collect();
        set.pulls[i].ln_torque[g] - of.iter().sum::<f64>() / of.len() as f64
    })
}

/// Without a history the band takes 8 resolution elements (at least 4 ever). From two degrees of
/// freedom on the pulls' own, where rougher, stand instead; from four on the pulls' own always.
#[test]
fn the_band_takes_the_pulls_own_resels_from_two_degrees_of_freedom_on() {
    let scatter = Scatter::assumed(DynoKind::Engine, Change::BoltOn);
    let band = |set: &PullSet| {
        let c = compare(set, &scatter, &plan(set.pulls.len())).unwrap();
        c.outcome.band.resels
    };
    // A BB A: one degree of freedom, which tells nothing of roughness.
    assert_eq!(band(&waving("ABBA", 30.0)), 8.0);
    // AA BB: two.
    let rough = waving("AABB", 30.0);
    let own = resels(&beside_blocks(&rough));
    assert!(own > 8.0, "{own}");
    assert!((band(&rough) / own - 1.0).abs() < 1e-9);
    let smooth = waving("AABB", 2.0);
    assert!(resels(&beside_blocks(&smooth)) < 8.0);
    assert_eq!(band(&smooth), 8.0);
    // A history knows better than two degrees of freedom.
    let told = Scatter { resels_per_1000_rpm: Some(2.0), ..scatter.clone() };
    let c = compare(&rough, &told, &plan(4)).unwrap();
    assert!((c.outcome.band.resels - 2.0 * 3.95).abs() < 1e-9);
    // A4 B4: five beside blocks and drift, and the pulls' own alone, down to the least of 4.
    let smooth = band(&waving("A4B4", 1.5));
    assert!((4.0..8.0).contains(&smooth), "{smooth}");
}
