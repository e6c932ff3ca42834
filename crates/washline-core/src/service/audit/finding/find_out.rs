//! Facts that nobody has written down, and those that are old.

use std::fmt;

use jiff::civil::Date;
use serde::Serialize;

use super::super::facts::DrinkAt;
use super::{Todo, Told, listed, names};
use crate::balance::Severity;
use crate::tables::Remedy;

/// A fact that a spec should have.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, strum::IntoStaticStr, strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Fact {
    /// What is in it that some must not have.
    Allergens,
    /// The glass.
    Glass,
    /// How large the glass is.
    GlassSize,
    /// The selling price.
    Price,
    /// The garnish, or that there is none.
    Garnish,
    /// Figures of an ingredient that anyone has read or measured.
    Figures,
}

impl Fact {
    fn words(self) -> &'static str {
        match self {
            Fact::Allergens => "with allergens unknown",
            Fact::Glass => "no glass is named",
            Fact::GlassSize => "the size of the glass is only the usual one",
            Fact::Price => "no selling price",
            Fact::Garnish => "no garnish is named",
            Fact::Figures => "with figures from memory alone",
        }
    }
}

/// A fact that is missing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MissingFact {
    /// Which.
    pub fact: Fact,
    /// The ingredients, where it is about them.
    pub ingredients: Vec<String>,
    /// Of so many that are poured.
    pub of: usize,
}

/// A measurement or price that is old.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OldMeasurement {
    /// Of what.
    pub ingredient: String,
    /// What was measured: the quantity, or `price`.
    pub what: String,
    /// When.
    pub since: Date,
    /// So many days ago.
    pub days: i64,
    /// Old from so many days.
    pub limit_days: i64,
}

impl Told for MissingFact {
    fn todo(&self) -> Todo {
        Todo::FindOut
    }

    fn severity(&self) -> Severity {
        if self.fact == Fact::Allergens {
            Severity::Edge
        } else {
            Severity::Note
        }
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (words, of) = (self.fact.words(), self.of);
        if self.ingredients.is_empty() {
            write!(f, "{words} in {} of {of} drinks: {}", drinks.len(), names(drinks))
        } else {
            write!(
                f,
                "of {of} ingredients {} {words}: {}",
                self.ingredients.len(),
                listed(self.ingredients.iter().map(String::as_str))
            )
        }
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        match self.fact {
            Fact::Allergens => "read the labels, and set `allergens:` of the ingredient".into(),
            Fact::Glass => "`glass: coupe, 180 ml` under the name".into(),
            Fact::GlassSize => "fill one to the brim, and write its size: `glass: coupe, 180 ml`".into(),
            Fact::Price => "`price: 12.50` under the name".into(),
            Fact::Garnish => "`garnish: lemon zest` under the name, or `garnish: none`".into(),
            Fact::Figures => Remedy::Measure,
        }
    }
}

impl Told for OldMeasurement {
    fn todo(&self) -> Todo {
        Todo::FindOut
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} of {} is of {}, {} days old (in {})",
            self.what,
            self.ingredient,
            self.since,
            self.days,
            names(drinks)
        )
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        let of = self.ingredient.clone();
        if self.what == "price" {
            Remedy::Price { of }
        } else {
            Remedy::MeasureAgain { of }
        }
    }
}
