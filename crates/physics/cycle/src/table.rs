//! What one cylinder does at each step of one point's cycle: volume, valve areas, whether the gas
//! exchange is on. Lanes keep their own cams, phases and steps, so nothing is looked up by angle
//! while the cycle runs.

use crate::network::{CylinderSpec, Side, ValveFlow};
use std::f64::consts::PI;

/// A cycle is two turns of the crank, rad.
pub(crate) const CYCLE: f64 = 4.0 * PI;

/// One step of one cylinder.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Row {
    /// Volume at the start of the step, m³.
    pub volume: f64,
    /// Volume half way through the step, m³.
    pub volume_half: f64,
    /// Effective valve areas half way through the step, m²: intake, exhaust.
    pub area: [f64; 2],
    /// 1 while the gas exchange is on, else 0.
    pub open: f64,
    /// 1 during the exhaust and intake strokes, else 0.
    pub pumping: f64,
}

/// One cylinder over the steps of a cycle.
#[derive(Clone, Debug)]
pub(crate) struct CylinderTable {
    /// One row a step, and the first one again.
    pub rows: Vec<Row>,
    /// Its closed part.
    pub closed: ClosedSpan,
}

/// The closed part of one cylinder, on the step grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct ClosedSpan {
    /// The last step with gas exchange.
    pub last_open_step: usize,
    /// Steps without it.
    pub steps: usize,
    /// Where it ends, rad after firing dead centre (negative).
    pub theta_closing: f64,
    /// Where the next exchange begins, rad after firing dead centre.
    pub theta_opening: f64,
}

/// Why a cylinder cannot be tabulated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct NeverClosed;

/// Sine and cosine of the engine's angle at the start of each step and half way through it.
pub(crate) struct Turns(Vec<(f64, f64)>);

impl Turns {
    pub fn new(steps: usize) -> Self {
        let half = 0.5 * CYCLE / steps as f64;
        Self((0..2 * steps).map(|k| (k as f64 * half).sin_cos()).collect())
    }

    fn steps(&self) -> usize {
        self.0.len() / 2
    }
}

impl CylinderTable {
    /// Tabulates a cylinder over the steps of `turns`.
    pub fn new(spec: &CylinderSpec, turns: &Turns) -> Result<Self, NeverClosed> {
        let steps = turns.steps();
        let closed = closed_span(spec, steps)?;
        let (sin_phase, cos_phase) = spec.phase.sin_cos();
        let volume = |(sin, cos): (f64, f64)| {
            let (s, c) = (sin * cos_phase - cos * sin_phase, cos * cos_phase + sin * sin_phase);
            spec.mechanism.volume_at(s, c)
        };
        let mut rows: Vec<Row> = (0..steps)
            .map(|k| {
                let theta = after_firing((k as f64 + 0.5) * CYCLE / steps as f64 - spec.phase);
                let open = !closed.holds(theta);
                let area = |valves: &ValveFlow| if open { valves.at(theta) } else { 0.0 };
                Row {
                    volume: volume(turns.0[2 * k]),
                    volume_half: volume(turns.0[2 * k + 1]),
                    area: [area(&spec.intake), area(&spec.exhaust)],
                    open: f64::from(open),
                    pumping: f64::from(theta.abs() > PI),
                }
            })
            .collect();
        rows.push(rows[0]);
        Ok(Self { rows, closed })
    }
}

impl CylinderTable {
    /// Whether the cycle begins in the closed part.
    pub fn begins_closed(&self) -> bool {
        self.rows[0].open <= 0.0
    }

    /// Whether the cycle begins in the second half of the gas exchange, with the closing ahead.
    pub fn begins_filling(&self) -> bool {
        let open_steps = self.rows.len() - 1 - self.closed.steps;
        !self.begins_closed() && 2 * self.closed.last_open_step < open_steps
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
        let x = within_cycle(theta) / CYCLE * n as f64;
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
    within_cycle(angle + 0.5 * CYCLE) - 0.5 * CYCLE
}

/// The same angle between 0 and 4 pi; the remainder is a slow instruction.
fn within_cycle(angle: f64) -> f64 {
    if (0.0..CYCLE).contains(&angle) {
        angle
    } else if (-CYCLE..0.0).contains(&angle) {
        angle + CYCLE
    } else {
        angle.rem_euclid(CYCLE)
    }
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
        steps: (first_open_step + steps - last_open_step - 1) % steps,
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
            let t = CylinderTable::new(&s, &Turns::new(1024)).unwrap();
            let span = t.closed;
            assert!((span.theta_closing / deg + 130.0).abs() < 1.5, "{span:?}");
            assert!((span.theta_opening / deg - 130.0).abs() < 1.5, "{span:?}");
            let open: f64 = t.rows[..1024].iter().map(|row| row.open).sum();
            assert!((open / 1024.0 * 720.0 - 460.0).abs() < 2.0);
        }
    }

    #[test]
    fn volumes_are_those_of_the_mechanism() {
        let s = spec(1.234);
        let t = CylinderTable::new(&s, &Turns::new(400)).unwrap();
        for (k, row) in t.rows.iter().enumerate() {
            let theta = k as f64 * CYCLE / 400.0 - s.phase;
            assert!((row.volume / s.mechanism.volume(theta) - 1.0).abs() < 1e-13, "{k}");
        }
    }

    #[test]
    fn valves_that_never_close_are_refused() {
        let mut s = spec(0.0);
        s.intake.effective_area = vec![1e-4; 720];
        assert!(CylinderTable::new(&s, &Turns::new(512)).is_err());
    }
}
