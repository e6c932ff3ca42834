//! Opening a house: a file that is ours, of a version we know, or a clear refusal.

use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use std::time::Duration;

use rusqlite::backup::Backup;
use rusqlite::{Connection, OpenFlags};
use rusqlite_migration::{M, Migrations};

use super::{House, StoreError};

/// The mark in the file's header that says whose it is: "WASH".
pub(super) const APPLICATION_ID: i32 = 0x5741_5348;

/// Every migration, in order; a test compares the list with the folder.
pub(super) const MIGRATIONS: &[(&str, &str)] = &[
    (
        "001_house.sql",
        include_str!("../../../../migrations/001_house.sql"),
    ),
    (
        "002_intervals.sql",
        include_str!("../../../../migrations/002_intervals.sql"),
    ),
    (
        "003_prices.sql",
        include_str!("../../../../migrations/003_prices.sql"),
    ),
    (
        "004_weighings.sql",
        include_str!("../../../../migrations/004_weighings.sql"),
    ),
    (
        "005_preparations.sql",
        include_str!("../../../../migrations/005_preparations.sql"),
    ),
    (
        "006_tastings.sql",
        include_str!("../../../../migrations/006_tastings.sql"),
    ),
    (
        "007_families.sql",
        include_str!("../../../../migrations/007_families.sql"),
    ),
];

static STEPS: LazyLock<Migrations<'static>> =
    LazyLock::new(|| Migrations::new(MIGRATIONS.iter().map(|(_, sql)| M::up(sql)).collect()));

/// The schema version this program writes.
#[must_use]
pub fn schema_version() -> i64 {
    i64::try_from(MIGRATIONS.len()).unwrap_or(i64::MAX)
}

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
        let db = Connection::open_in_memory().map_err(|e| StoreError::at(&path, e))?;
        House::prepared(db, path, true)
    }

    /// The house in the file at `path`. Says whether the file was created.
    ///
    /// # Errors
    /// When the file is missing (to read), not ours, newer than this program, damaged, locked or
    /// cannot be written. The file is then as it was.
    pub fn open(path: &Path, access: Access) -> Result<(House, bool), StoreError> {
        if path.is_dir() {
            return Err(StoreError::NotOurs(path.to_owned()));
        }
        let exists = path.exists();
        let read_only = exists && path.metadata().is_ok_and(|m| m.permissions().readonly());
        match access {
            Access::Read if !exists => return Err(StoreError::Missing(path.to_owned())),
            Access::Write if read_only => return Err(StoreError::ReadOnly(path.to_owned())),
            Access::Read | Access::Write => {}
        }
        if !exists && let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
            std::fs::create_dir_all(folder)
                .map_err(|e| StoreError::Folder(folder.to_owned(), e.to_string()))?;
        }
        if exists && !read_only {
            // Looked at through a connection that cannot write: a file that is not ours stays untouched. One
            // that was left in the middle of a write has to be opened for writing to be made whole.
            match inspect(path) {
                Ok(_) | Err(StoreError::ReadOnly(_)) => {}
                Err(error) => return Err(error),
            }
        }
        if read_only {
            return House::copied(path).map(|house| (house, false));
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let db = Connection::open_with_flags(plain(path), flags).map_err(|e| StoreError::at(path, e))?;
        db.busy_timeout(WAIT).map_err(|e| StoreError::at(path, e))?;
        if exists {
            // What a read-only look could not see (a write that was cut off) is whole now: look again.
            verify(&db, path)?;
        }
        write_ahead(&db, path)?;
        House::prepared(db, path.to_owned(), true).map(|house| (house, !exists))
    }

    /// A file that cannot be written is read into memory, so that results can be brought up to date there.
    pub(super) fn copied(path: &Path) -> Result<House, StoreError> {
        let fail = |e| StoreError::at(path, e);
        let file = inspect(path)?;
        let mut db = Connection::open_in_memory().map_err(fail)?;
        let backup = Backup::new(&file, &mut db).map_err(fail)?;
        backup
            .run_to_completion(1000, Duration::ZERO, None)
            .map_err(fail)?;
        drop(backup);
        House::prepared(db, path.to_owned(), false)
    }

    /// Pragmas, migrations and the copy of the library, on a connection whose file is known to be ours or new.
    pub(super) fn prepared(mut db: Connection, path: PathBuf, writable: bool) -> Result<House, StoreError> {
        let fail = |e| StoreError::at(&path, e);
        db.pragma_update(None, "foreign_keys", true).map_err(fail)?;
        db.pragma_update(None, "synchronous", "normal").map_err(fail)?;
        db.set_prepared_statement_cache_capacity(64);
        let version = user_version(&db).map_err(fail)?;
        if version < schema_version()
            && let Err(error) = STEPS.to_latest(&mut db)
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
            fresh: None,
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

/// Look at an existing file without writing to it or leaving anything beside it. A file that is being written
/// at this moment may look like anything: then it is looked at again.
pub(super) fn inspect(path: &Path) -> Result<Connection, StoreError> {
    let mut waited = Duration::ZERO;
    loop {
        match look(path) {
            Err(StoreError::NotOurs(_) | StoreError::Damaged(..)) if waited < WAIT && is_changing(path) => {
                std::thread::sleep(PATIENCE);
                waited += PATIENCE;
            }
            done => return done,
        }
    }
}

/// Whether a file was written to within the last seconds.
fn is_changing(path: &Path) -> bool {
    let age = path
        .metadata()
        .and_then(|m| m.modified())
        .ok()
        .and_then(|at| at.elapsed().ok());
    age.is_none_or(|age| age < Duration::from_secs(3))
}

/// Look once.
fn look(path: &Path) -> Result<Connection, StoreError> {
    let fail = |e| StoreError::at(path, e);
    let flags =
        OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let beside = |suffix: &str| {
        let mut name = path.as_os_str().to_owned();
        name.push(suffix);
        Path::new(&name).exists()
    };
    let at_rest = !beside("-wal") && !beside("-journal");
    // A file at rest is read as one that nobody changes, which needs no side files.
    let uri = format!(
        "file:{}{}",
        percent(&plain(path).to_string_lossy()),
        if at_rest { "?immutable=1" } else { "" }
    );
    let db = Connection::open_with_flags(uri, flags).map_err(fail)?;
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

/// Ours, of a version we know, and sound.
fn verify(db: &Connection, path: &Path) -> Result<(), StoreError> {
    let fail = |e| StoreError::at(path, e);
    // One look at one moment: another process may be making the house between two statements.
    let db = db.unchecked_transaction().map_err(fail)?;
    let application: i32 = db
        .query_row("PRAGMA application_id", [], |r| r.get(0))
        .map_err(fail)?;
    // A file with nothing in it yet may be a house that another process is just beginning.
    let empty = || {
        db.query_row("SELECT count(*) = 0 FROM sqlite_schema", [], |r| {
            r.get::<_, bool>(0)
        })
    };
    if application != APPLICATION_ID && !(application == 0 && empty().map_err(fail)?) {
        return Err(StoreError::NotOurs(path.to_owned()));
    }
    let version = user_version(&db).map_err(fail)?;
    if version > schema_version() {
        return Err(StoreError::TooNew {
            path: path.to_owned(),
            found: version,
            known: schema_version(),
        });
    }
    let sound: String = db
        .query_row("PRAGMA quick_check(1)", [], |r| r.get(0))
        .map_err(fail)?;
    if sound != "ok" {
        return Err(StoreError::Damaged(path.to_owned(), sound));
    }
    Ok(())
}

/// A path and nothing else: `:memory:` and `file:…` mean something of their own to SQLite, an absolute
/// path does not.
fn plain(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
}

/// A path as it stands in a URI.
fn percent(path: &str) -> String {
    path.replace('%', "%25").replace('?', "%3f").replace('#', "%23")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_of_migrations_is_the_folder() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../migrations");
        let mut files: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|f| f.unwrap().file_name().into_string().unwrap())
            .collect();
        files.sort();
        assert_eq!(
            files,
            MIGRATIONS.iter().map(|(name, _)| *name).collect::<Vec<_>>()
        );
        for (i, (name, sql)) in MIGRATIONS.iter().enumerate() {
            assert!(name.starts_with(&format!("{:03}_", i + 1)), "{name} out of order");
            assert!(sql.starts_with("-- Why:"), "{name} opens with why");
        }
        assert!(STEPS.validate().is_ok());
    }
}
