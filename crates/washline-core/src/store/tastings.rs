//! Trials of drinks: which version was tasted when, and what the palate said. And the ranges learned from them.

use rusqlite::{Row, params};

use super::journal::fresh_id;
use super::lists::{FIRST, OF_DRINK};
use super::{House, StoreError, when};
use crate::balance::learn::Learned;
use crate::balance::{BalanceFigure, Palate, Structure};
use crate::names::key;
use crate::tables::When;

/// A trial of a drink.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tasting {
    /// The drink.
    pub drink: String,
    /// Its book.
    pub book: String,
    /// Which version of its spec was tasted.
    pub version: i64,
    /// Whether that version is the one poured now.
    pub is_current: bool,
    /// What was said: in order, or what was off.
    pub verdict: Vec<Palate>,
    /// What else was said; empty where nothing was.
    pub note: String,
    /// Who tasted, as the caller said; empty where they did not.
    pub taster: String,
    /// When, as the caller said.
    pub at: When,
}

impl Tasting {
    /// Whether nothing was off.
    #[must_use]
    pub fn is_right(&self) -> bool {
        self.verdict == [Palate::Right]
    }
}

/// A trial to be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewTasting<'a> {
    /// The drink.
    pub drink: &'a str,
    /// Its book, where more than one has a drink of that name.
    pub book: Option<&'a str>,
    /// The version that was tasted; the one poured now where it is not said.
    pub version: Option<i64>,
    /// What was said.
    pub verdict: &'a [Palate],
    /// What else.
    pub note: &'a str,
    /// By whom.
    pub taster: &'a str,
    /// When it was tasted.
    pub at: When,
}

/// Why a trial has no drink to belong to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NotTasted {
    /// No drink of that name is poured (in that book).
    NoDrink,
    /// Several books have one: their titles.
    SeveralBooks(Vec<String>),
    /// The drink has no such version: the last one it has.
    NoVersion(i64),
}

/// Each trial with the version that it is told of.
const SELECT: &str = "SELECT t.id, d.name AS drink, b.title AS book, s.version, t.verdict, t.note, t.taster, t.tasted_at,
    d.removed_at IS NULL AND s.version = (SELECT max(version) FROM spec_version v WHERE v.drink_id = d.id) AS is_current
 FROM tasting t JOIN spec_version s ON s.id = ";
const REST: &str = " JOIN drink d ON d.id = s.drink_id JOIN book b ON b.id = d.book_id";

/// A query of trials, each of the version that a query of one `o` gives.
fn trials(of_version: &str, condition: &str) -> String {
    let version = of_version.replace("o.id", "t.spec_version_id");
    format!("{SELECT}({version}){REST} WHERE {condition} ORDER BY t.tasted_at DESC, t.id DESC")
}

impl House {
    /// Keep a trial of a drink.
    ///
    /// # Errors
    /// When the file cannot be written; what there is no drink for.
    pub fn taste(&mut self, trial: &NewTasting<'_>) -> Result<Result<Tasting, NotTasted>, StoreError> {
        let fail = self.fail();
        let transaction = self.begin_keeping()?;
        let found: Vec<(i64, String)> = {
            let mut select = transaction
                .prepare_cached(
                    "SELECT d.id, b.title FROM drink d JOIN book b ON b.id = d.book_id
                     WHERE d.name_key = ?1 AND d.removed_at IS NULL AND (?2 IS NULL OR b.title_key = ?2) ORDER BY b.id",
                )
                .map_err(&fail)?;
            let rows = select
                .query_map(params![key(trial.drink), trial.book.map(key)], |r| {
                    Ok((r.get(0)?, r.get(1)?))
                })
                .map_err(&fail)?;
            rows.collect::<rusqlite::Result<_>>().map_err(&fail)?
        };
        let ids: Vec<i64> = found.iter().map(|(drink, _)| *drink).collect();
        let drink = match found.as_slice() {
            [] => return Ok(Err(NotTasted::NoDrink)),
            // The same drink on several lists is tasted once.
            [(drink, _), ..] if transaction.house.are_one(&ids)? => *drink,
            several => {
                let titles = several.iter().map(|(_, title)| title.clone()).collect();
                return Ok(Err(NotTasted::SeveralBooks(titles)));
            }
        };
        let last: i64 = transaction
            .query_row(
                "SELECT max(version) FROM spec_version WHERE drink_id = ?1",
                [drink],
                |r| r.get(0),
            )
            .map_err(&fail)?;
        let version = trial.version.unwrap_or(last);
        let id = fresh_id(&transaction, "tasting").map_err(&fail)?;
        let kept = transaction
            .execute(
                "INSERT INTO tasting (id, spec_version_id, verdict, note, taster, tasted_at)
                 SELECT ?7, id, ?3, ?4, ?5, ?6 FROM spec_version WHERE drink_id = ?1 AND version = ?2",
                params![
                    drink,
                    version,
                    Palate::written(trial.verdict),
                    trial.note,
                    trial.taster,
                    trial.at.to_string(),
                    id
                ],
            )
            .map_err(&fail)?;
        if kept == 0 {
            return Ok(Err(NotTasted::NoVersion(last)));
        }
        let tasting = transaction
            .query_row(&trials("o.id", "t.id = ?1"), [id], from_row)
            .map_err(&fail)?;
        transaction.commit(&format!(
            "taste \"{}\": {}",
            tasting.drink,
            Palate::written(&tasting.verdict)
        ))?;
        Ok(Ok(tasting))
    }

    /// Every trial of the drinks of that name, in whichever book, the latest first.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn tastings(&self, drink: &str) -> Result<Vec<Tasting>, StoreError> {
        self.tastings_where(FIRST, "d.name_key = ?1", [key(drink)])
    }

    /// Every trial of the house, the latest first.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn all_tastings(&self) -> Result<Vec<Tasting>, StoreError> {
        self.tastings_where(FIRST, "1", [])
    }

    /// The drinks that the house is happy with, as (drink, book): the last trial of the version that is poured
    /// found nothing off.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn tasted_right(&self) -> Result<Vec<(String, String)>, StoreError> {
        let mut seen: Vec<(String, String)> = Vec::new();
        let mut right = Vec::new();
        for tasting in self.all_tastings()?.into_iter().filter(|t| t.is_current) {
            let is_right = tasting.is_right();
            let drink = (tasting.drink, tasting.book);
            // The latest comes first, and only that counts.
            if seen.contains(&drink) {
                continue;
            }
            if is_right {
                right.push(drink.clone());
            }
            seen.push(drink);
        }
        Ok(right)
    }

    /// Every trial of one drink, the latest first.
    pub(super) fn tastings_of(&self, drink: i64) -> Result<Vec<Tasting>, StoreError> {
        self.tastings_where(OF_DRINK, "d.id = ?1", [drink])
    }

    fn tastings_where<P: rusqlite::Params>(
        &self,
        of_version: &str,
        condition: &str,
        params: P,
    ) -> Result<Vec<Tasting>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&trials(of_version, condition))
            .map_err(&fail)?;
        let rows = select.query_map(params, from_row).map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    /// Keep learned ranges as the house's own, all of them or none, with who says so.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn keep_learned(&mut self, learned: &[Learned], source: &str) -> Result<(), StoreError> {
        let ranges: Vec<(Structure, BalanceFigure, f64, f64)> = learned
            .iter()
            .map(|l| {
                let (low, high) = l.range();
                (l.structure, l.measure, low, high)
            })
            .collect();
        self.set_ranges(&ranges, source)
    }
}

fn from_row(row: &Row<'_>) -> rusqlite::Result<Tasting> {
    let verdict: String = row.get("verdict")?;
    Ok(Tasting {
        drink: row.get("drink")?,
        book: row.get("book")?,
        version: row.get("version")?,
        is_current: row.get("is_current")?,
        // Written by another program it may be anything: then it is that taster's own words.
        verdict: Palate::read(&verdict).unwrap_or_else(|_| vec![Palate::Other(verdict)]),
        note: row.get("note")?,
        taster: row.get("taster")?,
        at: when(row, "tasted_at")?.unwrap_or(When::Other(String::new())),
    })
}
