//! The published drinks that others are compared with: who gave each, and what it comes to.
//!
//! Who gave it, its era and its family by hand stand in `published_drinks.csv`; the drinks themselves in the books beside.
//! What they come to stands in `published_figures.csv`, which `washline ranges test --table` makes and a test keeps.

use std::collections::HashMap;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::moves::Point;
use super::region::{FEWEST, FEWEST_AT_ALL, Region, Shape};
use super::spans;
use crate::ingredient::Convention;
use crate::tables::{Family, Structure, rows};

/// The books the published drinks stand in, by name.
pub const BOOKS: [(&str, &str); 4] = [
    ("classics", include_str!("../../../../fixtures/books/classics.md")),
    ("worked", include_str!("../../../../fixtures/books/worked.md")),
    (
        "later-classics",
        include_str!("../../../../fixtures/books/later-classics.md"),
    ),
    (
        "bar-book-1917",
        include_str!("../../../../fixtures/books/bar-book-1917.md"),
    ),
];

const GIVEN_TEXT: &str = include_str!("../../../../fixtures/reference/published_drinks.csv");
const FIGURES_TEXT: &str = include_str!("../../../../fixtures/reference/published_figures.csv");

/// The texts of the tables that verdicts depend on.
#[cfg(feature = "store")]
pub(crate) const TEXTS: [&str; 2] = [GIVEN_TEXT, FIGURES_TEXT];

/// When a drink was written down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Era {
    /// Before 1935: other measures, and another palate.
    Early,
    /// Since, or as it is made today.
    Modern,
}

/// Who gave a published drink.
#[derive(Clone, Debug, Deserialize)]
pub struct Given {
    /// The book it stands in.
    pub book: String,
    /// Its name there.
    pub drink: String,
    /// Author or body, and work.
    pub author: String,
    /// Year, where it is known.
    pub year: Option<u16>,
    /// Page, where it is known.
    pub page: Option<u16>,
    /// READ or MEMORY.
    pub status: String,
    /// When it was written down.
    pub era: Era,
    /// Its family, by hand.
    pub family: Family,
}

static GIVEN: LazyLock<Vec<Given>> = LazyLock::new(|| rows("published_drinks.csv", GIVEN_TEXT));

/// Every published drink, with who gave it.
#[must_use]
pub fn given() -> &'static [Given] {
    &GIVEN
}

/// A row of what published drinks come to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FigureRow {
    /// The book it stands in.
    pub book: String,
    /// Its name there.
    pub drink: String,
    /// How acid is counted.
    pub convention: Convention,
    /// How it is made.
    pub structure: Structure,
    /// Its family, by the rules.
    pub family: Family,
    /// Strength, % vol.
    pub abv_pct: f64,
    /// Sugar, g/100 ml.
    pub sugar_g_per_100ml: f64,
    /// Acid as citric, g/100 ml.
    pub acid_g_per_100ml: f64,
    /// Volume in the glass, ml.
    pub volume_ml: f64,
    /// Whether it stands behind its family: with alcohol, not early, and no other form of one that does.
    pub stands: bool,
    /// What it gains, left out of its family.
    pub left_out: Option<f64>,
    /// What it gains, left out of the families that pour alike.
    pub left_out_of_kin: Option<f64>,
}

impl FigureRow {
    /// Where it lies.
    #[must_use]
    pub fn point(&self) -> Point {
        [
            self.abv_pct,
            self.sugar_g_per_100ml,
            self.acid_g_per_100ml,
            self.volume_ml,
        ]
    }
}

/// What is known of the published drinks under one convention.
struct Known {
    rows: Vec<FigureRow>,
    regions: Vec<Option<Region>>,
    /// Modern drinks by family, each with who gave it.
    modern: Vec<Vec<(FigureRow, &'static Given)>>,
}

static KNOWN: LazyLock<[Known; 2]> = LazyLock::new(|| {
    let all: Vec<FigureRow> = rows("published_figures.csv", FIGURES_TEXT);
    [Convention::Handbook, Convention::Assay].map(|convention| {
        let rows: Vec<FigureRow> = all
            .iter()
            .filter(|r| r.convention == convention)
            .cloned()
            .collect();
        let regions = Family::all().map(|family| region_of(&rows, family)).collect();
        let given: HashMap<(&str, &str), &'static Given> = given()
            .iter()
            .map(|g| ((g.book.as_str(), g.drink.as_str()), g))
            .collect();
        let of = |family: Family| {
            let rows = rows.iter().filter(|r| r.family == family);
            rows.filter_map(|r| {
                let given = *given.get(&(r.book.as_str(), r.drink.as_str()))?;
                (given.era == Era::Modern).then(|| (r.clone(), given))
            })
            .collect()
        };
        let modern = Family::all().map(of).collect();
        Known {
            rows,
            regions,
            modern,
        }
    })
});

/// The modern published drinks of a family with who gave each, other forms of one drink among them.
#[must_use]
pub fn modern(family: Family, convention: Convention) -> &'static [(FigureRow, &'static Given)] {
    &KNOWN[convention as usize].modern[family as usize]
}

fn region_of(rows: &[FigureRow], family: Family) -> Option<Region> {
    let of = |families: &[Family]| -> Vec<&FigureRow> {
        rows.iter()
            .filter(|r| r.stands && families.contains(&r.family))
            .collect()
    };
    let own = of(&[family]);
    let (chosen, from, pooled) = if own.len() >= FEWEST {
        (own.clone(), vec![family], false)
    } else {
        (of(family.relatives()), family.relatives().to_vec(), true)
    };
    if chosen.len() < FEWEST_AT_ALL || family == Family::ZeroProof {
        return None;
    }
    let points: Vec<(Family, Point)> = chosen.iter().map(|r| (r.family, r.point())).collect();
    let mut left_out: Vec<f64> = chosen
        .iter()
        .filter_map(|r| if pooled { r.left_out_of_kin } else { r.left_out })
        .collect();
    left_out.sort_by(f64::total_cmp);
    // Where its own drinks are enough to show where they lie, they are shown.
    let shown = if own.len() >= FEWEST_AT_ALL { &own } else { &chosen };
    let values = [0, 1, 2].map(|i| {
        let mut values: Vec<f64> = shown.iter().map(|r| r.point()[i]).collect();
        values.sort_by(f64::total_cmp);
        values
    });
    Some(Region {
        family,
        from,
        count: chosen.len(),
        shape: Shape::of(family, &points)?,
        left_out,
        seen: [0, 1, 2].map(|i| {
            (
                spans::quantile(&values[i], 0.05),
                spans::quantile(&values[i], 0.95),
            )
        }),
        half: [0, 1, 2].map(|i| {
            (
                spans::quantile(&values[i], 0.25),
                spans::quantile(&values[i], 0.75),
            )
        }),
        values,
    })
}

/// How often the verdicts are right in one family, each published drink left out in turn; see [`super::record`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RecordRow {
    /// The convention acid is counted in.
    pub convention: Convention,
    /// The family; `None` for all together.
    pub family: Option<Family>,
    /// Drinks with alcohol on which nothing can be said.
    pub silent: usize,
    /// Good drinks that are judged.
    pub good: usize,
    /// Of these, said to be outside.
    pub outside: usize,
    /// Of these, said to be outside or at the edge.
    pub off: usize,
    /// Spoiled drinks.
    pub spoiled: usize,
    /// Of these, said to be off at all.
    pub found: usize,
    /// Of these, with the right word.
    pub right: usize,
}

static RECORD: LazyLock<Vec<RecordRow>> = LazyLock::new(|| {
    rows(
        "verdict_record.csv",
        include_str!("../../../../fixtures/reference/verdict_record.csv"),
    )
});

/// How often the verdicts are right in a family, or over all, as `washline ranges test` found it.
#[must_use]
pub fn record_of(family: Option<Family>, convention: Convention) -> Option<&'static RecordRow> {
    RECORD
        .iter()
        .find(|r| r.family == family && r.convention == convention)
}

impl RecordRow {
    /// As one line under a verdict.
    #[must_use]
    pub fn said(&self) -> String {
        let pct = |hits: usize, of: usize| (100 * hits + of / 2) / of.max(1);
        format!(
            "of {} published drinks left out in turn {} % would be called outside and {} % outside or at the edge; of {} spoiled on purpose {} % are found, {} % by the right word",
            self.good,
            pct(self.outside, self.good),
            pct(self.off, self.good),
            self.spoiled,
            pct(self.found, self.spoiled),
            pct(self.right, self.spoiled)
        )
    }
}

/// What the published drinks come to under a convention.
#[must_use]
pub fn figures(convention: Convention) -> &'static [FigureRow] {
    &KNOWN[convention as usize].rows
}

/// Where the published drinks of a family lie; `None` where too few are known to say.
#[must_use]
pub fn region(family: Family, convention: Convention) -> Option<&'static Region> {
    KNOWN[convention as usize].regions.get(family as usize)?.as_ref()
}
