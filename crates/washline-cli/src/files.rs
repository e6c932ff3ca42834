//! Writing files from the command line: what is kept from being written over, and how a refusal is told.

use std::path::{Path, PathBuf};

use washline_core::files::{self, Content, NewFile, WriteError};
use washline_core::store::House;

use crate::error::CliError;
use crate::inputs;
use crate::plain::plain;

/// What a run reads, and so must not write over: the house with what SQLite keeps beside it, the files its books came
/// from, and the files named.
pub struct Kept(Vec<PathBuf>);

impl Kept {
    /// `opened` is the house that is read, where one is; `files` are the files that are.
    pub fn new(named: Option<&Path>, opened: Option<&House>, files: &[PathBuf]) -> Result<Kept, CliError> {
        let mut all = files.to_vec();
        if let Ok(path) = inputs::path(named) {
            for suffix in ["-wal", "-shm", "-journal"] {
                let mut beside = path.as_os_str().to_owned();
                beside.push(suffix);
                all.push(beside.into());
            }
            all.push(path);
        }
        if let Some(house) = opened {
            all.extend(house.book_files()?);
        }
        Ok(Kept(all))
    }

    /// Nothing is read that could be written over.
    pub fn none() -> Kept {
        Kept(Vec::new())
    }
}

/// Write texts to files, all of them or none.
pub fn put(texts: &[(&Path, &str)], replace: bool, kept: &Kept) -> Result<(), CliError> {
    let new = texts
        .iter()
        .map(|(path, text)| NewFile {
            path,
            content: Content::Bytes(text.as_bytes()),
            replace,
        })
        .collect();
    files::write(new, &kept.0).map_err(said)
}

/// What every page of ours has in its head; those of earlier versions go on after the name.
const OURS: &str = "<meta name=\"generator\" content=\"washline";

/// Whether a file is an earlier page of ours, which a new one may take the place of.
fn is_our_page(page: &Path) -> bool {
    std::fs::read_to_string(page).is_ok_and(|text| text.starts_with("<!doctype html>") && text.contains(OURS))
}

/// Whether a name is that of a page: a book named in its place would be written over.
pub fn check_page(page: &Path) -> Result<(), CliError> {
    let ending = page.extension().and_then(|e| e.to_str()).unwrap_or_default();
    if page.as_os_str() == "-" || ending.eq_ignore_ascii_case("html") || ending.eq_ignore_ascii_case("htm") {
        return Ok(());
    }
    Err(CliError::usage(format!(
        "{}: expected the page to write, with a name that ends in .html, or `-`",
        page.display()
    )))
}

/// Write a page: over an earlier one of ours, and over nothing else unless `replace` says so.
pub fn put_page(page: &Path, html: &str, replace: bool, kept: &Kept) -> Result<(), CliError> {
    put(&[(page, html)], replace || is_our_page(page), kept)
}

/// Write a page that a command makes in the place of its text, or give it as that text where the page is `-`. Gives what
/// to print. `read` are the files that were read.
pub fn page_or_text(
    page: &Path,
    html: String,
    named: Option<&Path>,
    opened: Option<&House>,
    read: &[PathBuf],
) -> Result<String, CliError> {
    if page.as_os_str() == "-" {
        return Ok(html);
    }
    put_page(page, &html, false, &Kept::new(named, opened, read)?)?;
    Ok(format!("{}: written\n", plain(&page.display().to_string())))
}

/// Put other bytes in the place of a book that is there.
pub fn rewrite(book: &Path, bytes: &[u8], kept: &Kept) -> Result<(), CliError> {
    let new = NewFile {
        path: book,
        content: Content::Bytes(bytes),
        replace: true,
    };
    files::write(vec![new], &kept.0).map_err(said)
}

fn said(error: WriteError) -> CliError {
    let told = CliError::input(error.to_string());
    match error {
        WriteError::Exists(_) => {
            told.hint("name another file; --replace, where there is one, writes over it")
        }
        WriteError::Guarded { .. } => told.hint("name another file: --replace does not hold for this one"),
        WriteError::Folder(_) => told.hint("name a file in it"),
        WriteError::ReadOnly(_) => told.hint("name another file, or make this one writable"),
        _ => told,
    }
}
