//! Drinks beside each other.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Serialize;
use washline_core::computed::ComputedDrink;
use washline_core::service::comparison;
use washline_core::spec;
use washline_core::tables::{FIGURES, FigureName};

use crate::check::{Drinks, EachDrink};
use crate::parts::{Signed, Text, Version, Word, one_of, shape};
use crate::shared::{ConventionOfAll, Fault, Figure, SignedFigure, each};

/// Drinks in an order, what sets each apart from the one before, and two of them side by side.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline compare")]
pub struct Compared<'a> {
    pub schema: Version,
    pub convention: ConventionOfAll,
    /// What they are sorted by.
    pub by: ByWord<'a>,
    pub drinks: Drinks<'a>,
    /// The same drinks in the same order.
    pub sorted: Vec<Sorted<'a>>,
    /// Null unless two drinks are laid side by side: `a` the first of them, `b` the second.
    pub beside: Option<Beside<'a>>,
    pub faults: Vec<Fault<'a>>,
}

impl<'a> Compared<'a> {
    /// `by` names what they are sorted by; `sorted` has its value of each, and what sets it apart from the one before.
    pub fn of(
        drinks: &'a [ComputedDrink],
        by: &'a str,
        sorted: impl IntoIterator<Item = (Option<f64>, Option<comparison::Apart>)>,
        beside: Option<&'a comparison::Comparison>,
        faults: &'a [spec::Fault],
    ) -> Compared<'a> {
        Compared {
            schema: Version,
            convention: ConventionOfAll::of(drinks.iter().map(ComputedDrink::convention)),
            by: ByWord(by),
            drinks: EachDrink::of(drinks),
            sorted: drinks
                .iter()
                .zip(sorted)
                .map(|(drink, (value, apart))| Sorted {
                    name: drink.name().into(),
                    book: &drink.found_in.book,
                    value: value.map(Signed),
                    from_the_one_before: apart.as_ref().map(Apart::from),
                })
                .collect(),
            beside: beside.map(Beside::from),
            faults: each(faults),
        }
    }
}

/// What drinks are sorted by.
#[derive(Debug, Serialize)]
#[serde(transparent)]
pub struct ByWord<'a>(&'a str);

impl JsonSchema for ByWord<'_> {
    fn schema_name() -> Cow<'static, str> {
        "by".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let figures = FIGURES.iter().map(|facts| facts.name);
        let words: Vec<&str> = figures.chain(["price", "name"]).collect();
        json_schema!({ "type": "string", "enum": words })
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "sorted")]
pub struct Sorted<'a> {
    pub name: Text<'a>,
    pub book: &'a str,
    pub value: Option<Signed>,
    pub from_the_one_before: Option<Apart>,
}

shape! {
    /// Null where either has no value.
    Apart = "apart" of apart: &comparison::Apart {
        difference: Signed = apart.difference.into(),
        /// The least difference that could be told; null where no uncertainty is known.
        least_told: Option<f64> = apart.least_told,
        too_small: bool = apart.too_small,
    }
}

shape! {
    Beside<'a> = "beside" of beside: &'a comparison::Comparison {
        pours: Vec<PourPair<'a>> = each(&beside.pours),
        said: Vec<SaidPair<'a>> = each(&beside.said),
        #[schemars(length(min = 12, max = 12))]
        figures: Vec<FigurePair<'a>> = each(&beside.figures),
    }
}

shape! {
    PourPair<'a> = "pour_beside" of pour: &'a comparison::PourPair {
        ingredient: Text<'a> = (&pour.ingredient).into(),
        /// Null where it pours none.
        a: Option<Poured<'a>> = pour.a.as_ref().map(Poured::from),
        b: Option<Poured<'a>> = pour.b.as_ref().map(Poured::from),
        differs: bool = pour.differs(),
    }
}

shape! {
    Poured<'a> = "poured" of poured: &'a comparison::Poured {
        written: &'a str = &poured.written,
        place: Word<spec::PourMethod> = poured.place.into(),
        volume_ml: f64 = poured.volume_ml,
        mass_g: f64 = poured.mass_g,
    }
}

one_of!(
    /// What is said of a drink besides its pours.
    SaidOf = "said_of": "method", "glass", "garnish", "price", "acid convention"
);

shape! {
    SaidPair<'a> = "said_beside" of said: &'a comparison::SaidPair {
        what: SaidOf<'a> = SaidOf(&said.what),
        a: &'a str = &said.a,
        b: &'a str = &said.b,
    }
}

one_of!(
    /// A figure by its name, but the one that may be below 0.
    FigureWord = "figure_name":
    "volume_ml", "abv_pct", "sugar_g_per_100ml", "acid_g_per_100ml", "sugar_to_acid", "water_gained_ml",
    "water_pct_of_mix", "water_pct_of_finished", "ethanol_g", "standard_drinks", "energy_kj"
);
one_of!(
    /// The figure that may be below 0.
    DegreesWord = "degrees_name": "temperature_c"
);

/// A figure of both drinks, and what sets them apart.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
#[schemars(rename = "figure_beside")]
pub enum FigurePair<'a> {
    Figure(Both<'a, FigureWord<'a>, Figure>),
    Degrees(Both<'a, DegreesWord<'a>, SignedFigure>),
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct Both<'a, N, F> {
    pub name: N,
    pub unit: &'a str,
    pub a: F,
    pub b: F,
    pub apart: Option<Apart>,
}

impl<'a> From<&'a comparison::FigurePair> for FigurePair<'a> {
    fn from(figure: &'a comparison::FigurePair) -> FigurePair<'a> {
        let (facts, apart) = (figure.facts, figure.apart.as_ref().map(Apart::from));
        if facts.which == FigureName::Temperature {
            FigurePair::Degrees(Both {
                name: DegreesWord(facts.name),
                unit: facts.unit,
                a: figure.a.into(),
                b: figure.b.into(),
                apart,
            })
        } else {
            FigurePair::Figure(Both {
                name: FigureWord(facts.name),
                unit: facts.unit,
                a: figure.a.into(),
                b: figure.b.into(),
                apart,
            })
        }
    }
}
