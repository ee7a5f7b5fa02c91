//! The kinds of quantity the trade writes down.

/// A kind of quantity. Two that share a dimension but must not be mixed up are two kinds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Quantity {
    /// Bore, stroke, lift, clearance, pipe length, elevation.
    Length,
    /// Port and runner cross-sections.
    Area,
    /// Chamber, crown, displacement, plenum.
    Volume,
    /// Crank and cam angles, bank and seat angles.
    Angle,
    /// Linear speed: piston, gas, vehicle.
    Speed,
    /// Linear acceleration.
    Acceleration,
    /// Turning speed of the crankshaft or another shaft.
    EngineSpeed,
    /// Change of engine speed with time: the rate of a sweep.
    SweepRate,
    /// Mass of a part.
    Mass,
    /// Spring and bolt force.
    Force,
    /// Spring rate.
    ForceRate,
    /// Turning moment.
    Torque,
    /// Work in unit time, also heat flow.
    Power,
    /// Work, heat, spark energy.
    Energy,
    /// Pressure above vacuum: barometer, manifold and cylinder pressure.
    AbsolutePressure,
    /// Pressure above the air outside: oil, fuel and boost gauges.
    GaugePressure,
    /// Difference of two pressures: flow test pressure, back pressure, mean effective pressure.
    PressureDifference,
    /// A temperature on a scale.
    Temperature,
    /// Difference of two temperatures.
    TemperatureDifference,
    /// Volume in unit time, at the state that is stated with it.
    VolumeFlow,
    /// Mass in unit time.
    MassFlow,
    /// Mass in unit volume.
    Density,
    /// A share: humidity, leak-down, blend.
    Fraction,
    /// A time.
    Time,
    /// Events in unit time.
    Frequency,
    /// A number with no unit: compression ratio, rocker ratio, lambda, octane number.
    Ratio,
    /// Fuel mass per unit of brake work.
    FuelConsumption,
    /// Energy in unit mass: heating value, heat of vaporisation.
    SpecificEnergy,
    /// Moment of inertia.
    Inertia,
    /// Dynamic viscosity.
    DynamicViscosity,
    /// Kinematic viscosity.
    KinematicViscosity,
}

use Quantity::*;

impl Quantity {
    /// Every kind, in the order in which a unit found in several kinds is explained.
    pub const ALL: [Quantity; 31] = [
        Length,
        Area,
        Volume,
        Angle,
        Speed,
        Acceleration,
        EngineSpeed,
        SweepRate,
        Mass,
        Force,
        ForceRate,
        Torque,
        Power,
        Energy,
        AbsolutePressure,
        GaugePressure,
        PressureDifference,
        Temperature,
        TemperatureDifference,
        VolumeFlow,
        MassFlow,
        Density,
        Fraction,
        Time,
        Frequency,
        Ratio,
        FuelConsumption,
        SpecificEnergy,
        Inertia,
        DynamicViscosity,
        KinematicViscosity,
    ];

    /// Returns the name in plain words, without an article.
    pub fn name(self) -> &'static str {
        self.with_article().split_once(' ').map_or("", |(_, name)| name)
    }

    /// Returns the name in plain words with its article: "an engine speed".
    pub fn with_article(self) -> &'static str {
        match self {
            Length => "a length",
            Area => "an area",
            Volume => "a volume",
            Angle => "an angle",
            Speed => "a speed",
            Acceleration => "an acceleration",
            EngineSpeed => "an engine speed",
            SweepRate => "a sweep rate",
            Mass => "a mass",
            Force => "a force",
            ForceRate => "a spring rate",
            Torque => "a torque",
            Power => "a power",
            Energy => "an energy",
            AbsolutePressure => "an absolute pressure",
            GaugePressure => "a gauge pressure",
            PressureDifference => "a pressure difference",
            Temperature => "a temperature",
            TemperatureDifference => "a temperature difference",
            VolumeFlow => "a volume flow",
            MassFlow => "a mass flow",
            Density => "a density",
            Fraction => "a fraction",
            Time => "a time",
            Frequency => "a frequency",
            Ratio => "a plain number",
            FuelConsumption => "a specific fuel consumption",
            SpecificEnergy => "a specific energy",
            Inertia => "a moment of inertia",
            DynamicViscosity => "a dynamic viscosity",
            KinematicViscosity => "a kinematic viscosity",
        }
    }

    /// Returns the coherent SI unit in which values of this kind are held.
    pub fn si_symbol(self) -> &'static str {
        match self {
            Length => "m",
            Area => "m2",
            Volume => "m3",
            Angle => "rad",
            Speed => "m/s",
            Acceleration => "m/s2",
            EngineSpeed => "rad/s",
            SweepRate => "rad/s2",
            Mass => "kg",
            Force => "N",
            ForceRate => "N/m",
            Torque => "N.m",
            Power => "W",
            Energy => "J",
            AbsolutePressure | GaugePressure | PressureDifference => "Pa",
            Temperature | TemperatureDifference => "K",
            VolumeFlow => "m3/s",
            MassFlow => "kg/s",
            Density => "kg/m3",
            Fraction | Ratio => "",
            Time => "s",
            Frequency => "Hz",
            FuelConsumption => "kg/J",
            SpecificEnergy => "J/kg",
            Inertia => "kg.m2",
            DynamicViscosity => "Pa.s",
            KinematicViscosity => "m2/s",
        }
    }

    /// Returns the kinds that may follow the word "at": a duration is stated *at* a lift, a flow
    /// *at* a test pressure. Empty when nothing may follow.
    pub fn stated_at(self) -> &'static [Quantity] {
        match self {
            Angle | Force => &[Length],
            VolumeFlow | MassFlow => &[PressureDifference],
            Torque | Power | FuelConsumption | GaugePressure => &[EngineSpeed],
            PressureDifference => &[MassFlow, VolumeFlow, EngineSpeed],
            Density | DynamicViscosity | KinematicViscosity => &[Temperature],
            _ => &[],
        }
    }

    /// True when no value of this kind lies below zero in SI.
    pub(crate) fn has_absolute_zero(self) -> bool {
        matches!(self, Temperature | AbsolutePressure)
    }
}

impl std::fmt::Display for Quantity {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_lists_each_kind_once_in_order() {
        for (i, q) in Quantity::ALL.iter().enumerate() {
            assert_eq!(*q as usize, i, "{q}");
        }
    }

    #[test]
    fn names_carry_no_article() {
        assert_eq!(EngineSpeed.to_string(), "engine speed");
        assert_eq!(Ratio.to_string(), "plain number");
    }
}
