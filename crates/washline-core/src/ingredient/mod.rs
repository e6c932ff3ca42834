//! What a bottle, a juice, a syrup or a fruit is: its values with their sources, and the
//! [`Liquid`] that follows from them.

mod allergen;
mod define;
mod hazard;
mod kind_of;
mod kind_table;
mod library;
mod named_allergen;
mod phrases;
mod price;
mod prices;
mod spread;
mod stock;
mod value;

pub use allergen::{AllergenList, Declaration, NONE_USUAL};
pub use define::Defined;
pub(crate) use define::us_of;
pub use hazard::{Hazard, Severity, hazards, never, refusal};
pub use kind_of::{KindAnswer, as_kind, kind_members, tells_its_kind};
#[cfg(feature = "store")]
pub(crate) use library::LIBRARY_TEXTS;
pub use library::{LibraryError, library};
pub use named_allergen::{NamedAllergen, allergens_named, declared_by_name};
pub use price::{Bought, Lost, Offer, Package, Portion, Price, SoldBy, Tax, Yielding, percentage};
pub use prices::Prices;
pub(crate) use spread::NORMAL_95;
pub use spread::{Form, Spread};
pub use stock::{Found, Meaning, Stock};
pub(crate) use value::words;
pub use value::{Convention, Countable, Quantity, Shape, Status, Value};

use serde::{Deserialize, Serialize};

use crate::liquid::{Component, Family, Liquid, LiquidError};
use crate::measure::{Amount, Unit};
use crate::tables::IngredientKind;

/// What an ingredient's parts are counted in.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    Hash,
    Serialize,
    Deserialize,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Basis {
    /// g per litre at 20 °C; water is what fills the litre.
    Litre,
    /// g per 100 g; the rest is water.
    Mass,
}

words!(Basis);

/// Who says what an ingredient is.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Origin {
    /// The reference library that comes with the program.
    Library,
    /// The house, by `ingredient add` or `ingredient set`.
    House,
    /// A book that defines it for its own drinks.
    Book,
}

words!(Origin);

/// An ingredient: generic, never a brand.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ingredient {
    /// Its name, as a bartender writes it in a spec.
    pub name: String,
    /// What sort of thing it is: spirit, liqueur, juice, syrup, egg …
    pub kind: IngredientKind,
    /// The kinds a line can name it by: "any anise liqueur".
    pub groups: Vec<String>,
    /// Other ways people say the same thing.
    pub aliases: Vec<String>,
    /// What its parts are counted in.
    pub basis: Basis,
    /// Whether it fizzes: it must not go into a shaken tin.
    pub carbonated: bool,
    /// Allergens on the European list.
    pub allergens_eu: Declaration,
    /// Allergens on the list of the United States.
    pub allergens_us: Declaration,
    /// A caution to show with every drink that pours it; empty for none.
    pub caution: String,
    /// A note for the reader; empty for none.
    pub note: String,
    /// Its figures.
    pub values: Vec<Value>,
    /// Who says so.
    pub origin: Origin,
}

/// A value of an ingredient that its liquid cannot be made of.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{name}: {why}")]
pub struct IngredientError {
    /// The ingredient.
    pub name: String,
    /// What is wrong with its values.
    pub why: LiquidError,
}

impl Ingredient {
    /// The value of a quantity under a convention: the one given for it, else the one that holds in both.
    #[must_use]
    pub fn value(&self, quantity: Quantity, convention: Convention) -> Option<&Value> {
        let of = |c: Option<Convention>| {
            self.values
                .iter()
                .find(|v| v.quantity == quantity && v.convention == c)
        };
        of(Some(convention)).or_else(|| of(None))
    }

    /// The figures that hold under a convention, each quantity once.
    pub fn values_in(&self, convention: Convention) -> impl Iterator<Item = &Value> {
        self.values.iter().filter(move |v| match v.convention {
            Some(own) => own == convention,
            None => !self
                .values
                .iter()
                .any(|w| w.quantity == v.quantity && w.convention == Some(convention)),
        })
    }

    /// The nominal figure of a quantity under a convention.
    #[must_use]
    pub fn figure(&self, quantity: Quantity, convention: Convention) -> Option<f64> {
        self.value(quantity, convention).map(|v| v.value)
    }

    /// What an amount without a unit counts, where it counts anything: pieces of what is known by the piece, up to twelve, in
    /// whole numbers but for fruit, vegetables and eggs (`half a lime`); dashes of bitters, up to six. Common practice, no
    /// source.
    #[must_use]
    pub fn counted_in(&self, amount: Amount, convention: Convention) -> Option<Unit> {
        let whole = amount.is_whole();
        let halved = matches!(
            self.kind,
            IngredientKind::Fruit | IngredientKind::Vegetable | IngredientKind::Egg
        );
        let by_piece = self
            .figure(Quantity::Mass(Countable::Piece), convention)
            .is_some();
        if by_piece && (whole || halved) && amount <= Amount::raw(12, 1) {
            return Some(Unit::Piece);
        }
        // `2 bitters`, `orange bitters x2`: a bar counts bitters in dashes.
        (self.kind == IngredientKind::Bitters && whole && amount <= Amount::raw(6, 1)).then_some(Unit::Dash)
    }

    /// A litre, or 100 g, of it by its own basis; `strength` in % vol replaces the one it has.
    ///
    /// # Errors
    /// When its values cannot all be true at once.
    pub fn liquid(&self, convention: Convention, strength: Option<f64>) -> Result<Liquid, IngredientError> {
        self.liquid_if(convention, strength, &|_, value| value)
    }

    /// The same, if its values were other figures: each goes through `figure`.
    ///
    /// # Errors
    /// When its values cannot all be true at once.
    pub fn liquid_if(
        &self,
        convention: Convention,
        strength: Option<f64>,
        figure: &dyn Fn(Quantity, f64) -> f64,
    ) -> Result<Liquid, IngredientError> {
        let parts: Vec<(Component, f64)> = self
            .values_in(convention)
            .filter_map(|v| match v.quantity {
                Quantity::Part(component) => Some((component, figure(v.quantity, v.value))),
                _ => None,
            })
            .collect();
        let strength = strength
            .or_else(|| self.figure(Quantity::Strength, convention))
            .unwrap_or(0.0);
        let strength = figure(Quantity::Strength, strength);
        match self.basis {
            Basis::Litre => Liquid::litre(strength, &parts),
            Basis::Mass => Liquid::hundred_grams(&parts),
        }
        .map_err(|why| IngredientError {
            name: self.name.clone(),
            why,
        })
    }

    /// What of a family (sugars, acids) is known as one total: its parts that spread, the largest first, each with what a
    /// gram of it counts for. Fewer than two have no total of their own.
    #[must_use]
    pub fn total(&self, family: Family, convention: Convention) -> Vec<(&Value, f64)> {
        let mut parts: Vec<(&Value, f64)> = self
            .values_in(convention)
            .filter(|v| v.value > 0.0 && v.spread().is_some())
            .filter_map(|v| match v.quantity {
                Quantity::Part(part) if part.facts().family == family => {
                    let weight = if family == Family::Acid {
                        part.facts().as_citric
                    } else {
                        1.0
                    };
                    Some((v, weight))
                }
                _ => None,
            })
            .collect();
        parts.sort_by(|a, b| (b.0.value * b.1).total_cmp(&(a.0.value * a.1)));
        if parts.len() < 2 { Vec::new() } else { parts }
    }

    /// The fruit it comes from, by name, where it is that fruit or its juice: what one delivery brings is as sweet and as
    /// tart pressed as it is cut. Its own name else.
    #[must_use]
    pub fn delivery(&self) -> &str {
        match self.kind {
            IngredientKind::Juice | IngredientKind::Fruit => {
                let name = self.name.as_str();
                name.strip_suffix(" juice")
                    .or_else(|| name.strip_suffix(" fruit"))
                    .unwrap_or(name)
            }
            _ => &self.name,
        }
    }

    /// Whether it is a dry or solid thing: spoons of it are heaps, pieces of it are muddled.
    #[must_use]
    pub fn is_solid(&self) -> bool {
        [Quantity::BulkDensity, Quantity::PressYield]
            .iter()
            .any(|q| self.values.iter().any(|v| v.quantity == *q))
    }

    /// Whether it is counted by the piece: what one weighs, or gives of juice, is known.
    #[must_use]
    pub fn counts_by_the_piece(&self) -> bool {
        [Quantity::Mass(Countable::Piece), Quantity::JuicePerFruit]
            .iter()
            .any(|q| self.values.iter().any(|v| v.quantity == *q))
    }

    /// Whether it holds alcohol, so that a strength on a line can be about it.
    #[must_use]
    pub fn is_alcoholic(&self) -> bool {
        self.values
            .iter()
            .any(|v| v.quantity == Quantity::Strength && v.value > 0.0)
    }
}
