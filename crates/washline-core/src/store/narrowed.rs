//! The drinks of the house that a question may be about, by what is kept of them: only those are worked out.

use rusqlite::params;
use rusqlite::types::Value;

use super::lists::{ALSO_ON, ONCE, lists, of_all};
use super::marks::as_json;
use super::{House, StoreError};
use crate::computed::{ComputedDrink, Context};
use crate::find::{Narrow, Pours, Query, Row};
use crate::names::key;
use crate::spec::seasons_and_tags;
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
            [key(name)],
        )
    }
}

impl House {
    /// Every drink of the house of which a question may hold or cannot be told, by book and place in it: those that what
    /// is kept of them rules out are not worked out. What is kept is brought up to date first.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn drinks_that_may(&self, query: &Query) -> Result<Vec<ComputedDrink>, StoreError> {
        self.drinks_of(&[], None, Some(query))
    }

    /// The drinks that have one of these names (any, where none is given), that stand on that list, where one is named, and
    /// of which a question may hold, where one is asked: no others are worked out.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn drinks_of(
        &self,
        names: &[String],
        list: Option<&str>,
        query: Option<&Query>,
    ) -> Result<Vec<ComputedDrink>, StoreError> {
        let fail = self.fail();
        let keys: Vec<String> = names.iter().map(|name| key(name)).collect();
        self.refresh_named(&keys)?;
        let keys = as_json(&keys).map_err(&fail)?;
        let ids = match query {
            Some(query) => self.ids_that_query_may(query)?,
            None => None,
        };
        let ids = ids.map(|ids| as_json(&ids)).transpose().map_err(&fail)?;
        let wanted = self.poured_where(
            "(?1 = '[]' OR c.drink_key IN (SELECT value FROM json_each(?1)))
             AND (?2 IS NULL OR b.title_key = ?2 OR EXISTS (
                 SELECT 1 FROM same_drink n JOIN book o ON o.id = n.other_book_id
                 WHERE n.drink_id = c.drink_id AND o.title_key = ?2))
             AND (?3 IS NULL OR c.id IN (SELECT value FROM json_each(?3)))",
            params![keys, list.map(key), ids],
        )?;
        self.work_out(wanted.into_iter())
    }

    /// The specs that a question does not rule out; `None` where what is kept is stale, and tells nothing.
    fn ids_that_query_may(&self, query: &Query) -> Result<Option<Vec<i64>>, StoreError> {
        if self.stale()?.is_some() {
            return Ok(None);
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
        self.ids_that_may(&narrow).map(Some)
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
                "SELECT c.id, c.drink, c.spec_text, r.structure, c.book_id, {ALSO_ON}{figures}
                 FROM current_spec c JOIN result r ON r.spec_version_id = c.id WHERE {ONCE}"
            ))
            .map_err(&fail)?;
        let (titles, settings) = (self.titles_by_id()?, self.settings_by_list()?);
        let mut ids = Vec::new();
        let mut rows = select.query([]).map_err(&fail)?;
        while let Some(row) = rows.next().map_err(&fail)? {
            let id = row.get(0).map_err(&fail)?;
            let word = |at: usize| row.get_ref(at).and_then(|cell| Ok(cell.as_str()?)).map_err(&fail);
            let (name, text) = (word(1)?, word(2)?);
            let structure: Option<String> = row.get(3).map_err(&fail)?;
            let mut on = vec![row.get(4).map_err(&fail)?];
            on.extend(lists(row.get(5).map_err(&fail)?));
            let (seasons, tags) = seasons_and_tags(text, &of_all(&settings, &on));
            let on: Vec<&str> = on
                .iter()
                .filter_map(|id| titles.get(id).map(String::as_str))
                .collect();
            let figures: Vec<Option<f64>> = (0..narrow.figures().len())
                .map(|at| match row.get(6 + at) {
                    Ok(Value::Real(value)) => Some(value).filter(|v| v.is_finite()),
                    _ => None,
                })
                .collect();
            let kept = Row {
                id,
                name,
                lists: &on,
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
            &format!(
                "SELECT count(*) FROM current_spec c JOIN result r ON r.spec_version_id = c.id WHERE {ONCE}"
            ),
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
