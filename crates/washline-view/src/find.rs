//! The drinks that a question finds.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::computed::ComputedDrink;
use washline_core::find::{self, FieldFacts, Query, Takes};
use washline_core::spec;

use crate::check::EachDrink;
use crate::drink::Drink;
use crate::parts::{Text, Version, Word, shape, spoken, texts};
use crate::shared::{ConventionOfAll, Fault, each};

/// The drinks that a question finds and those of which it cannot be told; with --fields what can be asked for.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline find")]
pub struct Found<'a> {
    pub schema: Version,
    /// The question as it was understood; null with --fields.
    pub asked: Option<Text<'a>>,
    /// How many drinks were looked at.
    pub looked_at: usize,
    /// How the juices of the drinks found are counted.
    pub convention: ConventionOfAll,
    /// Those of which it holds.
    pub drinks: EachDrink<Vec<&'a ComputedDrink>, Drink<'a>>,
    /// Those of which it cannot be told, with what is not known of each.
    pub untold: Vec<Untold<'a>>,
    /// What can be asked for; null where a question was asked.
    #[schemars(length(min = 1))]
    pub fields: Option<Vec<Field<'a>>>,
    pub faults: Vec<Fault<'a>>,
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "untold")]
pub struct Untold<'a> {
    pub name: Text<'a>,
    pub book: &'a str,
    #[schemars(length(min = 1))]
    pub why: Vec<Text<'a>>,
}

impl<'a> Found<'a> {
    pub fn of(
        drinks: &'a [ComputedDrink],
        all: usize,
        query: &Query,
        told: &'a [find::Told],
        faults: &'a [spec::Fault],
    ) -> Found<'a> {
        let (mut found, mut untold) = (Vec::new(), Vec::new());
        for (drink, told) in drinks.iter().zip(told) {
            match told {
                find::Told::Yes => found.push(drink),
                find::Told::No => {}
                find::Told::Unknown(why) => untold.push(Untold {
                    name: drink.name().into(),
                    book: &drink.found_in.book,
                    why: texts(why),
                }),
            }
        }
        Found {
            schema: Version,
            asked: Some(query.to_string().into()),
            looked_at: all,
            convention: ConventionOfAll::of(found.iter().map(|drink| drink.convention())),
            drinks: EachDrink::of(found),
            untold,
            fields: None,
            faults: each(faults),
        }
    }

    /// What can be asked for.
    #[must_use]
    pub fn fields() -> Found<'a> {
        Found {
            schema: Version,
            asked: None,
            looked_at: 0,
            convention: ConventionOfAll::of(std::iter::empty()),
            drinks: EachDrink::of(Vec::new()),
            untold: Vec::new(),
            fields: Some(find::fields().map(Field::from).collect()),
            faults: Vec::new(),
        }
    }
}

/// What is said after a field.
#[must_use]
pub fn takes(takes: Takes) -> &'static str {
    match takes {
        Takes::Words => "words",
        Takes::WordsOrNothing => "words or nothing",
        Takes::Listed => "one of a list",
        Takes::Day => "since or before a day",
        Takes::Number => "a comparison",
    }
}

spoken!(Takes = "takes", in_words of [Takes::Words, Takes::WordsOrNothing, Takes::Listed, Takes::Day, Takes::Number]);

trait InWords {
    fn in_words(self) -> &'static str;
}

impl InWords for Takes {
    fn in_words(self) -> &'static str {
        takes(self)
    }
}

shape! {
    Field<'a> = "field" of facts: FieldFacts {
        word: Text<'a> = facts.word.into(),
        /// What it is called as well.
        also: Vec<Text<'a>> = texts(facts.also.iter().copied()),
        /// What is said after it.
        takes: Word<Takes> = facts.takes.into(),
        asks: Text<'a> = facts.asks.into(),
        /// A question with it.
        example: Text<'a> = facts.example.into(),
    }
}
