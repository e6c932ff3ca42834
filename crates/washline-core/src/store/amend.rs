//! Another spec for one drink of a book: a new version, the rest of the book as it is.

use rusqlite::{OptionalExtension, params};

use super::books::keep_drink;
use super::worked::Worked;
use super::{House, StoreError};
use crate::names::key;
use crate::resolve::resolve;
use crate::spec::{Fault, Source, Wrong, read_under};

/// What keeping another spec of a drink did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Amended {
    /// The drink.
    pub drink: String,
    /// Its book.
    pub book: String,
    /// The version that is poured now.
    pub version: i64,
    /// The version it was made from.
    pub from_version: i64,
}

impl House {
    /// Keep `text`, the section of one drink, as a new version of the spec of `worked`: read, resolved and kept as
    /// a book is. Every fault of the text, or what it did. `at` is when, as the caller tells it (ISO 8601).
    ///
    /// # Errors
    /// When the file cannot be written, or another version has been kept since `worked` was read.
    pub fn amend(
        &mut self,
        worked: &Worked,
        text: &str,
        at: &str,
    ) -> Result<Result<Amended, Vec<Fault>>, StoreError> {
        let source = Source::new(worked.found_in.file.clone(), text);
        let mut reading = read_under(&source, &worked.context.settings);
        let drink = reading.book.take_drink();
        let Some(mut drink) = drink.filter(|_| reading.faults.is_empty()) else {
            if reading.faults.is_empty() {
                reading
                    .faults
                    .push(Wrong::reject(0..0, "no drink to keep").at(&source));
            }
            return Ok(Err(reading.faults));
        };
        if let Err(faults) = resolve(&drink, &worked.context.stock, &worked.context.settings, &source) {
            return Ok(Err(faults));
        }
        let (name, book) = (worked.name().to_owned(), worked.found_in.book.clone());
        let fail = self.fail();
        let changed = self.content(format!(
            "{name} of {book} has changed since it was read; nothing was stored, try again"
        ));
        let transaction = self.begin_keeping()?;
        let found: Option<(i64, i64, String, i64, i64)> = transaction
            .query_row(
                "SELECT book.id AS book_id, drink.position, drink.name, drink.line, max(spec_version.version) AS version
                 FROM drink JOIN book ON book.id = drink.book_id JOIN spec_version ON spec_version.drink_id = drink.id
                 WHERE book.title = ?1 AND drink.name_key = ?2 AND drink.removed_at IS NULL
                 GROUP BY drink.id",
                params![book, key(&name)],
                |row| {
                    Ok((
                        row.get("book_id")?,
                        row.get("position")?,
                        row.get("name")?,
                        row.get("line")?,
                        row.get("version")?,
                    ))
                },
            )
            .optional()
            .map_err(&fail)?;
        let Some((book_id, position, stored_name, line, version)) = found else {
            return Err(changed);
        };
        if version != worked.found_in.version {
            return Err(changed);
        }
        // Its name and its place in the book stay as the book has them.
        drink.name = stored_name;
        drink.line = usize::try_from(line).unwrap_or_default();
        let position = usize::try_from(position).unwrap_or_default();
        keep_drink(&transaction, book_id, position, &drink, at).map_err(&fail)?;
        let now: i64 = transaction
            .query_row(
                "SELECT max(version) FROM spec_version JOIN drink ON drink.id = drink_id WHERE book_id = ?1 AND name_key = ?2",
                params![book_id, key(&name)],
                |row| row.get(0),
            )
            .map_err(&fail)?;
        transaction.commit().map_err(fail)?;
        Ok(Ok(Amended {
            drink: drink.name,
            book,
            version: now,
            from_version: version,
        }))
    }
}
