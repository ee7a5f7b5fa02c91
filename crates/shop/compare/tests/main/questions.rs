//! What the comparison says of sets of pulls.

use crate::simulate::day::tried;
use shortblock_compare::*;

fn pull(build: &str, block: u32, order: f64, rise: f64) -> Tried {
    let ln_torque =
        (0..120).map(|g| 6.3 + rise + 0.0005 * (f64::from(g) * 0.37 + order * 2.1).sin()).collect();
    Tried { oil_temperature_celsius: Some(90.0), ..tried(build, block, order, ln_torque) }
}

fn set(order: &str, gain: f64) -> PullSet {
    let order = Order::parse(order).unwrap();
    let wobble = [0.0012, -0.0015, 0.0004, 0.0008, -0.0011];
    let pulls = order.pulls().iter().zip(order.blocks()).enumerate().map(|(i, (&b, block))| {
        let rise = wobble[i % 5] + if b { gain } else { 0.0 };
        pull(if b { "b7" } else { "b6" }, block, i as f64, rise)
    });
    let speeds_rpm = (0..120).map(|g| 2000.0 + 50.0 * f64::from(g)).collect();
    PullSet { speeds_rpm, pulls: pulls.collect() }
}

fn plan(planned_pulls: usize) -> Plan {
    Plan {
        a: "b6".to_string(),
        b: "b7".to_string(),
        from_rpm: 2500.0,
        to_rpm: 7500.0,
        planned_pulls,
        extended: false,
        margin: Margin::per_cent(0.5).unwrap(),
    }
}

fn bolt_on() -> Scatter {
    Scatter::assumed(DynoKind::Engine, Change::BoltOn)
}

#[test]
fn one_pull_a_side_is_never_real() {
    let c = compare(&set("AB", 0.20), &bolt_on(), &plan(2)).unwrap();
    assert!(c.outcome.interval.excludes_zero());
    assert_eq!(c.outcome.verdict, Verdict::CantTell);
    assert!(sentences(&c)[0].contains("One pull each is never proof"));
}

#[test]
fn a_plain_gain_is_real_with_its_tipping_point() {
    let c = compare(&set("ABBABAAB", 0.03), &bolt_on(), &plan(8)).unwrap();
    let (direction, worth) = (Direction::Gain, Worth::WorthHaving);
    assert_eq!(c.outcome.verdict, Verdict::Real { direction, worth });
    assert!((c.outcome.average.delta - 0.03).abs() < 0.002);
    assert!((c.peak.delta - 0.03).abs() < 0.003);
    let tip = c.tipping_refit.unwrap();
    assert!(tip > 0.003 && tip < 0.1, "{tip}");
    // At the tipping point the interval touches 0.
    let mut at = bolt_on();
    at.refit.variance = Profile::flat(tip * tip);
    let touched = compare(&set("ABBABAAB", 0.03), &at, &plan(8)).unwrap();
    assert!(touched.outcome.interval.low.abs() < 1e-4, "{:?}", touched.outcome.interval);
    let share: f64 = c.components.iter().map(|p| p.share).sum();
    assert!((share - 1.0).abs() < 1e-12);
    assert_eq!(c.left_out.len(), 8);
    assert!(sentences(&c)[0].starts_with("Real gain, worth having: b7 beside b6"));
}

#[test]
fn before_the_plan_is_done_it_is_so_far() {
    let c = compare(&set("ABBA", 0.012), &bolt_on(), &plan(8)).unwrap();
    assert_eq!(c.progress, Progress::SoFar);
    assert_eq!(c.outcome.verdict, Verdict::CantTell);
    assert!(sentences(&c)[0].starts_with("Can't tell so far"));
}

#[test]
fn pulls_set_aside_after_looking_bring_both_verdicts() {
    let mut pulls = set("ABBABAAB", 0.03);
    pulls.pulls[3].set_aside = Some(SetAside::AfterSeen);
    let c = compare(&pulls, &bolt_on(), &plan(8)).unwrap();
    assert_eq!(c.outcome.pulls, (3, 4));
    assert_eq!(c.with_set_aside.as_ref().unwrap().pulls, (4, 4));
    assert!(sentences(&c).iter().any(|s| s.contains("With all of them in")));
    pulls.pulls[3].set_aside = Some(SetAside::BeforeSeen);
    assert!(compare(&pulls, &bolt_on(), &plan(7)).unwrap().with_set_aside.is_none());
}

#[test]
fn no_difference_is_shown_only_with_little_scatter() {
    let mut quiet = Scatter::assumed(DynoKind::Engine, Change::Setting);
    quiet.pull = Known { dof: 12.0, ..Known::assumed_per_cent(0.15) };
    quiet.slope = Known { dof: 8.0, ..Known::assumed_per_cent(0.02) };
    let c = compare(&set("ABBABAAB", 0.0), &quiet, &plan(8)).unwrap();
    assert_eq!(c.outcome.verdict, Verdict::NoDifferenceWorthHaving { real: None });
    let c = compare(&set("AAABBB", 0.0), &bolt_on(), &plan(6)).unwrap();
    assert_eq!(c.outcome.verdict, Verdict::CantTell);
}

#[test]
fn what_must_not_be_compared_is_refused() {
    let mut pulls = set("ABBA", 0.01);
    let labels: Vec<String> = pulls.pulls.iter().map(|p| p.label.clone()).collect();
    pulls.pulls[2].sweep_rate_rpm_s = 330.049_999_999_7;
    let refused = compare(&pulls, &bolt_on(), &plan(4)).unwrap_err();
    let [a, b, c, d] = &labels[..] else { panic!("four pulls") };
    let text = format!(
        "sweep rates differ: '{c}' at 330 rpm/s, '{a}', '{b}', '{d}' at 300 rpm/s; a faster sweep hides \
         more torque in what turns: compare pulls of one rate, or take the inertia out"
    );
    assert_eq!(refused.to_string(), text);
    pulls.pulls[1].sweep_rate_rpm_s = f64::NAN;
    let refused = compare(&pulls, &bolt_on(), &plan(4)).unwrap_err().to_string();
    assert!(refused.contains(&format!("'{b}' at no known rate")), "{refused}");
    for p in &mut pulls.pulls {
        p.inertia_corrected = true;
    }
    assert!(compare(&pulls, &bolt_on(), &plan(4)).is_ok());
    pulls.pulls[1].place = Place::Wheel;
    assert!(matches!(compare(&pulls, &bolt_on(), &plan(4)), Err(CompareError::Place { .. })));
    let none = compare(&set("AA", 0.0), &bolt_on(), &plan(2));
    assert!(matches!(none, Err(CompareError::NoPull { .. })));
}

/// A pull without torque and two that share no speeds are named with what they have.
#[test]
fn pulls_that_share_no_speeds_are_named() {
    let mut pulls = set("ABBA", 0.01);
    pulls.pulls[1].label = "sign".to_owned();
    pulls.pulls[1].ln_torque.fill(f64::NAN);
    let refused = compare(&pulls, &bolt_on(), &plan(4)).unwrap_err().to_string();
    assert!(refused.starts_with("pull 'sign': next to no torque"), "{refused}");
    let elsewhere = Plan { from_rpm: 20_000.0, to_rpm: 21_000.0, ..plan(4) };
    let refused = compare(&set("ABBA", 0.01), &bolt_on(), &elsewhere).unwrap_err();
    assert!(matches!(refused, CompareError::Outside { .. }), "{refused}");
    let mut pulls = set("ABBA", 0.01);
    for (place, label, kept) in [(0, "low", 2000.0..3500.0), (3, "high", 5000.0..8000.0)] {
        pulls.pulls[place].label = label.to_owned();
        for g in 0..pulls.speeds_rpm.len() {
            if !kept.contains(&pulls.speeds_rpm[g]) {
                pulls.pulls[place].ln_torque[g] = f64::NAN;
            }
        }
    }
    let refused = compare(&pulls, &bolt_on(), &plan(4)).unwrap_err().to_string();
    assert!(refused.contains("'high' begins at 5000 rpm, 'low' ends at 3450 rpm"), "{refused}");
}

#[test]
fn builds_that_share_no_dyno_carry_the_dyno_in_their_uncertainty() {
    let mut pulls = set("AAABBB", 0.03);
    for p in &mut pulls.pulls[3..] {
        p.dyno = "other".to_string();
    }
    let c = compare(&pulls, &bolt_on(), &plan(6)).unwrap();
    assert!(c.different_dynos && sentences(&c)[0].starts_with("Different dyno."));
    // Two dynos at 2 % each: the ± cannot be under 1.96 √2 2 %.
    assert!(c.outcome.average.half_width(0.05).0 > 0.055);
    // Where both ran on one of the two, only differences within a dyno count.
    let mut shared = set("ABBAABBA", 0.03);
    for p in &mut shared.pulls[4..] {
        p.dyno = "other".to_string();
        for y in &mut p.ln_torque {
            *y += 0.05;
        }
    }
    let c = compare(&shared, &bolt_on(), &plan(8)).unwrap();
    assert!(!c.different_dynos && (c.outcome.average.delta - 0.03).abs() < 0.002);
}
