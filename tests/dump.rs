//! Every row that people put into a house, to hold one moment of it against another.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::Connection;
use rusqlite::types::Value;

/// What is worked out, and what keeps count of it: all other tables are filled by people.
pub const DERIVED: [&str; 14] = [
    "result",
    "figure",
    "verdict",
    "finding",
    "assumption",
    "pour",
    "budget",
    "preparation_result",
    "preparation_part",
    "stale",
    "worked_by",
    "journal_entry",
    "journal_change",
    "journal_open",
];

/// Tables by name, each with its rows in order.
pub type Dump = BTreeMap<String, Vec<String>>;

/// The tables that people fill, of the schema as it is.
pub fn input_tables(db: &Connection) -> BTreeSet<String> {
    let mut select = db
        .prepare_cached("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
        .unwrap();
    let all: BTreeSet<String> = select
        .query_map([], |row| row.get(0))
        .unwrap()
        .collect::<rusqlite::Result<_>>()
        .unwrap();
    for table in DERIVED {
        assert!(all.contains(table), "{table}");
    }
    all.into_iter()
        .filter(|t| !DERIVED.contains(&t.as_str()))
        .collect()
}

/// The condition that leaves out of a table what is the library's.
pub fn but_the_library(table: &str) -> &'static str {
    match table {
        "setting" => "WHERE name <> 'library'",
        "ingredient" => "WHERE origin <> 'library'",
        "ingredient_value" => {
            "WHERE ingredient_id NOT IN (SELECT id FROM ingredient WHERE origin = 'library')"
        }
        _ => "",
    }
}

/// Every row that people put in, each number to the bit; the copy of the library aside.
pub fn dump(db: &Connection) -> Dump {
    input_tables(db)
        .into_iter()
        .map(|table| {
            let aside = but_the_library(&table);
            let mut select = db
                .prepare_cached(&format!("SELECT * FROM {table} {aside}"))
                .unwrap();
            let width = select.column_count();
            let mut rows: Vec<String> = select
                .query_map([], |row| {
                    let cells: Vec<String> = (0..width)
                        .map(|i| match row.get(i).unwrap() {
                            Value::Real(x) => format!("{:016x}", x.to_bits()),
                            other => format!("{other:?}"),
                        })
                        .collect();
                    Ok(cells.join(" | "))
                })
                .unwrap()
                .collect::<rusqlite::Result<_>>()
                .unwrap();
            rows.sort();
            (table, rows)
        })
        .collect()
}
