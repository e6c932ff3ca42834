//! The lists a drink stands on. Each list keeps it in rows of its own; that two of them are one drink is told by what they
//! are (`same_drink`): of these the one of the first list stands for all.

use std::borrow::Cow;
use std::collections::HashMap;

use super::schema::quoted;
use super::{House, StoreError};
use crate::spec::Settings;

/// The condition on a row `c` of `current_spec` that no list before has the same drink.
pub(super) const ONCE: &str =
    "NOT EXISTS (SELECT 1 FROM same_drink n WHERE n.drink_id = c.drink_id AND n.other_book_id < c.book_id)";

/// The column of the other lists that have the drink of a row `c` of `current_spec`; [`lists`] reads it.
pub(super) const ALSO_ON: &str =
    "(SELECT group_concat(n.other_book_id) FROM same_drink n WHERE n.drink_id = c.drink_id)";

/// The version that a trial of a version `o` is told of: of a drink that is poured before one that is not, of the first
/// list that has it, the last of that text.
pub(super) const FIRST: &str = "SELECT m.spec_version_id FROM same_trial m JOIN spec_version x ON x.id = m.spec_version_id
    JOIN drink y ON y.id = m.drink_id WHERE m.other_id = o.id
    ORDER BY y.removed_at IS NOT NULL, y.book_id, m.spec_version_id = m.other_id DESC, x.version DESC LIMIT 1";

/// The same within the drink `?1`.
pub(super) const OF_DRINK: &str = "SELECT m.spec_version_id FROM same_trial m JOIN spec_version x ON x.id = m.spec_version_id
    WHERE m.drink_id = ?1 AND m.other_id = o.id ORDER BY m.spec_version_id = m.other_id DESC, x.version DESC LIMIT 1";

/// The numbers of lists, in order.
pub(super) fn lists(column: Option<String>) -> Vec<i64> {
    let mut all: Vec<i64> = column
        .iter()
        .flat_map(|ids| ids.split(','))
        .filter_map(|id| id.parse().ok())
        .collect();
    all.sort_unstable();
    all
}

/// The settings of the first of these lists, with the seasons and the tags of all of them.
pub(super) fn of_all<'a>(settings: &'a HashMap<i64, Settings>, lists: &[i64]) -> Cow<'a, Settings> {
    let mut all = lists.iter().filter_map(|id| settings.get(id));
    let mut of = all
        .next()
        .map_or_else(|| Cow::Owned(Settings::default()), Cow::Borrowed);
    for more in all {
        of.to_mut().take_words_of(more);
    }
    of
}

impl House {
    /// The title of every list, by its number.
    pub(super) fn titles_by_id(&self) -> Result<HashMap<i64, String>, StoreError> {
        self.by_list("title")
    }

    /// What every list sets, by its number.
    pub(super) fn settings_by_list(&self) -> Result<HashMap<i64, Settings>, StoreError> {
        let all = self.by_list("settings_json")?;
        Ok(all
            .into_iter()
            .map(|(id, json)| (id, serde_json::from_str(&json).unwrap_or_default()))
            .collect())
    }

    fn by_list(&self, column: &str) -> Result<HashMap<i64, String>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!("SELECT id, {} FROM book", quoted(column)))
            .map_err(&fail)?;
        let rows = select
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    /// The rows of other lists that are the same drink as this one, with their lists, in the order of these.
    pub(super) fn same_drinks(&self, drink: i64) -> Result<Vec<(i64, i64)>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(
                "SELECT other_id, other_book_id FROM same_drink WHERE drink_id = ?1 ORDER BY other_book_id",
            )
            .map_err(&fail)?;
        let rows = select
            .query_map([drink], |row| Ok((row.get(0)?, row.get(1)?)))
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    /// The other lists that have drinks of this one, and how many.
    pub(super) fn on_other_lists(&self, list: i64) -> Result<Vec<(String, i64)>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(
                "SELECT b.title, count(*) FROM same_drink n JOIN book b ON b.id = n.other_book_id
                 WHERE n.book_id = ?1 GROUP BY b.id ORDER BY b.id",
            )
            .map_err(&fail)?;
        let rows = select
            .query_map([list], |row| Ok((row.get(0)?, row.get(1)?)))
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    /// Whether rows of drinks are one drink on several lists.
    pub(super) fn are_one(&self, drinks: &[i64]) -> Result<bool, StoreError> {
        let Some((first, others)) = drinks.split_first() else {
            return Ok(false);
        };
        let same = self.same_drinks(*first)?;
        Ok(others.iter().all(|other| same.iter().any(|(id, _)| id == other)))
    }
}
