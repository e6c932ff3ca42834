//! Ranges, and how often the verdicts that follow from them are right.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::balance::record::{self, Rate};
use washline_core::balance::{
    self, BalanceFigure, EDGE_PCT, Family, OUTSIDE_PCT, Ranges as AllRanges, Side, Structure, published,
};
use washline_core::ingredient::Convention;

use crate::parts::{Exact, Text, Version, Word, shape};
use crate::shared::{ByMeasure, each};

/// The ranges of each structure under one convention.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline ranges show, set, unset")]
pub struct Ranges<'a> {
    pub schema: Version,
    pub convention: Word<Convention>,
    pub families: Vec<FamilyRange<'a>>,
    pub structures: Vec<StructureBands<'a>>,
}

impl<'a> Ranges<'a> {
    pub fn of(
        ranges: &'a AllRanges,
        structures: &[Structure],
        families: &[Family],
        convention: Convention,
    ) -> Ranges<'a> {
        Ranges {
            schema: Version,
            convention: convention.into(),
            families: families.iter().map(|f| (*f, convention).into()).collect(),
            structures: structures.iter().map(|s| (*s, ranges).into()).collect(),
        }
    }
}

shape! {
    FamilyRange<'a> = "family_range" of of: (Family, Convention) {
        family: Word<Family> = of.0.into(),
        /// What makes a drink one.
        rule: Text<'a> = of.0.rule().into(),
        /// Why that makes it a family of its own.
        why: Text<'a> = of.0.why().into(),
        /// Whose published drinks stand behind it; null where too few do.
        #[schemars(length(min = 1))]
        compared_with: Option<Vec<Word<Family>>> =
            published::region(of.0, of.1).map(|region| region.from.iter().map(|family| (*family).into()).collect()),
        /// How many they are.
        drinks: usize = published::region(of.0, of.1).map_or(0, |region| region.count),
        /// Between what nine tenths of them lie.
        seen: ByMeasure<Option<[f64; 2]>> = ByMeasure::of(|measure| {
            published::region(of.0, of.1).map(|region| region.seen[measure as usize].into())
        }),
        /// Of its published drinks left out in turn, how many are flagged; of spoiled ones, how many are found.
        record: Option<Counts> = published::record_of(Some(of.0), of.1).map(Counts::from),
    }
}

shape! {
    Counts = "counts" of row: &published::RecordRow {
        good: usize = row.good,
        outside: usize = row.outside,
        off: usize = row.off,
        spoiled: usize = row.spoiled,
        found: usize = row.found,
        right: usize = row.right,
    }
}

shape! {
    StructureBands<'a> = "structure_bands" of of: (Structure, &'a AllRanges) {
        structure: Word<Structure> = of.0.into(),
        /// What makes a drink one.
        rule: Text<'a> = of.0.rule().into(),
        bands: ByMeasure<Band<'a>> = ByMeasure::of(|measure| of.1.band(of.0, measure).into()),
    }
}

shape! {
    Band<'a> = "band" of band: &'a balance::Band {
        /// Where such drinks usually sit: the handbook's, or the house's own.
        core: Option<Span<'a>> = band.core.as_ref().map(Span::from),
        /// What published recipes span.
        outer: Option<Span<'a>> = band.outer.as_ref().map(Span::from),
    }
}

shape! {
    Span<'a> = "span" of span: &'a balance::Span {
        low: Exact = span.low.into(),
        high: Exact = span.high.into(),
        /// The precision at which values are compared.
        #[schemars(range(min = 0, max = 4))]
        decimals: u8 = span.decimals,
        /// How many drinks stand behind it, where it was counted.
        #[schemars(range(min = 1))]
        count: Option<u32> = span.count,
        source: Text<'a> = (&span.source).into(),
        status: Text<'a> = (&span.status).into(),
    }
}

/// What the drinks of some books span, by structure and measure.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline ranges span")]
pub struct Spans {
    pub schema: Version,
    pub spans: Vec<SpanRow>,
}

impl Spans {
    pub fn of(rows: &[balance::SpanRow]) -> Spans {
        Spans {
            schema: Version,
            spans: each(rows),
        }
    }
}

shape! {
    SpanRow = "span_row" of row: &balance::SpanRow {
        structure: Word<Structure> = row.structure.into(),
        measure: Word<BalanceFigure> = row.measure.into(),
        low: Exact = row.low.into(),
        high: Exact = row.high.into(),
        /// How many drinks stand behind it.
        #[schemars(range(min = 5))]
        count: usize = row.count,
        /// How acid was counted; null for other measures.
        convention: Option<Word<Convention>> = row.convention.map(Word::from),
        /// Share of the drinks that lie within the span of all the others, %.
        left_out_inside_pct: Exact = row.left_out_inside_pct.into(),
    }
}

/// How often the verdicts are right: on good drinks, and on drinks spoiled on purpose.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline ranges test")]
pub struct Records<'a> {
    pub schema: Version,
    /// Which drinks.
    pub of: Text<'a>,
    pub promised: Promised,
    pub families: Vec<FamilyRecord>,
    pub all: Record,
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "promised")]
pub struct Promised {
    #[schemars(range(min = 0, max = 100))]
    pub outside_pct: f64,
    #[schemars(range(min = 0, max = 100))]
    pub off_pct: f64,
}

impl<'a> Records<'a> {
    pub fn of(families: &[(Family, record::Record)], all: &record::Record, of: &'a str) -> Records<'a> {
        Records {
            schema: Version,
            of: of.into(),
            promised: Promised {
                outside_pct: OUTSIDE_PCT,
                off_pct: EDGE_PCT,
            },
            families: each(families),
            all: all.into(),
        }
    }
}

shape! {
    FamilyRecord = "family_record" of of: &(Family, record::Record) {
        family: Word<Family> = of.0.into(),
        record: Record = (&of.1).into(),
    }
}

shape! {
    Record = "record" of record: &record::Record {
        /// No verdict, of drinks with alcohol.
        silent: RateView = record.silent.into(),
        /// Good drinks said to be outside.
        outside: RateView = record.outside.into(),
        /// Good drinks said to be outside or at the edge.
        off: RateView = record.off.into(),
        /// Spoiled drinks said to be off at all.
        found: RateView = record.found.into(),
        /// Spoiled drinks of which the right word is among what is said.
        right: RateView = record.right.into(),
        /// Spoiled drinks of which it is said first.
        first: RateView = record.first.into(),
        /// How often a spoiled drink lies further out than a good one.
        #[schemars(range(min = 0, max = 1))]
        auc: Option<f64> = record.auc,
        faults: Vec<FaultRate> = record.faults.iter().map(|(fault, right)| FaultRate {
            measure: fault.measure.into(),
            side: fault.side.into(),
            right: (*right).into(),
        }).collect(),
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "fault_rate")]
pub struct FaultRate {
    pub measure: Word<BalanceFigure>,
    pub side: Word<Side>,
    pub right: RateView,
}

shape! {
    RateView = "rate" of rate: Rate {
        hits: usize = rate.hits,
        of: usize = rate.of,
        #[schemars(range(min = 0, max = 100))]
        pct: Option<f64> = rate.pct(),
        /// Holds the rate in 95 % of cases.
        interval_pct: Option<[f64; 2]> = rate.interval_pct().map(Into::into),
    }
}
