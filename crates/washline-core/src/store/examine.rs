//! Is the file sound, does every spec still read, is every result current? Looked at without writing to it.

use std::path::Path;
use std::time::Duration;

use rusqlite::Connection;
use rusqlite::backup::Backup;

use super::{House, StoreError, open};
use crate::spec::Fault;

/// What looking through a house found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Examined {
    /// The schema version the file has.
    pub schema: i64,
    /// How many books, drinks that are poured, versions of specs and preparations it has.
    pub books: i64,
    /// See [`Examined::books`].
    pub drinks: i64,
    /// See [`Examined::books`].
    pub versions: i64,
    /// See [`Examined::books`].
    pub preparations: i64,
    /// What SQLite finds wrong with the file; empty where it is sound.
    pub damage: Vec<String>,
    /// Rows that point at rows that are not there: table and row.
    pub dangling: Vec<String>,
    /// Drinks whose stored result is not what they come to now, as (drink, book).
    pub stale: Vec<(String, String)>,
    /// Specs that cannot be read or worked out any more.
    pub unread: Vec<Fault>,
}

impl Examined {
    /// Whether there is nothing to mend.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.damage.is_empty() && self.dangling.is_empty() && self.stale.is_empty() && self.unread.is_empty()
    }
}

/// Look through the house in a file, through a connection that cannot write.
///
/// # Errors
/// When the file is missing, not ours, or of a newer program. Damage is no error here: it is what was looked for.
pub fn examine(path: &Path) -> Result<Examined, StoreError> {
    let fail = |e| StoreError::at(path, e);
    let (mut examined, file) = structure_of(path)?;
    let Some(file) = file else { return Ok(examined) };
    // Results are brought up to date in a copy: what had to be is what is stale in the file.
    let mut copy = Connection::open_in_memory().map_err(fail)?;
    let backup = Backup::new(&file, &mut copy).map_err(fail)?;
    backup
        .run_to_completion(i32::MAX, Duration::from_millis(20), None)
        .map_err(fail)?;
    drop(backup);
    let mut house = House::prepared(copy, path.to_owned(), true)?;
    let refreshed = house.refresh()?;
    examined.stale = refreshed.recomputed;
    examined.unread = refreshed.broken;
    let count = |sql: &str| house.db.query_row(sql, [], |row| row.get(0)).map_err(fail);
    examined.books = count("SELECT count(*) FROM book")?;
    examined.drinks = count("SELECT count(*) FROM current_spec")?;
    examined.versions = count("SELECT count(*) FROM spec_version")?;
    examined.preparations = count("SELECT count(*) FROM preparation WHERE removed_at IS NULL")?;
    Ok(examined)
}

/// Look at the file alone: its pages, its rows and where they point. Nothing is worked out.
pub(super) fn structure(path: &Path) -> Result<Examined, StoreError> {
    structure_of(path).map(|(examined, _)| examined)
}

/// The same, with the connection it was seen through where there is no damage.
fn structure_of(path: &Path) -> Result<(Examined, Option<Connection>), StoreError> {
    let fail = |e| StoreError::at(path, e);
    if !path.exists() {
        return Err(StoreError::Missing(path.to_owned()));
    }
    let file = match open::inspect(path) {
        Ok(file) => file,
        Err(StoreError::Damaged(_, what)) => {
            return Ok((
                Examined {
                    damage: vec![what],
                    ..Examined::default()
                },
                None,
            ));
        }
        Err(other) => return Err(other),
    };
    let mut examined = Examined {
        schema: file
            .query_row("PRAGMA user_version", [], |row| row.get(0))
            .map_err(fail)?,
        ..Examined::default()
    };
    match list(&file, "PRAGMA integrity_check", 0) {
        Ok(said) if said == ["ok"] => {}
        Ok(said) => examined.damage = said,
        Err(error) => examined.damage.push(error.to_string()),
    }
    if !examined.damage.is_empty() {
        return Ok((examined, None));
    }
    let dangling = "SELECT \"table\" || ', row ' || coalesce(rowid, '?') || ', points at ' || parent FROM pragma_foreign_key_check";
    examined.dangling = list(&file, dangling, 0).map_err(fail)?;
    Ok((examined, Some(file)))
}

fn list(db: &Connection, sql: &str, column: usize) -> rusqlite::Result<Vec<String>> {
    let mut select = db.prepare_cached(sql)?;
    let rows = select.query_map([], |row| row.get(column))?;
    rows.collect()
}
