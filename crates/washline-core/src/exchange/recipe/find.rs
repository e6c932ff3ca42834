//! Recipes found in a block of JSON-LD, wherever they stand, and the texts of a value.

use serde_json::{Map, Value};

use crate::exchange::html;
use crate::exchange::json_text::{offset, with_controls_escaped};

/// A block as JSON, as far as pages write it: marks of comments round it and line breaks in strings are let pass.
pub(super) fn parsed(block: &str) -> Result<Value, (usize, String)> {
    let trimmed = block.trim();
    let inner = [("<!--", "-->"), ("//<![CDATA[", "//]]>"), ("<![CDATA[", "]]>")]
        .into_iter()
        .find_map(|(open, close)| {
            trimmed
                .strip_prefix(open)
                .map(|t| t.trim_end().strip_suffix(close).unwrap_or(t))
        })
        .unwrap_or(trimmed)
        .trim();
    let first = match serde_json::from_str(inner) {
        Ok(value) => return Ok(value),
        Err(error) => error,
    };
    serde_json::from_str(&with_controls_escaped(inner)).map_err(|_| {
        let lead = block.find(inner).unwrap_or(0);
        let said = first.to_string();
        let said = said
            .rsplit_once(" at line ")
            .map_or(said.clone(), |(why, _)| why.to_owned());
        (lead + offset(inner, first.line(), first.column()), said)
    })
}

/// Every recipe in a value, wherever it stands: alone, in a list, in a graph, inside a page or a list of items.
pub(super) fn gather<'a>(value: &'a Value, recipes: &mut Vec<&'a Value>) {
    match value {
        Value::Array(all) => all.iter().for_each(|v| gather(v, recipes)),
        Value::Object(fields) => {
            if is_type(fields, "recipe") {
                recipes.push(value);
            } else {
                fields.values().for_each(|v| gather(v, recipes));
            }
        }
        _ => {}
    }
}

/// Whether an object is of a type, by its short name or its address.
fn is_type(fields: &Map<String, Value>, wanted: &str) -> bool {
    let named = |v: &Value| {
        v.as_str().is_some_and(|t| {
            t.rsplit(['/', ':', '#'])
                .next()
                .is_some_and(|t| t.eq_ignore_ascii_case(wanted))
        })
    };
    match fields.get("@type") {
        Some(Value::Array(types)) => types.iter().any(named),
        Some(one) => named(one),
        None => false,
    }
}

/// The texts of a value: itself, each of a list, the `name` or `text` of an object.
pub(super) fn texts(value: Option<&Value>) -> Vec<String> {
    match value {
        Some(Value::String(text)) => vec![html::words(text)],
        Some(Value::Number(number)) => vec![number.to_string()],
        Some(Value::Array(all)) => all.iter().flat_map(|v| texts(Some(v))).collect(),
        Some(Value::Object(fields)) => {
            let said = ["text", "name"].into_iter().find_map(|k| fields.get(k));
            texts(said)
        }
        _ => Vec::new(),
    }
}

pub(super) fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The texts of a method in order: as they stand, and as words.
pub(super) fn told(value: Option<&Value>, all: &mut Vec<(String, String)>) {
    match value {
        Some(Value::String(text)) => all.push((text.clone(), html::words(text))),
        Some(Value::Array(steps)) => steps.iter().for_each(|s| told(Some(s), all)),
        Some(Value::Object(fields)) => {
            let below = ["itemListElement", "steps", "step", "item"]
                .into_iter()
                .find_map(|k| fields.get(k));
            match below {
                Some(below) => told(Some(below), all),
                None => told(["text", "name"].into_iter().find_map(|k| fields.get(k)), all),
            }
        }
        _ => {}
    }
}
