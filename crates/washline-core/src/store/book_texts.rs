//! Books of the house as they leave it: the text as it was added, brought up to what the house pours now.

use std::collections::HashMap;

use rusqlite::{Connection, OptionalExtension, params};

use super::{House, StoreError};
use crate::exchange::Shelved;
use crate::names::key;
use crate::spec::{Settings, Source, read_under};

/// The sections of a book that have versions in the house: folded name and text, in order.
type Current = Vec<(String, String)>;

impl House {
    /// The titles of the books, in the order in which they were first added.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn titles(&self) -> Result<Vec<String>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached("SELECT title FROM book WHERE removed_at IS NULL ORDER BY id")
            .map_err(&fail)?;
        let rows = select.query_map([], |row| row.get("title")).map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    /// The book of that title as it leaves the house: the text that was added, to the byte, where every drink is
    /// still what it was; a drink that has changed since stands there as it is now. `None` where there is none.
    ///
    /// # Errors
    /// When the file cannot be read, or the book was kept by a program that did not keep its text and defines
    /// ingredients of its own.
    pub fn shelved(&self, title: &str) -> Result<Option<Shelved>, StoreError> {
        if self.titles()?.iter().any(|known| key(known) == key(title)) {
            self.shelved_ever(title)
        } else {
            Ok(None)
        }
    }

    /// The same of a book that may have been taken out of the house: then nothing stands in it.
    pub(super) fn shelved_ever(&self, title: &str) -> Result<Option<Shelved>, StoreError> {
        let fail = self.fail();
        let found: Option<(i64, String, String, String)> = self
            .db
            .prepare_cached("SELECT id, title, file, opening_text FROM book WHERE title_key = ?1")
            .map_err(&fail)?
            .query_row([key(title)], |row| {
                Ok((
                    row.get("id")?,
                    row.get("title")?,
                    row.get("file")?,
                    row.get("opening_text")?,
                ))
            })
            .optional()
            .map_err(&fail)?;
        let Some((book, title, file, opening)) = found else {
            return Ok(None);
        };
        let settings = self.settings()?;
        let current = self.current_sections(book)?;
        let text = match self.kept_text(book)? {
            Some(text) => brought_up(&Source::new(file.clone(), text), &opening, &current, &settings),
            None if self.defines(book)? => {
                return Err(self.content(format!(
                    "the book `{title}` was kept by an older program, without the text of the ingredients it defines: add its file once more"
                )));
            }
            None => bound(&opening, &current),
        };
        let book = read_under(&Source::new(file, text.clone()), &settings).book;
        Ok(Some(Shelved { title, text, book }))
    }

    /// The text of a book as it was last added.
    pub(super) fn kept_text(&self, book: i64) -> Result<Option<String>, StoreError> {
        self.db
            .prepare_cached("SELECT book_text FROM book_text WHERE book_id = ?1")
            .map_err(self.fail())?
            .query_row([book], |row| row.get(0))
            .optional()
            .map_err(self.fail())
    }

    /// The drinks and preparations of a book as they are now, in order.
    fn current_sections(&self, book: i64) -> Result<Current, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(
                "SELECT name_key, spec_text FROM (
                     SELECT p.name_key, v.spec_text, 0 AS sort, p.position FROM preparation p JOIN preparation_version v ON v.preparation_id = p.id
                     WHERE p.book_id = ?1 AND p.removed_at IS NULL
                       AND v.version = (SELECT max(version) FROM preparation_version w WHERE w.preparation_id = p.id)
                     UNION ALL
                     SELECT drink_key, spec_text, 1, drink_position FROM current_spec WHERE book_id = ?1)
                 ORDER BY sort, position",
            )
            .map_err(&fail)?;
        let rows = select
            .query_map([book], |row| Ok((row.get("name_key")?, row.get("spec_text")?)))
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    fn defines(&self, book: i64) -> Result<bool, StoreError> {
        self.db
            .query_row(
                "SELECT EXISTS (SELECT 1 FROM ingredient WHERE book_id = ?1)",
                [book],
                |row| row.get(0),
            )
            .map_err(self.fail())
    }
}

/// Keep the text of a book as it is added.
pub(super) fn keep(db: &Connection, book: i64, text: &str) -> rusqlite::Result<()> {
    db.prepare_cached(
        "INSERT INTO book_text (book_id, book_text) VALUES (?1, ?2)
         ON CONFLICT DO UPDATE SET book_text = excluded.book_text WHERE book_text <> excluded.book_text",
    )?
    .execute(params![book, text])?;
    Ok(())
}

/// A section of a text.
pub(super) struct Piece {
    /// Its folded name.
    pub key: String,
    /// As it stands, heading and all, to the next one.
    pub raw: String,
    /// The same as it is kept in the house; `None` of an ingredient given by its figures, which has no versions.
    pub spec: Option<String>,
}

/// A text cut into what stands before the first section, and the sections. What does not read (any more) belongs to
/// the section before it.
pub(super) fn pieces(source: &Source, settings: &Settings) -> (String, Vec<Piece>) {
    use crate::spec::Section;
    let reading = read_under(source, settings);
    let mut starts: Vec<(usize, String, Option<String>)> = reading
        .book
        .sections
        .iter()
        .map(|section| match section {
            Section::Drink(d) | Section::Preparation(d) => (d.span.start, key(&d.name), Some(d.text.clone())),
            Section::Ingredient(d) => (d.span.start, key(&d.name), None),
        })
        .chain(
            reading
                .faulty
                .iter()
                .map(|d| (d.span.start, key(&d.name), Some(d.text.clone()))),
        )
        .collect();
    starts.sort();
    // A heading stands at the beginning of its line.
    for (start, ..) in &mut starts {
        *start = source.text[..*start].rfind(['\n', '\r']).map_or(0, |at| at + 1);
    }
    let ends: Vec<usize> = starts
        .iter()
        .skip(1)
        .map(|(start, ..)| *start)
        .chain([source.text.len()])
        .collect();
    let opening = source.text[..starts.first().map_or(source.text.len(), |(s, ..)| *s)].to_owned();
    let pieces = starts
        .into_iter()
        .zip(ends)
        .map(|((start, key, spec), end)| Piece {
            key,
            raw: source.text[start..end].to_owned(),
            spec,
        })
        .collect();
    (opening, pieces)
}

/// The kept text with every section as it is now: what has changed in its new words, what is gone left out, what
/// is new at the end.
fn brought_up(source: &Source, opening: &str, current: &Current, settings: &Settings) -> String {
    let (kept_opening, pieces) = pieces(source, settings);
    let mut left: HashMap<&str, &str> = current.iter().map(|(k, t)| (k.as_str(), t.as_str())).collect();
    let same_opening = read_under(source, settings).book.opening_text == opening;
    let mut text = if same_opening {
        kept_opening
    } else {
        opening.to_owned()
    };
    let mut as_it_was = same_opening;
    for piece in &pieces {
        let Some(spec) = &piece.spec else {
            text.push_str(&piece.raw);
            continue;
        };
        match left.remove(piece.key.as_str()) {
            Some(now) if now == spec => text.push_str(&piece.raw),
            Some(now) => {
                as_it_was = false;
                text.push_str(now);
                text.push('\n');
            }
            None => as_it_was = false,
        }
    }
    if as_it_was && left.is_empty() {
        return source.text.clone();
    }
    let more: Current = current
        .iter()
        .filter(|(key, _)| left.contains_key(key.as_str()))
        .cloned()
        .collect();
    if more.is_empty() {
        text
    } else {
        bound(&text, &more)
    }
}

/// Sections under an opening, an empty line before each.
fn bound(opening: &str, sections: &Current) -> String {
    let mut text = opening.trim_end().to_owned();
    for (_, section) in sections {
        if !text.is_empty() {
            text.push_str("\n\n");
        }
        text.push_str(section.trim_end());
    }
    text.push('\n');
    text
}
