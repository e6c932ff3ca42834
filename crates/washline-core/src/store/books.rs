//! Books in the house: added whole or not at all, with every version of every spec kept.

use std::collections::{HashMap, HashSet};

use rusqlite::{Connection, OptionalExtension, Transaction, params};

use super::journal::fresh_id;
use super::lists::{ALSO_ON, ONCE, lists};
use super::versions::{self, Kept, Standing, place};
use super::{Added, House, StoreError, book_texts, ingredients, preparations, prices};
use crate::computed::{Context, context, each_drink, read_books};
use crate::exchange::second_book;
use crate::measure::Currency;
use crate::names::key;
use crate::spec::{self, Book, Drink, Fault, PourAmount, Source, Step};
use crate::tables::{When, when_text};

/// A drink of the house, for a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// Its name.
    pub name: String,
    /// Its book.
    pub book: String,
    /// The other lists on which the same drink stands.
    pub also_on: Vec<String>,
    /// Which version of its spec is poured.
    pub version: i64,
}

impl House {
    /// Add a book, all of it or nothing: every fault of it, or what is new, changed and unchanged.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn add(&mut self, source: &Source) -> Result<Result<Added, Vec<Fault>>, StoreError> {
        self.add_books(std::slice::from_ref(source))
            .map(|done| done.map(|mut added| added.remove(0)))
    }

    /// Add several books, all of them or nothing.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn add_books(&mut self, sources: &[Source]) -> Result<Result<Vec<Added>, Vec<Fault>>, StoreError> {
        let (books, mut faults) = self.read(sources)?;
        let mut titles = HashSet::new();
        for (book, source) in books.iter().zip(sources) {
            if !titles.insert(key(&book.title)) {
                faults.push(spec::Unplaced::reject(0..0, second_book(&book.title)).at(source));
            }
        }
        if !faults.is_empty() {
            return Ok(Err(faults));
        }
        let fail = self.fail();
        let settings = self.settings()?;
        let transaction = self.begin_keeping()?;
        let at = transaction.house.now();
        let added = books
            .into_iter()
            .zip(sources)
            .map(|(book, source)| keep(&transaction, &book, source, &settings, at))
            .collect::<rusqlite::Result<Vec<_>>>()
            .map_err(&fail)?;
        let told: Vec<String> = added.iter().map(Added::in_short).collect();
        transaction.commit(&format!("add {}", told.join("; ")))?;
        Ok(Ok(added))
    }

    /// Read books against the stock of this house. Drinks with a fault are left out of the books.
    pub(super) fn read(&self, sources: &[Source]) -> Result<(Vec<Book>, Vec<Fault>), StoreError> {
        Ok(read_books(sources, &self.settings()?, &self.stock(None)?))
    }

    /// Every drink that is poured, by book and place in it; one that stands on several lists once.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn list(&self) -> Result<Vec<Listed>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT c.drink, c.book, c.version, {ALSO_ON} AS also_on FROM current_spec c WHERE {ONCE} ORDER BY c.book, c.drink_position"
            ))
            .map_err(&fail)?;
        let titles = self.titles_by_id()?;
        let rows = select
            .query_map([], |row| {
                Ok(Listed {
                    name: row.get("drink")?,
                    book: row.get("book")?,
                    also_on: lists(row.get("also_on")?)
                        .iter()
                        .filter_map(|id| titles.get(id).cloned())
                        .collect(),
                    version: row.get("version")?,
                })
            })
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    /// The spec of a drink of a book as it was typed; `None` where the house has none of that name.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn spec_text(&self, name: &str, book: &str) -> Result<Option<String>, StoreError> {
        self.db
            .query_row(
                "SELECT spec_text FROM current_spec WHERE drink_key = ?1 AND book = ?2",
                [&key(name), book],
                |row| row.get(0),
            )
            .optional()
            .map_err(self.fail())
    }

    /// The stock of one book with its settings, for working its drinks out.
    pub(super) fn book_context(&self, book: i64) -> Result<Context, StoreError> {
        self.book_context_with(book, self.preparation_texts(book)?)
    }

    /// The same with other texts of its preparations, each with the line of its heading.
    pub(super) fn book_context_with(
        &self,
        book: i64,
        preparations: Vec<(Source, usize)>,
    ) -> Result<Context, StoreError> {
        let json: String = self
            .db
            .query_row("SELECT settings_json FROM book WHERE id = ?1", [book], |row| {
                row.get(0)
            })
            .map_err(self.fail())?;
        let own: spec::Settings = serde_json::from_str(&json).map_err(|e| self.content(e.to_string()))?;
        let settings = own.over(&self.settings()?);
        Ok(context(self.stock(Some(book))?, settings, preparations))
    }
}

/// Keep a book that was read from `source` under the settings of the house: of its drinks the outlines are at hand, and
/// each is read again as it is kept.
pub(super) fn keep(
    db: &Transaction<'_>,
    book: &Book,
    source: &Source,
    house: &spec::Settings,
    at: Option<&When>,
) -> rusqlite::Result<Added> {
    let title = book.title.clone();
    let settings = serde_json::to_string(&book.settings)
        .map_err(|e| rusqlite::Error::ToSqlConversionFailure(Box::new(e)))?;
    db.prepare_cached(
        "INSERT INTO book (title, title_key, file, opening_text, settings_json, added_at, id) VALUES (?1, ?2, ?3, ?4, ?5, nullif(?6, ''), ?7)
         ON CONFLICT (title_key) DO UPDATE SET title = excluded.title, file = excluded.file, opening_text = excluded.opening_text, settings_json = excluded.settings_json,
           removed_at = NULL
         WHERE (title, file, opening_text, settings_json, removed_at) IS NOT (excluded.title, excluded.file, excluded.opening_text, excluded.settings_json, NULL)",
    )?
    .execute(params![
        title,
        key(&title),
        source.file,
        book.opening_text,
        settings,
        when_text(at),
        fresh_id(db, "book")?
    ])?;
    let book_id: i64 = db.query_row("SELECT id FROM book WHERE title_key = ?1", [key(&title)], |row| {
        row.get(0)
    })?;
    ingredients::keep_of_book(db, book_id, book.ingredients())?;
    prices::keep_of_book(db, book_id, book.definitions().filter_map(|d| d.price.as_ref()))?;
    let mut added = Added {
        book: title,
        ..Added::default()
    };
    let mut kept = HashSet::new();
    let places: HashMap<usize, usize> = book
        .drinks()
        .enumerate()
        .map(|(n, d)| (d.span.start, n))
        .collect();
    let mut done = Ok(());
    each_drink(source, house, |drink, _| {
        let Some(position) = places.get(&drink.span.start) else {
            return;
        };
        if done.is_err() {
            return;
        }
        kept.insert(key(&drink.name));
        match keep_drink(db, book_id, *position, &drink, at) {
            Ok(kept) => added.note(drink.name, kept),
            Err(error) => done = Err(error),
        }
    });
    done?;
    preparations::keep(db, book_id, book, at, &mut added)?;
    book_texts::keep(db, book_id, &source.text)?;
    added
        .removed
        .extend(versions::DRINKS.remove_others(db, book_id, &kept, at)?);
    Ok(added)
}

pub(super) fn keep_drink(
    db: &Connection,
    book: i64,
    position: usize,
    drink: &Drink,
    at: Option<&When>,
) -> rusqlite::Result<Kept> {
    let (id, version, written, kept) = match versions::DRINKS.stand(db, book, position, drink)? {
        Standing::Stands(kept) => return Ok(kept),
        Standing::Anew {
            id,
            version,
            written,
            kept,
        } => (id, version, written, kept),
    };
    let garnishes: Vec<&str> = drink.garnishes().collect();
    let spec_version = fresh_id(db, "spec_version")?;
    db.prepare_cached(
        "INSERT INTO spec_version (drink_id, version, spec_text, written_text, glass, garnish, price, price_currency, added_at, id)
         VALUES (?1, ?2, ?3, ?4, ?5, nullif(?6, ''), ?7, ?8, nullif(?9, ''), ?10)",
    )?
    .execute(params![
        id,
        version,
        drink.text,
        written,
        drink.glass.as_ref().map(|g| &g.name),
        garnishes.join("; "),
        drink.price.as_ref().map(|p| p.amount.to_string()),
        drink.price.as_ref().and_then(|p| p.currency).map(Currency::code),
        when_text(at),
        spec_version,
    ])?;
    let mut insert = db.prepare_cached(
        "INSERT INTO step (spec_version_id, position, sort, step_text, amount, unit, ingredient) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?;
    for (position, line) in drink.lines().enumerate() {
        let (sort, amount, unit, ingredient) = match &line.step {
            Step::Pour(pour) => {
                let (amount, unit) = match &pour.measure {
                    PourAmount::Of(extent, unit) => (
                        Some(extent.nominal.to_string()),
                        unit.map(|u| u.facts().written.0),
                    ),
                    PourAmount::Open(unit) => (None, unit.map(|u| u.facts().written.0)),
                    PourAmount::Fill | PourAmount::Usual => (None, None),
                };
                ("pour", amount, unit, pour.choices.first().map(|n| n.name.clone()))
            }
            Step::Work(_) => ("work", None, None, None),
            Step::Ice(_) => ("ice", None, None, None),
            Step::Strain { .. } => ("strain", None, None, None),
            Step::Unstrained => ("unstrained", None, None, None),
            Step::OverIce(_) => ("over_ice", None, None, None),
            Step::Neat => ("neat", None, None, None),
            Step::Rest(_) => ("rest", None, None, None),
            Step::Garnish(_) => ("garnish", None, None, None),
            Step::Prepare(_) => ("prepare", None, None, None),
        };
        insert.execute(params![
            spec_version,
            place(position),
            sort,
            line.step.to_string(),
            amount,
            unit,
            ingredient
        ])?;
    }
    Ok(kept)
}
