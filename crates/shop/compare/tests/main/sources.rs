//! Each source of scatter by itself, as it is defined: by how much it moves the difference of two
//! pulls, worked out by hand.

use crate::simulate::day::tried;
use shortblock_compare::*;

const PULL: f64 = 0.002;
const SOURCE: f64 = 0.003;

fn known(sd: f64) -> Known {
    Known { variance: Profile::flat(sd * sd), dof: 1e12, origin: Origin::Assumed }
}

fn only(chosen: fn(&mut Scatter) -> &mut Known, sd: f64) -> Scatter {
    let mut s = Scatter::assumed(DynoKind::Engine, Change::BoltOn);
    let all = [
        &mut s.refit,
        &mut s.session,
        &mut s.slope,
        &mut s.warm_up,
        &mut s.dyno,
        &mut s.correction,
        &mut s.oil,
    ];
    all.into_iter().for_each(|k| *k = known(0.0));
    s.pull = known(PULL);
    *chosen(&mut s) = known(sd);
    s
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
    compare(&PullSet { speeds_rpm: vec![4000.0, 4050.0], pulls }, scatter, &plan).unwrap()
}

/// A and B, one pull each, with nothing between them but what `change` makes of B.
fn pair(change: impl Fn(&mut Tried)) -> Vec<Tried> {
    let one = |build: &str| Tried {
        pulls_since_stop: 0.0,
        oil_temperature_celsius: Some(90.0),
        ..tried(build, 0, 0.0, vec![0.0; 2])
    };
    let mut b = one("b");
    change(&mut b);
    vec![one("a"), b]
}

/// Variance that the source adds to that of two pulls, in its own variance.
fn added(pulls: Vec<Tried>, scatter: &Scatter, sd: f64) -> f64 {
    let u = compared(pulls, scatter).outcome.average.standard;
    (u * u - 2.0 * PULL * PULL) / (sd * sd)
}

#[test]
fn each_source_moves_the_difference_as_it_is_defined() {
    let holds = |found: f64, wanted: f64, what: &str| {
        assert!((found - wanted).abs() < 1e-9, "{what}: {found}, {wanted}");
    };
    let s = SOURCE;
    // Another fit, another session, another dyno: one draw each.
    let refit = pair(|b| b.block = 1);
    holds(added(refit, &only(|s| &mut s.refit, s), s), 2.0, "refit");
    let session = pair(|b| b.session = 1);
    holds(added(session, &only(|s| &mut s.session, s), s), 2.0, "session");
    let dyno = pair(|b| b.dyno = "other".to_string());
    holds(added(dyno, &only(|s| &mut s.dyno, s), s), 2.0, "dyno");
    // Drift: per pull.
    let later = pair(|b| b.order = 3.0);
    holds(added(later, &only(|s| &mut s.slope, s), s), 9.0, "drift");
    // On two days each stands in the middle of its own.
    let next_day = pair(|b| (b.session, b.order) = (1, 3.0));
    holds(added(next_day, &only(|s| &mut s.slope, s), s), 0.0, "drift of two days");
    // Warm-up: exp(-k/2), k the pulls since a stop, one draw a session.
    let warmer = pair(|b| b.pulls_since_stop = 2.0);
    let wanted = (1.0 - (-1.0_f64).exp()).powi(2);
    holds(added(warmer, &only(|s| &mut s.warm_up, s), s), wanted, "warm-up");
    let next_day = pair(|b| (b.session, b.pulls_since_stop) = (1, 2.0));
    let wanted = 1.0 + (-2.0_f64).exp();
    holds(added(next_day, &only(|s| &mut s.warm_up, s), s), wanted, "warm-up of two days");
    // Weather and oil: by how far apart the two are.
    let other_air = pair(|b| b.ln_correction = 0.02);
    holds(added(other_air, &only(|s| &mut s.correction, 0.15), 0.15), 0.0004, "weather");
    let cooler = pair(|b| b.oil_temperature_celsius = Some(83.0));
    holds(added(cooler, &only(|s| &mut s.oil, 0.0003), 0.0003), 49.0, "oil");
    // Nobody read the oil of B: it stands where A stands.
    let unread = pair(|b| b.oil_temperature_celsius = None);
    holds(added(unread, &only(|s| &mut s.oil, 0.0003), 0.0003), 0.0, "oil not read");
}

/// Pulls that swap their places over the range have equal means: the fits then differ by refitting
/// alone, and nothing is taken off for pulls.
#[test]
fn refits_are_told_by_means_with_the_scatter_of_means() {
    let pull =
        |build: &str, block: u32, y: f64, up: f64| tried(build, block, 0.0, vec![y + up, y - up]);
    let pulls = vec![
        pull("a", 0, 0.0, 0.002),
        pull("a", 0, 0.0, -0.002),
        pull("a", 1, 0.006, 0.002),
        pull("a", 1, 0.006, -0.002),
        pull("b", 2, 0.01, 0.0),
    ];
    let c = compared(pulls, &only(|s| &mut s.refit, SOURCE));
    let refit = c.refit_spread.unwrap();
    // Two fits 0.6 % apart: variance 0.006²/2.
    assert!((refit.variance - 0.006_f64.powi(2) / 2.0).abs() < 1e-15, "{refit:?}");
    assert_eq!(refit.dof, 1.0);
    assert!((c.pull_scatter_seen.unwrap() - 0.002 * 2.0_f64.sqrt()).abs() < 1e-12);
}
