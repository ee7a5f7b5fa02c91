//! The JSON schema of the engine file, for editors and outside checkers.

use std::collections::BTreeMap;

use serde_json::{Map, Value as Json, json};

use crate::defaults;
use crate::schema::{self, Field, Kind, TableKind};

/// The schema (JSON Schema 2020-12) of an engine, build or minimal file read as JSON: what may
/// stand where. Units and ranges are the checker's business; the schema knows words and shapes.
#[must_use]
pub fn json_schema() -> Json {
    let mut root = Branch::default();
    for word in schema::words() {
        let shape = of_field(&word.path, word.field);
        root.put(&word.path, &shape);
        for alias in word.field.aliases {
            root.put(&schema::join(schema::parent(&word.path), alias), &shape);
        }
    }
    for (other, used) in schema::TABLE_ALIASES {
        let copied = root.at(used).cloned();
        if let Some(branch) = copied {
            root.put_branch(other, branch);
        }
    }
    for (table, _) in schema::SPREAD {
        root.spread_at(table);
    }
    for (short, path) in schema::SHORT {
        if let Some(word) = schema::word(path) {
            root.put(short, &of_field(path, word.field));
        }
    }
    let mut out = root.to_json("");
    if let Some(object) = out.as_object_mut() {
        let id = "https://json-schema.org/draft/2020-12/schema";
        object.insert("$schema".into(), json!(id));
        object.insert("title".into(), json!("Shortblock engine file, format 1"));
        object.insert("$defs".into(), definitions());
    }
    out
}

/// A table of the file while the schema is put together.
#[derive(Debug, Clone, Default)]
struct Branch {
    leaves: BTreeMap<String, Json>,
    tables: BTreeMap<String, Branch>,
    /// One value may stand for the whole table.
    spread: bool,
}

impl Branch {
    fn put(&mut self, path: &str, shape: &Json) {
        match path.split_once('.') {
            None => {
                self.leaves.insert(path.to_owned(), shape.clone());
            }
            Some((first, rest)) => {
                self.tables.entry(first.to_owned()).or_default().put(rest, shape);
            }
        }
    }

    fn at(&self, path: &str) -> Option<&Branch> {
        path.split('.').try_fold(self, |branch, key| branch.tables.get(key))
    }

    fn put_branch(&mut self, path: &str, branch: Branch) {
        match path.split_once('.') {
            None => {
                self.tables.insert(path.to_owned(), branch);
            }
            Some((first, rest)) => {
                self.tables.entry(first.to_owned()).or_default().put_branch(rest, branch);
            }
        }
    }

    fn spread_at(&mut self, path: &str) {
        match path.split_once('.') {
            None => {
                if let Some(branch) = self.tables.get_mut(path) {
                    branch.spread = true;
                }
            }
            Some((first, rest)) => {
                if let Some(branch) = self.tables.get_mut(first) {
                    branch.spread_at(rest);
                }
            }
        }
    }

    fn to_json(&self, path: &str) -> Json {
        let mut properties = Map::new();
        for (key, shape) in &self.leaves {
            properties.insert(key.clone(), shape.clone());
        }
        for (key, branch) in &self.tables {
            properties.insert(key.clone(), branch.to_json(&schema::join(path, key)));
        }
        let text = json!({ "type": "string" });
        let own: &[&str] = if path.is_empty() {
            &["based_on", "use", "part", "values_from", "doubt_ok"]
        } else {
            &["use", "from", "by", "on", "with", "note", "doubt_ok"]
        };
        for key in own {
            properties.entry(*key).or_insert_with(|| text.clone());
        }
        if path.is_empty() {
            let use_only = json!({ "type": "object", "properties": { "use": text } });
            properties.entry("head").or_insert(use_only);
            let list = json!({ "type": "array", "items": { "type": "string" } });
            properties.entry("without").or_insert(list);
        }
        let table =
            json!({ "type": "object", "properties": properties, "additionalProperties": false });
        let first = schema::first_word(path).and_then(|first| self.leaves.get(first));
        match (self.spread, first) {
            (true, _) => json!({ "anyOf": [table, { "$ref": "#/$defs/value" }] }),
            (false, Some(first)) => json!({ "anyOf": [table, first] }),
            _ => table,
        }
    }
}

/// Shapes that many words share.
fn definitions() -> Json {
    let one = json!({ "type": ["string", "number"] });
    let remarks = |value: Json| {
        json!({
            "type": "object",
            "properties": {
                "value": value, "each": { "type": "string" },
                "measured": value, "given": value, "maker": value,
                "from": { "enum": ["measured", "given", "maker", "assumed"] },
                "by": { "type": "string" }, "on": { "type": "string" },
                "with": { "type": "string" }, "note": { "type": "string" },
                "doubt_ok": { "type": "string" }
            },
            "additionalProperties": false
        })
    };
    json!({
        "value": {
            "description": "A number with its unit in quotes, or a table with value or each.",
            "anyOf": [one, remarks(one.clone())]
        },
        "absent": { "enum": ["assumed", "not measured", "not applicable"] }
    })
}

/// The shape of one field, with its sentence.
fn of_field(path: &str, field: &Field) -> Json {
    let mut shape = match &field.kind {
        Kind::Number | Kind::Quantity(_) | Kind::Opening | Kind::Angles => {
            json!({ "$ref": "#/$defs/value" })
        }
        Kind::Event | Kind::FlowAtDrop | Kind::DropAtFlow | Kind::Wish(_) => {
            json!({ "$ref": "#/$defs/value" })
        }
        other => with_wrapper(plain(path, other)),
    };
    if let Some(object) = shape.as_object_mut() {
        object.insert("description".into(), json!(described(path, field)));
    }
    shape
}

/// The sentence of a field with its units and its usual range.
fn described(path: &str, field: &Field) -> String {
    let mut out = field.help.to_owned();
    if let Some((low, high)) = defaults::default_of(path).and_then(|d| d.doubt_text.clone()) {
        out += &format!(" Usually {low} to {high}.");
    }
    out
}

/// A value as it is, or in a table with remarks, or said to be absent.
fn with_wrapper(plain: Json) -> Json {
    json!({ "anyOf": [
        plain,
        { "$ref": "#/$defs/absent" },
        { "type": "object", "properties": {
            "value": plain, "from": { "type": "string" }, "by": { "type": "string" },
            "on": { "type": "string" }, "with": { "type": "string" },
            "note": { "type": "string" }, "doubt_ok": { "type": "string" } },
          "required": ["value"], "additionalProperties": false }
    ] })
}

fn plain(path: &str, kind: &Kind) -> Json {
    let text = json!({ "type": "string" });
    let integer = json!({ "type": "integer", "minimum": 0 });
    let integers = json!({ "type": "array", "items": integer });
    match kind {
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Choice(words) => json!({ "enum": words }),
        Kind::Count if path == "format" => json!({ "const": 1 }),
        Kind::Count => integer,
        Kind::Texts => json!({ "anyOf": [text, { "type": "array", "items": text }] }),
        Kind::Cylinders => json!({ "anyOf": [text, integers] }),
        Kind::Groups => json!({ "type": "array", "items": integers }),
        Kind::Durations => json!({ "anyOf": [text, { "type": "array", "items": text }] }),
        Kind::Table(kind) => table(path, kind),
        Kind::NumberOrTable(kind) | Kind::SparkPlan(kind) => {
            json!({ "anyOf": [{ "type": ["string", "number"] }, table(path, kind)] })
        }
        Kind::Blend => {
            json!({ "type": "object", "additionalProperties": { "type": "string" } })
        }
        Kind::Entries(fields) => {
            let entry = entries(path, fields);
            json!({ "type": "array", "items": entry })
        }
        _ => json!({ "type": ["string", "number"] }),
    }
}

fn entries(path: &str, fields: &[Field]) -> Json {
    let inner =
        fields.iter().map(|f| (f.path.to_owned(), of_field(&schema::join(path, f.path), f)));
    let mut properties: Map<String, Json> = inner.collect();
    for key in ["from", "by", "on", "with", "note", "doubt_ok"] {
        properties.entry(key).or_insert_with(|| json!({ "type": "string" }));
    }
    json!({ "type": "object", "properties": properties, "additionalProperties": false })
}

fn table(path: &str, kind: &TableKind) -> Json {
    let Json::Object(mut shape) = entries(path, kind.beside) else { return json!({}) };
    if let Some(Json::Object(properties)) = shape.get_mut("properties") {
        let names: Vec<&str> = kind.columns.iter().map(|c| c.name).collect();
        let pattern = format!("^({})( .*)?$", names.join("|"));
        let heading = json!({ "type": "string", "pattern": pattern });
        properties.insert("columns".into(), json!({ "type": "array", "items": heading }));
        let row = json!({ "type": "array", "items": { "type": "number" } });
        properties.insert("rows".into(), json!({ "type": "array", "items": row }));
        properties.insert("csv".into(), json!({ "type": "string" }));
    }
    let either = json!([{ "required": ["csv"] }, { "required": ["columns", "rows"] }]);
    shape.insert("anyOf".into(), either);
    Json::Object(shape)
}
