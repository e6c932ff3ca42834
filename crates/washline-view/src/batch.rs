//! A drink for many, and a whole event.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::service::batch::{self, Serving, When};
use washline_core::spec;

use crate::parts::{CurrencyCode, Decimals, Signed, Text, Version, Word, one_of, shape, spoken, texts};
use crate::shared::{Allergens, Assumption, Fault, Figures, each};

spoken!(Serving = "serving");

spoken!(When = "when");

/// A drink for many; with --menu, a whole event. Money is decimal text, never a number.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
#[schemars(title = "washline batch")]
pub enum Batched<'a> {
    Single(Box<Single<'a>>),
    Event(Box<Event<'a>>),
}

impl<'a> Batched<'a> {
    pub fn single(made: &'a batch::Batch, faults: &'a [spec::Fault]) -> Batched<'a> {
        Batched::Single(Box::new(Single {
            schema: Version,
            batch: made.into(),
            make: each(&made.shopping.make),
            buy: each(&made.shopping.buy),
            bill: made.shopping.bill.as_ref().map(Bill::from),
            faults: each(faults),
        }))
    }

    pub fn event(event: &'a batch::Event, faults: &'a [spec::Fault]) -> Batched<'a> {
        Batched::Event(Box::new(Event {
            schema: Version,
            guests: event.guests,
            each: event.each,
            serves: event.serves,
            drinks: each(&event.drinks),
            left_out: event
                .left_out
                .iter()
                .map(|(drink, why)| LeftOut {
                    drink: drink.into(),
                    why: why.to_string().into(),
                })
                .collect(),
            make: each(&event.shopping.make),
            buy: each(&event.shopping.buy),
            bill: event.shopping.bill.as_ref().map(Bill::from),
            ice: Ice {
                used_kg: event.ice_g / 1000.0,
                bought_low_kg: event.ice_bought_kg.0,
                bought_high_kg: event.ice_bought_kg.1,
            },
            assumptions: each(&event.shopping.assumptions),
            faults: each(faults),
        }))
    }
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct Single<'a> {
    #[serde(flatten)]
    pub batch: Batch<'a>,
    pub schema: Version,
    pub make: Vec<Make<'a>>,
    pub buy: Vec<Buy<'a>>,
    pub bill: Option<Bill<'a>>,
    pub faults: Vec<Fault<'a>>,
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "event")]
pub struct Event<'a> {
    pub schema: Version,
    #[schemars(range(min = 1))]
    pub guests: u32,
    pub each: f64,
    pub serves: u32,
    pub drinks: Vec<Batch<'a>>,
    /// Drinks of which nothing can be batched.
    pub left_out: Vec<LeftOut<'a>>,
    pub make: Vec<Make<'a>>,
    pub buy: Vec<Buy<'a>>,
    pub bill: Option<Bill<'a>>,
    pub ice: Ice,
    pub assumptions: Vec<Assumption<'a>>,
    pub faults: Vec<Fault<'a>>,
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "left_out")]
pub struct LeftOut<'a> {
    pub drink: Text<'a>,
    pub why: Text<'a>,
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "ice")]
pub struct Ice {
    pub used_kg: f64,
    /// What the trade buys for so many drinks.
    pub bought_low_kg: f64,
    pub bought_high_kg: f64,
}

shape! {
    Batch<'a> = "batch" of batch: &'a batch::Batch {
        drink: Text<'a> = (&batch.drink).into(),
        book: &'a str = &batch.book,
        /// Whole serves.
        serves: u32 = batch.serves,
        /// A bottle seldom gives whole ones.
        serves_exact: f64 = batch.serves_exact,
        /// Whether all, most or none of the water is in it.
        serving: Word<Serving> = batch.serving.into(),
        /// Carbonated as a whole.
        keg: bool = batch.keg,
        /// Null where none is named.
        vessel_ml: Option<f64> = batch.vessel_ml,
        /// Room that should be left free in it.
        head_pct: f64 = batch.head_pct,
        overflow_ml: f64 = batch.overflow_ml,
        /// What stands in the vessel, at 20 °C.
        volume_ml: f64 = batch.vessel.volume_ml(),
        mass_g: f64 = batch.vessel.mass_g(),
        /// What of it makes a serve.
        pour_ml: f64 = batch.pour_ml,
        #[schemars(length(min = 1))]
        lines: Vec<Line<'a>> = each(&batch.lines),
        /// Water that goes in for the melt.
        water_ml: f64 = batch.water_ml,
        /// Water that ice gives each serve later.
        water_to_come_ml: f64 = batch.water_to_come_ml,
        figures: BatchFigures<'a> = batch.into(),
        /// Null where it is not frozen.
        freezer: Option<Freezer> = batch.freezer.as_ref().map(Freezer::from),
        holding: Holding<'a> = batch.into(),
        /// The work, step by step.
        #[schemars(length(min = 1))]
        order: Vec<Text<'a>> = texts(&batch.order),
        remarks: Vec<Remark<'a>> = each(&batch.remarks),
        cautions: Vec<Caution<'a>> = each(&batch.cautions),
        allergens: Allergens<'a> = Allergens::of(&batch.allergens_eu, &batch.allergens_us),
        garnishes: Vec<Text<'a>> = texts(&batch.garnishes),
        /// At service, for the work and the glasses.
        ice_kg: f64 = batch.ice_g / 1000.0,
        assumptions: Vec<Assumption<'a>> = each(&batch.assumptions),
    }
}

shape! {
    BatchFigures<'a> = "batch_figures" of batch: &'a batch::Batch {
        /// All of what stands in the vessel.
        vessel: Figures<'a> = (&batch.in_vessel).into(),
        /// A serve in the glass.
        glass: Figures<'a> = (&batch.in_glass).into(),
        /// The drink made by itself.
        single: Figures<'a> = (&batch.single).into(),
    }
}

shape! {
    Freezer = "freezer" of at: &batch::InFreezer {
        celsius: Signed = at.freezing.freezer_c.into(),
        /// Where the first ice forms.
        onset_c: Option<Signed> = at.freezing.onset_c.map(Signed),
        /// Ice by mass at that temperature.
        frozen_pct: f64 = 100.0 * at.freezing.frozen_share,
        /// The most water it can have and stay liquid; null where it freezes without any.
        most_water_ml: Option<f64> = at.most_water_ml,
    }
}

shape! {
    Holding<'a> = "holding" of batch: &'a batch::Batch {
        hours_low: f64 = batch.holding.hours.0,
        hours_high: f64 = batch.holding.hours.1,
        words: Text<'a> = batch.holding.words.into(),
        because: Text<'a> = batch.holding.because.into(),
        source: Text<'a> = batch.holding.source.into(),
        /// The preparation in it that keeps the shortest.
        keeps_as: Option<KeepsAs<'a>> = batch.keeps_as.as_ref().map(KeepsAs::from),
    }
}

shape! {
    KeepsAs<'a> = "keeps_as" of of: &'a (String, String) {
        preparation: Text<'a> = (&of.0).into(),
        keeps: Text<'a> = (&of.1).into(),
    }
}

spoken!(batch::Remark = "remark_kind": "What is to be known of a batch.");

shape! {
    Remark<'a> = "remark" of remark: &batch::Remark {
        kind: Word<batch::Remark> = remark.into(),
        grave: bool = remark.is_grave(),
        message: Text<'a> = remark.to_string().into(),
    }
}

shape! {
    Caution<'a> = "caution" of caution: &'a batch::Caution {
        text: Text<'a> = (&caution.text).into(),
        source: Text<'a> = (&caution.source).into(),
    }
}

shape! {
    Line<'a> = "batch_line" of line: &'a batch::BatchLine {
        /// Its place among the steps of the drink.
        position: usize = line.position,
        ingredient: Text<'a> = (&line.ingredient).into(),
        /// The amount for one, as written.
        written: &'a str = &line.written,
        when: Word<When> = line.when.into(),
        /// Why it is added at service.
        why: Option<Text<'a>> = line.why.map(|why| why.words().into()),
        /// For all serves.
        volume_ml: f64 = line.volume_ml,
        mass_g: f64 = line.mass_g,
        /// The least by the size of the measure; null where it is exact.
        low_ml: Option<f64> = line.span_ml.map(|(low, _)| low),
        high_ml: Option<f64> = line.span_ml.map(|(_, high)| high),
        /// What fizzed, where still water stands for it.
        in_place_of: Option<Text<'a>> = line.was.as_ref().map(Text::from),
        /// What it is scaled by besides the serves.
        factor: f64 = line.factor,
    }
}

shape! {
    Make<'a> = "make" of make: &'a batch::Make {
        preparation: Text<'a> = (&make.preparation).into(),
        volume_ml: f64 = make.volume_ml,
        /// Times its recipe.
        makings: f64 = make.makings,
        keeps: Option<Text<'a>> = make.keeps.as_ref().map(Text::from),
    }
}

one_of!(
    /// What a rest is counted in.
    LeftUnit = "left_unit": "ml", "g"
);

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "left_over")]
pub struct LeftOver {
    pub amount: f64,
    pub unit: LeftUnit<'static>,
}

shape! {
    Buy<'a> = "buy" of buy: &'a batch::Buy {
        ingredient: Text<'a> = (&buy.ingredient).into(),
        /// Null of what is weighed.
        volume_ml: Option<f64> = buy.volume_ml,
        mass_g: f64 = buy.mass_g,
        /// Whole packages; null where nobody says what it comes in.
        packages: Option<u64> = buy.packages,
        package: Option<Text<'a>> = Some(&buy.package).filter(|package| !package.is_empty()).map(Text::from),
        /// No price names the package.
        assumed: bool = buy.assumed,
        left_over: Option<LeftOver> = buy.left_over.map(|(amount, unit)| LeftOver { amount, unit: LeftUnit(unit) }),
        /// Of those packages; null where it is not priced.
        cost: Option<Decimals> = buy.cost.map(|cost| cost.normalize().into()),
    }
}

shape! {
    Bill<'a> = "bill" of bill: &'a batch::Bill {
        /// ISO 4217; null where nobody names one.
        currency: Option<CurrencyCode<'a>> = bill.currency.map(CurrencyCode::from),
        /// What is priced.
        total: Decimals = bill.total.normalize().into(),
        unpriced: Vec<Text<'a>> = texts(&bill.unpriced),
    }
}
