//! Confirmed readings of heading rows, kept in a file of their own: `layouts.toml`.

use shortblock_pulls::{Channel, Layout, Said};
use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table, value};

/// Why layouts can't be read or added to.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LayoutsError {
    /// The text is not TOML.
    #[error("the layouts can't be read: {0}; mend the file, or move it away")]
    NotToml(String),
    /// A layout is not as the program writes it.
    #[error("layout {0}: {1}; mend it, or take it out and confirm that log again")]
    NotALayout(usize, &'static str),
}

/// Every layout of a file, in its order.
///
/// # Errors
/// See [`LayoutsError`].
pub fn load_layouts(text: &str) -> Result<Vec<Layout>, LayoutsError> {
    let document = parsed(text)?;
    let Some(list) = document.get("layout") else { return Ok(Vec::new()) };
    let list = list.as_array_of_tables().ok_or(LayoutsError::NotALayout(1, "it is no list"))?;
    list.iter().enumerate().map(|(i, table)| layout(i + 1, table)).collect()
}

/// The text with one more layout, in place of what stood there for the same headings and units.
///
/// # Errors
/// See [`LayoutsError`].
pub fn add_layout(text: &str, layout: &Layout) -> Result<String, LayoutsError> {
    let known = load_layouts(text)?;
    let mut document = parsed(text)?;
    let list = document.entry("layout").or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
    let fault = LayoutsError::NotALayout(1, "it is no list");
    let list = list.as_array_of_tables_mut().ok_or(fault)?;
    match known.iter().position(|old| old.headings == layout.headings) {
        Some(i) => {
            if let Some(old) = list.get_mut(i) {
                *old = table(layout);
            }
        }
        None => list.push(table(layout)),
    }
    Ok(document.to_string())
}

fn parsed(text: &str) -> Result<DocumentMut, LayoutsError> {
    text.parse().map_err(|error: toml_edit::TomlError| {
        LayoutsError::NotToml(error.message().lines().next().unwrap_or_default().to_owned())
    })
}

fn layout(place: usize, table: &Table) -> Result<Layout, LayoutsError> {
    let words = |key: &str| -> Option<Vec<String>> {
        let list = table.get(key)?.as_array()?;
        list.iter().map(|word| word.as_str().map(str::to_owned)).collect()
    };
    let fault = |what| LayoutsError::NotALayout(place, what);
    let headings = words("headings").ok_or(fault("headings is no list of words"))?;
    let units = words("units").ok_or(fault("units is no list of words"))?;
    let channels = words("channels").ok_or(fault("channels is no list of words"))?;
    let read_in = words("read_in").ok_or(fault("read_in is no list of words"))?;
    let same = [units.len(), channels.len(), read_in.len()].iter().all(|n| *n == headings.len());
    if !same {
        return Err(fault("its lists are not of one length"));
    }
    let said = headings.iter().zip(channels.iter().zip(&read_in)).map(|(heading, (name, unit))| {
        let channel = if name.is_empty() { None } else { Some(Channel::parse(name)?) };
        let unit = (!unit.is_empty()).then(|| unit.clone());
        Some(Said { heading: heading.clone(), channel, unit })
    });
    let said = said.collect::<Option<Vec<Said>>>().ok_or(fault("a channel is not known"))?;
    Ok(Layout { headings: headings.into_iter().zip(units).collect(), said })
}

fn table(layout: &Layout) -> Table {
    let list = |words: Vec<String>| value(words.into_iter().collect::<Array>());
    let column = |pick: fn(&(String, String)) -> String| layout.headings.iter().map(pick).collect();
    let said = |of: &dyn Fn(&Said) -> String| layout.said.iter().map(of).collect::<Vec<String>>();
    let mut table = Table::new();
    table.insert("headings", list(column(|(heading, _)| heading.clone())));
    table.insert("units", list(column(|(_, unit)| unit.clone())));
    let channel = |s: &Said| s.channel.map_or_else(String::new, Channel::name);
    table.insert("channels", list(said(&channel)));
    table.insert("read_in", list(said(&|s| s.unit.clone().unwrap_or_default())));
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(unit: &str, channel: Option<Channel>) -> Layout {
        let said = Said { heading: "TQ \"1\"".into(), channel, unit: Some("lb.ft".into()) };
        Layout { headings: vec![("TQ \"1\"".into(), unit.into())], said: vec![said] }
    }

    #[test]
    fn layouts_are_read_back_and_replaced() {
        let first = one("", Some(Channel::Torque));
        let text = format!("# ours\n{}", add_layout("", &first).unwrap());
        assert_eq!(load_layouts(&text).unwrap(), std::slice::from_ref(&first));
        let other = one("Nm", Some(Channel::Lambda(2)));
        let text = add_layout(&text, &other).unwrap();
        assert!(text.starts_with("# ours\n"), "{text}");
        let unknown =
            Layout { said: vec![Said { channel: None, ..first.said[0].clone() }], ..first };
        let text = add_layout(&text, &unknown).unwrap();
        assert_eq!(load_layouts(&text).unwrap(), [unknown, other]);
    }

    #[test]
    fn what_is_no_layout_is_said_with_its_place() {
        for (text, words) in [
            ("layout = 3", "layout 1: it is no list"),
            ("[[layout]]\nheadings = 1", "headings is no list of words"),
            ("[[layout]", "can't be read"),
            (
                "[[layout]]\nheadings = [\"a\"]\nunits = [\"\"]\nchannels = [\"torqe\"]\nread_in = [\"\"]",
                "a channel is not known",
            ),
        ] {
            let error = load_layouts(text).unwrap_err().to_string();
            assert!(error.contains(words), "{error}");
        }
    }
}
