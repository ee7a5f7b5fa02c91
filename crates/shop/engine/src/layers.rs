//! A build's files laid over each other: engine.toml, `based_on`, `use`, the file itself.
//!
//! Order, later wins: shelf part (`use`, at the table it stands in) → the build it is based on →
//! this file. Tables merge by key; a value, list or curve is replaced whole.

use std::collections::BTreeMap;
use std::ops::Range;

use crate::schema;
use crate::tree::{as_table, find, merge, put, remove, spread, take_out_part};
use shortblock_document::Finding;
use shortblock_document::nearest;
use shortblock_document::{Body, Node, parse};
use shortblock_document::{Loader, folder, is_plain, join};
use shortblock_document::{Place, Sources};

/// The longest chain of `based_on` and `use`.
const LONGEST_CHAIN: usize = 50;
/// The most files one build may be made of.
const MOST_FILES: usize = 200;

/// All layers merged into one tree, with what was found on the way.
pub struct Layers<'a> {
    loader: &'a dyn Loader,
    /// The texts that were read.
    pub sources: Sources,
    /// Faults of reading and merging.
    pub faults: Vec<Finding>,
    /// `values_from` of each source, by index.
    pub values_from: BTreeMap<usize, String>,
    /// The shelf part in each table so far: its name and sources.
    pub parts: BTreeMap<String, (String, Range<usize>)>,
    /// The parts that the file being read uses, by table.
    uses: Vec<(String, (String, Range<usize>))>,
}

impl<'a> Layers<'a> {
    /// Nothing read yet.
    pub fn new(loader: &'a dyn Loader) -> Self {
        Self {
            loader,
            sources: Sources::default(),
            faults: Vec::new(),
            values_from: BTreeMap::new(),
            parts: BTreeMap::new(),
            uses: Vec::new(),
        }
    }

    /// The merged tree of the build whose text is at `entry`.
    pub fn build(&mut self, entry: &str) -> Option<Node> {
        let Some(text) = self.loader.text(entry) else {
            let what = format!("there is no file {entry}");
            self.faults.push(Finding::new(what).remedy(self.there_is(folder(entry))));
            return None;
        };
        let file = self.file(entry, &text, false)?;
        let engine = self.engine_beside(entry, &file);
        let chain = self.chain(entry, file, &mut vec![entry.to_owned()]);
        Some(match engine {
            Some(engine) => {
                let engine = self.chain(&beside_name(entry), engine, &mut vec![entry.to_owned()]);
                merge(engine, chain, "")
            }
            None => chain,
        })
    }

    /// `engine.toml` in the same folder, unless the file is it or belongs to another engine.
    fn engine_beside(&mut self, entry: &str, file: &Node) -> Option<Node> {
        let beside = beside_name(entry);
        if beside == join("", entry) {
            return None;
        }
        let text = self.loader.text(&beside)?;
        let engine = self.file(&beside, &text, false)?;
        let number = |node: &Node| node.get("number").and_then(Node::text).map(str::to_owned);
        let other = number(file).is_some_and(|own| Some(own) != number(&engine));
        (!other).then_some(engine)
    }

    /// One file: parsed, short words moved, its parts and its own base not yet looked for.
    fn file(&mut self, name: &str, text: &str, is_part: bool) -> Option<Node> {
        let index = self.sources.add(name, text);
        match parse(&self.sources, index) {
            Ok(mut node) => {
                if let Some(from) = node.get("values_from").and_then(Node::text) {
                    self.values_from.insert(index, from.to_owned());
                }
                if !is_part {
                    self.short_words(&mut node);
                }
                Some(node)
            }
            Err(fault) => {
                self.faults.push(*fault);
                None
            }
        }
    }

    /// Moves the short words of the top of a file to their tables.
    fn short_words(&mut self, root: &mut Node) {
        if let Some(layout) = root.table_mut().and_then(|table| table.remove("layout")) {
            put(root, "layout", as_table(layout, "layout"));
        }
        for (short, path) in schema::SHORT {
            let Some(node) = root.table_mut().and_then(|table| table.remove(*short)) else {
                continue;
            };
            if let Some(there) = find(root, path) {
                self.faults.push(
                    Finding::new(format!("{short} is given twice: here and as {path}"))
                        .at(&node.key)
                        .about(path)
                        .remedy(format!("Line {} has it too; take one out.", self.line(there))),
                );
                continue;
            }
            let key = node.key.clone();
            if put(root, path, node).is_none() {
                let what = format!("{} must be a table", schema::parent(path));
                let remedy = format!("Write [{}] with its words below it.", schema::parent(path));
                self.faults.push(Finding::new(what).at(&key).about(path).remedy(remedy));
            }
        }
    }

    fn line(&self, node: &Node) -> usize {
        self.sources.position(&node.key).line
    }

    /// The file over the parts it uses over the build it is based on.
    fn chain(&mut self, name: &str, mut file: Node, above: &mut Vec<String>) -> Node {
        let base_key = file.table_mut().and_then(|table| table.remove("based_on"));
        let without = file.table_mut().and_then(|table| table.remove("without"));
        let mut base = base_key.and_then(|key| self.base(&key, name, above));
        // A head has an intake and an exhaust side, so its words are those of the root.
        let head = file.table_mut().and_then(|table| table.remove("head"));
        self.uses.clear();
        let head = head.map(|head| self.tidy(head, "", name, above));
        let file = self.tidy(file, "", name, above);
        for (table, part) in std::mem::take(&mut self.uses) {
            let old = self.parts.insert(table.clone(), part);
            if let (Some(base), Some((_, old))) = (base.as_mut(), old) {
                take_out_part(base, &table, &old);
            }
        }
        let lower = match (base, head) {
            (Some(base), Some(head)) => Some(merge(base, head, "")),
            (base, head) => base.or(head),
        };
        let mut out = match lower {
            Some(lower) => merge(lower, file, ""),
            None => file,
        };
        if let Some(without) = without {
            self.take_out(&mut out, &without);
        }
        out
    }

    fn base(&mut self, key: &Node, name: &str, above: &mut Vec<String>) -> Option<Node> {
        let word = self.name_in(key, "based_on")?;
        let here = join(folder(name), &format!("{word}.toml"));
        let there = join(folder(name), &format!("../{word}.toml"));
        let found = [here, there].into_iter().find_map(|p| Some((self.loader.text(&p)?, p)));
        let Some((text, path)) = found else {
            let what = format!("this build is based on \"{word}\", and there is no {word}");
            let mark = self.there_is(folder(name));
            let remedy = if mark.is_empty() { "Put its file beside this one." } else { "" };
            self.faults.push(Finding::new(what).at(&key.place).mark(mark).remedy(remedy));
            return None;
        };
        self.follow(&path, &text, &key.place, above, false)
    }

    /// Reads a further file of the chain unless that would go round in a circle or on for ever.
    fn follow(
        &mut self,
        path: &str,
        text: &str,
        from: &Place,
        above: &mut Vec<String>,
        is_part: bool,
    ) -> Option<Node> {
        let fault = if above.iter().any(|name| name == path) {
            let way: Vec<&str> = above.iter().map(String::as_str).chain([path]).collect();
            Some(Finding::new(format!("the files go round in a circle: {}", way.join(" → "))))
        } else if above.len() >= LONGEST_CHAIN {
            Some(Finding::new(format!("more than {LONGEST_CHAIN} files, each based on the next")))
        } else if self.sources.iter().count() >= MOST_FILES {
            Some(Finding::new(format!("more than {MOST_FILES} files in one build")))
        } else {
            None
        };
        if let Some(fault) = fault {
            self.faults.push(fault.at(from).remedy("Take one of these lines out."));
            return None;
        }
        let file = self.file(path, text, is_part)?;
        above.push(path.to_owned());
        let node = self.chain(path, file, above);
        above.pop();
        Some(node)
    }

    /// Normalises words below `table`, and lays every table over the shelf part it uses.
    fn tidy(&mut self, node: Node, table: &str, name: &str, above: &mut Vec<String>) -> Node {
        let Node { place, key, body } = node;
        let Body::Table(entries) = body else { return Node { place, key, body } };
        let mut out = BTreeMap::new();
        let mut part = None;
        for (word, child) in entries {
            if word == "use" {
                part = self.part(&child, table, name, above);
                continue;
            }
            let used = schema::alias_of(table, &word).unwrap_or(&word);
            let path = schema::join(table, used);
            let child = as_table(spread(child, &path), &path);
            let child = if schema::word(&path).is_some() {
                child
            } else {
                self.tidy(child, &path, name, above)
            };
            if out.contains_key(used) {
                let what = format!("{path} is given twice, under two words");
                self.faults.push(Finding::new(what).at(&child.key).remedy("Take one out."));
            }
            out.insert(used.to_owned(), child);
        }
        let own = Node { place, key, body: Body::Table(out) };
        match part {
            Some(part) => merge(part, own, table),
            None => own,
        }
    }

    /// The shelf part a table uses, tidied for the table it stands in.
    fn part(
        &mut self,
        key: &Node,
        table: &str,
        name: &str,
        above: &mut Vec<String>,
    ) -> Option<Node> {
        let word = self.name_in(key, "use")?;
        let file = format!("shelf/{word}.toml");
        let places = [join(folder(name), &file), join(folder(name), &format!("../{file}"))];
        let outer = join(folder(name), &format!("../../{file}"));
        let beside = join(folder(name), &format!("{word}.toml"));
        let all = places.into_iter().chain([outer, beside]);
        let found = all.into_iter().find_map(|p| Some((self.loader.text(&p)?, p)));
        let Some((text, path)) = found else {
            let shelf = join(folder(name), &format!("../shelf/{}", folder(&word)));
            let fault = Finding::new(format!("there is no \"{word}\" on the shelf"));
            let remedy = "Parts lie in the folder shelf beside the engines' folders.";
            let fault = fault.at(&key.place).mark(self.there_is(&shelf)).remedy(remedy);
            self.faults.push(fault);
            return None;
        };
        let uses = std::mem::take(&mut self.uses);
        let first = self.sources.iter().count();
        let node = self.follow(&path, &text, &key.place, above, true);
        self.uses = uses;
        let node = self.fit(node?, table, &path, above);
        self.uses.push((table.to_owned(), (word, first..self.sources.iter().count())));
        Some(node)
    }

    /// Makes a part's tree fit the table it is used in: its words are declared for that table.
    fn fit(&mut self, mut node: Node, table: &str, name: &str, above: &mut Vec<String>) -> Node {
        if let Some(entries) = node.table_mut() {
            for word in ["format", "part", "name", "values_from", "note"] {
                entries.remove(word);
            }
        }
        if table.is_empty() { node } else { self.tidy(node, table, name, above) }
    }

    /// The name a `use` or `based_on` holds, when it can be followed.
    fn name_in(&mut self, key: &Node, word: &str) -> Option<String> {
        match key.text() {
            Some(name) if is_plain(name) => {
                Some(name.strip_suffix(".toml").unwrap_or(name).to_owned())
            }
            _ => {
                let fault =
                    Finding::new(format!("{word} wants a name such as \"b6\" or \"heads/F-27\""));
                self.faults.push(
                    fault.at(&key.place).remedy(
                        "Names stay inside the shop's folder: letters, figures, - _ . and /.",
                    ),
                );
                None
            }
        }
    }

    fn there_is(&self, folder: &str) -> String {
        let mut names = self.loader.names(folder);
        names.retain(|name| name.ends_with(".toml") && name != "engine.toml");
        names.truncate(12);
        let words: Vec<&str> = names.iter().map(|n| n.trim_end_matches(".toml")).collect();
        if words.is_empty() { String::new() } else { format!("there is {}", words.join(", ")) }
    }

    fn take_out(&mut self, root: &mut Node, without: &Node) {
        let Body::List(list) = &without.body else {
            let fault = Finding::new("without wants a list of things to take out");
            self.faults.push(fault.at(&without.place).remedy("Write [\"exhaust.silencer\"]."));
            return;
        };
        for entry in list {
            let path = entry.text().unwrap_or_default();
            if remove(root, path).is_none() {
                let known = nearest(path, schema::words().iter().map(|w| w.path.as_str()));
                let mark = known.map_or(String::new(), |word| format!("did you mean {word}?"));
                let fault = Finding::new(format!("there is no \"{path}\" to take out"));
                let remedy = "Name a table or a word that the file it is based on has.";
                self.faults.push(fault.at(&entry.place).mark(mark).remedy(remedy));
            }
        }
    }
}

fn beside_name(entry: &str) -> String {
    join(folder(entry), "engine.toml")
}
