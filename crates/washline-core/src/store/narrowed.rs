//! The drinks of the house that a question may be about, by what is kept of them: only those are worked out.

use std::collections::HashMap;

use rusqlite::types::Value;

use super::{House, StoreError};
use crate::computed::{ComputedDrink, Context};
use crate::find::{Narrow, Pours, Query, Row};
use crate::spec::{Settings, seasons_and_tags};
use crate::tables::Structure;

/// The pours that the house keeps.
struct Kept<'a> {
    house: &'a House,
    names: Vec<String>,
    contexts: Vec<Context>,
}

impl Pours for Kept<'_> {
    type Error = StoreError;

    fn names(&self) -> &[String] {
        &self.names
    }

    fn contexts(&self) -> &[Context] {
        &self.contexts
    }

    fn specs(&self, name: &str) -> Result<Vec<i64>, StoreError> {
        self.house.column(
            "SELECT r.spec_version_id FROM pour p JOIN result r ON r.id = p.result_id WHERE p.ingredient_key = ?1",
            [crate::names::key(name)],
        )
    }
}

impl House {
    /// Every drink of the house of which a question may hold or cannot be told, by book and place in it: those that what
    /// is kept of them rules out are not worked out. Where what is kept is stale that is every drink.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn drinks_that_may(&self, query: &Query) -> Result<Vec<ComputedDrink>, StoreError> {
        if self.stale()?.is_some() {
            return self.drinks();
        }
        let mut shared = self.shared()?;
        let books: Vec<i64> = self.column("SELECT id FROM book WHERE removed_at IS NULL", [])?;
        let mut contexts = Vec::new();
        if query.asks_for(crate::find::Field::Pours) {
            for book in books {
                contexts.push(self.context(book, &mut shared)?);
            }
        }
        let names = self.column("SELECT DISTINCT ingredient FROM pour", [])?;
        let kept = Kept {
            house: self,
            names,
            contexts,
        };
        let narrow = Narrow::of(query, &kept)?;
        let ids = self.ids_that_may(&narrow)?;
        let wanted: Vec<String> = ids.iter().map(i64::to_string).collect();
        let wanted = self.current_where(
            "c.id IN (SELECT value FROM json_each(?1))",
            [format!("[{}]", wanted.join(","))],
        )?;
        self.work_out(wanted.into_iter())
    }

    /// The specs that are poured and that a question does not rule out.
    fn ids_that_may(&self, narrow: &Narrow) -> Result<Vec<i64>, StoreError> {
        let fail = self.fail();
        let figures: String = narrow
            .figures()
            .iter()
            .map(|facts| {
                format!(
                    ", (SELECT value FROM figure WHERE result_id = r.id AND stage = 'glass' AND figure = '{}')",
                    facts.name
                )
            })
            .collect();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT s.id, d.name, b.title, s.spec_text, r.structure, b.id, b.settings_json{figures}
                 FROM drink d JOIN book b ON b.id = d.book_id
                 JOIN spec_version s ON s.drink_id = d.id
                     AND s.version = (SELECT max(version) FROM spec_version v WHERE v.drink_id = d.id)
                 JOIN result r ON r.spec_version_id = s.id
                 WHERE d.removed_at IS NULL"
            ))
            .map_err(&fail)?;
        let mut lists: HashMap<i64, Settings> = HashMap::new();
        let mut ids = Vec::new();
        let mut rows = select.query([]).map_err(&fail)?;
        while let Some(row) = rows.next().map_err(&fail)? {
            let id = row.get(0).map_err(&fail)?;
            let word = |at: usize| row.get_ref(at).and_then(|cell| Ok(cell.as_str()?)).map_err(&fail);
            let (name, list, text) = (word(1)?, word(2)?, word(3)?);
            let structure: Option<String> = row.get(4).map_err(&fail)?;
            let book = row.get(5).map_err(&fail)?;
            let settings = match lists.entry(book) {
                std::collections::hash_map::Entry::Occupied(known) => known.into_mut(),
                std::collections::hash_map::Entry::Vacant(new) => {
                    new.insert(serde_json::from_str(word(6)?).unwrap_or_default())
                }
            };
            let (seasons, tags) = seasons_and_tags(text, settings);
            let figures: Vec<Option<f64>> = (0..narrow.figures().len())
                .map(|at| match row.get(7 + at) {
                    Ok(Value::Real(value)) => Some(value).filter(|v| v.is_finite()),
                    _ => None,
                })
                .collect();
            let kept = Row {
                id,
                name,
                list,
                text,
                structure: structure.as_deref().and_then(Structure::named),
                seasons: &seasons,
                tags: &tags,
                figures: &figures,
            };
            if narrow.may_be(&kept) {
                ids.push(id);
            }
        }
        Ok(ids)
    }

    /// How many drinks the house pours.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn count(&self) -> Result<usize, StoreError> {
        let all: Vec<i64> = self.column(
            "SELECT count(*) FROM drink d JOIN spec_version s ON s.drink_id = d.id JOIN result r ON r.spec_version_id = s.id
             WHERE d.removed_at IS NULL AND s.version = (SELECT max(version) FROM spec_version v WHERE v.drink_id = d.id)",
            [],
        )?;
        Ok(all.first().map_or(0, |n| usize::try_from(*n).unwrap_or_default()))
    }

    /// A column of a query.
    fn column<T: rusqlite::types::FromSql>(
        &self,
        query: &str,
        values: impl rusqlite::Params,
    ) -> Result<Vec<T>, StoreError> {
        let fail = self.fail();
        let mut select = self.db.prepare_cached(query).map_err(&fail)?;
        let rows = select.query_map(values, |row| row.get(0)).map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }
}
