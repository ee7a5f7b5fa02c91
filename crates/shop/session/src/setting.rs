//! What was set for a pull without taking parts off.

use shortblock_document::{Body, Finding, Node, nearest, value_fault};
use shortblock_units::{Measure, Quantity, UnitError, parse, parse_one_of};

use crate::form::Form;
use crate::schema::SETTINGS;

/// A setting under its name.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// Its name, as typed: `spark`, `fuel`.
    pub name: String,
    /// What was set, as typed.
    pub text: String,
    /// The value in SI, where it is one; `None` for words.
    pub value: Option<Measure>,
}

/// Reads a setting. A name whose quantity is known must have it; under any other name a value with
/// a unit is one, and the rest are words.
pub fn read(form: &mut Form, name: &str, node: &Node, path: &str) -> Option<Setting> {
    let text = match &node.body {
        Body::Text(text) | Body::Number(_, text) => text.clone(),
        Body::Flag(flag) => flag.to_string(),
        _ => {
            let what = format!("the setting {name} is a value with unit or a word");
            form.wrong(&node.place, path, what, "Write \"28 deg\" or \"99 RON E10\", in quotes.");
            return None;
        }
    };
    let setting = |value| Some(Setting { name: name.to_owned(), text: text.clone(), value });
    if let Some((_, quantity)) = SETTINGS.iter().find(|(known, _)| *known == name) {
        return match parse(&text, *quantity) {
            Ok(value) => setting(Some(value)),
            Err(error) => {
                form.faults.push(value_fault(&error, &node.place, name, *quantity));
                None
            }
        };
    }
    if let Some(near) = nearest(name, SETTINGS.iter().map(|(known, _)| *known)) {
        let doubt = Finding::new(format!("the setting {name} is kept under that name"));
        let doubt = doubt.at(&node.key).about(path).mark(format!("did you mean {near}?"));
        form.doubts.push(shortblock_document::Doubt { finding: doubt, silenced: None });
    }
    match parse_one_of(&text, &Quantity::ALL) {
        Ok(value) => setting(Some(value)),
        Err(_) => {
            slip_of_unit(form, &text, node, path);
            setting(None)
        }
    }
}

/// A number followed by nearly a unit is asked about; the words are kept.
fn slip_of_unit(form: &mut Form, text: &str, node: &Node, path: &str) {
    let one_word = text.split_whitespace().count() == 2;
    let near = Quantity::ALL.iter().find_map(|q| match parse(text, *q) {
        Err(UnitError::UnitUnknown { found, nearest, .. }) if found.chars().count() > 2 => {
            nearest.first().copied()
        }
        _ => None,
    });
    if let (true, Some(near)) = (one_word, near) {
        let doubt = Finding::new(format!("\"{text}\" is kept as words, not as a value"));
        let doubt = doubt.at(&node.place).about(path).mark(format!("did you mean {near}?"));
        form.doubts.push(shortblock_document::Doubt { finding: doubt, silenced: None });
    }
}
