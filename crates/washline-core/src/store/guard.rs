//! A file from outside is hostile until it is shown to be ours: what a connection may do, how much of anything it may
//! take, and how long it may look.
//!
//! After SQLite's own advice on databases of unknown origin ("Defense Against The Dark Arts", sqlite.org/security.html):
//! the schema is not trusted, the defensive flag is set, the limits are lowered to what this program needs, and a
//! progress handler ends what does not end by itself.

use std::time::{Duration, Instant};

use rusqlite::config::DbConfig;
use rusqlite::limits::Limit;
use rusqlite::{Connection, OpenFlags};

/// The largest text or row that is read or written, bytes.
pub(super) const LARGEST: i32 = 32_000_000;

/// What this program's own statements stay far below.
const LIMITS: [(Limit, i32); 9] = [
    (Limit::SQLITE_LIMIT_LENGTH, LARGEST),
    (Limit::SQLITE_LIMIT_SQL_LENGTH, 1_000_000),
    (Limit::SQLITE_LIMIT_COLUMN, 200),
    (Limit::SQLITE_LIMIT_EXPR_DEPTH, 100),
    (Limit::SQLITE_LIMIT_COMPOUND_SELECT, 20),
    (Limit::SQLITE_LIMIT_VDBE_OP, 250_000),
    // A price as JSON has 31 columns, each with its name.
    (Limit::SQLITE_LIMIT_FUNCTION_ARG, 100),
    (Limit::SQLITE_LIMIT_LIKE_PATTERN_LENGTH, 1_000),
    (Limit::SQLITE_LIMIT_TRIGGER_DEPTH, 20),
];

/// Make a connection wary of what stands in its file: before anything is read through it.
pub(super) fn wary(db: &Connection) -> rusqlite::Result<()> {
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_DQS_DDL, false)?;
    db.set_db_config(DbConfig::SQLITE_DBCONFIG_DQS_DML, false)?;
    for (limit, most) in LIMITS {
        db.set_limit(limit, most)?;
    }
    // A page that does not hold what it says is an error, and nothing is read past its end.
    db.pragma_update(None, "cell_size_check", true)
}

/// Open a file, wary of it.
pub(super) fn open(path: impl AsRef<std::path::Path>, flags: OpenFlags) -> rusqlite::Result<Connection> {
    let db = Connection::open_with_flags(path, flags | OpenFlags::SQLITE_OPEN_NO_MUTEX)?;
    wary(&db)?;
    Ok(db)
}

/// A database in memory, wary of what is copied into it.
pub(super) fn in_memory() -> rusqlite::Result<Connection> {
    let db = Connection::open_in_memory()?;
    wary(&db)?;
    Ok(db)
}

/// How long looking through a file of so many bytes may take: far more than it does.
pub(super) fn patience(bytes: u64) -> Duration {
    Duration::from_secs(20) + Duration::from_micros(bytes)
}

/// As long as it lives, statements of the connection end once the time is over.
pub(super) struct Deadline<'a>(&'a Connection);

impl Deadline<'_> {
    pub(super) fn set(db: &Connection, within: Duration) -> rusqlite::Result<Deadline<'_>> {
        let begun = Instant::now();
        db.progress_handler(10_000, Some(move || begun.elapsed() > within))?;
        Ok(Deadline(db))
    }
}

impl Drop for Deadline<'_> {
    fn drop(&mut self) {
        let _ = self.0.progress_handler(0, None::<fn() -> bool>);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_does_not_end_is_ended() {
        let db = in_memory().unwrap();
        let deadline = Deadline::set(&db, Duration::from_millis(50)).unwrap();
        let endless =
            "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT count(*) FROM n";
        let ended = db.query_row(endless, [], |r| r.get::<_, i64>(0)).unwrap_err();
        assert_eq!(
            ended.sqlite_error_code(),
            Some(rusqlite::ErrorCode::OperationInterrupted)
        );
        drop(deadline);
        let short = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n LIMIT 100000) SELECT count(*) FROM n";
        assert_eq!(db.query_row(short, [], |r| r.get::<_, i64>(0)).unwrap(), 100_000);
    }

    #[test]
    fn nothing_is_larger_than_it_may_be() {
        let db = in_memory().unwrap();
        let large = format!("SELECT length(zeroblob({}))", LARGEST + 1);
        assert!(db.query_row(&large, [], |r| r.get::<_, i64>(0)).is_err());
        // The schema may not be rewritten behind the parser.
        db.pragma_update(None, "writable_schema", true).unwrap();
        assert!(db.execute("UPDATE sqlite_schema SET sql = ''", []).is_err());
    }
}
