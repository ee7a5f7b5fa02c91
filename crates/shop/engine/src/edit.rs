//! Edits of a file's text that keep comments, order and everything else: one value, one line.

use toml_edit::{DocumentMut, Item, TableLike, Value};

use crate::schema;

/// Why an edit can't be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The text is not TOML.
    #[error("this file can't be read: {0}\nhint: check it first, then edit")]
    NotToml(String),
    /// The path is no word of the engine file.
    #[error("\"{path}\" is not a word of the engine file{}", hint(nearest))]
    Unknown {
        /// The path asked for.
        path: String,
        /// The nearest word, may be empty.
        nearest: String,
    },
    /// Something else than a table stands on the way to the path.
    #[error("\"{0}\" is a single value here, so nothing can stand below it\nhint: edit it by hand")]
    NotATable(String),
    /// The new value is not one.
    #[error("\"{0}\" can't be written as a value\nhint: write it as in a file")]
    NotAValue(String),
}

fn hint(nearest: &str) -> String {
    if nearest.is_empty() { String::new() } else { format!("\nhint: did you mean {nearest}?") }
}

/// The text with the value at `path` replaced by `new`, typed as for a what-if: `50 mm`, `11.5`.
/// An existing value is changed where it stands, whatever word or short form it stands under, and
/// keeps its remarks and comments; a new one is added to its table. The check of the result is
/// left to [`load`](crate::load).
///
/// # Errors
/// See [`EditError`].
pub fn edit(text: &str, path: &str, new: &str) -> Result<String, EditError> {
    let mut document: DocumentMut = text.parse().map_err(|error: toml_edit::TomlError| {
        EditError::NotToml(error.message().lines().next().unwrap_or_default().to_owned())
    })?;
    if schema::word(path).is_none() {
        let words = schema::words().iter().map(|w| w.path.as_str());
        let nearest = shortblock_document::nearest(path, words).unwrap_or_default().to_owned();
        return Err(EditError::Unknown { path: path.to_owned(), nearest });
    }
    let value = to_value(new)?;
    let short = schema::SHORT.iter().find(|(_, long)| *long == path).map(|(short, _)| *short);
    let root = document.as_table_mut();
    match short.filter(|short| root.contains_key(short)) {
        Some(short) => set(root, short, value),
        None => descend(root, false, "", path, value)?,
    }
    Ok(document.to_string())
}

fn to_value(new: &str) -> Result<Value, EditError> {
    let text = crate::change::as_toml(new);
    text.parse().map_err(|_| EditError::NotAValue(new.to_owned()))
}

/// Goes down to the last table of `path` below `table`, making tables on the way.
fn descend(
    here: &mut dyn TableLike,
    inline: bool,
    table: &str,
    rest: &str,
    value: Value,
) -> Result<(), EditError> {
    let (first, below) = match rest.split_once('.') {
        Some((first, below)) => (first, Some(below)),
        None => (rest, None),
    };
    let key = key_here(here, table, first);
    let Some(below) = below else {
        set(here, &key, value);
        return Ok(());
    };
    let path = schema::join(table, first);
    if !here.contains_key(&key) {
        let fresh = if inline {
            Item::Value(Value::InlineTable(toml_edit::InlineTable::new()))
        } else {
            let mut fresh = toml_edit::Table::new();
            fresh.set_implicit(below.contains('.'));
            Item::Table(fresh)
        };
        here.insert(&key, fresh);
    }
    if here.get(&key).is_some_and(Item::is_str) && schema::first_word(&path) == Some(below) {
        set(here, &key, value);
        return Ok(());
    }
    let next = here.get_mut(&key).ok_or_else(|| EditError::NotATable(path.clone()))?;
    let inline = next.is_inline_table();
    let next = next.as_table_like_mut().ok_or_else(|| EditError::NotATable(path.clone()))?;
    descend(next, inline, &path, below, value)
}

/// The key as it stands in this table: the word itself, or another word for it.
fn key_here(here: &dyn TableLike, table: &str, word: &str) -> String {
    if here.contains_key(word) {
        return word.to_owned();
    }
    let mut keys = here.iter().map(|(key, _)| key);
    let other = keys.find(|key| schema::alias_of(table, key) == Some(word));
    other.unwrap_or(word).to_owned()
}

/// Puts a value in place of another, which keeps its blanks, comment and remarks.
fn set(table: &mut dyn TableLike, key: &str, value: Value) {
    match table.get_mut(key) {
        Some(Item::Value(old)) => replace(old, value),
        Some(Item::Table(wrapper)) if wrapper.contains_key("value") => {
            set(wrapper, "value", value);
        }
        _ => {
            table.insert(key, Item::Value(value));
        }
    }
}

fn replace(old: &mut Value, mut new: Value) {
    if let Value::InlineTable(wrapper) = old {
        let several = new.as_str().is_some_and(|text| text.contains(','));
        if let Some(inner) = wrapper.get_mut("value") {
            return replace(inner, new);
        }
        if wrapper.contains_key("each") {
            if let (true, Some(inner)) = (several, wrapper.get_mut("each")) {
                return replace(inner, new);
            }
            wrapper.remove("each");
            wrapper.insert("value", new);
            return;
        }
    }
    // A new value has no decor of its own: the comment behind the old one would be lost.
    *new.decor_mut() = old.decor().clone();
    *old = new;
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: &str = "# head\nformat = 1\nbore = \"86.0 mm\" # as bored\n\n[intake.cam]\n\
        lobe_centre = \"106 deg\"  # after top\n[chamber]\n\
        volume = { each = \"1, 2 cc\", with = \"burette\" } # poured\n\
        gasket = { thickness = \"1.05 mm\", from = \"maker\" }\n";

    fn changed(new: &str) -> Vec<(String, String)> {
        let pairs = FILE.lines().zip(new.lines()).filter(|(a, b)| a != b);
        pairs.map(|(a, b)| (a.to_owned(), b.to_owned())).collect()
    }

    #[test]
    fn a_word_that_stands_for_its_table_is_changed_where_it_stands() {
        let text = "layout = \"V\" # as cast\n[intake]\nair_box = \"none\"\n";
        let edited = edit(text, "layout.arrangement", "flat").unwrap();
        let edited = edit(&edited, "intake.air_box.kind", "box").unwrap();
        assert_eq!(edited, "layout = \"flat\" # as cast\n[intake]\nair_box = \"box\"\n");
    }

    #[test]
    fn one_value_is_one_line_and_its_comment_stays() {
        let new = edit(FILE, "bottom_end.bore", "87 mm").unwrap();
        assert_eq!(new.lines().count(), FILE.lines().count());
        assert_eq!(changed(&new)[0].1, "bore = \"87 mm\" # as bored");
    }

    #[test]
    fn another_word_for_a_key_is_edited_where_it_stands() {
        let new = edit(FILE, "intake.cam.centreline", "104 deg").unwrap();
        assert_eq!(changed(&new)[0].1, "lobe_centre = \"104 deg\"  # after top");
    }

    #[test]
    fn remarks_beside_a_value_stay() {
        let new = edit(FILE, "chamber.volume", "3, 4 cc").unwrap();
        assert_eq!(
            changed(&new)[0].1,
            "volume = { each = \"3, 4 cc\", with = \"burette\" } # poured"
        );
        let new = edit(FILE, "chamber.gasket.thickness", "0.8 mm").unwrap();
        assert_eq!(changed(&new)[0].1, "gasket = { thickness = \"0.8 mm\", from = \"maker\" }");
    }

    #[test]
    fn a_new_value_is_added_to_its_table() {
        let new = edit(FILE, "exhaust.primary.length", "800 mm").unwrap();
        assert!(new.contains("[exhaust.primary]\nlength = \"800 mm\""), "{new}");
        let new = edit(FILE, "intake.cam.lift", "11 mm").unwrap();
        assert!(new.starts_with("# head\nformat = 1\nbore = \"86.0 mm\" # as bored\n"), "{new}");
        assert!(new.contains("lift = \"11 mm\""));
    }

    #[test]
    fn a_word_that_is_none_is_refused_with_the_nearest() {
        let error = edit(FILE, "chamber.volum", "1 cc").unwrap_err();
        assert!(error.to_string().contains("chamber.volume"), "{error}");
    }
}
