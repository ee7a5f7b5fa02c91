//! What a column can be.

use shortblock_units::Quantity;

/// A quantity that logs of engines and dynamometers hold. Where there can be several (banks,
/// cylinders), the number counts from 1 and 0 stands for "all" or "not said".
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Channel {
    /// Time since any start.
    Time,
    /// Speed of the crankshaft.
    EngineSpeed,
    /// Torque at the crankshaft, as read.
    Torque,
    /// Power at the crankshaft, as read.
    Power,
    /// Torque at the crankshaft, corrected by the file's own factor.
    CorrectedTorque,
    /// Power at the crankshaft, corrected by the file's own factor.
    CorrectedPower,
    /// Factor by which the file was corrected.
    CorrectionFactor,
    /// Force at the load cell.
    BrakeLoad,
    /// Surface speed of the roller, or of the vehicle on it.
    RollerSpeed,
    /// Force of the tyre on the roller.
    TractiveForce,
    /// Torque at the wheels.
    WheelTorque,
    /// Power at the wheels.
    WheelPower,
    /// Engine speed over wheel or roller speed.
    DriveRatio,
    /// Change of engine speed with time.
    SweepRate,
    /// Throttle opening.
    Throttle,
    /// Pressure in the manifold, absolute.
    ManifoldPressure,
    /// Pressure in the manifold above the air outside.
    Boost,
    /// Speed of the compressor's shaft.
    BoostSpeed,
    /// Pressure of the air outside.
    Barometer,
    /// Pressure of the dry part of the air.
    DryPressure,
    /// Partial pressure of the water vapour.
    VapourPressure,
    /// Relative humidity.
    RelativeHumidity,
    /// Dew point.
    DewPoint,
    /// Wet-bulb temperature.
    WetBulb,
    /// Temperature of the air in the cell.
    CellAirTemperature,
    /// Temperature of the air at the engine's inlet.
    IntakeAirTemperature,
    /// Coolant into the engine.
    CoolantInTemperature,
    /// Coolant out of the engine, or just "coolant".
    CoolantTemperature,
    /// Oil temperature.
    OilTemperature,
    /// Oil pressure.
    OilPressure,
    /// Fuel pressure.
    FuelPressure,
    /// Fuel temperature.
    FuelTemperature,
    /// Mass of fuel in unit time.
    FuelFlow,
    /// Volume of fuel in unit time.
    FuelVolumeFlow,
    /// Mass of air in unit time.
    AirFlow,
    /// Relative air-fuel ratio of a bank.
    Lambda(u8),
    /// Relative air-fuel ratio of a cylinder.
    CylinderLambda(u8),
    /// Exhaust temperature of a cylinder.
    ExhaustTemperature(u8),
    /// Spark advance before top dead centre.
    SparkAdvance,
    /// Opening time of an injector.
    InjectorPulse,
    /// Share of the time that an injector is open.
    InjectorDuty,
    /// Knock signal or count, of a cylinder, in the file's own scale.
    Knock(u8),
    /// Supply voltage, in volts.
    Battery,
    /// Pressure in the crankcase above the air outside.
    CrankcasePressure,
    /// Gas past the rings.
    BlowBy,
    /// Flow of coolant.
    CoolantFlow,
    /// Vibration, in the file's own scale.
    Vibration,
    /// Gear engaged.
    Gear,
}

impl Channel {
    /// The quantity in which the channel is held; `None` where the file's own scale is kept.
    pub fn quantity(self) -> Option<Quantity> {
        Some(match self {
            Self::Time | Self::InjectorPulse => Quantity::Time,
            Self::EngineSpeed | Self::BoostSpeed => Quantity::EngineSpeed,
            Self::Torque | Self::CorrectedTorque | Self::WheelTorque => Quantity::Torque,
            Self::Power | Self::CorrectedPower | Self::WheelPower => Quantity::Power,
            Self::CorrectionFactor | Self::DriveRatio | Self::Gear => Quantity::Ratio,
            Self::Lambda(_) | Self::CylinderLambda(_) => Quantity::Ratio,
            Self::BrakeLoad | Self::TractiveForce => Quantity::Force,
            Self::RollerSpeed => Quantity::Speed,
            Self::SweepRate => Quantity::SweepRate,
            Self::Throttle | Self::RelativeHumidity | Self::InjectorDuty => Quantity::Fraction,
            Self::ManifoldPressure | Self::Barometer | Self::DryPressure | Self::VapourPressure => {
                Quantity::AbsolutePressure
            }
            Self::Boost | Self::OilPressure | Self::FuelPressure | Self::CrankcasePressure => {
                Quantity::GaugePressure
            }
            Self::DewPoint
            | Self::WetBulb
            | Self::CellAirTemperature
            | Self::IntakeAirTemperature
            | Self::CoolantInTemperature
            | Self::CoolantTemperature
            | Self::OilTemperature
            | Self::FuelTemperature
            | Self::ExhaustTemperature(_) => Quantity::Temperature,
            Self::FuelFlow | Self::AirFlow => Quantity::MassFlow,
            Self::FuelVolumeFlow | Self::BlowBy | Self::CoolantFlow => Quantity::VolumeFlow,
            Self::SparkAdvance => Quantity::Angle,
            Self::Knock(_) | Self::Battery | Self::Vibration => return None,
        })
    }
}
