//! Exhaust system outside the head: primaries, joins, collectors, tail, silencers.

use shortblock_units::Quantity;

use super::intake::{RatedDrop, assumed_drop};
use super::layout::{Arrangement, Layout};
use crate::fill::Fill;
use crate::value::Value;
use shortblock_document::Finding;

/// How primaries meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ExhaustKind {
    /// Every cylinder its own pipe.
    Separate,
    /// All of a group meet in one collector: 4-1, 3-1, 2-1 and so on.
    Merged,
    /// Pairs meet, then pairs of pairs.
    FourTwoOne,
    /// Branches along one pipe.
    Log,
}

/// A pipe that several others end in.
#[derive(Debug, Clone, PartialEq)]
pub struct JoinedPipe {
    /// Cylinder numbers that end in each of these pipes.
    pub join: Vec<Vec<usize>>,
    /// Length, m.
    pub length: Value,
    /// Diameter, m.
    pub bore: Value,
    /// Diameter at the far end, m.
    pub exit: Value,
}

/// A pipe between two sides.
#[derive(Debug, Clone, PartialEq)]
pub struct Crossover {
    /// balance pipe or X.
    pub kind: String,
    /// Diameter, m.
    pub bore: Value,
    /// Length, m.
    pub length: Value,
    /// Collector's end to it, m.
    pub from_collector: Value,
}

/// Exhaust system outside the head.
#[derive(Debug, Clone, PartialEq)]
pub struct ExhaustSystem {
    /// How primaries meet.
    pub kind: ExhaustKind,
    /// Primary length, m.
    pub primary_length: Value,
    /// Primary diameter, m.
    pub primary_bore: Value,
    /// Steps of a stepped primary, from the head: length and diameter, m; one step when plain.
    pub primary_steps: Vec<(f64, f64)>,
    /// Inside wall, K.
    pub wall_temperature: Value,
    /// Secondaries of a 4-2-1.
    pub secondary: Option<JoinedPipe>,
    /// Log manifold: diameter and port spacing, m.
    pub log: Option<(Value, Value)>,
    /// Collectors; `None` for separate pipes.
    pub collector: Option<JoinedPipe>,
    /// Crossover between two collectors.
    pub crossover: Option<Crossover>,
    /// Tail pipe: length and diameter, m; `None` when the pipes before it end in the open.
    pub tail: Option<(Value, Value)>,
    /// Tail pipes.
    pub tails: usize,
    /// Loss coefficient of silencers on the tail's bore; 0 when a back pressure is given.
    pub silencer_loss: Value,
    /// Back pressure of the whole system at a flow or power.
    pub back_pressure: Option<RatedDrop>,
    /// Volume of all silencers behind a back pressure, m³; 0 without one.
    pub silencer_volume: Value,
    /// Pressure at the pipe's end less the air's, Pa.
    pub cell_pressure: Value,
}

/// The exhaust system.
pub(crate) fn of(fill: &mut Fill, layout: &Layout) -> ExhaustSystem {
    let word = kind_word(fill, layout);
    fill.settle_word("exhaust.kind", &word, "by how many cylinders meet");
    let kind = match word.as_str() {
        "separate" => ExhaustKind::Separate,
        "4-2-1" => ExhaustKind::FourTwoOne,
        "log" => ExhaustKind::Log,
        _ => ExhaustKind::Merged,
    };
    let primary_length = fill.need("exhaust.primary.length");
    let primary_bore = fill.need("exhaust.primary.bore");
    let primary_steps = steps(fill, &primary_length, &primary_bore);
    let secondary = (kind == ExhaustKind::FourTwoOne).then(|| secondary(fill, layout));
    let log = (kind == ExhaustKind::Log)
        .then(|| (fill.need("exhaust.log.bore"), fill.need("exhaust.log.spacing")));
    let collector = (kind != ExhaustKind::Separate).then(|| collector(fill, layout, kind));
    let open = open_pipes(fill) || fill.is_not_applicable("exhaust.tail.length");
    let tail = (!open || fill.any_stated("exhaust.tail"))
        .then(|| (fill.need("exhaust.tail.length"), tail_bore(fill, kind)));
    let lossy =
        fill.any_stated("exhaust.silencer.loss") || fill.is_not_applicable("exhaust.silencer.loss");
    let back_pressure =
        (!lossy).then(|| assumed_drop(fill, "exhaust.silencer.back_pressure")).flatten();
    let silencer_loss = match (&back_pressure, &tail) {
        (Some(_), _) => none("the back pressure says all"),
        (None, None) => none("the pipes end in the open"),
        _ if fill.is_not_applicable("exhaust.silencer.loss") => none("there is no silencer"),
        (None, Some(_)) => fill.need("exhaust.silencer.loss"),
    };
    let silencer_volume = match back_pressure {
        Some(_) => fill.need("exhaust.silencer.volume"),
        None => none("a loss on the tail needs none"),
    };
    ExhaustSystem {
        kind,
        primary_length,
        primary_bore,
        primary_steps,
        wall_temperature: fill.need("exhaust.primary.wall_temperature"),
        secondary,
        log,
        crossover: crossover(fill, collector.as_ref()),
        collector,
        tail,
        tails: fill.count("exhaust.tail.count").max(1),
        silencer_loss,
        back_pressure,
        silencer_volume,
        cell_pressure: fill.need("exhaust.cell_pressure"),
    }
}

fn none(why: &str) -> Value {
    Value::worked_out(0.0, 0.0, Quantity::Ratio, why)
}

/// The test says that pipes or collectors were open, and nobody gave a tail pipe.
fn open_pipes(fill: &mut Fill) -> bool {
    fill.word("tested_as.exhaust").to_lowercase().contains("open")
}

/// How the primaries meet: as stated, or by the number of cylinders that meet.
fn kind_word(fill: &mut Fill, layout: &Layout) -> String {
    if let Some(item) = fill.stated("exhaust.kind") {
        return item.text.clone();
    }
    if fill.any_stated("exhaust.secondary") {
        return "4-2-1".to_owned();
    }
    if fill.any_stated("exhaust.log") {
        return "log".to_owned();
    }
    let meeting = fill.groups("exhaust.collector.join").unwrap_or_else(|| usual_join(layout));
    match meeting.iter().map(Vec::len).max() {
        Some(2) => "2-1".to_owned(),
        Some(3) => "3-1".to_owned(),
        Some(n) if n >= 4 => "4-1".to_owned(),
        _ => "separate".to_owned(),
    }
}

/// Who meets in a collector when nobody said: each bank; front and rear halves of a six and
/// longer rows; all of a four or less (c.p.).
fn usual_join(layout: &Layout) -> Vec<Vec<usize>> {
    let all: Vec<usize> = (1..=layout.cylinders).collect();
    match layout.arrangement {
        Arrangement::V | Arrangement::Flat if layout.cylinders > 2 => layout.banks.clone(),
        _ if layout.cylinders >= 6 => {
            all.chunks(all.len().div_ceil(2)).map(<[_]>::to_vec).collect()
        }
        _ => vec![all],
    }
}

fn steps(fill: &mut Fill, length: &Value, bore: &Value) -> Vec<(f64, f64)> {
    let Some(table) = fill.table("exhaust.primary.steps") else {
        return vec![(length.si, bore.si)];
    };
    // Columns are sorted by the first; the order of steps is by the file only when lengths rise,
    // so a table states the distance from the head at which each step ends.
    let ends = table.column("length").unwrap_or_default();
    let bores = table.column("bore").unwrap_or_default();
    let mut start = 0.0;
    let mut out = Vec::new();
    for (end, bore) in ends.iter().zip(bores) {
        if *end <= start || *bore <= 0.0 {
            let place = fill.place("exhaust.primary.steps");
            let fault = Finding::new("each step ends farther from the head than the one before");
            let remedy = "Count every length from the head: [[200, 40], [500, 42], [800, 45]].";
            fill.fault(fault.about("exhaust.primary.steps").remedy(remedy), place.as_ref());
            return vec![(length.si, bore.max(1e-3))];
        }
        out.push((end - start, *bore));
        start = *end;
    }
    out
}

fn secondary(fill: &mut Fill, layout: &Layout) -> JoinedPipe {
    let join = fill.groups("exhaust.secondary.join").unwrap_or_else(|| {
        // Pairs that fire a full turn apart meet first (c.p.).
        let half = layout.cylinders / 2;
        let pair = |i: usize| vec![layout.firing_order[i], layout.firing_order[i + half]];
        (0..half).map(pair).collect()
    });
    let bore = fill.need("exhaust.secondary.bore");
    let length = fill.need("exhaust.secondary.length");
    JoinedPipe { join, length, exit: bore.clone(), bore }
}

fn collector(fill: &mut Fill, layout: &Layout, kind: ExhaustKind) -> JoinedPipe {
    let usual = usual_join(layout);
    let join = fill.groups("exhaust.collector.join").unwrap_or(match kind {
        ExhaustKind::FourTwoOne if layout.cylinders <= 4 => vec![(1..=layout.cylinders).collect()],
        _ => usual,
    });
    JoinedPipe {
        join,
        length: fill.need("exhaust.collector.length"),
        bore: fill.need("exhaust.collector.bore"),
        exit: fill.need("exhaust.collector.exit"),
    }
}

/// Separate pipes have no collector: the tail goes on as the primary ends.
fn tail_bore(fill: &mut Fill, kind: ExhaustKind) -> Value {
    if kind == ExhaustKind::Separate && fill.stated("exhaust.tail.bore").is_none() {
        let primary = fill.need("exhaust.primary.bore");
        let value = Value {
            each: Vec::new(),
            why: "goes on as the primary ends".to_owned(),
            origin: shortblock_units::Origin::Assumed,
            source: "c.p.".to_owned(),
            plus_minus: 0.08 * primary.si,
            ..primary
        };
        fill.keep("exhaust.tail.bore", &value);
        return fill.stated_value("exhaust.tail.bore").unwrap_or(value);
    }
    fill.need("exhaust.tail.bore")
}

fn crossover(fill: &mut Fill, collector: Option<&JoinedPipe>) -> Option<Crossover> {
    let kind = fill.stated("exhaust.crossover.kind").map(|item| item.text.clone())?;
    if kind == "none" {
        return None;
    }
    if collector.is_none_or(|c| c.join.len() != 2) {
        let place = fill.place("exhaust.crossover.kind");
        let fault = Finding::new("a crossover joins two collectors, and there are not two");
        let remedy = "Give the collectors with exhaust.collector.join, or take the crossover out.";
        fill.fault(fault.about("exhaust.crossover.kind").remedy(remedy), place.as_ref());
        return None;
    }
    Some(Crossover {
        kind,
        bore: fill.need("exhaust.crossover.bore"),
        length: fill.need("exhaust.crossover.length"),
        from_collector: fill.need("exhaust.crossover.from_collector"),
    })
}
