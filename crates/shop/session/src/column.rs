//! Units that a confirmed column may have.

use shortblock_document::Finding;
use shortblock_pulls::{Channel, is_unit_of};
use shortblock_units::{Quantity, unit, units_of};

use crate::entry::Entry;
use crate::form::Form;

/// Lambda may stand in a log as the air-fuel ratio that it is made from.
const AIR_FUEL_RATIO: &str = "AFR";

/// Notes a fault when a unit is none of the channel's quantity.
pub fn check_unit(form: &mut Form, entry: &Entry, channel: Channel, typed: &str) {
    let Some(quantity) = channel.quantity() else { return };
    let lambda = matches!(channel, Channel::Lambda(_) | Channel::CylinderLambda(_));
    if unit(quantity, typed).is_some() || is_unit_of(channel, typed) {
        return;
    }
    let is = Quantity::ALL.into_iter().find(|q| unit(*q, typed).is_some());
    let name = channel.name();
    let what = match is {
        Some(is) => format!(
            "\"{typed}\" is a unit of {}, and {name} is {}",
            is.with_article(),
            quantity.with_article()
        ),
        None => format!("\"{typed}\" is not a unit"),
    };
    let mut units: Vec<&str> = units_of(quantity).iter().take(5).map(|u| u.symbol).collect();
    units.extend(lambda.then_some(AIR_FUEL_RATIO));
    let units: Vec<&str> = units.into_iter().filter(|u| !u.is_empty()).collect();
    let remedy = match units.as_slice() {
        [] => "Leave the unit out: it is a plain number.".to_owned(),
        units => format!("Write one of: {}.", units.join(", ")),
    };
    let fault = Finding::new(what).at(entry.place_of("unit")).about("column.unit");
    form.faults.push(fault.remedy(remedy));
}
