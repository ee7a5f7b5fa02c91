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
    /// Pressure in the exhaust pipe above the air outside.
    ExhaustPressure,
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
            Self::Boost
            | Self::OilPressure
            | Self::FuelPressure
            | Self::ExhaustPressure
            | Self::CrankcasePressure => Quantity::GaugePressure,
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
    /// The name in plain words: "oil pressure", "lambda of bank 2".
    pub fn name(self) -> String {
        let of = |what: &str, whose: &str, n: u8| match n {
            0 => what.to_owned(),
            n => format!("{what} of {whose} {n}"),
        };
        match self {
            Self::Lambda(n) => of("lambda", "bank", n),
            Self::CylinderLambda(n) => of("lambda", "cylinder", n),
            Self::ExhaustTemperature(n) => of("exhaust temperature", "cylinder", n),
            Self::Knock(n) => of("knock", "cylinder", n),
            other => PLAIN
                .iter()
                .find(|(channel, _)| *channel == other)
                .map_or_else(String::new, |(_, name)| (*name).to_owned()),
        }
    }

    /// The channel with this name (capitals, spaces, `-` and `_` do not matter), or `None`.
    pub fn parse(name: &str) -> Option<Self> {
        let bare = |text: &str| text.to_lowercase().replace([' ', '-', '_'], "");
        let wanted = bare(name);
        let numbered = (0..=24).flat_map(|n| {
            [Self::Lambda(n), Self::CylinderLambda(n), Self::ExhaustTemperature(n), Self::Knock(n)]
        });
        let plain = PLAIN.iter().map(|(channel, _)| *channel);
        plain.chain(numbered).find(|channel| bare(&channel.name()) == wanted)
    }

    /// Every channel's name; of those that can be several, without a number.
    pub fn names() -> Vec<String> {
        let several =
            [Self::Lambda(0), Self::ExhaustTemperature(0), Self::Knock(0)].map(Self::name);
        PLAIN.iter().map(|(_, name)| (*name).to_owned()).chain(several).collect()
    }
}

/// Channels of which a log holds one, with their names.
const PLAIN: &[(Channel, &str)] = &[
    (Channel::Time, "time"),
    (Channel::EngineSpeed, "engine speed"),
    (Channel::Torque, "torque"),
    (Channel::Power, "power"),
    (Channel::CorrectedTorque, "corrected torque"),
    (Channel::CorrectedPower, "corrected power"),
    (Channel::CorrectionFactor, "correction factor"),
    (Channel::BrakeLoad, "brake load"),
    (Channel::RollerSpeed, "roller speed"),
    (Channel::TractiveForce, "tractive force"),
    (Channel::WheelTorque, "wheel torque"),
    (Channel::WheelPower, "wheel power"),
    (Channel::DriveRatio, "drive ratio"),
    (Channel::SweepRate, "sweep rate"),
    (Channel::Throttle, "throttle"),
    (Channel::ManifoldPressure, "manifold pressure"),
    (Channel::Boost, "boost"),
    (Channel::BoostSpeed, "compressor speed"),
    (Channel::Barometer, "barometer"),
    (Channel::DryPressure, "dry air pressure"),
    (Channel::VapourPressure, "vapour pressure"),
    (Channel::RelativeHumidity, "relative humidity"),
    (Channel::DewPoint, "dew point"),
    (Channel::WetBulb, "wet-bulb temperature"),
    (Channel::CellAirTemperature, "cell air temperature"),
    (Channel::IntakeAirTemperature, "inlet air temperature"),
    (Channel::CoolantInTemperature, "coolant inlet temperature"),
    (Channel::CoolantTemperature, "coolant temperature"),
    (Channel::OilTemperature, "oil temperature"),
    (Channel::OilPressure, "oil pressure"),
    (Channel::FuelPressure, "fuel pressure"),
    (Channel::FuelTemperature, "fuel temperature"),
    (Channel::FuelFlow, "fuel flow"),
    (Channel::FuelVolumeFlow, "fuel volume flow"),
    (Channel::AirFlow, "air flow"),
    (Channel::ExhaustPressure, "exhaust pressure"),
    (Channel::SparkAdvance, "spark advance"),
    (Channel::InjectorPulse, "injector opening time"),
    (Channel::InjectorDuty, "injector duty"),
    (Channel::Battery, "supply voltage"),
    (Channel::CrankcasePressure, "crankcase pressure"),
    (Channel::BlowBy, "blow-by"),
    (Channel::CoolantFlow, "coolant flow"),
    (Channel::Vibration, "vibration"),
    (Channel::Gear, "gear"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_is_found_again() {
        for name in Channel::names() {
            let channel = Channel::parse(&name).unwrap();
            assert!(!name.is_empty());
            assert_eq!(channel.name(), name);
        }
        assert_eq!(Channel::parse("Lambda of bank 2"), Some(Channel::Lambda(2)));
        assert_eq!(Channel::parse("oil-pressure"), Some(Channel::OilPressure));
        assert_eq!(Channel::parse("nothing"), None);
    }
}
