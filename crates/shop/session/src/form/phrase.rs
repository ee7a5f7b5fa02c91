//! Values with units, ranges of speed, standards and orders.

use shortblock_compare::Order;
use shortblock_document::{Body, Finding, Node, label, nearest, value_fault};
use shortblock_units::{Measure, Quantity, UnitError, parse, parse_one_of};
use shortblock_weather::Standard;

use crate::entry::What;

use super::Form;

/// A number with a unit of this quantity, not stated "at" anything.
pub fn value(form: &mut Form, node: &Node, path: &str, quantity: Quantity) -> Option<What> {
    let read = |text: &str| parse(text, quantity);
    measure(form, node, path, quantity, read).map(What::Value)
}

/// A number with a unit of any quantity; per cent first.
pub fn any_value(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    let mut kinds = vec![Quantity::Fraction];
    kinds.extend(
        Quantity::ALL.iter().filter(|q| **q != Quantity::Fraction && **q != Quantity::Ratio),
    );
    measure(form, node, path, Quantity::Fraction, |text| parse_one_of(text, &kinds))
        .map(What::Value)
}

fn measure(
    form: &mut Form,
    node: &Node,
    path: &str,
    quantity: Quantity,
    read: impl Fn(&str) -> Result<Measure, UnitError>,
) -> Option<Measure> {
    let text = match &node.body {
        Body::Text(text) => text.clone(),
        Body::Number(_, text) => text.replace('_', ""),
        _ => {
            let what = format!("{} is {} in quotes", label(path), quantity.with_article());
            form.wrong(&node.place, path, what, "Write number and unit in quotes.");
            return None;
        }
    };
    match read(&text) {
        Ok(measure) if measure.at.is_none() => Some(measure),
        Ok(_) => {
            let what = format!("{} is not stated \"at\" anything", label(path));
            let remedy = "Take out what follows \"at\", or put it in a note.";
            form.wrong(&node.place, path, what, remedy);
            None
        }
        Err(error) => {
            form.faults.push(value_fault(&error, &node.place, path, quantity));
            None
        }
    }
}

/// Two engine speeds, the unit once or twice: `4500 to 8000 rpm`, `4500:8000 rpm`.
pub fn range(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    let text = node.text().unwrap_or_default();
    let text = text.strip_prefix("from ").unwrap_or(text);
    let parts = text.split_once(" to ").or_else(|| text.split_once(':'));
    let read = parts.and_then(|(from, to)| {
        let to = parse(to, Quantity::EngineSpeed).ok()?;
        let from = parse(from, Quantity::EngineSpeed).or_else(|_| {
            parse(&format!("{} {}", from.trim(), to.unit.symbol), Quantity::EngineSpeed)
        });
        Some((from.ok()?.si, to.si))
    });
    match read {
        Some((from, to)) if from < to => Some(What::Range(from, to)),
        Some(_) => {
            let what = format!("{} runs from the higher speed to the lower", label(path));
            form.wrong(&node.place, path, what, "Write the lower speed first.");
            None
        }
        None => {
            let what = format!("\"{node}\" is not a range of speed");
            let fault = Finding::new(what).at(&node.place).about(path);
            form.faults.push(fault.remedy("Write \"4500 to 8000 rpm\"."));
            None
        }
    }
}

/// A correction standard by its name or short name.
pub fn standard(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    let bare = |text: &str| -> String {
        text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
    };
    let typed = bare(node.text().unwrap_or_default());
    let names = |s: &Standard| [bare(s.about().name), bare(s.about().key)];
    let found = Standard::ALL.into_iter().find(|s| names(s).contains(&typed));
    if let Some(standard) = found {
        return Some(What::Standard(standard));
    }
    let inside = |s: &Standard| typed.len() >= 4 && names(s).iter().any(|n| n.contains(&typed));
    let editions: Vec<String> = Standard::ALL
        .iter()
        .filter(|s| inside(s))
        .map(|s| format!("\"{}\"", s.about().name))
        .collect();
    let all = Standard::ALL.map(|s| s.about().name);
    let near = || nearest(&node.to_string(), all).map(|near| format!("did you mean \"{near}\"?"));
    let list = |names: &[String]| format!("Write one of {}.", names.join(", "));
    let (mark, remedy) = match (editions.as_slice(), near()) {
        ([one], _) => (format!("did you mean {one}?"), String::new()),
        ([], Some(near)) => (near, String::new()),
        ([], None) => (String::new(), list(&all.map(|name| format!("\"{name}\"")))),
        (several, _) => ("which edition?".to_owned(), list(several)),
    };
    let fault = Finding::new(format!("\"{node}\" is not a correction standard known here"));
    form.faults.push(fault.at(&node.place).about(path).mark(mark).remedy(remedy));
    None
}

/// An order of pulls; blanks, commas and small letters do not matter.
pub fn order(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    let bare: String = node
        .text()
        .unwrap_or_default()
        .chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, ',' | '-'))
        .flat_map(char::to_uppercase)
        .take(1000)
        .collect();
    match Order::parse(&bare) {
        Ok(order) => Some(What::Order(order)),
        Err(_) => {
            let what = format!("\"{node}\" is not an order of pulls");
            let remedy = "Write pulls as A and B with counts, such as \"A3 B3 A3\", up to 64.";
            form.wrong(&node.place, path, what, remedy);
            None
        }
    }
}
