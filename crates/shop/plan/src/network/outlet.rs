//! Exhaust from the joins to the open air: collectors, crossover, tail pipes.

use super::assembly::{Assembly, SHORTEST_DUCT, circle, open, piece};
use super::exhaust::{Join, join};
use super::exhaust_end::end_of;
use crate::PlanError;
use shortblock_cycle::{Node, Piece};
use shortblock_engine::Build;
use shortblock_engine::build::{Crossover, JoinedPipe};

/// Wall of an exhaust port: this much above the coolant, K; own: water on one side, gas on the other.
const PORT_ABOVE_COOLANT: f64 = 150.0;
/// How far collectors and tails still stand above the air, of what the primaries do; own.
const COLLECTOR_SHARE: f64 = 0.85;
/// The same for tail pipes.
const TAIL_SHARE: f64 = 0.6;
/// When nobody said how many tail pipes there are, as many are taken as keep this share of the
/// collectors' area; own.
const TAIL_AREA: f64 = 0.6;

/// Wall temperatures of an exhaust, K.
pub(super) struct Walls {
    pub port: f64,
    pub primary: f64,
    pub collector: f64,
    pub tail: f64,
}

impl Walls {
    /// From the stated or assumed wall of the primaries.
    pub fn of(build: &Build) -> Self {
        let primary = build.exhaust_system.wall_temperature.si;
        let air = build.state.air_temperature.si;
        let at = |share: f64| air + share * (primary - air);
        let port = (build.state.coolant_temperature.si + PORT_ABOVE_COOLANT).min(primary.max(air));
        Self { port, primary, collector: at(COLLECTOR_SHARE), tail: at(TAIL_SHARE) }
    }
}

/// What a pipe keeps of its length when the join before it takes `depth` (m): at least half.
pub(super) fn less_join(length: f64, depth: f64) -> f64 {
    (length - depth).max(0.5 * length)
}

/// A row of pieces on its way to the open air, and where it starts.
struct Chain {
    name: String,
    from: Node,
    pieces: Vec<Piece>,
}

/// Adds collectors, crossover and tails behind the joins.
///
/// # Errors
/// A part that can't be simulated, by its path.
pub(super) fn add(
    build: &Build,
    collector: &JoinedPipe,
    joins: &[Join],
    assembly: &mut Assembly,
    walls: &Walls,
) -> Result<(), PlanError> {
    let exhaust = &build.exhaust_system;
    let (bore, exit) = (circle(collector.bore.si), circle(collector.exit.si));
    let mut chains: Vec<Chain> = (joins.iter().enumerate())
        .map(|(i, join)| Chain {
            name: format!("collector {}", i + 1),
            from: join.out,
            pieces: vec![piece(
                less_join(collector.length.si, join.depth),
                bore,
                exit,
                walls.collector,
            )],
        })
        .collect();
    let mut tail = exhaust.tail.as_ref().map_or(0.0, |(length, _)| length.si);
    if let Some(crossover) = &exhaust.crossover {
        tail = cross(build, crossover, tail, &mut chains, assembly, walls)?;
    }
    if let Some((_, bore)) = &exhaust.tail {
        let area = circle(bore.si);
        let count = tails(build, chains.len(), exit, area);
        if count < chains.len() {
            chains = gather(chains, count, area, assembly, walls)?;
        }
        if count > chains.len() {
            assembly
                .note(format!("{count} tail pipes are taken as {} of their area", chains.len()));
        }
        let area = area * count.max(chains.len()) as f64 / chains.len() as f64;
        for chain in &mut chains {
            chain.pieces.push(piece(tail, area, area, walls.tail));
        }
    }
    let count = chains.len();
    for chain in chains {
        finish(build, chain, count, assembly, walls)?;
    }
    Ok(())
}

/// How many tail pipes there are.
fn tails(build: &Build, chains: usize, chain: f64, tail: f64) -> usize {
    let said = build
        .item("exhaust.tail.count")
        .is_some_and(|item| item.origin != shortblock_units::Origin::Assumed);
    if said {
        return build.exhaust_system.tails.max(1);
    }
    let wanted = TAIL_AREA * chain * chains as f64 / tail;
    (wanted.ceil().max(1.0) as usize).min(chains)
}

/// Several chains end in a join for each tail.
fn gather(
    chains: Vec<Chain>,
    count: usize,
    tail: f64,
    assembly: &mut Assembly,
    walls: &Walls,
) -> Result<Vec<Chain>, PlanError> {
    let all = chains.len();
    let mut out = Vec::new();
    let mut rest = chains.into_iter().enumerate().peekable();
    for k in 0..count {
        let mut own = Vec::new();
        while let Some((_, chain)) = rest.next_if(|(i, _)| i * count / all == k) {
            own.push(chain);
        }
        if own.len() == 1 {
            out.extend(own);
            continue;
        }
        let end = |chain: &Chain| chain.pieces.last().map_or(tail, |piece| piece.area_right);
        let arriving = own.iter().map(end).sum();
        let meeting =
            join(&format!("join before tail {}", k + 1), arriving, tail, walls.tail, assembly);
        for chain in own {
            connect(chain, meeting.node, assembly)?;
        }
        out.push(Chain {
            name: format!("tail pipe {}", k + 1),
            from: meeting.out,
            pieces: Vec::new(),
        });
    }
    Ok(out)
}

/// Splits two chains where the crossover joins them; gives back the length of tail behind it, m.
fn cross(
    build: &Build,
    crossover: &Crossover,
    tail: f64,
    chains: &mut Vec<Chain>,
    assembly: &mut Assembly,
    walls: &Walls,
) -> Result<f64, PlanError> {
    let before = crossover.from_collector.si.min(tail);
    let bore = build.exhaust_system.tail.as_ref().map(|(_, bore)| circle(bore.si));
    let mut arriving = Vec::new();
    for mut chain in chains.drain(..) {
        let end = chain.pieces.last().map_or(0.0, |piece| piece.area_right);
        let area = bore.unwrap_or(end);
        chain.pieces.push(piece(before, area, area, walls.tail));
        arriving.push((chain, area));
    }
    let across = circle(crossover.bore.si);
    let mut nodes = Vec::new();
    if crossover.kind == "X" {
        let areas: f64 = arriving.iter().map(|(_, area)| 2.0 * area).sum();
        let node = join("X crossover", areas, across, walls.tail, assembly).node;
        nodes = vec![node; arriving.len()];
    } else {
        for (i, (_, area)) in arriving.iter().enumerate() {
            let name = format!("end {} of the balance pipe", i + 1);
            nodes.push(join(&name, area + across, *area, walls.tail, assembly).node);
        }
        if let [a, b] = nodes.as_slice() {
            let pipe = vec![piece(crossover.length.si, across, across, walls.tail)];
            if crossover.length.si < SHORTEST_DUCT {
                assembly.opening("balance pipe", *a, *b, across, 0.0);
            } else {
                let path = "exhaust.crossover.length";
                assembly.duct(path, "balance pipe".into(), pipe, open(*a), open(*b))?;
            }
        }
    }
    for (i, ((chain, area), node)) in arriving.into_iter().zip(nodes).enumerate() {
        connect(chain, node, assembly)?;
        let stub = piece(0.0, area, area, walls.tail);
        let name = format!("tail pipe {}", i + 1);
        chains.push(Chain { name, from: node, pieces: vec![stub] });
    }
    Ok(tail - before)
}

/// A chain that ends in a volume; one too short for a duct is an opening.
fn connect(chain: Chain, to: Node, assembly: &mut Assembly) -> Result<(), PlanError> {
    let Chain { name, from, pieces } = chain;
    if is_short(&pieces) {
        let area = narrowest(&pieces);
        assembly.note(format!("{name} is so short that it is an opening"));
        assembly.opening(&name, stopped(from), to, area, 0.0);
        return Ok(());
    }
    assembly.duct("exhaust.collector.length", name, pieces, open(from), open(to))
}

/// A chain that ends in the open air.
fn finish(
    build: &Build,
    chain: Chain,
    count: usize,
    assembly: &mut Assembly,
    walls: &Walls,
) -> Result<(), PlanError> {
    let Chain { name, from, mut pieces } = chain;
    let end = end_of(build, count, &pieces, walls, assembly)?;
    if is_short(&pieces) {
        let area = narrowest(&pieces) * end.end.opening;
        assembly.note(format!("{name} is so short that it is an opening"));
        assembly.opening(&name, stopped(from), end.end.node, area, 0.0);
        return Ok(());
    }
    pieces.extend(end.correction);
    assembly.duct("exhaust.collector.length", name, pieces, open(from), end.end)?;
    assembly.check_volume(end.end.node, "exhaust.silencer.volume")
}

/// An opening stops the stream of the join before it.
fn stopped(node: Node) -> Node {
    if let Node::Axis(volume) = node { Node::Volume(volume) } else { node }
}

fn is_short(pieces: &[Piece]) -> bool {
    pieces.iter().map(|piece| piece.length).sum::<f64>() < SHORTEST_DUCT
}

fn narrowest(pieces: &[Piece]) -> f64 {
    pieces.iter().map(|piece| piece.area_left.min(piece.area_right)).fold(f64::INFINITY, f64::min)
}
