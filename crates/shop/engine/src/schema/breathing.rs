//! Words of the intake and exhaust systems outside the head.

use shortblock_units::Quantity::{Length, PressureDifference, Temperature, Volume};

use super::field::{Column, Field, Kind, TableKind};

/// `[intake]` outside the head, from the port outwards.
pub const INTAKE: &[Field] = &[
    Field::of("runner.length", Length, "From the face of the head to the plenum or trumpet.")
        .each(),
    Field::new("runner.diameter.start", Kind::Opening, "Runner at the head.").each(),
    Field::new("runner.diameter.end", Kind::Opening, "Runner at its far end.").each(),
    Field::of("runner.trumpet_length", Length, "Trumpet beyond the runner.").each(),
    Field::of("runner.trumpet_mouth", Length, "Trumpet's mouth, inside its lip."),
    Field::of("runner.wall_temperature", Temperature, "Inside wall of the runner."),
    Field::new(
        "throttle.kind",
        Kind::Choice(&["butterfly", "slide", "barrel", "none"]),
        "What closes the way in.",
    ),
    Field::new("throttle.diameter", Kind::Opening, "Opening of one throttle, wide open."),
    Field::new("throttle.count", Kind::Count, "Throttles side by side before the plenum."),
    Field::new("throttle.one_per_cylinder", Kind::Flag, "A throttle in every runner."),
    Field::of("throttle.from_valve", Length, "Throttle plate to valve seat, one per cylinder."),
    Field::new("throttle.loss", Kind::Number, "Loss coefficient wide open, on its own opening."),
    Field::new(
        "carburettor.rating",
        Kind::FlowAtDrop,
        "Air flow wide open at a pressure drop; the basis differs by kind, so it is stated.",
    )
    .or(&["flow"]),
    Field::new("carburettor.barrels", Kind::Count, "Barrels of one carburettor."),
    Field::new("carburettor.count", Kind::Count, "Carburettors on the engine."),
    Field::new("carburettor.barrel", Kind::Opening, "Bore at the throttle plate."),
    Field::new("carburettor.venturi", Kind::Opening, "Narrowest bore (choke) of one barrel.")
        .or(&["choke"]),
    Field::new("carburettor.one_per_cylinder", Kind::Flag, "A barrel in every runner."),
    Field::new(
        "plenum.kind",
        Kind::Choice(&["none", "single", "divided"]),
        "None: every runner breathes for itself; divided: two halves.",
    ),
    Field::of("plenum.volume", Volume, "Plenum, each half when divided."),
    Field::new("plenum.halves", Kind::Groups, "Cylinders fed by each half."),
    Field::new("plenum.bridge", Kind::Opening, "Opening between the halves; leave out for none."),
    Field::new("restrictor.diameter", Kind::Opening, "Class restrictor, narrowest opening."),
    Field::new("restrictor.discharge", Kind::Number, "Flow over ideal flow of the restrictor."),
    Field::of("air_box.volume", Volume, "Box over the trumpets or before the throttle.")
        .or(&["size"]),
    Field::new("air_box.kind", Kind::Choice(&["none", "box"]), "Whether there is an air box."),
    Field::of("duct.length", Length, "Pipe from the air cleaner to the box or throttle."),
    Field::new("duct.diameter", Kind::Opening, "Bore of that pipe."),
    Field::new(
        "air_cleaner.kind",
        Kind::Choice(&["none", "paper", "oiled", "flame arrester"]),
        "What the air goes through first.",
    ),
    Field::new("air_cleaner.loss", Kind::DropAtFlow, "Pressure drop of the air cleaner at a flow."),
];

/// Columns of a stepped primary.
pub const STEPS: TableKind = TableKind {
    columns: &[
        Column {
            name: "length",
            quantity: Some(Length),
            help: "Length of this step, from the head.",
        },
        Column { name: "bore", quantity: Some(Length), help: "Inside diameter of this step." },
    ],
    beside: &[],
};

/// `[exhaust]` outside the head, from the port outwards.
pub const EXHAUST: &[Field] = &[
    Field::new(
        "kind",
        Kind::Choice(&["separate", "4-1", "4-2-1", "3-1", "2-1", "log"]),
        "How the primaries meet.",
    ),
    Field::of("primary.length", Length, "From the face of the head to the first join.").each(),
    Field::new("primary.bore", Kind::Opening, "Inside diameter of the primary.").each(),
    Field::new("primary.steps", Kind::Table(&STEPS), "Stepped primary: wins over length and bore."),
    Field::of("primary.wall_temperature", Temperature, "Inside wall of the primary at full load."),
    Field::new(
        "secondary.join",
        Kind::Groups,
        "Which primaries meet in each secondary of a 4-2-1.",
    ),
    Field::of("secondary.length", Length, "From the first join to the next."),
    Field::new("secondary.bore", Kind::Opening, "Inside diameter of the secondary."),
    Field::new("log.bore", Kind::Opening, "Inside diameter of a log manifold."),
    Field::of("log.spacing", Length, "Port to port along a log manifold."),
    Field::new("collector.join", Kind::Groups, "Which cylinders end in each collector."),
    Field::of("collector.length", Length, "Collector, from the last join."),
    Field::new("collector.bore", Kind::Opening, "Inside diameter of the collector."),
    Field::new("collector.exit", Kind::Opening, "Collector's far end, where it tapers."),
    Field::new(
        "crossover.kind",
        Kind::Choice(&["none", "balance pipe", "X"]),
        "What joins the two sides.",
    ),
    Field::new("crossover.bore", Kind::Opening, "Inside diameter of the crossover."),
    Field::of("crossover.length", Length, "Length of the crossover."),
    Field::of("crossover.from_collector", Length, "Collector's end to the crossover."),
    Field::of("tail.length", Length, "Pipe behind the collector, silencers included."),
    Field::new("tail.bore", Kind::Opening, "Inside diameter of the tail pipe."),
    Field::new("tail.count", Kind::Count, "Tail pipes; the collectors share them."),
    Field::new("silencer.kind", Kind::Text, "What is fitted."),
    Field::new("silencer.loss", Kind::Number, "Loss coefficient of the silencer on the tail bore."),
    Field::new(
        "silencer.back_pressure",
        Kind::DropAtFlow,
        "Back pressure of the whole system at a rated flow or power.",
    ),
    Field::of("silencer.volume", Volume, "Volume of all silencers together."),
    Field::of(
        "cell_pressure",
        PressureDifference,
        "Suction (minus) or pressure of the cell's pipe.",
    ),
];
