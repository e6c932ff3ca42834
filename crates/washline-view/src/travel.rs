//! Drinks in other bars.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::advise::{self, Arrival, GapKind, Journey, Restoring};
use washline_core::balance::{self, BalanceFigure, Structure, Verdict};
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::Convention;
use washline_core::spec;

use crate::parts::{Signed, Text, Version, Word, one_of, shape, spoken, texts};
use crate::shared::{Allergens, Fault, Figures, each};

/// Drinks of a house in other bars, by their stock sheets; or, without another bar, how well each holds over the usual
/// spread of its ingredients.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline travel")]
pub struct Travel<'a> {
    pub schema: Version,
    pub bars: Vec<Bar<'a>>,
    /// The least robust first; drinks without a range last.
    pub robustness: Vec<Robust<'a>>,
    pub faults: Vec<Fault<'a>>,
}

impl<'a> Travel<'a> {
    pub fn to(
        drinks: &'a [ComputedDrink],
        visits: &'a [advise::Visit],
        faults: &'a [spec::Fault],
    ) -> Travel<'a> {
        Travel {
            schema: Version,
            bars: visits.iter().map(|visit| Bar::from((drinks, visit))).collect(),
            robustness: Vec::new(),
            faults: each(faults),
        }
    }

    pub fn robust(all: &'a [advise::Robust], faults: &'a [spec::Fault]) -> Travel<'a> {
        Travel {
            schema: Version,
            bars: Vec::new(),
            robustness: each(all),
            faults: each(faults),
        }
    }
}

shape! {
    Bar<'a> = "bar" of of: (&'a [ComputedDrink], &'a advise::Visit) {
        /// The title of the stock sheet.
        stock: Text<'a> = (&of.1.bar).into(),
        file: &'a str = &of.1.file,
        /// What to know before the figures.
        notes: Vec<Text<'a>> = texts(&of.1.notes),
        drinks: Vec<Arrived<'a>> = of.0.iter().zip(&of.1.drinks).map(Arrived::from).collect(),
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
#[schemars(rename = "arrived")]
pub enum Arrived<'a> {
    Poured(Box<Poured<'a>>),
    Stranded(Stranded<'a>),
}

impl<'a> From<(&'a ComputedDrink, &'a Arrival)> for Arrived<'a> {
    fn from((worked, arrival): (&'a ComputedDrink, &'a Arrival)) -> Arrived<'a> {
        match arrival {
            Arrival::Poured(journey) => Arrived::Poured(Box::new((worked, journey).into())),
            Arrival::Stranded { drink, faults } => Arrived::Stranded(Stranded {
                drink: drink.into(),
                book: &worked.found_in.book,
                version: worked.found_in.version,
                outcome: StrandedWord("cannot be worked out"),
                faults: each(faults),
            }),
        }
    }
}

one_of!(
    /// What became of a drink that cannot be poured there.
    StrandedWord = "stranded_word": "cannot be worked out"
);

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "stranded")]
pub struct Stranded<'a> {
    pub drink: Text<'a>,
    pub book: &'a str,
    #[schemars(range(min = 1))]
    pub version: i64,
    pub outcome: StrandedWord<'static>,
    #[schemars(length(min = 1))]
    pub faults: Vec<Fault<'a>>,
}

spoken!(Restoring = "restoring");

shape! {
    Poured<'a> = "poured_there" of of: (&'a ComputedDrink, &'a Journey) {
        drink: Text<'a> = (&of.1.drink).into(),
        book: &'a str = &of.0.found_in.book,
        /// The version of the spec.
        #[schemars(range(min = 1))]
        version: i64 = of.0.found_in.version,
        structure: Option<Word<Structure>> = of.1.structure().map(Word::from),
        /// How the juices of both bars are counted.
        convention: Word<Convention> = of.1.convention.into(),
        /// Whether the pours as written are as at home, others restore it, or nothing does and these come closest.
        outcome: Word<Restoring> = of.1.restoring.into(),
        /// Whether strength, sweetness, tartness or volume is another there, as printed.
        moves: bool = of.1.moves(),
        home: Figures<'a> = (&of.1.home.figures).into(),
        /// What the spec as written comes to there.
        figures: Figures<'a> = (&of.1.there.figures).into(),
        #[schemars(length(max = 3))]
        verdicts_changed: Vec<VerdictChanged> = each(&of.1.verdicts_changed),
        /// The one difference that explains most of the shift; null where no figure moves or none does by itself.
        cause: Option<Cause<'a>> = of.1.cause.as_ref().map(Cause::from),
        glass: Option<Glass<'a>> = Glass::of(of.1),
        /// Everything to pour there, in order; what is added comes last.
        pours: Vec<Pour<'a>> = each(&of.1.pours),
        /// What those pours come to.
        restored: Figures<'a> = (&of.1.restored).into(),
        /// Why no nearer to home.
        because: Vec<Text<'a>> = texts(&of.1.because),
        allergens: Allergens<'a> = Allergens::of(&of.1.allergens_eu, &of.1.allergens_us),
        cautions: Vec<Text<'a>> = texts(&of.1.cautions),
    }
}

shape! {
    VerdictChanged = "verdict_changed" of of: &(BalanceFigure, Verdict, Verdict) {
        measure: Word<BalanceFigure> = of.0.into(),
        home: Word<Verdict> = of.1.into(),
        there: Word<Verdict> = of.2.into(),
    }
}

spoken!(GapKind = "cause_kind": "What a difference is about.");
one_of!(
    /// What it moves.
    MovedMeasure = "moved_measure": "abv_pct", "sugar_g_per_100ml", "acid_g_per_100ml", "volume_ml"
);

shape! {
    Cause<'a> = "cause" of cause: &'a advise::Cause {
        kind: Word<GapKind> = (&cause.gap.kind).into(),
        name: Text<'a> = cause.gap.kind.to_string().into(),
        /// The difference in figures, where it has some.
        how: &'a str = &cause.gap.how,
        /// Its part of the whole shift by itself; above 1 where other differences work against it.
        share: f64 = cause.share,
        measure: MovedMeasure<'a> = MovedMeasure(cause.measure.map_or("volume_ml", BalanceFigure::word)),
        /// By how much it moves that measure by itself.
        change: Signed = cause.change.into(),
        /// The same in widths of the band; null of a volume.
        band_widths: Option<Signed> = cause.widths.map(Signed),
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "glass_there")]
pub struct Glass<'a> {
    pub name: Text<'a>,
    pub capacity_ml: f64,
    pub fill_pct: f64,
    /// What there is to say of the fit as written; empty where it fits.
    pub message: String,
}

impl<'a> Glass<'a> {
    fn of(journey: &'a Journey) -> Option<Glass<'a>> {
        journey.there.glass.as_ref().map(|glass| Glass {
            name: (&glass.name).into(),
            capacity_ml: glass.capacity_ml,
            fill_pct: glass.fill_pct,
            message: journey.glass_words().to_string(),
        })
    }
}

shape! {
    Pour<'a> = "pour_there" of pour: &'a advise::PourThere {
        /// Its step, from 0; of an added pour, the step it stands before.
        position: usize = pour.at,
        /// What the spec calls it.
        called: Text<'a> = Some(&pour.called).filter(|called| !called.is_empty()).unwrap_or(&pour.ingredient).into(),
        /// What is poured for it there.
        ingredient: Text<'a> = (&pour.ingredient).into(),
        /// The amount as written; null of an added pour.
        from: Option<&'a str> = Some(pour.from.as_str()).filter(|from| !from.is_empty()),
        to: &'a str = &pour.to,
        /// What the written amount is at home.
        from_ml: f64 = pour.from_ml,
        /// What the written amount is there.
        written_there_ml: f64 = pour.written_there_ml,
        to_ml: f64 = pour.to_ml,
        changed: bool = pour.changed,
        line: Text<'a> = (&pour.line).into(),
    }
}

shape! {
    Robust<'a> = "robust" of robust: &'a advise::Robust {
        drink: Text<'a> = (&robust.drink).into(),
        structure: Option<Word<Structure>> = robust.structure.map(Word::from),
        /// The share of cases in which its weakest measure is in its usual range; null without a range.
        #[schemars(range(min = 0, max = 1))]
        within: Option<f64> = robust.within(),
        /// Whether a verdict holds in fewer than three of four cases.
        fragile: bool = robust.is_fragile(),
        /// The weakest first.
        #[schemars(length(max = 3))]
        measures: Vec<Holds<'a>> = each(&robust.holds),
    }
}

shape! {
    Holds<'a> = "holds" of hold: &'a balance::Robustness {
        measure: Word<BalanceFigure> = hold.measure.into(),
        value: f64 = hold.value,
        low: f64 = hold.interval.0,
        high: f64 = hold.interval.1,
        /// Where the figure as computed lies.
        verdict: Word<Verdict> = hold.computed.into(),
        usual_low: Signed = hold.usual.low.into(),
        usual_high: Signed = hold.usual.high.into(),
        #[schemars(range(min = 0, max = 1))]
        within: f64 = hold.within,
        /// The share of cases that have this verdict.
        #[schemars(range(min = 0, max = 1))]
        keeps: f64 = hold.keeps,
        hangs_on: Option<HangsOn<'a>> = hold.hangs_on.as_ref().map(HangsOn::from),
    }
}

shape! {
    HangsOn<'a> = "hangs_on" of part: &'a balance::Budget {
        input: Text<'a> = (&part.input).into(),
        #[schemars(range(min = 0, max = 1))]
        share: f64 = part.share,
        settled_by: Text<'a> = (&part.settled_by).into(),
    }
}
