//! Every stored figure beside the one that is worked out anew: a result is right when it is what its spec comes to, not
//! when its fingerprint says so.

use std::collections::BTreeMap;

use rusqlite::types::Value;
use rusqlite::{Connection, Row};

use super::schema::{self, quoted};
use super::{House, StoreError};
use crate::spec::Fault;

/// What is worked out, each with the column that says whose it is.
const ROOTS: [(&str, &str); 2] = [
    ("result", "spec_version_id"),
    ("preparation_result", "preparation_id"),
];

/// What differs between the figures as they were stored and as they come out.
#[derive(Debug, Default)]
pub(super) struct Compared {
    /// Stored under a fingerprint that no longer fits, or not at all: drink and book.
    pub stale: Vec<(String, String)>,
    /// Stored under the right fingerprint, and other than what comes out.
    pub wrong: Vec<String>,
    /// What cannot be worked out.
    pub broken: Vec<Fault>,
}

/// Rows of results by table and owner.
type Kept = BTreeMap<(String, i64), Vec<Vec<Value>>>;

/// Whose a result is: root table and owner, and the name and book it is told by.
type Owner = ((String, i64), (String, String));

/// Tables whose rows are worked out: results and everything that hangs on them, children first.
pub(super) fn tables() -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for (root, _) in ROOTS {
        all.extend(schema::table(root).hanging.iter().map(|(table, _)| table.clone()));
        all.push(root.to_owned());
    }
    all
}

impl House {
    /// Take every result away and work it out once more.
    pub(super) fn work_out_anew(&mut self) -> Result<Vec<Fault>, StoreError> {
        let fail = self.fail();
        let transaction = self.begin()?;
        for table in tables() {
            transaction
                .execute(&format!("DELETE FROM {}", quoted(&table)), [])
                .map_err(&fail)?;
        }
        transaction.commit().map_err(fail)?;
        Ok(self.refresh_everything()?.broken)
    }

    /// Work everything out anew, and say what was stored otherwise. The house is up to date then.
    pub(super) fn compared(&mut self) -> Result<Compared, StoreError> {
        let fail = self.fail();
        let owners = owners(&self.db).map_err(&fail)?;
        let before = kept(&self.db).map_err(&fail)?;
        let mut compared = Compared {
            broken: self.work_out_anew()?,
            ..Compared::default()
        };
        let after = kept(&self.db).map_err(&fail)?;
        for ((root, owner), (name, book)) in &owners {
            let at = (root.clone(), *owner);
            let fingerprint = column(root, "fingerprint");
            let of = |all: &Kept| Some(all.get(&at)?.first()?.get(fingerprint)?.clone());
            if of(&before) != of(&after) {
                compared.stale.push((name.clone(), book.clone()));
                continue;
            }
            let tables = schema::table(root).hanging.iter().map(|(t, _)| t).chain([root]);
            for table in tables {
                let at = (table.clone(), *owner);
                let (was, is) = (before.get(&at), after.get(&at));
                if let Some(told) = difference(table, was, is) {
                    compared.wrong.push(format!("{name} ({book}): {told}"));
                }
            }
        }
        Ok(compared)
    }
}

/// Whose results there are to be, in order: drinks that are poured, preparations that are made.
fn owners(db: &Connection) -> rusqlite::Result<Vec<Owner>> {
    let mut all = Vec::new();
    for (root, sql) in [
        (
            ROOTS[0].0,
            "SELECT id, drink, book FROM current_spec ORDER BY book_id, drink_position",
        ),
        (
            ROOTS[1].0,
            "SELECT p.id, p.name, b.title FROM preparation p JOIN book b ON b.id = p.book_id
             WHERE p.removed_at IS NULL ORDER BY p.book_id, p.position",
        ),
    ] {
        let mut select = db.prepare_cached(sql)?;
        let rows = select.query_map([], |r| Ok(((root.to_owned(), r.get(0)?), (r.get(1)?, r.get(2)?))))?;
        for row in rows {
            all.push(row?);
        }
    }
    Ok(all)
}

fn kept(db: &Connection) -> rusqlite::Result<Kept> {
    let mut all = Kept::new();
    for (root, owner) in ROOTS {
        let own = schema::table(root);
        read(
            db,
            root,
            &format!(
                "SELECT {}, {} FROM {}",
                quoted(owner),
                listed("", &own.columns),
                quoted(root)
            ),
            &mut all,
        )?;
        for (table, column) in &own.hanging {
            // A child points at the key of its parent, which is the first column.
            let Some(id) = own.columns.first() else { continue };
            let sql = format!(
                "SELECT r.{}, {} FROM {} t JOIN {} r ON r.{} = t.{} ORDER BY 2, 3, 4",
                quoted(owner),
                listed("t.", &schema::table(table).columns),
                quoted(table),
                quoted(root),
                quoted(id),
                quoted(column)
            );
            read(db, table, &sql, &mut all)?;
        }
    }
    Ok(all)
}

fn listed(of: &str, columns: &[String]) -> String {
    let all: Vec<String> = columns.iter().map(|c| format!("{of}{}", quoted(c))).collect();
    all.join(", ")
}

fn read(db: &Connection, table: &str, sql: &str, all: &mut Kept) -> rusqlite::Result<()> {
    let mut select = db.prepare_cached(sql)?;
    let width = schema::table(table).columns.len();
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        all.entry((table.to_owned(), row.get(0)?))
            .or_default()
            .push(cells(row, width)?);
    }
    Ok(())
}

fn cells(row: &Row<'_>, width: usize) -> rusqlite::Result<Vec<Value>> {
    (1..=width).map(|i| row.get(i)).collect()
}

fn column(table: &str, name: &str) -> usize {
    let columns = &schema::table(table).columns;
    columns.iter().position(|c| c == name).unwrap_or(usize::MAX)
}

/// Whether a column only says where a row hangs: it is another each time.
fn is_own(table: &str, column: &str) -> bool {
    column == "id"
        || ROOTS.iter().any(|(root, _)| {
            let hanging = &schema::table(root).hanging;
            hanging.iter().any(|(t, c)| t == table && c == column)
        })
}

/// The first thing that differs in a table of a result, in words.
fn difference(table: &str, was: Option<&Vec<Vec<Value>>>, is: Option<&Vec<Vec<Value>>>) -> Option<String> {
    let none = Vec::new();
    let (was, is) = (was.unwrap_or(&none), is.unwrap_or(&none));
    if was.len() != is.len() {
        return Some(format!(
            "{} of {table} stored, {} worked out",
            was.len(),
            is.len()
        ));
    }
    for (was, is) in was.iter().zip(is) {
        for ((name, was), is) in schema::table(table).columns.iter().zip(was).zip(is) {
            if !is_own(table, name) && !is_same(was, is) {
                return Some(format!(
                    "{table} {name}: {} stored, {} worked out",
                    shown(was),
                    shown(is)
                ));
            }
        }
    }
    None
}

/// Equal, or as near as another machine's rounding.
fn is_same(was: &Value, is: &Value) -> bool {
    match (was, is) {
        (Value::Real(a), Value::Real(b)) => {
            a.to_bits() == b.to_bits() || (a - b).abs() <= 1e-12 + 1e-9 * a.abs().max(b.abs())
        }
        _ => was == is,
    }
}

fn shown(value: &Value) -> String {
    match value {
        Value::Null => "nothing".to_owned(),
        Value::Integer(n) => n.to_string(),
        Value::Real(x) => x.to_string(),
        Value::Text(text) => format!("`{}`", text.chars().take(60).collect::<String>()),
        Value::Blob(bytes) => format!("{} bytes", bytes.len()),
    }
}
