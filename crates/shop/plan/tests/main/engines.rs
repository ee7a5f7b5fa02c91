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
