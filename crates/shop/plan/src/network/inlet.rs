//! What the air passes before the runners: cleaner, duct, box, restrictor, throttle or carburettor,
//! plenum.

use super::assembly::{Assembly, circle, fault, open, opening_with, piece, radius};
use super::fuel::VAPOUR_UPSTREAM;
use super::rated::air_area;
use super::valve_area::rated_area;
use crate::PlanError;
use shortblock_cycle::{End, Node};
use shortblock_engine::Build;
use shortblock_engine::build::{Carburettor, Plenum};
use shortblock_flow::UNFLANGED_END;

/// Effective over narrowest area of a carburettor's venturi: its diffuser about makes up for
/// boosters and plate, as ratings of common four-barrels show (common practice, no source).
const VENTURI: f64 = 1.0;
/// Discharge coefficient of the opening between two halves of a plenum (sharp edged, from memory).
const BRIDGE: f64 = 0.7;
/// Depth of the space where a duct or restrictor ends before the throttle, m; own.
const SPACE: f64 = 0.08;
/// Entry loss of the duct's mouth, heads; own.
const DUCT_ENTRY: f64 = 0.1;

/// Where the runners start.
pub(super) struct Feeds {
    /// By cylinder.
    pub runners: Vec<Node>,
    /// Effective area of a carburettor barrel and cleaner in every runner, m².
    pub loss_area: Option<f64>,
    /// Volumes to be checked once the runners are there.
    pub boxes: Vec<Node>,
    /// Path of these volumes.
    pub path: &'static str,
}

/// Adds the way to the runners.
///
/// # Errors
/// A part that can't be simulated, by its path.
pub(super) fn add(build: &Build, assembly: &mut Assembly) -> Result<Feeds, PlanError> {
    match &build.intake_system.plenum {
        Some(plenum) => with_plenum(build, plenum, assembly),
        None => without_plenum(build, assembly),
    }
}

/// Reciprocal squares of areas in series add up.
#[derive(Clone, Copy, Default)]
struct Series(f64);

impl Series {
    fn with(self, area: f64) -> Self {
        Self(self.0 + 1.0 / (area * area))
    }

    /// `None` when nothing stands in the way.
    fn area(self) -> Option<f64> {
        (self.0 > 0.0).then(|| 1.0 / self.0.sqrt())
    }
}

fn with_plenum(
    build: &Build,
    plenum: &Plenum,
    assembly: &mut Assembly,
) -> Result<Feeds, PlanError> {
    let wall = build.intake_system.wall_temperature.si;
    let halves: Vec<Node> = (plenum.feeds.iter().enumerate())
        .map(|(i, _)| {
            let name = match plenum.feeds.len() {
                1 => "plenum".to_owned(),
                _ => format!("plenum half {}", i + 1),
            };
            assembly.volume(&name, plenum.volume.si, wall, false)
        })
        .collect();
    let (from, series) = outside(build, assembly)?;
    let (name, metering) = metering(build)?;
    let total = match metering {
        Some(area) => series.with(area),
        None => series,
    };
    let Some(area) = total.area() else {
        let what = "nothing lets air into the plenum";
        let hint = "give the throttle's diameter, a carburettor or a restrictor";
        return Err(fault("intake.throttle.kind", what, hint));
    };
    let upstream =
        matches!(build.fuel.delivery.as_str(), "carburettor" | "throttle body injection");
    let vapour = if upstream { VAPOUR_UPSTREAM } else { 0.0 };
    for half in &halves {
        assembly.opening(name, from, *half, area / halves.len() as f64, vapour);
    }
    if let ([a, b], Some(bridge)) = (halves.as_slice(), &plenum.bridge)
        && bridge.si > 0.0
    {
        assembly.opening("plenum bridge", *a, *b, BRIDGE * circle(bridge.si), 0.0);
    }
    let runners = (1..=build.layout.cylinders)
        .map(|cylinder| {
            let half = plenum.feeds.iter().position(|group| group.contains(&cylinder));
            half.map(|half| halves[half]).ok_or_else(|| {
                let what = format!("no half feeds cylinder {cylinder}");
                fault("intake.plenum.halves", what, "name every cylinder once")
            })
        })
        .collect::<Result<_, _>>()?;
    let own = build.intake_system.carburettor.as_ref().filter(|c| c.one_per_cylinder);
    let loss_area = own.map(carburettor_area).transpose()?;
    Ok(Feeds { runners, loss_area, boxes: halves, path: "intake.plenum.volume" })
}

/// Every runner breathes from the open air or out of an air box.
fn without_plenum(build: &Build, assembly: &mut Assembly) -> Result<Feeds, PlanError> {
    let count = build.layout.cylinders;
    let intake = &build.intake_system;
    let mut own = Series::default();
    if let Some(carburettor) = &intake.carburettor {
        own = own.with(carburettor_area(carburettor)? * carburettor.count as f64 / count as f64);
    }
    let boxed = intake.air_box.is_some()
        && (intake.duct.is_some() || intake.restrictor.is_some() || intake.air_cleaner.is_some());
    if !boxed && (intake.duct.is_some() || intake.restrictor.is_some()) {
        let what = "a duct or restrictor before open runners needs an air box to end in";
        return Err(fault("intake.air_box.volume", what, "give the volume of the air box"));
    }
    if !boxed {
        if let Some(cleaner) = &intake.air_cleaner {
            own = own.with(air_area(cleaner, "intake.air_cleaner.loss")? / count as f64);
        }
        if intake.air_box.is_some() {
            assembly.note("the air box is left out: nothing is said of the way into it");
        }
        let runners = vec![Node::Ambient; count];
        let path = "intake.air_box.volume";
        return Ok(Feeds { runners, loss_area: own.area(), boxes: Vec::new(), path });
    }
    let (from, series) = outside(build, assembly)?;
    let node = match (from, series.area()) {
        (Node::Ambient, Some(area)) => {
            let node = air_box(build, assembly);
            assembly.opening("air box inlet", Node::Ambient, node, area, 0.0);
            node
        }
        (node, Some(area)) => {
            // A restrictor behind the box: the runners start in what follows it.
            let space =
                assembly.volume("space behind the restrictor", swept(build), wall(build), false);
            assembly.opening("restrictor", node, space, area, 0.0);
            space
        }
        (node, None) => node,
    };
    let boxes = if node == Node::Ambient { Vec::new() } else { vec![node] };
    let runners = vec![node; count];
    Ok(Feeds { runners, loss_area: own.area(), boxes, path: "intake.air_box.volume" })
}

fn wall(build: &Build) -> f64 {
    build.state.air_temperature.si
}

fn swept(build: &Build) -> f64 {
    build.bottom_end.swept.si
}

fn air_box(build: &Build, assembly: &mut Assembly) -> Node {
    let volume = build.intake_system.air_box.as_ref().map_or(0.0, |v| v.si);
    assembly.volume("air box", volume, wall(build), false)
}

/// From the open air to the throttle: the last volume on the way (or the air around) and what still
/// lies in series between it and the throttle.
fn outside(build: &Build, assembly: &mut Assembly) -> Result<(Node, Series), PlanError> {
    let intake = &build.intake_system;
    let mut series = Series::default();
    if let Some(cleaner) = intake.air_cleaner.as_ref().filter(|c| c.drop.si > 0.0) {
        series = series.with(air_area(cleaner, "intake.air_cleaner.loss")?);
    }
    let mut node = Node::Ambient;
    let ducted =
        intake.duct.as_ref().filter(|(length, _)| length.si > super::assembly::SHORTEST_DUCT);
    if let Some((length, diameter)) = ducted {
        let area = circle(diameter.si);
        let end = if intake.air_box.is_some() {
            air_box(build, assembly)
        } else {
            assembly.volume("end of the intake duct", SPACE * area, wall(build), false)
        };
        let loss = series.area().map_or(0.0, |cleaner| (area / cleaner).powi(2));
        let mouth = End { node, opening: opening_with(loss), entry_loss: DUCT_ENTRY };
        let pieces = vec![
            piece(UNFLANGED_END * radius(area), area, area, wall(build)),
            piece(length.si, area, area, wall(build)),
        ];
        assembly.duct("intake.duct.length", "intake duct".into(), pieces, mouth, open(end))?;
        (node, series) = (end, Series::default());
    } else if intake.air_box.is_some() && intake.plenum.is_some() {
        match series.area() {
            Some(area) => {
                node = air_box(build, assembly);
                assembly.opening("air box inlet", Node::Ambient, node, area, 0.0);
                series = Series::default();
            }
            None => assembly.note("the air box is left out: nothing is said of the way into it"),
        }
    }
    if let Some((diameter, discharge)) = &intake.restrictor {
        let throat = series.with(discharge.si * circle(diameter.si));
        assembly.note("the restrictor's diffuser recovers nothing beyond its flow coefficient");
        if metered(build) {
            let space =
                assembly.volume("space behind the restrictor", swept(build), wall(build), false);
            assembly.opening("restrictor", node, space, throat.area().unwrap_or(0.0), 0.0);
            return Ok((space, Series::default()));
        }
        return Ok((node, throat));
    }
    Ok((node, series))
}

/// Whether a throttle or carburettor stands before the plenum.
fn metered(build: &Build) -> bool {
    let intake = &build.intake_system;
    let throttle = intake.throttle.as_ref().is_some_and(|t| !t.one_per_cylinder);
    let carburettor = intake.carburettor.as_ref().is_some_and(|c| !c.one_per_cylinder);
    intake.plenum.is_some() && (throttle || carburettor)
}

/// Effective area of throttles and carburettors before the plenum, m², with their name.
fn metering(build: &Build) -> Result<(&'static str, Option<f64>), PlanError> {
    let intake = &build.intake_system;
    let mut series = Series::default();
    let mut name = "plenum inlet";
    if let Some(throttle) = intake.throttle.as_ref().filter(|t| !t.one_per_cylinder) {
        name = "throttle";
        let area = throttle.count as f64 * circle(throttle.diameter.si);
        series = series.with(area / (1.0 + throttle.loss.si).sqrt());
    }
    if let Some(carburettor) = intake.carburettor.as_ref().filter(|c| !c.one_per_cylinder) {
        name = "carburettor";
        series = series.with(carburettor.count as f64 * carburettor_area(carburettor)?);
    }
    Ok((name, series.area()))
}

/// Effective area of one carburettor, m².
fn carburettor_area(carburettor: &Carburettor) -> Result<f64, PlanError> {
    if let Some((flow, drop)) = &carburettor.rating {
        return rated_area(flow.si, drop.si, "intake.carburettor.rating");
    }
    let venturi = carburettor.venturi.as_ref().map_or(0.0, |venturi| venturi.si);
    if venturi > 0.0 {
        return Ok(VENTURI * carburettor.barrels as f64 * circle(venturi));
    }
    let what = "a carburettor needs its rated flow or its venturi";
    Err(fault("intake.carburettor.rating", what, "write rating = \"700 cfm at 1.5 inHg\""))
}
