//! What the house has kept of each drink beside its spec: the day it was kept, and what its last tasting said.

use std::collections::HashMap;

use super::lists::ONCE;
use super::{House, StoreError};
use crate::find::Kept;

impl House {
    /// What is kept of every drink that is poured, as (book, drink, what).
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn kept(&self) -> Result<Vec<(String, String, Kept)>, StoreError> {
        let mut tasted = HashMap::new();
        // The latest comes first, and only that of the spec that is poured counts.
        for tasting in self.all_tastings()?.into_iter().filter(|t| t.is_current) {
            tasted
                .entry((tasting.book, tasting.drink))
                .or_insert((tasting.verdict, tasting.note));
        }
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT c.book, c.drink, coalesce(c.added_at, '') FROM current_spec c WHERE {ONCE} ORDER BY c.book_id, c.drink_position"
            ))
            .map_err(&fail)?;
        let rows = select
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))
            .map_err(&fail)?;
        let mut all = Vec::new();
        for row in rows {
            let (book, drink, changed): (String, String, String) = row.map_err(&fail)?;
            let kept = Kept {
                changed,
                tasted: tasted.remove(&(book.clone(), drink.clone())),
            };
            all.push((book, drink, kept));
        }
        Ok(all)
    }
}
