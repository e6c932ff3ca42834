//! Everything that is kept under a name.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::computed::Prepared;
use washline_core::spec;
use washline_core::store;

use crate::journal::Entry;
use crate::parts::{Moment, Text, Version, shape, texts};
use crate::shared::{Fault, Figures, each};
use crate::tasting::Tasting;
use crate::weighing::Weighing;

/// Everything that is kept under a name, the latest first.
#[derive(Debug, Default)]
pub struct Told {
    pub drinks: Vec<store::DrinkHistory>,
    pub preparations: Vec<store::PreparationHistory>,
    pub ingredient: Vec<store::Event>,
    pub price: Vec<store::Event>,
    pub setting: Vec<store::Event>,
}

impl Told {
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.drinks.is_empty()
            && self.preparations.is_empty()
            && [&self.ingredient, &self.price, &self.setting]
                .iter()
                .all(|events| events.is_empty())
    }
}

shape! {
    /// Everything that is kept under a name, the latest first.
    #[schemars(title = "washline history")]
    History<'a> = "history" of told: &'a Told {
        schema: Version = Version,
        drinks: Vec<DrinkHistory<'a>> = each(&told.drinks),
        preparations: Vec<PreparationHistory<'a>> = each(&told.preparations),
        ingredient: Vec<Event<'a>> = each(&told.ingredient),
        price: Vec<Event<'a>> = each(&told.price),
        setting: Vec<Event<'a>> = each(&told.setting),
    }
}

shape! {
    DrinkHistory<'a> = "drink_history" of history: &'a store::DrinkHistory {
        name: Text<'a> = (&history.name).into(),
        /// The list it stands on, or stood on.
        book: Text<'a> = (&history.list).into(),
        /// The other lists on which the same drink stands.
        #[serde(skip_serializing_if = "Vec::is_empty")]
        also_on: Vec<Text<'a>> = texts(&history.also_on),
        /// Since when it is off the list; empty where nobody told, null where it is on it.
        removed_at: Option<Moment<'a>> = history.is_removed.then_some(Moment(history.removed_at.as_ref())),
        #[schemars(length(min = 1))]
        versions: Vec<DrinkVersion<'a>> = each(&history.versions),
        events: Vec<Event<'a>> = each(&history.events),
    }
}

shape! {
    PreparationHistory<'a> = "preparation_history" of history: &'a store::PreparationHistory {
        name: Text<'a> = (&history.name).into(),
        book: Text<'a> = (&history.list).into(),
        /// Since when it is off the list; empty where nobody told, null where it is on it.
        removed_at: Option<Moment<'a>> = history.is_removed.then_some(Moment(history.removed_at.as_ref())),
        #[schemars(length(min = 1))]
        versions: Vec<PreparationVersion<'a>> = each(&history.versions),
        events: Vec<Event<'a>> = each(&history.events),
    }
}

/// Line by line, what is other than in the version before.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
#[schemars(rename = "line_change")]
pub enum LineChange<'a> {
    Gone { gone: &'a str },
    New { new: &'a str },
}

impl<'a> From<&'a store::LineChange> for LineChange<'a> {
    fn from(change: &'a store::LineChange) -> LineChange<'a> {
        match change {
            store::LineChange::Gone(gone) => LineChange::Gone { gone },
            store::LineChange::New(new) => LineChange::New { new },
        }
    }
}

shape! {
    DrinkVersion<'a> = "drink_version" of version: &'a store::Version {
        #[schemars(range(min = 1))]
        number: i64 = version.number,
        /// When it was kept; empty where nobody told.
        at: Moment<'a> = Moment(version.at.as_ref()),
        is_last: bool = version.is_last,
        /// As typed.
        text: Text<'a> = (&version.text).into(),
        changed: Vec<LineChange<'a>> = each(&version.changed),
        /// In the glass, with the ingredients, settings and ranges of today; null where it cannot be worked out.
        figures: Option<Figures<'a>> = version.drink.as_ref().ok().map(|drink| (&drink.evaluation.figures).into()),
        /// Where it stands, in a word or two.
        standing: Option<&'a str> = version.drink.as_ref().ok().map(|drink| drink.evaluation.standing().words()),
        faults: Vec<Fault<'a>> = each::<spec::Fault, _>(version.drink.as_ref().err().into_iter().flatten()),
        tastings: Vec<Tasting<'a>> = each(&version.tastings),
        weighings: Vec<Weighing<'a>> = each(&version.weighings),
    }
}

shape! {
    PreparationVersion<'a> = "preparation_version" of version: &'a store::PreparationVersion {
        #[schemars(range(min = 1))]
        number: i64 = version.number,
        at: Moment<'a> = Moment(version.at.as_ref()),
        is_last: bool = version.is_last,
        text: Text<'a> = (&version.text).into(),
        changed: Vec<LineChange<'a>> = each(&version.changed),
        /// What it comes to with what the house has today; null where it cannot be made.
        made: Option<Made> = version.made.as_ref().map(Made::from),
    }
}

shape! {
    Made = "made" of prepared: &Prepared {
        yield_ml: f64 = prepared.made.yield_ml,
        #[schemars(range(min = 0, max = 100))]
        abv_pct: f64 = prepared.made.liquid.abv_pct().unwrap_or(0.0),
        sugar_g_per_l: f64 = prepared.made.sugar_g_per_l(),
        acid_g_per_l: f64 = prepared.made.acid_g_per_l(),
    }
}

shape! {
    /// What was done to it, entry by entry.
    Event<'a> = "event" of event: &'a store::Event {
        entry: Entry<'a> = (&event.entry).into(),
        #[schemars(length(min = 1))]
        effects: Vec<Text<'a>> = texts(&event.effects),
    }
}
