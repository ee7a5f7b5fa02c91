//! `units`: every unit that is read, and what it is.

use crate::Done;
use crate::args::Units;
use crate::failure::Failure;
use crate::json::{self, clean};
use crate::manner::{Form, Manner};
use crate::text::{csv_row, padded};
use serde_json::{Value as Json, json};
use shortblock_document::nearest;
use shortblock_units::{Quantity, Unit, unit, units_of};

/// The list, or one quantity in full.
pub fn run(args: &Units, manner: &Manner) -> Result<Done, Failure> {
    let asked = args.quantity.join(" ");
    let wanted = if asked.is_empty() { Quantity::ALL.to_vec() } else { find(&asked)? };
    let text = match manner.form {
        Form::Json => {
            let quantities: Vec<Json> = wanted.iter().map(|q| quantity_json(*q)).collect();
            let object = json!({ "format": "shortblock/units/1", "quantities": quantities });
            json::line(&object, manner)
        }
        Form::Csv => as_csv(&wanted),
        Form::Text if asked.is_empty() => list(manner),
        Form::Text => wanted.iter().map(|q| page(*q, manner)).collect::<Vec<_>>().join("\n"),
    };
    Ok(Done::well(text))
}

/// The quantity of this name, or those that have a unit written so.
fn find(asked: &str) -> Result<Vec<Quantity>, Failure> {
    let plain = asked.to_lowercase().replace(['_', '-'], " ");
    let by_name: Vec<Quantity> = Quantity::ALL.into_iter().filter(|q| q.name() == plain).collect();
    if !by_name.is_empty() {
        return Ok(by_name);
    }
    let by_unit: Vec<Quantity> =
        Quantity::ALL.into_iter().filter(|q| unit(*q, asked).is_some()).collect();
    if !by_unit.is_empty() {
        return Ok(by_unit);
    }
    let part = Quantity::ALL.into_iter().filter(|q| q.name().split(' ').any(|w| w == plain));
    let by_part: Vec<Quantity> = part.collect();
    if !by_part.is_empty() {
        return Ok(by_part);
    }
    let names = Quantity::ALL.into_iter().map(Quantity::name);
    let symbols = Quantity::ALL.into_iter().flat_map(|q| units_of(q).iter().map(|u| u.symbol));
    let near = nearest(&plain, names).or_else(|| nearest(asked, symbols));
    let hint = near.map_or("shortblock units lists them all".to_owned(), |near| {
        format!("did you mean {near}?")
    });
    Err(Failure::NotFound(format!("\"{asked}\" is no quantity and no unit\nhint: {hint}")))
}

fn list(manner: &Manner) -> String {
    let width = Quantity::ALL.into_iter().map(|q| q.name().len()).max().unwrap_or(0) + 2;
    let mut out = String::new();
    for quantity in Quantity::ALL {
        let symbols: Vec<&str> =
            units_of(quantity).iter().map(|u| u.symbol).filter(|s| !s.is_empty()).collect();
        let symbols = if symbols.is_empty() { "no unit".to_owned() } else { symbols.join(", ") };
        let block = manner.wrapped(&symbols, width);
        let name = manner.strong(&padded(quantity.name(), width));
        out += &format!("{name}{}", &block[width..]);
    }
    out += "\n";
    out += &manner.wrapped(
        "Written as in files. \"·\", \".\" and nothing mean the same between units: N.m, N·m, Nm. \
         More of one quantity, or of a unit:  shortblock units torque",
        0,
    );
    out
}

fn page(quantity: Quantity, manner: &Manner) -> String {
    let units = units_of(quantity);
    let mut out = manner.strong(quantity.name()) + "\n";
    let width = units.iter().map(|u| u.symbol.len()).max().unwrap_or(0).max(4) + 4;
    for unit in units {
        let symbol = if unit.symbol.is_empty() { "1" } else { unit.symbol };
        let mut text = format!("{}; {}", unit.name, worth(unit, quantity));
        if !unit.spellings.is_empty() {
            text += &format!("; also {}", unit.spellings.join(", "));
        }
        let block = manner.wrapped(&text, width);
        out += &format!("{}{}", padded(&format!("  {symbol}"), width), &block[width..]);
    }
    let at: Vec<&str> = quantity.stated_at().iter().map(|q| q.with_article()).collect();
    if !at.is_empty() {
        out += &manner.wrapped(&format!("may be stated \"at\" {}", at.join(" or ")), 2);
    }
    out
}

/// What one of the unit is in SI.
fn worth(unit: &Unit, quantity: Quantity) -> String {
    let si = quantity.si_symbol();
    let gap = if si.is_empty() { "" } else { " " };
    let factor = clean(unit.factor);
    if unit.offset == 0.0 {
        format!("{factor}{gap}{si}")
    } else {
        let offset = clean(unit.offset);
        format!("{offset}{gap}{si} at 0, {factor}{gap}{si} a degree")
    }
}

fn quantity_json(quantity: Quantity) -> Json {
    let units = units_of(quantity).iter().map(|unit| {
        json!({ "symbol": unit.symbol, "name": unit.name, "factor": unit.factor,
            "offset": unit.offset, "spellings": unit.spellings })
    });
    let units: Vec<Json> = units.collect();
    json!({ "quantity": quantity.name(), "si": quantity.si_symbol(), "units": units })
}

fn as_csv(wanted: &[Quantity]) -> String {
    let mut out = csv_row(&["quantity", "unit", "name", "factor", "offset", "si"]);
    for quantity in wanted {
        for unit in units_of(*quantity) {
            let (factor, offset) = (unit.factor.to_string(), unit.offset.to_string());
            let cells = [quantity.name(), unit.symbol, unit.name, &factor, &offset];
            out += &csv_row(&cells.into_iter().chain([quantity.si_symbol()]).collect::<Vec<_>>());
        }
    }
    out
}
