//! The schema's migrations: what makes a house of one version one of the next.

use std::sync::LazyLock;

use rusqlite::Connection;
use rusqlite_migration::{M, Migrations};

/// Every migration, in order; a test compares the list with the folder.
pub(super) const MIGRATIONS: &[(&str, &str)] = &[
    (
        "001_house.sql",
        include_str!("../../../../migrations/001_house.sql"),
    ),
    (
        "002_intervals.sql",
        include_str!("../../../../migrations/002_intervals.sql"),
    ),
    (
        "003_prices.sql",
        include_str!("../../../../migrations/003_prices.sql"),
    ),
    (
        "004_weighings.sql",
        include_str!("../../../../migrations/004_weighings.sql"),
    ),
    (
        "005_preparations.sql",
        include_str!("../../../../migrations/005_preparations.sql"),
    ),
    (
        "006_tastings.sql",
        include_str!("../../../../migrations/006_tastings.sql"),
    ),
    (
        "007_stale.sql",
        include_str!("../../../../migrations/007_stale.sql"),
    ),
    (
        "008_families.sql",
        include_str!("../../../../migrations/008_families.sql"),
    ),
    (
        "009_journal.sql",
        include_str!("../../../../migrations/009_journal.sql"),
    ),
    (
        "010_summary.sql",
        include_str!("../../../../migrations/010_summary.sql"),
    ),
    (
        "011_one_drink.sql",
        include_str!("../../../../migrations/011_one_drink.sql"),
    ),
    (
        "012_moved.sql",
        include_str!("../../../../migrations/012_moved.sql"),
    ),
    (
        "013_taken_away.sql",
        include_str!("../../../../migrations/013_taken_away.sql"),
    ),
];

static STEPS: LazyLock<Migrations<'static>> =
    LazyLock::new(|| Migrations::new(MIGRATIONS.iter().map(|(_, sql)| M::up(sql)).collect()));

/// The schema version this program writes.
#[must_use]
pub fn schema_version() -> i64 {
    i64::try_from(MIGRATIONS.len()).unwrap_or(i64::MAX)
}

/// Bring a database to a version of the schema.
pub(super) fn migrate(db: &mut Connection, version: i64) -> Result<(), rusqlite_migration::Error> {
    STEPS.to_version(db, usize::try_from(version).unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_of_migrations_is_the_folder() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../migrations");
        let mut files: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|f| f.unwrap().file_name().into_string().unwrap())
            .collect();
        files.sort();
        assert_eq!(
            files,
            MIGRATIONS.iter().map(|(name, _)| *name).collect::<Vec<_>>()
        );
        for (i, (name, sql)) in MIGRATIONS.iter().enumerate() {
            assert!(name.starts_with(&format!("{:03}_", i + 1)), "{name} out of order");
            assert!(sql.starts_with("-- Why:"), "{name} opens with why");
        }
        assert!(STEPS.validate().is_ok());
    }

    /// A row of every table that people fill, as it could be written since that version of the schema.
    const ROWS: [(i64, &str); 15] = [
        (1, "INSERT INTO setting VALUES ('dash', '0.8 ml')"),
        (
            1,
            "INSERT INTO book (id, title, title_key, file, opening_text, settings_json) VALUES (7, 'Halt', 'halt', 'h.md', '# Halt', '{}')",
        ),
        (
            1,
            "INSERT INTO drink (id, book_id, name, name_key, position, line) VALUES (3, 7, 'Owl', 'owl', 0, 3)",
        ),
        (
            1,
            "INSERT INTO spec_version (id, drink_id, version, spec_text, written_text) VALUES (5, 3, 1, '## Owl', '## Owl')",
        ),
        (
            1,
            "INSERT INTO step (spec_version_id, position, sort, step_text) VALUES (5, 0, 'work', 'stir')",
        ),
        (
            1,
            "INSERT INTO ingredient VALUES (2, 'gin', 'gin', 'house', NULL, 'gin', 'litre', 0, 'none', 'none', '', '', '', '')",
        ),
        (
            1,
            "INSERT INTO ingredient_value VALUES (2, 'abv', '', '% vol', 0.1, 0.05, 0.3, 'normal', 'label', 'read')",
        ),
        (
            1,
            "INSERT INTO house_range VALUES ('stirred', 'abv_pct', 0.1, 0.7, 1, 'a tasting')",
        ),
        (
            3,
            "INSERT INTO price (id, name, name_key, since, offer, source) VALUES (4, 'ice', 'ice', '', 'free', 'the cellar')",
        ),
        (
            4,
            "INSERT INTO weighing (id, drink_id, version, before_g, after_g, ice_g, note) VALUES (9, 3, 1, '100.10', '150', 0.1, '')",
        ),
        (
            4,
            "INSERT INTO house_melt (id, technique, version, fit_json) VALUES (1, 'stir', 1, '{}')",
        ),
        (
            5,
            "INSERT INTO preparation (id, book_id, name, name_key, position, line) VALUES (1, 7, 'Syrup', 'syrup', 0, 9)",
        ),
        (
            5,
            "INSERT INTO preparation_version (id, preparation_id, version, spec_text, written_text) VALUES (1, 1, 1, '## Syrup', '## Syrup')",
        ),
        (
            6,
            "INSERT INTO tasting (id, spec_version_id, verdict, note, taster, tasted_at) VALUES (1, 5, 'right', '', '', '2026-01-01')",
        ),
        (6, "INSERT INTO book_text VALUES (7, '# Halt')"),
    ];

    #[test]
    fn a_house_of_every_schema_keeps_its_rows() {
        for version in 1..schema_version() {
            let mut db = Connection::open_in_memory().unwrap();
            migrate(&mut db, version).unwrap();
            db.pragma_update(None, "foreign_keys", true).unwrap();
            let rows: Vec<&str> = ROWS
                .iter()
                .filter(|(since, _)| *since <= version)
                .map(|(_, sql)| *sql)
                .collect();
            let mut tables: Vec<&str> = Vec::new();
            for sql in &rows {
                db.execute_batch(sql)
                    .unwrap_or_else(|e| panic!("schema {version}: {sql}: {e}"));
                tables.extend(sql.split([' ', '(']).nth(2));
            }
            let told = |db: &Connection| -> Vec<String> {
                tables
                    .iter()
                    .map(|table| {
                        let columns: Vec<String> = db
                            .prepare_cached(&format!(
                                "SELECT name FROM pragma_table_info('{table}') ORDER BY name"
                            ))
                            .unwrap()
                            .query_map([], |r| r.get::<_, String>(0))
                            .unwrap()
                            .map(Result::unwrap)
                            .filter(|column| (*table, column.as_str()) != ("book", "removed_at"))
                            .collect();
                        db.query_row(
                            &format!("SELECT json_array({}) FROM {table}", columns.join(", ")),
                            [],
                            |r| r.get(0),
                        )
                        .unwrap_or_else(|e| panic!("schema {version}: {table}: {e}"))
                    })
                    .collect()
            };
            let before = told(&db);
            migrate(&mut db, schema_version()).unwrap();
            assert_eq!(told(&db), before, "schema {version}");
        }
    }
}
