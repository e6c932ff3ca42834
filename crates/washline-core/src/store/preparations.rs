//! Preparations of the house: their texts with every version, and what they come to. They are made from their texts
//! whenever the drinks of their book are looked at, so that they are never older than what they are made of.

use std::collections::HashSet;

use rusqlite::{Connection, Transaction, params};
use sha2::{Digest, Sha256};

use super::fresh::Stale;
use super::journal::fresh_id;
use super::marks::{as_json, hex};
use super::versions::{Kept, PREPARATIONS, Standing, place};
use super::worked::Shared;
use super::{Added, House, StoreError};
use crate::computed::{FoundIn, Prepared};
use crate::ingredient::{Ingredient, Origin};
use crate::names::key;
use crate::prepare::Made;
use crate::spec::{Book, Drink, Source};
use crate::tables::{When, when_text};

/// A preparation as the file has it.
pub(super) struct Row {
    id: i64,
    book: i64,
    title: String,
    file: String,
    line: usize,
    version: i64,
    text: String,
    fingerprint: Option<String>,
}

impl House {
    /// Every preparation that can be made, by book and place in it.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn preparations(&self) -> Result<Vec<Prepared>, StoreError> {
        self.preparations_of(self.preparation_rows(None)?)
    }

    fn preparations_of(&self, rows: Vec<Row>) -> Result<Vec<Prepared>, StoreError> {
        let mut shared = self.shared()?;
        let mut all = Vec::new();
        for row in rows {
            let made = self.made_of(&row, &mut shared)?;
            if let Some(made) = made {
                all.push(Prepared {
                    found_in: FoundIn {
                        book: row.title,
                        also_on: Vec::new(),
                        file: row.file,
                        line: row.line,
                        version: row.version,
                    },
                    text: row.text,
                    made,
                });
            }
        }
        Ok(all)
    }

    /// The preparations of that name or alias, one a book.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn preparations_named(&self, name: &str) -> Result<Vec<Prepared>, StoreError> {
        let wanted = key(name);
        let mut rows = self.preparation_rows(None)?;
        // Its name and its aliases stand in its text: no other need be made.
        rows.retain(|row| key(&row.text).contains(&wanted));
        let mut all = self.preparations_of(rows)?;
        all.retain(|p| p.is_called(name));
        Ok(all)
    }

    /// What the books of the house define or make for their own drinks, each with the title of its book.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn book_ingredients(&self) -> Result<Vec<(String, Ingredient)>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached("SELECT id, title FROM book WHERE removed_at IS NULL ORDER BY id")
            .map_err(&fail)?;
        let books: Vec<(i64, String)> = select
            .query_map([], |r| Ok((r.get("id")?, r.get("title")?)))
            .map_err(&fail)?
            .collect::<rusqlite::Result<_>>()
            .map_err(&fail)?;
        let mut all = Vec::new();
        for (book, title) in books {
            let context = self.book_context(book)?;
            all.extend(
                context
                    .stock
                    .iter()
                    .filter(|i| i.origin == Origin::Book)
                    .filter(|i| {
                        !context
                            .preparations
                            .failed
                            .iter()
                            .any(|(name, _)| *name == i.name)
                    })
                    .map(|i| (title.clone(), i.clone())),
            );
        }
        Ok(all)
    }

    fn made_of(&self, row: &Row, shared: &mut Shared) -> Result<Option<Made>, StoreError> {
        let context = self.context(row.book, shared)?;
        let made = context.preparations.made.iter().find(|m| m.line == row.line);
        Ok(made.cloned())
    }

    /// A preparation as another text of it makes it, with everything else as it is; `None` where that cannot be made.
    pub(super) fn made_as(
        &self,
        book: i64,
        id: i64,
        version: i64,
        text: &str,
    ) -> Result<Option<Prepared>, StoreError> {
        let (title, file, line): (String, String, i64) = self
            .db
            .query_row(
                "SELECT b.title, b.file, p.line FROM preparation p JOIN book b ON b.id = p.book_id WHERE p.id = ?1",
                [id],
                |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)),
            )
            .map_err(self.fail())?;
        let line = usize::try_from(line).unwrap_or(1);
        let mut texts = self.preparation_texts(book)?;
        texts.retain(|(_, at)| *at != line);
        texts.push((Source::new(file.clone(), text), line));
        let context = self.book_context_with(book, texts)?;
        let made = context.preparations.made.iter().find(|m| m.line == line);
        Ok(made.map(|made| Prepared {
            found_in: FoundIn {
                book: title,
                also_on: Vec::new(),
                file,
                line,
                version,
            },
            text: text.to_owned(),
            made: made.clone(),
        }))
    }

    /// The texts of the preparations of a book, each with the line of its heading.
    pub(super) fn preparation_texts(&self, book: i64) -> Result<Vec<(Source, usize)>, StoreError> {
        let rows = self.preparation_rows(Some(book))?;
        Ok(rows
            .into_iter()
            .map(|row| (Source::new(row.file, row.text), row.line))
            .collect())
    }

    /// Bring the readers' copy of what preparations come to up to date, within the transaction that is open. A
    /// preparation that may come to something else makes all of its book stale.
    pub(super) fn keep_preparations(&self, stale: &mut Stale, shared: &mut Shared) -> Result<(), StoreError> {
        let fail = self.fail();
        // One that changed may be made into any other of its book: first whose book it is, then all of that.
        for row in self.spread_over_books(stale)? {
            if row.fingerprint.is_some() && !stale.has_preparation(row.book, &row.text) {
                continue;
            }
            let made = self.made_of(&row, shared)?;
            let mark = made.as_ref().map(|made| fingerprint(&row, made));
            if mark == row.fingerprint {
                continue;
            }
            self.db
                .execute(
                    "DELETE FROM preparation_result WHERE preparation_id = ?1",
                    [row.id],
                )
                .map_err(&fail)?;
            if let (Some(made), Some(mark)) = (made, mark) {
                save(&self.db, row.id, &mark, &made).map_err(&fail)?;
            }
        }
        Ok(())
    }

    /// Let a preparation that may come to something else make all of its book stale. Gives all preparations.
    pub(super) fn spread_over_books(&self, stale: &mut Stale) -> Result<Vec<Row>, StoreError> {
        let rows = self.preparation_rows(None)?;
        for row in &rows {
            stale.has_preparation(row.book, &row.text);
        }
        Ok(rows)
    }

    /// The books with a preparation that cannot be made.
    pub(super) fn books_with_broken_preparations(&self) -> Result<Vec<i64>, StoreError> {
        let rows = self.preparation_rows(None)?;
        let mut books: Vec<i64> = rows
            .iter()
            .filter(|row| row.fingerprint.is_none())
            .map(|row| row.book)
            .collect();
        books.dedup();
        Ok(books)
    }

    fn preparation_rows(&self, book: Option<i64>) -> Result<Vec<Row>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(
                "SELECT p.id, p.book_id, b.title, b.file, p.line, v.version, v.spec_text, r.fingerprint
                 FROM preparation p
                 JOIN book b ON b.id = p.book_id
                 JOIN preparation_version v ON v.preparation_id = p.id
                 LEFT JOIN preparation_result r ON r.preparation_id = p.id
                 WHERE p.removed_at IS NULL AND (?1 IS NULL OR p.book_id = ?1)
                   AND v.version = (SELECT max(version) FROM preparation_version w WHERE w.preparation_id = p.id)
                 ORDER BY p.book_id, p.position",
            )
            .map_err(&fail)?;
        let rows = select
            .query_map([book], |row| {
                Ok(Row {
                    id: row.get(0)?,
                    book: row.get(1)?,
                    title: row.get(2)?,
                    file: row.get(3)?,
                    line: usize::try_from(row.get::<_, i64>(4)?).unwrap_or(1),
                    version: row.get(5)?,
                    text: row.get(6)?,
                    fingerprint: row.get(7)?,
                })
            })
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }
}

/// A mark of all that is kept of a preparation.
fn fingerprint(row: &Row, made: &Made) -> String {
    let mut hash = Sha256::new();
    hash.update(&row.text);
    hash.update(serde_json::to_vec(&made.ingredient).unwrap_or_default());
    for part in &made.parts {
        hash.update(format!(
            "{}|{:?}|{:?}|",
            part.ingredient, part.volume_ml, part.mass_g
        ));
    }
    // How long it keeps and what is said of it hang on the kinds of what goes in, which no figure shows.
    let said: Vec<String> = made.warnings.iter().map(ToString::to_string).collect();
    hash.update(format!(
        "{:?}|{:?}|{:?}|{:?}|{:?}|{said:?}",
        made.yield_ml, made.measured, made.keeps, made.keeps_as, made.cautions
    ));
    hex(&hash.finalize())
}

/// Keep the preparations of a book, every version of them, and say what is new, changed and gone.
pub(super) fn keep(
    db: &Transaction<'_>,
    book_id: i64,
    book: &Book,
    at: Option<&When>,
    added: &mut Added,
) -> rusqlite::Result<()> {
    let mut kept = HashSet::new();
    for (position, preparation) in book.preparations().enumerate() {
        kept.insert(key(&preparation.name));
        let standing = keep_one(db, book_id, position, preparation, at)?;
        added.note(preparation.name.clone(), standing);
    }
    added
        .removed
        .extend(PREPARATIONS.remove_others(db, book_id, &kept, at)?);
    Ok(())
}

pub(super) fn keep_one(
    db: &Connection,
    book: i64,
    position: usize,
    preparation: &Drink,
    at: Option<&When>,
) -> rusqlite::Result<Kept> {
    let (id, version, written, kept) = match PREPARATIONS.stand(db, book, position, preparation)? {
        Standing::Stands(kept) => return Ok(kept),
        Standing::Anew {
            id,
            version,
            written,
            kept,
        } => (id, version, written, kept),
    };
    db.prepare_cached(
        "INSERT INTO preparation_version (preparation_id, version, spec_text, written_text, added_at, id)
         VALUES (?1, ?2, ?3, ?4, nullif(?5, ''), ?6)",
    )?
    .execute(params![
        id,
        version,
        preparation.text,
        written,
        when_text(at),
        fresh_id(db, "preparation_version")?
    ])?;
    Ok(kept)
}

fn save(db: &Connection, id: i64, fingerprint: &str, made: &Made) -> rusqlite::Result<()> {
    let warnings: Vec<String> = made.warnings.iter().map(ToString::to_string).collect();
    db.prepare_cached(
        "INSERT INTO preparation_result (preparation_id, fingerprint, yield_ml, yield_g, yield_measured, abv_pct, sugar_g_per_100g,
             sugar_g_per_l, acid_g_per_l, density_g_per_ml, keeps, keeps_hours, carbonated, allergens_eu, allergens_us, cautions, warnings,
             keeps_as, detail)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19)",
    )?
    .execute(params![
        id,
        fingerprint,
        made.yield_ml,
        made.yield_g,
        made.measured,
        made.abv_pct(),
        made.brix(),
        made.sugar_g_per_l(),
        made.acid_g_per_l(),
        made.liquid.density_g_per_ml(),
        made.keeps.as_ref().map(|k| &k.words),
        made.keeps.as_ref().map(|k| k.hours.to_f64()),
        made.ingredient.carbonated,
        made.ingredient.allergens_eu.written(),
        made.ingredient.allergens_us.written(),
        made.cautions.join("\n"),
        warnings.join("\n"),
        made.keeps_as,
        as_json(&made.warnings)?,
    ])?;
    let mut insert = db.prepare_cached(
        "INSERT INTO preparation_part (preparation_id, position, ingredient, ingredient_key, written, volume_ml, mass_g)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?;
    for part in &made.parts {
        insert.execute(params![
            id,
            place(part.position),
            part.ingredient,
            key(&part.ingredient),
            part.written,
            part.volume_ml,
            part.mass_g
        ])?;
    }
    Ok(())
}
