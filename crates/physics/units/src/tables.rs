//! Every unit of every quantity. Within a quantity the first unit of a trade is the one shown.
//!
//! Factors are written as their definition, so that each can be read and checked by eye; tests
//! compare them with an independent library and with published constants.

use crate::constants::*;
use crate::quantity::Quantity;
use crate::unit::Trade::{Both, Inch, Metric};
use crate::unit::{Trade, Unit};

const fn u(
    symbol: &'static str,
    name: &'static str,
    spellings: &'static [&'static str],
    factor: f64,
    trade: Trade,
) -> Unit {
    Unit { symbol, name, spellings, factor, offset: 0.0, trade }
}

const fn scale(
    symbol: &'static str,
    name: &'static str,
    spellings: &'static [&'static str],
    factor: f64,
    offset: f64,
    trade: Trade,
) -> Unit {
    Unit { symbol, name, spellings, factor, offset, trade }
}

/// Returns the accepted units of a quantity, at least one; the first of a trade is its display unit.
pub fn units_of(quantity: Quantity) -> &'static [Unit] {
    match quantity {
        Quantity::Length => LENGTH,
        Quantity::Area => AREA,
        Quantity::Volume => VOLUME,
        Quantity::Angle => ANGLE,
        Quantity::Speed => SPEED,
        Quantity::Acceleration => ACCELERATION,
        Quantity::EngineSpeed => ENGINE_SPEED,
        Quantity::SweepRate => SWEEP_RATE,
        Quantity::Mass => MASS,
        Quantity::Force => FORCE,
        Quantity::ForceRate => FORCE_RATE,
        Quantity::Torque => TORQUE,
        Quantity::Power => POWER,
        Quantity::Energy => ENERGY,
        Quantity::AbsolutePressure | Quantity::GaugePressure => PRESSURE,
        Quantity::PressureDifference => PRESSURE,
        Quantity::Temperature => TEMPERATURE,
        Quantity::TemperatureDifference => TEMPERATURE_DIFFERENCE,
        Quantity::VolumeFlow => VOLUME_FLOW,
        Quantity::MassFlow => MASS_FLOW,
        Quantity::Density => DENSITY,
        Quantity::Fraction => FRACTION,
        Quantity::Time => TIME,
        Quantity::Frequency => FREQUENCY,
        Quantity::Ratio => RATIO,
        Quantity::FuelConsumption => FUEL_CONSUMPTION,
        Quantity::SpecificEnergy => SPECIFIC_ENERGY,
        Quantity::Inertia => INERTIA,
        Quantity::DynamicViscosity => DYNAMIC_VISCOSITY,
        Quantity::KinematicViscosity => KINEMATIC_VISCOSITY,
    }
}

static LENGTH: &[Unit] = &[
    u(
        "mm",
        "millimetre",
        &["millimetre", "millimeter", "millimetres", "millimeters"],
        1e-3,
        Metric,
    ),
    u("in", "inch", &["inch", "inches", "\""], INCH, Inch),
    u("thou", "thousandth of an inch", &["mil", "mils"], INCH * 1e-3, Inch),
    u("cm", "centimetre", &["centimetre", "centimeter"], 1e-2, Metric),
    u("m", "metre", &["metre", "meter", "metres", "meters"], 1.0, Metric),
    u("ft", "foot", &["foot", "feet"], FOOT, Inch),
    u("um", "micrometre", &["micron", "microns", "micrometre", "micrometer"], 1e-6, Metric),
    u("km", "kilometre", &["kilometre", "kilometer"], 1e3, Metric),
];

static AREA: &[Unit] = &[
    u("mm2", "square millimetre", &["sq.mm"], 1e-6, Metric),
    u("in2", "square inch", &["sq.in"], INCH * INCH, Inch),
    u("cm2", "square centimetre", &["sq.cm"], 1e-4, Metric),
    u("m2", "square metre", &["sq.m"], 1.0, Metric),
    u("ft2", "square foot", &["sq.ft"], FOOT * FOOT, Inch),
];

static VOLUME: &[Unit] = &[
    u("cc", "cubic centimetre", &["cm3", "ccm", "ml", "mL", "cu.cm"], 1e-6, Both),
    u(
        "in3",
        "cubic inch",
        &["cu.in", "ci", "cid", "cubic.inch", "cubic.inches"],
        INCH * INCH * INCH,
        Inch,
    ),
    u("L", "litre", &["litre", "liter", "litres", "liters", "dm3"], 1e-3, Metric),
    u("m3", "cubic metre", &["cu.m"], 1.0, Metric),
    u("mm3", "cubic millimetre", &["cu.mm"], 1e-9, Metric),
    u("ft3", "cubic foot", &["cu.ft"], FOOT * FOOT * FOOT, Inch),
    u("US.gal", "US gallon, 231 in3", &["US.gallon"], US_GALLON, Inch),
    u("US.qt", "US quart, a quarter of the US gallon", &["US.quart"], US_GALLON / 4.0, Inch),
    u(
        "imp.gal",
        "imperial gallon, 4.546 09 L",
        &["UK.gal", "imperial.gallon"],
        IMPERIAL_GALLON,
        Inch,
    ),
];

static ANGLE: &[Unit] = &[
    u("deg", "degree", &["degree", "degrees", "degs"], DEGREE, Both),
    u("rad", "radian", &["radian", "radians"], 1.0, Both),
];

static SPEED: &[Unit] = &[
    u("m/s", "metre per second", &[], 1.0, Metric),
    u("ft/min", "foot per minute", &["fpm"], FOOT / 60.0, Inch),
    u("ft/s", "foot per second", &["fps", "ft/sec"], FOOT, Inch),
    u("km/h", "kilometre per hour", &["kph", "kmh"], 1.0 / 3.6, Metric),
    u("mph", "mile per hour", &["mile/h", "miles/h"], 5280.0 * FOOT / 3600.0, Inch),
    u("mm/s", "millimetre per second", &[], 1e-3, Metric),
    u("in/s", "inch per second", &["ips", "in/sec"], INCH, Inch),
];

static ACCELERATION: &[Unit] = &[
    u("m/s2", "metre per second squared", &[], 1.0, Metric),
    u("ft/s2", "foot per second squared", &[], FOOT, Inch),
    u("gn", "standard gravity, 9.806 65 m/s2", &["g"], STANDARD_GRAVITY, Both),
];

static ENGINE_SPEED: &[Unit] = &[
    u("rpm", "turn per minute", &["rev/min", "r/min", "1/min", "revs", "min.1"], RPM, Both),
    u("rad/s", "radian per second", &[], 1.0, Both),
    u("rev/s", "turn per second", &["r/s", "rps"], 60.0 * RPM, Both),
];

static SWEEP_RATE: &[Unit] = &[
    u("rpm/s", "turn per minute, each second", &["rpm/sec", "rev/min/s"], RPM, Both),
    u("rad/s2", "radian per second squared", &[], 1.0, Both),
];

static MASS: &[Unit] = &[
    u("g", "gram", &["gram", "grams", "gramme"], 1e-3, Both),
    u("lb", "pound, 0.453 592 37 kg", &["lbs", "lbm", "pound", "pounds"], POUND, Inch),
    u("kg", "kilogram", &["kilogram", "kilograms", "kilo"], 1.0, Metric),
    u("oz", "ounce, a sixteenth of a pound", &["ounce", "ounces"], POUND / 16.0, Inch),
    u("mg", "milligram", &[], 1e-6, Metric),
];

static FORCE: &[Unit] = &[
    u("N", "newton", &["newton", "newtons"], 1.0, Metric),
    u("lbf", "pound-force", &["lb", "lbs", "pound.force"], POUND_FORCE, Inch),
    u("kN", "kilonewton", &[], 1e3, Metric),
    u("kgf", "kilogram-force", &["kp"], STANDARD_GRAVITY, Metric),
];

static FORCE_RATE: &[Unit] = &[
    u("N/mm", "newton per millimetre", &[], 1e3, Metric),
    u("lbf/in", "pound-force per inch", &["lb/in", "lbs/in"], POUND_FORCE / INCH, Inch),
    u("N/m", "newton per metre", &[], 1.0, Metric),
    u("kN/m", "kilonewton per metre", &[], 1e3, Metric),
    u("kgf/mm", "kilogram-force per millimetre", &["kg/mm"], STANDARD_GRAVITY * 1e3, Metric),
];

static TORQUE: &[Unit] = &[
    u("N.m", "newton metre", &["newton.metre", "newton.meter"], 1.0, Metric),
    u(
        "lb.ft",
        "pound-force foot",
        &[
            "lbf.ft",
            "ft.lb",
            "ft.lbf",
            "lbs.ft",
            "ft.lbs",
            "foot.pound",
            "pound.foot",
            "pound.feet",
        ],
        POUND_FORCE_FOOT,
        Inch,
    ),
    u(
        "lb.in",
        "pound-force inch",
        &["lbf.in", "in.lb", "in.lbf", "in.lbs"],
        POUND_FORCE * INCH,
        Inch,
    ),
    u("kgf.m", "kilogram-force metre", &["kg.m", "m.kgf", "m.kg"], STANDARD_GRAVITY, Metric),
    u("kN.m", "kilonewton metre", &[], 1e3, Metric),
    u("daN.m", "decanewton metre", &["m.daN"], 10.0, Metric),
];

static POWER: &[Unit] = &[
    u("kW", "kilowatt", &["kilowatt", "kilowatts"], 1e3, Metric),
    u("hp", "horsepower, 550 ft.lbf/s", &["bhp", "horsepower"], HORSEPOWER, Inch),
    u(
        "PS",
        "metric horsepower, 75 kgf.m/s",
        &["metric.hp", "cv", "ch", "pk"],
        METRIC_HORSEPOWER,
        Metric,
    ),
    u("W", "watt", &["watt", "watts"], 1.0, Metric),
    u(
        "Btu/h",
        "British thermal unit (international table) per hour",
        &["Btu/hr"],
        BTU / 3600.0,
        Inch,
    ),
];

static ENERGY: &[Unit] = &[
    u("J", "joule", &["joule", "joules"], 1.0, Metric),
    u("ft.lbf", "foot pound-force", &["ft.lb", "lbf.ft", "lb.ft"], POUND_FORCE_FOOT, Inch),
    u("kJ", "kilojoule", &[], 1e3, Metric),
    u("mJ", "millijoule", &["millijoule"], 1e-3, Metric),
    u("MJ", "megajoule", &["megajoule"], 1e6, Metric),
    u("kWh", "kilowatt hour", &["kW.h"], KILOWATT_HOUR, Metric),
    u("Btu", "British thermal unit (international table)", &[], BTU, Inch),
];

/// Bare words mean what the quantity says; "abs" and "gauge" may be added (see `spelling`).
static PRESSURE: &[Unit] = &[
    u("kPa", "kilopascal", &["kilopascal"], 1e3, Metric),
    u("psi", "pound-force per square inch", &["lbf/in2", "lb/in2", "lb/sq.in"], PSI, Inch),
    u("bar", "bar", &[], 1e5, Metric),
    u("mbar", "millibar", &["millibar"], 1e2, Metric),
    u("hPa", "hectopascal", &[], 1e2, Metric),
    u("Pa", "pascal", &["pascal"], 1.0, Metric),
    u("MPa", "megapascal", &["N/mm2"], 1e6, Metric),
    u(
        "inHg",
        "inch of mercury, conventional: 0 degC, 13 595.1 kg/m3",
        &["in.Hg", "inch.Hg", "inches.Hg", "\".Hg"],
        MM_MERCURY * INCH * 1e3,
        Inch,
    ),
    u(
        "mmHg",
        "millimetre of mercury, conventional: 0 degC, 13 595.1 kg/m3",
        &["mm.Hg"],
        MM_MERCURY,
        Metric,
    ),
    u(
        "inH2O",
        "inch of water, conventional: 4 degC, 1000 kg/m3",
        &["in.H2O", "inch.H2O", "inches.H2O", "in.water", "inches.water", "\".H2O", "in.WC"],
        MM_WATER * INCH * 1e3,
        Inch,
    ),
    u(
        "mmH2O",
        "millimetre of water, conventional: 4 degC, 1000 kg/m3",
        &["mm.H2O", "mm.WC"],
        MM_WATER,
        Metric,
    ),
    u("cmH2O", "centimetre of water, conventional: 4 degC", &["cm.H2O"], MM_WATER * 10.0, Metric),
    u(
        "inHg.60F",
        "inch of mercury at 60 degF",
        &["in.Hg.60F", "inHg.at.60F"],
        INCH_MERCURY_60F,
        Inch,
    ),
    u(
        "inH2O.60F",
        "inch of water at 60 degF",
        &["in.H2O.60F", "inH2O.at.60F"],
        INCH_WATER_60F,
        Inch,
    ),
    u("torr", "torr, 1/760 of the standard atmosphere", &[], ATMOSPHERE / 760.0, Metric),
    u("atm", "standard atmosphere, 101 325 Pa", &[], ATMOSPHERE, Metric),
    u(
        "kgf/cm2",
        "kilogram-force per square centimetre",
        &["kg/cm2"],
        STANDARD_GRAVITY * 1e4,
        Metric,
    ),
];

static TEMPERATURE: &[Unit] = &[
    scale("degC", "degree Celsius", &["deg.C", "C", "celsius"], 1.0, CELSIUS_ZERO, Metric),
    scale(
        "degF",
        "degree Fahrenheit",
        &["deg.F", "F", "fahrenheit"],
        5.0 / 9.0,
        FAHRENHEIT_ZERO,
        Inch,
    ),
    scale("K", "kelvin", &["kelvin", "degK"], 1.0, 0.0, Metric),
    scale("degR", "degree Rankine", &["deg.R", "rankine"], 5.0 / 9.0, 0.0, Inch),
];

static TEMPERATURE_DIFFERENCE: &[Unit] = &[
    u("K", "kelvin", &["kelvin", "degK"], 1.0, Metric),
    u("degF", "degree Fahrenheit, as a difference", &["deg.F", "F", "degR"], 5.0 / 9.0, Inch),
    u("degC", "degree Celsius, as a difference", &["deg.C", "C"], 1.0, Metric),
];

static VOLUME_FLOW: &[Unit] = &[
    u("L/min", "litre per minute", &["lpm", "litre/min", "liter/min"], 1e-3 / 60.0, Metric),
    u("cfm", "cubic foot per minute", &["ft3/min", "cu.ft/min"], FOOT * FOOT * FOOT / 60.0, Inch),
    u("L/s", "litre per second", &[], 1e-3, Metric),
    u("m3/h", "cubic metre per hour", &[], 1.0 / 3600.0, Metric),
    u("m3/s", "cubic metre per second", &[], 1.0, Metric),
    u("m3/min", "cubic metre per minute", &[], 1.0 / 60.0, Metric),
    u("cc/min", "cubic centimetre per minute", &["cm3/min", "mL/min"], 1e-6 / 60.0, Metric),
    u("L/h", "litre per hour", &[], 1e-3 / 3600.0, Metric),
    u("US.gal/h", "US gallon per hour", &["gph"], US_GALLON / 3600.0, Inch),
    u("US.gal/min", "US gallon per minute", &["gpm"], US_GALLON / 60.0, Inch),
];

static MASS_FLOW: &[Unit] = &[
    u("kg/h", "kilogram per hour", &["kg/hr"], 1.0 / 3600.0, Metric),
    u("lb/h", "pound per hour", &["lb/hr", "lbs/hr", "pph"], POUND / 3600.0, Inch),
    u("g/s", "gram per second", &["g/sec"], 1e-3, Metric),
    u("kg/s", "kilogram per second", &[], 1.0, Metric),
    u("g/min", "gram per minute", &[], 1e-3 / 60.0, Metric),
    u("kg/min", "kilogram per minute", &[], 1.0 / 60.0, Metric),
    u("lb/min", "pound per minute", &["lbs/min"], POUND / 60.0, Inch),
];

static DENSITY: &[Unit] = &[
    u("kg/m3", "kilogram per cubic metre", &[], 1.0, Metric),
    u("lb/ft3", "pound per cubic foot", &["lb/cu.ft"], POUND / (FOOT * FOOT * FOOT), Inch),
    u("kg/L", "kilogram per litre", &["kg/dm3"], 1e3, Metric),
    u("g/cm3", "gram per cubic centimetre", &["g/cc", "g/mL"], 1e3, Metric),
    u("g/L", "gram per litre", &[], 1.0, Metric),
    u("lb/US.gal", "pound per US gallon", &[], POUND / US_GALLON, Inch),
];

static FRACTION: &[Unit] = &[
    u("%", "per cent", &["percent", "per.cent", "pct"], 1e-2, Both),
    u("ppm", "part per million", &[], 1e-6, Both),
    u("g/kg", "gram per kilogram", &[], 1e-3, Both),
];

static TIME: &[Unit] = &[
    u("s", "second", &["sec", "second", "seconds"], 1.0, Both),
    u("ms", "millisecond", &["msec", "millisecond", "milliseconds"], 1e-3, Both),
    u("us", "microsecond", &["usec", "microsecond"], 1e-6, Both),
    u("min", "minute", &["minute", "minutes"], 60.0, Both),
    u("h", "hour", &["hr", "hour", "hours"], 3600.0, Both),
];

static FREQUENCY: &[Unit] =
    &[u("Hz", "hertz", &["hertz", "1/s"], 1.0, Both), u("kHz", "kilohertz", &[], 1e3, Both)];

static RATIO: &[Unit] = &[u("", "no unit", &[":1", ":.1"], 1.0, Both)];

static FUEL_CONSUMPTION: &[Unit] = &[
    u("g/kWh", "gram per kilowatt hour", &["g/kW.h", "g/kW.hr"], 1e-3 / KILOWATT_HOUR, Metric),
    u(
        "lb/hp.h",
        "pound per horsepower hour",
        &["lb/hp.hr", "lb/bhp.h", "lb/bhp.hr", "lbs/hp.hr"],
        POUND / (HORSEPOWER * 3600.0),
        Inch,
    ),
    u("kg/kWh", "kilogram per kilowatt hour", &["kg/kW.h"], 1.0 / KILOWATT_HOUR, Metric),
    u(
        "g/PS.h",
        "gram per metric horsepower hour",
        &[],
        1e-3 / (METRIC_HORSEPOWER * 3600.0),
        Metric,
    ),
    u("g/MJ", "gram per megajoule", &[], 1e-9, Metric),
];

static SPECIFIC_ENERGY: &[Unit] = &[
    u("MJ/kg", "megajoule per kilogram", &["kJ/g"], 1e6, Metric),
    u("Btu/lb", "British thermal unit (international table) per pound", &[], BTU / POUND, Inch),
    u("kJ/kg", "kilojoule per kilogram", &["J/g"], 1e3, Metric),
    u("J/kg", "joule per kilogram", &[], 1.0, Metric),
    u(
        "kcal/kg",
        "kilocalorie (international table) per kilogram",
        &["cal/g"],
        CALORIE * 1e3,
        Metric,
    ),
];

static INERTIA: &[Unit] = &[
    u("kg.m2", "kilogram metre squared", &[], 1.0, Metric),
    u("lb.in2", "pound inch squared", &["lbm.in2"], POUND * INCH * INCH, Inch),
    u("kg.cm2", "kilogram centimetre squared", &[], 1e-4, Metric),
    u("g.cm2", "gram centimetre squared", &[], 1e-7, Metric),
    u("lb.ft2", "pound foot squared", &["lbm.ft2"], POUND * FOOT * FOOT, Inch),
    u(
        "lbf.in.s2",
        "pound-force inch second squared",
        &["in.lbf.s2", "in.lb.s2"],
        POUND_FORCE * INCH,
        Inch,
    ),
    u("slug.ft2", "slug foot squared", &["lbf.ft.s2", "ft.lb.s2"], POUND_FORCE_FOOT, Inch),
];

static DYNAMIC_VISCOSITY: &[Unit] = &[
    u("mPa.s", "millipascal second", &["cP", "centipoise"], 1e-3, Both),
    u("Pa.s", "pascal second", &[], 1.0, Metric),
];

static KINEMATIC_VISCOSITY: &[Unit] = &[
    u("mm2/s", "square millimetre per second", &["cSt", "centistokes"], 1e-6, Both),
    u("m2/s", "square metre per second", &[], 1.0, Metric),
];
