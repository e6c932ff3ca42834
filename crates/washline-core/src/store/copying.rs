//! Rows of one house copied into another, with everything that hangs on them: along the foreign keys of our own schema,
//! column by column of it. What else the other file has is neither read nor named.

use rusqlite::types::Value;
use rusqlite::{Connection, params_from_iter};

use super::journal::fresh_id;
use super::schema::{self, quoted};

/// Tables that are not copied: what is worked out is made anew, and what was weighed tells of the other house's ice
/// and hands.
const STAYS: [&str; 3] = ["result", "preparation_result", "weighing"];

/// Both houses, their schema being the same.
pub(super) struct Copying<'a> {
    pub from: &'a Connection,
    pub to: &'a Connection,
}

/// A row: the names of its columns and their values.
pub(super) type Columns = Vec<(String, Value)>;

impl Copying<'_> {
    /// Copy the row of that id, some of its columns set to something else, and all that hangs on it. Gives the id it
    /// has now.
    pub fn deep(&self, table: &str, id: i64, set: &[(&str, Value)]) -> rusqlite::Result<i64> {
        let now = self.row(table, id, set)?;
        for (below, column) in &schema::table(table).hanging {
            if !STAYS.contains(&below.as_str()) {
                self.below(below, column, id, now)?;
            }
        }
        Ok(now)
    }

    /// Copy one row, and nothing that hangs on it.
    pub fn row(&self, table: &str, id: i64, set: &[(&str, Value)]) -> rusqlite::Result<i64> {
        let rows = rows(self.from, table, "id = ?1", &[Value::from(id)])?;
        for mut row in rows {
            row.retain(|(name, _)| name != "id");
            for (name, value) in set {
                if let Some((_, cell)) = row.iter_mut().find(|(n, _)| n == name) {
                    *cell = value.clone();
                }
            }
            insert(self.to, table, &row)?;
        }
        Ok(self.to.last_insert_rowid())
    }

    /// Copy what hangs on a row through one column.
    pub fn below(&self, table: &str, column: &str, was: i64, now: i64) -> rusqlite::Result<()> {
        for mut row in rows(
            self.from,
            table,
            &format!("{} = ?1", quoted(column)),
            &[Value::from(was)],
        )? {
            let own = row.iter().find_map(|(name, value)| match value {
                Value::Integer(id) if name == "id" => Some(*id),
                _ => None,
            });
            match own {
                Some(id) => {
                    self.deep(table, id, &[(column, Value::from(now))])?;
                }
                None => {
                    for (_, value) in row.iter_mut().filter(|(name, _)| name == column) {
                        *value = Value::from(now);
                    }
                    insert(self.to, table, &row)?;
                }
            }
        }
        Ok(())
    }
}

/// The rows of a table that fit a condition, in the columns that our own schema has for it.
pub(super) fn rows(
    db: &Connection,
    table: &str,
    condition: &str,
    values: &[Value],
) -> rusqlite::Result<Vec<Columns>> {
    let names = &schema::table(table).columns;
    let columns: Vec<String> = names.iter().map(|name| quoted(name)).collect();
    let mut select = db.prepare_cached(&format!(
        "SELECT {} FROM {} WHERE {condition}",
        columns.join(", "),
        quoted(table)
    ))?;
    let found = select.query_map(params_from_iter(values), |row| {
        names
            .iter()
            .enumerate()
            .map(|(i, name)| Ok((name.clone(), row.get::<_, Value>(i)?)))
            .collect::<rusqlite::Result<Columns>>()
    })?;
    found.collect()
}

/// Put a row into a table.
pub(super) fn insert(db: &Connection, table: &str, row: &Columns) -> rusqlite::Result<()> {
    let mut row = row.clone();
    // A row that is numbered and has no number yet.
    if schema::table(table).key == ["id"] && row.iter().all(|(name, _)| name != "id") {
        row.push(("id".to_owned(), Value::from(fresh_id(db, table)?)));
    }
    let names: Vec<String> = row.iter().map(|(name, _)| quoted(name)).collect();
    let marks: Vec<String> = (1..=row.len()).map(|n| format!("?{n}")).collect();
    db.prepare_cached(&format!(
        "INSERT INTO {} ({}) VALUES ({})",
        quoted(table),
        names.join(", "),
        marks.join(", ")
    ))?
    .execute(params_from_iter(row.iter().map(|(_, value)| value)))?;
    Ok(())
}
