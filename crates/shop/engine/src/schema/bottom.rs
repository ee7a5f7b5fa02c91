//! Words of the short block: who it is, layout, bottom end, chamber, valve train.

use shortblock_units::Quantity::{Angle, Force, ForceRate, Fraction, Length, Mass, Torque, Volume};

use super::field::{Field, Kind};

/// The build itself.
pub const IDENTITY: &[Field] = &[
    Field::new("format", Kind::Count, "Version of the file format; this program reads 1."),
    Field::new("number", Kind::Text, "Number of the engine, as on its tag."),
    Field::new("name", Kind::Text, "What the engine or part is called."),
    Field::new("owner", Kind::Text, "Whose engine it is."),
    Field::new("block_number", Kind::Text, "Number stamped on the block."),
    Field::new("came_in", Kind::Date, "Day the engine came to the shop."),
    Field::new("build", Kind::Text, "Name of this build, such as b6."),
    Field::new(
        "state",
        Kind::Choice(&["draft", "assembled", "run", "stripped"]),
        "How far the build is.",
    ),
    Field::new("assembled", Kind::Date, "Day it was put together."),
    Field::new("by", Kind::Texts, "Who put it together."),
    Field::new("why", Kind::Text, "Why this build was made."),
    Field::new("note", Kind::Text, "Anything worth keeping."),
];

/// `[layout]`
pub const LAYOUT: &[Field] = &[
    Field::new("cylinders", Kind::Count, "Number of cylinders, 1 to 16."),
    Field::new(
        "arrangement",
        Kind::Choice(&["single", "inline", "V", "flat"]),
        "How the cylinders stand.",
    ),
    Field::of("bank_angle", Angle, "Angle between the two banks."),
    Field::new("banks", Kind::Groups, "Cylinder numbers by bank, from the front."),
    Field::new("firing_order", Kind::Cylinders, "Cylinder numbers in the order they fire."),
    Field::new(
        "crank_pins",
        Kind::Angles,
        "Angle of each crank pin, from the front: one per cylinder, or one per pair in a V.",
    ),
    Field::of(
        "crank_pin_offset",
        Angle,
        "Angle between the two rods' pins of one throw of a V (split pin); 0 when they share it.",
    ),
    Field::new(
        "firing_angles",
        Kind::Angles,
        "Crank angle at which each cylinder fires, by cylinder number; wins over firing order.",
    ),
    Field::new("cycle", Kind::Choice(&["four-stroke"]), "Working cycle."),
];

/// `[bottom_end]`
pub const BOTTOM_END: &[Field] = &[
    Field::of("bore", Length, "Cylinder bore.").each(),
    Field::of("stroke", Length, "Stroke of the crank.").each(),
    Field::of("rod_length", Length, "Connecting rod, centre to centre.").each(),
    Field::of(
        "pin_offset",
        Length,
        "Piston pin off the bore's centre, plus towards the major thrust side.",
    ),
    Field::of("deck", Length, "Piston below the block at top dead centre; minus is proud.")
        .each()
        .or(&["deck_clearance"]),
    Field::of("piston_diameter", Length, "Piston skirt at its gauge point.").each(),
    Field::of("piston_mass", Mass, "Piston without pin and rings.").each(),
    Field::of("pin_mass", Mass, "Piston pin with its locks."),
    Field::of("ring_mass", Mass, "Rings of one piston."),
    Field::of("rod_small_end_mass", Mass, "Small end of the rod, weighed."),
    Field::of("rod_big_end_mass", Mass, "Big end of the rod, weighed, with shells."),
    Field::of("top_land_diameter", Length, "Piston above the top ring.").each(),
    Field::of("top_land_height", Length, "From the crown to the top ring."),
    Field::of("ring_gap_top", Length, "End gap of the top ring.").each(),
    Field::of("ring_gap_second", Length, "End gap of the second ring.").each(),
    Field::of("leak_down", Fraction, "Leak-down reading.").each(),
    Field::of("main_journal", Length, "Diameter of the main journals."),
    Field::of("rod_journal", Length, "Diameter of the rod journals."),
    Field::of("main_clearance", Length, "Oil clearance of the main bearings."),
    Field::of("rod_clearance", Length, "Oil clearance of the rod bearings."),
    Field::of("crank_end_play", Length, "End play of the crank."),
    Field::of("turning_torque", Torque, "Torque to turn the assembled short block."),
];

/// `[chamber]`
pub const CHAMBER: &[Field] = &[
    Field::new(
        "compression_ratio",
        Kind::Number,
        "Compression ratio, when it is stated and not worked out from volumes.",
    )
    .each(),
    Field::of("volume", Volume, "Combustion chamber in the head, measured with valves and plug.")
        .each(),
    Field::of("piston_crown", Volume, "Dome taken off the volume; minus is a dish or pockets.")
        .each(),
    Field::of("gasket.thickness", Length, "Head gasket, compressed."),
    Field::of("gasket.bore", Length, "Opening of the head gasket."),
    Field::new(
        "spark_plug.position",
        Kind::Choice(&["central", "side", "between"]),
        "Where the plug stands in the chamber.",
    ),
    Field::of("spark_plug.offset", Length, "Plug gap off the cylinder's axis."),
    Field::of("spark_plug.gap", Length, "Gap of the plug."),
    Field::new("spark_plug.count", Kind::Count, "Plugs per cylinder."),
    Field::new(
        "shape",
        Kind::Choice(&["pent roof", "wedge", "bathtub", "hemispherical", "bowl in piston"]),
        "Form of the chamber.",
    ),
];

/// `[valve_train]`
pub const VALVE_TRAIN: &[Field] = &[
    Field::new(
        "kind",
        Kind::Choice(&["bucket", "finger", "rocker", "pushrod and rocker"]),
        "What stands between cam and valve.",
    ),
    Field::new(
        "lifter",
        Kind::Choice(&["hydraulic", "solid"]),
        "Hydraulic takes up the lash by itself; solid needs lash.",
    ),
    Field::new("follower", Kind::Choice(&["flat", "roller"]), "What runs on the lobe."),
    Field::of("preload", Length, "How far the hydraulic lifter is pushed in."),
    Field::new("rocker_ratio.intake", Kind::Number, "Valve movement over lifter movement."),
    Field::new("rocker_ratio.exhaust", Kind::Number, "Valve movement over lifter movement."),
    Field::of("intake_spring.seat_force", Force, "Spring force with the valve shut."),
    Field::of("intake_spring.rate", ForceRate, "Spring rate, all springs of one valve."),
    Field::of("intake_spring.coil_bind", Length, "Spring length, or lift, at coil bind."),
    Field::of("exhaust_spring.seat_force", Force, "Spring force with the valve shut."),
    Field::of("exhaust_spring.rate", ForceRate, "Spring rate, all springs of one valve."),
    Field::of("exhaust_spring.coil_bind", Length, "Spring length, or lift, at coil bind."),
    Field::of("intake_mass", Mass, "Moving mass at the valve, half the spring included."),
    Field::of("exhaust_mass", Mass, "Moving mass at the valve, half the spring included."),
    Field::of("pocket_intake", Length, "Valve pocket in the crown, depth."),
    Field::of("pocket_exhaust", Length, "Valve pocket in the crown, depth."),
];
