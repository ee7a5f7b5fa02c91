//! Numbers with gaps, channels, settings and lags.

use shortblock_document::{Body, Finding, Node, label, nearest, value_fault};
use shortblock_pulls::Channel;
use shortblock_units::{Quantity, parse};

use crate::entry::What;
use crate::setting;

use super::{Form, join};

/// What stands for a gap in a list of numbers.
pub const NONE: &str = "none";
/// What is said of a column that is kept as written.
pub const NOT_USED: &str = "not used";

/// A list of finite numbers, `"none"` where there is none.
pub fn numbers(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    let one = |n: &Node| match &n.body {
        Body::Number(x, _) if x.is_finite() => Some(Some(*x)),
        Body::Text(text) if text == NONE => Some(None),
        _ => None,
    };
    let list = match &node.body {
        Body::List(list) => list.iter().map(one).collect(),
        _ => None,
    };
    if list.is_none() {
        let what = format!("{} is a list of numbers", label(path));
        form.wrong(&node.place, path, what, "Write [9e-6, \"none\", 1.2e-5].");
    }
    list.map(What::Numbers)
}

/// A channel by its name, `None` for one that is not used.
pub fn channel(form: &mut Form, node: &Node, path: &str) -> Option<Option<Channel>> {
    let name = node.text().unwrap_or_default();
    if name == NOT_USED {
        return Some(None);
    }
    let channel = Channel::parse(name);
    if channel.is_none() {
        unknown_channel(form, node, &node.to_string(), &node.place, path);
    }
    channel.map(Some)
}

fn unknown_channel(
    form: &mut Form,
    node: &Node,
    name: &str,
    place: &shortblock_document::Place,
    path: &str,
) {
    let names = Channel::names();
    let near = nearest(name, names.iter().map(String::as_str));
    let mark = near.map(|near| format!("did you mean \"{near}\"?")).unwrap_or_default();
    let what = if matches!(node.body, Body::Text(_)) {
        format!("\"{name}\" is not a channel")
    } else {
        format!("{} is the name of a channel", label(path))
    };
    let list = format!("Channels: {}.", names.join(", "));
    let remedy = if mark.is_empty() { list } else { String::new() };
    form.faults.push(Finding::new(what).at(place).about(path).mark(mark).remedy(remedy));
}

/// Settings by name: values with unit, or words.
pub fn settings(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    let Body::Table(table) = &node.body else {
        let what = "settings are names with values";
        form.wrong(&node.place, path, what, "Write { spark = \"28 deg\", fuel = \"99 RON E10\" }.");
        return None;
    };
    let read =
        table.iter().filter_map(|(name, node)| setting::read(form, name, node, &join(path, name)));
    Some(What::Settings(read.collect()))
}

/// How late channels are.
pub fn lags(form: &mut Form, node: &Node, path: &str) -> Option<What> {
    let Body::Table(table) = &node.body else {
        let what = "lags are channels with times";
        form.wrong(
            &node.place,
            path,
            what,
            "Write \"lambda of bank 1\" = \"0.35 s\" below [lags].",
        );
        return None;
    };
    let mut out = Vec::new();
    for (name, node) in table {
        let Some(channel) = Channel::parse(name) else {
            unknown_channel(form, node, name, &node.key, path);
            continue;
        };
        match parse(&node.to_string(), Quantity::Time) {
            Ok(lag) if lag.si >= 0.0 => out.push((channel, lag.si)),
            Ok(_) => {
                let what = format!("the lag of {name} is below 0");
                form.wrong(&node.place, path, what, "Write how late it is, such as \"0.35 s\".");
            }
            Err(error) => {
                let fault = value_fault(&error, &node.place, &join(path, name), Quantity::Time);
                form.faults.push(fault);
            }
        }
    }
    Some(What::Lags(out))
}
