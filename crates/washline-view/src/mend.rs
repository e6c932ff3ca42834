//! What to change so that a drink comes into balance.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::advise::{self, Basis, MendOutcome, Origin};
use washline_core::balance::{BalanceFigure, Structure};
use washline_core::computed::ComputedDrink;
use washline_core::spec;

use crate::parts::{Signed, SignedDecimals, Text, Version, Word, shape, spoken};
use crate::shared::{Done, Fault, Figures, Kept, each};

/// What to change so that a drink comes into balance. One drink by its name is the whole object; a book or a house is a
/// list of them in `drinks`.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
#[schemars(title = "washline mend")]
pub enum Mend<'a> {
    /// One drink, by its name.
    One {
        schema: Version,
        #[serde(flatten)]
        drink: Box<Mended<'a>>,
        faults: Vec<Fault<'a>>,
    },
    /// The drinks of a book or a house.
    Several {
        schema: Version,
        drinks: Vec<Mended<'a>>,
        faults: Vec<Fault<'a>>,
    },
}

impl<'a> Mend<'a> {
    /// `alone`, where one drink was asked for by its name.
    pub fn of(
        drinks: &'a [ComputedDrink],
        mended: &'a [advise::Mended],
        faults: &'a [spec::Fault],
        done: &'a Done,
        alone: bool,
    ) -> Mend<'a> {
        let mut all: Vec<Mended<'a>> = drinks
            .iter()
            .zip(mended)
            .map(|(drink, mended)| Mended::from((drink, mended, done)))
            .collect();
        let (schema, faults) = (Version, each(faults));
        match all.pop() {
            Some(drink) if alone && all.is_empty() => Mend::One {
                schema,
                drink: Box::new(drink),
                faults,
            },
            last => {
                all.extend(last);
                Mend::Several {
                    schema,
                    drinks: all,
                    faults,
                }
            }
        }
    }
}

spoken!(MendOutcome = "outcome": "What came of the search.");

shape! {
    Mended<'a> = "mended" of of: (&'a ComputedDrink, &'a advise::Mended, &'a Done) {
        drink: Text<'a> = (&of.1.drink).into(),
        book: &'a str = &of.0.found_in.book,
        /// The version of the spec that was mended.
        #[schemars(range(min = 1))]
        version: i64 = of.0.found_in.version,
        structure: Option<Word<Structure>> = of.1.structure.map(Word::from),
        outcome: Word<MendOutcome> = of.1.outcome.into(),
        /// Why there is nothing to mend towards, where it is refused.
        reason: Option<Text<'a>> = match of.1.outcome {
            MendOutcome::Refused(why) => Some(why.to_string().into()),
            _ => None,
        },
        /// What it comes to as it is.
        before: Figures<'a> = (&of.1.before).into(),
        #[schemars(length(max = 3))]
        targets: Vec<Target> = each(&of.1.targets),
        /// The fewest pours first; each improves on the one before it.
        #[schemars(length(max = 4))]
        answers: Vec<Answer<'a>> = each(&of.1.answers),
        /// Where nothing works: what comes closest; without changes, the drink as it is.
        closest: Option<Closest<'a>> = of.1.closest.as_ref().map(Closest::from),
        /// What was kept to, and whether a smaller change would do without it.
        limits: Vec<Limit<'a>> = each(&of.1.limits),
        /// The version of the spec that was kept in the house.
        kept: Option<Kept> = of.2.kept.map(Kept::from),
        /// The file the answer was written into.
        written: Option<&'a str> = of.2.written.as_deref(),
    }
}

spoken!(Basis = "basis_of_a_target");

shape! {
    Target = "target" of target: &advise::Target {
        measure: Word<BalanceFigure> = target.measure.into(),
        low: f64 = target.span.low,
        high: f64 = target.span.high,
        /// What figures are rounded to before they are compared.
        decimals: u8 = target.span.decimals,
        basis: Word<Basis> = target.basis.into(),
    }
}

shape! {
    Limit<'a> = "limit" of limit: &advise::Limit {
        limit: Text<'a> = limit.kind.to_string().into(),
        binds: bool = limit.binds,
    }
}

shape! {
    Closest<'a> = "closest" of closest: &'a advise::Closest {
        #[serde(flatten)]
        answer: Answer<'a> = (&closest.answer).into(),
        #[schemars(length(min = 1))]
        because: Vec<Text<'a>> = closest.because.iter().map(|b| b.to_string().into()).collect(),
    }
}

shape! {
    Answer<'a> = "answer" of answer: &'a advise::Answer {
        changes: Vec<Change<'a>> = each(&answer.changes),
        /// The sum over the written pours of the square of change over pour (or 5 ml).
        objective: f64 = answer.objective,
        /// What the drink comes to with exactly these amounts.
        figures: Figures<'a> = (&answer.figures).into(),
        /// Whether every measure that has a usual band lies in it; null where none has.
        in_core_band: Option<bool> = answer.in_core_band,
        ethanol_g_change: Signed = answer.ethanol_g_change.into(),
        /// In the currency of the book, exact; null where a price is not known.
        cost_change: Option<SignedDecimals> = answer.cost_change.map(SignedDecimals::from),
    }
}

shape! {
    Change<'a> = "change" of change: &'a advise::Change {
        ingredient: Text<'a> = (&change.ingredient).into(),
        /// The amount as written, `to taste` where it is left open; null where the pour is added.
        from: Option<String> = match change.origin {
            Origin::Added => None,
            Origin::Written(_) | Origin::Open => Some(change.from_text()),
        },
        to: Text<'a> = change.to_text().into(),
        /// Null where it is left open.
        from_ml: Option<f64> = change.from_ml,
        to_ml: f64 = change.to_ml,
        #[schemars(length(min = 1))]
        why: Vec<Text<'a>> = change.why.iter().map(|why| why.to_string().into()).collect(),
    }
}
