//! The journal: whatever writes to the house leaves one entry in it, with every row as it was and as it became. The
//! triggers of the schema write the rows down; here an entry is begun before a write and given its words after it.

use std::collections::BTreeSet;

use rusqlite::types::Value;
use rusqlite::{Connection, OptionalExtension, Row, params};
use serde_json::Map;

use super::schema;
use super::{House, StoreError, when};
use crate::tables::{When, when_text};

/// One command that wrote to the house.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its number, for taking it back.
    pub number: i64,
    /// When, as the caller told it.
    pub at: Option<When>,
    /// What was done, in plain words.
    pub what: String,
    /// The entry that this one took back.
    pub undoes: Option<i64>,
    /// The entry that took this one back, as long as that stands.
    pub undone_by: Option<i64>,
}

impl Entry {
    /// Whether it has been taken back.
    #[must_use]
    pub fn is_undone(&self) -> bool {
        self.undone_by.is_some()
    }
}

/// A row as JSON: each column a member.
pub(super) type Cells = Map<String, serde_json::Value>;

/// A row of an entry: as it was, and as it became.
#[derive(Clone, Debug)]
pub(super) struct Change {
    pub table: String,
    pub key: Value,
    pub was: Option<Cells>,
    pub became: Option<Cells>,
}

impl Change {
    /// One of its columns, as it became, else as it was.
    pub fn text(&self, column: &str) -> String {
        let of = |cells: &Option<Cells>| cells.as_ref().and_then(|c| c.get(column).map(shown));
        of(&self.became).or_else(|| of(&self.was)).unwrap_or_default()
    }
}

/// A cell as text; empty of nothing.
pub(super) fn shown(cell: &serde_json::Value) -> String {
    match cell {
        serde_json::Value::Null => String::new(),
        serde_json::Value::String(text) => text.clone(),
        other => other.to_string(),
    }
}

/// The primary key as something to compare and sort by.
pub(super) fn key_text(key: &Value) -> String {
    match key {
        Value::Integer(id) => id.to_string(),
        Value::Text(text) => text.clone(),
        _ => String::new(),
    }
}

/// Begin an entry: every row that is written from now on belongs to it. What another program has written since is an
/// entry of its own, and over.
pub(super) fn begin(db: &Connection, at: Option<&When>) -> rusqlite::Result<()> {
    db.prepare_cached("INSERT INTO journal_entry (moment, what) VALUES (nullif(?1, ''), '')")?
        .execute([when_text(at)])?;
    db.prepare_cached(
        "INSERT INTO journal_open (only, entry_id) VALUES (1, ?1) ON CONFLICT DO UPDATE SET entry_id = excluded.entry_id",
    )?
    .execute([db.last_insert_rowid()])?;
    Ok(())
}

/// End the entry that was begun, with what was done; where no row was changed there is none.
pub(super) fn end(db: &Connection, what: &str) -> rusqlite::Result<Option<i64>> {
    let entry: i64 = db.query_row("SELECT entry_id FROM journal_open", [], |row| row.get(0))?;
    db.execute("DELETE FROM journal_open", [])?;
    let written: bool = db.query_row(
        "SELECT EXISTS (SELECT 1 FROM journal_change WHERE entry_id = ?1)",
        [entry],
        |row| row.get(0),
    )?;
    if written {
        db.execute(
            "UPDATE journal_entry SET what = ?2 WHERE id = ?1",
            params![entry, what],
        )?;
    } else {
        db.execute("DELETE FROM journal_entry WHERE id = ?1", [entry])?;
    }
    Ok(written.then_some(entry))
}

/// A number for a new row that no row of the table has or ever had: what was taken back can come back as what it was.
pub(super) fn fresh_id(db: &Connection, table: &str) -> rusqlite::Result<i64> {
    db.prepare_cached(&format!(
        "SELECT 1 + max(ifnull((SELECT max(id) FROM {}), 0),
                        ifnull((SELECT max(row_key) FROM journal_change WHERE table_name = ?1), 0))",
        schema::quoted(table)
    ))?
    .query_row([table], |row| row.get(0))
}

const SELECT: &str = "SELECT id, moment, what, undoes, undone_by FROM journal_entry";

impl House {
    /// Every entry of the journal, the latest first: what was done to the house, and what of it was taken back.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn journal(&self) -> Result<Vec<Entry>, StoreError> {
        entries(&self.db, &format!("{SELECT} ORDER BY id DESC"), []).map_err(self.fail())
    }

    /// The last entry that stands and took nothing back itself: what `undo` means where nothing more is said.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn last_entry(&self) -> Result<Option<Entry>, StoreError> {
        entries(
            &self.db,
            &format!("{SELECT} WHERE undoes IS NULL AND undone_by IS NULL ORDER BY id DESC LIMIT 1"),
            [],
        )
        .map(|mut found| found.pop())
        .map_err(self.fail())
    }

    /// The entry of that number.
    pub(super) fn entry(&self, number: i64) -> Result<Option<Entry>, StoreError> {
        entries(&self.db, &format!("{SELECT} WHERE id = ?1"), [number])
            .map(|mut found| found.pop())
            .map_err(self.fail())
    }

    /// The rows that an entry changed, in order.
    pub(super) fn changes(&self, number: i64) -> Result<Vec<Change>, StoreError> {
        self.changes_where("entry_id = ?1", [number])
            .map(|all| all.into_iter().map(|(_, change)| change).collect())
    }

    /// Changes in order, each with its entry.
    pub(super) fn changes_where<P: rusqlite::Params>(
        &self,
        condition: &str,
        values: P,
    ) -> Result<Vec<(i64, Change)>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT entry_id, table_name, row_key, was, became FROM journal_change WHERE {condition} ORDER BY id"
            ))
            .map_err(&fail)?;
        let rows = select
            .query_map(values, |row| {
                Ok((
                    row.get::<_, i64>(0)?,
                    row.get::<_, String>(1)?,
                    row.get::<_, Value>(2)?,
                    row.get::<_, Option<String>>(3)?,
                    row.get::<_, Option<String>>(4)?,
                ))
            })
            .map_err(&fail)?;
        let mut all = Vec::new();
        for row in rows {
            let (entry, table, key, was, became) = row.map_err(&fail)?;
            let cells = |json: Option<String>| {
                json.map(|json| serde_json::from_str::<Cells>(&json))
                    .transpose()
                    .map_err(|e| self.content(format!("the journal, entry {entry}: {e}")))
            };
            all.push((
                entry,
                Change {
                    table,
                    key,
                    was: cells(was)?,
                    became: cells(became)?,
                },
            ));
        }
        Ok(all)
    }

    /// The entries after one that stand between it and now, of those that changed one of these rows.
    pub(super) fn later_on(
        &self,
        number: i64,
        rows: &BTreeSet<(String, String)>,
    ) -> Result<Vec<Entry>, StoreError> {
        // A later entry and the one that took it back are as good as neither.
        let later = entries(
            &self.db,
            &format!(
                "{SELECT} WHERE id > ?1 AND undone_by IS NULL AND (undoes IS NULL OR undoes < ?1) ORDER BY id"
            ),
            [number],
        )
        .map_err(self.fail())?;
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached("SELECT DISTINCT table_name, row_key FROM journal_change WHERE entry_id = ?1")
            .map_err(&fail)?;
        let mut standing = Vec::new();
        for entry in later {
            let mut found = select.query([entry.number]).map_err(&fail)?;
            while let Some(row) = found.next().map_err(&fail)? {
                let key: Value = row.get(1).map_err(&fail)?;
                if rows.contains(&(row.get(0).map_err(&fail)?, key_text(&key))) {
                    standing.push(entry);
                    break;
                }
            }
        }
        Ok(standing)
    }

    /// A row as it stands, as the journal would write it; else as it was when it was last there.
    pub(super) fn row_ever(&self, table: &str, id: i64) -> Result<Option<Cells>, StoreError> {
        let fail = self.fail();
        let own = schema::table(table);
        let pairs: Vec<String> = own
            .columns
            .iter()
            .map(|c| format!("'{c}', {}", schema::quoted(c)))
            .collect();
        let live: Option<String> = self
            .db
            .prepare_cached(&format!(
                "SELECT json_object({}) FROM {} WHERE {} = ?1",
                pairs.join(", "),
                schema::quoted(table),
                schema::quoted(own.key.first().map_or("id", String::as_str))
            ))
            .and_then(|mut select| select.query_row([id], |row| row.get(0)).optional())
            .map_err(&fail)?;
        let found = match live {
            Some(json) => Some(json),
            None => self
                .db
                .prepare_cached(
                    "SELECT was FROM journal_change WHERE table_name = ?1 AND row_key = ?2 AND was IS NOT NULL ORDER BY id DESC LIMIT 1",
                )
                .and_then(|mut select| select.query_row(params![table, id], |row| row.get(0)).optional())
                .map_err(&fail)?,
        };
        found
            .map(|json: String| serde_json::from_str(&json).map_err(|e| self.content(e.to_string())))
            .transpose()
    }
}

fn entries<P: rusqlite::Params>(db: &Connection, sql: &str, values: P) -> rusqlite::Result<Vec<Entry>> {
    let mut select = db.prepare_cached(sql)?;
    let rows = select.query_map(values, entry_of)?;
    rows.collect()
}

fn entry_of(row: &Row<'_>) -> rusqlite::Result<Entry> {
    Ok(Entry {
        number: row.get("id")?,
        at: when(row, "moment")?,
        what: row.get("what")?,
        undoes: row.get("undoes")?,
        undone_by: row.get("undone_by")?,
    })
}
