//! Intervals, and the two ± that must not be mixed.

/// From a lower to an upper end, as fractions of torque.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// `middle` ± `half`.
    pub fn around(middle: f64, half: f64) -> Self {
        Self { low: middle - half, high: middle + half }
    }

    /// True when 0 is outside.
    pub fn excludes_zero(&self) -> bool {
        self.low > 0.0 || self.high < 0.0
    }

    /// True when all of it lies within ±`margin`.
    pub fn inside(&self, margin: f64) -> bool {
        self.low > -margin && self.high < margin
    }
}

/// ± beside another pull on the same dynamometer, as a fraction: what a comparison carries.
///
/// It says nothing about the figure itself, so it cannot stand for [`AgainstWorld`]:
///
/// ```compile_fail
/// use shortblock_compare::{AgainstWorld, BesidePull};
/// fn print_customer_sheet(_pm: AgainstWorld) {}
/// print_customer_sheet(BesidePull(0.006));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct BesidePull(pub f64);

/// ± of a figure against the world, as a fraction, 19 times in 20: what a customer's sheet carries.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct AgainstWorld(f64);

impl AgainstWorld {
    /// From the standard contributions (fractions) of an uncertainty budget: twice the root of
    /// their summed squares (JCGM 100:2008, 5.1.2 and 6.2 with k = 2).
    pub fn from_budget(contributions: &[f64]) -> Self {
        Self(2.0 * contributions.iter().map(|c| c * c).sum::<f64>().sqrt())
    }

    /// Half-width as a fraction.
    pub fn half_width(self) -> f64 {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A torque budget worked through with the GUM's rules (`gum_torque_budget.json`): u_c 0.421 % with
    /// 565 degrees of freedom.
    #[test]
    fn budget_adds_in_squares() {
        let budget: serde_json::Value =
            serde_json::from_str(include_str!("../tests/data/gum_torque_budget.json")).unwrap();
        let number = |value: &serde_json::Value| value.as_f64().unwrap();
        let rows = budget["budget"].as_array().unwrap();
        let contributions: Vec<f64> =
            rows.iter().map(|row| number(&row["contribution_pct"]) / 100.0).collect();
        let half = AgainstWorld::from_budget(&contributions).half_width();
        assert!((50.0 * half / number(&budget["u_c_pct"]) - 1.0).abs() < 1e-9, "{half}");
        let parts = rows.iter().zip(&contributions).map(|(row, c)| (c * c, number(&row["dof"])));
        let (_, dof) = crate::estimate::satterthwaite(parts);
        assert!((dof / number(&budget["nu_eff"]) - 1.0).abs() < 1e-9, "{dof}");
    }
}
