//! A written book that is to be changed in place, and what is said where that cannot be.

use std::path::{Path, PathBuf};

use washline_core::advise::NotHeld;
use washline_core::spec::Source;

use super::Call;
use crate::error::CliError;
use crate::files::{self, Kept};
use crate::inputs;

/// What is said where more than one drink is to be kept or written.
pub fn for_one(asked: usize) -> CliError {
    CliError::usage(format!(
        "--keep and --write are for one drink, and {asked} were asked for"
    ))
}

/// What is said where a file does not hold the drink that was worked out.
pub fn not_held(error: NotHeld) -> CliError {
    let told = CliError::input(error.to_string());
    match error {
        NotHeld::OtherSpec { .. } => told.hint("work on the one in the file: `--book FILE --write FILE`"),
        NotHeld::NoDrink { .. } => told,
    }
}

/// A written book that is to be changed in place.
pub struct BookFile {
    /// Where it really is: a link stays a link.
    pub path: PathBuf,
    /// As it reads.
    pub source: Source,
    byte_order_mark: bool,
}

const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

impl BookFile {
    pub fn read(path: &Path) -> Result<BookFile, CliError> {
        let name = path.display().to_string();
        let unread = |e: std::io::Error| inputs::unreadable(path, &name, &e);
        let real = path.canonicalize().map_err(unread)?;
        let bytes = std::fs::read(&real).map_err(unread)?;
        let byte_order_mark = bytes.starts_with(BYTE_ORDER_MARK);
        let source = Source::decode(name.clone(), bytes).map_err(|e| CliError::input(e.to_string()))?;
        Ok(BookFile {
            path: real,
            source,
            byte_order_mark,
        })
    }

    /// Put another text in its place, whole or not at all.
    pub fn replace(&self, call: &Call, text: &str) -> Result<(), CliError> {
        let mut bytes = Vec::new();
        if self.byte_order_mark {
            bytes.extend_from_slice(BYTE_ORDER_MARK);
        }
        bytes.extend_from_slice(text.as_bytes());
        files::rewrite(&self.path, &bytes, &Kept::new(call.house.as_deref(), None, &[])?)
    }
}
