//! Ingredients in the house: the library's copy for readers, and the house's own.

use crate::names::Expected;
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OptionalExtension, Row, params};

use super::fresh::LIBRARY_MARK;
use super::journal::fresh_id;
use super::{House, StoreError};
use crate::ingredient::{
    AllergenList, Basis, Convention, Declaration, Ingredient, Origin, Quantity, Shape, Status, Stock, Value,
    library,
};
use crate::names::key;
use crate::tables::IngredientKind;

const SELECT: &str = "SELECT id, name, origin, kind, basis, carbonated, allergens_eu, allergens_us, groups, aliases, caution, note FROM ingredient";

impl House {
    /// Keep the copy of the reference library that readers of the file see in step with the program's.
    pub(super) fn seed_library(&mut self) -> Result<(), StoreError> {
        let fail = self.fail();
        let mark = &*LIBRARY_MARK;
        let current: Option<String> = {
            let mut found = self
                .db
                .prepare_cached("SELECT value FROM setting WHERE name = 'library'")
                .map_err(&fail)?;
            let mut rows = found.query([]).map_err(&fail)?;
            rows.next()
                .map_err(&fail)?
                .map(|r| r.get(0))
                .transpose()
                .map_err(&fail)?
        };
        if current.as_ref() == Some(mark) {
            return Ok(());
        }
        // What the triggers write down is of houses and their books: of the library they would find nothing, at half the
        // time it takes.
        let triggers = DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER;
        self.db.set_db_config(triggers, false).map_err(&fail)?;
        let seeded = self.put_library(mark);
        self.db.set_db_config(triggers, true).map_err(&fail)?;
        seeded
    }

    fn put_library(&mut self, mark: &str) -> Result<(), StoreError> {
        let fail = self.fail();
        let transaction = self.begin()?;
        // Its values first: once an ingredient is gone nothing tells that they were of the library.
        transaction
            .execute_batch(
                "DELETE FROM ingredient_value WHERE ingredient_id IN (SELECT id FROM ingredient WHERE origin = 'library');
                 DELETE FROM ingredient WHERE origin = 'library'",
            )
            .map_err(&fail)?;
        for ingredient in library().iter() {
            insert(&transaction, ingredient, None).map_err(&fail)?;
        }
        transaction
            .execute("INSERT INTO setting (name, value) VALUES ('library', ?1) ON CONFLICT DO UPDATE SET value = excluded.value", [mark])
            .map_err(&fail)?;
        transaction.commit().map_err(fail)
    }

    /// The stock a book's drinks are poured from: the library, over it the house's own ingredients,
    /// over them the book's.
    pub(super) fn stock(&self, book: Option<i64>) -> Result<Stock, StoreError> {
        let mut stock = library().clone();
        for ingredient in self.own_ingredients(book)? {
            stock.put(ingredient);
        }
        Ok(stock)
    }

    /// The stock of the house: the library, and over it the house's own ingredients.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn pantry(&self) -> Result<Stock, StoreError> {
        self.stock(None)
    }

    fn own_ingredients(&self, book: Option<i64>) -> Result<Vec<Ingredient>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "{SELECT} WHERE origin = 'house' OR book_id = ?1 ORDER BY origin DESC, id"
            ))
            .map_err(&fail)?;
        let rows = select
            .query_map([book], |row| Ok((row.get::<_, i64>("id")?, from_row(row)?)))
            .map_err(&fail)?;
        let mut own = Vec::new();
        for row in rows {
            let (id, ingredient) = row.map_err(&fail)?;
            let mut ingredient = ingredient.map_err(|why| self.content(why))?;
            ingredient.values = self.values(id, ingredient.basis)?;
            own.push(ingredient);
        }
        Ok(own)
    }

    fn values(&self, ingredient: i64, basis: Basis) -> Result<Vec<Value>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached("SELECT quantity, convention, unit, value, low, high, shape, source, status FROM ingredient_value WHERE ingredient_id = ?1")
            .map_err(&fail)?;
        let rows = select
            .query_map([ingredient], |row| {
                let text = |c: &str| row.get::<_, String>(c);
                let convention = text("convention")?;
                Ok((
                    Quantity::named(&text("quantity")?),
                    text("unit")?,
                    Shape::from_word(&text("shape")?),
                    Status::from_word(&text("status")?),
                    (!convention.is_empty())
                        .then(|| Convention::from_word(&convention))
                        .flatten(),
                    (row.get("value")?, row.get("low")?, row.get("high")?),
                    text("source")?,
                ))
            })
            .map_err(&fail)?;
        rows.map(|row| {
            let (quantity, unit, shape, status, convention, (value, low, high), source) =
                row.map_err(&fail)?;
            let (Some(quantity), Some(shape), Some(status)) = (quantity, shape, status) else {
                return Err(self.content("an ingredient value of an unknown sort"));
            };
            if unit != quantity.unit(basis) {
                return Err(self.content(format!("{} in {unit}", quantity.name())));
            }
            Ok(Value {
                quantity,
                value,
                low,
                high,
                shape,
                convention,
                source,
                status,
            })
        })
        .collect()
    }

    /// Keep an ingredient of the house's own; it stands over one of that name in the library.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn keep_ingredient(&mut self, ingredient: &Ingredient) -> Result<(), StoreError> {
        let fail = self.fail();
        let transaction = self.begin_keeping()?;
        let own = Ingredient {
            origin: Origin::House,
            ..ingredient.clone()
        };
        let known: Option<i64> = transaction
            .query_row(
                "SELECT id FROM ingredient WHERE origin = 'house' AND name_key = ?1",
                [key(&own.name)],
                |row| row.get(0),
            )
            .optional()
            .map_err(&fail)?;
        match known {
            Some(id) => put(&transaction, id, &own, None),
            None => insert(&transaction, &own, None),
        }
        .map_err(&fail)?;
        transaction
            .commit(&format!("ingredient \"{}\"", own.name))
            .map(drop)
    }
}

/// Keep the ingredients that a book defines for itself, in its order; where they are what they were, nothing is written.
pub(super) fn keep_of_book<'a>(
    db: &Connection,
    book: i64,
    ingredients: impl Iterator<Item = &'a Ingredient>,
) -> rusqlite::Result<()> {
    let own: Vec<&Ingredient> = ingredients.collect();
    let mut select = db.prepare_cached("SELECT id, name FROM ingredient WHERE book_id = ?1 ORDER BY id")?;
    let known: Vec<(i64, String)> = select
        .query_map([book], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<rusqlite::Result<_>>()?;
    // In the same order each keeps its row; the order tells whose alias stands.
    if own
        .iter()
        .map(|i| key(&i.name))
        .eq(known.iter().map(|(_, name)| key(name)))
    {
        for (ingredient, (id, _)) in own.into_iter().zip(known) {
            put(db, id, ingredient, Some(book))?;
        }
        return Ok(());
    }
    db.execute("DELETE FROM ingredient WHERE book_id = ?1", [book])?;
    for ingredient in own {
        insert(db, ingredient, Some(book))?;
    }
    Ok(())
}

/// Insert an ingredient with its values.
pub(super) fn insert(db: &Connection, ingredient: &Ingredient, book: Option<i64>) -> rusqlite::Result<()> {
    put(db, fresh_id(db, "ingredient")?, ingredient, book)
}

/// Put an ingredient with its values in the row of that number, which may be there already.
fn put(db: &Connection, id: i64, ingredient: &Ingredient, book: Option<i64>) -> rusqlite::Result<()> {
    db.prepare_cached(
        "INSERT INTO ingredient (id, name, name_key, origin, book_id, kind, basis, carbonated, allergens_eu, allergens_us, groups, aliases, caution, note)
         VALUES (?14, ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)
         ON CONFLICT (id) DO UPDATE SET name = excluded.name, name_key = excluded.name_key, kind = excluded.kind, basis = excluded.basis,
           carbonated = excluded.carbonated, allergens_eu = excluded.allergens_eu, allergens_us = excluded.allergens_us,
           groups = excluded.groups, aliases = excluded.aliases, caution = excluded.caution, note = excluded.note
         WHERE (name, name_key, kind, basis, carbonated, allergens_eu, allergens_us, groups, aliases, caution, note) IS NOT
           (excluded.name, excluded.name_key, excluded.kind, excluded.basis, excluded.carbonated, excluded.allergens_eu,
            excluded.allergens_us, excluded.groups, excluded.aliases, excluded.caution, excluded.note)",
    )?
    .execute(params![
        ingredient.name,
        key(&ingredient.name),
        ingredient.origin.word(),
        book,
        ingredient.kind.word(),
        ingredient.basis.word(),
        ingredient.carbonated,
        ingredient.allergens_eu.written(),
        ingredient.allergens_us.written(),
        ingredient.groups.join("; "),
        ingredient.aliases.join("; "),
        ingredient.caution,
        ingredient.note,
        id,
    ])?;
    let kept: Vec<(String, String)> = db
        .prepare_cached("SELECT quantity, convention FROM ingredient_value WHERE ingredient_id = ?1")?
        .query_map([id], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<rusqlite::Result<_>>()?;
    for (quantity, convention) in kept {
        let stays = ingredient.values.iter().any(|v| {
            v.quantity.name() == quantity && v.convention.map_or("", Convention::word) == convention
        });
        if !stays {
            db.prepare_cached(
                "DELETE FROM ingredient_value WHERE ingredient_id = ?1 AND quantity = ?2 AND convention = ?3",
            )?
            .execute(params![id, quantity, convention])?;
        }
    }
    let mut values = db.prepare_cached(
        "INSERT INTO ingredient_value (ingredient_id, quantity, convention, unit, value, low, high, shape, source, status)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)
         ON CONFLICT DO UPDATE SET unit = excluded.unit, value = excluded.value, low = excluded.low, high = excluded.high,
           shape = excluded.shape, source = excluded.source, status = excluded.status
         WHERE (unit, value, low, high, shape, source, status) IS NOT
           (excluded.unit, excluded.value, excluded.low, excluded.high, excluded.shape, excluded.source, excluded.status)",
    )?;
    for v in &ingredient.values {
        values.execute(params![
            id,
            v.quantity.name(),
            v.convention.map_or("", Convention::word),
            v.quantity.unit(ingredient.basis),
            v.value,
            v.low,
            v.high,
            v.shape.word(),
            v.source,
            v.status.word(),
        ])?;
    }
    Ok(())
}

/// A row as an ingredient without its values; or what is wrong with the row.
fn from_row(row: &Row<'_>) -> rusqlite::Result<Result<Ingredient, Expected>> {
    let text = |column: &str| row.get::<_, String>(column);
    let list = |column: &str| {
        text(column).map(|t| {
            t.split(';')
                .map(str::trim)
                .filter(|s| !s.is_empty())
                .map(str::to_owned)
                .collect::<Vec<_>>()
        })
    };
    let (name, origin, basis) = (text("name")?, text("origin")?, text("basis")?);
    let (eu, us) = (text("allergens_eu")?, text("allergens_us")?);
    let (kind, carbonated, groups, aliases) = (
        text("kind")?,
        row.get("carbonated")?,
        list("groups")?,
        list("aliases")?,
    );
    let (caution, note) = (text("caution")?, text("note")?);
    let made = || -> Result<Ingredient, Expected> {
        Ok(Ingredient {
            kind: IngredientKind::from(kind.as_str()),
            groups,
            aliases,
            basis: Basis::from_word(&basis).ok_or("an unknown basis")?,
            carbonated,
            allergens_eu: Declaration::read(AllergenList::Eu, &eu)?,
            allergens_us: Declaration::read(AllergenList::Us, &us)?,
            caution,
            note,
            values: Vec::new(),
            origin: Origin::from_word(&origin).ok_or("an unknown origin")?,
            name,
        })
    };
    Ok(made())
}
