//! Made-up sessions with a known truth, for the operating characteristics.
//!
//! Every session's draws come from a generator seeded with a hash of its cell's name and its number,
//! so a cell gives the same sessions wherever it runs, and the same noise whatever the difference.

mod cells;
pub mod day;
pub mod noise;
mod told;

pub use cells::cells;
use day::{pulled, resels_per_1000_rpm, true_effect};
use noise::{Deviates, White};
use shortblock_compare::*;

/// Where the scatter used by the comparison comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Told {
    /// From a history that has seen the truth: 12, 8 and 8 degrees of freedom, itself with luck.
    Right,
    /// The same with 24 degrees of freedom for the pulls.
    Long,
    /// The same from days without the wild pulls of this one.
    Tame,
    /// From three earlier sessions, gathered and kept by the program's own rules.
    ThreeSessions,
    /// From the shipped assumptions.
    Assumed,
}

/// Where A and B are run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Dynos {
    /// Both on one.
    One,
    /// The whole order on each of two.
    Both,
    /// A on one, B on the other.
    Apart,
}

/// What the made-up engine and dyno do. Standard deviations in per cent.
#[derive(Debug, Clone, Copy)]
pub struct Truth {
    pub offset: f64,
    pub smooth: f64,
    /// Of each sample, before the fit to the grid.
    pub white: f64,
    pub rate_hz: f64,
    pub uneven: bool,
    pub refit: f64,
    pub refit_shaped: bool,
    pub slope: f64,
    pub bend: f64,
    pub warm_up: f64,
    pub session: f64,
    pub session_spread: f64,
    pub outliers: bool,
    pub dropped: bool,
    pub dynos: Dynos,
    pub dyno: f64,
    /// Each pull once as a sweep and once in steps.
    pub steps: bool,
    /// Change of the correction factor through the session, %, and what its exponent is off by
    /// (standard deviation, of 1).
    pub air: f64,
    pub exponent: f64,
    /// True difference, %; and a bump at 6300 rpm, %.
    pub effect: f64,
    pub bump: f64,
}

/// Offset 0.30, smooth 0.20 (300 rpm), white 0.05 % at 100 Hz; nothing else.
pub const QUIET: Truth = Truth {
    offset: 0.30,
    smooth: 0.20,
    white: 0.05,
    rate_hz: 100.0,
    uneven: false,
    refit: 0.0,
    refit_shaped: false,
    slope: 0.0,
    bend: 0.0,
    warm_up: 0.0,
    session: 0.0,
    session_spread: 0.0,
    outliers: false,
    dropped: false,
    dynos: Dynos::One,
    dyno: 0.0,
    steps: false,
    air: 0.0,
    exponent: 0.0,
    effect: 0.0,
    bump: 0.0,
};

/// One cell of the table.
#[derive(Debug, Clone)]
pub struct Cell {
    /// What it belongs to in the table.
    pub family: &'static str,
    pub name: String,
    pub order: &'static str,
    pub change: Change,
    pub truth: Truth,
    pub told: Told,
    /// A on one day, B on another.
    pub two_days: bool,
    /// Looked at after every pull from the third on, and extended once by ABBA.
    pub looks: bool,
    /// What is told is right, or from what was seen: the limits hold. Else it is only printed.
    pub judged: bool,
}

/// What came of a cell.
#[derive(Debug, Clone, Copy, Default)]
pub struct Tally {
    pub real: usize,
    pub covered: usize,
    pub band_covered: usize,
    pub equivalent: usize,
    /// Averages with p under 0.05.
    pub under_5: usize,
    pub delta_sum: f64,
    pub half_sum: f64,
}

const SPEEDS: usize = 81;

fn rpm(g: usize) -> f64 {
    3000.0 + 50.0 * g as f64
}

fn plan(pulls: usize) -> Plan {
    Plan {
        a: "a".to_string(),
        b: "b".to_string(),
        from_rpm: 3000.0,
        to_rpm: 7000.0,
        planned_pulls: pulls,
        extended: false,
        margin: Margin::per_cent(0.5).unwrap(),
    }
}

/// Noise of a cell, ready to be drawn.
pub struct Bench {
    white: White,
    resels_per_1000_rpm: f64,
}

impl Bench {
    pub fn of(cell: &Cell) -> Self {
        let white = White::sampled_at(cell.truth.rate_hz);
        let d = &mut Deviates::named(&cell.name, 0);
        let resels_per_1000_rpm = resels_per_1000_rpm(&cell.truth, &white, d);
        Self { white, resels_per_1000_rpm }
    }
}

/// Runs a cell.
pub fn run(cell: &Cell, bench: &Bench, sessions: usize) -> Tally {
    let (white, resels) = (&bench.white, bench.resels_per_1000_rpm);
    let order = Order::parse(cell.order).unwrap();
    let mut tally = Tally::default();
    for number in 1..=sessions {
        // The noise of a session is the same whatever the history needed to draw.
        let scatter =
            told::scatter(cell, white, resels, &mut Deviates::named(&cell.name, number << 32));
        let d = &mut Deviates::named(&cell.name, number);
        let (o, real) = if cell.looks {
            looked_at(cell, &scatter, white, d)
        } else {
            let set = pulled(cell, &order, white, d);
            let o = answer(&set, &scatter, &plan(set.pulls.len())).unwrap();
            let real = o.verdict.is_real();
            (o, real)
        };
        count(&mut tally, cell, &o, real);
    }
    tally
}

/// Looks after every pull, stops at the first "real", and extends once by ABBA.
fn looked_at(cell: &Cell, scatter: &Scatter, white: &White, d: &mut Deviates) -> (Outcome, bool) {
    let planned = Order::parse(cell.order).unwrap().pulls().len();
    let longer = Order::parse(&format!("{}ABBA", cell.order)).unwrap();
    let whole = pulled(cell, &longer, white, d);
    let first = |n: usize| PullSet { pulls: whole.pulls[..n].to_vec(), ..whole.clone() };
    for n in 3..planned {
        if let Ok(o) = answer(&first(n), scatter, &plan(planned))
            && o.verdict.is_real()
        {
            return (o, true);
        }
    }
    let o = answer(&first(planned), scatter, &plan(planned)).unwrap();
    if o.verdict != Verdict::CantTell {
        let real = o.verdict.is_real();
        return (o, real);
    }
    let extended = Plan { extended: true, ..plan(whole.pulls.len()) };
    let o = answer(&whole, scatter, &extended).unwrap();
    let real = o.verdict.is_real();
    (o, real)
}

fn count(tally: &mut Tally, cell: &Cell, o: &Outcome, real: bool) {
    let truth = (0..SPEEDS).map(|g| true_effect(&cell.truth, g)).sum::<f64>() / SPEEDS as f64;
    tally.real += usize::from(real);
    tally.under_5 += usize::from(o.average.p_value() < 0.05);
    tally.covered += usize::from(o.interval.low <= truth && truth <= o.interval.high);
    let inside =
        |g: usize| (o.band.delta[g] - true_effect(&cell.truth, g)).abs() <= o.band.half_width[g];
    tally.band_covered += usize::from((0..SPEEDS).all(inside));
    tally.equivalent += usize::from(matches!(o.verdict, Verdict::NoDifferenceWorthHaving { .. }));
    tally.delta_sum += o.average.delta - truth;
    tally.half_sum += 0.5 * (o.interval.high - o.interval.low);
}
