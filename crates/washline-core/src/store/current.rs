//! The specs that are poured now, as they stand in the file: what results are worked out of.

use rusqlite::Params;

use super::lists::{ALSO_ON, ONCE, lists};
use super::{House, StoreError};

/// A spec of the house that is to be worked out.
pub(super) struct Current {
    pub(super) spec_version: i64,
    pub(super) book: i64,
    pub(super) title: String,
    pub(super) file: String,
    pub(super) line: usize,
    pub(super) version: i64,
    pub(super) drink: i64,
    pub(super) text: String,
    /// Of the result that is kept; `None` where none is.
    pub(super) fingerprint: Option<String>,
    /// Of the result.
    pub(super) structure: Option<String>,
    /// The other lists on which the same drink stands, in order.
    pub(super) also_on: Vec<i64>,
}

impl House {
    /// Every spec that is poured, once a list.
    pub(super) fn current(&self) -> Result<Vec<Current>, StoreError> {
        self.current_where("1", "NULL", [])
    }

    /// The specs that are poured and fit a condition on their row and that of their result: a drink that stands on
    /// several lists once.
    pub(super) fn poured_where(
        &self,
        condition: &str,
        values: impl Params,
    ) -> Result<Vec<Current>, StoreError> {
        self.current_where(&format!("({condition}) AND {ONCE}"), ALSO_ON, values)
    }

    /// The specs that are poured and fit a condition, once a list.
    pub(super) fn current_where(
        &self,
        condition: &str,
        also_on: &str,
        values: impl Params,
    ) -> Result<Vec<Current>, StoreError> {
        let query = format!(
            "SELECT c.id, c.book_id, c.book, b.file, c.line, c.version, c.drink_id, c.spec_text, r.fingerprint, r.structure, {also_on}
             FROM current_spec c JOIN book b ON b.id = c.book_id LEFT JOIN result r ON r.spec_version_id = c.id
             WHERE {condition} ORDER BY c.book_id, c.drink_position"
        );
        self.specs(&query, values)
    }

    /// Specs by a query of id, book, its title and file, line, version, drink, text, fingerprint, structure and the other
    /// lists it stands on.
    pub(super) fn specs(&self, query: &str, values: impl Params) -> Result<Vec<Current>, StoreError> {
        let fail = self.fail();
        let mut select = self.db.prepare_cached(query).map_err(&fail)?;
        let rows = select
            .query_map(values, |row| {
                Ok(Current {
                    spec_version: row.get(0)?,
                    book: row.get(1)?,
                    title: row.get(2)?,
                    file: row.get(3)?,
                    line: usize::try_from(row.get::<_, i64>(4)?).unwrap_or(1),
                    version: row.get(5)?,
                    drink: row.get(6)?,
                    text: row.get(7)?,
                    fingerprint: row.get(8)?,
                    structure: row.get(9)?,
                    also_on: lists(row.get(10)?),
                })
            })
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }
}
