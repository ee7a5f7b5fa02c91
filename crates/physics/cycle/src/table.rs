//! What one cylinder does at each step of the cycle, per lane: volume, valve areas, whether the
//! gas exchange is on. Lanes keep their own cams and phases, so nothing is looked up by angle
//! while the cycle runs.

use crate::network::{CylinderSpec, Side, ValveFlow};
use shortblock_lanes::Lane;
use std::f64::consts::PI;

/// A cycle is two turns of the crank, rad.
pub(crate) const CYCLE: f64 = 4.0 * PI;

/// One cylinder over the steps of a cycle.
#[derive(Clone, Debug)]
pub(crate) struct CylinderTable<V> {
    /// Volume at the start of each step, m³; one more than there are steps.
    pub volume: Vec<V>,
    /// Volume half way through each step, m³.
    pub volume_half: Vec<V>,
    /// Effective valve areas half way through each step, m²: intake, exhaust.
    pub area: [Vec<V>; 2],
    /// 1 in lanes whose gas exchange is on during the step, else 0.
    pub open: Vec<V>,
    /// Whether any lane's gas exchange is on during the step.
    pub any_open: Vec<bool>,
    /// 1 during the exhaust and intake strokes, else 0.
    pub pumping: Vec<V>,
    /// Closed part of each lane.
    pub closed: Vec<ClosedSpan>,
}

/// The closed part of one lane's cylinder, on the step grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct ClosedSpan {
    /// The last step with gas exchange.
    pub last_open_step: usize,
    /// Where it ends, rad after firing dead centre (negative).
    pub theta_closing: f64,
    /// Where the next exchange begins, rad after firing dead centre.
    pub theta_opening: f64,
}

/// Why a cylinder cannot be tabulated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct NeverClosed;

impl<V: Lane> CylinderTable<V> {
    /// Tabulates cylinder `c` of each lane's network.
    pub fn new(lanes: &[&CylinderSpec], steps: usize) -> Result<Self, NeverClosed> {
        let spans: Vec<ClosedSpan> =
            lanes.iter().map(|spec| closed_span(spec, steps)).collect::<Result<_, _>>()?;
        let angle =
            |lane: usize, k: f64| after_firing(k * CYCLE / steps as f64 - lanes[lane].phase);
        // The points of one design's curve share their cylinder: worked out once for all lanes.
        let same = lanes.iter().all(|spec| std::ptr::eq(*spec, lanes[0]));
        let tabulate = |offset: f64, n: usize, f: &dyn Fn(usize, f64) -> f64| -> Vec<V> {
            let value = |l: usize, k: usize| f(l, angle(l, k as f64 + offset));
            let row = |k| if same { V::splat(value(0, k)) } else { V::from_fn(|l| value(l, k)) };
            (0..n).map(row).collect()
        };
        let is_open = |l: usize, theta: f64| !spans[l].holds(theta);
        let open = tabulate(0.5, steps, &|l, theta| f64::from(is_open(l, theta)));
        let area = |side| {
            tabulate(0.5, steps, &|l, theta| {
                if is_open(l, theta) { lanes[l].valves(side).at(theta) } else { 0.0 }
            })
        };
        let any_open = open.iter().map(|mask| mask.largest() > 0.0).collect();
        Ok(Self {
            volume: tabulate(0.0, steps + 1, &|l, theta| lanes[l].mechanism.volume(theta)),
            volume_half: tabulate(0.5, steps, &|l, theta| lanes[l].mechanism.volume(theta)),
            area: [area(Side::Intake), area(Side::Exhaust)],
            any_open,
            open,
            pumping: tabulate(0.5, steps, &|_, theta| f64::from(theta.abs() > PI)),
            closed: spans,
        })
    }
}

impl ClosedSpan {
    fn holds(&self, theta: f64) -> bool {
        theta > self.theta_closing && theta < self.theta_opening
    }
}

impl CylinderSpec {
    /// The valves of one side.
    pub fn valves(&self, side: Side) -> &ValveFlow {
        match side {
            Side::Intake => &self.intake,
            Side::Exhaust => &self.exhaust,
        }
    }
}

impl ValveFlow {
    /// Effective area in m² at a crank angle in rad after firing dead centre, linear between
    /// the samples.
    pub fn at(&self, theta: f64) -> f64 {
        let n = self.effective_area.len();
        if n == 0 {
            return 0.0;
        }
        let x = theta.rem_euclid(CYCLE) / CYCLE * n as f64;
        let i = (x as usize).min(n - 1);
        let (a, b) = (self.effective_area[i], self.effective_area[(i + 1) % n]);
        a + (b - a) * (x - i as f64)
    }

    /// Mean effective area in m² while the valves are open; 0 when they never are.
    pub fn mean_open_area(&self) -> f64 {
        let open = self.effective_area.iter().filter(|&&a| a > 0.0);
        let count = open.clone().count().max(1);
        open.sum::<f64>() / count as f64
    }
}

/// The same angle between -2 pi and 2 pi.
pub(crate) fn after_firing(angle: f64) -> f64 {
    (angle + 0.5 * CYCLE).rem_euclid(CYCLE) - 0.5 * CYCLE
}

/// The steps around firing dead centre during which all valves are shut.
fn closed_span(spec: &CylinderSpec, steps: usize) -> Result<ClosedSpan, NeverClosed> {
    let step = CYCLE / steps as f64;
    let shut = |k: usize| {
        let theta = (k as f64 + 0.5) * step - spec.phase;
        spec.intake.at(theta) <= 0.0 && spec.exhaust.at(theta) <= 0.0
    };
    let firing = (spec.phase.rem_euclid(CYCLE) / step) as usize % steps;
    let run = |next: &dyn Fn(usize) -> usize| {
        let mut k = firing;
        for _ in 0..steps {
            if !shut(k) {
                return Ok(k);
            }
            k = next(k);
        }
        Err(NeverClosed)
    };
    if !shut(firing) {
        return Err(NeverClosed);
    }
    let last_open_step = run(&|k| (k + steps - 1) % steps)?;
    let first_open_step = run(&|k| (k + 1) % steps)?;
    Ok(ClosedSpan {
        last_open_step,
        theta_closing: after_firing((last_open_step + 1) as f64 * step - spec.phase),
        theta_opening: after_firing(first_open_step as f64 * step - spec.phase),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use shortblock_cylinder::mechanism::SliderCrank;

    fn spec(phase: f64) -> CylinderSpec {
        let area = |from: f64, to: f64| ValveFlow {
            effective_area: (0..720)
                .map(|d| f64::from((d as f64) > from && (d as f64) < to) * 1e-3)
                .collect(),
        };
        CylinderSpec {
            mechanism: SliderCrank::new(0.086, 0.086, 0.143, 0.0, 10.0).unwrap(),
            phase,
            intake: area(350.0, 590.0),
            exhaust: area(130.0, 370.0),
        }
    }

    #[test]
    fn the_closed_part_lies_around_firing_dead_centre() {
        let deg = PI / 180.0;
        for phase in [0.0, 240.0 * deg, 719.9 * deg, 33.3 * deg] {
            let s = spec(phase);
            let t: CylinderTable<f64> = CylinderTable::new(&[&s], 1024).unwrap();
            let span = t.closed[0];
            assert!((span.theta_closing / deg + 130.0).abs() < 1.5, "{span:?}");
            assert!((span.theta_opening / deg - 130.0).abs() < 1.5, "{span:?}");
            let open: f64 = t.open.iter().sum();
            assert!((open / 1024.0 * 720.0 - 460.0).abs() < 2.0);
        }
    }

    #[test]
    fn valves_that_never_close_are_refused() {
        let mut s = spec(0.0);
        s.intake.effective_area = vec![1e-4; 720];
        assert!(CylinderTable::<f64>::new(&[&s], 512).is_err());
    }
}
