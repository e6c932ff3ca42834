//! Trials of drinks, and the ranges that are learned from them.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::balance::learn::{self, CONFIDENCE_PCT, FEWEST};
use washline_core::balance::{BalanceFigure, Ranges, Span, Structure};
use washline_core::ingredient::Convention;
use washline_core::store;

use crate::parts::{Moment, Text, Version, Word, shape};
use crate::shared::each;

/// Trials of a drink, the latest first.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline taste")]
pub struct Tastings<'a> {
    pub schema: Version,
    pub tastings: Vec<Tasting<'a>>,
}

impl<'a> Tastings<'a> {
    pub fn of(all: impl IntoIterator<Item = &'a store::Tasting>) -> Tastings<'a> {
        Tastings {
            schema: Version,
            tastings: each(all),
        }
    }
}

shape! {
    Tasting<'a> = "tasting" of tasting: &'a store::Tasting {
        drink: Text<'a> = (&tasting.drink).into(),
        book: Text<'a> = (&tasting.book).into(),
        /// Which version of the spec was tasted.
        #[schemars(range(min = 1))]
        version: i64 = tasting.version,
        /// Whether that version is the one poured now.
        is_current: bool = tasting.is_current,
        /// `right`, or what was off: too strong, too weak, too sweet, too tart, flat, or other words.
        #[schemars(length(min = 1))]
        verdict: Vec<Text<'a>> = tasting.verdict.iter().map(|said| said.to_string().into()).collect(),
        /// Whether nothing was off.
        right: bool = tasting.is_right(),
        note: &'a str = &tasting.note,
        taster: &'a str = &tasting.taster,
        /// A day, or a moment in universal time.
        #[schemars(length(min = 1))]
        at: Moment<'a> = Moment(Some(&tasting.at)),
    }
}

/// What was learned, from what, and what stands in the way.
#[derive(Debug)]
pub struct Lesson<'a> {
    pub learned: &'a [learn::Learned],
    pub too_few: &'a [(Structure, usize)],
    /// Which drinks: "tasted right", "of the house", "named in list.txt".
    pub from: &'a str,
    /// How many of them.
    pub drinks: usize,
    /// Drinks left out because their juices are counted in the other convention.
    pub left_out: usize,
    pub share_pct: f64,
    pub convention: Convention,
    /// The ranges that held before.
    pub ranges: &'a Ranges,
    /// Whether the learned ones are the house's own now.
    pub kept: bool,
}

shape! {
    /// Ranges learned from drinks, and how well so many drinks tell them.
    #[schemars(title = "washline ranges learn")]
    Learned<'a> = "learned_ranges" of lesson: &Lesson<'a> {
        schema: Version = Version,
        /// Which drinks.
        from: Text<'a> = lesson.from.into(),
        /// How many.
        drinks: usize = lesson.drinks,
        /// Drinks whose juices are counted in the other convention.
        left_out: usize = lesson.left_out,
        /// How many drinks of a structure it takes where none are published.
        #[schemars(range(min = 8, max = 8))]
        fewest: usize = FEWEST,
        /// The central share of the drinks that makes a range, %.
        #[schemars(range(min = 50, max = 95))]
        share_pct: f64 = lesson.share_pct,
        /// The level of the intervals, %.
        #[schemars(range(min = 90, max = 90))]
        confidence_pct: f64 = CONFIDENCE_PCT,
        convention: Word<Convention> = lesson.convention.into(),
        learned: Vec<LearnedRange> = lesson.learned.iter().map(|learned| (learned, lesson.ranges).into()).collect(),
        /// Structures of which there are too few drinks.
        too_few: Vec<TooFew> = each(lesson.too_few),
        /// Whether they are the house's own ranges now.
        kept: bool = lesson.kept,
    }
}

shape! {
    LearnedRange = "learned_range" of of: (&learn::Learned, &Ranges) {
        structure: Word<Structure> = of.0.structure.into(),
        measure: Word<BalanceFigure> = of.0.measure.into(),
        #[schemars(range(min = 1))]
        drinks: usize = of.0.count,
        /// How many published drinks of the structure it is drawn towards.
        published: usize = of.0.published,
        /// Where the range begins, at the precision of its measure.
        low: f64 = of.0.range().0,
        high: f64 = of.0.range().1,
        low_percentile: Estimate = of.0.low.into(),
        median: Estimate = of.0.median.into(),
        high_percentile: Estimate = of.0.high.into(),
        /// The usual range until now.
        usual: Option<Usual> = of.1.band(of.0.structure, of.0.measure).core.as_ref().map(Usual::from),
    }
}

shape! {
    Estimate = "estimate" of estimate: learn::Estimate {
        value: f64 = estimate.value,
        /// Where it lies at least; null where too few drinks lie below it to say.
        from: Option<f64> = estimate.from,
        to: Option<f64> = estimate.to,
    }
}

shape! {
    Usual = "usual" of span: &Span {
        low: f64 = span.low,
        high: f64 = span.high,
        /// Whether the house had set it for itself.
        own: bool = span.own,
    }
}

shape! {
    TooFew = "too_few" of of: &(Structure, usize) {
        structure: Word<Structure> = of.0.into(),
        #[schemars(range(min = 1, max = 7))]
        drinks: usize = of.1,
    }
}
