//! JSON schemas of the files, for editors and outside checkers.

use serde_json::{Map, Value as Json, json};
use shortblock_weather::Standard;

use crate::schema::{ANYWHERE, Field, File, Kind};

/// The schema (JSON Schema 2020-12) of a file read as JSON: what may stand where. Units and what
/// must hold between entries are the checker's business.
#[must_use]
pub fn json_schema(file: File) -> Json {
    let mut out = table(file.fields());
    if let Some(object) = out.as_object_mut() {
        let id = "https://json-schema.org/draft/2020-12/schema";
        object.insert("$schema".into(), json!(id));
        object.insert("title".into(), json!(format!("Shortblock {}, format 1", file.name())));
        object.insert("description".into(), json!(file.about()));
        if let Some(Json::Object(properties)) = object.get_mut("properties") {
            properties.insert("format".into(), json!({ "const": 1 }));
        }
    }
    out
}

fn table(fields: &'static [Field]) -> Json {
    let mut properties = Map::new();
    for field in fields {
        let mut shape = shape(&field.kind);
        if let Some(object) = shape.as_object_mut() {
            object.insert("description".into(), json!(field.help));
        }
        for word in field.aliases.iter().chain([&field.word]) {
            properties.insert((*word).to_owned(), shape.clone());
        }
    }
    for word in ANYWHERE {
        properties.insert(word.to_owned(), json!({ "type": "string" }));
    }
    // A needed word may stand under another name too, so only those without one are required.
    let needed = fields.iter().filter(|f| f.needed && f.aliases.is_empty());
    let needed: Vec<&str> = needed.map(|f| f.word).collect();
    json!({
        "type": "object",
        "properties": properties,
        "required": needed,
        "additionalProperties": false
    })
}

fn shape(kind: &Kind) -> Json {
    let value = json!({ "type": ["string", "number"] });
    match kind {
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Choice(words) => json!({ "enum": words }),
        Kind::Count => json!({ "type": "integer", "minimum": 0 }),
        Kind::Number => json!({ "type": "number" }),
        Kind::Numbers => {
            let one = json!({ "anyOf": [{ "type": "number" }, { "const": crate::form::NONE }] });
            json!({ "type": "array", "items": one })
        }
        Kind::Text | Kind::Quantity(_) | Kind::AnyQuantity => value,
        Kind::File { .. } | Kind::Date | Kind::SpeedRange | Kind::Order | Kind::Channel => {
            json!({ "type": "string" })
        }
        Kind::TimeOfDay => {
            json!({ "type": "string", "pattern": "^[0-9]{1,2}:[0-9]{2}(:[0-9]{2}([.][0-9]+)?)?$" })
        }
        Kind::Standard => {
            let names = Standard::ALL.map(|s| s.about().name);
            json!({ "type": "string", "examples": names })
        }
        Kind::Settings => json!({ "type": "object", "additionalProperties": value }),
        Kind::Lags => json!({ "type": "object", "additionalProperties": { "type": "string" } }),
        Kind::Table(fields) => table(fields),
        Kind::Tables(fields) => json!({ "type": "array", "items": table(fields) }),
    }
}
