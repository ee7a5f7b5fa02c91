//! Before the test: which order, how many pulls, and what they can see.

use crate::components::Model;
use crate::design::Spot;
use crate::interval::BesidePull;
use crate::order::Order;
use crate::power::{chance_of_equivalence, chance_of_real};
use crate::scatter::{Change, Scatter};
use crate::student;
use crate::tried::Mode;
use crate::verdict::Margin;

/// Orders offered, fewest pulls first.
const ORDERS: [&str; 9] = [
    "AB",
    "ABBA",
    "AAABBB",
    "ABBABAAB",
    "A3B3A3",
    "A3B5A2",
    "ABBABAABABBA",
    "ABBABAABBAABABBA",
    "ABBABAABBAABABBAABBABAAB",
];

/// Level of the average's interval.
const LEVEL: f64 = 0.03;
/// Chance of finding the margin that a design must have to be said to settle it.
const WANTED: f64 = 0.80;

/// One order and what it can see.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// The order.
    pub order: Order,
    /// Expected half-width, 97 times in 100.
    pub half_width: BesidePull,
    /// Chance that the gain asked about is found real, 0..=1. 0 for one pull a side.
    pub chance_of_real: f64,
    /// Chance that no difference worth having is shown when there is none, 0..=1.
    pub chance_of_equivalence: f64,
    /// Smallest difference that is found four times in five, a fraction.
    pub sees: f64,
}

/// Designs side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// Fewest pulls first.
    pub designs: Vec<Design>,
    /// Place in `designs` of the smallest that finds a difference of the margin four times in
    /// five; `None` when no order up to 24 pulls in one session does.
    pub settles: Option<usize>,
}

/// Weighs the usual orders and `own` ones for one session: `worth` is the smallest difference that
/// matters, `gain` the difference (a fraction) whose chance of being found is asked for.
pub fn plan_test(scatter: &Scatter, worth: Margin, gain: f64, own: &[Order]) -> Advice {
    let mut orders: Vec<Order> = ORDERS.iter().filter_map(|text| Order::parse(text).ok()).collect();
    orders.extend(own.iter().cloned());
    orders.sort_by_key(|o| (o.pulls().len(), o.changes(), o.to_string()));
    orders.dedup();
    let designs: Vec<Design> =
        orders.iter().filter_map(|order| weigh(order, scatter, worth, gain)).collect();
    let settles =
        designs.iter().position(|d| d.order.pulls().len() > 2 && d.sees <= worth.fraction());
    Advice { designs, settles }
}

/// Any one order; `None` when it has only A or only B.
fn weigh(order: &Order, scatter: &Scatter, worth: Margin, gain: f64) -> Option<Design> {
    let spots = spots(order, scatter.change);
    let speeds = [4000.0];
    let model = Model::new(&spots, scatter, &speeds);
    let variance = model.expected();
    let weighted = model.weigh(&variance, None)?;
    let nothing = nalgebra::DVector::zeros(spots.len());
    let estimate = model.estimate(&weighted, &nothing, &variance, None);
    let (u, dof) = (estimate.standard, estimate.dof);
    let single = order.pulls().len() == 2;
    Some(Design {
        order: order.clone(),
        half_width: estimate.half_width(LEVEL),
        chance_of_real: if single { 0.0 } else { chance_of_real(gain / u, dof, LEVEL) },
        chance_of_equivalence: chance_of_equivalence(worth.fraction() / u, dof),
        sees: (student::quantile(1.0 - LEVEL / 2.0, dof) + student::quantile(WANTED, dof)) * u,
    })
}

/// Pulls of an order in one session. Anything unbolted stops the engine for more than 20 minutes.
pub(crate) fn spots(order: &Order, change: Change) -> Vec<Spot> {
    let blocks = order.blocks();
    let stops = change != Change::Setting;
    let mut since = 0.0;
    (0..blocks.len())
        .map(|i| {
            since = if i > 0 && !(stops && blocks[i] != blocks[i - 1]) { since + 1.0 } else { 0.0 };
            Spot {
                b: order.pulls()[i],
                dyno: 0,
                session: 0,
                block: blocks[i],
                mode: Mode::Sweep,
                order: i as f64,
                pulls_since_stop: since,
                ln_correction: 0.0,
                oil_celsius: None,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scatter::{DynoKind, Known};
    use nalgebra::DVector;

    /// Half-widths (97 in 100, per cent, printed to a tenth) on a first day without history where
    /// the pulls are seen to repeat to 0.35 %, worked out apart from this program.
    #[test]
    fn first_day_half_widths_are_those_of_the_separate_working() {
        let table = [
            ("AB", [2.3, 2.3, 2.9]),
            ("AAABBB", [1.2, 1.5, 2.7]),
            ("ABBA", [1.4, 1.5, 2.4]),
            ("ABBABAAB", [0.9, 1.0, 1.6]),
        ];
        for (text, row) in table {
            for (change, printed) in
                [Change::Setting, Change::BoltOn, Change::Opened].iter().zip(row)
            {
                let scatter = Scatter::assumed(DynoKind::Engine, *change);
                let order = Order::parse(text).unwrap();
                let spots = spots(&order, *change);
                let model = Model::new(&spots, &scatter, &[4000.0]);
                let nu = model.within_dof();
                let v = (4.0 * 0.5_f64.powi(2) + nu * 0.35_f64.powi(2)) / (4.0 + nu) * 1e-4;
                let w = model.weigh(&[v], None).unwrap();
                let e = model.estimate(&w, &DVector::zeros(spots.len()), &[v], None);
                let half = 100.0 * e.half_width(0.03).0;
                assert!((half - printed).abs() <= 0.06, "{text} {change:?}: {half}, {printed}");
            }
        }
    }

    #[test]
    fn a_margin_below_what_refitting_does_is_said_to_be_out_of_reach() {
        let opened = Scatter::assumed(DynoKind::Engine, Change::Opened);
        assert_eq!(plan_test(&opened, Margin::per_cent(0.3).unwrap(), 0.003, &[]).settles, None);
        let mut known = Scatter::assumed(DynoKind::Engine, Change::Setting);
        known.pull = Known { dof: 12.0, ..Known::assumed_per_cent(0.3) };
        let advice = plan_test(&known, Margin::per_cent(1.0).unwrap(), 0.01, &[]);
        let settles = &advice.designs[advice.settles.unwrap()];
        assert!(settles.chance_of_real > 0.75, "{settles:?}");
        assert!(advice.designs[0].chance_of_real == 0.0);
    }
}
