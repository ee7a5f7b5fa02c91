//! Texts, dates, times, words and plain numbers.

use shortblock_document::{Body, Finding, Node, label, nearest};

use crate::clock;
use crate::entry::What;

use super::Form;

/// The longest way to a file, bytes.
const LONGEST_WAY: usize = 300;

/// Free text; a bare number is taken as typed.
pub fn text(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    match &node.body {
        Body::Text(text) | Body::Number(_, text) | Body::Date(text) => {
            Some(What::Text(text.clone()))
        }
        _ => {
            form.wrong(
                &node.place,
                path,
                format!("{} is a text", label(path)),
                "Write it in quotes.",
            );
            None
        }
    }
}

/// The way to a file, from the folder of this one.
pub fn file(form: &mut Form, node: &Node, path: &str, up: bool) -> Option<What> {
    let Some(way) = node.text() else {
        let what = format!("{} is the name of a file", label(path));
        form.wrong(&node.place, path, what, "Write it in quotes.");
        return None;
    };
    let drive = way.chars().nth(1) == Some(':');
    let odd = way.is_empty()
        || way.len() > LONGEST_WAY
        || way.starts_with('/')
        || drive
        || way.contains('\\')
        || way.chars().any(char::is_control);
    if odd {
        let what = format!("\"{way}\" is not a way from the folder of this file");
        let remedy =
            "Write it from this folder and with /, such as \"p44.csv\" or \"logs/p44.csv\".";
        form.wrong(&node.place, path, what, remedy);
        return None;
    }
    if !up && way.split('/').any(|part| part == "..") {
        let what = format!("\"{way}\" leads out of the folder of this file");
        let remedy = "Put the log beside this file, or this file beside the logs.";
        form.wrong(&node.place, path, what, remedy);
        return None;
    }
    Some(What::Text(way.to_owned()))
}

/// A date without quotes.
pub fn date(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    match &node.body {
        Body::Date(date) if date.len() == 10 => Some(What::Text(date.clone())),
        _ => {
            let what = format!("{} is a date, not {node}", label(path));
            form.wrong(&node.place, path, what, "Write 2026-03-28, without quotes.");
            None
        }
    }
}

/// A time of day, in quotes or without.
pub fn time(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    let time = match &node.body {
        Body::Text(text) | Body::Date(text) => clock::seconds(text),
        _ => None,
    };
    if time.is_none() {
        let what = format!("{} is a time of day, not {node}", label(path));
        form.wrong(&node.place, path, what, "Write \"09:20\"; after midnight \"24:10\".");
    }
    time.map(What::Time)
}

/// Yes or no.
pub fn flag(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    if let Body::Flag(flag) = node.body {
        return Some(What::Flag(flag));
    }
    let what = format!("{} is true or false", label(path));
    form.wrong(&node.place, path, what, "Write true or false, without quotes.");
    None
}

/// One of a few words.
pub fn choice(
    form: &mut Form,
    node: &Node,
    path: &str,
    words: &'static [&'static str],
) -> Option<What> {
    let plain = |w: &str| w.to_lowercase().replace(['-', '_', ' '], "");
    let typed = node.to_string();
    if let Some(text) = node.text()
        && let Some(index) = words.iter().position(|w| plain(w) == plain(text))
    {
        return Some(What::Choice(index));
    }
    let near = nearest(&typed, words.iter().copied());
    let mark = near.map_or(String::new(), |word| format!("did you mean \"{word}\"?"));
    let quoted: Vec<String> = words.iter().map(|w| format!("\"{w}\"")).collect();
    let fault = Finding::new(format!("\"{typed}\" is not known as {}", label(path)));
    let remedy = format!("Write one of {}.", quoted.join(", "));
    form.faults.push(fault.at(&node.place).about(path).mark(mark).remedy(remedy));
    None
}

/// A whole number up to a million.
pub fn count(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    match node.body {
        Body::Number(x, _) if (0.0..=1e6).contains(&x) && x.fract() == 0.0 => {
            Some(What::Count(x as u32))
        }
        _ => {
            let what = format!("{} is a whole number without unit", label(path));
            form.wrong(&node.place, path, what, "Write 2 or the like, without quotes.");
            None
        }
    }
}

/// A finite number without unit.
pub fn number(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    match node.body {
        Body::Number(x, _) if x.is_finite() => Some(What::Number(x)),
        _ => {
            let what = format!("{} is a number without unit", label(path));
            form.wrong(&node.place, path, what, "Write 2.5 or the like, without quotes.");
            None
        }
    }
}
