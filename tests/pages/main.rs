//! Tests of the pages from outside.
#![allow(missing_docs, clippy::unwrap_used)]

#[path = "../floors.rs"]
mod floors;

/// Where the modules of the crate are listed.
const HEAD: &str = "lib.rs";
