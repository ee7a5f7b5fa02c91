//! Names that fit into a table of 80 columns.

use crate::manner::Manner;
use crate::text::{COLUMNS, first_of_each, shortened};
use shortblock_sheets::{Table, columns};

/// Fewest characters that a shortened name may keep.
const LEAST: usize = 10;
/// Blanks before a table.
const INDENT: usize = 2;

/// The table of `names`, in 80 columns: with the names as they are where that fits, else without
/// their middles, else with numbers that are told below.
pub fn fitting(names: &[String], manner: &Manner, table: impl Fn(&[String]) -> Table) -> String {
    let whole = table(names).text(INDENT);
    let widest = whole.lines().map(columns).max().unwrap_or(0);
    if widest <= COLUMNS {
        return whole;
    }
    let longest = names.iter().map(|name| columns(name)).max().unwrap_or(0);
    if longest <= LEAST {
        return whole;
    }
    let room = longest.saturating_sub(widest - COLUMNS);
    let short: Vec<String> = names.iter().map(|name| shortened(name, room.max(LEAST))).collect();
    let distinct = |names: &[String]| first_of_each(names.iter().map(String::as_str)).len();
    if room >= LEAST && distinct(&short) == distinct(names) {
        return table(&short).text(INDENT);
    }
    let numbers: Vec<String> = (1..=names.len()).map(|i| format!("#{i}")).collect();
    let told = numbers.iter().zip(names);
    let legend = told.map(|(number, name)| manner.wrapped(&format!("{number} is {name}"), INDENT));
    table(&numbers).text(INDENT) + "\n" + &legend.collect::<String>()
}
