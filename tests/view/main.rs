//! Tests of what is printed for programs.
#![allow(missing_docs, clippy::unwrap_used)]

#[path = "../floors.rs"]
mod floors;

use std::path::Path;

use serde_json::{Value, json};

/// Where the modules of the crate are listed.
const HEAD: &str = "lib.rs";

/// JSON as a person writes it: on one line what fits on one.
fn printed(value: &Value, indent: usize) -> String {
    let line = value.to_string();
    if indent + line.chars().count() <= WIDTH {
        return line;
    }
    let (open, close, parts): (_, _, Vec<String>) = match value {
        Value::Object(fields) => {
            let part = |(key, below): (&String, &Value)| {
                format!("{}: {}", json!(key), printed(below, indent + key.len() + 6))
            };
            ('{', '}', fields.iter().map(part).collect())
        }
        Value::Array(items) => {
            let all = items.iter().map(|below| printed(below, indent + 2)).collect();
            ('[', ']', all)
        }
        _ => return line,
    };
    let parts: Vec<String> = parts
        .iter()
        .map(|part| format!("  {}", part.replace('\n', "\n  ")))
        .collect();
    format!("{open}\n{}\n{close}", parts.join(",\n"))
}

/// So many columns a line of a schema may have.
const WIDTH: usize = 120;

/// The committed schemas are what the types come to; with `WASHLINE_WRITE_SCHEMAS` they are written anew.
#[test]
fn the_schemas_are_those_of_the_types() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../washline-cli/schema");
    let mut apart = Vec::new();
    for (name, schema) in washline_view::schema::all() {
        let file = folder.join(format!("{name}.schema.json"));
        let generated = printed(schema.as_value(), 0) + "\n";
        if std::env::var_os("WASHLINE_WRITE_SCHEMAS").is_some() {
            std::fs::write(&file, &generated).unwrap();
        } else if std::fs::read_to_string(&file).unwrap_or_default() != generated {
            apart.push(name);
        }
    }
    assert!(
        apart.is_empty(),
        "not what the types come to (WASHLINE_WRITE_SCHEMAS=1 writes them anew): {apart:?}"
    );
}

/// Every kind of finding that the library knows has its numbers in the schema, and no other has.
#[test]
fn the_kinds_of_findings_are_those_of_the_library() {
    use strum::VariantNames;
    use washline_core::balance::Finding;
    use washline_core::service::audit::Found;
    let kinds = |shape: &str, def: &str| -> Vec<String> {
        let all = washline_view::schema::all();
        let (_, schema) = all.iter().find(|(name, _)| *name == shape).unwrap();
        let finding = &schema.as_value()["$defs"][def];
        let kinds = finding["oneOf"].as_array().unwrap().iter();
        let word = |kind: &Value| kind["properties"]["kind"]["const"].as_str().unwrap().to_owned();
        let mut all: Vec<String> = kinds.map(word).collect();
        all.sort();
        all
    };
    let sorted = |words: &[&[&str]]| {
        let mut all: Vec<String> = words.concat().into_iter().map(str::to_owned).collect();
        // What a drink's own check finds goes by its own kind.
        all.retain(|word| word != "of_drink");
        all.sort();
        all
    };
    let of_drink = Finding::VARIANTS;
    assert_eq!(kinds("show", "finding"), sorted(&[of_drink]));
    assert_eq!(
        kinds("audit", "audit_finding"),
        sorted(&[of_drink, Found::VARIANTS])
    );
}
