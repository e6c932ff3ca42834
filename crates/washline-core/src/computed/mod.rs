//! One computed drink: from its text to what there is to say about it, made in one place and borrowed by everything
//! that advises, prices, batches, prints or keeps it.

mod apart;
mod books;
mod check;
mod progress;
mod summary;
mod tidy;

use std::borrow::Cow;
use std::sync::Arc;

#[cfg(feature = "store")]
pub(crate) use books::each_drink;
pub(crate) use books::read_books;
pub use check::{Bar, Checked, Faults, Look, check, check_with, look_at};
#[cfg(feature = "store")]
pub(crate) use progress::expect;
pub use progress::progress;
pub use summary::Summary;
#[cfg(feature = "store")]
pub(crate) use summary::bands;
pub use tidy::{Left, Tidied, tidy};

use crate::balance::{Band, Evaluation, Ranges, evaluate};
use crate::build::{Built, build};
use crate::ingredient::{Convention, Ingredient, Stock};
use crate::melt::OwnMelt;
use crate::names::key;
use crate::prepare::{Made, Preparations, Written, make};
use crate::resolve::{Brought, Resolved, ResolvedStep, resolve};
use crate::spec::{Drink, Fault, OwnNames, PourMethod, Settings, Source, read_under};
use crate::tables::Technique;

/// What the drinks of one book are poured from, and under which settings.
#[derive(Clone, Debug)]
pub struct Context {
    /// The library, over it the house's own ingredients, over them the book's.
    pub stock: Arc<Stock>,
    /// The book's settings over the house's.
    pub settings: Arc<Settings>,
    /// What the book makes for its drinks; the stock has it too.
    pub preparations: Arc<Preparations>,
}

impl Context {
    /// The ingredient that a pour is of, by the name it was resolved to: that of the stock, else what its name was answered
    /// as by its kind.
    #[must_use]
    pub fn ingredient(&self, name: &str) -> Option<Cow<'_, Ingredient>> {
        self.stock.poured(name)
    }
}

/// When a drink is poured: as it says itself, else as its list does.
pub(crate) fn seasons<'a>(drink: &'a Drink, list: &'a Settings) -> Vec<&'a str> {
    let own: Vec<&str> = drink.seasons().collect();
    if own.is_empty() {
        list.seasons().collect()
    } else {
        own
    }
}

/// The words that are put on a drink: its own, then those of its list, each once.
pub(crate) fn tags<'a>(drink: &'a Drink, list: &'a Settings) -> Vec<&'a str> {
    let mut all: Vec<&str> = Vec::new();
    for tag in drink.tags().chain(list.tags_of_all()) {
        if !all.iter().any(|known| key(known) == key(tag)) {
            all.push(tag);
        }
    }
    all
}

/// Where a drink stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FoundIn {
    /// The title of its book; of the first, where it stands on several.
    pub book: String,
    /// The titles of the other lists of the house on which the same drink stands.
    pub also_on: Vec<String>,
    /// The file the book came from.
    pub file: String,
    /// The line of its heading.
    pub line: usize,
    /// Which version of its spec.
    pub version: i64,
}

impl FoundIn {
    /// Whether it stands on the list of that title.
    #[must_use]
    pub fn is_on(&self, title: &str) -> bool {
        let wanted = key(title);
        self.lists().any(|list| key(list) == wanted)
    }

    /// The titles of all lists that it stands on.
    pub fn lists(&self) -> impl Iterator<Item = &str> {
        std::iter::once(&self.book)
            .chain(&self.also_on)
            .map(String::as_str)
    }

    /// The same in words: `Winter list and Summer list`.
    #[must_use]
    pub fn lists_in_words(&self) -> String {
        self.lists().collect::<Vec<_>>().join(" and ")
    }
}

/// A preparation of a book: what it makes, and where it stands.
#[derive(Clone, Debug)]
pub struct Prepared {
    /// Where it stands.
    pub found_in: FoundIn,
    /// As it is typed, heading and all.
    pub text: String,
    /// What it comes to.
    pub made: Made,
}

impl Prepared {
    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        self.made.name()
    }

    /// Whether a name means it: its own, or an alias.
    #[must_use]
    pub fn is_called(&self, name: &str) -> bool {
        let wanted = key(name);
        key(self.name()) == wanted
            || self
                .made
                .ingredient
                .aliases
                .iter()
                .any(|alias| key(alias) == wanted)
    }
}

/// A drink, from its text to what is in the glass and what there is to say about it.
#[derive(Clone, Debug)]
pub struct ComputedDrink {
    /// Where it stands.
    pub found_in: FoundIn,
    /// Its text by itself, as typed.
    pub source: Source,
    /// The same as read.
    pub drink: Drink,
    /// What it is poured from.
    pub context: Context,
    /// The ranges that hold under its convention.
    pub ranges: Arc<Ranges>,
    /// Every pour as a liquid; with what was taken for granted, the top of the glass among it.
    pub resolved: Resolved,
    /// What it comes to.
    pub built: Built,
    /// Its figures, verdicts and findings.
    pub evaluation: Evaluation,
}

/// What one pour brings.
#[derive(Clone, Debug, PartialEq)]
pub struct PourFigures {
    /// Its place among the steps, from 0.
    pub position: usize,
    /// What is poured.
    pub ingredient: String,
    /// Its name as it is typed.
    pub written_name: String,
    /// The amount as written.
    pub written: String,
    /// How it goes in.
    pub place: PourMethod,
    /// Volume at 20 °C, ml.
    pub volume_ml: f64,
    /// Mass, g.
    pub mass_g: f64,
    /// Ethanol, g.
    pub ethanol_g: f64,
    /// Sugar, g.
    pub sugar_g: f64,
    /// Titratable acid as citric, g.
    pub acid_g: f64,
}

/// The ranges that hold under each convention, in the order of [`Convention`].
pub(crate) type RangesOfBoth = [Arc<Ranges>; 2];

impl ComputedDrink {
    /// Work out the drink that `source` is the text of. `own` is what the house has weighed of it, with every melt that
    /// the house has fitted.
    ///
    /// # Errors
    /// Every fault of the text, placed in it.
    pub(crate) fn of(
        source: Source,
        found_in: FoundIn,
        context: Context,
        ranges: &RangesOfBoth,
        own: OwnMelt,
    ) -> Result<ComputedDrink, Vec<Fault>> {
        progress::one_more();
        let mut reading = read_under(&source, &context.settings);
        let Some(drink) = reading.book.take_drink() else {
            return Err(reading.faults);
        };
        let under = |convention: Convention| Arc::clone(&ranges[convention as usize]);
        ComputedDrink::poured(drink, source, found_in, context, under, own)
    }

    /// The same drink with other steps: where it stands, its text, what it is poured from, how it is judged and what was
    /// weighed of it stay.
    ///
    /// # Errors
    /// Every name or amount of the other steps that cannot be told.
    pub(crate) fn with_steps_of(&self, drink: Drink) -> Result<ComputedDrink, Vec<Fault>> {
        ComputedDrink::poured(
            drink,
            self.source.clone(),
            self.found_in.clone(),
            self.context.clone(),
            |_| Arc::clone(&self.ranges),
            self.resolved.own_melt.clone(),
        )
    }

    /// Work out a drink that was read, judged by the ranges under its convention.
    fn poured(
        drink: Drink,
        source: Source,
        found_in: FoundIn,
        context: Context,
        ranges: impl FnOnce(Convention) -> Arc<Ranges>,
        mut own: OwnMelt,
    ) -> Result<ComputedDrink, Vec<Fault>> {
        let mut resolved = resolve(&drink, &context.stock, &context.settings, &source)?;
        let missing = context.preparations.missing_in(&resolved, &source);
        if !missing.is_empty() {
            return Err(missing);
        }
        let worked_by = |technique: Technique| {
            let is = |s: &ResolvedStep| matches!(s, ResolvedStep::Work(work) if work.technique == technique);
            resolved.steps.iter().any(is)
        };
        // Only what bears on this drink: another fit leaves it as it is.
        own.fits.retain(|fit| worked_by(fit.technique));
        resolved.own_melt = own;
        let inside = context.preparations.assumed_in(&resolved);
        resolved.assumptions.extend(inside);
        let built = build(&resolved);
        let filled = built.assumption(&resolved);
        resolved.assumptions.extend(filled);
        let ranges = ranges(resolved.convention);
        let evaluation = evaluate(&resolved, &built, &ranges);
        Ok(ComputedDrink {
            found_in,
            source,
            drink,
            context,
            ranges,
            resolved,
            built,
            evaluation,
        })
    }

    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.drink.name
    }

    /// How its juices were counted.
    #[must_use]
    pub fn convention(&self) -> Convention {
        self.resolved.convention
    }

    /// The country whose standard drinks are counted.
    #[must_use]
    pub fn standard_drink(&self) -> &str {
        &self.resolved.standard_drink.country
    }

    /// The bands that strength, sweetness and tartness were judged by, in that order: where published drinks of its
    /// family lie, the house's own range over them; those of its structure where there are no such drinks; empty ones
    /// where it has no structure.
    #[must_use]
    pub fn bands(&self) -> [Band; 3] {
        summary::bands(&self.evaluation, &self.ranges)
    }

    /// When it is poured: as it says itself, else as its list does; empty where neither does.
    #[must_use]
    pub fn seasons(&self) -> Vec<&str> {
        seasons(&self.drink, &self.context.settings)
    }

    /// The words that are put on it: its own, then those of its list, each once.
    #[must_use]
    pub fn tags(&self) -> Vec<&str> {
        tags(&self.drink, &self.context.settings)
    }

    /// Its garnishes in the writer's words, `; ` between several; `None` where it has none.
    #[must_use]
    pub fn garnish(&self) -> Option<String> {
        let garnishes: Vec<&str> = self.drink.garnishes().collect();
        (!garnishes.is_empty()).then(|| garnishes.join("; "))
    }

    /// What each pour brings, in working order; of one that fills the glass, what it came to.
    #[must_use]
    pub fn pours(&self) -> Vec<PourFigures> {
        let figures = |(position, step): (usize, &ResolvedStep)| {
            let ResolvedStep::Pour(pour) = step else {
                return None;
            };
            let Brought {
                liquid,
                volume_ml,
                mass_g,
            } = self.built.brought(pour);
            Some(PourFigures {
                position,
                ingredient: pour.ingredient.clone(),
                written_name: pour.typed_name().to_owned(),
                written: pour.written.clone(),
                place: pour.place,
                volume_ml,
                mass_g,
                ethanol_g: liquid.ethanol_g(),
                sugar_g: liquid.sugar_g(),
                acid_g: liquid.acid_as_citric_g(),
            })
        };
        self.resolved
            .steps
            .iter()
            .enumerate()
            .filter_map(figures)
            .collect()
    }
}

/// What the drinks of a book are poured from: the preparations in `texts` made from the ingredients of `stock` (each
/// text by itself, with the line of its heading in the book), and put there too.
pub(crate) fn context(mut stock: Stock, mut settings: Settings, texts: Vec<(Source, usize)>) -> Context {
    // What the house and the book call their own is known by its name wherever it is poured.
    let headings = texts
        .iter()
        .filter_map(|(source, _)| source.text.strip_prefix("## ")?.lines().next());
    settings.own_names = OwnNames::of(&stock).and(headings.map(str::trim));
    let mut unread = Vec::new();
    let mut read: Vec<(Source, Drink, usize)> = Vec::new();
    for (source, line) in texts {
        let mut reading = read_under(&source, &settings);
        match reading.book.take_preparation() {
            Some(preparation) => read.push((source, preparation, line)),
            None => unread.extend(moved(reading.faults, line)),
        }
    }
    let written: Vec<Written<'_>> = read
        .iter()
        .map(|(source, preparation, line)| Written {
            preparation,
            source,
            line: *line,
            sound: true,
        })
        .collect();
    let mut preparations = make(&written, &mut stock, &settings);
    preparations.faults.extend(unread);
    settings.own_names = OwnNames::of(&stock);
    Context {
        stock: Arc::new(stock),
        settings: Arc::new(settings),
        preparations: Arc::new(preparations),
    }
}

/// Faults found in a section by itself, moved to where it stands in its book.
pub(crate) fn moved(faults: Vec<Fault>, line: usize) -> impl Iterator<Item = Fault> {
    faults.into_iter().map(move |mut fault| {
        fault.line += line.saturating_sub(1);
        fault
    })
}
