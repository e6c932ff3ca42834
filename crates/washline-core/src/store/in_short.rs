//! The drinks and preparations of the house in short, from the results that are kept: nothing is parsed or worked out for
//! a list.

use super::lists::{ALSO_ON, ONCE, lists, of_all};
use super::{House, StoreError};
use crate::balance::{Judged, Severity, Standing, Verdict};
use crate::computed::{ComputedDrink, Prepared};
use crate::ingredient::Convention;
use crate::prepare::Warning;
use crate::spec::seasons_and_tags;
use crate::tables::Structure;

/// A drink of the house in a line.
#[derive(Clone, Debug, PartialEq)]
pub struct InShort {
    /// Its name.
    pub name: String,
    /// Its book.
    pub book: String,
    /// The other lists on which the same drink stands.
    pub also_on: Vec<String>,
    /// Its structure; `None` where the method is missing.
    pub structure: Option<Structure>,
    /// How its juices are counted.
    pub convention: Convention,
    /// Volume in the glass at 20 °C, ml.
    pub volume_ml: Option<f64>,
    /// Alcoholic strength by volume, % vol.
    pub abv_pct: Option<f64>,
    /// Sugar, g/100 ml.
    pub sugar_g_per_100ml: Option<f64>,
    /// Titratable acid as citric, g/100 ml.
    pub acid_g_per_100ml: Option<f64>,
    /// Where it stands.
    pub standing: Standing,
    /// When it is poured, itself or by its list.
    pub seasons: Vec<String>,
    /// The words that are put on it, itself or by its list.
    pub tags: Vec<String>,
}

impl InShort {
    /// A computed drink in a line.
    #[must_use]
    pub fn of(drink: &ComputedDrink) -> InShort {
        let figures = &drink.evaluation.figures;
        InShort {
            name: drink.name().to_owned(),
            book: drink.found_in.book.clone(),
            also_on: drink.found_in.also_on.clone(),
            structure: drink.evaluation.structure,
            convention: drink.convention(),
            volume_ml: figures.volume_ml.value,
            abv_pct: figures.abv_pct.value,
            sugar_g_per_100ml: figures.sugar_g_per_100ml.value,
            acid_g_per_100ml: figures.acid_g_per_100ml.value,
            standing: drink.evaluation.standing(),
            seasons: drink.seasons().into_iter().map(str::to_owned).collect(),
            tags: drink.tags().into_iter().map(str::to_owned).collect(),
        }
    }
}

/// A preparation of the house in a line.
#[derive(Clone, Debug, PartialEq)]
pub struct PreparedInShort {
    /// Its name.
    pub name: String,
    /// Its book.
    pub book: String,
    /// What there is of it in the end, ml.
    pub yield_ml: f64,
    /// Sugar, g in 100 g.
    pub sugar_g_per_100g: f64,
    /// Sugar, g/L.
    pub sugar_g_per_l: f64,
    /// Titratable acid as citric, g/L.
    pub acid_g_per_l: f64,
    /// Alcoholic strength by volume, % vol.
    pub abv_pct: f64,
    /// How long it keeps, in the writer's words; `None` where nobody says.
    pub keeps: Option<String>,
    /// The part that decides how long it keeps; `None` where the writer says so of the whole.
    pub keeps_as: Option<String>,
    /// What there is to look at.
    pub warnings: Vec<Warning>,
}

impl PreparedInShort {
    /// A preparation that was made in a line.
    #[must_use]
    pub fn of(prepared: &Prepared) -> PreparedInShort {
        let made = &prepared.made;
        PreparedInShort {
            name: prepared.name().to_owned(),
            book: prepared.found_in.book.clone(),
            yield_ml: made.yield_ml,
            sugar_g_per_100g: made.brix(),
            sugar_g_per_l: made.sugar_g_per_l(),
            acid_g_per_l: made.acid_g_per_l(),
            abv_pct: made.abv_pct(),
            keeps: made.keeps.as_ref().map(|keeping| keeping.words.clone()),
            keeps_as: made.keeps_as.clone(),
            warnings: made.warnings.clone(),
        }
    }
}

/// What is not finite is no figure, whoever wrote it there.
fn finite(value: Option<f64>) -> Option<f64> {
    value.filter(|v| v.is_finite())
}

impl House {
    /// Every preparation that can be made, by book and place in it, up to date.
    ///
    /// # Errors
    /// When the file cannot be read or written.
    pub fn preparations_in_short(&self) -> Result<Vec<PreparedInShort>, StoreError> {
        self.refresh_named(&[])?;
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(
                "SELECT p.name, b.title, r.yield_ml, r.sugar_g_per_100g, r.sugar_g_per_l, r.acid_g_per_l, r.abv_pct,
                     r.keeps, r.keeps_as, r.detail
                 FROM preparation p JOIN book b ON b.id = p.book_id JOIN preparation_result r ON r.preparation_id = p.id
                 WHERE p.removed_at IS NULL ORDER BY p.book_id, p.position",
            )
            .map_err(&fail)?;
        let rows = select
            .query_map([], |row| {
                let detail: String = row.get(9)?;
                Ok(PreparedInShort {
                    name: row.get(0)?,
                    book: row.get(1)?,
                    yield_ml: row.get(2)?,
                    sugar_g_per_100g: row.get(3)?,
                    sugar_g_per_l: row.get(4)?,
                    acid_g_per_l: row.get(5)?,
                    abv_pct: row.get(6)?,
                    keeps: row.get(7)?,
                    keeps_as: row.get(8)?,
                    warnings: serde_json::from_str(&detail).unwrap_or_default(),
                })
            })
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    /// Every drink that can be worked out, by book and place in it, up to date.
    ///
    /// # Errors
    /// When the file cannot be read or written.
    pub fn in_short(&self) -> Result<Vec<InShort>, StoreError> {
        self.refresh_named(&[])?;
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT c.drink, c.book, r.structure, r.convention,
                     (SELECT value FROM figure WHERE result_id = r.id AND stage = 'glass' AND figure = 'volume_ml'),
                     (SELECT value FROM figure WHERE result_id = r.id AND stage = 'glass' AND figure = 'abv_pct'),
                     (SELECT value FROM figure WHERE result_id = r.id AND stage = 'glass' AND figure = 'sugar_g_per_100ml'),
                     (SELECT value FROM figure WHERE result_id = r.id AND stage = 'glass' AND figure = 'acid_g_per_100ml'),
                     (SELECT group_concat(DISTINCT severity) FROM finding WHERE result_id = r.id),
                     (SELECT group_concat(DISTINCT verdict) FROM verdict WHERE result_id = r.id),
                     c.spec_text, c.book_id, {ALSO_ON}
                 FROM current_spec c JOIN result r ON r.spec_version_id = c.id JOIN book b ON b.id = c.book_id
                 WHERE {ONCE} ORDER BY c.book_id, c.drink_position",
            ))
            .map_err(&fail)?;
        let (titles, settings) = (self.titles_by_id()?, self.settings_by_list()?);
        let rows = select
            .query_map([], |row| {
                let structure: Option<String> = row.get(2)?;
                let convention: String = row.get(3)?;
                let severities: Option<String> = row.get(8)?;
                let gravest = severities
                    .iter()
                    .flat_map(|words| words.split(','))
                    .filter_map(Severity::from_word)
                    .max();
                let verdicts: Option<String> = row.get(9)?;
                let verdicts: Vec<Verdict> = verdicts
                    .iter()
                    .flat_map(|words| words.split(','))
                    .filter_map(Verdict::from_word)
                    .collect();
                let (text, also_on): (String, Vec<i64>) = (row.get(10)?, lists(row.get(12)?));
                let on: Vec<i64> = std::iter::once(row.get(11)?).chain(also_on.clone()).collect();
                let (seasons, tags) = seasons_and_tags(&text, &of_all(&settings, &on));
                Ok(InShort {
                    name: row.get(0)?,
                    book: row.get(1)?,
                    also_on: also_on.iter().filter_map(|id| titles.get(id).cloned()).collect(),
                    structure: structure.as_deref().and_then(Structure::named),
                    convention: Convention::from_word(&convention).unwrap_or_default(),
                    volume_ml: finite(row.get(4)?),
                    abv_pct: finite(row.get(5)?),
                    sugar_g_per_100ml: finite(row.get(6)?),
                    acid_g_per_100ml: finite(row.get(7)?),
                    standing: Standing::of(gravest, Judged::of(&verdicts)),
                    seasons,
                    tags,
                })
            })
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }
}
