//! Words of how the engine is run, tested, rated and what it is for.

use shortblock_units::Quantity::{
    AbsolutePressure, Angle, EngineSpeed, Force, Fraction, FuelConsumption, Length, Power,
    PressureDifference, Ratio, Speed, Temperature, Torque, Volume,
};

use super::field::{Column, Field, Kind, TableKind};

const SPEED: Column = Column { name: "speed", quantity: Some(EngineSpeed), help: "Engine speed." };

/// Lambda over engine speed.
pub const LAMBDA: TableKind = TableKind {
    columns: &[
        SPEED,
        Column { name: "lambda", quantity: None, help: "Air over stoichiometric air." },
    ],
    beside: &[],
};

/// Spark advance over engine speed.
pub const ADVANCE: TableKind = TableKind {
    columns: &[
        SPEED,
        Column { name: "advance", quantity: Some(Angle), help: "Spark before top dead centre." },
    ],
    beside: &[],
};

/// A published curve.
pub const CURVE: TableKind = TableKind {
    columns: &[
        SPEED,
        Column { name: "torque", quantity: Some(Torque), help: "Brake torque." },
        Column { name: "power", quantity: Some(Power), help: "Brake power." },
        Column { name: "ve", quantity: Some(Fraction), help: "Volumetric efficiency." },
        Column { name: "bsfc", quantity: Some(FuelConsumption), help: "Fuel per brake work." },
        Column { name: "bmep", quantity: Some(PressureDifference), help: "Brake mean pressure." },
        Column {
            name: "fmep",
            quantity: Some(PressureDifference),
            help: "Friction mean pressure.",
        },
    ],
    beside: &[Field::new("standard", Kind::Text, "Standard the curve is stated to.")],
};

/// `[fuel]`
pub const FUEL: &[Field] = &[
    Field::new("name", Kind::Text, "What it is called at the pump or on the drum."),
    Field::new(
        "kind",
        Kind::Choice(&[
            "petrol",
            "e5",
            "e10",
            "e85",
            "methanol",
            "ethanol",
            "m85",
            "isooctane",
            "n-heptane",
            "toluene",
            "nitromethane",
            "leaded race petrol",
            "oxygenated race petrol",
            "high-oxygen race petrol",
        ]),
        "What it is made of, for heat, air demand and flame.",
    ),
    Field::new("blend", Kind::Blend, "Volume shares of other fuels mixed in."),
    Field::new("octane.RON", Kind::Number, "Research octane number."),
    Field::new("octane.MON", Kind::Number, "Motor octane number."),
    Field::new("octane.AKI", Kind::Number, "Pump number of North America, (RON + MON)/2."),
    Field::new(
        "lambda",
        Kind::NumberOrTable(&LAMBDA),
        "Mixture at full load, or a table over speed, or \"asked\" for best torque.",
    ),
    Field::new(
        "delivery",
        Kind::Choice(&[
            "carburettor",
            "port injection",
            "throttle body injection",
            "direct injection",
        ]),
        "How the fuel gets into the air.",
    ),
];

/// `[spark]`
pub const SPARK: &[Field] = &[
    Field::new(
        "advance",
        Kind::SparkPlan(&ADVANCE),
        "Angle, table over speed, \"best torque\" or \"best torque, knock limited\".",
    ),
    Field::of("knock_margin", Angle, "How far to stay from the knock limit when asked for."),
    Field::of("at_most", Angle, "Greatest advance that may be asked for."),
];

/// `[oil]`, `[coolant]`, `[air]`
pub const STATE: &[Field] = &[
    Field::new("oil.grade", Kind::Text, "Oil, by its grade."),
    Field::of("oil.temperature", Temperature, "Oil in the sump at full load."),
    Field::of("coolant.temperature", Temperature, "Coolant out of the head at full load."),
    Field::new("coolant.kind", Kind::Choice(&["water", "air", "oil"]), "What cools the cylinders."),
    Field::of("air.temperature", Temperature, "Air where the engine breathes in."),
    Field::of("air.pressure", AbsolutePressure, "Barometer, not reduced to sea level."),
    Field::of("air.humidity", Fraction, "Relative humidity."),
];

/// `[tested_as]`
pub const TESTED_AS: &[Field] = &[
    Field::new("accessories", Kind::Texts, "What the engine drove itself."),
    Field::new("air_cleaner", Kind::Text, "Air cleaner fitted at the test."),
    Field::new("exhaust", Kind::Text, "Exhaust fitted at the test, silencers or none."),
    Field::new("air", Kind::Text, "Where the air came from."),
    Field::new("correction", Kind::Text, "Standard of correction, \"as read\" when none."),
    Field::of("tolerance", Fraction, "What the test or the standard allows either way."),
];

/// One `[[rating]]`.
pub const RATING: &[Field] = &[
    Field::of("power", Power, "Brake power."),
    Field::of("torque", Torque, "Brake torque."),
    Field::of("speed", EngineSpeed, "Engine speed it was stated at."),
    Field::new(
        "kind",
        Kind::Choice(&["peak", "point", "at least"]),
        "Peak of the curve, a point of it, or a lower bound.",
    ),
    Field::new("standard", Kind::Text, "Standard or wording it was stated to."),
    Field::of("tolerance", Fraction, "What it may be off by."),
    Field::new("note", Kind::Text, "Where it was printed."),
];

/// `[goal]`
pub const GOAL: &[Field] = &[
    Field::new("power", Kind::Wish(&[Power]), "Power wanted, from, to, at or below a speed."),
    Field::new("torque", Kind::Wish(&[Torque]), "Torque wanted, from, to, at or below a speed."),
    Field::of("displacement", Volume, "Largest displacement the class allows."),
    Field::of("speed_from", EngineSpeed, "Range used: from."),
    Field::of("speed_to", EngineSpeed, "Range used: to."),
];

/// `[limits]`
pub const LIMITS: &[Field] = &[
    Field::of("engine_speed", EngineSpeed, "Never faster."),
    Field::of("mean_piston_speed", Speed, "Twice stroke times speed."),
    Field::of("intake_to_piston", Length, "Least clearance, intake valve to piston."),
    Field::of("exhaust_to_piston", Length, "Least clearance, exhaust valve to piston."),
    Field::of("squish", Length, "Least clearance, piston to head."),
    Field::of("knock_margin", Angle, "Least spark margin to knock."),
    Field::of("peak_pressure", AbsolutePressure, "Highest cylinder pressure."),
    Field::of("exhaust_temperature", Temperature, "Hottest exhaust gas at the port."),
    Field::of("rod_tension", Force, "Greatest pull in a rod."),
    Field::new("inlet_mach_index", Kind::Quantity(Ratio), "Highest inlet Mach index."),
];
