//! `--assert`: a claim about a predicted curve that holds or does not.

use crate::failure::Failure;
use shortblock_curve::{Curve, Predicted, Quantity as Column};
use shortblock_document::nearest;
use shortblock_units::{Quantity, parse};

const HINT: &str = "hint: power or torque, then >=, >, <= or <, a value and, if wanted, a speed: \
                    \"power >= 340 hp\", \"torque >= 270 N.m at 5000 rpm\"";

/// Whether what was found stands so to what is wanted.
type Compare = fn(f64, f64) -> bool;

/// The ways of comparing; the longer ones first, since the others begin them.
const SIGNS: [(&str, Compare); 4] = [
    (">=", |found, wanted| found >= wanted),
    ("<=", |found, wanted| found <= wanted),
    (">", |found, wanted| found > wanted),
    ("<", |found, wanted| found < wanted),
];

/// A claim that was understood.
pub struct Claim {
    /// As typed.
    pub text: String,
    column: Column,
    holds: Compare,
    wanted: f64,
    speed: Option<f64>,
}

impl Claim {
    /// Reads a claim.
    pub fn read(text: &str) -> Result<Self, Failure> {
        let fault =
            |what: String| Failure::NotUnderstood(format!("--assert \"{text}\": {what}\n{HINT}"));
        let found = SIGNS.into_iter().find_map(|(sign, holds)| {
            text.split_once(sign).map(|(word, value)| (word.trim(), holds, value.trim()))
        });
        let (word, holds, value) = found.ok_or_else(|| fault("compares nothing".to_owned()))?;
        let (column, quantity) = match word {
            "power" => (Column::Power, Quantity::Power),
            "torque" => (Column::Torque, Quantity::Torque),
            other => {
                let near = nearest(other, ["power", "torque"]);
                let near = near.map_or(String::new(), |near| format!("; did you mean {near}?"));
                return Err(fault(format!("\"{other}\" can't be asked{near}")));
            }
        };
        let measure = parse(value, quantity).map_err(|error| fault(error.what()))?;
        Ok(Self {
            text: text.to_owned(),
            column,
            holds,
            wanted: measure.si,
            speed: measure.at.map(|at| at.si),
        })
    }

    /// Whether the curve's best, or its value at the speed, is so. Outside the curve nothing is.
    pub fn holds(&self, curve: &Curve<Predicted>) -> bool {
        let found = match self.speed {
            Some(speed) => curve.at(self.column, speed),
            None => Some(curve.peak(self.column).value),
        };
        found.is_some_and(|found| (self.holds)(found, self.wanted))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn claims_are_about_the_best_or_about_a_speed() {
        let curve: Curve<Predicted> =
            Curve::from_torque("b1", vec![100.0, 200.0], vec![300.0, 200.0]).unwrap();
        let holds = |text: &str| Claim::read(text).unwrap().holds(&curve);
        assert!(holds("torque >= 300 N.m") && !holds("torque > 300 N.m"));
        assert!(holds("power <= 40 kW") && !holds("power < 40 kW"));
        // 150 rad/s, half way down from 300 to 200 N·m.
        assert!(
            holds("torque <= 260 N.m at 1432.4 rpm") && holds("torque > 240 N.m at 1432.4 rpm")
        );
        assert!(!holds("torque >= 1 N.m at 9000 rpm"));
    }

    #[test]
    fn what_is_no_claim_is_refused_with_a_hint() {
        for text in ["", "power", "power >= ", "power >= 300", "powr >= 3 hp", "power >= 3 N.m"] {
            let message = Claim::read(text).err().unwrap().to_string();
            assert!(message.contains("hint: power or torque"), "{text}: {message}");
        }
    }
}
