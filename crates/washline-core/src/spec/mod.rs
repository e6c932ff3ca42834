//! The drink as written: a book of drinks, each a list of steps in working order.
//!
#![doc = include_str!("reading.md")]

mod amend;
mod amounts;
mod assemble;
mod change;
mod cold;
mod crossed_out;
mod fault;
mod lexicon;
mod limits;
mod line;
mod making;
mod process;
mod read;
mod rewritten;
mod settings;
mod source;
mod table;
mod technique;
mod tidy;
mod tokens;
mod translate;
mod versions;
mod write;

use std::ops::Range;

use serde::{Deserialize, Serialize};

use crate::measure::{Amount, Unit};

pub(crate) use amend::amount_edit;
pub use change::{CannotChange, Edit, changed};
pub use cold::Cold;
pub(crate) use fault::Unplaced;
pub use fault::{Assumption, Cure, Fault, FaultKind};
pub use lexicon::OwnNames;
pub(crate) use lexicon::{creme_de, is_brix, without_qualities};
pub use line::{Account, Role};
pub use making::{Given, Keeping, Loss, Making, Yield};
pub use process::{Prepare, Process};
pub(crate) use read::read_each;
pub use read::{Reading, Typed, particular_named, particulars, read, read_under};
pub use settings::{GlassNamed, Money, Settings, price_per_package};
pub use source::{NotUtf8, Source};
pub(crate) use tidy::{Settled, clean};
pub(crate) use write::amount as amount_text;
pub use write::{format, format_drink};
pub(crate) use write::{format_entries, format_opening};

pub use crate::tables::Technique;
use crate::tables::{Family, Ice, Structure};

/// A book: a house or a list, its settings, its drinks and the ingredients it defines.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Book {
    /// The level-1 heading; empty where there is none.
    pub title: String,
    /// What the `key: value` lines under the title set.
    pub settings: Settings,
    /// What stands between the title and the first section, in order.
    pub opening: Vec<Entry>,
    /// The same as typed, title and all, line ends made LF.
    pub opening_text: String,
    /// The sections, in order.
    pub sections: Vec<Section>,
}

impl Book {
    /// The drinks, in order.
    pub fn drinks(&self) -> impl Iterator<Item = &Drink> {
        self.sections.iter().filter_map(|s| match s {
            Section::Drink(drink) => Some(drink),
            Section::Ingredient(_) | Section::Preparation(_) => None,
        })
    }

    /// The preparations, in order.
    pub fn preparations(&self) -> impl Iterator<Item = &Drink> {
        self.sections.iter().filter_map(|s| match s {
            Section::Preparation(preparation) => Some(preparation),
            Section::Drink(_) | Section::Ingredient(_) => None,
        })
    }

    /// The first drink, taken out of it.
    pub(crate) fn take_drink(&mut self) -> Option<Drink> {
        let at = self
            .sections
            .iter()
            .position(|s| matches!(s, Section::Drink(_)))?;
        self.sections.swap_remove(at).into_drink()
    }

    /// The first preparation, taken out of it.
    pub(crate) fn take_preparation(&mut self) -> Option<Drink> {
        let at = self
            .sections
            .iter()
            .position(|s| matches!(s, Section::Preparation(_)))?;
        match self.sections.swap_remove(at) {
            Section::Preparation(preparation) => Some(preparation),
            Section::Drink(_) | Section::Ingredient(_) => None,
        }
    }

    /// The ingredients it defines by figures, in order.
    pub fn ingredients(&self) -> impl Iterator<Item = &crate::ingredient::Ingredient> {
        self.definitions().filter_map(|d| d.ingredient.as_ref())
    }

    /// What it says of ingredients, in order: what they are, what they cost.
    pub fn definitions(&self) -> impl Iterator<Item = &Definition> {
        self.sections.iter().filter_map(|s| match s {
            Section::Drink(_) | Section::Preparation(_) => None,
            Section::Ingredient(definition) => Some(definition),
        })
    }
}

/// A level-2 section of a book.
#[derive(Clone, Debug, PartialEq)]
pub enum Section {
    /// A drink.
    Drink(Drink),
    /// An ingredient made of others: written like a drink, with [`Drink::makes`].
    Preparation(Drink),
    /// An ingredient with its figures.
    Ingredient(Definition),
}

impl Section {
    /// The drink that it is; `None` where it is none.
    pub(crate) fn into_drink(self) -> Option<Drink> {
        match self {
            Section::Drink(drink) => Some(drink),
            Section::Ingredient(_) | Section::Preparation(_) => None,
        }
    }

    /// Its heading.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Section::Drink(drink) | Section::Preparation(drink) => &drink.name,
            Section::Ingredient(definition) => &definition.name,
        }
    }

    /// What stands under its heading, in order.
    #[must_use]
    pub fn entries(&self) -> &[Entry] {
        match self {
            Section::Drink(drink) | Section::Preparation(drink) => &drink.entries,
            Section::Ingredient(definition) => &definition.entries,
        }
    }
}

/// One line of a section, kept in order so that a book can be written back as it was.
#[derive(Clone, Debug, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "most entries are steps")]
pub enum Entry {
    /// An empty line.
    Blank,
    /// An HTML comment, without its marks.
    Comment(String),
    /// A block quote: words for the reader.
    Note(String),
    /// A `key: value` line, the key in its written form.
    Particular(String, String),
    /// A list item.
    Step(Line),
}

/// A list item: a step, as it was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The step.
    pub step: Step,
    /// Where it stands in the source.
    pub span: Range<usize>,
    /// What was taken for granted in reading it.
    pub assumptions: Vec<Assumption>,
}

/// A drink as written.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drink {
    /// The heading.
    pub name: String,
    /// Where the heading stands in the source.
    pub span: Range<usize>,
    /// The line the heading stands in, from 1.
    pub line: usize,
    /// The section as typed, heading and all, line ends made LF.
    pub text: String,
    /// What stands under the heading, in order.
    pub entries: Vec<Entry>,
    /// The glass it is served in.
    pub glass: Option<GlassNamed>,
    /// What it sells for.
    pub price: Option<Money>,
    /// The structure the writer names, where the build does not tell.
    pub structure: Option<Structure>,
    /// The family it is to be judged by, where the writer knows better than the rules.
    pub family: Option<Family>,
    /// The whole serve before ice, ml, which parts are shares of.
    pub serve_ml: Option<Amount>,
    /// How many drinks the amounts are for; one where the writer does not say.
    pub serves: Option<Amount>,
    /// How much of it one serve is, ml, where it is made for several.
    pub each_serve_ml: Option<Amount>,
    /// How many of its steps are done for all of the drinks, where the rest is done for each (`then: per serve`).
    pub batch_steps: Option<usize>,
    /// How large a part is, ml.
    pub part_ml: Option<Amount>,
    /// What every word of its lines was read as.
    pub account: Vec<Account>,
    /// Water gained as measured or decided, in place of a model.
    pub water: Option<WaterGiven>,
    /// What it says of itself where it makes an ingredient (`makes: an ingredient`); `None` of a drink.
    pub makes: Option<Making>,
}

impl Drink {
    /// Where it stands and its text, without what that was read as.
    pub(crate) fn outline(self) -> Drink {
        Drink {
            name: self.name,
            span: self.span,
            line: self.line,
            text: self.text,
            ..Drink::default()
        }
    }

    /// The steps with their places, in working order.
    pub fn lines(&self) -> impl Iterator<Item = &Line> {
        self.entries.iter().filter_map(|e| match e {
            Entry::Step(line) => Some(line),
            _ => None,
        })
    }

    /// How many steps stand before a particular.
    fn steps_before(&self, key: &str) -> usize {
        self.entries
            .iter()
            .take_while(|e| !matches!(e, Entry::Particular(k, _) if k == key))
            .filter(|e| matches!(e, Entry::Step(_)))
            .count()
    }

    /// The value of a particular, by its written key.
    #[must_use]
    pub fn particular(&self, key: &str) -> Option<&str> {
        self.entries.iter().find_map(|e| match e {
            Entry::Particular(k, v) if k == key => Some(v.as_str()),
            _ => None,
        })
    }

    /// The words of a particular that holds several with commas between.
    fn words_of(&self, key: &str) -> impl Iterator<Item = &str> {
        self.particular(key)
            .into_iter()
            .flat_map(settings::between_commas)
    }

    /// When it is poured, as it says itself.
    pub fn seasons(&self) -> impl Iterator<Item = &str> {
        self.words_of("season")
    }

    /// The words that are put on it, as it says itself.
    pub fn tags(&self) -> impl Iterator<Item = &str> {
        self.words_of("tags")
    }

    /// Every garnish: the particular, then the steps. `garnish: none` is none.
    pub fn garnishes(&self) -> impl Iterator<Item = &str> {
        self.garnishes_said().filter(|said| {
            let said = crate::names::key(said);
            !NO_GARNISH.contains(&said.trim_end_matches('.'))
        })
    }

    /// What is said of garnishes, that there is none among it.
    pub fn garnishes_said(&self) -> impl Iterator<Item = &str> {
        self.particular("garnish")
            .into_iter()
            .chain(self.lines().filter_map(|l| match &l.step {
                Step::Garnish(text) => Some(text.as_str()),
                _ => None,
            }))
    }
}

/// Words that say that there is no garnish.
const NO_GARNISH: [&str; 4] = ["none", "no", "no garnish", "nothing"];

/// Water gained, given by the writer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WaterGiven {
    /// `dilution: 30 ml`: ml.
    Volume(Amount),
    /// `dilution: 25 % of the mix`: % of the volume before ice.
    OfMix(Amount),
    /// `dilution: 20 % of the finished drink`: % of the volume after ice.
    OfFinished(Amount),
    /// `weighed: 96 g before, 148 g after`: grams of the liquid.
    Weighed {
        /// Before ice, g.
        before_g: Amount,
        /// After straining, g.
        after_g: Amount,
    },
}

impl Settings {
    /// When the drinks of the list are poured that say nothing else.
    pub fn seasons(&self) -> impl Iterator<Item = &str> {
        self.season
            .iter()
            .flat_map(|words| settings::between_commas(words))
    }

    /// Take the seasons and the tags of another list beside its own.
    #[cfg(feature = "store")]
    pub(crate) fn take_words_of(&mut self, other: &Settings) {
        for (own, more) in [(&mut self.season, &other.season), (&mut self.tags, &other.tags)] {
            let words = |of: &Option<String>| -> Vec<String> {
                let words = of.iter().flat_map(|said| settings::between_commas(said));
                words.map(str::to_owned).collect()
            };
            let mut all = words(own);
            for word in words(more) {
                if !all
                    .iter()
                    .any(|known| crate::names::key(known) == crate::names::key(&word))
                {
                    all.push(word);
                }
            }
            *own = (!all.is_empty()).then(|| all.join(", "));
        }
    }

    /// The words that are put on every drink of the list.
    pub fn tags_of_all(&self) -> impl Iterator<Item = &str> {
        self.tags.iter().flat_map(|words| settings::between_commas(words))
    }
}

/// When a drink is poured and the words that are put on it, by its text as it is kept and by its list: what
/// [`crate::computed::ComputedDrink`] tells, without reading the rest of the text.
#[cfg(feature = "store")]
pub(crate) fn seasons_and_tags(text: &str, list: &Settings) -> (Vec<String>, Vec<String>) {
    let own = |particular: &str| -> Vec<String> {
        let value = text.lines().skip(1).find_map(|line| {
            let (said, value) = line.split_once(':')?;
            (particular_named(said.trim_matches(['*', '_', ' '])) == Some(particular)).then_some(value)
        });
        let words = value
            .into_iter()
            .flat_map(|v| settings::between_commas(v.trim_matches(['*', '_', ' '])));
        words.map(str::to_owned).collect()
    };
    let mut seasons = own("season");
    if seasons.is_empty() {
        seasons = list.seasons().map(str::to_owned).collect();
    }
    let mut tags = own("tags");
    for tag in list.tags_of_all() {
        if !tags
            .iter()
            .any(|known| crate::names::key(known) == crate::names::key(tag))
        {
            tags.push(tag.to_owned());
        }
    }
    (seasons, tags)
}

/// An ingredient defined in a book.
#[derive(Clone, Debug, PartialEq)]
pub struct Definition {
    /// The heading.
    pub name: String,
    /// Where the heading stands in the source.
    pub span: Range<usize>,
    /// What stands under the heading, in order.
    pub entries: Vec<Entry>,
    /// What it comes to; `None` where only the price of a known ingredient is given.
    pub ingredient: Option<crate::ingredient::Ingredient>,
    /// What it costs.
    pub price: Option<crate::ingredient::Price>,
}

/// One step of the work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    /// Something poured or put in.
    Pour(Pour),
    /// The work done on it.
    Work(Work),
    /// Ice put into the tin or glass: before, between or after pours.
    Ice(Ice),
    /// Strained off its ice into the glass.
    Strain {
        /// Through a fine sieve as well.
        fine: bool,
    },
    /// Into the glass with its ice and solids.
    Unstrained,
    /// Served on ice, which goes on melting.
    OverIce(Ice),
    /// Served without ice.
    Neat,
    /// Left to stand, seconds.
    Rest(Amount),
    /// A garnish, in the writer's words.
    Garnish(String),
    /// Work on a preparation: heat, infuse, press, clarify.
    Prepare(Prepare),
}

/// What is done to what is in the tin or glass.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Work {
    /// How.
    pub technique: Technique,
    /// For how long, seconds.
    pub seconds: Option<Amount>,
    /// On what ice and how much of it, where the line says.
    pub ice: Option<Ice>,
    /// Other words of the line, for the reader.
    pub words: String,
}

/// Something poured or put in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pour {
    /// How it goes in.
    pub place: PourMethod,
    /// How much.
    pub measure: PourAmount,
    /// Of what; more than one where the writer left a choice.
    pub choices: Vec<Named>,
    /// The percentage that the line gives: of alcohol, % vol; of what is dissolved where it is a solution.
    pub strength_pct: Option<Amount>,
    /// What that percentage counts, where the line says it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per: Option<Per>,
    /// What else the line says: "scant", "more to taste".
    pub note: String,
}

/// What a percentage, or a ratio of two things, counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Per {
    /// Mass in mass: g in 100 g.
    Mass,
    /// Mass in volume: g in 100 ml of what is made; of a ratio, g to ml.
    MassInVolume,
    /// Volume in volume: ml in 100 ml.
    Volume,
}

impl Per {
    /// By its words, folded: `w/v`, `by mass`.
    #[must_use]
    pub fn read(words: &str) -> Option<Per> {
        Some(match words.trim_start_matches("by ") {
            "w/w" | "m/m" | "mass" | "weight" | "wt" => Per::Mass,
            "w/v" | "m/v" => Per::MassInVolume,
            "v/v" | "volume" | "vol" => Per::Volume,
            _ => return None,
        })
    }

    /// As it is written.
    #[must_use]
    pub fn written(self) -> &'static str {
        match self {
            Per::Mass => "w/w",
            Per::MassInVolume => "w/v",
            Per::Volume => "v/v",
        }
    }
}

/// The name of an ingredient as typed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Named {
    /// As typed, strength and counting word left out: `mint` of `8 mint leaves`.
    pub name: String,
    /// As typed, counting word and all: `sugar cube` is a thing of its own.
    pub full: String,
    /// Whether any member of a kind will do ("any anise liqueur").
    pub any: bool,
    /// Where it stands in the source.
    #[serde(skip)]
    pub span: Range<usize>,
}

/// How a pour goes in.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, strum::IntoStaticStr, strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum PourMethod {
    /// Into the vessel being worked.
    In,
    /// On top, to lengthen.
    Top,
    /// Floated on the surface.
    Float,
    /// Swirled round the glass and thrown out.
    Rinse,
    /// Sprayed over.
    Mist,
}

/// How much of something.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PourAmount {
    /// An amount of a unit; `None` where the line has a bare number.
    Of(Extent, Option<Unit>),
    /// As much as fills the glass to its washline.
    Fill,
    /// As much as it takes: to be worked out or tasted.
    Open(Option<Unit>),
    /// As much as the place leaves (a rinse, a mist).
    Usual,
}

impl PourAmount {
    /// The unit that is written, where one is.
    #[must_use]
    pub fn unit(&self) -> Option<Unit> {
        match self {
            PourAmount::Of(_, unit) | PourAmount::Open(unit) => *unit,
            PourAmount::Fill | PourAmount::Usual => None,
        }
    }
}

/// An amount, or a span of amounts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Extent {
    /// What is computed.
    pub nominal: Amount,
    /// The least and most that the words allow; both the nominal where they are exact.
    pub low: Amount,
    /// See [`Extent::low`].
    pub high: Amount,
    /// The word that stood for it ("few", "a couple of"), for writing it back.
    #[serde(skip)]
    pub word: Option<&'static str>,
}

impl Extent {
    /// An exact amount.
    #[must_use]
    pub fn exact(amount: Amount) -> Extent {
        Extent {
            nominal: amount,
            low: amount,
            high: amount,
            word: None,
        }
    }

    /// Whether it is one amount and not a span.
    #[must_use]
    pub fn is_exact(&self) -> bool {
        self.low == self.high
    }
}
