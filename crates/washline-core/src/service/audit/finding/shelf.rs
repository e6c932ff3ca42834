//! What stands on the shelf: poured once, written in two ways, or not poured at all.

use std::fmt;

use rust_decimal::Decimal;
use serde::Serialize;

use super::super::facts::DrinkAt;
use super::{Todo, Told, first, names};
use crate::tables::Remedy;

/// An ingredient that one drink alone pours.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LonelyIngredient {
    /// What.
    pub ingredient: String,
    /// Whether the house makes it.
    pub made: bool,
    /// The package it is bought in.
    pub package: Option<String>,
    /// What one package costs, net.
    pub holds: Option<Decimal>,
    /// In what.
    pub currency: Option<String>,
}

/// One ingredient, written in several ways.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TwoNames {
    /// What it is.
    pub ingredient: String,
    /// The names, the most written first.
    pub names: Vec<String>,
}

/// Two ingredients whose names are near.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NearNames {
    /// One.
    pub ingredient: String,
    /// The other.
    pub other: String,
}

/// A preparation, or an ingredient that a book defines, and nobody pours.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct UnpouredPreparation {
    /// What.
    pub ingredient: String,
    /// Its book.
    pub book: String,
    /// Whether it is made here, and not only defined.
    pub made: bool,
}

impl LonelyIngredient {
    /// `700 ml on the shelf holds 24.00 EUR`; `None` where no price tells.
    #[must_use]
    pub fn holding(&self) -> Option<String> {
        let (package, holds) = (self.package.as_ref()?, self.holds?);
        let code = self.currency.as_deref().unwrap_or_default();
        Some(
            format!("{package} on the shelf holds {holds:.2} {code}")
                .trim_end()
                .to_owned(),
        )
    }
}

impl Told for LonelyIngredient {
    fn todo(&self) -> Todo {
        Todo::Shelf
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, poured by {} alone", self.ingredient, first(drinks))?;
        match self.holding() {
            _ if self.made => f.write_str(", and made for it"),
            Some(holding) => write!(f, ": {holding}"),
            None => Ok(()),
        }
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        if self.made {
            "pour it in a second drink, or do without"
        } else {
            "pour it in a second drink, swap it for what is there, or do without"
        }
        .into()
    }
}

impl Told for TwoNames {
    fn todo(&self) -> Todo {
        Todo::Shelf
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let quoted: Vec<String> = self.names.iter().map(|n| format!("`{n}`")).collect();
        write!(
            f,
            "{} is written {} (in {})",
            self.ingredient,
            quoted.join(" and "),
            names(drinks)
        )
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        format!(
            "write `{}` throughout",
            self.names.first().map_or("", String::as_str)
        )
        .into()
    }
}

impl Told for NearNames {
    fn todo(&self) -> Todo {
        Todo::Shelf
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} and {}: two bottles, or one? (in {})",
            self.ingredient,
            self.other,
            names(drinks)
        )
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        "if they are one bottle, write one name; if not, say so to the bar".into()
    }
}

impl Told for UnpouredPreparation {
    fn todo(&self) -> Todo {
        Todo::Shelf
    }

    fn sentence(&self, _: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} ({}) is {}, and nobody pours it",
            self.ingredient,
            self.book,
            if self.made { "made" } else { "defined" }
        )
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        "pour it, or stop making it".into()
    }
}
