//! The JSON Schema of job files, made from the table of keys.

use serde_json::{Map, Value, json};

use super::keys::{TABLES, keys_of};
use crate::library::reader::{Key, Kind};

/// The schema of job files, JSON Schema draft 2020-12.
pub fn schema() -> Value {
    let mut tables = Map::new();
    for table in &TABLES {
        let mut properties = Map::new();
        for key in keys_of(table.name) {
            properties.insert(key.name.to_owned(), property(key));
        }
        let object = json!({
            "type": "object",
            "description": table.meaning,
            "properties": properties,
            "additionalProperties": false,
        });
        let value = if table.repeated { json!({ "type": "array", "items": object }) } else { object };
        tables.insert(table.name.to_owned(), value);
    }
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Sledwright job",
        "type": "object",
        "properties": tables,
        "required": ["blank"],
        "additionalProperties": false,
        "$defs": {
            "size": { "type": ["string", "number"], "description": "a size: \"3-1/2\", \"90 mm\", or a number in the job's units" },
        },
    })
}

fn property(key: &Key) -> Value {
    let size = json!({ "$ref": "#/$defs/size" });
    let mut value = match key.kind {
        Kind::Text(longest) => json!({ "type": "string", "maxLength": longest }),
        Kind::Texts => json!({ "type": "array", "items": { "type": "string" } }),
        Kind::Choice(words) => json!({ "enum": words }),
        Kind::ChoiceOrFlag(words) => {
            let mut all: Vec<Value> = vec![json!(false), json!(true)];
            all.extend(words.iter().map(|word| json!(word)));
            json!({ "enum": all })
        }
        Kind::Choices(words) => json!({ "type": "array", "items": { "enum": words } }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Count(least, most) => json!({ "type": "integer", "minimum": least, "maximum": most }),
        Kind::Number(least, most) => json!({ "type": "number", "minimum": least, "maximum": most }),
        Kind::Size(..) | Kind::Step => size,
        Kind::Measured(_) => json!({ "anyOf": [size, { "type": "array", "items": size, "minItems": 1 }] }),
        Kind::Rows(_) => json!({ "type": "array", "items": { "type": "array", "items": size } }),
        Kind::Pair(_) => json!({ "type": "array", "items": size, "minItems": 2, "maxItems": 2 }),
    };
    if let Some(object) = value.as_object_mut() {
        object.insert("description".to_owned(), json!(format!("{}; if left out: {}", key.meaning, key.default)));
    }
    value
}
