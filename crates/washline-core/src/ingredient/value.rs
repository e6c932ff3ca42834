//! One figure about an ingredient, with how sure it is and who says so.

use serde::{Deserialize, Serialize};

use crate::liquid::Component;

/// What a value is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// Alcoholic strength by volume, % vol at 20 °C.
    Strength,
    /// Mass of a component, g/L or g/100 g by the ingredient's [`super::Basis`].
    Part(Component),
    /// A measured density at 20 °C, g/ml: a check on the model, not an input to it.
    Density,
    /// Mass of one of them, g.
    Mass(Countable),
    /// Mass over volume of a dry solid in a spoon or cup, g/ml.
    BulkDensity,
    /// Juice one fruit gives, ml.
    JuicePerFruit,
    /// Share of a solid's mass that muddling or shaking presses out into the drink, %.
    PressYield,
}

/// Things that are counted into a drink.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the words say it")]
pub enum Countable {
    Piece,
    Leaf,
    Sprig,
    Slice,
    Wheel,
    Wedge,
    Cube,
    Handful,
    Pinch,
}

const NAMES: [(&str, Quantity); 14] = [
    ("alcoholic strength", Quantity::Strength),
    ("density", Quantity::Density),
    ("piece mass", Quantity::Mass(Countable::Piece)),
    ("leaf mass", Quantity::Mass(Countable::Leaf)),
    ("sprig mass", Quantity::Mass(Countable::Sprig)),
    ("slice mass", Quantity::Mass(Countable::Slice)),
    ("wheel mass", Quantity::Mass(Countable::Wheel)),
    ("wedge mass", Quantity::Mass(Countable::Wedge)),
    ("cube mass", Quantity::Mass(Countable::Cube)),
    ("handful mass", Quantity::Mass(Countable::Handful)),
    ("pinch mass", Quantity::Mass(Countable::Pinch)),
    ("bulk density", Quantity::BulkDensity),
    ("juice per fruit", Quantity::JuicePerFruit),
    ("press yield", Quantity::PressYield),
];

impl Quantity {
    /// Its name in library files, in the database and on screens.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Quantity::Part(component) => component.facts().name,
            other => NAMES
                .iter()
                .find(|(_, q)| *q == other)
                .map_or("", |(name, _)| name),
        }
    }

    /// The quantity of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<Quantity> {
        NAMES
            .iter()
            .find(|(n, _)| *n == name)
            .map(|(_, q)| *q)
            .or_else(|| {
                Component::named(name)
                    .filter(|c| !matches!(c, Component::Water | Component::Ethanol))
                    .map(Quantity::Part)
            })
    }

    /// Its unit, on that basis.
    #[must_use]
    pub fn unit(self, basis: super::Basis) -> &'static str {
        match self {
            Quantity::Strength => "% vol",
            Quantity::Part(_) => match basis {
                super::Basis::Litre => "g/L",
                super::Basis::Mass => "g/100 g",
            },
            Quantity::Density | Quantity::BulkDensity => "g/ml",
            Quantity::Mass(_) => "g",
            Quantity::JuicePerFruit => "ml",
            Quantity::PressYield => "%",
        }
    }
}

/// How a value spreads between its low and its high.
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
pub enum Shape {
    /// Exact by construction.
    Exact,
    /// Bell-shaped; low to high is about the central 95 %.
    Normal,
    /// Anywhere between is as likely: label tolerance, legal class, memory.
    Rectangular,
}

/// How far a value can be trusted.
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
pub enum Status {
    /// Measured or read off the label by the house.
    Measured,
    /// Seen in the source named.
    Read,
    /// Arithmetic from values that were read.
    Computed,
    /// Common practice, no source.
    Practice,
    /// Recalled, not seen: an editable default with a wide span.
    Memory,
}

/// Which of two ways a juice's strength is counted; see [`Convention`].
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
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
pub enum Convention {
    /// Lemon and lime juice taken as 6.0 g/100 ml titratable acid and 1.6 g/100 ml sugar, as the
    /// handbook that the core ranges come from does (Arnold, *Liquid Intelligence*, 2014).
    #[default]
    Handbook,
    /// What assays find: about 4.6 to 4.8 g/100 ml (Penniston et al. 2008).
    Assay,
}

/// What an enum gives whose words strum takes from its variants.
macro_rules! words {
    ($($type:ty),+ $(,)?) => {$(
        impl $type {
            /// Every word, in order.
            #[allow(dead_code, reason = "what this crate keeps to itself lists its words for nobody")]
            pub const WORDS: &'static [&'static str] = <$type as strum::VariantNames>::VARIANTS;

            /// The word for it in files, in the database and on screens.
            #[must_use]
            pub fn word(self) -> &'static str {
                self.into()
            }

            /// The one that `word` stands for, case aside.
            #[must_use]
            pub fn from_word(word: &str) -> Option<Self> {
                word.trim().to_lowercase().parse().ok()
            }
        }
    )+};
}
pub(crate) use words;

words!(Shape);
words!(Status);
words!(Convention);

/// One figure about an ingredient.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Value {
    /// What it is about.
    pub quantity: Quantity,
    /// The figure, in [`Quantity::unit`].
    pub value: f64,
    /// The span in which the true value lies for a bottle or fruit met in a bar, about 95 %.
    pub low: f64,
    /// See [`Value::low`].
    pub high: f64,
    /// How it spreads in that span.
    pub shape: Shape,
    /// The convention it holds in; `None` in both.
    pub convention: Option<Convention>,
    /// Author or standard, year, table or page.
    pub source: String,
    /// How far to trust it.
    pub status: Status,
}
