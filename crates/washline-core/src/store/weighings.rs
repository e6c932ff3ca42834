//! Weighings of drinks before and after ice, and the house's own melt that is fitted to them.

use rusqlite::{OptionalExtension, params};
use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::journal::fresh_id;
use super::lists::{FIRST, OF_DRINK};
use super::{House, StoreError, when};
use crate::build::worked_on;
use crate::computed::ComputedDrink;
use crate::melt::Weighed;
use crate::melt::fitted::{self, MeltFit, Refusal};
use crate::spec::Technique;
use crate::tables::{When, when_text};

/// A weighing of a drink.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighing {
    /// Its number, for taking it back.
    pub id: i64,
    /// The drink.
    pub drink: String,
    /// Its book.
    pub book: String,
    /// Which version of its spec was weighed.
    pub version: i64,
    /// Liquid before ice, g.
    pub before_g: Decimal,
    /// Liquid after straining, g.
    pub after_g: Decimal,
    /// Temperature off the ice, °C.
    pub temperature_c: Option<f64>,
    /// Worked for so long, s.
    pub seconds: Option<f64>,
    /// On so much ice, g.
    pub ice_g: Option<f64>,
    /// When, as the caller told.
    pub at: Option<When>,
    /// What else was said.
    pub note: String,
}

impl Weighing {
    /// Water gained, % of the mass before ice.
    #[must_use]
    pub fn water_pct(&self) -> f64 {
        ((self.after_g - self.before_g) / self.before_g * Decimal::ONE_HUNDRED)
            .to_f64()
            .unwrap_or(0.0)
    }
}

/// A weighing to be kept: masses above 0, after not below before; temperature −40 to 60 °C.
#[derive(Clone, Debug, PartialEq)]
pub struct Scale<'a> {
    /// Liquid before ice, g.
    pub before_g: Decimal,
    /// Liquid after straining, g.
    pub after_g: Decimal,
    /// Temperature off the ice, °C.
    pub temperature_c: Option<f64>,
    /// Worked for so long, s.
    pub seconds: Option<f64>,
    /// On so much ice, g.
    pub ice_g: Option<f64>,
    /// When it was weighed, where that is known.
    pub at: Option<When>,
    /// What else there is to say.
    pub note: &'a str,
}

/// A fit that was kept.
#[derive(Clone, Debug, PartialEq)]
pub struct KeptFit {
    /// Which one of its technique, from 1.
    pub version: i64,
    /// When it was kept.
    pub at: Option<When>,
    /// The fit.
    pub fit: MeltFit,
}

impl House {
    /// Keep a weighing of the version of a drink that is poured now; its number.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn weigh(&mut self, drink: &str, book: &str, scale: &Scale<'_>) -> Result<Option<i64>, StoreError> {
        let fail = self.fail();
        let transaction = self.begin_keeping()?;
        let known: Option<(i64, i64)> = transaction
            .query_row(
                "SELECT drink_id, version FROM current_spec WHERE drink_key = ?1 AND book = ?2",
                [&crate::names::key(drink), book],
                |row| Ok((row.get(0)?, row.get(1)?)),
            )
            .optional()
            .map_err(&fail)?;
        let Some((drink_id, version)) = known else {
            return Ok(None);
        };
        let id = fresh_id(&transaction, "weighing").map_err(&fail)?;
        transaction
            .execute(
                "INSERT INTO weighing (drink_id, version, before_g, after_g, temperature_c, seconds, ice_g, weighed_at, note, id)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, nullif(?8, ''), ?9, ?10)",
                params![
                    drink_id,
                    version,
                    scale.before_g.to_string(),
                    scale.after_g.to_string(),
                    scale.temperature_c,
                    scale.seconds,
                    scale.ice_g,
                    when_text(scale.at.as_ref()),
                    scale.note,
                    id
                ],
            )
            .map_err(&fail)?;
        transaction.commit(&format!(
            "weigh \"{drink}\": {} g to {} g",
            scale.before_g, scale.after_g
        ))?;
        Ok(Some(id))
    }

    /// Take a weighing back. Says whether there was one of that number.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn forget_weighing(&mut self, id: i64) -> Result<bool, StoreError> {
        let fail = self.fail();
        let transaction = self.begin_keeping()?;
        let gone = transaction
            .execute("DELETE FROM weighing WHERE id = ?1", [id])
            .map_err(&fail)?;
        transaction.commit(&format!("weighing {id} taken back"))?;
        Ok(gone > 0)
    }

    /// Every weighing of drinks that are poured, in the order they were kept.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn weighings(&self) -> Result<Vec<Weighing>, StoreError> {
        self.weighings_where(FIRST, "d.removed_at IS NULL", [])
    }

    /// Every weighing of one drink, in the order they were kept.
    pub(super) fn weighings_of(&self, drink: i64) -> Result<Vec<Weighing>, StoreError> {
        self.weighings_where(OF_DRINK, "d.id = ?1", [drink])
    }

    fn weighings_where<P: rusqlite::Params>(
        &self,
        of_version: &str,
        condition: &str,
        values: P,
    ) -> Result<Vec<Weighing>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT w.id, w.before_g, w.after_g, w.temperature_c, w.seconds, w.ice_g, w.weighed_at, w.note, s.version,
                     d.name AS drink, b.title AS book
                 FROM weighing w JOIN spec_version o ON o.drink_id = w.drink_id AND o.version = w.version
                 JOIN spec_version s ON s.id = ({of_version})
                 JOIN drink d ON d.id = s.drink_id JOIN book b ON b.id = d.book_id WHERE {condition} ORDER BY w.id"
            ))
            .map_err(&fail)?;
        let rows = select
            .query_map(values, |row| {
                let text = |c: &str| row.get::<_, String>(c);
                Ok((
                    (text("before_g")?, text("after_g")?),
                    Weighing {
                        id: row.get("id")?,
                        drink: text("drink")?,
                        book: text("book")?,
                        version: row.get("version")?,
                        before_g: Decimal::ZERO,
                        after_g: Decimal::ZERO,
                        temperature_c: row.get("temperature_c")?,
                        seconds: row.get("seconds")?,
                        ice_g: row.get("ice_g")?,
                        at: when(row, "weighed_at")?,
                        note: text("note")?,
                    },
                ))
            })
            .map_err(&fail)?;
        rows.map(|row| {
            let ((before, after), mut weighing) = row.map_err(&fail)?;
            (weighing.before_g, weighing.after_g) = match (before.parse(), after.parse()) {
                (Ok(before), Ok(after)) if before > Decimal::ZERO => (before, after),
                _ => return Err(self.content(format!("a weighing of {before} g and {after} g"))),
            };
            Ok(weighing)
        })
        .collect()
    }

    /// What the house has weighed that bears on one spec.
    pub(super) fn weighed(&self, spec_version: i64) -> Result<Option<Weighed>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(
                "SELECT w.before_g, w.after_g, w.temperature_c FROM same_spec m JOIN spec_version o ON o.id = m.other_id
                 JOIN weighing w ON w.drink_id = o.drink_id AND w.version = o.version WHERE m.spec_version_id = ?1 ORDER BY w.id",
            )
            .map_err(&fail)?;
        let rows = select
            .query_map([spec_version], |row| {
                let grams = |column: usize| -> rusqlite::Result<f64> {
                    Ok(row.get::<_, String>(column)?.parse().unwrap_or(0.0))
                };
                Ok((grams(0)?, grams(1)?, row.get::<_, Option<f64>>(2)?))
            })
            .map_err(&fail)?;
        let (mut masses, mut temperatures) = (Vec::new(), Vec::new());
        for row in rows {
            let (before, after, celsius) = row.map_err(&fail)?;
            if before > 0.0 {
                masses.push((before, after));
                temperatures.extend(celsius);
            }
        }
        Ok(Weighed::of(&masses, &temperatures))
    }

    /// The house's own melt, of every technique it is in force for.
    pub(super) fn fits_in_force(&self) -> Result<Vec<MeltFit>, StoreError> {
        let mut fits = Vec::new();
        for technique in FITTED {
            fits.extend(self.fit_in_force(technique)?.map(|kept| kept.fit));
        }
        Ok(fits)
    }

    /// The house's own melt of a technique, where one is in force.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn fit_in_force(&self, technique: Technique) -> Result<Option<KeptFit>, StoreError> {
        let Some(word) = word(technique) else {
            return Ok(None);
        };
        let mut select = self
            .db
            .prepare_cached(
                "SELECT version, kept_at, fit_json FROM house_melt WHERE technique = ?1 AND undone_at IS NULL ORDER BY version DESC LIMIT 1",
            )
            .map_err(self.fail())?;
        let found: Option<(i64, Option<When>, String)> = select
            .query_row([word], |row| {
                Ok((row.get(0)?, when(row, "kept_at")?, row.get(2)?))
            })
            .optional()
            .map_err(self.fail())?;
        found
            .map(|(version, at, json)| {
                Ok(KeptFit {
                    version,
                    at,
                    fit: serde_json::from_str(&json).map_err(|e| self.content(e.to_string()))?,
                })
            })
            .transpose()
    }

    /// Fit the melt of a technique to the weighings of the house: of drinks as they are poured now.
    ///
    /// # Errors
    /// When the file cannot be read; why the weighings carry no fit.
    pub fn fit_melt(&self, technique: Technique) -> Result<Result<MeltFit, Refusal>, StoreError> {
        let all = self.weighings()?;
        let mut fitted = Vec::new();
        for worked in self.drinks()? {
            let Some((own, conditions, seconds)) = worked_on(&worked.resolved, &worked.built) else {
                continue;
            };
            if own != technique {
                continue;
            }
            for weighing in all.iter().filter(|w| is_of(w, &worked)) {
                let mut conditions = conditions;
                if let Some(grams) = weighing.ice_g {
                    conditions.ice.grams = grams;
                }
                fitted.push(fitted::Weighing {
                    name: worked.name().to_owned(),
                    mix: worked.built.worked,
                    conditions,
                    seconds: weighing.seconds.unwrap_or(seconds),
                    share_of_mass: weighing.water_pct() / 100.0,
                    temperature_c: weighing.temperature_c,
                });
            }
        }
        Ok(fitted::fit(technique, &fitted))
    }

    /// Keep a fit: it is in force from now on. Its version.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn keep_fit(&mut self, fit: &MeltFit) -> Result<i64, StoreError> {
        let json = serde_json::to_string(fit).map_err(|e| self.content(e.to_string()))?;
        let fail = self.fail();
        let transaction = self.begin_keeping()?;
        let at = transaction.house.now_text();
        let word = word(fit.technique).unwrap_or_default();
        let version: i64 = transaction
            .query_row(
                "SELECT ifnull(max(version), 0) + 1 FROM house_melt WHERE technique = ?1",
                [word],
                |row| row.get(0),
            )
            .map_err(&fail)?;
        let id = fresh_id(&transaction, "house_melt").map_err(&fail)?;
        transaction
            .execute(
                "INSERT INTO house_melt (technique, version, fit_json, kept_at, id) VALUES (?1, ?2, ?3, nullif(?4, ''), ?5)",
                params![word, version, json, at, id],
            )
            .map_err(&fail)?;
        transaction.commit(&format!("melt of the {word}: fit {version} in force"))?;
        Ok(version)
    }

    /// Take the fit in force back: the one before it holds again, or the handbook. The version taken back.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn undo_fit(&mut self, technique: Technique) -> Result<Option<i64>, StoreError> {
        let Some(kept) = self.fit_in_force(technique)? else {
            return Ok(None);
        };
        let fail = self.fail();
        let transaction = self.begin_keeping()?;
        let at = transaction.house.now_text();
        transaction
            .execute(
                "UPDATE house_melt SET undone_at = ?3 WHERE technique = ?1 AND version = ?2",
                params![word(technique), kept.version, at],
            )
            .map_err(&fail)?;
        transaction.commit(&format!(
            "melt of the {}: fit {} taken back",
            word(technique).unwrap_or_default(),
            kept.version
        ))?;
        Ok(Some(kept.version))
    }
}

fn is_of(weighing: &Weighing, worked: &ComputedDrink) -> bool {
    weighing.drink == worked.name()
        && weighing.book == worked.found_in.book
        && weighing.version == worked.found_in.version
}

/// The techniques that a house can fit.
const FITTED: [Technique; 2] = [Technique::Shake, Technique::Stir];

/// The word of a technique that a house can fit.
fn word(technique: Technique) -> Option<&'static str> {
    match technique {
        Technique::Shake => Some("shake"),
        Technique::Stir => Some("stir"),
        _ => None,
    }
}
