//! What several commands say: figures, faults, allergens.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use washline_core::balance::{self, BalanceFigure, Family, Severity, Structure, Verdict};
use washline_core::ingredient::{AllergenList, Convention, Declaration};
use washline_core::spec::{self, FaultKind};
use washline_core::tables::FIGURES;

use crate::parts::{Signed, Text, one_of, spoken, texts};
use crate::remedy::worded;

spoken!(BalanceFigure = "measure", word of BalanceFigure::ALL);
spoken!(
    Convention = "convention",
    Severity = "severity",
    Verdict = "verdict"
);
spoken!(Structure = "structure", name of Structure::all());
spoken!(Family = "family", name of Family::all());

/// A figure with the interval that holds it in 95 % of cases; null where it has no meaning or is not worked out.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[schemars(rename = "figure")]
pub struct Figure {
    pub value: Option<f64>,
    pub low: Option<f64>,
    pub high: Option<f64>,
}

impl From<balance::Figure> for Figure {
    fn from(f: balance::Figure) -> Figure {
        Figure {
            value: f.value,
            low: f.low,
            high: f.high,
        }
    }
}

/// The same of what may be below 0: a temperature, and water gained, where water freezes on to the ice.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[schemars(rename = "signed_figure")]
pub struct SignedFigure {
    pub value: Option<Signed>,
    pub low: Option<Signed>,
    pub high: Option<Signed>,
}

impl From<balance::Figure> for SignedFigure {
    fn from(f: balance::Figure) -> SignedFigure {
        SignedFigure {
            value: f.value.map(Signed),
            low: f.low.map(Signed),
            high: f.high.map(Signed),
        }
    }
}

/// Every figure of a drink, by its name.
#[derive(Clone, Copy, Debug)]
pub struct Figures<'a>(pub &'a balance::Figures);

impl<'a> From<&'a balance::Figures> for Figures<'a> {
    fn from(figures: &'a balance::Figures) -> Figures<'a> {
        Figures(figures)
    }
}

impl Serialize for Figures<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let named = self.0.named();
        let mut map = to.serialize_map(Some(named.len()))?;
        for (name, figure) in named {
            map.serialize_entry(name, &Figure::from(figure))?;
        }
        map.end()
    }
}

impl JsonSchema for Figures<'_> {
    fn schema_name() -> Cow<'static, str> {
        "figures".into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let mut properties = serde_json::Map::new();
        for facts in &FIGURES {
            let may_be_below_0 = facts.name == "temperature_c" || facts.name.starts_with("water_");
            let mut of = if may_be_below_0 {
                generator.subschema_for::<SignedFigure>()
            } else {
                generator.subschema_for::<Figure>()
            };
            of.insert(
                "description".to_owned(),
                format!("{}, {}", facts.word, facts.unit)
                    .trim_end_matches(", ")
                    .into(),
            );
            properties.insert(facts.name.to_owned(), of.into());
        }
        let required: Vec<&str> = FIGURES.iter().map(|facts| facts.name).collect();
        json_schema!({ "type": "object", "properties": properties, "required": required })
    }
}

/// Something of strength, sweetness and tartness.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
pub struct ByMeasure<T> {
    pub abv_pct: T,
    pub sugar_g_per_100ml: T,
    pub acid_g_per_100ml: T,
}

impl<T> ByMeasure<T> {
    pub fn of(mut value: impl FnMut(BalanceFigure) -> T) -> ByMeasure<T> {
        ByMeasure {
            abv_pct: value(BalanceFigure::Strength),
            sugar_g_per_100ml: value(BalanceFigure::Sweetness),
            acid_g_per_100ml: value(BalanceFigure::Tartness),
        }
    }
}

one_of!(
    /// ask: two readings that mean different drinks, in `suggestions`. reject: nothing the line could mean; `suggestions`
    /// are the nearest names.
    FaultWord = "fault_kind": "ask", "reject"
);

/// What could not be read, and where.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[schemars(rename = "fault")]
pub struct Fault<'a> {
    pub file: Text<'a>,
    #[schemars(range(min = 1))]
    pub line: usize,
    /// In characters.
    #[schemars(range(min = 1))]
    pub column: usize,
    pub kind: FaultWord<'a>,
    pub message: Text<'a>,
    pub suggestions: Vec<Text<'a>>,
}

impl<'a> From<&'a spec::Fault> for Fault<'a> {
    fn from(fault: &'a spec::Fault) -> Fault<'a> {
        Fault {
            file: (&fault.file).into(),
            line: fault.line,
            column: fault.column,
            kind: FaultWord(match fault.kind {
                FaultKind::Ask => "ask",
                FaultKind::Reject => "reject",
            }),
            message: (&fault.message).into(),
            suggestions: texts(&fault.suggestions),
        }
    }
}

/// Everything of a list, as it is printed.
pub fn each<'a, T: 'a, V: From<&'a T>>(all: impl IntoIterator<Item = &'a T>) -> Vec<V> {
    all.into_iter().map(V::from).collect()
}

/// Something taken for granted.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[schemars(rename = "assumption")]
pub struct Assumption<'a> {
    pub about: Text<'a>,
    pub taken: Text<'a>,
    /// Where it can be changed; empty where the line itself is the place.
    pub change: String,
}

impl<'a> From<&'a spec::Assumption> for Assumption<'a> {
    fn from(a: &'a spec::Assumption) -> Assumption<'a> {
        Assumption {
            about: (&a.about).into(),
            taken: (&a.taken).into(),
            change: worded(&a.change),
        }
    }
}

/// A word of the European list: Regulation (EU) 1169/2011, Annex II.
#[derive(Clone, Copy, Debug, Serialize)]
#[serde(transparent)]
pub struct EuAllergen<'a>(pub &'a str);

/// A word of the list of the United States.
#[derive(Clone, Copy, Debug, Serialize)]
#[serde(transparent)]
pub struct UsAllergen<'a>(pub &'a str);

macro_rules! allergen {
    ($type:ident, $name:literal, $list:expr) => {
        impl<'a> From<&'a String> for $type<'a> {
            fn from(word: &'a String) -> $type<'a> {
                $type(word)
            }
        }
        impl JsonSchema for $type<'_> {
            fn schema_name() -> Cow<'static, str> {
                $name.into()
            }
            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                json_schema!({ "type": "string", "enum": $list.words() })
            }
        }
    };
}
allergen!(EuAllergen, "eu_allergen", AllergenList::Eu);
allergen!(UsAllergen, "us_allergen", AllergenList::Us);

/// What is declared on one list.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Declared<A> {
    #[schemars(extend("uniqueItems" = true))]
    pub contains: Vec<A>,
    #[schemars(extend("uniqueItems" = true))]
    pub may_contain: Vec<A>,
    /// Nobody has said, for at least a part of it: not the same as none.
    pub unknown: bool,
}

impl<'a, A: From<&'a String>> From<&'a Declaration> for Declared<A> {
    fn from(declared: &'a Declaration) -> Declared<A> {
        Declared {
            contains: each(&declared.contains),
            may_contain: each(&declared.may_contain),
            unknown: declared.unknown,
        }
    }
}

/// Something of both lists of allergens.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct BothLists<E, U> {
    /// Regulation (EU) 1169/2011, Annex II.
    pub eu: E,
    /// The list of the United States.
    pub us: U,
}

/// What is declared on both lists.
pub type Allergens<'a> = BothLists<Declared<EuAllergen<'a>>, Declared<UsAllergen<'a>>>;

impl<'a> Allergens<'a> {
    pub fn of(eu: &'a Declaration, us: &'a Declaration) -> Allergens<'a> {
        BothLists {
            eu: eu.into(),
            us: us.into(),
        }
    }
}

/// How the juices of several drinks are counted.
#[derive(Clone, Copy, Debug, Serialize)]
#[serde(transparent)]
pub struct ConventionOfAll(&'static str);

impl JsonSchema for ConventionOfAll {
    fn schema_name() -> Cow<'static, str> {
        "convention_of_all".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let words: Vec<&str> = Convention::WORDS.iter().copied().chain(["mixed"]).collect();
        json_schema!({ "type": "string", "enum": words })
    }
}

impl ConventionOfAll {
    /// That of all of them, or "mixed".
    pub fn of(mut all: impl Iterator<Item = Convention>) -> ConventionOfAll {
        let Some(first) = all.next() else {
            return ConventionOfAll(Convention::default().word());
        };
        ConventionOfAll(if all.all(|other| other == first) {
            first.word()
        } else {
            "mixed"
        })
    }
}

/// A drink with its book.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[schemars(rename = "drink_of_book")]
pub struct DrinkOf<'a> {
    pub drink: Text<'a>,
    pub book: Text<'a>,
}

impl<'a> From<&'a (String, String)> for DrinkOf<'a> {
    fn from((drink, book): &'a (String, String)) -> DrinkOf<'a> {
        DrinkOf {
            drink: drink.into(),
            book: book.into(),
        }
    }
}

/// A thing with its book.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[schemars(rename = "thing_of_book")]
pub struct NamedIn<'a> {
    pub name: Text<'a>,
    pub book: Text<'a>,
}

impl<'a> From<&'a (String, String)> for NamedIn<'a> {
    fn from((name, book): &'a (String, String)) -> NamedIn<'a> {
        NamedIn {
            name: name.into(),
            book: book.into(),
        }
    }
}

/// What became of an answer.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Done {
    /// Kept in the house: from which version, as which.
    pub kept: Option<(i64, i64)>,
    /// Written into this file.
    pub written: Option<String>,
}

/// The versions, where an answer was kept in the house.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[schemars(rename = "kept")]
pub struct Kept {
    #[schemars(range(min = 2))]
    pub version: i64,
    #[schemars(range(min = 1))]
    pub from_version: i64,
}

impl From<(i64, i64)> for Kept {
    fn from((from_version, version): (i64, i64)) -> Kept {
        Kept {
            version,
            from_version,
        }
    }
}
