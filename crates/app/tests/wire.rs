//! The page's types are made from `web/src/wire.schema.json`, and that from the types here.

use app::wire::Wire;

#[test]
fn the_schema_of_the_wire_is_that_of_the_types() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../web/src/wire.schema.json");
    let settings = schemars::generate::SchemaSettings::draft07();
    let schema = settings.into_generator().into_root_schema_for::<Wire>();
    let now = serde_json::to_string_pretty(&schema).unwrap() + "\n";
    if std::env::var_os("UPDATE_WIRE").is_some() {
        std::fs::write(path, &now).unwrap();
    }
    let kept = std::fs::read_to_string(path).unwrap_or_default();
    assert!(kept == now, "web/src/wire.schema.json is old: run the tests of app with UPDATE_WIRE=1");
}
