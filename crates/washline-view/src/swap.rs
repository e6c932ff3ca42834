//! What one ingredient in the place of another does to each drink.

use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::Serialize;
use washline_core::advise::{self, Hold, Refusal, SwapAsk, SwappedPour};
use washline_core::balance::{self, Evaluation, Structure, Verdict};
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::Convention;
use washline_core::resolve::Resolved;
use washline_core::service::cost::Costing;
use washline_core::spec;

use crate::drink::verdicts;
use crate::parts::{
    CurrencyCode, Decimals, Signed, SignedDecimals, Text, Version, Word, one_of, shape, spoken, texts,
};
use crate::shared::{Allergens, Assumption, BothLists, ByMeasure, Done, Fault, Figures, Kept, each};

spoken!(Hold = "hold");

/// One drink with what a swap does to it and to its cost.
pub struct Told<'a> {
    pub worked: &'a ComputedDrink,
    pub swap: advise::Swap<'a>,
    pub cost: Costs,
    /// What was kept and written.
    pub done: Done,
}

/// What a drink costs as it is and as it becomes.
pub struct Costs {
    pub before: Costing,
    pub exact: Option<Costing>,
    pub measured: Option<Costing>,
    pub watered: Option<Costing>,
}

/// What a drink costs, where every line of it is priced.
#[must_use]
pub fn complete(costing: &Costing) -> Option<Decimal> {
    costing
        .is_complete()
        .then(|| costing.to_digits(costing.cost.value, 1))
}

/// By how much the cost changes: what is not priced may be, as long as it is the same before and after.
#[must_use]
pub fn change(before: &Costing, after: &Costing) -> Option<Decimal> {
    let unpriced = |costing: &Costing| {
        let mut names: Vec<String> = costing.unpriced().map(|(line, _)| line.name.clone()).collect();
        names.sort_unstable();
        names
    };
    let known =
        before.has_any_price() && before.currency == after.currency && unpriced(before) == unpriced(after);
    known.then(|| after.to_digits(after.cost.value - before.cost.value, 1))
}

/// What there is to say of a drink that there was not before.
#[must_use]
pub fn new_findings<'a>(before: &'a Evaluation, after: &'a Evaluation) -> Vec<&'a balance::Finding> {
    let same =
        |a: &balance::Finding, b: &balance::Finding| a.kind() == b.kind() && a.measure() == b.measure();
    after
        .findings
        .iter()
        .filter(|new| !before.findings.iter().any(|old| same(old, new)))
        .collect()
}

/// What one ingredient in the place of another does to each drink.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline swap")]
pub struct Swaps<'a> {
    pub schema: Version,
    /// As named.
    pub old: Text<'a>,
    /// As named.
    pub new: Text<'a>,
    pub hold: Word<Hold>,
    #[schemars(length(min = 1))]
    pub drinks: Vec<Swap<'a>>,
    /// Preparations that are made with the old one; they are not changed.
    pub also_in: Vec<Text<'a>>,
    pub faults: Vec<Fault<'a>>,
}

impl<'a> Swaps<'a> {
    pub fn of(
        told: &'a [Told<'a>],
        ask: &'a SwapAsk,
        also_in: &'a [String],
        faults: &'a [spec::Fault],
    ) -> Swaps<'a> {
        Swaps {
            schema: Version,
            old: (&ask.old).into(),
            new: (&ask.new).into(),
            hold: ask.hold.into(),
            drinks: told.iter().map(|t| Swap::from((t, ask))).collect(),
            also_in: texts(also_in),
            faults: each(faults),
        }
    }
}

/// Something before and after.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BeforeAndAfter<B, A> {
    pub before: B,
    pub after: A,
}

impl<'a> Told<'a> {
    fn swapped(&self) -> Option<&advise::Swapped> {
        self.swap.outcome.as_ref().ok()
    }

    fn measured(&self) -> Option<&advise::Version> {
        self.swapped().map(|swapped| &swapped.measured)
    }

    /// A sum over all pours; null where the swap is refused.
    fn sum(&self, of: fn(&SwappedPour) -> f64) -> Option<f64> {
        self.swapped().map(|_| self.swap.pours.iter().map(of).sum())
    }
}

fn allergens(resolved: &Resolved) -> Allergens<'_> {
    Allergens::of(&resolved.allergens_eu, &resolved.allergens_us)
}

shape! {
    Swap<'a> = "swap" of of: (&'a Told<'a>, &'a SwapAsk) {
        drink: Text<'a> = (&of.0.swap.drink).into(),
        book: &'a str = &of.0.worked.found_in.book,
        /// The version of the spec that was swapped in.
        #[schemars(range(min = 1))]
        version: i64 = of.0.worked.found_in.version,
        convention: Word<Convention> = of.0.worked.resolved.convention.into(),
        /// What is poured now, by its full name.
        old: Text<'a> = (&of.0.swap.old).into(),
        /// What is poured in its place.
        new: Text<'a> = (&of.0.swap.new).into(),
        structure: BeforeAndAfter<Option<Word<Structure>>, Option<Word<Structure>>> = BeforeAndAfter {
            before: of.0.swap.before.structure.map(Word::from),
            after: of.0.measured().and_then(|m| m.drink.evaluation.structure).map(Word::from),
        },
        /// What it comes to as it is.
        before: Figures<'a> = (&of.0.swap.before.figures).into(),
        /// What it comes to with the amounts that hold exactly; null where the swap is refused.
        after: Option<Figures<'a>> = of.0.swapped().map(|s| (&s.exact.drink.evaluation.figures).into()),
        /// The same with the nearest amounts that the bar measures: what is kept or written.
        measured: Option<Figures<'a>> = of.0.measured().map(|m| (&m.drink.evaluation.figures).into()),
        /// The measured amounts with the missing water poured back; null where hardly any is missing or the volume is held.
        with_water: Option<WithWater<'a>> = of.0.swapped().and_then(|s| s.watered.as_ref()).map(WithWater::from),
        /// How much of the new one holds exactly, over all its pours.
        amount_ml: Option<f64> = of.0.sum(|p| p.to_ml),
        measured_ml: Option<f64> = of.0.sum(|p| p.measured_ml),
        /// Water that comes in with the exact amount; below 0 where some goes missing.
        water_ml: Option<Signed> = of.0.sum(|p| p.water_ml).map(Signed),
        held: Held<'a> = of.into(),
        /// Why it is not done, with how much it would take where that is the reason.
        refused: Option<Refused<'a>> = of.0.swap.outcome.as_ref().err().map(Refused::from),
        pours: Vec<Pour<'a>> = each(&of.0.swap.pours),
        verdicts: BeforeAndAfter<ByMeasure<Word<Verdict>>, Option<ByMeasure<Word<Verdict>>>> = BeforeAndAfter {
            before: verdicts(of.0.swap.before),
            after: of.0.measured().map(|m| verdicts(&m.drink.evaluation)),
        },
        /// What there is to say of it as measured that there was not before.
        findings: Vec<Text<'a>> = of.0.measured().map_or_else(Vec::new, |m| {
            new_findings(of.0.swap.before, &m.drink.evaluation).into_iter().map(|f| f.to_string().into()).collect()
        }),
        allergens: AllergenChange<'a> = of.0.into(),
        /// Those that come with the new one.
        cautions: Vec<Text<'a>> = of.0.swapped().map_or_else(Vec::new, |s| texts(&s.cautions)),
        cost: Cost<'a> = (&of.0.cost).into(),
        assumptions: Vec<Assumption<'a>> = each(&of.0.swap.assumptions),
        notes: Vec<Text<'a>> = of.0.swap.notes.iter().map(|n| n.to_string().into()).collect(),
        /// The version of the spec that was kept in the house.
        kept: Option<Kept> = of.0.done.kept.map(Kept::from),
        /// The file it was written into.
        written: Option<&'a str> = of.0.done.written.as_deref(),
    }
}

shape! {
    WithWater<'a> = "with_water" of watered: &'a advise::Watered {
        amount: Text<'a> = (&watered.amount).into(),
        amount_ml: f64 = watered.ml,
        figures: Figures<'a> = (&watered.version.drink.evaluation.figures).into(),
    }
}

one_of!(
    /// The name of what is held, with its unit.
    HeldQuantity = "held_quantity":
    "volume_ml", "sugar_g", "sweetness_as_sucrose_g", "acid_as_citric_g", "ethanol_g"
);

shape! {
    Held<'a> = "held" of of: (&'a Told<'a>, &'a SwapAsk) {
        measure: Word<Hold> = of.1.hold.into(),
        quantity: HeldQuantity<'a> = HeldQuantity(of.1.hold.quantity()),
        /// What the old pour brings of it, and so the exact new one.
        value: Option<f64> = of.0.sum(|p| p.held),
        /// What the measured one brings.
        measured: Option<f64> = of.0.sum(|p| p.held_measured),
    }
}

shape! {
    Refused<'a> = "refused" of refusal: &Refusal {
        reason: Text<'a> = refusal.to_string().into(),
        needed_ml: Option<f64> = refusal.needed_ml(),
    }
}

shape! {
    Pour<'a> = "swapped_pour" of pour: &'a SwappedPour {
        /// Its place among the steps, from 0.
        position: usize = pour.at,
        /// As written; empty where the line gives no amount.
        from: &'a str = &pour.from,
        from_ml: f64 = pour.from_ml,
        amount_ml: f64 = pour.to_ml,
        to: &'a str = &pour.to,
        measured_ml: f64 = pour.measured_ml,
        water_ml: Signed = pour.water_ml.into(),
        measured_water_ml: Signed = pour.measured_water_ml.into(),
    }
}

shape! {
    AllergenChange<'a> = "allergen_change" of told: &'a Told<'a> {
        before: Allergens<'a> = allergens(&told.worked.resolved),
        after: Option<Allergens<'a>> = told.measured().map(|m| allergens(&m.drink.resolved)),
        comes: Option<BothLists<Vec<Text<'a>>, Vec<Text<'a>>>> = told.swapped().map(|s| BothLists {
            eu: texts(&s.allergens_eu.comes),
            us: texts(&s.allergens_us.comes),
        }),
        goes: Option<BothLists<Vec<Text<'a>>, Vec<Text<'a>>>> = told.swapped().map(|s| BothLists {
            eu: texts(&s.allergens_eu.goes),
            us: texts(&s.allergens_us.goes),
        }),
    }
}

shape! {
    /// Decimal, in the currency. Totals are null where a line is not priced; changes where the lines that are not priced are
    /// others than before.
    Cost<'a> = "cost_of_a_swap" of cost: &'a Costs {
        currency: Option<CurrencyCode<'a>> = cost.before.currency.map(CurrencyCode::from),
        before: Option<Decimals> = complete(&cost.before).map(Decimals::from),
        after: Option<Decimals> = cost.exact.as_ref().and_then(complete).map(Decimals::from),
        measured: Option<Decimals> = cost.measured.as_ref().and_then(complete).map(Decimals::from),
        change: Option<SignedDecimals> = cost.exact.as_ref().and_then(|c| change(&cost.before, c)).map(SignedDecimals::from),
        measured_change: Option<SignedDecimals> =
            cost.measured.as_ref().and_then(|c| change(&cost.before, c)).map(SignedDecimals::from),
    }
}
