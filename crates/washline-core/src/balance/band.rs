//! Where drinks of a structure usually sit: two bands a measure.
//!
//! Core is the handbook's. Outer is what the trade's published recipes span, computed with this
//! very model from the classics in `fixtures/books/` (2.5th to 97.5th percentile where 20 or more
//! drinks stand behind it, else smallest to largest). Inside the core a drink is in; between the
//! two it is at the edge; beyond, outside. A structure without a band gets no verdict: silence is
//! honest, a false flag is not.

use std::cmp::Ordering;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::Structure;
use crate::ingredient::Convention;
use crate::names::Expected;
use crate::tables::printed::range;
use crate::tables::{FigureFacts, FigureName, rows};

/// What a band is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(into = "&'static str", try_from = "String")]
pub enum BalanceFigure {
    /// Strength, % vol.
    Strength,
    /// Sugar, g/100 ml.
    Sweetness,
    /// Titratable acid as citric, g/100 ml.
    Tartness,
}

impl From<BalanceFigure> for &'static str {
    fn from(measure: BalanceFigure) -> Self {
        measure.word()
    }
}

impl TryFrom<String> for BalanceFigure {
    type Error = Expected;
    fn try_from(word: String) -> Result<Self, Expected> {
        BalanceFigure::from_word(&word).ok_or_else(|| Expected::from(format!("no measure `{word}`")))
    }
}

impl BalanceFigure {
    /// All three, in order.
    pub const ALL: [BalanceFigure; 3] = [
        BalanceFigure::Strength,
        BalanceFigure::Sweetness,
        BalanceFigure::Tartness,
    ];

    /// The figure that it is among all of them.
    #[must_use]
    pub const fn which(self) -> FigureName {
        match self {
            BalanceFigure::Strength => FigureName::Strength,
            BalanceFigure::Sweetness => FigureName::Sweetness,
            BalanceFigure::Tartness => FigureName::Tartness,
        }
    }

    /// The word for it in files, in the database and in JSON: that of the figure.
    #[must_use]
    pub const fn word(self) -> &'static str {
        let FigureFacts { name, .. } = self.which().facts();
        name
    }

    /// The one that `word` stands for, case aside.
    #[must_use]
    pub fn from_word(word: &str) -> Option<BalanceFigure> {
        let wanted = word.trim().to_lowercase();
        BalanceFigure::ALL
            .into_iter()
            .find(|measure| measure.word() == wanted)
    }

    /// What a bartender calls it.
    #[must_use]
    pub fn name(self) -> &'static str {
        let FigureFacts { word, .. } = self.which().facts();
        word
    }

    /// Its unit.
    #[must_use]
    pub fn unit(self) -> &'static str {
        self.which().facts().unit
    }

    /// How many decimals it is shown with.
    #[must_use]
    pub fn decimals(self) -> u8 {
        self.which().facts().decimals
    }

    /// The measure that a bartender calls so.
    #[must_use]
    pub fn named(name: &str) -> Option<BalanceFigure> {
        match crate::names::key(name).as_str() {
            "strength" | "abv" | "alcohol" => Some(BalanceFigure::Strength),
            "sweetness" | "sugar" => Some(BalanceFigure::Sweetness),
            "tartness" | "acid" | "acidity" => Some(BalanceFigure::Tartness),
            _ => BalanceFigure::from_word(name),
        }
    }
}

/// A span with the precision it is printed with.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Span {
    /// Smallest.
    pub low: f64,
    /// Largest.
    pub high: f64,
    /// Decimals it is printed with: values are compared at that precision (8.904 is not above 8.9).
    pub decimals: u8,
    /// How many drinks stand behind it, where it was counted.
    pub count: Option<u32>,
    /// Who says so.
    pub source: String,
    /// How far to trust it.
    pub status: String,
    /// Whether the house set it for itself.
    #[serde(default)]
    pub own: bool,
}

impl Span {
    /// Where `value` lies, at the precision of the span: below, inside or above.
    #[must_use]
    pub fn place(&self, value: f64) -> Ordering {
        place(value, self.low, self.high, self.decimals)
    }

    /// As it is printed: `5.0 to 8.9`.
    #[must_use]
    pub fn printed(&self) -> String {
        let d = usize::from(self.decimals);
        range(self.low, self.high, d)
    }

    /// Whether anything lies in it and between `low` and `high` too, at the precision of the span.
    #[must_use]
    pub fn meets(&self, low: f64, high: f64) -> bool {
        self.place(high) != Ordering::Less && self.place(low) != Ordering::Greater
    }
}

/// The two bands of one measure in one structure.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// The handbook's, or the house's own.
    pub core: Option<Span>,
    /// What published recipes span.
    pub outer: Option<Span>,
}

/// Where a value lies in a span, both rounded to so many decimals.
fn place(value: f64, low: f64, high: f64, decimals: u8) -> Ordering {
    let scale = 10_f64.powi(i32::from(decimals));
    let rounded = (value * scale).round();
    if rounded < (low * scale).round() {
        Ordering::Less
    } else if rounded > (high * scale).round() {
        Ordering::Greater
    } else {
        Ordering::Equal
    }
}

impl Band {
    /// Where `value` lies in what is seen, as [`Band::reach`] has it; `None` without an outer band.
    #[must_use]
    pub fn place_in_reach(&self, value: f64) -> Option<Ordering> {
        let outer = self.outer.as_ref()?;
        let (low, high) = self.core.as_ref().map_or((outer.low, outer.high), |c| {
            (c.low.min(outer.low), c.high.max(outer.high))
        });
        Some(place(value, low, high, outer.decimals))
    }

    /// The span beyond which a figure is outside: what is usual is seen, so the outer band reaches over the
    /// core one even where the published recipes it was counted in lie elsewhere. `None` without an outer band.
    #[must_use]
    pub fn reach(&self) -> Option<Span> {
        let mut outer = self.outer.clone()?;
        if let Some(core) = &self.core {
            outer.low = outer.low.min(core.low);
            outer.high = outer.high.max(core.high);
        }
        Some(outer)
    }
}

/// All bands under one convention: by structure, then by measure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ranges {
    bands: Vec<[Band; 3]>,
}

#[derive(Deserialize)]
struct Row {
    structure: String,
    measure: String,
    band: String,
    low: f64,
    high: f64,
    decimals: u8,
    count: Option<u32>,
    convention: String,
    source: String,
    status: String,
}

static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
    rows(
        "bands.csv",
        include_str!("../../../../fixtures/reference/bands.csv"),
    )
});

impl Ranges {
    /// No bands at all.
    #[must_use]
    pub fn none() -> Ranges {
        Ranges {
            bands: vec![<[Band; 3]>::default(); Structure::all().count()],
        }
    }

    /// The published bands that hold under a convention. A band of tartness holds only in the
    /// convention its drinks were counted in.
    #[must_use]
    pub fn published(convention: Convention) -> Ranges {
        let mut ranges = Ranges::none();
        for row in ROWS.iter() {
            if !row.convention.is_empty() && row.convention != convention.word() {
                continue;
            }
            let (Some(structure), Some(measure)) = (
                Structure::named(&row.structure),
                BalanceFigure::from_word(&row.measure),
            ) else {
                continue;
            };
            let span = Span {
                low: row.low,
                high: row.high,
                decimals: row.decimals,
                count: row.count,
                source: row.source.clone(),
                status: row.status.clone(),
                own: false,
            };
            let band = ranges.band_mut(structure, measure);
            if row.band == "core" {
                band.core = Some(span)
            } else {
                band.outer = Some(span)
            }
        }
        ranges
    }

    /// The bands of a measure in a structure.
    #[must_use]
    pub fn band(&self, structure: Structure, measure: BalanceFigure) -> &Band {
        &self.bands[structure as usize][measure as usize]
    }

    /// The same, to be changed.
    pub fn band_mut(&mut self, structure: Structure, measure: BalanceFigure) -> &mut Band {
        &mut self.bands[structure as usize][measure as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_table_is_taken() {
        for row in ROWS.iter() {
            assert!(Structure::named(&row.structure).is_some(), "{}", row.structure);
            assert!(
                BalanceFigure::from_word(&row.measure).is_some(),
                "{}",
                row.measure
            );
            assert!(matches!(row.band.as_str(), "core" | "outer"), "{}", row.band);
            assert!(row.low <= row.high);
            assert!(!row.source.is_empty() && !row.status.is_empty());
            if row.measure == "acid_g_per_100ml" {
                assert!(
                    Convention::from_word(&row.convention).is_some(),
                    "a band of acid names its convention"
                );
            }
        }
    }

    #[test]
    fn values_are_compared_as_printed() {
        let band = Ranges::published(Convention::Handbook);
        let core = band
            .band(Structure::ShakenSour, BalanceFigure::Sweetness)
            .core
            .clone()
            .unwrap();
        assert_eq!(core.place(8.904), std::cmp::Ordering::Equal);
        assert_eq!(core.place(8.96), std::cmp::Ordering::Greater);
        assert_eq!(core.printed(), "5.0 to 8.9");
    }
}
