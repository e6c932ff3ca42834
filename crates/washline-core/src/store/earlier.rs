//! Earlier versions of specs, worked out as they would be today.

use super::{House, StoreError};
use crate::computed::ComputedDrink;

impl House {
    /// The version of each drink before the one that is poured, where there is one and it can still be worked out:
    /// with the ingredients, settings and ranges of today, so that only the spec is another.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn drinks_before(&self) -> Result<Vec<ComputedDrink>, StoreError> {
        let before = self.specs(
            "SELECT s.id, c.book_id, c.book, b.file, c.line, s.version, c.drink_id, s.spec_text, NULL, NULL, NULL
             FROM current_spec c JOIN book b ON b.id = c.book_id JOIN spec_version s ON s.drink_id = c.drink_id
             WHERE s.version = (SELECT max(version) FROM spec_version v WHERE v.drink_id = c.drink_id AND v.version < c.version)
               AND NOT EXISTS (SELECT 1 FROM same_drink n WHERE n.drink_id = c.drink_id AND n.other_book_id < c.book_id)
             ORDER BY c.book_id, c.drink_position",
            [],
        )?;
        self.work_out(before.into_iter())
    }
}
