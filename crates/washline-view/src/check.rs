//! Drinks that were looked at, in one line each or in full.

use std::borrow::Cow;
use std::marker::PhantomData;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::{Serialize, Serializer};
use washline_core::build;
use washline_core::computed::{ComputedDrink, Prepared};
use washline_core::spec;

use crate::drink::{Drink, Pour};
use crate::over_time::OverTime;
use crate::parts::{Text, Version, one_of};
use crate::preparation::Preparation;
use crate::shared::{ConventionOfAll, Fault, each};

/// Drinks whose shapes are made one after the other, as they are written: all of them together take many times the room
/// of their text.
#[derive(Clone, Debug)]
pub struct EachDrink<I, V>(I, PhantomData<V>);

impl<I, V> EachDrink<I, V> {
    pub fn of(drinks: I) -> EachDrink<I, V> {
        EachDrink(drinks, PhantomData)
    }
}

impl<I: IntoIterator + Clone, V: From<I::Item> + Serialize> Serialize for EachDrink<I, V> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_seq(self.0.clone().into_iter().map(V::from))
    }
}

impl<I, V: JsonSchema> JsonSchema for EachDrink<I, V> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        Vec::<V>::schema_name()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        Vec::<V>::json_schema(generator)
    }
}

/// Drinks one after the other.
pub type Drinks<'a> = EachDrink<&'a [ComputedDrink], Drink<'a>>;

/// Drinks with their figures, verdicts and findings, and what of the books did not read.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline check, list")]
pub struct Checked<'a> {
    pub schema: Version,
    /// How the juices of all these drinks are counted.
    pub convention: ConventionOfAll,
    pub drinks: Drinks<'a>,
    /// What the house makes for its drinks; none in a list.
    pub preparations: Vec<Preparation<'a>>,
    pub faults: Vec<Fault<'a>>,
}

impl<'a> Checked<'a> {
    pub fn of(
        drinks: &'a [ComputedDrink],
        preparations: &'a [Prepared],
        faults: &'a [spec::Fault],
    ) -> Checked<'a> {
        Checked {
            schema: Version,
            convention: ConventionOfAll::of(drinks.iter().map(ComputedDrink::convention)),
            drinks: EachDrink::of(drinks),
            preparations: each(preparations),
            faults: each(faults),
        }
    }
}

/// The drinks and preparations of one name, one a book, with what each step brings; of one that does not read, its faults.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline show")]
#[schemars(extend("allOf" = [{ "anyOf": [
    { "properties": { "drinks": { "minItems": 1 } } },
    { "properties": { "preparations": { "minItems": 1 } } },
    { "properties": { "faults": { "minItems": 1 } } },
] }]))]
pub struct Shown<'a> {
    pub schema: Version,
    pub convention: ConventionOfAll,
    pub drinks: Vec<Whole<'a>>,
    pub preparations: Vec<Preparation<'a>>,
    pub faults: Vec<Fault<'a>>,
}

impl<'a> Shown<'a> {
    /// With `told`, how each drink goes on changing.
    pub fn of(
        drinks: &'a [ComputedDrink],
        told: &'a [build::OverTime],
        preparations: &'a [Prepared],
        faults: &'a [spec::Fault],
    ) -> Shown<'a> {
        let told = told.iter().map(Some).chain(std::iter::repeat(None));
        Shown {
            schema: Version,
            convention: ConventionOfAll::of(drinks.iter().map(ComputedDrink::convention)),
            drinks: drinks
                .iter()
                .zip(told)
                .map(|(drink, told)| Whole::of(drink, told))
                .collect(),
            preparations: each(preparations),
            faults: each(faults),
        }
    }
}

/// A drink with everything that is known of it.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "drink_in_full")]
pub struct Whole<'a> {
    #[serde(flatten)]
    pub drink: Drink<'a>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over_time: Option<OverTime<'a>>,
    pub pours: Vec<Pour<'a>>,
    /// Every word of its lines, in order, with what it was read as.
    pub words: Vec<ReadWord<'a>>,
}

impl<'a> Whole<'a> {
    fn of(drink: &'a ComputedDrink, told: Option<&'a build::OverTime>) -> Whole<'a> {
        Whole {
            drink: drink.into(),
            over_time: told.map(OverTime::from),
            pours: drink.pours().into_iter().map(Pour::from).collect(),
            words: drink
                .drink
                .account
                .iter()
                .map(|word| ReadWord {
                    text: (&word.text).into(),
                    role: RoleWord(word.role.word()),
                })
                .collect(),
        }
    }
}

one_of!(
    /// What a word was read as.
    RoleWord = "role":
    "amount", "unit", "name", "qualifier", "mention", "step", "time", "ice", "glass", "garnish", "serve", "joint", "mark",
    "note", "asked"
);

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "read_word")]
pub struct ReadWord<'a> {
    /// As typed.
    pub text: Text<'a>,
    pub role: RoleWord<'a>,
}
