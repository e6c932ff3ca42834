//! Is the file sound, is it ours, does every spec still read, is every figure what its spec comes to? Looked at without
//! writing to it; and mended, as far as what was typed is there to mend it from.

use std::path::Path;

use rusqlite::{Connection, OpenFlags, TransactionBehavior};

use super::schema::quoted;
use super::{House, StoreError, again, guard, migrations, odds, open};
use crate::spec::{Fault, Technique};

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
    /// What lies beside the file and belongs to it, with its size in bytes: what was written ahead, or a write that was
    /// cut off. No fault by itself; it has to go where the file goes.
    pub beside: Vec<(String, u64)>,
    /// What is wrong with the file: pages, constraints, indexes, no house in it; empty where it is sound.
    pub damage: Vec<String>,
    /// How its schema is another than ours. Nothing more is looked at then.
    pub foreign: Vec<String>,
    /// Rows that point at rows that are not there: table and row.
    pub dangling: Vec<String>,
    /// Rows that are at odds with themselves or with the text they come from: no text, no finite number, a name that is
    /// not that of its spec.
    pub at_odds: Vec<String>,
    /// Specs that cannot be read or worked out any more.
    pub unread: Vec<Fault>,
    /// Drinks and preparations whose stored result is of another spec, setting or ingredient than there is now, as (name,
    /// book).
    pub stale: Vec<(String, String)>,
    /// Figures that are stored as current and are not what the spec comes to.
    pub wrong: Vec<String>,
}

impl Examined {
    /// Whether there is nothing to mend.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.damage.is_empty()
            && self.foreign.is_empty()
            && self.dangling.is_empty()
            && self.at_odds.is_empty()
            && self.stale.is_empty()
            && self.wrong.is_empty()
            && self.unread.is_empty()
    }
}

/// So many of a sort are told; the rest is counted.
const TOLD: usize = 100;

/// Look through the house in a file without writing to it: in a copy in memory, where every constraint is checked, every
/// text is read and every figure worked out once more.
///
/// # Errors
/// When the file is missing, cannot be read, is not ours, or of a newer program. Damage is no error here: it is what was
/// looked for.
pub fn examine(path: &Path) -> Result<Examined, StoreError> {
    let (mut examined, copy) = copied(path)?;
    let Some(copy) = copy else { return Ok(examined) };
    match inside(copy, path, &mut examined) {
        Ok(()) => {}
        // What cannot even be read to be looked at.
        Err(StoreError::Damaged(_, what) | StoreError::Content(_, what) | StoreError::Sqlite(_, what)) => {
            examined.damage.push(what);
        }
        Err(error @ StoreError::TooLarge(..)) => examined.damage.push(error.to_string()),
        Err(other) => return Err(other),
    }
    for told in [
        &mut examined.damage,
        &mut examined.dangling,
        &mut examined.at_odds,
        &mut examined.wrong,
    ] {
        if told.len() > TOLD {
            let more = told.len() - TOLD;
            told.truncate(TOLD);
            told.push(format!("and {more} more"));
        }
    }
    Ok(examined)
}

/// Look at the file alone: its schema, its pages, its rows and where they point. Nothing is worked out.
pub(super) fn structure(path: &Path) -> Result<Examined, StoreError> {
    copied(path).map(|(examined, _)| examined)
}

/// The file read into memory, with what is wrong with it as a file; no copy where there is no looking further.
fn copied(path: &Path) -> Result<(Examined, Option<Connection>), StoreError> {
    let fail = |e| StoreError::at(path, e);
    let mut examined = Examined::default();
    for suffix in ["-wal", "-journal"] {
        let beside = open::beside(path, suffix);
        if let Ok(file) = beside.metadata()
            && file.len() > 0
        {
            examined.beside.push((beside.display().to_string(), file.len()));
        }
    }
    match path.metadata() {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => {
            return Err(StoreError::Missing(path.to_owned()));
        }
        Ok(file) if file.is_file() && file.len() == 0 && examined.beside.is_empty() => {
            examined
                .damage
                .push("it is empty: there is no house in it".to_owned());
            return Ok((examined, None));
        }
        _ => {}
    }
    let mut copy = guard::in_memory().map_err(fail)?;
    match open::readable(path, |file| open::copy(file, &mut copy, path)) {
        Ok(()) => {}
        Err(StoreError::Damaged(_, what)) => {
            examined.damage.push(what);
            return Ok((examined, None));
        }
        Err(StoreError::Foreign(_, what)) => {
            examined.foreign = what;
            return Ok((examined, None));
        }
        Err(other) => return Err(other),
    }
    examined.schema = copy
        .query_row("PRAGMA user_version", [], |row| row.get(0))
        .map_err(fail)?;
    if examined.schema == 0 {
        examined
            .damage
            .push("it was begun and never made: there is no house in it".to_owned());
        return Ok((examined, None));
    }
    match list(&copy, "PRAGMA integrity_check") {
        Ok(said) if said == ["ok"] => {}
        Ok(said) => examined.damage = said,
        Err(error) => examined.damage.push(error.to_string()),
    }
    if !examined.damage.is_empty() {
        return Ok((examined, None));
    }
    examined.dangling = list(&copy, DANGLING).map_err(fail)?;
    Ok((examined, Some(copy)))
}

const DANGLING: &str = "SELECT \"table\" || ', row ' || coalesce(rowid, '?') || ', points at ' || parent FROM pragma_foreign_key_check";

/// What stands in a copy of a file whose pages and schema are in order.
fn inside(copy: Connection, path: &Path, examined: &mut Examined) -> Result<(), StoreError> {
    let fail = |e| StoreError::at(path, e);
    // As it is, before anything brings it up to date.
    if examined.schema == migrations::schema_version() {
        examined.at_odds = odds::cells(&copy).map_err(fail)?;
        if !examined.at_odds.is_empty() {
            return Ok(());
        }
        examined.at_odds = odds::names(&copy).map_err(fail)?;
    }
    let mut house = House::prepared(copy, path.to_owned(), true)?;
    let count = |sql: &str| house.db.query_row(sql, [], |row| row.get(0)).map_err(fail);
    examined.books = count("SELECT count(*) FROM book WHERE removed_at IS NULL")?;
    examined.drinks = count("SELECT count(*) FROM current_spec")?;
    examined.versions = count("SELECT count(*) FROM spec_version")?;
    examined.preparations = count("SELECT count(*) FROM preparation WHERE removed_at IS NULL")?;
    examined.at_odds.extend(house.books_at_odds()?);
    house.read_through()?;
    let compared = house.compared()?;
    examined.stale = compared.stale;
    examined.wrong = compared.wrong;
    examined.unread = compared.broken;
    examined.wrong.extend(house.library_at_odds()?);
    Ok(())
}

impl House {
    /// Read everything that no drink pours: what would be refused only when someone asks for it.
    fn read_through(&self) -> Result<(), StoreError> {
        self.pantry()?;
        self.prices(None)?;
        self.ranges_by_convention()?;
        self.weighings()?;
        self.all_tastings()?;
        for technique in [Technique::Shake, Technique::Stir] {
            self.fit_in_force(technique)?;
        }
        Ok(())
    }

    /// Whether the copy of the reference library, which is there for readers, is the library.
    fn library_at_odds(&mut self) -> Result<Vec<String>, StoreError> {
        let fail = self.fail();
        let rows = |db: &Connection| {
            list(
                db,
                "SELECT concat_ws('|', i.name, i.name_key, i.kind, i.basis, i.carbonated, i.allergens_eu, i.allergens_us, i.groups, i.aliases,
                     i.caution, i.note, v.quantity, v.convention, v.unit, v.value, v.low, v.high, v.shape, v.source, v.status)
                 FROM ingredient i LEFT JOIN ingredient_value v ON v.ingredient_id = i.id WHERE i.origin = 'library' ORDER BY 1",
            )
        };
        let before = rows(&self.db).map_err(&fail)?;
        self.db
            .execute("DELETE FROM setting WHERE name = 'library'", [])
            .map_err(&fail)?;
        self.seed_library()?;
        let after = rows(&self.db).map_err(&fail)?;
        let other = before.iter().zip(&after).filter(|(was, is)| was != is).count()
            + before.len().abs_diff(after.len());
        Ok(match other {
            0 => Vec::new(),
            n => vec![format!(
                "the copy of the reference library: {n} rows are other than in it"
            )],
        })
    }
}

/// What mending a house did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Repaired {
    /// How many drinks and preparations have been worked out anew from their specs.
    pub rebuilt: usize,
    /// What is found now: what could not be mended.
    pub left: Examined,
}

/// Mend what can be mended from what was typed: every result is taken away and worked out anew, indexes are built again.
/// All of it or nothing; what was typed is never touched.
///
/// # Errors
/// When the file cannot be opened or written, is not ours, or is so damaged that it cannot be written to.
pub fn repair(path: &Path) -> Result<Repaired, StoreError> {
    let fail = |e| StoreError::at(path, e);
    match path.metadata() {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => {
            return Err(StoreError::Missing(path.to_owned()));
        }
        Ok(file) if file.permissions().readonly() => return Err(StoreError::ReadOnly(path.to_owned())),
        _ => {}
    }
    let mut db = guard::open(open::plain(path), OpenFlags::SQLITE_OPEN_READ_WRITE).map_err(fail)?;
    open::waiting(&db).map_err(fail)?;
    let version = open::ours(&db, path)?;
    if version == migrations::schema_version() {
        // Results may be what is broken: they go before anything looks at them.
        let transaction = db
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(fail)?;
        for table in again::tables() {
            transaction
                .execute(&format!("DELETE FROM {}", quoted(&table)), [])
                .map_err(fail)?;
        }
        transaction.execute_batch("REINDEX").map_err(fail)?;
        let said = list(&transaction, "PRAGMA integrity_check").map_err(fail)?;
        if said != ["ok"] {
            return Err(StoreError::Damaged(path.to_owned(), said.join("; ")));
        }
        // Nothing is taken to be fresh after that.
        transaction
            .execute_batch("DELETE FROM setting WHERE name = 'library'; DELETE FROM worked_by")
            .map_err(fail)?;
        transaction.commit().map_err(fail)?;
    }
    drop(db);
    let (mut house, _) = House::open(path, super::Access::Write)?;
    let refreshed = house.refresh()?;
    drop(house);
    Ok(Repaired {
        rebuilt: refreshed.recomputed.len(),
        left: examine(path)?,
    })
}

fn list(db: &Connection, sql: &str) -> rusqlite::Result<Vec<String>> {
    let mut select = db.prepare_cached(sql)?;
    let rows = select.query_map([], |row| row.get(0))?;
    rows.collect()
}
