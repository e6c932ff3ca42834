//! One drink that is written in two ways, or stands in one of two lists.

use std::fmt::{self, Display};

use serde::Serialize;

use super::super::facts::DrinkAt;
use super::{Todo, Told, first, names};
use crate::balance::Severity;
use crate::service::comparison::{Apart, FigureFacts, SaidPair, TOO_SMALL};
use crate::tables::Remedy;
use crate::tables::printed::from_to;

/// A figure that is another in the second spec of a drink.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FigureDrift {
    /// Which.
    #[serde(flatten)]
    pub facts: FigureFacts,
    /// In the first.
    pub a: f64,
    /// In the second.
    pub b: f64,
    /// How far apart.
    #[serde(flatten)]
    pub apart: Apart,
}

/// A pour that is another in the second spec of a drink.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PourDrift {
    /// Of what.
    pub ingredient: String,
    /// In the first; `None` where it pours none.
    pub a: Option<String>,
    /// In the second.
    pub b: Option<String>,
}

/// Two specs of one drink that are not the same.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Drift {
    /// Where the first stands: a book, a version.
    pub a: String,
    /// Where the second stands.
    pub b: String,
    /// Pours that differ.
    pub pours: Vec<PourDrift>,
    /// What else differs.
    pub said: Vec<SaidPair>,
    /// What that comes to in the glass: the figures that differ as printed.
    pub glass: Vec<FigureDrift>,
    /// Whether any of those can be told apart.
    pub told_apart: bool,
}

/// Drinks that only one of two lists has.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OnlyInOne {
    /// The list that lacks them.
    pub lacking: String,
}

impl Display for PourDrift {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let said = |side: &Option<String>| match side.as_deref() {
            None => "none".to_owned(),
            Some("") => "some".to_owned(),
            Some(text) => text.to_owned(),
        };
        write!(f, "{} {}", self.ingredient, from_to(said(&self.a), said(&self.b)))
    }
}

impl Display for FigureDrift {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let change = from_to(self.facts.number(self.a), self.facts.printed(self.b));
        write!(f, "{} {change}", self.facts.word)?;
        if self.apart.too_small {
            write!(f, " ({TOO_SMALL})")?;
        }
        Ok(())
    }
}

impl Told for Drift {
    fn todo(&self) -> Todo {
        Todo::Settle
    }

    fn severity(&self) -> Severity {
        if self.told_apart {
            Severity::Edge
        } else {
            Severity::Note
        }
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", first(drinks), from_to(&self.a, &self.b))?;
        let mut changes: Vec<String> = self.pours.iter().map(ToString::to_string).collect();
        changes.extend(self.said.iter().map(|said| {
            let or_none = |text: &str| if text.is_empty() { "none" } else { text }.to_owned();
            format!("{} {}", said.what, from_to(or_none(&said.a), or_none(&said.b)))
        }));
        if !changes.is_empty() {
            write!(f, ": {}", changes.join("; "))?;
        }
        let glass: Vec<String> = self.glass.iter().map(ToString::to_string).collect();
        if glass.is_empty() {
            f.write_str("; in the glass the same")
        } else {
            write!(f, "; in the glass {}", glass.join(", "))
        }
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        "decide which one is poured, and write it in both places".into()
    }
}

impl Told for OnlyInOne {
    fn todo(&self) -> Todo {
        Todo::Settle
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "not in {}: {}", self.lacking, names(drinks))
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        "add them there, or leave it so".into()
    }
}
