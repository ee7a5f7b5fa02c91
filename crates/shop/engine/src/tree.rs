//! What is done to trees of files: merging, finding, putting, taking out.

use std::collections::BTreeMap;
use std::ops::Range;

use crate::schema;
use shortblock_document::{Body, Node};

/// Takes out of `root` what came from a shelf part that another part in `table` replaces.
pub fn take_out_part(root: &mut Node, table: &str, sources: &Range<usize>) {
    let mut keys = table.split('.').filter(|key| !key.is_empty());
    let node = keys.try_fold(root, |node, key| node.table_mut()?.get_mut(key));
    if let Some(node) = node {
        prune(node, table, sources);
    }
}

fn prune(node: &mut Node, table: &str, sources: &Range<usize>) {
    let Some(entries) = node.table_mut() else { return };
    entries.retain(|key, child| {
        let path = schema::join(table, key);
        let whole = schema::word(&path).is_some() || child.table().is_none();
        if !whole {
            prune(child, &path, sources);
        }
        !whole || !sources.contains(&child.key.source)
    });
}

/// One value that stands for several is copied to each of its keys.
pub fn spread(node: Node, path: &str) -> Node {
    let path = schema::TABLE_ALIASES.iter().find(|(o, _)| *o == path).map_or(path, |(_, u)| *u);
    let Some((_, keys)) = schema::SPREAD.iter().find(|(table, _)| *table == path) else {
        return node;
    };
    let is_value = match &node.body {
        Body::Table(table) => table.contains_key("value") || table.contains_key("each"),
        _ => true,
    };
    if !is_value {
        return node;
    }
    let entries = keys.iter().map(|key| ((*key).to_owned(), node.clone()));
    Node { place: node.place.clone(), key: node.key.clone(), body: Body::Table(entries.collect()) }
}

/// A word in place of a table is the table's first word: `air_box = "none"`, `layout = "V"`.
pub fn as_table(node: Node, path: &str) -> Node {
    let first = schema::first_word(path).filter(|_| node.text().is_some());
    let Some(first) = first else { return node };
    let (place, key) = (node.place.clone(), node.key.clone());
    Node { place, key, body: Body::Table(BTreeMap::from([(first.to_owned(), node)])) }
}

/// `over` laid over `under`; both stand at `table`.
pub fn merge(under: Node, over: Node, table: &str) -> Node {
    let whole = schema::word(table).is_some();
    match (under.body, over.body) {
        (Body::Table(mut below), Body::Table(above)) if !whole => {
            for (key, node) in above {
                let path = schema::join(table, &key);
                let node = match below.remove(&key) {
                    Some(old) => merge(old, node, &path),
                    None => node,
                };
                below.insert(key, node);
            }
            Node { place: over.place, key: over.key, body: Body::Table(below) }
        }
        (_, body) => Node { place: over.place, key: over.key, body },
    }
}

/// The node at a path.
pub fn find<'n>(root: &'n Node, path: &str) -> Option<&'n Node> {
    path.split('.').try_fold(root, |node, key| node.get(key))
}

/// Puts a node at a path, making tables on the way; `None` when something else is there.
pub fn put(root: &mut Node, path: &str, node: Node) -> Option<()> {
    let table = root.table_mut()?;
    match path.split_once('.') {
        None => {
            table.insert(path.to_owned(), node);
            Some(())
        }
        Some((first, rest)) => {
            let (place, key) = (node.place.clone(), node.key.clone());
            let empty = Node { place, key, body: Body::Table(BTreeMap::new()) };
            put(table.entry(first.to_owned()).or_insert(empty), rest, node)
        }
    }
}

/// Takes the node at a path out.
pub fn remove(root: &mut Node, path: &str) -> Option<Node> {
    let (first, rest) = match path.split_once('.') {
        Some((first, rest)) => (first, Some(rest)),
        None => (path, None),
    };
    let table = root.table_mut()?;
    match rest {
        None => table.remove(first),
        Some(rest) => remove(table.get_mut(first)?, rest),
    }
}
