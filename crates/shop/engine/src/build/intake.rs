//! Intake system outside the head: runners, plenum, throttles, carburettors, what is before them.

use super::layout::Layout;
use crate::fill::Fill;
use crate::item::Leaf;
use crate::value::Value;
use shortblock_document::Finding;

/// Trumpet of an open runner.
#[derive(Debug, Clone, PartialEq)]
pub struct Trumpet {
    /// Length, m.
    pub length: Value,
    /// Diameter of its mouth, m.
    pub mouth: Value,
}

/// A throttle.
#[derive(Debug, Clone, PartialEq)]
pub struct Throttle {
    /// butterfly, slide, barrel.
    pub kind: String,
    /// Opening of one, m.
    pub diameter: Value,
    /// How many side by side, or 1 in each runner.
    pub count: usize,
    /// One in every runner.
    pub one_per_cylinder: bool,
    /// Loss coefficient wide open.
    pub loss: Value,
    /// Plate to valve seat, m, when one per cylinder and stated.
    pub from_valve: Option<Value>,
}

/// Carburettors.
#[derive(Debug, Clone, PartialEq)]
pub struct Carburettor {
    /// Rated air flow of one, m³/s, and the pressure drop it is rated at, Pa.
    pub rating: Option<(Value, Value)>,
    /// How many carburettors.
    pub count: usize,
    /// Barrels of one.
    pub barrels: usize,
    /// Bore at the throttle plate, m.
    pub barrel: Option<Value>,
    /// Narrowest bore of one barrel, m.
    pub venturi: Option<Value>,
    /// A barrel in every runner.
    pub one_per_cylinder: bool,
}

/// A plenum or its halves.
#[derive(Debug, Clone, PartialEq)]
pub struct Plenum {
    /// Volume, m³; of each half when there are two.
    pub volume: Value,
    /// Cylinder numbers fed by each part: one group, or two when divided.
    pub feeds: Vec<Vec<usize>>,
    /// Opening between the halves, m (diameter of the equal circle).
    pub bridge: Option<Value>,
}

/// A pressure drop at a flow: drop, Pa, and mass flow (kg/s), volume flow (m³/s) or power (W).
#[derive(Debug, Clone, PartialEq)]
pub struct RatedDrop {
    /// Pressure drop, Pa.
    pub drop: Value,
    /// At this flow or power; its `quantity` says which.
    pub at: Value,
}

/// Intake system outside the head, from the port outwards.
#[derive(Debug, Clone, PartialEq)]
pub struct IntakeSystem {
    /// Runner length, m.
    pub runner_length: Value,
    /// Runner diameter at the head, m.
    pub runner_start: Value,
    /// Runner diameter at the far end, m.
    pub runner_end: Value,
    /// Wall of the runner, K.
    pub wall_temperature: Value,
    /// Trumpet; `None` when runners end in a plenum and none was stated.
    pub trumpet: Option<Trumpet>,
    /// Plenum; `None` when every runner breathes for itself.
    pub plenum: Option<Plenum>,
    /// Throttles; `None` when carburettors do it or there are none.
    pub throttle: Option<Throttle>,
    /// Carburettors.
    pub carburettor: Option<Carburettor>,
    /// Class restrictor: diameter, m, and discharge coefficient.
    pub restrictor: Option<(Value, Value)>,
    /// Volume of an air box, m³.
    pub air_box: Option<Value>,
    /// Duct before it: length and diameter, m.
    pub duct: Option<(Value, Value)>,
    /// Loss of the air cleaner; `None` when there is none or nothing is known of it.
    pub air_cleaner: Option<RatedDrop>,
}

/// The intake system.
pub(crate) fn of(fill: &mut Fill, layout: &Layout) -> IntakeSystem {
    delivery(fill);
    let plenum = plenum(fill, layout);
    let carburettor = carburettor(fill, layout);
    let open = plenum.is_none();
    let trumpet = (open || fill.any_stated("intake.runner.trumpet_length")).then(|| Trumpet {
        length: fill.need("intake.runner.trumpet_length"),
        mouth: fill.need("intake.runner.trumpet_mouth"),
    });
    let throttle = throttle(fill, layout, carburettor.is_some(), open);
    let restrictor = fill
        .stated_value("intake.restrictor.diameter")
        .map(|diameter| (diameter, fill.need("intake.restrictor.discharge")));
    let duct = fill
        .stated_value("intake.duct.length")
        .map(|length| (length, fill.need("intake.duct.diameter")));
    let air_cleaner = assumed_drop(fill, "intake.air_cleaner.loss");
    IntakeSystem {
        runner_length: fill.need("intake.runner.length"),
        runner_start: fill.need("intake.runner.diameter.start"),
        runner_end: runner_end(fill),
        wall_temperature: fill.need("intake.runner.wall_temperature"),
        trumpet,
        plenum,
        throttle,
        carburettor,
        restrictor,
        air_box: air_box(fill, open && air_cleaner.is_some()),
        duct,
        air_cleaner,
    }
}

/// A named carburettor is how the fuel gets in, unless somebody said otherwise.
fn delivery(fill: &mut Fill) {
    if fill.stated("fuel.delivery").is_none() && fill.any_stated("intake.carburettor") {
        fill.settle_word("fuel.delivery", "carburettor", "a carburettor is fitted");
    }
}

/// A pressure drop at a flow, assumed when the test says that the part was there.
pub(crate) fn assumed_drop(fill: &mut Fill, path: &str) -> Option<RatedDrop> {
    match fill.item(path).map(|item| &item.leaf) {
        Some(Leaf::DropAtFlow(drop, at)) => Some(RatedDrop { drop: drop.clone(), at: at.clone() }),
        _ => None,
    }
}

fn runner_end(fill: &mut Fill) -> Value {
    if fill.stated("intake.runner.diameter.start").is_none()
        && fill.any_stated("intake.throttle.diameter")
        && fill.flag("intake.throttle.one_per_cylinder")
    {
        return fill.need("intake.throttle.diameter");
    }
    fill.need("intake.runner.diameter.end")
}

/// Runners that breathe for themselves meet in a box when there is a cleaner before them.
fn air_box(fill: &mut Fill, cleaned: bool) -> Option<Value> {
    let said = fill.stated("intake.air_box.kind").map(|item| item.text.clone());
    match said.as_deref() {
        Some("none") => None,
        Some(_) => Some(fill.need("intake.air_box.volume")),
        None if cleaned => Some(fill.need("intake.air_box.volume")),
        None => fill.stated_value("intake.air_box.volume"),
    }
}

/// None when runners breathe for themselves; what nobody said is settled by what is fitted.
fn plenum(fill: &mut Fill, layout: &Layout) -> Option<Plenum> {
    let own = fill.flag("intake.throttle.one_per_cylinder")
        || fill.flag("intake.carburettor.one_per_cylinder")
        || fill.any_stated("intake.runner.trumpet_length")
        || layout.cylinders == 1;
    let kind = match fill.stated("intake.plenum.kind").map(|item| item.text.clone()) {
        Some(kind) => kind,
        None if fill.any_stated("intake.plenum.halves") => "divided".to_owned(),
        None if fill.any_stated("intake.plenum.volume") => "single".to_owned(),
        None if own => "none".to_owned(),
        None => "single".to_owned(),
    };
    fill.settle_word("intake.plenum.kind", &kind, "follows from what is fitted");
    if kind == "none" {
        return None;
    }
    let all: Vec<usize> = (1..=layout.cylinders).collect();
    let feeds = if kind == "divided" { halves(fill, layout) } else { vec![all] };
    Some(Plenum {
        volume: fill.need("intake.plenum.volume"),
        feeds,
        bridge: fill.stated_value("intake.plenum.bridge"),
    })
}

/// Halves as stated, else every other cylinder of the firing order.
fn halves(fill: &mut Fill, layout: &Layout) -> Vec<Vec<usize>> {
    let every_other = |first: usize| {
        layout.firing_order.iter().copied().skip(first).step_by(2).collect::<Vec<_>>()
    };
    match fill.groups("intake.plenum.halves") {
        Some(halves) if halves.len() == 2 => halves,
        Some(_) => {
            let place = fill.place("intake.plenum.halves");
            let fault =
                Finding::new("a divided plenum has two halves").about("intake.plenum.halves");
            let remedy = "Write halves = [[1, 4, 6, 7], [2, 3, 5, 8]].";
            fill.fault(fault.remedy(remedy), place.as_ref());
            vec![every_other(0), every_other(1)]
        }
        None => vec![every_other(0), every_other(1)],
    }
}

fn carburettor(fill: &mut Fill, layout: &Layout) -> Option<Carburettor> {
    if !fill.any_stated("intake.carburettor") {
        return None;
    }
    let one_per_cylinder = fill.flag("intake.carburettor.one_per_cylinder");
    let rating = match fill.stated("intake.carburettor.rating").map(|item| &item.leaf) {
        Some(Leaf::FlowAtDrop(flow, drop)) => Some((flow.clone(), drop.clone())),
        _ => None,
    };
    let barrel = fill.stated_value("intake.carburettor.barrel");
    let mut venturi = fill.stated_value("intake.carburettor.venturi");
    if venturi.is_none() && barrel.is_some() && rating.is_none() {
        venturi = fill.value("intake.carburettor.venturi");
    }
    if rating.is_none() && venturi.is_none() {
        let what = "a carburettor needs its rated flow, or the bores of its barrels";
        let finding = Finding::new(what).about("intake.carburettor.rating");
        let place = fill.place("intake.carburettor.barrels");
        let remedy = "Write  rating = \"700 cfm at 1.5 inHg\"  or  venturi = \"33 mm\".";
        fill.fault(finding.remedy(remedy), place.as_ref());
    }
    let count = match fill.stated("intake.carburettor.count") {
        None if one_per_cylinder => layout.cylinders,
        _ => fill.count("intake.carburettor.count").max(1),
    };
    let barrels = fill.count("intake.carburettor.barrels").max(1);
    Some(Carburettor { rating, count, barrels, barrel, venturi, one_per_cylinder })
}

fn throttle(fill: &mut Fill, layout: &Layout, carburettor: bool, open: bool) -> Option<Throttle> {
    let kind = fill.stated("intake.throttle.kind").map(|item| item.text.clone());
    let said = fill.any_stated("intake.throttle");
    if kind.as_deref() == Some("none") || (carburettor && !said) {
        return None;
    }
    let one_per_cylinder = fill.flag("intake.throttle.one_per_cylinder") || (open && !carburettor);
    if one_per_cylinder && !open {
        let doubt =
            Finding::new("a throttle in every runner and a plenum: the plenum is taken as a box");
        fill.doubt("intake.throttle.one_per_cylinder", doubt);
    }
    let count = match fill.stated("intake.throttle.count") {
        None if one_per_cylinder => layout.cylinders,
        _ => fill.count("intake.throttle.count").max(1),
    };
    Some(Throttle {
        kind: kind.unwrap_or_else(|| "butterfly".to_owned()),
        diameter: fill.need("intake.throttle.diameter"),
        count,
        one_per_cylinder,
        loss: fill.need("intake.throttle.loss"),
        from_valve: fill.stated_value("intake.throttle.from_valve"),
    })
}
