//! The drinks of the house in short, from the results that are kept: nothing is parsed or worked out for a list.

use super::lists::{ALSO_ON, ONCE, lists, of_all};
use super::{House, StoreError};
use crate::balance::{Judged, Severity, Standing, Verdict};
use crate::computed::ComputedDrink;
use crate::ingredient::Convention;
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

/// What is not finite is no figure, whoever wrote it there.
fn finite(value: Option<f64>) -> Option<f64> {
    value.filter(|v| v.is_finite())
}

impl House {
    /// Every drink that can be worked out, by book and place in it, up to date.
    ///
    /// # Errors
    /// When the file cannot be read or written.
    pub fn in_short(&mut self) -> Result<Vec<InShort>, StoreError> {
        self.refresh()?;
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
