//! A value that can't be read, as a finding.

use shortblock_units::{Quantity, UnitError, units_of};

use crate::fault::Finding;
use crate::source::Place;

/// A path in plain words: `exhaust.primary.length` → "exhaust primary length".
#[must_use]
pub fn label(path: &str) -> String {
    path.replace(['.', '_'], " ")
}

/// The first few units of a quantity, for "one of".
fn some_units(quantity: Quantity) -> String {
    let symbols: Vec<&str> = units_of(quantity).iter().take(5).map(|u| u.symbol).collect();
    symbols.join(", ")
}

/// A fault of a value as people read it.
#[must_use]
pub fn value_fault(error: &UnitError, place: &Place, path: &str, quantity: Quantity) -> Finding {
    let name = label(path);
    let fault = match error {
        UnitError::UnitMissing { found, .. } => {
            let first = units_of(quantity).first().map_or("", |u| u.symbol);
            let unit = if path == "elevation" { "m" } else { first };
            Finding::new(format!("{name} has no unit"))
                .mark("needs a unit")
                .remedy(format!("Write \"{found} {unit}\" or the like, in quotes."))
        }
        UnitError::UnitUnknown { found, nearest, .. } => {
            let units = some_units(quantity);
            let mark = match nearest.first() {
                Some(near) => format!("did you mean {near}? one of: {units}"),
                None => format!("one of: {units}"),
            };
            Finding::new(format!("\"{found}\" is not a unit")).mark(mark)
        }
        UnitError::OtherQuantity { is, .. } => {
            Finding::new(format!("{name} is given as {}, which does not fit", is.with_article()))
                .mark(format!("wanted: {}", some_units(quantity)))
        }
        other => Finding::new(format!("{name}: {}", other.what())).remedy(other.hint()),
    };
    fault.at(place).about(path)
}
