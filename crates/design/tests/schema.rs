//! The JSON Schema, the reader and the page on the file say the same.

use std::fs;
use std::path::Path;

use design::Units;
use design::keys::{self, Form, Table, Value};
use serde_json::Value as Json;
use toml::Value as Toml;

#[test]
fn the_committed_schema_is_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/design-file.schema.json");
    let current = serde_json::to_string_pretty(&design::schema()).unwrap() + "\n";
    if std::env::var_os("UPDATE_SCHEMA").is_some() {
        fs::write(&path, &current).unwrap();
    }
    let committed = fs::read_to_string(&path).unwrap();
    assert!(committed == current, "docs/design-file.schema.json is not current: UPDATE_SCHEMA=1 writes it");
}

/// Whether the schema takes a value: types, names of keys, required keys, choices and counts.
fn takes(schema: &Json, value: &Toml) -> Result<(), String> {
    if let Some(any) = schema.get("anyOf") {
        let any = any.as_array().unwrap();
        let tried: Vec<String> = any.iter().filter_map(|s| takes(s, value).err()).collect();
        return if tried.len() < any.len() { Ok(()) } else { Err(tried.join(" / ")) };
    }
    if let Some(words) = schema.get("enum") {
        let found = words.as_array().unwrap().iter().any(|w| match value {
            Toml::String(s) => w.as_str() == Some(s),
            Toml::Integer(i) => w.as_i64() == Some(*i),
            _ => false,
        });
        return if found { Ok(()) } else { Err(format!("{value:?} is none of {words}")) };
    }
    let kind = schema["type"].as_str().unwrap();
    match (kind, value) {
        ("string", Toml::String(_)) | ("boolean", Toml::Boolean(_)) | ("integer", Toml::Integer(_)) => Ok(()),
        ("number", Toml::Integer(_) | Toml::Float(_)) => Ok(()),
        ("array", Toml::Array(items)) => {
            let least = schema.get("minItems").and_then(Json::as_u64).unwrap_or(0) as usize;
            let most = schema.get("maxItems").and_then(Json::as_u64).unwrap_or(u64::MAX) as usize;
            if !(least..=most).contains(&items.len()) {
                return Err(format!("{} items", items.len()));
            }
            items.iter().try_for_each(|item| takes(&schema["items"], item))
        }
        ("object", Toml::Table(table)) => {
            for required in schema.get("required").and_then(Json::as_array).into_iter().flatten() {
                if !table.contains_key(required.as_str().unwrap()) {
                    return Err(format!("{required} is missing"));
                }
            }
            table.iter().try_for_each(|(key, value)| {
                let known = schema.get("properties").and_then(|p| p.get(key));
                let schema = match (known, &schema["additionalProperties"]) {
                    (Some(known), _) => known,
                    (None, other @ Json::Object(_)) => other,
                    _ => return Err(format!("unknown key {key}")),
                };
                takes(schema, value).map_err(|e| format!("{key}: {e}"))
            })
        }
        _ => Err(format!("{value:?} is no {kind}")),
    }
}

fn designs() -> Vec<(String, String)> {
    let mut designs =
        vec![("mm".to_owned(), design::starter(Units::Mm)), ("in".to_owned(), design::starter(Units::In))];
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    for entry in fs::read_dir(examples).into_iter().flatten().flatten() {
        let path = entry.path();
        if path.extension().is_some_and(|e| e == "toml") {
            designs.push((path.display().to_string(), fs::read_to_string(&path).unwrap()));
        }
    }
    designs
}

#[test]
fn valid_designs_are_valid_by_the_schema() {
    let schema = design::schema();
    for (name, text) in designs() {
        if let Err(problems) = design::read(&text) {
            panic!("{}", design::render(&problems, &name, &text));
        }
        let value: Toml = toml::from_str(&text).unwrap();
        takes(&schema, &value).unwrap_or_else(|e| panic!("{name}: {e}"));
    }
}

#[test]
fn the_schema_refuses_unknown_keys() {
    let schema = design::schema();
    let value: Toml = toml::from_str("[design]\nname = \"x\"\nnmae = 1\n").unwrap();
    assert!(takes(&schema, &value).unwrap_err().contains("nmae"));
    let value: Toml = toml::from_str("[design]\nname = \"x\"\n[tube.a]\nsection = \"x\"\n").unwrap();
    assert!(takes(&schema, &value).unwrap_err().contains("path"));
}

/// A date can stand nowhere in a design, so that every key that the reader knows must complain of one.
const DATE: &str = "1979-05-27";

/// What must stand beside a key for it to be looked at.
fn companions(table: &Table, key: &str) -> &'static str {
    let is = |other: &Table| std::ptr::eq(table, other);
    match key {
        "od" | "wall" if is(&keys::SECTION) => "shape = \"round\"",
        "width" | "height" | "corner" if is(&keys::SECTION) => "shape = \"box\"",
        "at" | "part" | "x" | "y" | "z" if is(&keys::POINT_TABLE) => "on = \"t\"",
        "pick" if is(&keys::POINT_TABLE) => "on = \"t\", x = 1",
        "by" if is(&keys::POINT_TABLE) => "from = \"p\"",
        "normal" if is(&keys::PLANE) => "point = \"p\"",
        _ => "",
    }
}

/// Every key of a table, as `{ key = DATE }` in whatever holds the table.
fn try_keys(table: &'static Table, wrap: &dyn Fn(&str) -> String, tried: &mut usize) {
    for key in table.keys {
        let beside = companions(table, key.name);
        let comma = if beside.is_empty() { "" } else { ", " };
        let inline = |value: &str| wrap(&format!("{{ {} = {value}{comma}{beside} }}", key.name));
        let text = inline(DATE);
        let problems = design::read(&text).expect_err(&text);
        let found = problems.iter().any(|p| p.span.clone().is_some_and(|s| text.get(s) == Some(DATE)));
        assert!(found, "the reader takes no notice of `{}` in {text}", key.name);
        *tried += 1;
        within(&key.value, &inline, tried);
    }
}

fn within(value: &'static Value, wrap: &dyn Fn(&str) -> String, tried: &mut usize) {
    match value {
        Value::Table(table) => try_keys(table, wrap, tried),
        Value::List(_, of) => within(of, &|inner| wrap(&format!("[{inner}, {inner}, {inner}]")), tried),
        Value::Either(all) => all.iter().for_each(|v| within(v, wrap, tried)),
        _ => {}
    }
}

#[test]
fn the_reader_looks_at_every_key() {
    let mut tried = 0;
    for top in keys::TOPS {
        let head = if top.name == "design" { "" } else { "design = { name = \"x\" }\n" };
        let wrap = |inner: &str| match top.form {
            Form::Once => format!("{head}{} = {inner}\n", top.name),
            Form::Named | Form::Entries => format!("{head}{} = {{ n = {inner} }}\n", top.name),
        };
        try_keys(top.table, &wrap, &mut tried);
    }
    assert!(tried > 100, "{tried}");
}
