//! A copy of the house that is whole at one moment, whoever is writing to it.

use std::io;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::OpenFlags;
use rusqlite::backup::Backup;

use super::{House, StoreError, examine, guard};
use crate::files::{self, Content, NewFile, WriteError};

impl House {
    /// Write a copy of the house to `path`, which must not exist: the state of one moment, in one file, without
    /// side files. It has that name only once it is closed, on the disk and looked through. Gives its size in bytes.
    ///
    /// # Errors
    /// When there is a file of that name, it cannot be written, or the house itself is damaged. Nothing of it is left
    /// then.
    pub fn back_up(&self, path: &Path) -> Result<u64, StoreError> {
        let mut said = None;
        let made = NewFile {
            path,
            content: Content::Made(Box::new(|beside| {
                self.copy_to(beside).map_err(|error| {
                    let words = error.to_string();
                    said = Some(error);
                    io::Error::other(words)
                })
            })),
            replace: false,
        };
        let done = files::write(vec![made], &[]);
        match (done, said) {
            (Ok(()), _) => std::fs::metadata(path)
                .map(|m| m.len())
                .map_err(|e| StoreError::Unwritten(path.to_owned(), e.to_string())),
            // What is said of the file beside is said of the name the caller knows.
            (Err(_), Some(error)) => Err(match error {
                StoreError::Full(_) => StoreError::Full(path.to_owned()),
                StoreError::Sqlite(_, why) => StoreError::Unwritten(path.to_owned(), why),
                other => other,
            }),
            (Err(error), None) => Err(match error {
                WriteError::Exists(path) | WriteError::Folder(path) => StoreError::Exists(path),
                WriteError::Full(path) => StoreError::Full(path),
                WriteError::Failed { path, error } => StoreError::Unwritten(path, error.to_string()),
                other => StoreError::Unwritten(path.to_owned(), other.to_string()),
            }),
        }
    }

    fn copy_to(&self, path: &Path) -> Result<(), StoreError> {
        let fail = |e| StoreError::at(path, e);
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE;
        let mut copy = guard::open(path, flags).map_err(fail)?;
        let backup = Backup::new(&self.db, &mut copy).map_err(fail)?;
        // All pages in one step: a writer meanwhile does not make it begin again.
        backup
            .run_to_completion(i32::MAX, Duration::from_millis(20), None)
            .map_err(fail)?;
        drop(backup);
        // The house writes ahead into a side file; a copy that is carried away is one file.
        copy.pragma_update(None, "journal_mode", "delete").map_err(fail)?;
        copy.close().map_err(|(_, e)| fail(e))?;
        // Of what stands in the file now, through a connection of its own.
        let found = examine::structure(path)?;
        match found.damage.first() {
            None => Ok(()),
            Some(damage) => Err(StoreError::Damaged(self.path.clone(), damage.clone())),
        }
    }

    /// The files that the books of the house were added from, as they were called then: what is written out beside
    /// the house must not stand in their place.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn book_files(&self) -> Result<Vec<PathBuf>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached("SELECT file FROM book ORDER BY id")
            .map_err(&fail)?;
        let rows = select
            .query_map([], |row| row.get::<_, String>("file").map(PathBuf::from))
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }
}
