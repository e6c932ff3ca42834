//! Which house, and which texts: `--house`, then `WASHLINE_HOUSE`, then the platform's data folder.

use std::io::Read;
use std::path::{Path, PathBuf};

use etcetera::BaseStrategy;
use washline_core::spec::Source;
use washline_core::store::{Access, House};

use crate::error::CliError;
use crate::plain::plain;

/// The file of the house: the one named (by option or environment), else the platform's place for data.
pub fn path(named: Option<&Path>) -> Result<PathBuf, CliError> {
    if let Some(path) = named {
        return Ok(path.to_owned());
    }
    // Set to nothing is as good as not set.
    if let Some(path) = std::env::var_os("WASHLINE_HOUSE").filter(|p| !p.is_empty()) {
        return Ok(path.into());
    }
    let base = etcetera::choose_base_strategy().map_err(|e| {
        CliError::usage(format!("no place for the house: {e}"))
            .hint("name one with --house FILE or WASHLINE_HOUSE")
    })?;
    Ok(base.data_dir().join("washline").join("house.db"))
}

/// Open the house to read; it must exist.
pub fn to_read(named: Option<&Path>) -> Result<House, CliError> {
    Ok(House::open(&path(named)?, Access::Read)?.0)
}

/// Open the house to write, and say so where that makes a new file.
pub fn to_write(named: Option<&Path>, notes: &mut String) -> Result<House, CliError> {
    let (house, created) = House::open(&path(named)?, Access::Write)?;
    if created {
        notes.push_str(&format!(
            "a new house in {}\n",
            plain(&house.path().display().to_string())
        ));
    }
    Ok(house)
}

/// Read texts from files; `-` is standard input.
pub fn texts(files: &[PathBuf]) -> Result<Vec<Source>, CliError> {
    bytes(files)?
        .into_iter()
        .map(|(name, bytes)| {
            Source::decode(name, bytes).map_err(|e| {
                CliError::input(e.to_string())
                    .hint("save the file as UTF-8 (many editors: \"Save with encoding\")")
            })
        })
        .collect()
}

/// Read files as they are, each with the name it goes by; `-` is standard input.
pub fn bytes(files: &[PathBuf]) -> Result<Vec<(String, Vec<u8>)>, CliError> {
    let mut seen_stdin = false;
    files
        .iter()
        .map(|file| {
            let (name, bytes) = if file.as_os_str() == "-" {
                if std::mem::replace(&mut seen_stdin, true) {
                    return Err(CliError::usage("standard input is named twice"));
                }
                let mut bytes = Vec::new();
                let read = std::io::stdin().lock().read_to_end(&mut bytes);
                ("<standard input>".to_owned(), read.map(|_| bytes))
            } else {
                (file.display().to_string(), std::fs::read(file))
            };
            let bytes = bytes.map_err(|e| CliError::input(format!("{name} cannot be read: {e}")))?;
            Ok((name, bytes))
        })
        .collect()
}
