//! Question: how far do the steps of the closed part move its results, and how fast does it burn?
//!
//! Prints the error against steps of 0.05 degrees, and the shape of the heat release at best
//! torque, for a four-valve and an old two-valve cylinder over engine speed.

#[path = "../tests/main/bench.rs"]
#[allow(dead_code)]
mod bench;

use bench::Bench;
use shortblock_cylinder::CylinderError;
use shortblock_cylinder::closed::{ClosedCase, ClosedResult, SparkDemand, solve};

fn main() -> Result<(), CylinderError> {
    println!("          rpm   dwork/1e-6  dspark/deg  dknock/%  d50/deg  dpeak/%");
    let benches = [("4 valves", Bench::four_valve(10.5)), ("2 valves", Bench::two_valve())];
    for (name, bench) in &benches {
        for rpm in [1500.0, 3000.0, 5000.0, 7500.0] {
            let case = bench.full_load(rpm, 1.1e5);
            let fine = ClosedCase { step_deg: 0.05, ..case.clone() };
            let best = solve(&case, SparkDemand::BestTorque)?;
            let best_fine = solve(&fine, SparkDemand::BestTorque)?;
            let fixed = SparkDemand::Fixed(best.spark);
            let (r, exact) = (solve(&case, fixed)?, solve(&fine, fixed)?);
            let of = |f: fn(&ClosedResult) -> f64| f(&r) / f(&exact) - 1.0;
            let at_50 = |r: &ClosedResult| r.burn.map_or(f64::NAN, |b| b.angle_50.to_degrees());
            println!(
                "{name} {rpm:6.0} {:11.1} {:11.3} {:9.3} {:8.3} {:8.3}",
                1e6 * of(|r| r.work),
                (best.spark - best_fine.spark).to_degrees(),
                100.0 * of(|r| r.knock_integral.unwrap_or(f64::NAN)),
                at_50(&r) - at_50(&exact),
                100.0 * of(|r| r.peak_pressure),
            );
        }
    }
    println!("          rpm   spark   0-10  10-50  50-90  90-99      50 at, degrees");
    for (name, bench) in &benches {
        for rpm in [1500.0, 3000.0, 5000.0, 7500.0] {
            shape(name, rpm, &bench.full_load(rpm, 1.1e5))?;
        }
    }
    Ok(())
}

/// Prints how long the parts of the burn take at best torque.
fn shape(name: &str, rpm: f64, case: &ClosedCase) -> Result<(), CylinderError> {
    let case = ClosedCase { trace: true, ..case.clone() };
    let r = solve(&case, SparkDemand::BestTorque)?;
    let at = |share: f64| {
        let pair = r.trace.windows(2).find(|w| w[0].burned < share && w[1].burned >= share);
        pair.map_or(f64::NAN, |w| {
            let part = (share - w[0].burned) / (w[1].burned - w[0].burned);
            (w[0].angle + part * (w[1].angle - w[0].angle)).to_degrees()
        })
    };
    let [a, b, c, d] = [0.1, 0.5, 0.9, 0.99].map(at);
    let spark = r.spark.to_degrees();
    println!(
        "{name} {rpm:6.0} {spark:7.1} {:6.1} {:6.1} {:6.1} {:6.1} {b:10.1}",
        a - spark,
        b - a,
        c - b,
        d - c
    );
    Ok(())
}
