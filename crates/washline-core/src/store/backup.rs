//! A copy of the house that is whole at one moment, whoever is writing to it.

use std::fs::OpenOptions;
use std::path::Path;
use std::time::Duration;

use rusqlite::Connection;
use rusqlite::backup::Backup;

use super::{House, StoreError};

impl House {
    /// Write a copy of the house to `path`, which must not exist: the state of one moment, in one file, without
    /// side files. Gives its size in bytes.
    ///
    /// # Errors
    /// When there is a file of that name, or it cannot be written. Nothing of it is left then.
    pub fn back_up(&self, path: &Path) -> Result<u64, StoreError> {
        // Made by this call or not at all: a file that is there stays as it is.
        OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(path)
            .map_err(|e| match e.kind() {
                std::io::ErrorKind::AlreadyExists => StoreError::Exists(path.to_owned()),
                std::io::ErrorKind::StorageFull => StoreError::Full(path.to_owned()),
                _ => StoreError::Unwritten(path.to_owned(), e.to_string()),
            })?;
        let done = self.copy_to(path);
        if done.is_err() {
            let _ = std::fs::remove_file(path);
        }
        done
    }

    fn copy_to(&self, path: &Path) -> Result<u64, StoreError> {
        let fail = |e| StoreError::at(path, e);
        let plain = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        let mut copy = Connection::open(plain).map_err(fail)?;
        let backup = Backup::new(&self.db, &mut copy).map_err(fail)?;
        // All pages in one step: a writer meanwhile does not make it begin again.
        backup
            .run_to_completion(i32::MAX, Duration::from_millis(20), None)
            .map_err(fail)?;
        drop(backup);
        // The house writes ahead into a side file; a copy that is carried away is one file.
        copy.pragma_update(None, "journal_mode", "delete").map_err(fail)?;
        let whole: String = copy
            .query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))
            .map_err(fail)?;
        if whole != "ok" {
            return Err(StoreError::Damaged(self.path.clone(), whole));
        }
        copy.close().map_err(|(_, e)| fail(e))?;
        std::fs::metadata(path)
            .map(|m| m.len())
            .map_err(|e| StoreError::Unwritten(path.to_owned(), e.to_string()))
    }
}
