//! Operating characteristics of the comparison by simulation, as a Markdown table:
//! `cargo run --release -p shortblock-compare --example operating_characteristics [SESSIONS]`.
//!
//! 10,000 sessions a cell unless said otherwise. A cell fails above the 99.9 % point of a binomial
//! at 5 % (569 of 10,000); cells where the truth is twice what is assumed are printed, not judged.

#[path = "../tests/main/simulate.rs"]
mod simulate;

use shortblock_compare::Change;
use simulate::{Cell, QUIET, Tally, Told, Truth, run};

const ORDERS: [&str; 7] = ["AB", "ABA", "ABBA", "AAABBB", "A3B5A2", "A3B3A3", "ABBABAAB"];

fn main() {
    let sessions = std::env::args().nth(1).and_then(|n| n.parse().ok()).unwrap_or(10_000);
    println!(
        "| Cell | False real % | Coverage % | Curve covered % | Mean error % | Half-width % | Real at 0.5 / 1 / 2 % | Bump 1.5 % | Shown equal | |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|");
    for cell in cells() {
        println!("{}", row(&cell, sessions));
    }
}

fn row(cell: &Cell, sessions: usize) -> String {
    let none = run(cell, sessions);
    let n = sessions as f64;
    let rate = |count: usize| 100.0 * count as f64 / n;
    let with = |effect: f64, bump: f64| {
        let truth = Truth { effect, bump, ..cell.truth };
        let few = sessions.div_ceil(5);
        let t: Tally = run(&Cell { truth, ..cell.clone() }, few);
        100.0 * t.real as f64 / few as f64
    };
    let limit = n * 0.05 + 3.09 * (n * 0.05 * 0.95).sqrt() + 1.0;
    let judged = !cell.name.contains("2 x");
    let mark = match (judged, none.real as f64 <= limit) {
        (false, _) => "not judged",
        (true, true) => "holds",
        (true, false) => "FAILS",
    };
    format!(
        "| {} | {:.1} | {:.1} | {:.1} | {:+.3} | {:.2} | {:.0} / {:.0} / {:.0} | {:.0} | {:.0} | {mark} |",
        cell.name,
        rate(none.real),
        rate(none.covered),
        rate(none.band_covered),
        100.0 * none.delta_sum / n,
        100.0 * none.half_sum / n,
        with(0.5, 0.0),
        with(1.0, 0.0),
        with(2.0, 0.0),
        with(0.0, 1.5),
        rate(none.equivalent),
    )
}

fn cells() -> Vec<Cell> {
    let usual = Truth { refit: 0.3, slope: 0.1, warm_up: 0.3, session: 0.5, ..QUIET };
    let families = [
        ("pull scatter only", QUIET),
        ("white 0.25 %", Truth { white: 0.25, ..QUIET }),
        ("white 0.8 %", Truth { white: 0.8, ..QUIET }),
        ("slope 0.2 %", Truth { slope: 0.2, ..QUIET }),
        ("warm-up 1 %", Truth { warm_up: 1.0, ..QUIET }),
        ("bending drift 0.2 %", Truth { bend: 0.2, slope: 0.1, ..QUIET }),
        ("refit 0.15 %", Truth { refit: 0.15, ..QUIET }),
        ("refit 0.3 %", Truth { refit: 0.3, ..QUIET }),
        ("refit 0.6 %", Truth { refit: 0.6, ..QUIET }),
        ("refit 0.3 % over rpm", Truth { refit: 0.3, refit_shaped: true, ..QUIET }),
        ("uneven", Truth { uneven: true, ..usual }),
        ("session scatter 0.5", Truth { session_spread: 0.5, ..usual }),
        ("t4, one outlier", Truth { outliers: true, ..usual }),
        ("second pull dropped", Truth { dropped: true, ..usual }),
    ];
    let cell = |name: String, order, truth, told| Cell {
        name,
        order,
        change: Change::BoltOn,
        truth,
        told,
        two_days: false,
        looks: false,
    };
    let mut out = Vec::new();
    for (name, truth) in families {
        for order in ["AAABBB", "A3B3A3", "ABBABAAB"] {
            out.push(cell(format!("{name}, {order}"), order, truth, Told::Right));
        }
    }
    for order in ORDERS {
        out.push(cell(format!("usual, {order}"), order, usual, Told::Right));
        for factor in [0.5, 1.0, 2.0] {
            let f = |sd: f64| factor * sd;
            let truth = Truth {
                offset: f(0.42),
                smooth: f(0.27),
                white: f(0.05),
                refit: f(0.3),
                slope: f(0.1),
                warm_up: f(0.3),
                ..QUIET
            };
            out.push(cell(
                format!("assumed, truth {factor} x, {order}"),
                order,
                truth,
                Told::Assumed,
            ));
        }
        let refit =
            Truth { offset: 0.42, smooth: 0.27, refit: 0.6, slope: 0.1, warm_up: 0.3, ..QUIET };
        out.push(cell(format!("assumed, refit 2 x, {order}"), order, refit, Told::Assumed));
    }
    out.push(Cell { two_days: true, ..cell("two days".into(), "A6B5", usual, Told::Right) });
    out.push(Cell {
        looks: true,
        ..cell("looks, extension".into(), "ABBABAAB", usual, Told::Right)
    });
    out
}
