//! What is told of a page that was written.

use serde_json::json;
use washline_core::spec::Fault;

use super::{count, json as shapes, plain};

/// What was written, in a line.
pub fn written(file: &str, drinks: usize) -> String {
    format!("{}: {}\n", plain(file), count(drinks, "drink", "drinks"))
}

/// The same for programs.
pub fn json(file: &str, drinks: usize, bytes: usize, faults: &[Fault]) -> String {
    shapes::text(
        &json!({ "schema": shapes::SCHEMA, "file": file, "drinks": drinks, "bytes": bytes, "faults": faults }),
    )
}
