//! Drinks and preparations with every version of them.

use super::Kind;
use crate::store::schema::quoted;
use crate::store::{House, StoreError, when};
use crate::tables::When;

/// A thing with a text and versions of it.
#[derive(Clone, Copy)]
pub(super) struct Versioned {
    pub kind: Kind,
    pub table: &'static str,
    pub versions: &'static str,
    pub column: &'static str,
}

pub(super) const VERSIONED: [Versioned; 2] = [
    Versioned {
        kind: Kind::Preparation,
        table: "preparation",
        versions: "preparation_version",
        column: "preparation_id",
    },
    Versioned {
        kind: Kind::Drink,
        table: "drink",
        versions: "spec_version",
        column: "drink_id",
    },
];

/// A drink or preparation with every version of it.
pub(super) struct History {
    pub id: i64,
    pub name: String,
    pub key: String,
    pub removed: bool,
    pub versions: Vec<Version>,
}

pub(super) struct Version {
    pub id: i64,
    pub number: i64,
    pub typed: String,
    pub written: String,
    pub at: Option<When>,
}

impl History {
    pub(super) fn last(&self) -> Option<&Version> {
        self.versions.last()
    }
}

/// The same spec, however it was typed.
pub(super) fn same(a: &Version, b: &Version) -> bool {
    a.written == b.written || a.typed == b.typed
}

impl House {
    /// The drinks or preparations of a book with every version.
    pub(super) fn histories(&self, of: Versioned, book: i64) -> Result<Vec<History>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT id, name, name_key, removed_at IS NOT NULL AS removed FROM {} WHERE book_id = ?1 ORDER BY position",
                quoted(of.table)
            ))
            .map_err(&fail)?;
        let mut all: Vec<History> = select
            .query_map([book], |row| {
                Ok(History {
                    id: row.get("id")?,
                    name: row.get("name")?,
                    key: row.get("name_key")?,
                    removed: row.get("removed")?,
                    versions: Vec::new(),
                })
            })
            .map_err(&fail)?
            .collect::<rusqlite::Result<_>>()
            .map_err(&fail)?;
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT id, version, spec_text, written_text, added_at FROM {} WHERE {} = ?1 ORDER BY version",
                quoted(of.versions),
                quoted(of.column)
            ))
            .map_err(&fail)?;
        for history in &mut all {
            history.versions = select
                .query_map([history.id], |row| {
                    Ok(Version {
                        id: row.get("id")?,
                        number: row.get("version")?,
                        typed: row.get("spec_text")?,
                        written: row.get("written_text")?,
                        at: when(row, "added_at")?,
                    })
                })
                .map_err(&fail)?
                .collect::<rusqlite::Result<_>>()
                .map_err(&fail)?;
        }
        Ok(all)
    }
}
