//! Random legal engines; a thousand of them are `examples/random_engines.rs`.

use crate::random::random;
use crate::survive::{Outcome, survived};
use shortblock_cycle::{Precision, Serial};

#[test]
fn random_legal_engines_give_a_curve_or_a_reason() {
    let (mut curves, mut reasons) = (0, Vec::new());
    for seed in 1..=20 {
        match survived(&random(seed), 1, Precision::F32, &Serial) {
            Ok(Outcome::Curve { holes }) => {
                curves += 1;
                reasons.extend(holes);
            }
            Ok(Outcome::Reason(why)) => reasons.push(why),
            Err(wrong) => panic!("seed {seed}: {wrong}\n{}", random(seed)),
        }
    }
    assert!(curves >= 10, "only {curves} of 20 are engines at all: {reasons:#?}");
}

/// Engines that once gave no number at some of these speeds: a step from a small exhaust port at the
/// valve (5, 28, 30), small volumes between openings and small cylinders in a long overlap (2, 81,
/// 87), a closing at the cut between two cycles (62, 200), a piston sought far too hot (24),
/// nitromethane that evaporated whole into frosty air (77).
#[test]
fn engines_that_were_lost_give_whole_curves() {
    for seed in [2, 5, 24, 28, 30, 62, 77, 81, 87, 200] {
        match survived(&random(seed), 4, Precision::F32, &Serial) {
            Ok(Outcome::Curve { holes }) => assert!(holes.is_empty(), "seed {seed}: {holes:#?}"),
            Ok(Outcome::Reason(why)) => panic!("seed {seed}: {why}\n{}", random(seed)),
            Err(wrong) => panic!("seed {seed}: {wrong}\n{}", random(seed)),
        }
    }
}
