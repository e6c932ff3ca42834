//! Marks of what something depends on: where the mark is another, so may be what was worked out.

/// Changes whenever the same spec and stock would come to other figures.
pub const MODEL: &str = "10";

pub(super) fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::new(), |mut text, b| {
        let _ = write!(text, "{b:02x}");
        text
    })
}

/// Something as a column of JSON has it.
pub(super) fn as_json(value: &impl serde::Serialize) -> rusqlite::Result<String> {
    serde_json::to_string(value).map_err(|e| rusqlite::Error::ToSqlConversionFailure(Box::new(e)))
}
