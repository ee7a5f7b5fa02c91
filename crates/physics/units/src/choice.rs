//! Which unit each quantity is shown in.

use std::collections::BTreeMap;

use crate::error::UnitError;
use crate::quantity::Quantity;
use crate::spelling::kinds_of;
use crate::unit::{Trade, Unit, unit};

/// The units in which a person wants to see values: those of a trade, with exceptions.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitChoice {
    trade: Trade,
    chosen: BTreeMap<Quantity, &'static Unit>,
}

impl UnitChoice {
    /// Returns the usual units of a trade; `Both` counts as metric.
    pub fn of_trade(trade: Trade) -> Self {
        let trade = if trade == Trade::Both { Trade::Metric } else { trade };
        UnitChoice { trade, chosen: BTreeMap::new() }
    }

    /// Reads a list such as `kW, N.m` or `inch, hp`, over the units of `self`: the words `metric`
    /// and `inch` choose a trade, a unit chooses itself for every quantity that has it.
    ///
    /// The error is [`UnitError::ChoiceUnknown`] with the place of the word.
    pub fn with(mut self, list: &str) -> Result<Self, UnitError> {
        let mut start = 0;
        for item in list.split(',') {
            let word = item.trim();
            let at = start + (item.len() - item.trim_start().len());
            start += item.len() + 1;
            match word.to_lowercase().as_str() {
                "" => {}
                "metric" => self = UnitChoice::of_trade(Trade::Metric),
                "inch" | "imperial" => self = UnitChoice::of_trade(Trade::Inch),
                _ => self.choose(word).map_err(|error| error.shifted(at))?,
            }
        }
        Ok(self)
    }

    fn choose(&mut self, word: &str) -> Result<(), UnitError> {
        let kinds = kinds_of(word);
        if kinds.is_empty() {
            let range = 0..word.len();
            return Err(UnitError::ChoiceUnknown { found: word.to_owned(), range });
        }
        self.chosen.extend(kinds);
        Ok(())
    }

    /// Returns the unit in which `quantity` is shown.
    pub fn unit_for(&self, quantity: Quantity) -> &'static Unit {
        self.chosen.get(&quantity).copied().unwrap_or_else(|| quantity.display_unit(self.trade))
    }

    /// Returns the unit in which people read the value `si` (SI) of a `quantity`: as
    /// [`UnitChoice::unit_for`], but volumes of a litre and more in litres where cc would be shown and
    /// nobody asked for them.
    pub fn unit_for_value(&self, quantity: Quantity, si: f64) -> &'static Unit {
        let usual = self.unit_for(quantity);
        let asked = self.chosen.contains_key(&quantity);
        if quantity == Quantity::Volume && !asked && si.abs() >= ONE_LITRE {
            return unit(quantity, "L").unwrap_or(usual);
        }
        usual
    }
}

/// A litre, m³.
const ONE_LITRE: f64 = 1e-3;

impl Default for UnitChoice {
    fn default() -> Self {
        UnitChoice::of_trade(Trade::Metric)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(list: &str, quantity: Quantity) -> &'static str {
        UnitChoice::default().with(list).unwrap().unit_for(quantity).symbol
    }

    #[test]
    fn large_volumes_are_read_in_litres_unless_a_unit_was_chosen() {
        let read = |list: &str, si: f64| {
            UnitChoice::default().with(list).unwrap().unit_for_value(Quantity::Volume, si).symbol
        };
        assert_eq!((read("", 84.5e-6), read("", 12e-3)), ("cc", "L"));
        assert_eq!((read("inch", 12e-3), read("cc", 12e-3)), ("L", "cc"));
    }

    #[test]
    fn a_list_overrides_the_trade() {
        assert_eq!(shown("", Quantity::Power), "kW");
        assert_eq!(shown("hp, N.m", Quantity::Power), "hp");
        assert_eq!(shown("inch, kW", Quantity::Torque), "lb.ft");
        assert_eq!(shown("inch, kW", Quantity::Power), "kW");
        assert_eq!(shown("lb.ft", Quantity::Torque), "lb.ft");
        assert_eq!(shown("bar", Quantity::GaugePressure), "bar");
        assert_eq!(shown("bar", Quantity::PressureDifference), "bar");
        assert_eq!(shown("degF", Quantity::TemperatureDifference), "degF");
    }

    #[test]
    fn an_unknown_word_has_its_place() {
        let error = UnitChoice::default().with("kW, furlong").unwrap_err();
        assert_eq!(error.range(), 4..11);
        assert_eq!(error.what(), "\"furlong\" is not a unit");
    }
}
