//! JSON Schema of the design file, for editors that complete and check it.
//!
//! Assembled from [`crate::keys`], which the reader uses too.

use serde_json::{Map, Value as Json, json};

use crate::builtin::{builtin_materials, builtin_sections};
use crate::keys::{Bounds, COORDINATES, Form, Kind, TOPS, Table, Top, Value};
use crate::units::Quantity;

/// Names of things, without the twin's mark.
const NAME: &str = "^[A-Za-z][A-Za-z0-9_-]*$";

/// The schema (draft 2020-12). `docs/design-file.schema.json` holds it as text.
pub fn schema() -> Json {
    let tops: Map<String, Json> = TOPS.iter().map(|top| (top.name.to_owned(), top_schema(top))).collect();
    let required: Vec<&str> = TOPS.iter().filter(|t| t.required).map(|t| t.name).collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Tubewright design file",
        "type": "object",
        "properties": tops,
        "required": required,
        "additionalProperties": false,
    })
}

fn top_schema(top: &Top) -> Json {
    let one = table_schema(top.table);
    match top.form {
        Form::Once => one,
        Form::Named => json!({
            "type": "object",
            "propertyNames": { "pattern": NAME },
            "additionalProperties": one,
        }),
        Form::Entries => json!({
            "type": "object",
            "description": "Points by name: coordinates, or a place on a tube, or an offset from another point.",
            "propertyNames": { "pattern": NAME },
            "additionalProperties": { "anyOf": [value_schema(&COORDINATES), one] },
        }),
    }
}

fn table_schema(table: &Table) -> Json {
    let mut keys = Map::new();
    for key in table.keys {
        let mut schema = value_schema(&key.value);
        if let Json::Object(schema) = &mut schema {
            schema.insert("description".to_owned(), json!(key.about));
        }
        keys.insert(key.name.to_owned(), schema);
    }
    let required: Vec<&str> = table.keys.iter().filter(|k| k.required).map(|k| k.name).collect();
    json!({
        "type": "object",
        "description": table.about,
        "properties": keys,
        "required": required,
        "additionalProperties": false,
    })
}

fn value_schema(value: &Value) -> Json {
    match value {
        Value::Text => json!({ "type": "string" }),
        Value::Flag => json!({ "type": "boolean" }),
        Value::Choice(words) => json!({ "enum": words }),
        Value::WholeChoice(numbers) => json!({ "enum": numbers }),
        Value::Count(least, most) => json!({ "type": "integer", "minimum": least, "maximum": most }),
        Value::Number(quantity, bounds) => number_schema(*quantity, bounds),
        Value::Numbers(n, quantity, bounds) => {
            json!({ "type": "array", "items": number_schema(*quantity, bounds), "minItems": n, "maxItems": n })
        }
        Value::Name(Kind::Material) => {
            let names: Vec<&str> = builtin_materials().iter().map(|m| m.name.as_str()).collect();
            json!({ "type": "string", "examples": names })
        }
        Value::Name(_) | Value::NameOf(_) => json!({ "type": "string" }),
        Value::Axes => json!({ "type": "string", "pattern": "^[xyz]{0,3}$" }),
        Value::Size => {
            let names: Vec<&str> = builtin_sections().iter().map(|s| s.name.as_str()).collect();
            json!({ "type": "string", "examples": names })
        }
        Value::List(least, of) => json!({ "type": "array", "items": value_schema(of), "minItems": least }),
        Value::Table(table) => table_schema(table),
        Value::Either(all) => json!({ "anyOf": all.iter().map(value_schema).collect::<Vec<_>>() }),
    }
}

fn number_schema(quantity: Quantity, bounds: &Bounds) -> Json {
    let mut number = Map::new();
    number.insert("type".to_owned(), json!("number"));
    // Where the bounds depend on the file's units, only the sign can be told here.
    let scale = match quantity {
        Quantity::Length | Quantity::Force | Quantity::Moment => None,
        Quantity::Stress => Some(1e-6),
        Quantity::Rate => Some(1e-3),
        Quantity::Percent => Some(100.0),
        Quantity::Angle | Quantity::Mass | Quantity::Density | Quantity::Plain => Some(1.0),
    };
    let least = if bounds.above { "exclusiveMinimum" } else { "minimum" };
    if bounds.least == 0.0 {
        number.insert(least.to_owned(), json!(0));
    } else if let Some(scale) = scale {
        number.insert(least.to_owned(), json!(bounds.least * scale));
    }
    if let Some(scale) = scale {
        number.insert("maximum".to_owned(), json!(bounds.most * scale));
    }
    let number = Json::Object(number);
    if !quantity.takes_text() {
        return number;
    }
    let unit = match quantity {
        Quantity::Length => "A fraction or a length with its unit, such as \"1 3/4\" or \"45 mm\".",
        Quantity::Mass => "A mass with its unit, such as \"180 lb\".",
        Quantity::Rate => "A spring rate with its unit, such as \"120 lb/in\".",
        Quantity::Force => "A force with its unit, such as \"1.5 kN\" or \"300 lbf\".",
        Quantity::Moment => "A moment with its unit, such as \"80 N m\" or \"60 lbf ft\".",
        _ => "A stress with its unit, such as \"51 ksi\".",
    };
    json!({ "anyOf": [number, { "type": "string", "pattern": "[0-9]", "description": unit }] })
}
