//! Words for limits of what a log shows.

use shortblock_pulls::Channel;
use shortblock_units::Quantity::{
    EngineSpeed, Fraction, GaugePressure, Power, Ratio, Temperature, Torque,
};

use super::{Field, Kind};
use crate::limit::Side;

/// `[limits]`
pub const LIMITS: &[Field] = &[
    Field::of("engine_speed", EngineSpeed, "Never faster."),
    Field::of("torque", Torque, "Never more."),
    Field::of("power", Power, "Never more."),
    Field::of("oil_pressure", GaugePressure, "Never less while it pulls."),
    Field::of("oil_temperature", Temperature, "Never hotter."),
    Field::of("coolant_temperature", Temperature, "Never hotter."),
    Field::of("fuel_pressure", GaugePressure, "Never less."),
    Field::of("exhaust_temperature", Temperature, "Never hotter."),
    Field::of("lambda", Ratio, "Never leaner at full load."),
    Field::new("knock", Kind::Number, "Never more, in the scale of the log."),
    Field::of("boost", GaugePressure, "Never more."),
    Field::of("crankcase_pressure", GaugePressure, "Never more."),
    Field::of("injector_duty", Fraction, "Never more."),
];

/// What each of [`LIMITS`] is on, in their order.
pub const LIMITED: &[(&str, Channel, Side)] = &[
    ("engine_speed", Channel::EngineSpeed, Side::AtMost),
    ("torque", Channel::Torque, Side::AtMost),
    ("power", Channel::Power, Side::AtMost),
    ("oil_pressure", Channel::OilPressure, Side::AtLeast),
    ("oil_temperature", Channel::OilTemperature, Side::AtMost),
    ("coolant_temperature", Channel::CoolantTemperature, Side::AtMost),
    ("fuel_pressure", Channel::FuelPressure, Side::AtLeast),
    ("exhaust_temperature", Channel::ExhaustTemperature(0), Side::AtMost),
    ("lambda", Channel::Lambda(0), Side::AtMost),
    ("knock", Channel::Knock(0), Side::AtMost),
    ("boost", Channel::Boost, Side::AtMost),
    ("crankcase_pressure", Channel::CrankcasePressure, Side::AtMost),
    ("injector_duty", Channel::InjectorDuty, Side::AtMost),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_limit_is_on_a_channel_of_its_quantity() {
        let words: Vec<&str> = LIMITS.iter().map(|f| f.word).collect();
        assert_eq!(words, LIMITED.iter().map(|(word, ..)| *word).collect::<Vec<_>>());
        for (field, (_, channel, _)) in LIMITS.iter().zip(LIMITED) {
            let kind = channel.quantity().map_or(Kind::Number, Kind::Quantity);
            assert_eq!(field.kind, kind);
        }
    }
}
