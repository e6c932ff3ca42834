//! Taking an entry of the journal back: each of its rows as it was before, unless something later stands on it. Taking
//! back is itself an entry, and can be taken back.

use std::collections::BTreeSet;

use rusqlite::types::Value;
use rusqlite::{Connection, ErrorCode, params, params_from_iter};

use super::effects;
use super::journal::{Cells, Change, Entry, key_text, shown};
use super::schema::{self, quoted};
use super::{House, StoreError};

/// What taking an entry back did, or would do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Undone {
    /// The entry that is taken back.
    pub entry: Entry,
    /// What that does to the house, each in words: `takes 26 drinks off "Winter list": …`.
    pub effects: Vec<String>,
    /// The number of the entry that took it back: what to undo to have it again. `None` where it was only tried.
    pub by: Option<i64>,
}

/// Why an entry is not taken back. Nothing was changed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotUndone {
    /// There is no entry of that number.
    #[error("there is no entry {0}")]
    NoEntry(i64),
    /// It was taken back already.
    #[error("entry {0} was taken back already, by entry {1}")]
    Already(i64, i64),
    /// Later entries changed the same, or something that hangs on it.
    #[error("{} since: {}", if .0.len() == 1 { "another entry has changed the same" } else { "other entries have changed the same" }, listed(.0))]
    Later(Vec<Entry>),
    /// Something that no entry tells of stands in its way.
    #[error("something else has taken its place since: {0}")]
    InTheWay(String),
}

fn listed(entries: &[Entry]) -> String {
    let all: Vec<String> = entries
        .iter()
        .map(|e| format!("{}, {}", e.number, e.what))
        .collect();
    all.join("; ")
}

impl House {
    /// Take an entry of the journal back: every row it changed is as it was before, to the byte, and what hangs on
    /// that is worked out anew. `try_only` says what it would do, and does nothing. `at` is when, as the caller tells
    /// it (ISO 8601).
    ///
    /// ```
    /// use washline_core::spec::Source;
    /// use washline_core::store::House;
    ///
    /// let mut house = House::in_memory()?;
    /// let list = "# Winter lsit\n\n## Owl\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n";
    /// house.add(&Source::new("winter.md", list))?.unwrap();
    /// let last = house.last_entry()?.unwrap();
    /// assert_eq!(last.what, "add \"Winter lsit\": 1 new");
    ///
    /// let undone = house.undo(last.number, false)?.unwrap();
    /// assert_eq!(undone.effects[0], "takes 1 drink off \"Winter lsit\": Owl");
    /// assert!(house.list()?.is_empty());
    ///
    /// // Nothing is lost by it: undoing the undoing brings the list back.
    /// house.undo(undone.by.unwrap(), false)?.unwrap();
    /// assert_eq!(house.list()?.len(), 1);
    /// # Ok::<(), washline_core::store::StoreError>(())
    /// ```
    ///
    /// # Errors
    /// When the file cannot be written; why the entry is not taken back.
    pub fn undo(&mut self, number: i64, try_only: bool) -> Result<Result<Undone, NotUndone>, StoreError> {
        let fail = self.fail();
        let keeping = self.begin_keeping()?;
        let house = keeping.house;
        let Some(entry) = house.entry(number)? else {
            return Ok(Err(NotUndone::NoEntry(number)));
        };
        if let Some(by) = entry.undone_by {
            return Ok(Err(NotUndone::Already(number, by)));
        }
        let changes = house.changes(number)?;
        let rows: BTreeSet<(String, String)> = changes
            .iter()
            .map(|c| (c.table.clone(), key_text(&c.key)))
            .collect();
        let later = house.later_on(number, &rows)?;
        if !later.is_empty() {
            return Ok(Err(NotUndone::Later(later)));
        }
        let effects = effects::of(house, &turned(&changes))?;
        for change in changes.iter().rev() {
            match take_back(&keeping, change) {
                Ok(()) => {}
                Err(rusqlite::Error::SqliteFailure(e, _)) if e.code == ErrorCode::ConstraintViolation => {
                    return Ok(Err(house.in_the_way(number, change)?));
                }
                Err(other) => return Err(fail(other)),
            }
        }
        // What hung on a row that is gone went with it: that was somebody's later work.
        let this: i64 = keeping
            .query_row("SELECT entry_id FROM journal_open", [], |row| row.get(0))
            .map_err(&fail)?;
        let beside: BTreeSet<(String, String)> = house
            .changes(this)?
            .iter()
            .map(|c| (c.table.clone(), key_text(&c.key)))
            .filter(|row| !rows.contains(row))
            .collect();
        if !beside.is_empty() {
            let mut later = house.later_on(number, &beside)?;
            later.retain(|e| e.number != this);
            return Ok(Err(if later.is_empty() {
                let tables: BTreeSet<&str> = beside.iter().map(|(table, _)| table.as_str()).collect();
                NotUndone::InTheWay(tables.into_iter().collect::<Vec<_>>().join(", "))
            } else {
                NotUndone::Later(later)
            }));
        }
        if try_only {
            return Ok(Ok(Undone {
                entry,
                effects,
                by: None,
            }));
        }
        settle(&keeping, &entry, this).map_err(&fail)?;
        let words = if entry.undoes.is_some() {
            entry.what.strip_prefix(UNDO).map_or_else(
                || format!("{UNDO}{}", entry.what),
                |first| format!("{AGAIN}{first}"),
            )
        } else {
            format!("{UNDO}{}", entry.what)
        };
        let by = keeping.commit(&words)?;
        Ok(Ok(Undone { entry, effects, by }))
    }

    /// What of later entries keeps a row from coming back.
    fn in_the_way(&self, number: i64, change: &Change) -> Result<NotUndone, StoreError> {
        let mut rows = BTreeSet::new();
        // Another row of that name, or the row that this one hangs on, which is gone.
        for (_, other) in self.changes_where("entry_id > ?1", [number])? {
            let same_name = other.table == change.table
                && ["name_key", "title_key"].iter().any(|column| {
                    let (a, b) = (change.text(column), other.text(column));
                    !a.is_empty() && a == b
                });
            let parent = schema::table(&other.table)
                .hanging
                .iter()
                .any(|(table, column)| *table == change.table && change.text(column) == key_text(&other.key));
            if same_name || parent {
                rows.insert((other.table.clone(), key_text(&other.key)));
            }
        }
        let later = self.later_on(number, &rows)?;
        let later: Vec<Entry> = later.into_iter().filter(|e| !e.what.is_empty()).collect();
        Ok(if later.is_empty() {
            NotUndone::InTheWay(change.table.replace('_', " "))
        } else {
            NotUndone::Later(later)
        })
    }
}

/// How an entry that takes another back begins.
const UNDO: &str = "undo: ";
/// How one begins that does again what was taken back.
const AGAIN: &str = "again: ";

/// Changes the other way round: from what they led to, to what there was before.
fn turned(changes: &[Change]) -> Vec<Change> {
    changes
        .iter()
        .rev()
        .map(|c| Change {
            table: c.table.clone(),
            key: c.key.clone(),
            was: c.became.clone(),
            became: c.was.clone(),
        })
        .collect()
}

/// Write down who took whom back, along the chain: what is taken back no longer takes back what it did.
fn settle(db: &Connection, entry: &Entry, by: i64) -> rusqlite::Result<()> {
    db.execute(
        "UPDATE journal_entry SET undoes = ?2 WHERE id = ?1",
        params![by, entry.number],
    )?;
    db.execute(
        "UPDATE journal_entry SET undone_by = ?2 WHERE id = ?1",
        params![entry.number, by],
    )?;
    let (mut below, mut stands) = (entry.undoes.map(|undone| (undone, entry.number)), false);
    while let Some((undone, by)) = below {
        db.execute(
            "UPDATE journal_entry SET undone_by = ?2 WHERE id = ?1",
            params![undone, stands.then_some(by)],
        )?;
        let next: Option<i64> =
            db.query_row("SELECT undoes FROM journal_entry WHERE id = ?1", [undone], |r| {
                r.get(0)
            })?;
        below = next.map(|next| (next, undone));
        stands = !stands;
    }
    Ok(())
}

/// A row as it was before a change.
fn take_back(db: &Connection, change: &Change) -> rusqlite::Result<()> {
    let table = schema::table(&change.table);
    match (&change.was, &change.became) {
        (None, _) => {
            let (condition, key) = keyed(table, change.became.as_ref());
            db.prepare_cached(&format!(
                "DELETE FROM {} WHERE {condition}",
                quoted(&change.table)
            ))?
            .execute(params_from_iter(key))?;
        }
        (Some(was), None) => {
            let (columns, values): (Vec<String>, Vec<Value>) = cells(table, was).into_iter().unzip();
            let marks: Vec<String> = (1..=values.len()).map(|n| format!("?{n}")).collect();
            db.prepare_cached(&format!(
                "INSERT INTO {} ({}) VALUES ({})",
                quoted(&change.table),
                columns.join(", "),
                marks.join(", ")
            ))?
            .execute(params_from_iter(values))?;
        }
        (Some(was), Some(became)) => {
            let (condition, mut values) = keyed(table, Some(became));
            let first = values.len() + 1;
            let mut set = Vec::new();
            for (at, (column, value)) in cells(table, was).into_iter().enumerate() {
                set.push(format!("{column} = ?{}", first + at));
                values.push(value);
            }
            db.prepare_cached(&format!(
                "UPDATE {} SET {} WHERE {condition}",
                quoted(&change.table),
                set.join(", ")
            ))?
            .execute(params_from_iter(values))?;
        }
    }
    Ok(())
}

/// The condition that finds a row by its primary key, and the values in it.
fn keyed(table: &schema::Table, row: Option<&Cells>) -> (String, Vec<Value>) {
    let mut values = Vec::new();
    let mut parts = Vec::new();
    for column in &table.key {
        let cell = row.and_then(|cells| cells.get(column));
        values.push(value(table, column, cell.unwrap_or(&serde_json::Value::Null)));
        parts.push(format!("{} = ?{}", quoted(column), values.len()));
    }
    (parts.join(" AND "), values)
}

/// The columns of a row that the table has, quoted, each with its value.
fn cells(table: &schema::Table, row: &Cells) -> Vec<(String, Value)> {
    table
        .columns
        .iter()
        .filter_map(|column| Some((quoted(column), value(table, column, row.get(column)?))))
        .collect()
}

/// A cell as the database holds it: a REAL stands in the journal as text, so that no bit of it is lost.
fn value(table: &schema::Table, column: &str, cell: &serde_json::Value) -> Value {
    match cell {
        serde_json::Value::Null => Value::Null,
        serde_json::Value::Number(n) if n.is_i64() => Value::Integer(n.as_i64().unwrap_or_default()),
        other => {
            let text = shown(other);
            match text.parse::<f64>() {
                Ok(number) if table.is_real(column) => Value::Real(number),
                _ => Value::Text(text),
            }
        }
    }
}
