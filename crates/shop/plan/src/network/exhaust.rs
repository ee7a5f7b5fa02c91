//! Exhaust from the valves to where the primaries meet: one duct for each cylinder, and joins.

use super::assembly::{Assembly, circle, fault, open, piece};
use super::exhaust_end::end_of;
use super::outlet::{self, Walls};
use super::port;
use super::valves::Which;
use crate::PlanError;
use shortblock_cycle::{Node, Piece, Side};
use shortblock_engine::Build;
use shortblock_engine::build::{ExhaustKind, JoinedPipe};

/// Depth of a join behind all pipes that meet in it, m: a cell and a bit of exhaust pipe, so that
/// the step can't empty it. Its volume is taken off the pipe that follows. Own.
const JOIN_DEPTH: f64 = 0.06;
/// Angle between pipes and the axis of the collector that they run into, rad; merge collectors of 8
/// to 20 degrees (common practice, no source).
const MERGE_ANGLE: f64 = 0.25;

/// Adds what lies between the exhaust valves and the open air.
///
/// # Errors
/// A part that can't be simulated, by its path.
pub(super) fn add(build: &Build, assembly: &mut Assembly) -> Result<(), PlanError> {
    let exhaust = &build.exhaust_system;
    let walls = Walls::of(build);
    if exhaust.kind == ExhaustKind::Separate || exhaust.collector.is_none() {
        return separate(build, assembly, &walls);
    }
    let Some(collector) = &exhaust.collector else { return Ok(()) };
    let by_cylinder = groups(build, &collector.join, "exhaust.collector.join")?;
    let joins = match (exhaust.kind, &exhaust.secondary) {
        (ExhaustKind::FourTwoOne, Some(secondary)) => {
            two_steps(build, secondary, collector, &by_cylinder, assembly, &walls)?
        }
        (ExhaustKind::Log, _) => log(build, collector, &by_cylinder, assembly, &walls)?,
        _ => one_step(build, collector, &by_cylinder, assembly, &walls)?,
    };
    outlet::add(build, collector, &joins, assembly, &walls)
}

/// Which group each cylinder is in.
fn groups(build: &Build, join: &[Vec<usize>], path: &str) -> Result<Vec<usize>, PlanError> {
    (1..=build.layout.cylinders)
        .map(|cylinder| {
            let mut found = join.iter().enumerate().filter(|(_, group)| group.contains(&cylinder));
            match (found.next(), found.next()) {
                (Some((group, _)), None) => Ok(group),
                (None, _) => Err(format!("cylinder {cylinder} ends nowhere")),
                _ => Err(format!("cylinder {cylinder} ends in two places")),
            }
            .map_err(|what| fault(path, what, "name every cylinder once"))
        })
        .collect()
}

/// Where pipes have met.
pub(super) struct Join {
    /// The volume in which they end.
    pub node: Node,
    /// Where the one pipe that follows starts: on the axis of the stream.
    pub out: Node,
    /// The length that the volume takes up of that pipe, m.
    pub depth: f64,
}

/// A join of pipes with areas `arriving` (m²) into one of `leaving`.
pub(super) fn join(
    name: &str,
    arriving: f64,
    leaving: f64,
    wall: f64,
    assembly: &mut Assembly,
) -> Join {
    let volume = JOIN_DEPTH * (arriving + leaving);
    let (node, out) = assembly.merge(name, volume, wall, MERGE_ANGLE);
    Join { node, out, depth: volume / leaving }
}

/// Port and primary of cylinder `i`.
fn primary(build: &Build, i: usize, walls: &Walls) -> Vec<Piece> {
    let exhaust = &build.exhaust_system;
    let mut pieces = port::pieces(&build.exhaust, Which::Exhaust, walls.port);
    match exhaust.primary_steps.as_slice() {
        [(length, bore)]
            if (*length, *bore) == (exhaust.primary_length.si, exhaust.primary_bore.si) =>
        {
            let area = circle(exhaust.primary_bore.of(i));
            pieces.push(piece(exhaust.primary_length.of(i), area, area, walls.primary));
        }
        steps => pieces.extend(steps.iter().map(|(length, bore)| {
            let area = circle(*bore);
            piece(*length, area, area, walls.primary)
        })),
    }
    pieces
}

fn primary_area(build: &Build, i: usize, walls: &Walls) -> f64 {
    primary(build, i, walls).last().map_or(0.0, |piece| piece.area_right)
}

fn add_primary(
    build: &Build,
    i: usize,
    to: Node,
    assembly: &mut Assembly,
    walls: &Walls,
) -> Result<(), PlanError> {
    let pieces = primary(build, i, walls);
    let valve = open(Node::Valve(i, Side::Exhaust));
    let name = format!("exhaust primary {}", i + 1);
    assembly.duct("exhaust.primary.length", name, pieces, valve, open(to))
}

fn one_step(
    build: &Build,
    collector: &JoinedPipe,
    by_cylinder: &[usize],
    assembly: &mut Assembly,
    walls: &Walls,
) -> Result<Vec<Join>, PlanError> {
    let leaving = circle(collector.bore.si);
    let joins: Vec<Join> = (0..collector.join.len())
        .map(|group| {
            let arriving = (0..by_cylinder.len())
                .filter(|i| by_cylinder[*i] == group)
                .map(|i| primary_area(build, i, walls))
                .sum();
            join(&format!("merge {}", group + 1), arriving, leaving, walls.collector, assembly)
        })
        .collect();
    for (i, group) in by_cylinder.iter().enumerate() {
        add_primary(build, i, joins[*group].node, assembly, walls)?;
    }
    Ok(joins)
}

/// Primaries into secondaries, secondaries into the collector that holds their first cylinder.
fn two_steps(
    build: &Build,
    secondary: &JoinedPipe,
    collector: &JoinedPipe,
    by_cylinder: &[usize],
    assembly: &mut Assembly,
    walls: &Walls,
) -> Result<Vec<Join>, PlanError> {
    let by_pair = groups(build, &secondary.join, "exhaust.secondary.join")?;
    let area = circle(secondary.bore.si);
    let of_pair = |pair: &[usize]| -> Result<usize, PlanError> {
        let first = pair.first().and_then(|c| by_cylinder.get(c.wrapping_sub(1)));
        let hint = "name every cylinder once";
        first.copied().ok_or_else(|| fault("exhaust.secondary.join", "a pair is empty", hint))
    };
    let wanted: Vec<usize> =
        secondary.join.iter().map(|pair| of_pair(pair)).collect::<Result<_, _>>()?;
    let joins: Vec<Join> = (0..collector.join.len())
        .map(|group| {
            let arriving = area * wanted.iter().filter(|g| **g == group).count() as f64;
            let leaving = circle(collector.bore.si);
            join(&format!("merge {}", group + 1), arriving, leaving, walls.collector, assembly)
        })
        .collect();
    for (pair, group) in wanted.iter().enumerate() {
        let arriving: f64 = (0..by_pair.len())
            .filter(|i| by_pair[*i] == pair)
            .map(|i| primary_area(build, i, walls))
            .sum();
        let name = format!("join of pair {}", pair + 1);
        let meeting = join(&name, arriving, area, walls.primary, assembly);
        for i in (0..by_pair.len()).filter(|i| by_pair[*i] == pair) {
            add_primary(build, i, meeting.node, assembly, walls)?;
        }
        let length = outlet::less_join(secondary.length.si, meeting.depth);
        assembly.duct(
            "exhaust.secondary.length",
            format!("exhaust secondary {}", pair + 1),
            vec![piece(length, area, area, walls.primary)],
            open(meeting.out),
            open(joins[*group].node),
        )?;
    }
    Ok(joins)
}

/// A log is one volume: it is too short for waves of its own to matter.
fn log(
    build: &Build,
    collector: &JoinedPipe,
    by_cylinder: &[usize],
    assembly: &mut Assembly,
    walls: &Walls,
) -> Result<Vec<Join>, PlanError> {
    let (bore, spacing) =
        build.exhaust_system.log.as_ref().map_or((0.0, 0.0), |(b, s)| (b.si, s.si));
    let mut joins = Vec::new();
    for (group, members) in collector.join.iter().enumerate() {
        let own = circle(bore) * spacing * members.len() as f64;
        let name = format!("log manifold {}", group + 1);
        let node = assembly.volume(&name, own, walls.primary, true);
        joins.push(Join { node, out: node, depth: 0.0 });
    }
    for (i, group) in by_cylinder.iter().enumerate() {
        add_primary(build, i, joins[*group].node, assembly, walls)?;
    }
    assembly.note("a log manifold is one volume: waves along it are left out");
    Ok(joins)
}

/// Every cylinder its own pipe, with its own tail when there is one.
fn separate(build: &Build, assembly: &mut Assembly, walls: &Walls) -> Result<(), PlanError> {
    let count = build.layout.cylinders;
    for i in 0..count {
        let mut pieces = primary(build, i, walls);
        if let Some((length, bore)) = &build.exhaust_system.tail {
            pieces.push(piece(length.si, circle(bore.si), circle(bore.si), walls.tail));
        }
        let end = end_of(build, count, &pieces, walls, assembly)?;
        pieces.extend(end.correction);
        let valve = open(Node::Valve(i, Side::Exhaust));
        let name = format!("exhaust pipe {}", i + 1);
        assembly.duct("exhaust.primary.length", name, pieces, valve, end.end)?;
        assembly.check_volume(end.end.node, "exhaust.silencer.volume")?;
    }
    Ok(())
}
