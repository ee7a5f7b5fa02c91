//! Words of the head, once for the intake side and once for the exhaust: valves, port, flow, cam.

use shortblock_units::Quantity::{Angle, Length, PressureDifference, Volume, VolumeFlow};

use super::field::{Column, Field, Kind, TableKind};

/// Columns of a flow sheet.
pub const FLOW: TableKind = TableKind {
    columns: &[
        Column { name: "lift", quantity: Some(Length), help: "Valve lift on the bench." },
        Column { name: "flow", quantity: Some(VolumeFlow), help: "Flow at the test pressure." },
    ],
    beside: &[
        Field::of(
            "test_pressure",
            PressureDifference,
            "Pressure drop on the bench; a flow needs it.",
        ),
        Field::new(
            "per",
            Kind::Choice(&["cylinder", "valve"]),
            "Whether all valves of the side were open on the bench, or one.",
        ),
    ],
};

/// Columns of a measured lobe or lift curve.
pub const LIFT: TableKind = TableKind {
    columns: &[
        Column {
            name: "crank",
            quantity: Some(Angle),
            help: "Crank angle after top dead centre of the gas exchange; minus is before.",
        },
        Column {
            name: "cam",
            quantity: Some(Angle),
            help: "Cam angle from the point of greatest lift; needs a centreline.",
        },
        Column {
            name: "valve",
            quantity: Some(Length),
            help: "Lift of the valve, lash taken off.",
        },
        Column { name: "lifter", quantity: Some(Length), help: "Rise of the lifter." },
    ],
    beside: &[],
};

/// `[intake]` and `[exhaust]`, the part that is the same for both.
pub const SIDE: &[Field] = &[
    Field::new("valves.per_cylinder", Kind::Count, "Valves of this side in one cylinder."),
    Field::of("valves.diameter", Length, "Head of the valve."),
    Field::of("valves.stem", Length, "Stem of the valve."),
    Field::of("valves.seat_angle", Angle, "Angle of the seat from the plane of the valve head."),
    Field::new("valves.throat", Kind::Opening, "Narrowest opening under the seat."),
    Field::of("valves.seat_width", Length, "Width of the seat."),
    Field::of("valves.inclination", Angle, "Valve's axis from the bore's axis."),
    Field::of("port.length", Length, "From the valve seat to the face of the head."),
    Field::of("port.volume", Volume, "Port volume, poured from the valve seat to the face."),
    Field::new(
        "flow",
        Kind::Table(&FLOW),
        "Flow sheet of the head: lift and flow at a test pressure.",
    ),
    Field::new(
        "flow_coefficient",
        Kind::Number,
        "Flow over ideal flow through pi x diameter x lift, at a lift of a quarter diameter.",
    ),
    Field::of("cam.lift", Length, "Greatest lift at the valve, lash taken off."),
    Field::of("cam.gross_lift", Length, "Greatest lift at the valve at zero lash."),
    Field::of("cam.lobe_lift", Length, "Greatest rise of the lifter."),
    Field::new(
        "cam.duration",
        Kind::Durations,
        "Crank degrees the valve or lifter is above a checking lift; several lifts in a list.",
    ),
    Field::new("cam.opens", Kind::Event, "Crank angle at which the side opens, at a lift."),
    Field::new("cam.closes", Kind::Event, "Crank angle at which the side closes, at a lift."),
    Field::of(
        "cam.centreline",
        Angle,
        "Crank angle of greatest lift: intake after, exhaust before top dead centre.",
    )
    .each()
    .or(&["lobe_centre", "lobe_center", "centerline"]),
    Field::of("cam.lash", Length, "Running clearance at the valve, as set.")
        .each()
        .or(&["clearance"]),
    Field::of(
        "cam.ramp",
        Angle,
        "What the duration at the seat is longer than at 1.0 mm of valve lift.",
    ),
    Field::of(
        "cam.asymmetry",
        Angle,
        "How far the opening flank is longer than the closing one, at the seat.",
    ),
    Field::new("cam.lift_curve", Kind::Table(&LIFT), "Measured lobe or lift table."),
    Field::new("cam.part_number", Kind::Text, "Maker's number of the cam."),
];

/// Words only the intake port has.
pub const INTAKE_PORT: &[Field] =
    &[Field::new("port.entry", Kind::Opening, "Opening at the face of the head.")];

/// Words only the exhaust port has.
pub const EXHAUST_PORT: &[Field] =
    &[Field::new("port.exit", Kind::Opening, "Opening at the face of the head.")];

/// `[cam]`: one camshaft for both sides, or the pair as degreed.
pub const CAM_PAIR: &[Field] = &[
    Field::of("lobe_separation", Angle, "Half the crank angle between the two centrelines.")
        .or(&["lobe_separation_angle"]),
    Field::of("intake_centreline", Angle, "Intake centreline after top dead centre.")
        .or(&["intake_centerline"]),
    Field::of("advance", Angle, "Lobe separation less intake centreline; minus is retarded."),
    Field::new("part_number", Kind::Text, "Maker's number of the cam."),
];
