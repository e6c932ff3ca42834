//! Rows that are at odds with themselves: a text that is none, a number without an end, a name that does not fold to its
//! key, a version that is missing, a book whose rows are not what its text says.

use std::collections::BTreeMap;

use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension};

use super::schema::{self, quoted};
use super::{House, StoreError};
use crate::names::key;
use crate::spec::{Source, read_under};

/// Texts and numbers of every row of ours.
pub(super) fn cells(db: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut all = Vec::new();
    for (table, own) in schema::all() {
        let columns: Vec<String> = own.columns.iter().map(|c| quoted(c)).collect();
        let mut select =
            db.prepare_cached(&format!("SELECT {} FROM {}", columns.join(", "), quoted(table)))?;
        let mut rows = select.query([])?;
        let mut number = 0_usize;
        while let Some(row) = rows.next()? {
            number += 1;
            for (i, column) in own.columns.iter().enumerate() {
                let wrong = match row.get_ref(i)? {
                    ValueRef::Text(bytes) if std::str::from_utf8(bytes).is_err() => "is no text",
                    ValueRef::Text(bytes) if bytes.contains(&0) => "has a NUL in it",
                    ValueRef::Real(x) if !x.is_finite() => "is no finite number",
                    ValueRef::Blob(_) => "is neither text nor number",
                    _ => continue,
                };
                all.push(format!("{table}, row {number}: {column} {wrong}"));
            }
        }
    }
    Ok(all)
}

/// Names and the keys they are found by.
pub(super) fn names(db: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut all = Vec::new();
    for (table, name, name_key) in [
        ("book", "title", "title_key"),
        ("drink", "name", "name_key"),
        ("preparation", "name", "name_key"),
        ("ingredient", "name", "name_key"),
        ("price", "name", "name_key"),
    ] {
        let mut select = db.prepare_cached(&format!(
            "SELECT {}, {} FROM {}",
            quoted(name),
            quoted(name_key),
            quoted(table)
        ))?;
        let mut rows = select.query([])?;
        while let Some(row) = rows.next()? {
            let (name, found_by): (String, String) = (row.get(0)?, row.get(1)?);
            if key(&name) != found_by {
                all.push(format!("the {table} `{name}` is found by `{found_by}`"));
            }
        }
    }
    for (table, owner, versions) in [
        ("drink", "drink_id", "spec_version"),
        ("preparation", "preparation_id", "preparation_version"),
    ] {
        let mut select = db.prepare_cached(&format!(
            "SELECT t.name, count(v.id), coalesce(max(v.version), 0) FROM {} t LEFT JOIN {} v ON v.{} = t.id
             GROUP BY t.id HAVING count(v.id) = 0 OR count(v.id) <> max(v.version)",
            quoted(table),
            quoted(versions),
            quoted(owner)
        ))?;
        let mut rows = select.query([])?;
        while let Some(row) = rows.next()? {
            let (name, count, last): (String, i64, i64) = (row.get(0)?, row.get(1)?, row.get(2)?);
            all.push(format!(
                "the {table} `{name}` has {count} versions, and the last is number {last}"
            ));
        }
    }
    Ok(all)
}

/// A section as it stands in a book: its name, place and line.
type Places = BTreeMap<String, (String, i64, i64)>;

impl House {
    /// What the rows of a book say other than its text.
    pub(super) fn books_at_odds(&self) -> Result<Vec<String>, StoreError> {
        let fail = self.fail();
        let settings = self.settings()?;
        let mut all = Vec::new();
        for title in self.titles()? {
            let found: Option<(i64, String, String)> = self
                .db
                .prepare_cached("SELECT id, file, opening_text FROM book WHERE title = ?1")
                .and_then(|mut select| {
                    select
                        .query_row([&title], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))
                        .optional()
                })
                .map_err(&fail)?;
            let Some((id, file, opening)) = found else {
                continue;
            };
            // An older program kept no text.
            let Some(text) = self.kept_text(id)? else { continue };
            let reading = read_under(&Source::new(file, text), &settings);
            if !reading.faults.is_empty() {
                // Told where its drinks are read.
                continue;
            }
            let book = reading.book;
            if book.opening_text != opening {
                all.push(format!("{title}: the opening is another than that of its text"));
            }
            let place = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
            let drinks = book.drinks().enumerate();
            let drinks: Places = drinks
                .map(|(i, d)| (key(&d.name), (d.name.clone(), place(i), place(d.line))))
                .collect();
            let made = book.preparations().enumerate();
            let made: Places = made
                .map(|(i, d)| (key(&d.name), (d.name.clone(), place(i), place(d.line))))
                .collect();
            for (table, written) in [("drink", drinks), ("preparation", made)] {
                let stored = self.places(table, id).map_err(&fail)?;
                for (key, at) in &written {
                    match stored.get(key) {
                        None => all.push(format!("{title}: {} stands in the text and not among the {table}s", at.0)),
                        Some(found) if found != at => all.push(format!(
                            "{title}: {} is said to be `{}`, number {}, line {}; by the text it is number {}, line {}",
                            at.0, found.0, found.1, found.2, at.1, at.2
                        )),
                        Some(_) => {}
                    }
                }
                for (key, at) in &stored {
                    if !written.contains_key(key) {
                        all.push(format!(
                            "{title}: the {table} {} does not stand in the text",
                            at.0
                        ));
                    }
                }
            }
        }
        all.extend(self.specs_at_odds()?);
        Ok(all)
    }

    fn places(&self, table: &str, book: i64) -> rusqlite::Result<Places> {
        let mut select = self.db.prepare_cached(&format!(
            "SELECT name_key, name, position, line FROM {} WHERE book_id = ?1 AND removed_at IS NULL",
            quoted(table)
        ))?;
        let rows = select.query_map([book], |r| Ok((r.get(0)?, (r.get(1)?, r.get(2)?, r.get(3)?))))?;
        rows.collect()
    }

    /// What a spec says of its glass, garnish and price beside what is stored of it.
    fn specs_at_odds(&self) -> Result<Vec<String>, StoreError> {
        let fail = self.fail();
        let settings = self.settings()?;
        let mut select = self
            .db
            .prepare_cached(
                "SELECT s.spec_text, d.name, s.glass, s.garnish, s.price, s.price_currency
                 FROM spec_version s JOIN current_spec c ON c.id = s.id JOIN drink d ON d.id = s.drink_id",
            )
            .map_err(&fail)?;
        let mut rows = select.query([]).map_err(&fail)?;
        let mut all = Vec::new();
        while let Some(row) = rows.next().map_err(&fail)? {
            let text: String = row.get(0).map_err(&fail)?;
            let name: String = row.get(1).map_err(&fail)?;
            let stored: [Option<String>; 4] = [
                row.get(2).map_err(&fail)?,
                row.get(3).map_err(&fail)?,
                row.get(4).map_err(&fail)?,
                row.get(5).map_err(&fail)?,
            ];
            let mut reading = read_under(&Source::new("", text), &settings);
            let Some(drink) = reading.book.take_drink() else {
                continue;
            };
            let garnishes: Vec<&str> = drink.garnishes().collect();
            let written = [
                drink.glass.as_ref().map(|g| g.name.clone()),
                Some(garnishes.join("; ")).filter(|g| !g.is_empty()),
                drink.price.as_ref().map(|p| p.amount.to_string()),
                drink
                    .price
                    .as_ref()
                    .and_then(|p| p.currency)
                    .map(|c| c.code().to_owned()),
            ];
            if drink.name != name {
                all.push(format!("`{name}` is called `{}` in its spec", drink.name));
            }
            for (what, (stored, written)) in ["glass", "garnish", "price", "currency"]
                .iter()
                .zip(stored.iter().zip(&written))
            {
                if stored != written {
                    all.push(format!(
                        "{name}: the {what} is said to be `{}`, by its spec it is `{}`",
                        stored.as_deref().unwrap_or("none"),
                        written.as_deref().unwrap_or("none")
                    ));
                }
            }
        }
        Ok(all)
    }
}
