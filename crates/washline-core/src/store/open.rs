//! Opening a house: a file that is ours, of a version we know, or a clear refusal.

use std::cell::{Cell, RefCell};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, PercentEncode, percent_encode};
use rusqlite::backup::Backup;
use rusqlite::{Connection, OpenFlags};

use super::migrations::{migrate, schema_version};
use super::{House, StoreError, guard, schema};

/// The mark in the file's header that says whose it is: "WASH".
pub(super) const APPLICATION_ID: i32 = 0x5741_5348;

/// What a house is opened for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Access {
    /// To be read; it must exist. Results that are out of date are worked out again, in memory if the
    /// file cannot be written.
    Read,
    /// To be written; it is created where it does not exist.
    Write,
}

/// How long a writer waits for another before it gives up.
const WAIT: Duration = Duration::from_secs(5);

impl House {
    /// A house in memory: what a book is checked in, and what tests use.
    ///
    /// # Errors
    /// Only on a fault of SQLite itself.
    pub fn in_memory() -> Result<House, StoreError> {
        let path = PathBuf::from(":memory:");
        let db = guard::in_memory().map_err(|e| StoreError::at(&path, e))?;
        House::prepared(db, path, true)
    }

    /// The house in the file at `path`. Says whether the file was created.
    ///
    /// # Errors
    /// When the file is missing (to read), not ours, newer than this program, damaged, locked or
    /// cannot be written. The file is then as it was.
    pub fn open(path: &Path, access: Access) -> Result<(House, bool), StoreError> {
        let exists = match state(path)? {
            State::Missing => false,
            State::Writable => true,
            State::ReadOnly if access == Access::Read => {
                return House::copied(path).map(|house| (house, false));
            }
            State::ReadOnly => return Err(StoreError::ReadOnly(path.to_owned())),
        };
        let mut seen = false;
        if exists {
            // Looked at through a connection that cannot write: a file that is not ours stays untouched. One
            // that was left in the middle of a write has to be opened for writing to be made whole.
            match inspect(path) {
                Ok(_) => seen = true,
                Err(StoreError::ReadOnly(_) | StoreError::Unopened(..)) => {}
                Err(error) => return Err(error),
            }
        } else if access == Access::Read {
            return Err(StoreError::Missing(path.to_owned()));
        } else if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
            std::fs::create_dir_all(folder)
                .map_err(|e| StoreError::Folder(folder.to_owned(), e.to_string()))?;
        }
        match House::written(path, exists, seen) {
            // The file may be written but its folder may not, where SQLite keeps what it writes ahead.
            Err(StoreError::ReadOnly(_) | StoreError::Unopened(..)) if access == Access::Read => {
                House::copied(path).map(|house| (house, false))
            }
            done => done.map(|house| (house, !exists)),
        }
    }

    /// The house in a file that may be written; `seen` is whether it was looked at just now.
    fn written(path: &Path, exists: bool, seen: bool) -> Result<House, StoreError> {
        let fail = |e| StoreError::at(path, e);
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE;
        let db = guard::open(plain(path), flags).map_err(fail)?;
        db.busy_timeout(WAIT).map_err(fail)?;
        if exists && !seen {
            // What a read-only look could not see (a write that was cut off) is whole now: look again.
            verify(&db, path)?;
        }
        write_ahead(&db, path)?;
        House::prepared(db, path.to_owned(), true)
    }

    /// A file that cannot be written is read into memory, so that results can be brought up to date there.
    pub(super) fn copied(path: &Path) -> Result<House, StoreError> {
        let mut db = guard::in_memory().map_err(|e| StoreError::at(path, e))?;
        readable(path, |file| copy(file, &mut db, path))?;
        House::prepared(db, path.to_owned(), false)
    }

    /// Pragmas, migrations and the copy of the library, on a connection whose file is known to be ours or new.
    pub(super) fn prepared(mut db: Connection, path: PathBuf, writable: bool) -> Result<House, StoreError> {
        let fail = |e| StoreError::at(&path, e);
        db.pragma_update(None, "foreign_keys", true).map_err(fail)?;
        // What a person typed is on the disk when they are told so, also where the power fails the moment after.
        db.pragma_update(None, "synchronous", "full").map_err(fail)?;
        db.set_prepared_statement_cache_capacity(64);
        let version = user_version(&db).map_err(fail)?;
        let small = is_small(&path);
        if version < schema_version() && !small {
            look_through(&db, &path)?;
        }
        if version < schema_version()
            && let Err(error) = migrate(&mut db, schema_version())
            // Another process may have made the same step between our look and our write.
            && user_version(&db).map_err(fail)? < schema_version()
        {
            return Err(match error {
                rusqlite_migration::Error::RusqliteError { err, .. } => StoreError::at(&path, err),
                other => StoreError::Migration(path, other.to_string()),
            });
        }
        let mut house = House {
            db,
            path,
            writable,
            told: RefCell::default(),
            when: None,
            looked_through: Cell::new(small),
        };
        house.seed_library()?;
        Ok(house)
    }
}

fn user_version(db: &Connection) -> rusqlite::Result<i64> {
    db.query_row("PRAGMA user_version", [], |row| row.get(0))
}

/// Write-ahead: readers are never kept waiting by a writer. SQLite does not wait by itself for the lock this
/// takes, so the wait is ours.
fn write_ahead(db: &Connection, path: &Path) -> Result<(), StoreError> {
    let mut waited = Duration::ZERO;
    loop {
        let tried = db
            .pragma_update(None, "journal_mode", "wal")
            .map_err(|e| StoreError::at(path, e));
        match tried {
            Err(StoreError::Locked(_)) if waited < WAIT => {
                std::thread::sleep(PATIENCE);
                waited += PATIENCE;
            }
            done => return done,
        }
    }
}

/// How long between two tries.
const PATIENCE: Duration = Duration::from_millis(20);

/// What the system says of a file before it is opened.
enum State {
    Missing,
    Writable,
    ReadOnly,
}

fn state(path: &Path) -> Result<State, StoreError> {
    let unopened = |e: std::io::Error| Err(StoreError::Unopened(path.to_owned(), e.to_string()));
    match path.metadata() {
        Err(e) if e.kind() == ErrorKind::NotFound => Ok(State::Missing),
        // A folder on the way is a file.
        Err(e) => unopened(e),
        Ok(file) if !file.is_file() => Err(StoreError::NotOurs(path.to_owned())),
        Ok(file) if file.permissions().readonly() => Ok(State::ReadOnly),
        // SQLite is asked, and not the system: closing a file by oneself lets go of the locks that another connection
        // of this process has on it. It opens what it may not write (another owner's file, an immutable one, a disk
        // that is read-only) to be read.
        Ok(_) => {
            let fail = |e| StoreError::at(path, e);
            let db = guard::open(plain(path), OpenFlags::SQLITE_OPEN_READ_WRITE).map_err(fail)?;
            Ok(match db.is_readonly(rusqlite::MAIN_DB).map_err(fail)? {
                true => State::ReadOnly,
                false => State::Writable,
            })
        }
    }
}

/// Read a whole database into another, at one moment.
pub(super) fn copy(from: &Connection, to: &mut Connection, path: &Path) -> Result<(), StoreError> {
    let fail = |e| StoreError::at(path, e);
    let backup = Backup::new(from, to).map_err(fail)?;
    backup
        .run_to_completion(i32::MAX, Duration::from_millis(20), None)
        .map_err(fail)
}

/// Look at an existing file without writing to it or leaving anything beside it, and do something with it. Where it
/// cannot be looked at in its place (something was being written when its writer was cut off, and the folder may not
/// be written), this is done with a copy of it and of what lies beside it.
pub(super) fn readable<T>(
    path: &Path,
    mut then: impl FnMut(&Connection) -> Result<T, StoreError>,
) -> Result<T, StoreError> {
    match inspect(path).and_then(|db| then(&db)) {
        Err(StoreError::ReadOnly(_) | StoreError::Unopened(..)) => {}
        done => return done,
    }
    let unopened = |e: std::io::Error| StoreError::Unopened(path.to_owned(), e.to_string());
    let folder = tempfile::tempdir().map_err(unopened)?;
    let place = folder.path().join("house.db");
    for suffix in ["", "-wal", "-journal"] {
        let from = beside(path, suffix);
        if from.exists() {
            let mut to = std::fs::File::options()
                .write(true)
                .create_new(true)
                .open(beside(&place, suffix))
                .map_err(unopened)?;
            std::fs::File::open(from)
                .and_then(|mut from| std::io::copy(&mut from, &mut to))
                .map_err(unopened)?;
        }
    }
    let fail = |e| StoreError::at(path, e);
    let db = guard::open(&place, OpenFlags::SQLITE_OPEN_READ_WRITE).map_err(fail)?;
    verify(&db, path)?;
    then(&db)
}

/// The name of a file that SQLite keeps beside another.
pub(super) fn beside(path: &Path, suffix: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(suffix);
    PathBuf::from(name)
}

/// Look at an existing file without writing to it or leaving anything beside it. A file that is being written
/// at this moment may look like anything: then it is looked at again.
pub(super) fn inspect(path: &Path) -> Result<Connection, StoreError> {
    let mut waited = Duration::ZERO;
    loop {
        match look(path) {
            Err(StoreError::NotOurs(_) | StoreError::Damaged(..) | StoreError::Foreign(..))
                if waited < WAIT && is_changing(path) =>
            {
                std::thread::sleep(PATIENCE);
                waited += PATIENCE;
            }
            done => return done,
        }
    }
}

/// Whether a file was written to within the last seconds; a clock that was set back since says nothing.
fn is_changing(path: &Path) -> bool {
    let Ok(at) = path.metadata().and_then(|m| m.modified()) else {
        return true;
    };
    let age = at.elapsed().unwrap_or_else(|ahead| ahead.duration());
    age < Duration::from_secs(3)
}

/// Look once.
fn look(path: &Path) -> Result<Connection, StoreError> {
    let fail = |e| StoreError::at(path, e);
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI;
    let at_rest = !beside(path, "-wal").exists() && !beside(path, "-journal").exists();
    // A file at rest is read as one that nobody changes, which needs no side files.
    let immutable = if at_rest { "?immutable=1" } else { "" };
    let absolute = plain(path);
    let uri = format!("file:{}{immutable}", percent(&absolute));
    let db = guard::open(uri, flags).map_err(fail)?;
    db.busy_timeout(WAIT).map_err(fail)?;
    verify(&db, path)?;
    if at_rest {
        let whole: i64 = db
            .query_row(
                "SELECT page_count * page_size FROM pragma_page_count, pragma_page_size",
                [],
                |r| r.get(0),
            )
            .map_err(fail)?;
        if path
            .metadata()
            .is_ok_and(|m| i64::try_from(m.len()).is_ok_and(|len| len < whole))
        {
            return Err(StoreError::Damaged(path.to_owned(), "it is cut short".to_owned()));
        }
    }
    Ok(db)
}

/// Ours, of a version we know, with our schema and no other, and where it is small sound; in that order, so that nothing of a stranger's
/// schema is ever run.
fn verify(db: &Connection, path: &Path) -> Result<(), StoreError> {
    let fail = |e| StoreError::at(path, e);
    let _deadline = guard::Deadline::set(db, guard::patience(size(path))).map_err(fail)?;
    // One look at one moment: another process may be making the house between two statements.
    let db = db.unchecked_transaction().map_err(fail)?;
    ours(&db, path)?;
    if is_small(path) { sound(&db, path) } else { Ok(()) }
}

/// Up to so many bytes a file is looked through whenever it is opened. To do that with a larger one takes longer than what
/// is asked of it: then SQLite tells of a damaged page when it comes to it, and all of it is looked through before
/// anything is written to it, by `verify`, and in a backup.
const SMALL: u64 = 4_000_000;

fn size(path: &Path) -> u64 {
    path.metadata().map(|m| m.len()).unwrap_or_default()
}

fn is_small(path: &Path) -> bool {
    size(path) <= SMALL
}

/// Whether every page of a file holds what it says.
pub(super) fn look_through(db: &Connection, path: &Path) -> Result<(), StoreError> {
    let patience = guard::patience(size(path));
    let _deadline = guard::Deadline::set(db, patience).map_err(|e| StoreError::at(path, e))?;
    sound(db, path)
}

fn sound(db: &Connection, path: &Path) -> Result<(), StoreError> {
    let sound: String = db
        .query_row("PRAGMA quick_check(1)", [], |r| r.get(0))
        .map_err(|e| StoreError::at(path, e))?;
    if sound != "ok" {
        return Err(StoreError::Damaged(path.to_owned(), sound));
    }
    Ok(())
}

/// Whose a file is, whatever state it is in. Gives the version of its schema; 0 of a file in which nothing is yet.
pub(super) fn ours(db: &Connection, path: &Path) -> Result<i64, StoreError> {
    let fail = |e| StoreError::at(path, e);
    let application: i32 = db
        .query_row("PRAGMA application_id", [], |r| r.get(0))
        .map_err(fail)?;
    // A file with nothing in it yet may be a house that another process is just beginning.
    let empty: bool = db
        .query_row("SELECT count(*) = 0 FROM sqlite_schema", [], |r| r.get(0))
        .map_err(fail)?;
    if application != APPLICATION_ID && !(application == 0 && empty) {
        return Err(StoreError::NotOurs(path.to_owned()));
    }
    let version = user_version(db).map_err(fail)?;
    if version > schema_version() {
        return Err(StoreError::TooNew {
            path: path.to_owned(),
            found: version,
            known: schema_version(),
        });
    }
    if version < 1 && !empty {
        let what = format!("it says it has schema {version}, which none has");
        return Err(StoreError::Damaged(path.to_owned(), what));
    }
    let other = schema::differences(db, version).map_err(fail)?;
    if !other.is_empty() {
        return Err(StoreError::Foreign(path.to_owned(), other));
    }
    Ok(version)
}

/// Wait for another writer before giving up.
pub(super) fn waiting(db: &Connection) -> rusqlite::Result<()> {
    db.busy_timeout(WAIT)
}

/// A path and nothing else: `:memory:` and `file:…` mean something of their own to SQLite, an absolute
/// path does not.
pub(super) fn plain(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
}

/// What stands in the path of a URI as it is.
const IN_A_PATH: &AsciiSet = &NON_ALPHANUMERIC
    .remove(b'/')
    .remove(b'-')
    .remove(b'_')
    .remove(b'.')
    .remove(b'~')
    .remove(b':')
    .remove(b'\\');

/// A path as it stands in a URI, byte by byte: it need not be text.
fn percent(path: &Path) -> PercentEncode<'_> {
    percent_encode(path.as_os_str().as_encoded_bytes(), IN_A_PATH)
}
