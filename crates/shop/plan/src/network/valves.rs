//! Effective valve area over crank angle, by cylinder.

use super::assembly::{Assembly, fault};
use super::valve_area::ValveArea;
use super::{lobe, port};
use crate::PlanError;
use shortblock_cycle::ValveFlow;
use shortblock_cylinder::lift::LiftCurve;
use shortblock_engine::Build;
use shortblock_engine::build::Side;
use std::f64::consts::PI;

/// Samples over a cycle: every half degree.
const SAMPLES: usize = 1440;

/// Side of the head.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Which {
    /// The way in.
    Intake,
    /// The way out.
    Exhaust,
}

impl Which {
    /// The word of the engine file.
    pub fn word(self) -> &'static str {
        match self {
            Self::Intake => "intake",
            Self::Exhaust => "exhaust",
        }
    }

    fn side(self, build: &Build) -> &Side {
        match self {
            Self::Intake => &build.intake,
            Self::Exhaust => &build.exhaust,
        }
    }
}

/// The valves of one side of every cylinder; cylinders whose lash or centreline was measured apart
/// get their own.
///
/// # Errors
/// Cam data or a flow sheet that can't be.
pub(super) fn of(
    build: &Build,
    which: Which,
    assembly: &mut Assembly,
) -> Result<Vec<ValveFlow>, PlanError> {
    let side = which.side(build);
    let area = area(side, which)?;
    let (curve, word) = lobe::of(&side.cam, which)?;
    assembly.notes.extend(word);
    let mut done: Vec<((u64, u64), ValveFlow)> = Vec::new();
    let mut out = Vec::with_capacity(build.layout.cylinders);
    for i in 0..build.layout.cylinders {
        let lash = side.cam.lash.of(i) - side.cam.lash.si;
        let turned = side.cam.centreline.of(i) - side.cam.centreline.si;
        let later = if which == Which::Intake { turned } else { -turned };
        let key = (lash.to_bits(), later.to_bits());
        if let Some((_, flow)) = done.iter().find(|(known, _)| *known == key) {
            out.push(flow.clone());
            continue;
        }
        let own = if later == 0.0 { curve.clone() } else { curve.retarded(later) };
        let flow = tabulate(&own, lash, &area);
        if flow.effective_area.iter().all(|a| *a <= 0.0) {
            let what = format!("the {} valves of cylinder {} never open", which.word(), i + 1);
            let path = format!("{}.cam.lift", which.word());
            return Err(fault(&path, what, "check lift, lash and flow sheet"));
        }
        done.push((key, flow.clone()));
        out.push(flow);
    }
    Ok(out)
}

/// Effective area over lift, port taken off.
pub(super) fn area(side: &Side, which: Which) -> Result<ValveArea, PlanError> {
    if port::throat_area(side).is_nan() || port::throat_area(side) <= 0.0 {
        let path = format!("{}.valves.stem", which.word());
        let what = "the stems fill the throats";
        return Err(fault(&path, what, "check stem and throat diameters"));
    }
    ValveArea::new(&side.flow, &port::pieces(side, which, 300.0), which)
}

/// `lash` is what this cylinder has more than the mean, m.
fn tabulate(curve: &LiftCurve, lash: f64, area: &ValveArea) -> ValveFlow {
    let at = |i: usize| {
        let lift = curve.lift(4.0 * PI * i as f64 / SAMPLES as f64);
        if lift > 0.0 { area.at(lift - lash) } else { 0.0 }
    };
    ValveFlow { effective_area: (0..SAMPLES).map(at).collect() }
}
