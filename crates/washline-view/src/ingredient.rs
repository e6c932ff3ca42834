//! What an ingredient is.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::ingredient::{self, Basis, Convention, Origin, Shape, Status};
use washline_core::store::Refreshed;

use crate::parts::{Exact, Text, Version, Word, one_of, spoken, texts};
use crate::shared::{Allergens, DrinkOf, each};

spoken!(
    Basis = "basis",
    Origin = "origin",
    Shape = "shape",
    Status = "status"
);

/// Ingredients with every value they have; `add` and `set` say also which drinks were worked out anew.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline ingredient list, show, add, set")]
pub struct Ingredients<'a> {
    pub schema: Version,
    pub ingredients: Vec<Ingredient<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub recomputed: Option<Vec<DrinkOf<'a>>>,
}

impl<'a> Ingredients<'a> {
    /// With what was worked out anew, where one was changed.
    pub fn of(
        all: impl IntoIterator<Item = &'a ingredient::Ingredient>,
        refreshed: Option<&'a Refreshed>,
    ) -> Ingredients<'a> {
        Ingredients {
            schema: Version,
            ingredients: all.into_iter().map(Ingredient::from).collect(),
            recomputed: refreshed.map(|refreshed| each(&refreshed.recomputed)),
        }
    }
}

crate::parts::shape! {
    Ingredient<'a> = "ingredient" of one: &'a ingredient::Ingredient {
        name: Text<'a> = (&one.name).into(),
        kind: Text<'a> = one.kind.word().into(),
        groups: Vec<Text<'a>> = texts(&one.groups),
        aliases: Vec<Text<'a>> = texts(&one.aliases),
        /// What its parts are counted in: g/L at 20 °C, or g/100 g.
        basis: Word<Basis> = one.basis.into(),
        carbonated: bool = one.carbonated,
        origin: Word<Origin> = one.origin.into(),
        allergens: Allergens<'a> = Allergens::of(&one.allergens_eu, &one.allergens_us),
        caution: &'a str = &one.caution,
        note: &'a str = &one.note,
        /// None for what is water, or adds nothing.
        values: Vec<Value<'a>> = one.values.iter().map(|value| Value::of(value, one.basis)).collect(),
    }
}

one_of!(
    /// What a value is about.
    QuantityWord = "quantity":
    "alcoholic strength", "sucrose", "glucose", "fructose", "lactose", "maltose", "sugars unspecified", "citric acid",
    "malic acid", "tartaric acid", "lactic acid", "acetic acid", "phosphoric acid", "acid unspecified as citric", "fat",
    "protein", "other carbohydrate", "salt", "other extract", "erythritol", "xylitol", "allulose", "sucralose",
    "steviol glycosides", "density", "piece mass", "leaf mass", "sprig mass", "slice mass", "wheel mass", "wedge mass",
    "cube mass", "handful mass", "pinch mass", "bulk density", "juice per fruit", "press yield"
);
one_of!(
    /// What it is counted in.
    QuantityUnit = "quantity_unit": "% vol", "g/L", "g/100 g", "g/ml", "g", "ml", "%"
);

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "value")]
pub struct Value<'a> {
    pub quantity: QuantityWord<'a>,
    pub unit: QuantityUnit<'a>,
    pub value: Exact,
    pub low: Exact,
    pub high: Exact,
    /// How it spreads between low and high.
    pub shape: Word<Shape>,
    /// The convention it holds in; null in both.
    pub convention: Option<Word<Convention>>,
    /// Author or standard, year, table or page.
    pub source: Text<'a>,
    pub status: Word<Status>,
}

impl<'a> Value<'a> {
    fn of(value: &'a ingredient::Value, basis: Basis) -> Value<'a> {
        Value {
            quantity: QuantityWord(value.quantity.name()),
            unit: QuantityUnit(value.quantity.unit(basis)),
            value: value.value.into(),
            low: value.low.into(),
            high: value.high.into(),
            shape: value.shape.into(),
            convention: value.convention.map(Word::from),
            source: (&value.source).into(),
            status: value.status.into(),
        }
    }
}
