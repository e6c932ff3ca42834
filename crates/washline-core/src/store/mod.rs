//! The house database: one SQLite file of specs, ingredients, ranges and results.
//!
//! The store keeps and finds; what a drink comes to it asks of [`crate::computed`]. A write is one transaction: a book
//! goes in whole or not at all, and what it changes is worked out before it is let go. Drinks are given as computed
//! from what stands in the file at that moment, so nothing stale is ever shown; the results kept for other readers are
//! brought up to date by [`House::refresh`].

mod added;
mod again;
mod amend;
mod backup;
mod book_texts;
mod books;
mod copying;
mod current;
mod earlier;
mod effects;
mod examine;
mod fresh;
mod guard;
mod history;
mod in_short;
mod ingredients;
mod journal;
mod kept;
mod lists;
mod marks;
pub mod merge;
mod migrations;
mod narrowed;
mod odds;
mod open;
mod preparations;
mod prices;
mod ranges;
mod rearrange;
mod results;
mod schema;
mod settings;
mod summaries;
mod tastings;
mod undo;
mod versions;
mod weighings;
mod worked;

use std::cell::{Cell, RefCell};
use std::ops::Deref;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, ErrorCode, Row, Transaction, TransactionBehavior};

use crate::tables::{Remedy, When, when_text};
pub use added::Added;
pub use amend::Amended;
pub use books::Listed;
pub use examine::{Examined, Repaired, examine, repair};
pub use fresh::Refreshed;
pub use history::{DrinkHistory, Event, LineChange, PreparationHistory, PreparationVersion, Version};
pub use in_short::{InShort, PreparedInShort};
pub use journal::Entry;
pub use marks::MODEL;
pub use migrations::schema_version;
pub use open::Access;
pub use rearrange::{NotRearranged, Rearranged, Sort, Which};
pub use summaries::{Held, Summaries};
pub use tastings::{NewTasting, NotTasted, Tasting};
pub use undo::{NotUndone, Undone};
pub use weighings::{KeptFit, Scale, Weighing};

/// A house: its database, open.
#[derive(Debug)]
pub struct House {
    db: Connection,
    path: PathBuf,
    writable: bool,
    /// What was worked out anew along with what was kept, and not asked for yet.
    told: RefCell<Vec<(String, String)>>,
    /// When what is done now is done, as the caller tells it.
    when: Option<When>,
    /// Whether every page of the file is known to hold what it says.
    looked_through: Cell<bool>,
}

/// Why a house cannot be opened, read or written. The file is as it was before.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// There is no such file.
    #[error("{} does not exist", .0.display())]
    Missing(PathBuf),
    /// The file is something else.
    #[error("{} is not a house of this program; it was left as it is", .0.display())]
    NotOurs(PathBuf),
    /// A later program wrote it.
    #[error("{} was written by a newer program (schema {found}, this one knows {known}); it was left as it is", path.display())]
    TooNew {
        /// The file.
        path: PathBuf,
        /// Its schema version.
        found: i64,
        /// The latest this program knows.
        known: i64,
    },
    /// The file may not be written.
    #[error("{} is read-only; nothing was stored", .0.display())]
    ReadOnly(PathBuf),
    /// Another process is writing to it.
    #[error("{} is locked by another program that is writing to it; nothing was stored, try again", .0.display())]
    Locked(PathBuf),
    /// The disk is full.
    #[error("the disk is full; nothing was stored in {}", .0.display())]
    Full(PathBuf),
    /// The file is damaged or cut short.
    #[error("{} is damaged ({}); it was left as it is: restore a backup", .0.display(), .1)]
    Damaged(PathBuf, String),
    /// Its schema is not what this program makes: objects of another hand, or some missing.
    #[error("{} is no house as this program makes it: {}; it was left as it is", .0.display(), .1.join("; "))]
    Foreign(PathBuf, Vec<String>),
    /// It may not be read, or not be opened.
    #[error("{} cannot be opened: {}", .0.display(), .1)]
    Unopened(PathBuf, String),
    /// The disk or the network below it failed.
    #[error("{} cannot be read or written ({}); what was not yet said to be stored is not stored", .0.display(), .1)]
    Device(PathBuf, String),
    /// A statement took longer than any of ours does.
    #[error("{} took too long to look through; it was left as it is", .0.display())]
    TooSlow(PathBuf),
    /// A text or row in it is larger than any of ours.
    #[error("{} holds a text of more than {} bytes, which is more than is read; it was left as it is", .0.display(), .1)]
    TooLarge(PathBuf, i32),
    /// The folder for it cannot be made.
    #[error("the folder {} cannot be made: {}", .0.display(), .1)]
    Folder(PathBuf, String),
    /// There is a file of that name, which is not written over.
    #[error("{} is there already; it was left as it is: name a file that is not", .0.display())]
    Exists(PathBuf),
    /// A file beside the house cannot be written.
    #[error("{} cannot be written: {}", .0.display(), .1)]
    Unwritten(PathBuf, String),
    /// The schema could not be brought up to date.
    #[error("{} could not be brought up to the schema of this program: {}", .0.display(), .1)]
    Migration(PathBuf, String),
    /// What stands in it is not what this program writes there.
    #[error("{}: {}", .0.display(), .1)]
    Content(PathBuf, String),
    /// Anything else that SQLite says.
    #[error("{}: {}", .0.display(), .1)]
    Sqlite(PathBuf, String),
}

impl StoreError {
    /// What helps, where something does.
    #[must_use]
    pub fn remedy(&self) -> Option<Remedy> {
        match self {
            StoreError::Missing(_) => Some(Remedy::AddBook),
            StoreError::Foreign(..) => Some(Remedy::AskForBook),
            _ => None,
        }
    }

    pub(crate) fn at(path: &Path, error: rusqlite::Error) -> StoreError {
        let path = path.to_owned();
        // A cell that is not of the sort its column has, or a text that is none.
        if let rusqlite::Error::FromSqlConversionFailure(..)
        | rusqlite::Error::IntegralValueOutOfRange(..)
        | rusqlite::Error::InvalidColumnType(..)
        | rusqlite::Error::Utf8Error(..) = error
        {
            return StoreError::Damaged(path, error.to_string());
        }
        match error.sqlite_error_code() {
            Some(ErrorCode::NotADatabase) => StoreError::NotOurs(path),
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => StoreError::Locked(path),
            Some(ErrorCode::ReadOnly) => StoreError::ReadOnly(path),
            Some(ErrorCode::DiskFull) => StoreError::Full(path),
            Some(ErrorCode::DatabaseCorrupt) => StoreError::Damaged(path, error.to_string()),
            Some(ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => StoreError::Unopened(
                path,
                "look whether it and its folder may be read and written".to_owned(),
            ),
            Some(ErrorCode::SystemIoFailure) => StoreError::Device(path, error.to_string()),
            Some(ErrorCode::OperationInterrupted) => StoreError::TooSlow(path),
            Some(ErrorCode::TooBig) => StoreError::TooLarge(path, guard::LARGEST),
            _ => StoreError::Sqlite(path, error.to_string()),
        }
    }
}

impl House {
    /// Say when what is done from now on is done: of the versions that are kept, of what is taken off a list, of each entry
    /// in the journal. Where it is never said, they are kept without a time.
    pub fn at(&mut self, when: impl Into<When>) {
        self.when = Some(when.into());
    }

    /// When what is done now is done, where anybody told.
    fn now(&self) -> Option<&When> {
        self.when.as_ref()
    }

    /// The same as it stands in the database.
    fn now_text(&self) -> String {
        when_text(self.now())
    }

    /// Where it is kept.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    fn fail(&self) -> impl Fn(rusqlite::Error) -> StoreError + use<> {
        let path = self.path.clone();
        move |error| StoreError::at(&path, error)
    }

    fn content(&self, what: impl Into<String>) -> StoreError {
        StoreError::Content(self.path.clone(), what.into())
    }

    /// Begin to write, before anything is read: a second writer waits here and nowhere else.
    fn begin(&mut self) -> Result<Transaction<'_>, StoreError> {
        self.be_sure()?;
        let path = self.path.clone();
        self.db
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(|e| StoreError::at(&path, e))
    }

    /// Before anything is written: a damaged file is left as it is.
    fn be_sure(&self) -> Result<(), StoreError> {
        if !self.looked_through.get() {
            open::look_through(&self.db, &self.path)?;
            self.looked_through.set(true);
        }
        Ok(())
    }

    /// Begin to write what the caller asked to be kept, as one entry of the journal.
    fn begin_keeping(&mut self) -> Result<Keeping<'_>, StoreError> {
        if !self.writable {
            return Err(StoreError::ReadOnly(self.path.clone()));
        }
        self.be_sure()?;
        let house: &House = self;
        // On the connection that is open already, so that what is kept is worked out before it is let go.
        let transaction = Transaction::new_unchecked(&house.db, TransactionBehavior::Immediate)
            .map_err(|e| StoreError::at(&house.path, e))?;
        journal::begin(&transaction, house.now()).map_err(|e| StoreError::at(&house.path, e))?;
        Ok(Keeping { house, transaction })
    }
}

/// When something was done by a column of a row; `None` where nobody told.
fn when(row: &Row<'_>, column: &str) -> rusqlite::Result<Option<When>> {
    let text: Option<String> = row.get(column)?;
    Ok(text.as_deref().and_then(When::of))
}

/// Something that is being kept: written down, and in the same transaction everything that hangs on it worked out.
struct Keeping<'a> {
    house: &'a House,
    transaction: Transaction<'a>,
}

impl<'a> Deref for Keeping<'a> {
    type Target = Transaction<'a>;

    fn deref(&self) -> &Transaction<'a> {
        &self.transaction
    }
}

impl Keeping<'_> {
    /// Bring up to date what it made stale, and let it stand as an entry of the journal with what was done in plain
    /// words; its number, where a row was changed.
    fn commit(self, what: &str) -> Result<Option<i64>, StoreError> {
        let entry = journal::end(&self.transaction, what).map_err(|e| StoreError::at(&self.house.path, e))?;
        let recomputed = match self.house.stale()? {
            Some(stale) => self.house.bring_up_to_date(stale)?,
            None => Vec::new(),
        };
        self.transaction
            .commit()
            .map_err(|e| StoreError::at(&self.house.path, e))?;
        self.house.told.borrow_mut().extend(recomputed);
        Ok(entry)
    }
}
