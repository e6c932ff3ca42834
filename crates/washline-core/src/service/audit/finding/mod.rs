//! What an audit finds: the numbers of each kind, and beside them how grave it is, what it says and what helps.
//!
//! | file | kinds of |
//! |---|---|
//! | `of_drink.rs` | build, balance, glass: what a check of one drink finds |
//! | `serve.rs` | alcohol in one serve |
//! | `settle.rs` | one drink in two books, two versions, two lists |
//! | `measure.rs` | jiggers and units |
//! | `find_out.rs` | facts that are missing or old |
//! | `list.rs` | the list as a whole |
//! | `shelf.rs` | what stands on the shelf |

mod find_out;
mod list;
mod measure;
mod of_drink;
mod serve;
mod settle;
mod shelf;

pub use find_out::{Fact, MissingFact, OldMeasurement};
pub use list::{NearTwins, Uneven};
pub use measure::{MixedUnits, TwoOunces, UnpouredAmount};
pub use serve::ServingSize;
pub use settle::{Drift, FigureDrift, OnlyInOne, PourDrift};
pub use shelf::{LonelyIngredient, NearNames, TwoNames, UnpouredPreparation};

use std::fmt::{self, Display};

use serde::Serialize;

use super::facts::DrinkAt;
use crate::balance::{Finding, Severity};
use crate::tables::Remedy;

/// What is to be done about a finding: the groups that a reader works through.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Todo {
    /// The build cannot be right.
    Build,
    /// Out of its range.
    Balance,
    /// It does not fit its glass.
    Glass,
    /// More alcohol than the house serves.
    Serve,
    /// Two specs of one drink.
    Settle,
    /// Amounts as the bar measures them.
    Measure,
    /// Facts that nobody has written down.
    FindOut,
    /// The list as a whole.
    List,
    /// What stands on the shelf.
    Shelf,
}

crate::ingredient::words!(Todo);

impl Todo {
    /// What to do, as a heading.
    #[must_use]
    pub fn heading(self) -> &'static str {
        match self {
            Todo::Build => "Put the build right",
            Todo::Balance => "Bring into balance",
            Todo::Glass => "Fit drink and glass",
            Todo::Serve => "Look at the serve",
            Todo::Settle => "Settle which spec holds",
            Todo::Measure => "Write what the bar can measure",
            Todo::FindOut => "Find out and write down",
            Todo::List => "Look at the list as a whole",
            Todo::Shelf => "Tidy the shelf",
        }
    }
}

/// Something found in a list of drinks.
#[derive(Clone, Debug, PartialEq)]
pub struct AuditFinding {
    /// The drinks it is about; none where it is about what is not there, or what nobody pours.
    pub drinks: Vec<DrinkAt>,
    /// What is found.
    pub found: Found,
}

/// What is found, by its kind.
#[derive(Clone, Debug, PartialEq, Serialize, strum::IntoStaticStr, strum::VariantNames)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Found {
    /// More alcohol in a drink than the house serves.
    ServingSize(ServingSize),
    /// Two specs of one drink that are not the same.
    Drift(Drift),
    /// Drinks that only one of two lists has.
    OnlyInOne(OnlyInOne),
    /// An amount that no jigger of the house measures.
    UnpouredAmount(UnpouredAmount),
    /// Millilitres and ounces in one book.
    MixedUnits(MixedUnits),
    /// Two sizes of ounce.
    TwoOunces(TwoOunces),
    /// A fact that is missing.
    MissingFact(MissingFact),
    /// A measurement or price that is old.
    OldMeasurement(OldMeasurement),
    /// Uneven.
    Spread(Uneven),
    /// Two drinks that are nearly one.
    NearTwins(NearTwins),
    /// An ingredient that one drink alone pours.
    LonelyIngredient(LonelyIngredient),
    /// One ingredient, written in several ways.
    TwoNames(TwoNames),
    /// Two ingredients whose names are near.
    NearNames(NearNames),
    /// A preparation, or an ingredient that a book defines, and nobody pours.
    UnpouredPreparation(UnpouredPreparation),
    /// What a check of the drink by itself finds: balance, glass, build.
    #[serde(untagged)]
    OfDrink(Finding),
}

/// What each kind of finding tells of itself, the drinks it is about beside it.
trait Told {
    /// What is to be done about it.
    fn todo(&self) -> Todo;

    /// How grave it is.
    fn severity(&self) -> Severity {
        Severity::Note
    }

    /// It in a sentence.
    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result;

    /// What would put it right.
    fn cure(&self, drinks: &[DrinkAt]) -> Remedy;
}

impl Found {
    fn told(&self) -> &dyn Told {
        match self {
            Found::ServingSize(found) => found,
            Found::Drift(found) => found,
            Found::OnlyInOne(found) => found,
            Found::UnpouredAmount(found) => found,
            Found::MixedUnits(found) => found,
            Found::TwoOunces(found) => found,
            Found::MissingFact(found) => found,
            Found::OldMeasurement(found) => found,
            Found::Spread(found) => found,
            Found::NearTwins(found) => found,
            Found::LonelyIngredient(found) => found,
            Found::TwoNames(found) => found,
            Found::NearNames(found) => found,
            Found::UnpouredPreparation(found) => found,
            Found::OfDrink(found) => found,
        }
    }
}

impl AuditFinding {
    /// One word for its kind.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match &self.found {
            Found::OfDrink(finding) => finding.kind(),
            own => own.into(),
        }
    }

    /// How grave it is.
    #[must_use]
    pub fn severity(&self) -> Severity {
        self.found.told().severity()
    }

    /// What is to be done about it.
    #[must_use]
    pub fn todo(&self) -> Todo {
        self.found.told().todo()
    }

    /// What would put it right.
    #[must_use]
    pub fn cure(&self) -> Remedy {
        self.found.told().cure(&self.drinks)
    }
}

impl Display for AuditFinding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.found.told().sentence(&self.drinks, f)
    }
}

/// The name of the drink that it is about before all others.
fn first(drinks: &[DrinkAt]) -> &str {
    drinks.first().map_or("", |d| d.name.as_str())
}

/// Names of drinks, each once, with "and so many more" after the first few.
fn names(drinks: &[DrinkAt]) -> String {
    let mut names: Vec<&str> = Vec::new();
    for drink in drinks {
        if !names.contains(&drink.name.as_str()) {
            names.push(&drink.name);
        }
    }
    listed(names.into_iter())
}

/// How many of a list are named in a sentence.
const NAMED: usize = 6;

fn listed<'a>(all: impl ExactSizeIterator<Item = &'a str>) -> String {
    let count = all.len();
    // One more than that is as short as "and 1 more".
    let shown = if count <= NAMED + 1 { count } else { NAMED };
    let mut text = all.take(shown).collect::<Vec<_>>().join(", ");
    if count > shown {
        text.push_str(&format!(" and {} more", count - shown));
    }
    text
}
