//! The schema as the migrations make it: what stands in a house and nothing else. Whatever reads a file of another
//! hand asks here for tables and columns, never the file.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use rusqlite::Connection;

use super::open;

/// A table or view of ours: its columns, in order, and where its rows point.
#[derive(Debug, Default)]
pub(super) struct Table {
    pub columns: Vec<String>,
    /// Table and own column of every row that points at this one.
    pub hanging: Vec<(String, String)>,
}

static TABLES: LazyLock<BTreeMap<String, Table>> = LazyLock::new(|| tables().unwrap_or_default());

/// A table of ours; one without columns where there is none of that name.
pub(super) fn table(name: &str) -> &'static Table {
    static NONE: Table = Table {
        columns: Vec::new(),
        hanging: Vec::new(),
    };
    TABLES.get(name).unwrap_or(&NONE)
}

/// An identifier as it stands in SQL.
pub(super) fn quoted(identifier: &str) -> String {
    format!("\"{}\"", identifier.replace('"', "\"\""))
}

fn tables() -> rusqlite::Result<BTreeMap<String, Table>> {
    let mut db = Connection::open_in_memory()?;
    open::migrate(&mut db, open::schema_version())
        .map_err(|e| rusqlite::Error::ToSqlConversionFailure(Box::new(e)))?;
    let mut all: BTreeMap<String, Table> = BTreeMap::new();
    let mut select = db.prepare_cached(
        "SELECT s.name, c.name FROM sqlite_schema s JOIN pragma_table_info(s.name) c WHERE s.type = 'table' ORDER BY s.name, c.cid",
    )?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        all.entry(row.get(0)?).or_default().columns.push(row.get(1)?);
    }
    let mut select = db.prepare_cached(
        "SELECT f.\"table\", s.name, f.\"from\" FROM sqlite_schema s JOIN pragma_foreign_key_list(s.name) f WHERE s.type = 'table' ORDER BY s.name",
    )?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        let parent: String = row.get(0)?;
        all.entry(parent)
            .or_default()
            .hanging
            .push((row.get(1)?, row.get(2)?));
    }
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_identifier_cannot_end_its_quotes() {
        assert_eq!(quoted("drink"), "\"drink\"");
        assert_eq!(quoted("a\" b"), "\"a\"\" b\"");
    }

    #[test]
    fn tables_are_those_of_the_migrations() {
        assert_eq!(
            table("tasting").columns,
            ["id", "spec_version_id", "verdict", "note", "taster", "tasted_at"]
        );
        let spec = &table("spec_version").hanging;
        assert!(spec.contains(&("tasting".to_owned(), "spec_version_id".to_owned())));
        assert!(table("nothing").columns.is_empty());
    }
}
