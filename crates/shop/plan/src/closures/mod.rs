//! Numbers that all engines have in common: factors on the relations for flow, burn, heat, friction.
//!
//! Their values and how well they are known are the posterior of `validate` over published engines;
//! samples draw all four together, so that what published torques say of two at once is kept.

mod table;

use shortblock_cycle::Network;

pub use table::{CLOSURES, ClosureTerm, closure_table};

/// Names under which samples move the numbers, in the order of the table.
pub(crate) const NAMES: [&str; CLOSURES] =
    ["model.flow", "model.burn", "model.heat", "model.friction"];

/// Factors on the relations that all engines have in common; 1 for each as it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closures {
    /// On the effective area of the valves, both sides.
    pub flow: f64,
    /// On the burning rate.
    pub burn: f64,
    /// On the heat to the cylinder walls.
    pub heat: f64,
    /// On friction with auxiliaries.
    pub friction: f64,
}

impl Closures {
    /// As they are.
    pub const ONE: Closures = Closures { flow: 1.0, burn: 1.0, heat: 1.0, friction: 1.0 };

    /// As shipped: on the relations as their sources have them.
    #[must_use]
    pub fn shipped() -> Closures {
        Self::at([0.0; CLOSURES])
    }

    /// Both factors together.
    #[must_use]
    pub fn times(&self, other: &Closures) -> Closures {
        Closures {
            flow: self.flow * other.flow,
            burn: self.burn * other.burn,
            heat: self.heat * other.heat,
            friction: self.friction * other.friction,
        }
    }

    /// The shipped factors moved by independent standard scores; lognormal, so that none is below
    /// zero.
    pub(crate) fn at(scores: [f64; CLOSURES]) -> Closures {
        let factor = |i: usize| {
            let off = table::triangle()[i].iter().zip(&scores).map(|(l, z)| l * z).sum::<f64>();
            closure_table().get(i).map_or(1.0, |term| term.factor) * off.exp()
        };
        Closures { flow: factor(0), burn: factor(1), heat: factor(2), friction: factor(3) }
    }

    /// Puts the factors on a design.
    pub(crate) fn act_on(&self, network: &mut Network) {
        for cylinder in &mut network.cylinders {
            let sides = [&mut cylinder.intake, &mut cylinder.exhaust];
            for area in sides.into_iter().flat_map(|side| &mut side.effective_area) {
                *area *= self.flow;
            }
        }
        network.combustion.burn_multiplier *= self.burn;
        network.combustion.heat_multiplier *= self.heat;
        network.friction.multiplier *= self.friction;
    }

    /// The scores at which [`Closures::at`] gives these factors.
    #[cfg(test)]
    pub(crate) fn scores(&self) -> [f64; CLOSURES] {
        let own = [self.flow, self.burn, self.heat, self.friction];
        let mut scores = [0.0; CLOSURES];
        for i in 0..CLOSURES {
            let lower = table::triangle()[i];
            let known: f64 = (0..i).map(|k| lower[k] * scores[k]).sum();
            scores[i] = ((own[i] / closure_table()[i].factor).ln() - known) / lower[i];
        }
        scores
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scores_go_there_and_back() {
        let z = [0.7, -1.2, 0.4, 2.0];
        let back = Closures::at(z).scores();
        assert!(z.iter().zip(back).all(|(a, b)| (a - b).abs() < 1e-9), "{back:?}");
        assert!(Closures::shipped().scores().iter().all(|z| z.abs() < 1e-12));
    }
}
