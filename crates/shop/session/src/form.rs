//! From the tree of a file to entries: every word looked up, every value read, all faults at once.

mod list;
mod phrase;
mod single;

use shortblock_document::{Body, Doubt, Finding, Node, Place, nearest};

pub use list::NONE;

use crate::entry::{Entry, What};
use crate::schema::{ANYWHERE, Field, File, Kind};

/// The most tables of one kind that are read; a day has some dozens of pulls.
const MOST_TABLES: usize = 2000;

/// Reads entries; faults and doubts gather as it goes.
pub struct Form {
    file: File,
    pub faults: Vec<Finding>,
    pub doubts: Vec<Doubt>,
}

impl Form {
    /// A reader of this file.
    pub fn of(file: File) -> Self {
        Self { file, faults: Vec::new(), doubts: Vec::new() }
    }

    /// Reads the whole file.
    pub fn whole(&mut self, root: &Node) -> Entry {
        match root.get("format") {
            None => {
                let doubt = Finding::new("there is no format = 1 at the top; read as format 1");
                let doubt = doubt.at(&root.place).remedy("Write  format = 1  as the first line.");
                self.doubts.push(Doubt { finding: doubt, silenced: None });
            }
            Some(node) if matches!(node.body, Body::Number(x, _) if x == 1.0) => {}
            Some(node) => {
                let fault =
                    Finding::new("this file format is not known; this program reads format 1");
                self.faults.push(fault.at(&node.place).remedy("Write  format = 1."));
            }
        }
        self.table(root, "", self.file.fields())
    }

    /// Notes a doubt about an entry, silenced when the entry gives a reason.
    pub fn doubt(&mut self, entry: &Entry, finding: Finding) {
        let silenced = (!entry.doubt_ok.is_empty()).then(|| entry.doubt_ok.clone());
        self.doubts.push(Doubt { finding, silenced });
    }

    /// A fault: what is wrong at a place, and what to do.
    pub fn wrong(&mut self, place: &Place, path: &str, what: impl Into<String>, remedy: &str) {
        self.faults.push(Finding::new(what).at(place).about(path).remedy(remedy));
    }

    fn table(&mut self, node: &Node, path: &str, fields: &'static [Field]) -> Entry {
        let mut entry = Entry::at(&node.place);
        let Body::Table(entries) = &node.body else {
            let what = format!("{} is a table, not a single value", self.head(path));
            let remedy = format!("Write some of: {}.", words(fields).join(", "));
            self.wrong(&node.place, path, what, &remedy);
            return entry;
        };
        let declared =
            |key: &str| fields.iter().find(|f| f.word == key || f.aliases.contains(&key));
        for (key, child) in entries {
            if let Some(field) = declared(key) {
                self.word(&mut entry, child, path, field);
            }
        }
        for (key, child) in entries.iter().filter(|(key, _)| declared(key).is_none()) {
            if ANYWHERE.contains(&key.as_str()) {
                self.remark(&mut entry, key, child);
            } else if !(path.is_empty() && key == "format") {
                self.unknown(&mut entry, child, path, key, fields);
            }
        }
        for field in fields.iter().filter(|f| f.needed && !entry.says(f.word)) {
            let what = format!("{} has no {}", self.head(path), field.word);
            let remedy = format!("{} is needed: {}", field.word, uncapital(field.help));
            self.wrong(&entry.place, &join(path, field.word), what, &remedy);
        }
        entry
    }

    fn word(&mut self, entry: &mut Entry, node: &Node, path: &str, field: &'static Field) {
        if entry.says(field.word) {
            let other = field.aliases.join(" or ");
            let what = format!("{} stands here twice: {other} means the same", field.word);
            self.wrong(&node.key, &join(path, field.word), what, "Leave one.");
            return;
        }
        // A table's place is its head; what can be pointed at in a value is the value.
        entry.said.insert(field.word, node.place.clone());
        if let Some(what) = self.kind(node, &join(path, field.word), field) {
            entry.got.insert(field.word, what);
        }
    }

    fn kind(&mut self, node: &Node, path: &str, field: &'static Field) -> Option<What> {
        match field.kind {
            Kind::Text => single::text(self, node, path),
            Kind::File { up } => single::file(self, node, path, up),
            Kind::Date => single::date(self, node, path),
            Kind::TimeOfDay => single::time(self, node, path),
            Kind::Flag => single::flag(self, node, path),
            Kind::Choice(words) => single::choice(self, node, path, words),
            Kind::Count => single::count(self, node, path),
            Kind::Number => single::number(self, node, path),
            Kind::Numbers => list::numbers(self, node, path),
            Kind::Quantity(quantity) => phrase::value(self, node, path, quantity),
            Kind::AnyQuantity => phrase::any_value(self, node, path),
            Kind::SpeedRange => phrase::range(self, node, path),
            Kind::Standard => phrase::standard(self, node, path),
            Kind::Order => phrase::order(self, node, path),
            Kind::Channel => list::channel(self, node, path).map(What::Channel),
            Kind::Settings => list::settings(self, node, path),
            Kind::Lags => list::lags(self, node, path),
            Kind::Table(fields) => Some(What::Table(self.table(node, path, fields))),
            Kind::Tables(fields) => self.tables(node, path, fields),
        }
    }

    fn tables(&mut self, node: &Node, path: &str, fields: &'static [Field]) -> Option<What> {
        let list = match &node.body {
            Body::List(list) => list.as_slice(),
            Body::Table(_) => std::slice::from_ref(node),
            _ => {
                let what = format!("{} is a list of tables", self.head(path));
                self.wrong(&node.place, path, what, &format!("Write [[{path}]] above each."));
                return None;
            }
        };
        if let Some(first) = list.get(MOST_TABLES) {
            let what = format!("more than {MOST_TABLES} tables of {}", self.head(path));
            self.wrong(&first.place, path, what, "Split the file.");
        }
        let entries = list.iter().take(MOST_TABLES).map(|table| self.table(table, path, fields));
        Some(What::Tables(entries.collect()))
    }

    fn remark(&mut self, entry: &mut Entry, key: &str, node: &Node) {
        let Some(text) = node.text() else {
            self.wrong(&node.place, key, format!("{key} is a text"), "Write it in quotes.");
            return;
        };
        let kept = if key == "note" { &mut entry.note } else { &mut entry.doubt_ok };
        text.clone_into(kept);
    }

    fn unknown(
        &mut self,
        entry: &mut Entry,
        node: &Node,
        path: &str,
        key: &str,
        fields: &'static [Field],
    ) {
        let known = words(fields);
        let others = fields.iter().flat_map(|f| f.aliases.iter().copied());
        let near = nearest(key, known.iter().copied().chain(others));
        let mark = match near {
            Some(near) => format!("did you mean {near}?"),
            None => elsewhere(self.file.fields(), "", path, key).unwrap_or_default(),
        };
        // What was misspelt was said: that it is missing is no second fault.
        let meant =
            fields.iter().find(|f| near.is_some_and(|n| f.word == n || f.aliases.contains(&n)));
        if let Some(field) = meant {
            entry.said.entry(field.word).or_insert_with(|| node.key.clone());
        }
        let remedy = format!("{} knows: {}.", capital(&self.head(path)), known.join(", "));
        let fault = Finding::new(format!("\"{key}\" is not a word for this place")).at(&node.key);
        self.faults.push(fault.about(&join(path, key)).mark(mark).remedy(remedy));
    }

    /// A table as people call it: `[[pull]]`, "the session file".
    fn head(&self, path: &str) -> String {
        if path.is_empty() { format!("the {}", self.file.name()) } else { written(self.file, path) }
    }
}

/// `[limits]` or `[[pull]]`, as the table at `path` is written.
fn written(file: File, path: &str) -> String {
    let mut fields = file.fields();
    let mut several = false;
    for key in path.split('.') {
        let kind = fields.iter().find(|f| f.word == key).map(|f| f.kind);
        several = matches!(kind, Some(Kind::Tables(_)));
        fields = match kind {
            Some(Kind::Table(inner) | Kind::Tables(inner)) => inner,
            _ => &[],
        };
    }
    if several { format!("[[{path}]]") } else { format!("[{path}]") }
}

/// A hint when the word belongs to another table.
fn elsewhere(fields: &'static [Field], at: &str, not: &str, key: &str) -> Option<String> {
    if at != not && fields.iter().any(|f| f.word == key || f.aliases.contains(&key)) {
        return Some(match at {
            "" => "it belongs at the top of the file, above every [table]".to_owned(),
            at => format!("it belongs to {at}"),
        });
    }
    fields.iter().find_map(|f| match f.kind {
        Kind::Table(inner) => elsewhere(inner, &format!("[{}]", f.word), not, key),
        Kind::Tables(inner) => elsewhere(inner, &format!("[[{}]]", f.word), not, key),
        _ => None,
    })
}

fn words(fields: &'static [Field]) -> Vec<&'static str> {
    fields.iter().map(|f| f.word).collect()
}

/// `table.key`, or `key` alone at the top.
pub fn join(table: &str, key: &str) -> String {
    if table.is_empty() { key.to_owned() } else { format!("{table}.{key}") }
}

fn uncapital(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters.next().map_or_else(String::new, |c| c.to_lowercase().collect());
    first + letters.as_str()
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().collect::<String>() + letters.as_str())
}
