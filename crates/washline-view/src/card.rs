//! Spec cards, and what to have ready.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::balance::Structure;
use washline_core::computed::Prepared;
use washline_core::service::card::{self, CardLine};
use washline_core::service::mise::{Ready, ReadyItem};
use washline_core::spec;
use washline_core::tables::IceForm;

use crate::parts::{Text, Version, Word, shape, spoken, texts};
use crate::preparation::Preparation;
use crate::shared::{Fault, each};

/// Spec cards: amounts, order of work, glass and washline, garnish, what to check by taste, cautions.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline card")]
pub struct Cards<'a> {
    pub schema: Version,
    pub cards: Vec<Card<'a>>,
    /// Of those that have a card.
    pub preparations: Vec<Preparation<'a>>,
    pub faults: Vec<Fault<'a>>,
}

impl<'a> Cards<'a> {
    /// Cards with the words for what each drink costs, where that was asked for.
    pub fn of(
        cards: impl IntoIterator<Item = (&'a card::Card, Option<String>)>,
        preparations: impl IntoIterator<Item = &'a Prepared>,
        faults: &'a [spec::Fault],
    ) -> Cards<'a> {
        Cards {
            schema: Version,
            cards: cards.into_iter().map(Card::from).collect(),
            preparations: each(preparations),
            faults: each(faults),
        }
    }
}

/// The word for a structure as a card has it.
#[derive(Debug, Serialize)]
#[serde(transparent)]
pub struct StructureName<'a>(&'a str);

impl JsonSchema for StructureName<'_> {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        <Word<Structure>>::schema_name()
    }
    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        <Word<Structure>>::json_schema(generator)
    }
}

shape! {
    Card<'a> = "card" of of: (&'a card::Card, Option<String>) {
        name: Text<'a> = (&of.0.name).into(),
        book: Text<'a> = (&of.0.book).into(),
        #[schemars(range(min = 1))]
        version: i64 = of.0.version,
        /// Null where the method is missing.
        structure: Option<StructureName<'a>> = of.0.structure.map(StructureName),
        /// In the writer's words; null where the spec names none.
        glass: Option<Text<'a>> = of.0.glass.as_ref().map(Text::from),
        /// How full the glass gets; null where its size is not known.
        washline: Option<Washline<'a>> = of.0.washline.as_ref().map(Washline::from),
        /// What it stands on; null where it is served without.
        ice: Option<Text<'a>> = of.0.ice.map(IceForm::written).map(Text::from),
        /// What does not go into its glass; null where it does.
        misfit: Option<Text<'a>> = of.0.misfit.as_ref().map(Text::from),
        /// What there is to drink, at 20 °C.
        volume_ml: f64 = of.0.volume_ml,
        /// % vol.
        abv_pct: f64 = of.0.abv_pct,
        /// The ounce of the book.
        #[schemars(range(min = 28))]
        ounce_ml: f64 = of.0.ounce_ml.to_f64(),
        lines: Vec<Line<'a>> = each(&of.0.lines),
        garnishes: Vec<Text<'a>> = texts(&of.0.garnishes),
        seasons: Vec<Text<'a>> = texts(&of.0.seasons),
        tags: Vec<Text<'a>> = texts(&of.0.tags),
        taste: Vec<Text<'a>> = of.0.taste.iter().map(|taste| taste.to_string().into()).collect(),
        cautions: Vec<Text<'a>> = texts(&of.0.cautions),
        notes: Vec<Text<'a>> = texts(&of.0.notes),
        /// In words, where it was asked for.
        cost: Option<Text<'a>> = of.1.map(Text::from),
    }
}

shape! {
    Washline<'a> = "washline" of washline: &card::Washline {
        /// To the brim.
        capacity_ml: f64 = washline.glass.capacity_ml,
        /// The liquid, % of the brim.
        fill_pct: f64 = washline.glass.fill_pct,
        on_ice: bool = washline.on_ice,
        /// Where it stands in a glass packed with ice; null without, or on one large piece.
        level_pct: Option<f64> = washline.level_pct,
        message: Text<'a> = washline.to_string().into(),
    }
}

/// Work, or something poured.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
#[schemars(rename = "card_line")]
pub enum Line<'a> {
    Work {
        work: Text<'a>,
    },
    Pour {
        name: Text<'a>,
        /// Where it is no plain volume: `2 dashes`.
        written: Option<&'a str>,
        ml: Option<Text<'a>>,
        /// As a jigger has it.
        oz: Option<Ounces<'a>>,
    },
}

impl<'a> From<&'a CardLine> for Line<'a> {
    fn from(line: &'a CardLine) -> Line<'a> {
        match line {
            CardLine::Work(words) => Line::Work { work: words.into() },
            CardLine::Pour { amount, name } => Line::Pour {
                name: name.into(),
                written: amount.written.as_deref(),
                ml: amount.ml.as_ref().map(Text::from),
                oz: amount.oz.as_ref().map(Ounces::from),
            },
        }
    }
}

shape! {
    Ounces<'a> = "ounces" of oz: &'a card::Ounces {
        text: Text<'a> = (&oz.text).into(),
        exact: bool = oz.exact,
    }
}

/// What to have ready before some drinks are poured.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline card --mise")]
pub struct Mise<'a> {
    pub schema: Version,
    pub ready: Vec<Item<'a>>,
    pub faults: Vec<Fault<'a>>,
}

impl<'a> Mise<'a> {
    pub fn of(all: &'a [ReadyItem], faults: &'a [spec::Fault]) -> Mise<'a> {
        Mise {
            schema: Version,
            ready: each(all),
            faults: each(faults),
        }
    }
}

spoken!(Ready = "ready");

shape! {
    Item<'a> = "ready_item" of item: &'a ReadyItem {
        sort: Word<Ready> = item.ready.into(),
        name: Text<'a> = (&item.name).into(),
        /// Those that ask for it.
        #[schemars(length(min = 1))]
        drinks: &'a [String] = &item.drinks,
        /// In the writer's words; null where nobody says.
        keeps: Option<Text<'a>> = Some(&item.keeps).filter(|keeps| !keeps.is_empty()).map(Text::from),
    }
}
