//! The valves of a cylinder in the network, each on its own at nearly steady states.

use crate::single::{Stubs, held_open, single};
use shortblock_cycle::*;
use shortblock_cylinder::closed::SparkDemand;
use shortblock_cylinder::mechanism::SliderCrank;
use shortblock_gas::DuctGas;
use std::f64::consts::PI;

const DEG: f64 = PI / 180.0;
/// Engine speed (rad/s) and effective area of either side (m²): from small drops to
/// choking.
const CASES: [(f64, f64); 3] = [(20.0, 15e-4), (30.0, 8e-4), (40.0, 4e-4)];

/// Isentropic flow per area from `p0`, `t0` to `p`, kg/(s m²) (Heywood 1988 eq. C.8 and C.9, from
/// memory); choked below the critical ratio.
fn nozzle(p0: f64, t0: f64, p: f64, gas: &DuctGas) -> f64 {
    let (g, r) = (gas.gamma(t0), gas.r);
    let x = (p / p0).max((2.0 / (g + 1.0)).powf(g / (g - 1.0)));
    let head = 2.0 * g / (g - 1.0) * (x.powf(2.0 / g) - x.powf((g + 1.0) / g));
    p0 / (r * t0).sqrt() * head.sqrt()
}

/// Total pressure and temperature of a moving gas.
fn stagnation(p: f64, t: f64, u: f64, gas: &DuctGas) -> (f64, f64) {
    let g = gas.gamma(t);
    let head = 1.0 + 0.5 * (g - 1.0) * u * u / (g * gas.r * t);
    (p * head.powf(g / (g - 1.0)), t * head)
}

/// A cylinder of 21 litres that turns so slowly and breathes so hard that its pressure wanders
/// through all ratios, up and down, while its short stubs follow at once.
fn slow(speed: f64, area: f64) -> (Network, Demand) {
    let network = single(Stubs {
        mechanism: SliderCrank::new(0.30, 0.30, 0.60, 0.0, 8.0).unwrap(),
        length: STUB.0,
        area: [5e-3; 2],
        // Both shut late: the intake blows back in compression, the exhaust is drawn through in
        // the intake stroke.
        intake: held_open(350.0, 690.0, 4.0, area),
        exhaust: held_open(130.0, 500.0, 4.0, area),
    });
    let demand = Demand::of(speed, 1.0, SparkDemand::Fixed(-10.0 * DEG));
    (network, demand)
}

struct Rows {
    network: Network,
    area: f64,
    /// Steps that a wave takes through a stub.
    passage: f64,
    trace: Trace,
}

impl Rows {
    fn new((speed, area): (f64, f64)) -> Rows {
        let (network, demand) = slow(speed, area);
        let mesh = Mesh::of(&network, CellLength::COARSE);
        let job = Job { network: &network, mesh: &mesh, demand: &demand };
        let stations = [
            Station::Cylinder(0),
            Station::Valve(0, Side::Intake),
            Station::Valve(0, Side::Exhaust),
            Station::Duct(0, 1.0),
            Station::Duct(1, 0.0),
        ];
        let trace = trace(&job, &stations, &Settings::usual(), &Unwatched).unwrap();
        let step = (trace.angle[1] - trace.angle[0]) / speed;
        Rows { network, area, passage: STUB.0 / STUB.1 / step, trace }
    }

    fn at(&self, column: usize, row: usize) -> f64 {
        self.trace.columns[column].values[row]
    }
}

/// The gases that pass the valves here.
struct Gases {
    air: DuctGas,
    burned: DuctGas,
}

impl Gases {
    fn mix(&self, y: f64) -> DuctGas {
        DuctGas::mix(&[(1.0 - y, &self.air), (y, &self.burned)])
    }
}

/// Greatest deviation from the isentropic flow in each bin, and how many steps were in it.
type Found = [(f64, usize); BINS.len() - 1];

/// Pressure ratio over a valve, from small drops to choked flow.
const BINS: [f64; 7] = [0.98, 0.95, 0.85, 0.70, 0.56, 0.50, 0.0];
/// A state is nearly steady when the drop over the valve changes by less than this while a wave goes
/// through a stub, or is beyond choking.
const STEADY: f64 = 1.5e-2;
/// Length of the stubs, m, and sound speed of air in them, m/s.
const STUB: (f64, f64) = (0.1, 340.0);

/// Adds what one side passes one way. Columns: first of the valve's, first of the duct's.
fn compare(rows: &Rows, gases: &Gases, [valve, duct]: [usize; 2], inward: bool, to: &mut Found) {
    let ambient = rows.network.ambient_temperature;
    let mut drop_before = 0.0;
    for k in 0..rows.trace.angle.len() {
        let (p, t, y) = (rows.at(0, k), rows.at(1, k), rows.at(3, k));
        let (flow, area) = (rows.at(valve, k), rows.at(valve + 1, k));
        let [pd, u, td] = [0, 1, 2].map(|i| rows.at(duct + i, k));
        let change = ((p - pd) / drop_before - 1.0f64).abs() * rows.passage;
        drop_before = p - pd;
        // What was blown out and is drawn back is not followed: only air of the room's temperature.
        let known = !inward || (td / ambient - 1.0).abs() < 1e-3;
        if area < rows.area || (flow > 0.0) != inward || !known {
            continue;
        }
        let gas = if inward { &gases.air } else { &gases.mix(y) };
        let (p0, t0) = if inward { stagnation(pd, td, u, gas) } else { (p, t) };
        let back = if inward { p } else { pd };
        if change > STEADY && back / p0 > 0.5 {
            continue;
        }
        let deviation = (flow.abs() / (area * nozzle(p0, t0, back, gas)) - 1.0).abs();
        let bin = BINS.iter().filter(|&&edge| back / p0 < edge).count();
        if let Some(bin) = bin.checked_sub(1) {
            to[bin] = (to[bin].0.max(deviation), to[bin].1 + 1);
        }
    }
}

/// Flow over the isentropic flow of the valves' effective area, into and out of the cylinder, on
/// both sides, from small drops to far beyond choking. Bound: 0.2 %, what a modelled port may miss
/// its flow sheet by (own requirement), of which the ellipse's own error is 0.07.
#[test]
fn each_valve_passes_the_isentropic_flow_of_its_area_both_ways() {
    let all = CASES.map(Rows::new);
    let gases = Gases {
        air: DuctGas::air(&all[0].network.air),
        burned: DuctGas::burned(&all[0].network.fuel, 1.0, &all[0].network.air).unwrap(),
    };
    for (side, columns) in [("intake", [4, 8]), ("exhaust", [6, 11])] {
        for inward in [true, false] {
            let mut found = Found::default();
            all.iter().for_each(|rows| compare(rows, &gases, columns, inward, &mut found));
            for (bin, (deviation, steps)) in found.into_iter().enumerate() {
                assert!(steps > 0, "{side} {inward} below {}: {steps} steps", BINS[bin]);
                assert!(deviation < 2e-3, "{side} {inward} below {}: {deviation}", BINS[bin]);
            }
        }
    }
}
