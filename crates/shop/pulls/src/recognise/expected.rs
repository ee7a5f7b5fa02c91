//! What a channel usually reads while the engine pulls, and the units it is usually logged in.
//!
//! All ranges are common practice, no source; they only choose between readings of a column, a value
//! outside is never thrown away.

use crate::channel::Channel;
use std::ops::RangeInclusive;

/// Units by symbol, the likeliest first, and the range of the middle value in SI.
pub(crate) struct Expected {
    pub units: &'static [&'static str],
    pub middle: RangeInclusive<f64>,
}

const fn expected(units: &'static [&'static str], low: f64, high: f64) -> Expected {
    Expected { units, middle: low..=high }
}

const PRESSURES: &[&str] = &["kPa", "bar", "psi"];
const AIR: &[&str] = &["kPa", "mbar", "inHg", "mmHg", "bar", "psi", "Pa"];
const TEMPERATURES: &[&str] = &["degC", "degF", "K"];

/// What to expect of a channel; `None` where the file's own scale is kept, and of
/// time, which goes by its steps.
pub(crate) fn of(channel: Channel) -> Option<Expected> {
    use Channel::*;
    Some(match channel {
        EngineSpeed => expected(&["rpm", "rev/s", "rad/s"], 50.0, 2100.0),
        Torque | CorrectedTorque => expected(&["N.m", "lb.ft", "kgf.m"], 5.0, 2000.0),
        WheelTorque => expected(&["N.m", "lb.ft"], 50.0, 10_000.0),
        Power | CorrectedPower | WheelPower => expected(&["kW", "hp", "PS"], 1.0e3, 2.0e6),
        CorrectionFactor => expected(&["", "%"], 0.7, 1.4),
        BrakeLoad | TractiveForce => expected(&["N", "lbf", "kgf"], 10.0, 2.0e4),
        RollerSpeed => expected(&["km/h", "mph", "m/s"], 5.0, 110.0),
        DriveRatio => expected(&[""], 0.05, 1000.0),
        Gear => expected(&[""], 1.0, 10.0),
        SweepRate => expected(&["rpm/s"], 1.0, 300.0),
        Throttle => expected(&["%", ""], 0.0, 1.05),
        InjectorDuty => expected(&["%", ""], 0.02, 1.3),
        RelativeHumidity => expected(&["%", ""], 0.02, 1.0),
        ManifoldPressure => expected(AIR, 3.0e4, 4.0e5),
        Boost => expected(&["kPa", "bar", "psi", "mbar", "inHg"], -2.0e4, 4.0e5),
        Barometer => expected(AIR, 6.5e4, 1.08e5),
        DryPressure => expected(AIR, 6.5e4, 1.08e5),
        VapourPressure => expected(&["kPa", "mbar", "mmHg", "inHg"], 50.0, 6.0e3),
        BoostSpeed => expected(&["rpm"], 500.0, 3.0e4),
        CoolantTemperature | CoolantInTemperature => expected(TEMPERATURES, 300.0, 400.0),
        OilTemperature => expected(TEMPERATURES, 300.0, 430.0),
        CellAirTemperature | IntakeAirTemperature | DewPoint | WetBulb => {
            expected(TEMPERATURES, 255.0, 335.0)
        }
        FuelTemperature => expected(TEMPERATURES, 260.0, 350.0),
        ExhaustTemperature(_) => expected(TEMPERATURES, 600.0, 1350.0),
        OilPressure => expected(PRESSURES, 1.2e5, 1.0e6),
        FuelPressure => expected(PRESSURES, 1.2e4, 8.0e5),
        ExhaustPressure => expected(PRESSURES, -5.0e3, 4.0e5),
        CrankcasePressure => expected(&["kPa", "mbar", "inHg", "inH2O", "psi"], -9.0e4, 2.0e4),
        FuelFlow => expected(&["kg/h", "lb/h", "g/s"], 2.0e-4, 0.15),
        FuelVolumeFlow => expected(&["L/h", "cc/min", "US.gal/h"], 3.0e-7, 2.0e-4),
        AirFlow => expected(&["kg/h", "lb/min", "g/s"], 3.0e-3, 1.5),
        BlowBy | CoolantFlow => expected(&["L/min", "cfm"], 1.0e-5, 1.0e-2),
        Lambda(_) | CylinderLambda(_) => expected(&[""], 0.6, 1.4),
        SparkAdvance => expected(&["deg"], -0.2, 1.1),
        InjectorPulse => expected(&["ms", "us"], 5.0e-4, 0.04),
        Time | Knock(_) | Battery | Vibration => return None,
    })
}
