//! Another spec for one drink of a book: a new version, the rest of the book as it is.

use rusqlite::{OptionalExtension, Transaction, params};

use super::books::keep_drink;
use super::{House, StoreError};
use crate::computed::ComputedDrink;
use crate::names::key;
use crate::resolve::resolve;
use crate::spec::{Drink, Fault, Source, Unplaced, read_under};
use crate::tables::When;

/// What keeping another spec of a drink did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Amended {
    /// The drink.
    pub drink: String,
    /// Its book.
    pub book: String,
    /// The other lists on which the same drink stands: it is changed there too.
    pub also_on: Vec<String>,
    /// The version that is poured now.
    pub version: i64,
    /// The version it was made from.
    pub from_version: i64,
}

impl House {
    /// Keep `text`, the section of one drink, as a new version of the spec of `worked`: read, resolved and kept as
    /// a book is. Every fault of the text, or what it did.
    ///
    /// # Errors
    /// When the file cannot be written, or another version has been kept since `worked` was read.
    pub fn amend(
        &mut self,
        worked: &ComputedDrink,
        text: &str,
    ) -> Result<Result<Amended, Vec<Fault>>, StoreError> {
        let all = self.amend_all(&[(worked, text)])?;
        Ok(all.and_then(|amended| amended.into_iter().next().ok_or_else(Vec::new)))
    }

    /// The same of several drinks in one transaction: all of them, or none.
    ///
    /// # Errors
    /// When the file cannot be written, or another version of one has been kept since it was read.
    pub fn amend_all(
        &mut self,
        changes: &[(&ComputedDrink, &str)],
    ) -> Result<Result<Vec<Amended>, Vec<Fault>>, StoreError> {
        let (mut drinks, mut faults) = (Vec::new(), Vec::new());
        for (worked, text) in changes {
            match read_amended(worked, text) {
                Ok(drink) => drinks.push((*worked, drink)),
                Err(wrong) => faults.extend(wrong),
            }
        }
        if !faults.is_empty() {
            return Ok(Err(faults));
        }
        let fail = self.fail();
        let changed: Vec<StoreError> = drinks
            .iter()
            .map(|(worked, _)| {
                self.content(format!(
                    "{} of {} has changed since it was read; nothing was stored, try again",
                    worked.name(),
                    worked.found_in.book
                ))
            })
            .collect();
        let transaction = self.begin_keeping()?;
        let at = transaction.house.now();
        let mut all = Vec::new();
        for ((worked, drink), changed) in drinks.into_iter().zip(changed) {
            let keep =
                |book: &str| keep_amended(&transaction, worked, book, drink.clone(), at).map_err(&fail);
            // It is one drink: changed on every list that it stands on, or on none.
            let mut amended = keep(&worked.found_in.book)?;
            for book in &worked.found_in.also_on {
                amended = match keep(book)? {
                    Some(_) => amended,
                    None => None,
                };
            }
            all.push(amended.ok_or(changed)?);
        }
        let told: Vec<String> = all
            .iter()
            .map(|a: &Amended| format!("\"{}\" (version {})", a.drink, a.version))
            .collect();
        transaction.commit(&format!("change {}", told.join("; ")))?;
        Ok(Ok(all))
    }
}

impl House {
    /// What `worked` would be if its spec were `text`, as the house pours and judges: nothing is kept. Every fault of the
    /// text, or the drink.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn if_it_were(
        &self,
        worked: &ComputedDrink,
        text: &str,
    ) -> Result<Result<ComputedDrink, Vec<Fault>>, StoreError> {
        if let Err(faults) = read_amended(worked, text) {
            return Ok(Err(faults));
        }
        let shared = self.shared()?;
        let source = Source::new(worked.found_in.file.clone(), text);
        Ok(ComputedDrink::of(
            source,
            worked.found_in.clone(),
            worked.context.clone(),
            shared.ranges(),
            shared.own_melt(),
        ))
    }
}

/// The drink that a text holds, with every name and amount in it told.
fn read_amended(worked: &ComputedDrink, text: &str) -> Result<Drink, Vec<Fault>> {
    let source = Source::new(worked.found_in.file.clone(), text);
    let mut reading = read_under(&source, &worked.context.settings);
    let drink = reading.book.take_drink();
    let Some(drink) = drink.filter(|_| reading.faults.is_empty()) else {
        if reading.faults.is_empty() {
            reading
                .faults
                .push(Unplaced::reject(0..0, "no drink to keep").at(&source));
        }
        return Err(reading.faults);
    };
    // Its name is the book's: another one is another drink.
    if key(&drink.name) != key(worked.name()) {
        let message = format!(
            "the name `{}` for {}; expected the spec under its own name",
            drink.name,
            worked.name()
        );
        return Err(vec![Unplaced::reject(drink.span, message).at(&source)]);
    }
    resolve(&drink, &worked.context.stock, &worked.context.settings, &source).map(|_| drink)
}

/// Keep a drink in the place of `worked`; `None` where another version has been kept since that was read.
fn keep_amended(
    transaction: &Transaction<'_>,
    worked: &ComputedDrink,
    book: &str,
    mut drink: Drink,
    at: Option<&When>,
) -> rusqlite::Result<Option<Amended>> {
    let name = worked.name();
    let found: Option<(i64, i64, String, i64, i64, String)> = transaction
        .query_row(
            "SELECT book.id AS book_id, drink.position, drink.name, drink.line, max(spec_version.version) AS version, spec_version.spec_text
             FROM drink JOIN book ON book.id = drink.book_id JOIN spec_version ON spec_version.drink_id = drink.id
             WHERE book.title = ?1 AND drink.name_key = ?2 AND drink.removed_at IS NULL
             GROUP BY drink.id",
            params![book, key(name)],
            |row| {
                Ok((
                    row.get("book_id")?,
                    row.get("position")?,
                    row.get("name")?,
                    row.get("line")?,
                    row.get("version")?,
                    row.get("spec_text")?,
                ))
            },
        )
        .optional()?;
    let Some((book_id, position, stored_name, line, version, text)) = found else {
        return Ok(None);
    };
    // Each list counts its own versions.
    let stands = match book == worked.found_in.book {
        true => version == worked.found_in.version,
        false => text == worked.source.text,
    };
    if !stands {
        return Ok(None);
    }
    // Its name and its place in the book stay as the book has them.
    drink.name = stored_name;
    drink.line = usize::try_from(line).unwrap_or_default();
    let position = usize::try_from(position).unwrap_or_default();
    keep_drink(transaction, book_id, position, &drink, at)?;
    let now: i64 = transaction.query_row(
        "SELECT max(version) FROM spec_version JOIN drink ON drink.id = drink_id WHERE book_id = ?1 AND name_key = ?2",
        params![book_id, key(name)],
        |row| row.get(0),
    )?;
    Ok(Some(Amended {
        drink: drink.name,
        book: book.to_owned(),
        also_on: worked.found_in.also_on.clone(),
        version: now,
        from_version: version,
    }))
}
