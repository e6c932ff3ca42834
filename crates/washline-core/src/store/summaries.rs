//! What the drinks of the house come to, as it is kept: nothing is read or worked out for it.

use std::borrow::Cow;
use std::collections::HashMap;

use rusqlite::{OptionalExtension, Params, Row, Transaction};

use super::current::Current;
use super::lists::{ALSO_ON, ONCE, lists, of_all};
use super::results::at_least;
use super::worked::Shared;
use super::{House, StoreError};
use crate::balance::{
    BalanceFigure, Budget, Evaluation, Figure, Figures, Finding, GlassFill, Placed, Severity, Verdict,
};
use crate::computed::{ComputedDrink, FoundIn, Summary, bands};
use crate::ingredient::{AllergenList, Convention, Declaration};
use crate::measure::Currency;
use crate::melt::MeltModel;
use crate::spec::{Assumption, Fault, Money, Settings, seasons_and_tags};
use crate::tables::Structure;

/// A drink of the house that could be worked out: its name, and where what it comes to is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Held {
    /// Its name.
    pub name: String,
    /// How its juices were counted.
    pub convention: Convention,
    found_in: FoundIn,
    /// The list it is worked out of, then the others on which it stands.
    lists: Vec<i64>,
    spec_version: i64,
    result: i64,
}

/// What drinks come to, one after the other, all at the moment at which the first was asked for.
pub struct Summaries<'a> {
    house: &'a House,
    held: std::vec::IntoIter<Held>,
    shared: Shared,
    settings: HashMap<i64, Settings>,
    _moment: Transaction<'a>,
}

impl House {
    /// Every drink that can be worked out, by book and place in it, up to date; and why the others cannot.
    ///
    /// # Errors
    /// When the file cannot be read or written.
    pub fn held(&mut self) -> Result<(Vec<Held>, Vec<Fault>), StoreError> {
        let broken = self.refresh()?.broken;
        Ok((self.held_where("1", [])?, broken))
    }

    /// Those of them with a finding of that severity or a graver one, as the results that are kept say.
    ///
    /// # Errors
    /// When the file cannot be read or written.
    pub fn held_flagged(&mut self, from: Severity) -> Result<Vec<Held>, StoreError> {
        self.refresh_named(&[])?;
        self.held_where(&at_least(from), [])
    }

    fn held_where(&self, condition: &str, values: impl Params) -> Result<Vec<Held>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT c.drink, r.convention, c.book, b.file, c.line, c.version, c.book_id, c.id, r.id, {ALSO_ON}
                 FROM current_spec c JOIN book b ON b.id = c.book_id JOIN result r ON r.spec_version_id = c.id
                 WHERE ({condition}) AND {ONCE} ORDER BY c.book_id, c.drink_position"
            ))
            .map_err(&fail)?;
        let titles = self.titles_by_id()?;
        let rows = select
            .query_map(values, |row| {
                let convention: String = row.get(1)?;
                let also_on = lists(row.get(9)?);
                Ok(Held {
                    name: row.get(0)?,
                    convention: Convention::from_word(&convention).unwrap_or_default(),
                    found_in: FoundIn {
                        book: row.get(2)?,
                        also_on: also_on.iter().filter_map(|id| titles.get(id).cloned()).collect(),
                        file: row.get(3)?,
                        line: usize::try_from(row.get::<_, i64>(4)?).unwrap_or(1),
                        version: row.get(5)?,
                    },
                    lists: std::iter::once(row.get(6)?).chain(also_on).collect(),
                    spec_version: row.get(7)?,
                    result: row.get(8)?,
                })
            })
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    /// What these drinks come to, as it is kept; what is kept in a way that cannot be read is worked out anew.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn summaries(&self, held: Vec<Held>) -> Result<Summaries<'_>, StoreError> {
        Ok(Summaries {
            _moment: self.db.unchecked_transaction().map_err(self.fail())?,
            house: self,
            held: held.into_iter(),
            shared: self.shared()?,
            settings: HashMap::new(),
        })
    }

    /// These drinks worked out, one after the other.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn each_worked_out(
        &self,
        held: Vec<Held>,
    ) -> Result<impl Iterator<Item = Result<ComputedDrink, StoreError>>, StoreError> {
        let mut summaries = self.summaries(held)?;
        crate::computed::expect(summaries.held.len());
        Ok(std::iter::from_fn(move || {
            loop {
                let held = summaries.held.next()?;
                if let Some(drink) = summaries.worked_out(&held).transpose() {
                    return Some(drink);
                }
            }
        }))
    }
}

impl Iterator for Summaries<'_> {
    type Item = Result<Summary, StoreError>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            let held = self.held.next()?;
            let found = match self.kept(&held) {
                Ok(None) => self.worked_out(&held).map(|drink| drink.map(|d| d.summary())),
                kept => kept,
            };
            if let Some(found) = found.transpose() {
                return Some(found);
            }
        }
    }
}

impl Summaries<'_> {
    fn worked_out(&mut self, held: &Held) -> Result<Option<ComputedDrink>, StoreError> {
        let current: Vec<Current> = self.house.poured_where("c.id = ?1", [held.spec_version])?;
        match current.first() {
            Some(current) => Ok(self.house.computed(current, &mut self.shared)?.ok()),
            None => Ok(None),
        }
    }

    /// What is kept of a drink; `None` where some of it is not as this program keeps it.
    fn kept(&mut self, held: &Held) -> Result<Option<Summary>, StoreError> {
        let fail = self.house.fail();
        let one = self
            .house
            .db
            .prepare_cached(
                "SELECT r.structure, r.melt_model, r.standard_drink, r.glass, r.glass_capacity_ml, r.glass_fill_pct,
                     r.allergens_eu, r.allergens_us, r.cautions, r.placed, r.serves, r.garnish,
                     s.price, s.price_currency, s.spec_text
                 FROM result r JOIN spec_version s ON s.id = r.spec_version_id WHERE r.id = ?1",
            )
            .map_err(&fail)?
            .query_row([held.result], One::of)
            .optional()
            .map_err(&fail)?;
        let Some(one) = one else {
            return Ok(None);
        };
        let assumptions = self.assumptions(held.result)?;
        let list = self.lists(&held.lists)?;
        let (seasons, tags) = seasons_and_tags(&one.text, list.as_ref());
        let (Some(evaluation), Ok(allergens_eu), Ok(allergens_us)) = (
            self.evaluation(held.result, &one)?,
            Declaration::read(AllergenList::Eu, &one.allergens_eu),
            Declaration::read(AllergenList::Us, &one.allergens_us),
        ) else {
            return Ok(None);
        };
        let ranges = &self.shared.ranges()[held.convention as usize];
        Ok(Some(Summary {
            found_in: held.found_in.clone(),
            name: held.name.clone(),
            convention: held.convention,
            standard_drink: one.standard_drink,
            bands: bands(&evaluation, ranges),
            evaluation,
            assumptions,
            allergens_eu,
            allergens_us,
            cautions: one.cautions.lines().map(str::to_owned).collect(),
            serves: one.serves,
            glass: one.glass,
            price: one.price,
            garnish: one.garnish,
            seasons,
            tags,
        }))
    }

    fn evaluation(&self, result: i64, one: &One) -> Result<Option<Evaluation>, StoreError> {
        let (Some([before, figures]), Some(verdicts), Some(budget), Some(findings)) = (
            self.figures(result)?,
            self.verdicts(result)?,
            self.budget(result)?,
            self.findings(result)?,
        ) else {
            return Ok(None);
        };
        let structure = one.structure.as_deref().map(Structure::named);
        let placed = one.placed.as_deref().map(serde_json::from_str::<Placed>);
        let (Some(melt_model), false, Ok(placed)) = (
            MeltModel::from_word(&one.melt_model),
            structure == Some(None),
            placed.transpose(),
        ) else {
            return Ok(None);
        };
        let glass = match (&one.glass, one.capacity_ml, one.fill_pct) {
            (Some(name), Some(capacity_ml), Some(fill_pct)) => Some(GlassFill {
                name: name.clone(),
                capacity_ml,
                fill_pct,
            }),
            _ => None,
        };
        Ok(Some(Evaluation {
            structure: structure.flatten(),
            placed,
            melt_model,
            before,
            figures,
            verdicts,
            glass,
            budget,
            findings,
        }))
    }

    /// Before any ice, and in the glass.
    fn figures(&self, result: i64) -> Result<Option<[Figures; 2]>, StoreError> {
        let mut both = [Figures::default(); 2];
        let mut known = true;
        let query =
            "SELECT stage, figure, value, low, high, standard_uncertainty FROM figure WHERE result_id = ?1";
        self.each(query, result, |row| {
            let (stage, name): (String, String) = (row.get(0)?, row.get(1)?);
            match both[usize::from(stage == "glass")].by_name(&name) {
                Some(place) => {
                    *place = Figure {
                        value: finite(row.get(2)?),
                        low: finite(row.get(3)?),
                        high: finite(row.get(4)?),
                        standard_uncertainty: finite(row.get(5)?),
                    };
                }
                None => known = false,
            }
            Ok(())
        })?;
        Ok(known.then_some(both))
    }

    fn verdicts(&self, result: i64) -> Result<Option<[Verdict; 3]>, StoreError> {
        let mut all = [None; 3];
        self.each(
            "SELECT measure, verdict FROM verdict WHERE result_id = ?1",
            result,
            |row| {
                let (measure, verdict): (String, String) = (row.get(0)?, row.get(1)?);
                if let Some(measure) = BalanceFigure::from_word(&measure) {
                    all[measure as usize] = Verdict::from_word(&verdict);
                }
                Ok(())
            },
        )?;
        Ok(match all {
            [Some(a), Some(b), Some(c)] => Some([a, b, c]),
            _ => None,
        })
    }

    fn budget(&self, result: i64) -> Result<Option<Vec<Budget>>, StoreError> {
        let mut all = Some(Vec::new());
        let query =
            "SELECT measure, input, settled_by, share FROM budget WHERE result_id = ?1 ORDER BY position";
        self.each(query, result, |row| {
            let measure: String = row.get(0)?;
            let part = BalanceFigure::from_word(&measure).map(|measure| {
                Ok::<_, rusqlite::Error>(Budget {
                    measure,
                    input: row.get(1)?,
                    settled_by: row.get(2)?,
                    share: row.get(3)?,
                })
            });
            put(&mut all, part.transpose()?);
            Ok(())
        })?;
        Ok(all)
    }

    fn findings(&self, result: i64) -> Result<Option<Vec<Finding>>, StoreError> {
        let mut all = Some(Vec::new());
        let query = "SELECT detail FROM finding WHERE result_id = ?1 ORDER BY position";
        self.each(query, result, |row| {
            let detail: String = row.get(0)?;
            put(&mut all, serde_json::from_str(&detail).ok());
            Ok(())
        })?;
        Ok(all)
    }

    fn assumptions(&self, result: i64) -> Result<Vec<Assumption>, StoreError> {
        let mut all = Vec::new();
        let query = "SELECT about, taken, change FROM assumption WHERE result_id = ?1 ORDER BY position";
        self.each(query, result, |row| {
            all.push(Assumption {
                about: row.get(0)?,
                taken: row.get(1)?,
                change: row.get::<_, String>(2)?.into(),
            });
            Ok(())
        })?;
        Ok(all)
    }

    /// The settings of the lists that a drink stands on, those of each read once.
    fn lists(&mut self, books: &[i64]) -> Result<Cow<'_, Settings>, StoreError> {
        if self.settings.is_empty() {
            self.settings = self.house.settings_by_list()?;
        }
        Ok(of_all(&self.settings, books))
    }

    /// Every row that a query gives of a result.
    fn each(
        &self,
        query: &str,
        result: i64,
        mut take: impl FnMut(&Row<'_>) -> rusqlite::Result<()>,
    ) -> Result<(), StoreError> {
        let fail = self.house.fail();
        let mut select = self.house.db.prepare_cached(query).map_err(&fail)?;
        let mut rows = select.query([result]).map_err(&fail)?;
        while let Some(row) = rows.next().map_err(&fail)? {
            take(row).map_err(&fail)?;
        }
        Ok(())
    }
}

/// What stands in the row of a result and of its spec.
struct One {
    structure: Option<String>,
    melt_model: String,
    standard_drink: String,
    glass: Option<String>,
    capacity_ml: Option<f64>,
    fill_pct: Option<f64>,
    allergens_eu: String,
    allergens_us: String,
    cautions: String,
    placed: Option<String>,
    serves: Option<f64>,
    garnish: Option<String>,
    price: Option<Money>,
    text: String,
}

impl One {
    fn of(row: &Row<'_>) -> rusqlite::Result<One> {
        let (amount, currency): (Option<String>, Option<String>) = (row.get(12)?, row.get(13)?);
        Ok(One {
            structure: row.get(0)?,
            melt_model: row.get(1)?,
            standard_drink: row.get(2)?,
            glass: row.get(3)?,
            capacity_ml: finite(row.get(4)?),
            fill_pct: finite(row.get(5)?),
            allergens_eu: row.get(6)?,
            allergens_us: row.get(7)?,
            cautions: row.get(8)?,
            placed: row.get(9)?,
            serves: finite(row.get(10)?),
            garnish: row.get(11)?,
            price: amount.and_then(|amount| amount.parse().ok()).map(|amount| Money {
                amount,
                currency: currency.and_then(|code| Currency::named(&code).ok()),
            }),
            text: row.get(14)?,
        })
    }
}

/// One more, or none of them any more.
fn put<T>(all: &mut Option<Vec<T>>, one: Option<T>) {
    match (all.as_mut(), one) {
        (Some(all), Some(one)) => all.push(one),
        _ => *all = None,
    }
}

/// What is not finite is no figure, whoever wrote it there.
fn finite(value: Option<f64>) -> Option<f64> {
    value.filter(|v| v.is_finite())
}
