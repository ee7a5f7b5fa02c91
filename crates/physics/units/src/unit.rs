//! One unit: how it is written and what it is worth in SI.

use crate::quantity::Quantity;
use crate::tables::units_of;

/// The trade in which a unit is at home; decides which one is shown by default.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Trade {
    /// Millimetres, newton metres, kilowatts.
    Metric,
    /// Inches, pound-feet, horsepower.
    Inch,
    /// The same in both: degrees, rpm, seconds.
    Both,
}

impl Trade {
    /// True when a shop of trade `shop` is at home with a unit of this trade.
    pub fn serves(self, shop: Trade) -> bool {
        self == shop || self == Trade::Both || shop == Trade::Both
    }
}

/// A unit of one quantity: SI value = [`offset`](Unit::offset) + [`factor`](Unit::factor) × number.
#[derive(Debug, PartialEq)]
pub struct Unit {
    /// The way it is written in files and at the terminal, plain ASCII: `lb.ft`.
    pub symbol: &'static str,
    /// What it is, in words, with its definition or reference temperature where that matters.
    pub name: &'static str,
    /// Other accepted spellings. A `.` stands for any or no separator: `ft.lb`, `ft lb`, `ft·lb`.
    pub spellings: &'static [&'static str],
    /// SI units in one of this unit.
    pub factor: f64,
    /// SI value of this unit's zero; not zero only for temperatures.
    pub offset: f64,
    /// Where it is at home.
    pub trade: Trade,
}

impl Unit {
    /// Returns the SI value of `number` of this unit.
    pub fn to_si(&self, number: f64) -> f64 {
        self.offset + self.factor * number
    }

    /// Returns how many of this unit the SI value `si` is.
    pub fn from_si(&self, si: f64) -> f64 {
        (si - self.offset) / self.factor
    }

    /// Returns the SI size of a difference (a ±, a step) of `number` of this unit.
    pub fn span_to_si(&self, number: f64) -> f64 {
        self.factor * number
    }

    /// Returns how many of this unit a difference of `si` is.
    pub fn span_from_si(&self, si: f64) -> f64 {
        si / self.factor
    }

    /// Returns the symbol as set on screens and paper: `N·m`, `°C`, `in²`.
    pub fn pretty(&self) -> String {
        let plain: Vec<char> = self.symbol.chars().collect();
        let mut out = String::with_capacity(self.symbol.len() + 4);
        for (i, &c) in plain.iter().enumerate() {
            let closes = plain.get(i + 1).is_none_or(|next| matches!(next, '.' | '/'));
            let raised = closes && i > 0 && plain[i - 1].is_ascii_alphabetic();
            out.push(match c {
                '.' => '·',
                '2' if raised => '²',
                '3' if raised => '³',
                _ => c,
            });
        }
        for (plain, set) in [("degC", "°C"), ("degF", "°F"), ("um", "µm"), ("us", "µs")] {
            if self.symbol == plain {
                return set.to_owned();
            }
        }
        out
    }
}

/// Returns the unit of `quantity` with this symbol or spelling, or `None`.
pub fn unit(quantity: Quantity, spelling: &str) -> Option<&'static Unit> {
    crate::spelling::find(quantity, spelling)
}

/// Returns `number`, given in `from`, in the unit `to` of the same quantity.
pub fn convert(number: f64, from: &Unit, to: &Unit) -> f64 {
    if std::ptr::eq(from, to) {
        return number;
    }
    to.from_si(from.to_si(number))
}

impl Quantity {
    /// Returns the unit in which a shop of this trade wants to see the quantity.
    ///
    /// The tables are ordered: the first unit that is at home in a trade is its display unit.
    pub fn display_unit(self, trade: Trade) -> &'static Unit {
        let units = units_of(self);
        units.iter().find(|u| u.trade.serves(trade)).unwrap_or(&units[0])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn symbols_are_set_with_raised_figures_and_dots() {
        for (q, symbol, set) in [
            (Quantity::Torque, "N.m", "N·m"),
            (Quantity::Area, "in2", "in²"),
            (Quantity::Inertia, "kg.m2", "kg·m²"),
            (Quantity::PressureDifference, "inH2O", "inH2O"),
            (Quantity::Temperature, "degC", "°C"),
            (Quantity::Density, "kg/m3", "kg/m³"),
        ] {
            assert_eq!(unit(q, symbol).unwrap().pretty(), set);
        }
    }

    #[test]
    fn a_shop_sees_its_own_units_first() {
        let shown = |q: Quantity| {
            (q.display_unit(Trade::Metric).symbol, q.display_unit(Trade::Inch).symbol)
        };
        assert_eq!(shown(Quantity::Length), ("mm", "in"));
        assert_eq!(shown(Quantity::Torque), ("N.m", "lb.ft"));
        assert_eq!(shown(Quantity::Power), ("kW", "hp"));
        assert_eq!(shown(Quantity::Speed), ("m/s", "ft/min"));
        assert_eq!(shown(Quantity::VolumeFlow), ("L/min", "cfm"));
        assert_eq!(shown(Quantity::EngineSpeed), ("rpm", "rpm"));
        assert_eq!(shown(Quantity::Temperature), ("degC", "degF"));
        assert_eq!(shown(Quantity::Ratio), ("", ""));
    }
}
