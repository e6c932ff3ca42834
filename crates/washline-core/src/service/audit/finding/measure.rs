//! Amounts as the bar measures them: jiggers and units.

use std::fmt;

use serde::Serialize;

use super::super::facts::DrinkAt;
use super::{Todo, Told, first, listed, names};
use crate::balance::Severity;
use crate::tables::Remedy;
use crate::tables::printed::trimmed;

/// An amount that no jigger of the house measures.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct UnpouredAmount {
    /// Of what.
    pub ingredient: String,
    /// The amount as written.
    pub written: String,
    /// The next amount below that can be measured, as it would be written.
    pub below: Option<String>,
    /// The next above.
    pub above: Option<String>,
}

/// Millilitres and ounces in one book.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MixedUnits {
    /// The book.
    pub book: String,
    /// Pours in ml, cl, dl, l.
    pub metric: usize,
    /// Pours in ounces.
    pub ounces: usize,
}

/// Two sizes of ounce.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TwoOunces {
    /// The ounce of the book, ml.
    pub book_ounce_ml: f64,
    /// The other one, ml.
    pub other_ounce_ml: f64,
    /// What shows it: `44.4 ml is 1 1/2 oz of 29.57 ml`, the title of the other book.
    pub shown_by: Vec<String>,
}

impl Told for UnpouredAmount {
    fn todo(&self) -> Todo {
        Todo::Measure
    }

    fn severity(&self) -> Severity {
        Severity::Edge
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}: {} {} is no measure of this bar",
            first(drinks),
            self.written,
            self.ingredient
        )
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        let near: Vec<&str> = [&self.below, &self.above]
            .into_iter()
            .flatten()
            .map(String::as_str)
            .collect();
        if near.is_empty() {
            return "write a whole one".into();
        }
        format!(
            "write {}, or set `jigger set:` to what the bar has",
            near.join(" or ")
        )
        .into()
    }
}

impl Told for MixedUnits {
    fn todo(&self) -> Todo {
        Todo::Measure
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}: {} pours in ml and {} in oz in one book; the fewer in {}",
            self.book,
            self.metric,
            self.ounces,
            names(drinks)
        )
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        let (few, most) = if self.metric < self.ounces {
            ("ml", "oz")
        } else {
            ("oz", "ml")
        };
        format!("write in {most} what is in {few}, like the rest").into()
    }
}

impl Told for TwoOunces {
    fn todo(&self) -> Todo {
        Todo::Measure
    }

    fn severity(&self) -> Severity {
        Severity::Edge
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "two ounces: {} ml and {} ml; {}",
            trimmed(self.book_ounce_ml, 2),
            trimmed(self.other_ounce_ml, 2),
            listed(self.shown_by.iter().map(String::as_str))
        )?;
        if drinks.is_empty() {
            Ok(())
        } else {
            write!(f, " (in {})", names(drinks))
        }
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        "one ounce for the house: set `ounce:` and write converted amounts as they are poured".into()
    }
}
