//! Air flow told three ways, and which of them agree.
//!
//! Air meter, fuel flow times lambda, and speed-density share no instrument; when two of them
//! differ by more than 4 % one is wrong, and the pair that agrees says which (common practice, no
//! source).

use std::fmt;

/// A way to tell air flow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// The air meter.
    Meter,
    /// Fuel flow times lambda times the stoichiometric ratio.
    FuelAndLambda,
    /// State in the manifold and known filling.
    SpeedDensity,
}

impl Way {
    fn words(self) -> &'static str {
        match self {
            Self::Meter => "air meter",
            Self::FuelAndLambda => "fuel and lambda",
            Self::SpeedDensity => "speed-density",
        }
    }
}

/// Air flows at one point, kg/s, by the ways there are.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct AirFlows {
    /// By the air meter.
    pub meter: Option<f64>,
    /// By fuel flow and lambda.
    pub fuel_and_lambda: Option<f64>,
    /// By speed and density.
    pub speed_density: Option<f64>,
}

/// What the ways say together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Agreement {
    /// Fewer than two ways.
    NothingToCompare,
    /// All agree; the largest difference as a share.
    Agree(f64),
    /// Two ways, and they differ by this share; a third would tell which is wrong.
    TwoDiffer(Way, Way, f64),
    /// Two agree and the third is off their mean by this share, with its sign.
    Odd {
        /// The pair that agrees best.
        agree: (Way, Way),
        /// The one that does not.
        odd: Way,
        /// How far, as a share.
        off: f64,
    },
    /// No two agree; the smallest difference as a share.
    NoneAgree(f64),
}

impl AirFlows {
    /// Compares the ways; two agree when they differ by at most `within` of their mean. Flows that are
    /// not above zero count as not there.
    pub fn agreement(&self, within: f64) -> Agreement {
        let all = [
            (Way::Meter, self.meter),
            (Way::FuelAndLambda, self.fuel_and_lambda),
            (Way::SpeedDensity, self.speed_density),
        ];
        let known: Vec<(Way, f64)> = all
            .into_iter()
            .filter_map(|(way, flow)| Some((way, flow.filter(|f| f.is_finite() && *f > 0.0)?)))
            .collect();
        match known[..] {
            [a, b] if apart(a.1, b.1) <= within => Agreement::Agree(apart(a.1, b.1)),
            [a, b] => Agreement::TwoDiffer(a.0, b.0, apart(a.1, b.1)),
            [a, b, c] => three([a, b, c], within),
            _ => Agreement::NothingToCompare,
        }
    }
}

fn apart(a: f64, b: f64) -> f64 {
    2.0 * (a - b).abs() / (a + b)
}

fn three(ways: [(Way, f64); 3], within: f64) -> Agreement {
    let pairs = [(0, 1, 2), (0, 2, 1), (1, 2, 0)];
    let gap = |&(i, j, _): &(usize, usize, usize)| apart(ways[i].1, ways[j].1);
    let widest = pairs.iter().map(gap).fold(0.0, f64::max);
    let closest = pairs.iter().min_by(|a, b| gap(a).total_cmp(&gap(b))).unwrap_or(&pairs[0]);
    if widest <= within {
        return Agreement::Agree(widest);
    }
    let &(i, j, odd) = closest;
    if gap(closest) > within {
        return Agreement::NoneAgree(gap(closest));
    }
    let mean = 0.5 * (ways[i].1 + ways[j].1);
    Agreement::Odd {
        agree: (ways[i].0, ways[j].0),
        odd: ways[odd].0,
        off: ways[odd].1 / mean - 1.0,
    }
}

impl fmt::Display for Agreement {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let percent = |share: f64| 100.0 * share;
        match self {
            Self::NothingToCompare => write!(f, "air flow is told one way only, or not at all"),
            Self::Agree(gap) => write!(f, "air flows agree within {:.1} %", percent(*gap)),
            Self::TwoDiffer(a, b, gap) => write!(
                f,
                "{} and {} differ by {:.1} %; a third way would tell which is wrong",
                a.words(),
                b.words(),
                percent(*gap)
            ),
            Self::Odd { agree: (a, b), odd, off } => write!(
                f,
                "{} is {:+.1} % off; {} and {} agree",
                odd.words(),
                percent(*off),
                a.words(),
                b.words()
            ),
            Self::NoneAgree(gap) => write!(
                f,
                "no two air flows agree; the closest differ by {:.1} %: check air meter, fuel meter \
                 and lambda",
                percent(*gap)
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(meter: f64, fuel: f64, density: f64) -> String {
        let some = |flow: f64| flow.is_finite().then_some(flow);
        let (meter, fuel_and_lambda, speed_density) = (some(meter), some(fuel), some(density));
        AirFlows { meter, fuel_and_lambda, speed_density }.agreement(0.04).to_string()
    }

    #[test]
    fn the_pair_that_agrees_names_the_odd_one() {
        let none = f64::NAN;
        assert_eq!(said(0.400, 0.404, 0.408), "air flows agree within 2.0 %");
        assert_eq!(
            said(0.400, 0.440, 0.400),
            "fuel and lambda is +10.0 % off; air meter and speed-density agree"
        );
        assert_eq!(
            said(0.360, 0.400, 0.400),
            "air meter is -10.0 % off; fuel and lambda and speed-density agree"
        );
        assert!(
            said(0.30, 0.36, 0.42)
                .starts_with("no two air flows agree; the closest differ by 15.4")
        );
        assert!(
            said(0.40, 0.42, none).starts_with("air meter and fuel and lambda differ by 4.9 %")
        );
        assert_eq!(said(0.40, none, 0.41), "air flows agree within 2.5 %");
        assert!(said(none, none, 0.41).contains("one way only"));
        assert!(said(-1.0, 0.0, 0.41).contains("one way only"));
    }
}
