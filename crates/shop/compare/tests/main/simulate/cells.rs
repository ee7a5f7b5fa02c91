//! The cells of the table: every family at every order of pulls.

use super::{Cell, Dynos, QUIET, Told, Truth};
use shortblock_compare::Change;

const ORDERS: [&str; 7] = ["AB", "ABA", "ABBA", "AAABBB", "A3B5A2", "A3B3A3", "ABBABAAB"];
/// A on one day, B on the next.
const TWO_DAYS: &str = "A6B5";

/// Everything at the size that is assumed for a part bolted on.
const USUAL: Truth = Truth { refit: 0.3, slope: 0.1, warm_up: 0.3, session: 0.5, ..QUIET };
/// Exactly what the shipped defaults assume: pull scatter 0.5 % in all.
const ASSUMED: Truth = Truth { offset: 0.42, smooth: 0.27, ..USUAL };

/// Every cell. Its name, and so its seed, is its description, its order and what is told.
pub fn cells() -> Vec<Cell> {
    let mut out = Vec::new();
    noise(&mut out);
    for (family, what, truth) in families() {
        add(&mut out, family, what, truth, Told::Right, Change::BoltOn, true);
    }
    looks(&mut out);
    add(&mut out, "Long history", "24 for the pulls", USUAL, Told::Long, Change::BoltOn, true);
    let wild = Truth { outliers: true, ..USUAL };
    let what = "t of 4, one outlier, history without any";
    add(&mut out, "Wild pulls unheard of", what, wild, Told::Tame, Change::BoltOn, false);
    for (what, truth) in [
        ("everything", USUAL),
        ("uneven", Truth { uneven: true, ..USUAL }),
        ("white 0.25 % at 10 Hz", Truth { white: 0.25, rate_hz: 10.0, ..USUAL }),
        ("refit 0.15 %", Truth { refit: 0.15, ..USUAL }),
    ] {
        let told = Told::ThreeSessions;
        add(&mut out, "Three earlier sessions", what, truth, told, Change::BoltOn, true);
    }
    let what = "refit 0.6 %, twice the assumption that three sessions hardly move";
    let truth = Truth { refit: 0.6, ..USUAL };
    let told = Told::ThreeSessions;
    add(&mut out, "Three earlier sessions", what, truth, told, Change::BoltOn, false);
    no_history(&mut out);
    out
}

fn add(
    out: &mut Vec<Cell>,
    family: &'static str,
    what: &str,
    truth: Truth,
    told: Told,
    change: Change,
    judged: bool,
) {
    for order in ORDERS.iter().copied().chain([TWO_DAYS]) {
        let two_days = order == TWO_DAYS;
        // Two dynos have their own days; one pull a side cannot lose one.
        if (two_days && truth.dynos != Dynos::One) || (truth.dropped && order == "AB") {
            continue;
        }
        // On two days the next session's scatter is always there.
        let truth =
            if two_days && truth.session == 0.0 { Truth { session: 0.5, ..truth } } else { truth };
        let name = format!("{family}: {what}, {order}");
        out.push(Cell { family, name, order, change, truth, told, two_days, looks: false, judged });
    }
}

/// Pull scatter over speed.
fn noise(out: &mut Vec<Cell>) {
    for white in [0.05, 0.25, 0.8] {
        for rate_hz in [10.0, 100.0] {
            for (ends, uneven) in [("even", false), ("uneven", true)] {
                let truth = Truth { white, rate_hz, uneven, ..QUIET };
                let what = format!("white {white} % at {rate_hz} Hz, {ends}");
                add(out, "0 Pull scatter", &what, truth, Told::Right, Change::BoltOn, true);
            }
        }
    }
}

fn families() -> Vec<(&'static str, &'static str, Truth)> {
    let q = QUIET;
    let u = USUAL;
    vec![
        ("1 Drift", "0.1 % a pull", Truth { slope: 0.1, ..q }),
        ("1 Drift", "0.2 % a pull", Truth { slope: 0.2, ..q }),
        ("2 Warm-up", "0.5 %", Truth { warm_up: 0.5, ..q }),
        ("2 Warm-up", "1 %", Truth { warm_up: 1.0, ..q }),
        ("3 Bending drift", "0.2 % beside 0.1 % a pull", Truth { bend: 0.2, slope: 0.1, ..q }),
        ("4 Refit", "0.15 %", Truth { refit: 0.15, ..q }),
        ("4 Refit", "0.15 %, over speed", Truth { refit: 0.15, refit_shaped: true, ..q }),
        ("4 Refit", "0.3 %", Truth { refit: 0.3, ..q }),
        ("4 Refit", "0.3 %, over speed", Truth { refit: 0.3, refit_shaped: true, ..q }),
        ("4 Refit", "0.6 %", Truth { refit: 0.6, ..q }),
        ("4 Refit", "0.6 %, over speed", Truth { refit: 0.6, refit_shaped: true, ..q }),
        ("5 Next session", "0.25 %", Truth { session: 0.25, ..q }),
        ("5 Next session", "1 %", Truth { session: 1.0, ..q }),
        ("6 Louder days", "0.3", Truth { session_spread: 0.3, ..u }),
        ("6 Louder days", "0.5", Truth { session_spread: 0.5, ..u }),
        ("7 Wild pulls", "t of 4, one outlier", Truth { outliers: true, ..u }),
        ("9 Lost pull", "one by chance", Truth { dropped: true, ..u }),
        ("10 Two dynos", "all on both", Truth { dynos: Dynos::Both, dyno: 2.0, ..u }),
        ("10 Two dynos", "A here, B there", Truth { dynos: Dynos::Apart, dyno: 2.0, ..u }),
        ("11 Steps and sweeps", "each pull both ways", Truth { steps: true, ..u }),
        ("12 Correction", "exponent off 0.15, air 1 %", Truth { air: 1.0, exponent: 0.15, ..u }),
        ("12 Correction", "exponent off 0.15, air 3 %", Truth { air: 3.0, exponent: 0.15, ..u }),
        ("All together", "usual sizes", u),
        ("All together", "usual sizes, uneven", Truth { uneven: true, ..u }),
    ]
}

fn looks(out: &mut Vec<Cell>) {
    for order in ["ABBA", "AAABBB", "A3B5A2", "A3B3A3", "ABBABAAB"] {
        out.push(Cell {
            family: "8 Looks and extension",
            name: format!("8 Looks and extension: stops at the first real, {order}"),
            order,
            change: Change::BoltOn,
            truth: USUAL,
            told: Told::Right,
            two_days: false,
            looks: true,
            judged: true,
        });
    }
}

/// The shipped assumptions, and truths half and twice as large.
fn no_history(out: &mut Vec<Cell>) {
    for factor in [0.5, 1.0, 2.0] {
        let t = ASSUMED;
        let truth = Truth {
            offset: factor * t.offset,
            smooth: factor * t.smooth,
            white: factor * t.white,
            refit: factor * t.refit,
            slope: factor * t.slope,
            warm_up: factor * t.warm_up,
            session: factor * t.session,
            ..t
        };
        let what = format!("truth {factor} x the assumption");
        let judged = factor < 1.5;
        add(out, "No history", &what, truth, Told::Assumed, Change::BoltOn, judged);
    }
    let refit = Truth { refit: 0.6, ..ASSUMED };
    add(out, "No history", "refit alone 2 x", refit, Told::Assumed, Change::BoltOn, false);
    let exponent = Truth { air: 3.0, exponent: 0.3, ..ASSUMED };
    let what = "air 3 %, exponent off 2 x";
    add(out, "No history", what, exponent, Told::Assumed, Change::BoltOn, false);
    let rough = Truth { white: 0.8, rate_hz: 10.0, ..ASSUMED };
    let what = "white 0.8 % at 10 Hz beside it";
    add(out, "No history", what, rough, Told::Assumed, Change::BoltOn, false);
    for (what, change, refit) in
        [("setting", Change::Setting, 0.1), ("opened", Change::Opened, 0.6)]
    {
        let truth = Truth { refit, ..ASSUMED };
        add(out, "No history", what, truth, Told::Assumed, change, true);
    }
}
