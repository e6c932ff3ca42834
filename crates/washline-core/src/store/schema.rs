//! The schema as the migrations make it: what stands in a house and nothing else. Whatever reads a file of another
//! hand asks here for tables and columns, never the file; and a file whose schema is another is no house of ours.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use rusqlite::Connection;

use super::{guard, migrations};

/// A table or view of ours: its columns, in order, and where its rows point.
#[derive(Debug, Default)]
pub(super) struct Table {
    pub columns: Vec<String>,
    /// The columns of its primary key, in order.
    pub key: Vec<String>,
    /// The columns that hold floating-point numbers.
    reals: Vec<String>,
    /// Table and own column of every row that points at this one.
    pub hanging: Vec<(String, String)>,
}

impl Table {
    /// Whether a column holds floating-point numbers.
    pub fn is_real(&self, column: &str) -> bool {
        self.reals.iter().any(|real| real == column)
    }
}

static TABLES: LazyLock<BTreeMap<String, Table>> = LazyLock::new(|| tables().unwrap_or_default());

/// A table of ours; one without columns where there is none of that name.
pub(super) fn table(name: &str) -> &'static Table {
    static NONE: Table = Table {
        columns: Vec::new(),
        key: Vec::new(),
        reals: Vec::new(),
        hanging: Vec::new(),
    };
    TABLES.get(name).unwrap_or(&NONE)
}

/// Every table of ours by its name.
pub(super) fn all() -> impl Iterator<Item = (&'static str, &'static Table)> {
    TABLES.iter().map(|(name, table)| (name.as_str(), table))
}

/// An identifier as it stands in SQL.
pub(super) fn quoted(identifier: &str) -> String {
    format!("\"{}\"", identifier.replace('"', "\"\""))
}

/// Every object of a schema: sort and name, with its words, spacing and comments aside. What SQLite makes by itself for
/// a table has none.
type Objects = BTreeMap<(String, String), String>;

/// So many objects are named; a schema of a hundred thousand is told in a line all the same.
const NAMED: usize = 5;

/// How the schema of a file differs from what the migrations make at its version, each difference in words; empty where
/// it does not. Reads the catalogue and nothing else: no view, trigger or expression of the file is run.
pub(super) fn differences(db: &Connection, version: i64) -> rusqlite::Result<Vec<String>> {
    let ours = expected(version)?;
    let theirs = objects(db)?;
    let mut all = Vec::new();
    for ((sort, name), sql) in &theirs {
        match ours.get(&(sort.clone(), name.clone())) {
            None if is_statistics(sort, name) => {}
            None => all.push(format!("the {sort} {} is not ours", shown(name))),
            Some(known) if known == sql => {}
            Some(_) => {
                let mut told = format!("the {sort} {} is another than ours", shown(name));
                let columns = foreign_columns(db, sort, name)?;
                if !columns.is_empty() {
                    told.push_str(&format!(", with the column {}", columns.join(", ")));
                }
                all.push(told);
            }
        }
    }
    for (sort, name) in ours.keys().filter(|object| !theirs.contains_key(*object)) {
        all.push(format!("the {sort} {} is missing", shown(name)));
    }
    if all.len() > NAMED {
        let more = all.len() - NAMED;
        all.truncate(NAMED);
        all.push(format!("and {more} more"));
    }
    Ok(all)
}

/// Every object of the schema that this program's migrations make, each with its words: sort, name, SQL. Written down,
/// because it is compared with at every opening, and making a house takes longer than most of what is asked of one.
const MADE: &str = include_str!("schema.csv");

/// The objects of a version of the schema.
fn expected(version: i64) -> rusqlite::Result<Objects> {
    if version != migrations::schema_version() {
        return objects(&made(version)?);
    }
    let mut reader = csv::Reader::from_reader(MADE.as_bytes());
    let rows = reader.deserialize().map(|row| {
        let (sort, name, sql): (String, String, String) =
            row.map_err(|e| rusqlite::Error::ToSqlConversionFailure(Box::new(e)))?;
        Ok(((sort, name), sql))
    });
    rows.collect()
}

/// What ANALYZE leaves, which the planner reads and nobody else.
fn is_statistics(sort: &str, name: &str) -> bool {
    sort == "table" && matches!(name, "sqlite_stat1" | "sqlite_stat4")
}

/// A name from outside, at a length that fits a message.
fn shown(name: &str) -> String {
    let short: String = name.chars().take(60).collect();
    let dots = if short.len() < name.len() { "…" } else { "" };
    format!("`{short}{dots}`")
}

fn foreign_columns(db: &Connection, sort: &str, name: &str) -> rusqlite::Result<Vec<String>> {
    let known = &table(name).columns;
    if sort != "table" || known.is_empty() {
        return Ok(Vec::new());
    }
    let mut select = db.prepare_cached("SELECT name FROM pragma_table_xinfo(?1)")?;
    let rows = select.query_map([name], |row| row.get::<_, String>(0))?;
    let mut foreign = Vec::new();
    for column in rows {
        let column = column?;
        if !known.contains(&column) {
            foreign.push(shown(&column));
        }
    }
    Ok(foreign)
}

fn objects(db: &Connection) -> rusqlite::Result<Objects> {
    let mut select = db.prepare_cached(
        "SELECT CAST(type AS TEXT), CAST(name AS TEXT), CAST(coalesce(sql, '') AS TEXT) FROM sqlite_schema",
    )?;
    let rows = select.query_map([], |row| {
        let sql: String = row.get(2)?;
        Ok(((row.get(0)?, row.get(1)?), bare(&sql)))
    })?;
    rows.collect()
}

/// SQL without comments, each run of blanks a single one; what stands in quotes as it is.
fn bare(sql: &str) -> String {
    let mut text = String::with_capacity(sql.len());
    let mut rest = sql.chars().peekable();
    let mut blank = false;
    while let Some(c) = rest.next() {
        let comment_ends = match (c, rest.peek()) {
            ('-', Some('-')) => Some("\n"),
            ('/', Some('*')) => Some("*/"),
            _ => None,
        };
        if let Some(end) = comment_ends {
            rest.next();
            let mut last = ' ';
            for c in rest.by_ref() {
                if (end == "\n" && c == '\n') || (end == "*/" && last == '*' && c == '/') {
                    break;
                }
                last = c;
            }
            blank = true;
            continue;
        }
        if c.is_ascii_whitespace() {
            blank = true;
            continue;
        }
        if blank && !text.is_empty() {
            text.push(' ');
        }
        blank = false;
        text.push(c);
        if matches!(c, '\'' | '"' | '`' | '[') {
            let close = if c == '[' { ']' } else { c };
            for c in rest.by_ref() {
                text.push(c);
                if c == close {
                    break;
                }
            }
        }
    }
    text
}

/// An empty house of a version of the schema, in memory.
fn made(version: i64) -> rusqlite::Result<Connection> {
    let mut db = guard::in_memory()?;
    migrations::migrate(&mut db, version)
        .map_err(|e| rusqlite::Error::ToSqlConversionFailure(Box::new(e)))?;
    Ok(db)
}

fn tables() -> rusqlite::Result<BTreeMap<String, Table>> {
    let db = made(migrations::schema_version())?;
    let mut all: BTreeMap<String, Table> = BTreeMap::new();
    let mut select = db.prepare_cached(
        "SELECT s.name, c.name, c.type FROM sqlite_schema s JOIN pragma_table_info(s.name) c WHERE s.type = 'table' ORDER BY s.name, c.cid",
    )?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        let table = all.entry(row.get(0)?).or_default();
        table.columns.push(row.get(1)?);
        if row.get::<_, String>(2)? == "REAL" {
            table.reals.push(row.get(1)?);
        }
    }
    let mut select = db.prepare_cached(
        "SELECT s.name, c.name FROM sqlite_schema s JOIN pragma_table_info(s.name) c WHERE s.type = 'table' AND c.pk > 0 ORDER BY s.name, c.pk",
    )?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        all.entry(row.get(0)?).or_default().key.push(row.get(1)?);
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
    fn spacing_and_comments_make_no_other_schema() {
        assert_eq!(bare("a  -- b\n\t c /* d */ 'e  -- f'"), "a c 'e  -- f'");
        assert_ne!(bare("CHECK (a = 'b')"), bare("CHECK (a = 'B')"));
        assert_eq!(bare("\"x -- \"\"y\" z"), "\"x -- \"\"y\" z");
    }

    #[test]
    fn every_version_is_its_own_schema_and_no_other() {
        let last = migrations::schema_version();
        for version in 1..=last {
            let db = made(version).unwrap();
            assert_eq!(differences(&db, version).unwrap(), [] as [&str; 0]);
            assert!(!differences(&db, version - 1).unwrap().is_empty());
        }
        let db = made(last).unwrap();
        db.execute_batch(
            "ANALYZE; CREATE TABLE other (x); DROP VIEW flagged; ALTER TABLE drink ADD COLUMN more TEXT",
        )
        .unwrap();
        assert_eq!(
            differences(&db, last).unwrap(),
            [
                "the table `drink` is another than ours, with the column `more`",
                "the table `other` is not ours",
                "the view `flagged` is missing"
            ]
        );
    }

    #[test]
    fn what_is_written_down_is_what_the_migrations_make() {
        let made = objects(&made(migrations::schema_version()).unwrap()).unwrap();
        if std::env::var_os("WASHLINE_WRITE_SCHEMA").is_some() {
            let path = concat!(env!("CARGO_MANIFEST_DIR"), "/src/store/schema.csv");
            let mut writer = csv::Writer::from_path(path).unwrap();
            writer.write_record(["sort", "name", "sql"]).unwrap();
            for ((sort, name), sql) in &made {
                writer.write_record([sort, name, sql]).unwrap();
            }
            writer.flush().unwrap();
            return;
        }
        assert!(
            expected(migrations::schema_version()).unwrap() == made,
            "schema.csv is not what the migrations make: write it anew with WASHLINE_WRITE_SCHEMA=1"
        );
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
