//! What is fresh, told without working anything out: changes leave their mark in the file (`stale`) as they are made,
//! and so does the program whose model and tables the results are of (`worked_by`).

use std::collections::HashSet;
use std::sync::LazyLock;

use rusqlite::{OptionalExtension, Transaction, TransactionBehavior};
use sha2::{Digest, Sha256};

use super::current::Current;
use super::marks::{MODEL, as_json, hex};
use super::{House, StoreError};
use crate::balance::Ranges;
use crate::computed::moved;
use crate::ingredient::{Convention, LIBRARY_TEXTS};
use crate::names::key;
use crate::spec::Fault;

/// What bringing the results up to date did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Refreshed {
    /// Drinks worked out anew, as (drink, book).
    pub recomputed: Vec<(String, String)>,
    /// Drinks that can no longer be worked out, and why. They have no result until that is mended.
    pub broken: Vec<Fault>,
}

/// A mark of all that results depend on besides the house: the model, the library, the tables of the program.
static MARK: LazyLock<String> = LazyLock::new(|| {
    let mut hash = Sha256::new();
    hash.update(LIBRARY_MARK.as_bytes());
    for convention in [Convention::Handbook, Convention::Assay] {
        hash.update(serde_json::to_vec(&Ranges::published(convention)).unwrap_or_default());
    }
    for text in crate::tables::TEXTS
        .iter()
        .chain(&crate::balance::published::TEXTS)
    {
        hash.update(text);
    }
    hex(&hash.finalize())
});

/// A mark of the library's content: other texts, or another reading of them, which is another model, make another mark.
pub(super) static LIBRARY_MARK: LazyLock<String> = LazyLock::new(|| {
    let mut hash = Sha256::new();
    hash.update(MODEL);
    for text in LIBRARY_TEXTS {
        hash.update(text);
    }
    hex(&hash.finalize())
});

/// What is not worked out yet.
#[derive(Debug, Default)]
pub(super) struct Stale {
    everything: bool,
    books: HashSet<String>,
    drinks: HashSet<String>,
    structures: HashSet<String>,
    /// Folded names of ingredients of the house, aliases among them.
    names: HashSet<String>,
    /// Beginnings of the words of those names: what may lead there.
    beginnings: HashSet<String>,
    /// Results that pour one of them.
    pouring: HashSet<i64>,
}

/// How a word begins: `limes` may lead to a lime, `rums` to a rum and `jellies` to a jelly.
fn beginning(word: &str) -> String {
    word.trim_end_matches('s')
        .chars()
        .map(|c| if c == 'y' { 'i' } else { c })
        .take(3)
        .collect()
}

fn beginnings(text: &str) -> impl Iterator<Item = String> {
    let folded = key(text);
    let words: Vec<String> = folded
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| w.chars().any(char::is_alphabetic))
        .map(beginning)
        .collect();
    words.into_iter()
}

impl Stale {
    /// Everything, whatever the marks say.
    pub fn everything() -> Stale {
        Stale {
            everything: true,
            ..Stale::default()
        }
    }

    fn put(&mut self, scope: &str, what: String) {
        match scope {
            "book" => {
                self.books.insert(what);
            }
            "drink" => {
                self.drinks.insert(what);
            }
            "structure" => {
                self.structures.insert(what);
            }
            "ingredient" => {
                self.beginnings.extend(beginnings(&what));
                self.names.extend(what.split(';').map(key));
            }
            _ => self.everything = true,
        }
    }

    /// Whether a text may name one of the ingredients that changed.
    fn may_name(&self, text: &str) -> bool {
        !self.beginnings.is_empty() && beginnings(text).any(|word| self.beginnings.contains(&word))
    }

    /// Whether a spec may come to something else than its result, or has none.
    pub fn has(&self, current: &Current) -> bool {
        self.everything
            || current.fingerprint.is_none()
            || self.books.contains(&current.book.to_string())
            || self.drinks.contains(&current.drink.to_string())
            || current
                .structure
                .as_ref()
                .is_some_and(|s| self.structures.contains(s))
            || self.pouring.contains(&current.spec_version)
            || self.may_name(&current.text)
    }

    /// Whether a preparation of a book, of that text, may come to something else. Then so may all of the book.
    pub fn has_preparation(&mut self, book: i64, text: &str) -> bool {
        let found = self.everything || self.books.contains(&book.to_string()) || self.may_name(text);
        if found {
            self.books.insert(book.to_string());
        }
        found
    }
}

impl House {
    /// Bring every result up to date: drinks whose spec, settings, ingredients, ranges or model are other than when
    /// they were worked out, and no others. Where nothing was changed, nothing is read.
    ///
    /// # Errors
    /// When the file cannot be read or written.
    pub fn refresh(&mut self) -> Result<Refreshed, StoreError> {
        self.refresh_named(&[])?;
        let mut recomputed = self.told.take();
        let mut seen = HashSet::new();
        recomputed.retain(|drink| seen.insert(drink.clone()));
        Ok(Refreshed {
            recomputed,
            broken: self.broken()?,
        })
    }

    /// Bring what is kept of the drinks of these names up to date, of all where none is named: on which lists a drink
    /// stands is told by what is kept of it.
    pub(super) fn refresh_named(&self, keys: &[String]) -> Result<(), StoreError> {
        if self.is_fresh()? || !self.db.is_autocommit() {
            return Ok(());
        }
        self.be_sure()?;
        let fail = self.fail();
        let transaction =
            Transaction::new_unchecked(&self.db, TransactionBehavior::Immediate).map_err(&fail)?;
        // Another program may have done it while we waited.
        if let Some(stale) = self.stale()? {
            let recomputed = match keys {
                [] => self.bring_up_to_date(stale)?,
                keys => self.bring_named_up_to_date(keys, stale)?,
            };
            transaction.commit().map_err(fail)?;
            self.told.borrow_mut().extend(recomputed);
        }
        Ok(())
    }

    /// Work out what is stale of the drinks of these names, and leave everything else as it is marked.
    fn bring_named_up_to_date(
        &self,
        keys: &[String],
        mut stale: Stale,
    ) -> Result<Vec<(String, String)>, StoreError> {
        let fail = self.fail();
        self.spread_over_books(&mut stale)?;
        let keys = as_json(&keys).map_err(&fail)?;
        let named = "c.drink_key IN (SELECT value FROM json_each(?1))";
        let mut specs = self.current_where(named, "NULL", [keys])?;
        specs.retain(|spec| stale.has(spec));
        let drinks: Vec<i64> = specs.iter().map(|spec| spec.drink).collect();
        let recomputed = self.keep_results(specs, &mut self.shared()?)?;
        let mut done = self
            .db
            .prepare_cached("DELETE FROM stale WHERE scope = 'drink' AND what = CAST(?1 AS TEXT)")
            .map_err(&fail)?;
        for drink in drinks {
            done.execute([drink]).map_err(&fail)?;
        }
        Ok(recomputed)
    }

    /// Work everything out again whatever the marks say, and tell what was not as it should be.
    pub(super) fn refresh_everything(&mut self) -> Result<Refreshed, StoreError> {
        let fail = self.fail();
        let transaction =
            Transaction::new_unchecked(&self.db, TransactionBehavior::Immediate).map_err(&fail)?;
        let recomputed = self.bring_up_to_date(Stale::everything())?;
        transaction.commit().map_err(fail)?;
        Ok(Refreshed {
            recomputed,
            broken: self.broken()?,
        })
    }

    /// Whether every result is of the house as it is.
    fn is_fresh(&self) -> Result<bool, StoreError> {
        self.db
            .prepare_cached(
                "SELECT NOT EXISTS (SELECT 1 FROM stale) AND EXISTS (SELECT 1 FROM worked_by WHERE mark = ?1)",
            )
            .map_err(self.fail())?
            .query_row([&*MARK], |row| row.get(0))
            .map_err(self.fail())
    }

    /// What is not worked out yet; `None` where all is.
    pub(super) fn stale(&self) -> Result<Option<Stale>, StoreError> {
        if self.is_fresh()? {
            return Ok(None);
        }
        let fail = self.fail();
        let mark: Option<String> = self
            .db
            .query_row("SELECT mark FROM worked_by", [], |row| row.get(0))
            .optional()
            .map_err(&fail)?;
        let mut stale = Stale {
            everything: mark.as_ref() != Some(&*MARK),
            ..Stale::default()
        };
        let mut select = self
            .db
            .prepare_cached("SELECT scope, what FROM stale")
            .map_err(&fail)?;
        let mut rows = select.query([]).map_err(&fail)?;
        while let Some(row) = rows.next().map_err(&fail)? {
            let scope: String = row.get(0).map_err(&fail)?;
            stale.put(&scope, row.get(1).map_err(&fail)?);
        }
        let mut select = self
            .db
            .prepare_cached(
                "SELECT r.spec_version_id FROM pour p JOIN result r ON r.id = p.result_id WHERE p.ingredient_key = ?1",
            )
            .map_err(&fail)?;
        let mut parts = self
            .db
            .prepare_cached(
                "SELECT CAST(p.book_id AS TEXT) FROM preparation_part q JOIN preparation p ON p.id = q.preparation_id
                 WHERE q.ingredient_key = ?1",
            )
            .map_err(&fail)?;
        for name in &stale.names {
            let made_of = parts.query_map([name], |row| row.get(0)).map_err(&fail)?;
            for book in made_of {
                stale.books.insert(book.map_err(&fail)?);
            }
            let found = select.query_map([name], |row| row.get(0)).map_err(&fail)?;
            for id in found {
                stale.pouring.insert(id.map_err(&fail)?);
            }
        }
        Ok(Some(stale))
    }

    /// Work out what is stale and keep it, within the transaction that is open. Gives what came to something else, as
    /// (drink, book).
    pub(super) fn bring_up_to_date(&self, mut stale: Stale) -> Result<Vec<(String, String)>, StoreError> {
        let fail = self.fail();
        let mut shared = self.shared()?;
        self.keep_preparations(&mut stale, &mut shared)?;
        let stale = self.current()?.into_iter().filter(|c| stale.has(c)).collect();
        let recomputed = self.keep_results(stale, &mut shared)?;
        self.db
            .execute_batch("DELETE FROM stale; DELETE FROM worked_by")
            .map_err(&fail)?;
        self.db
            .execute("INSERT INTO worked_by (only, mark) VALUES (1, ?1)", [&*MARK])
            .map_err(fail)?;
        Ok(recomputed)
    }

    /// What cannot be worked out of the house as it is, and why: only that is worked out anew.
    pub(super) fn broken(&self) -> Result<Vec<Fault>, StoreError> {
        let mut shared = self.shared()?;
        let mut broken = Vec::new();
        for book in self.books_with_broken_preparations()? {
            broken.extend(self.context(book, &mut shared)?.preparations.faults.clone());
        }
        for current in self.current_where("r.fingerprint IS NULL", "NULL", [])? {
            if let Err(faults) = self.computed(&current, &mut shared)? {
                broken.extend(moved(faults, current.line));
            }
        }
        Ok(broken)
    }
}
