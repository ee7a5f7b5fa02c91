//! What the comparison is told of the scatter.

use super::day::{STEADY, pulled, unevenness};
use super::noise::{Deviates, White};
use super::{Cell, SPEEDS, Told, Truth, plan};
use shortblock_compare::*;

/// Order of the earlier sessions that a history is made of.
const EARLIER: &str = "A3B3A3";

/// Scatter as known before a session.
pub fn scatter(cell: &Cell, white: &White, resels: f64, d: &mut Deviates) -> Scatter {
    match cell.told {
        Told::Assumed => Scatter::assumed(DynoKind::Engine, cell.change),
        Told::Right | Told::Tame => right(cell, white, resels, 12, d),
        Told::Long => right(cell, white, resels, 24, d),
        Told::ThreeSessions => three_sessions(cell, white, d),
    }
}

fn known(d: &mut Deviates, sd_per_cent: f64, dof: usize) -> Known {
    let mut known = Known::assumed_per_cent(sd_per_cent);
    let luck = d.chi2_over_dof(dof);
    known.variance = Profile::flat(known.variance.at(0.0) * luck);
    Known { dof: dof as f64, origin: Origin::History { sessions: 3 }, ..known }
}

fn right(cell: &Cell, white: &White, resels: f64, dof: usize, d: &mut Deviates) -> Scatter {
    let mut scatter = Scatter::assumed(DynoKind::Engine, cell.change);
    let t = &cell.truth;
    let luck = d.chi2_over_dof(dof);
    let variance = pull_variance(t, white) * wild_share(cell) * luck;
    let band = |b: usize| variance * unevenness(t, (5 * b + 2).min(SPEEDS - 1)).powi(2);
    let variance = Profile::bands(3000.0, (0..17).map(band).collect()).unwrap();
    scatter.pull = Known { variance, dof: dof as f64, origin: Origin::History { sessions: 3 } };
    scatter.refit = known(d, t.refit, 8);
    scatter.slope = known(d, t.slope, 8);
    scatter.warm_up = known(d, t.warm_up, 8);
    scatter.session = known(d, t.session, 8);
    scatter.dyno = known(d, t.dyno, 8);
    scatter.resels_per_1000_rpm = Some(resels);
    if t.steps {
        let luck = d.chi2_over_dof(dof) / luck * STEADY * STEADY;
        let quieter = scatter.pull.variance.variances().iter().map(|v| v * luck).collect();
        let variance = Profile::bands(3000.0, quieter).unwrap();
        scatter.steady = Known { variance, ..scatter.pull.clone() };
    }
    scatter
}

/// How much the wild pull of a session adds to the mean pull variance: one of n three times as far.
fn wild_share(cell: &Cell) -> f64 {
    let pulls = Order::parse(cell.order).unwrap().pulls().len() as f64;
    if cell.truth.outliers && cell.told != Told::Tame { (pulls + 8.0) / pulls } else { 1.0 }
}

/// Pull variance in the middle of the range, fraction squared.
fn pull_variance(t: &Truth, white: &White) -> f64 {
    (t.offset.powi(2) + t.smooth.powi(2) + t.white.powi(2) * white.variance()) / 1.0e4
}

/// The history that three earlier sessions without a difference leave behind, kept by the
/// program's own rules.
fn three_sessions(cell: &Cell, white: &White, d: &mut Deviates) -> Scatter {
    let mode = Mode::Sweep;
    let dyno = "cell".to_string();
    let key = HistoryKey { dyno, mode, sweep_rate_rpm_s: 300, torque_from_nm: 500 };
    let mut history = History::new(key);
    let order = Order::parse(EARLIER).unwrap();
    let alike = Truth { effect: 0.0, bump: 0.0, ..cell.truth };
    let earlier = Cell { truth: alike, two_days: false, looks: false, ..cell.clone() };
    let assumed = Scatter::assumed(DynoKind::Engine, cell.change);
    for _ in 0..3 {
        let set = pulled(&earlier, &order, white, d);
        let seen = compare(&set, &assumed, &plan(set.pulls.len())).unwrap();
        history.sessions.extend(seen.for_history.into_iter().map(|(_, scatter)| scatter));
        history.spreads.extend(seen.refit_spread);
    }
    history.scatter(DynoKind::Engine, cell.change)
}
