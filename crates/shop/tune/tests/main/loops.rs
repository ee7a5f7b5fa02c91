//! Simulated loops of which the truth is known.

use rand::{RngExt, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;
use shortblock_tune::{Answer, Next, Reading, Scatter, Setting, best_setting, next_setting};

const TOP: f64 = 300.0;
/// 1 % lost at 6 degrees.
const CURVATURE: f64 = 0.01 / 36.0;

fn torque(best: f64, degrees: f64) -> f64 {
    TOP * (1.0 - CURVATURE * (degrees - best).powi(2))
}

/// Standard normal by the sum of twelve uniform numbers less six (variance one).
fn normal(rng: &mut Xoshiro256PlusPlus) -> f64 {
    (0..12).map(|_| rng.random::<f64>()).sum::<f64>() - 6.0
}

fn spark(degrees: &[f64], best: f64, knock_from: f64, noise: impl FnMut() -> f64) -> Vec<Reading> {
    let mut noise = noise;
    degrees
        .iter()
        .map(|&d| Reading {
            setting: d.to_radians(),
            torque: torque(best, d) * (1.0 + noise()) - if d >= knock_from { 4.0 } else { 0.0 },
            knock: d >= knock_from,
        })
        .collect()
}

const WIDE: [f64; 8] = [20.0, 22.0, 24.0, 26.0, 28.0, 30.0, 32.0, 34.0];

/// The limits of the top hold the truth 19 times in 20: of 2,000 loops between 93.5 and 96.5 %
/// (three standard deviations of the count). Loops that say "no top" are counted as missing it.
#[test]
fn the_limits_hold_the_truth_19_times_in_20() {
    let mut rng = Xoshiro256PlusPlus::seed_from_u64(20_260_514);
    let (mut held, mut found) = (0, 0);
    for _ in 0..2_000 {
        let best = 26.0 + 2.0 * rng.random::<f64>();
        let readings = spark(&WIDE, best, 99.0, || 0.001 * normal(&mut rng));
        if let Answer::Best(b) = best_setting(Setting::Spark, &readings, &Scatter::unknown()) {
            found += 1;
            let truth = best.to_radians();
            held += usize::from(b.limits.low < truth && truth < b.limits.high);
        }
    }
    assert!(found >= 1_990, "{found}");
    let share = held as f64 / f64::from(found);
    assert!((0.935..=0.965).contains(&share), "{share}");
}

#[test]
fn knock_before_the_top_is_said_and_no_best_is_invented() {
    let readings = spark(&WIDE, 33.0, 30.0, || 0.0);
    let answer = best_setting(Setting::Spark, &readings, &Scatter { share: 0.002, dof: 8.0 });
    let Answer::KnockLimited(limit) = answer else { panic!("{answer:?}") };
    assert!((limit.knocked_from.to_degrees() - 30.0).abs() < 1e-9);
    assert!((limit.clear_to.to_degrees() - 28.0).abs() < 1e-9);
    assert!((limit.choose.to_degrees() - 27.0).abs() < 1e-9, "three degrees below knock");
    assert_eq!(next_setting(Setting::Spark, &readings, &Scatter::unknown()), Next::Done);
}

#[test]
fn knock_past_the_top_leaves_the_best_and_its_room() {
    let readings = spark(&WIDE, 27.0, 32.0, || 0.0);
    let answer = best_setting(Setting::Spark, &readings, &Scatter { share: 0.001, dof: 8.0 });
    let Answer::Best(best) = answer else { panic!("{answer:?}") };
    assert!(
        (best.setting.to_degrees() - 27.0).abs() < 1e-6,
        "the knocking readings are not fitted"
    );
    assert!(best.choose < best.setting);
    assert!(best.choose.to_degrees() <= 29.0);
}

#[test]
fn a_loop_that_stops_short_says_go_on() {
    let readings = spark(&WIDE[..5], 36.0, 99.0, || 0.0);
    let history = Scatter { share: 0.001, dof: 8.0 };
    let answer = best_setting(Setting::Spark, &readings, &history);
    let Answer::StillRising { last, towards_more: true } = answer else { panic!("{answer:?}") };
    assert!((last.to_degrees() - 28.0).abs() < 1e-9);
    let Next::Try(next) = next_setting(Setting::Spark, &readings, &history) else { panic!() };
    assert!((next.setting.to_degrees() - 30.0).abs() < 1e-9, "two degrees and no more");
}

#[test]
fn a_flat_loop_takes_the_least_spark_and_the_leanest_mixture() {
    let flat: Vec<Reading> = (0..6)
        .map(|i| Reading {
            setting: 0.84 + 0.02 * f64::from(i),
            torque: 300.0 + [0.5, -0.6, 0.2, 0.4, -0.7, 0.3][i as usize],
            knock: false,
        })
        .collect();
    let answer = best_setting(Setting::Mixture, &flat, &Scatter::unknown());
    let Answer::Flat { choose, .. } = answer else { panic!("{answer:?}") };
    assert!((choose - 0.94).abs() < 1e-12);
}

/// Torque that falls by 2 % towards lean under a scatter of 2 %: no loss is proved, and none is denied.
#[test]
fn a_loss_that_scatter_hides_is_no_leave_to_go_lean() {
    let off = [2.0, -6.0, 5.0, -4.0, 6.5, -3.5];
    let hidden: Vec<Reading> = (0..6)
        .map(|i| {
            let lambda = 0.84 + 0.02 * f64::from(i);
            let torque = 300.0 * (1.0 - 2.0 * (lambda - 0.84f64).powi(2)) + off[i as usize];
            Reading { setting: lambda, torque, knock: false }
        })
        .collect();
    let answer = best_setting(Setting::Mixture, &hidden, &Scatter::unknown());
    let Answer::Flat { range, choose } = answer else { panic!("{answer:?}") };
    assert!(choose < range.1 - 0.01, "{choose} of {range:?}");
}

/// Power peaks rich of stoichiometric; the leanest setting that costs half a per cent is chosen.
#[test]
fn a_mixture_loop_chooses_the_lean_end() {
    let readings: Vec<Reading> = (0..8)
        .map(|i| {
            let lambda = 0.80 + 0.02 * f64::from(i);
            Reading {
                setting: lambda,
                torque: 300.0 * (1.0 - 4.0 * (lambda - 0.87f64).powi(2)),
                knock: false,
            }
        })
        .collect();
    let answer = best_setting(Setting::Mixture, &readings, &Scatter { share: 0.001, dof: 6.0 });
    let Answer::Best(best) = answer else { panic!("{answer:?}") };
    assert!((best.setting - 0.87).abs() < 1e-9);
    assert!((best.choose - (0.87 + (0.005f64 / 4.0).sqrt())).abs() < 1e-9);
}

#[test]
fn too_little_is_said_to_be_too_little() {
    let three = spark(&WIDE[..3], 27.0, 99.0, || 0.0);
    let answer = best_setting(Setting::Spark, &three, &Scatter::unknown());
    assert_eq!(answer, Answer::TooFew { usable: 3 });
    assert_eq!(
        best_setting(Setting::Spark, &[], &Scatter::unknown()),
        Answer::TooFew { usable: 0 }
    );
    let broken = [Reading { setting: f64::NAN, torque: f64::INFINITY, knock: true }; 5];
    assert_eq!(
        best_setting(Setting::Spark, &broken, &Scatter::unknown()),
        Answer::TooFew { usable: 0 }
    );
}
