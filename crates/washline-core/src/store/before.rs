//! Earlier versions of specs, worked out as they would be today.

use std::sync::Arc;

use super::results::Current;
use super::worked::Contexts;
use super::{FoundIn, House, StoreError, Worked};
use crate::build::build;

impl House {
    /// The version of each drink before the one that is poured, where there is one and it can still be worked out:
    /// with the ingredients, settings and ranges of today, so that only the spec is another.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn worked_before(&self) -> Result<Vec<Worked>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(
                "SELECT s.id, c.book_id, c.book, b.file, c.line, s.version, c.drink_key, s.spec_text
                 FROM current_spec c JOIN book b ON b.id = c.book_id JOIN spec_version s ON s.drink_id = c.drink_id
                 WHERE s.version = (SELECT max(version) FROM spec_version v WHERE v.drink_id = c.drink_id AND v.version < c.version)
                 ORDER BY c.book_id, c.drink_position",
            )
            .map_err(&fail)?;
        let rows = select
            .query_map([], |row| {
                Ok(Current {
                    spec_version: row.get(0)?,
                    book: row.get(1)?,
                    title: row.get(2)?,
                    file: row.get(3)?,
                    line: usize::try_from(row.get::<_, i64>(4)?).unwrap_or(1),
                    version: row.get(5)?,
                    drink_key: row.get(6)?,
                    text: row.get(7)?,
                    fingerprint: None,
                })
            })
            .map_err(&fail)?;
        let ranges = self.ranges_by_convention()?.map(Arc::new);
        let mut contexts = Contexts::new();
        let mut all = Vec::new();
        for row in rows {
            let current = row.map_err(&fail)?;
            let Ok((source, drink, resolved, context)) = self.resolved(&current, &mut contexts)? else {
                continue;
            };
            let built = build(&resolved);
            all.push(Worked {
                found_in: FoundIn {
                    book: current.title,
                    file: current.file,
                    line: current.line,
                    version: current.version,
                },
                source,
                drink,
                context,
                ranges: Arc::clone(&ranges[resolved.convention as usize]),
                resolved,
                built,
            });
        }
        Ok(all)
    }
}
