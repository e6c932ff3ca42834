//! What is told of a page that was written.

use super::{count, plain};

/// What was written, in a line.
pub fn written(file: &str, drinks: usize) -> String {
    format!("{}: {}\n", plain(file), count(drinks, "drink", "drinks"))
}
