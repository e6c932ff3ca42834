//! What drinks cost.

use rust_decimal::Decimal;
use schemars::JsonSchema;
use serde::Serialize;
use washline_core::ingredient;
use washline_core::measure::{Currency, rounded};
use washline_core::service::cost::{self, Costing, LineCost, OneOfEach, Part, Sale, Unpriced, one_of_each};
use washline_core::spec;

use crate::parts::{CurrencyCode, Day, Decimals, SignedDecimals, Text, Version, Word, spoken};
use crate::remedy::not_priced;
use crate::shared::{Assumption, Fault, each};

/// What drinks cost, line by line, what they earn and should sell for. Money and percentages are decimal text, never numbers.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline cost")]
pub struct Costs<'a> {
    pub schema: Version,
    /// The tax on sales; null where it is not stated and prices are taken as they stand.
    pub tax: Option<Tax>,
    /// The pour cost aimed at, %.
    pub target_pct: Option<Decimals>,
    pub drinks: Vec<DrinkCost<'a>>,
    /// One of each drink that is priced in full and has a selling price, by currency.
    pub one_of_each: Vec<Together<'a>>,
    pub faults: Vec<Fault<'a>>,
}

/// What is asked of a list of costs.
#[derive(Clone, Copy, Debug, Default)]
pub struct Asked {
    /// The pour cost to aim at, %.
    pub target_pct: Option<Decimal>,
    /// The selling price to take.
    pub price: Option<Decimal>,
    /// The tax on sales; `None` where it is not stated.
    pub tax: Option<ingredient::Tax>,
}

impl Asked {
    /// What each drink that has a selling price comes to.
    #[must_use]
    pub fn sales<'a>(&self, costings: &'a [Costing]) -> Vec<(&'a Costing, Sale)> {
        costings
            .iter()
            .filter_map(|c| Some((c, c.at(self.price.or(c.price)?, self.tax)?)))
            .collect()
    }
}

impl<'a> Costs<'a> {
    pub fn of(costings: &'a [Costing], asked: &Asked, faults: &'a [spec::Fault]) -> Costs<'a> {
        Costs {
            schema: Version,
            tax: asked.tax.map(Tax::from),
            target_pct: asked.target_pct.map(|t| t.normalize().into()),
            drinks: costings.iter().map(|c| DrinkCost::of(c, asked)).collect(),
            one_of_each: one_of_each(&asked.sales(costings))
                .into_iter()
                .map(Together::from)
                .collect(),
            faults: each(faults),
        }
    }
}

/// A tax on sales or purchases.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "tax")]
pub struct Tax {
    pub pct: Decimals,
    /// Whether the price holds it.
    pub included: bool,
}

impl From<ingredient::Tax> for Tax {
    fn from(tax: ingredient::Tax) -> Tax {
        Tax {
            pct: tax.pct.normalize().into(),
            included: tax.included,
        }
    }
}

/// A sum with `more` digits than it is paid in.
pub(crate) fn digits(currency: Option<Currency>, sum: Decimal, more: u32) -> Decimal {
    match currency {
        Some(currency) => currency.to_digits(sum, more),
        None => rounded(sum, 2 + more),
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "together")]
pub struct Together<'a> {
    pub currency: Option<CurrencyCode<'a>>,
    #[schemars(range(min = 1))]
    pub drinks: usize,
    pub cost: Decimals,
    pub net: Decimals,
    pub pour_cost_pct: Decimals,
}

impl From<OneOfEach> for Together<'_> {
    fn from(one: OneOfEach) -> Self {
        Together {
            currency: one.currency.map(CurrencyCode::from),
            drinks: one.drinks,
            cost: digits(one.currency, one.cost, 0).into(),
            net: digits(one.currency, one.net, 0).into(),
            pour_cost_pct: rounded(one.pour_cost_pct, 2).into(),
        }
    }
}

/// With its span; not rounded to what is paid (see `minor_units`).
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "sum")]
pub struct Sum {
    pub value: SignedDecimals,
    pub low: SignedDecimals,
    pub high: SignedDecimals,
}

impl Sum {
    fn by(sum: &cost::Sum, printed: impl Fn(Decimal) -> Decimal) -> Sum {
        Sum {
            value: printed(sum.value).into(),
            low: printed(sum.low).into(),
            high: printed(sum.high).into(),
        }
    }

    fn money(costing: &Costing, sum: &cost::Sum) -> Sum {
        Sum::by(sum, |d| costing.to_digits(d, 4).normalize())
    }

    fn percent(sum: &cost::Sum) -> Sum {
        Sum::by(sum, |d| rounded(d, 2))
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "drink")]
pub struct DrinkCost<'a> {
    pub name: Text<'a>,
    pub book: Text<'a>,
    /// ISO 4217; null where nobody names one.
    pub currency: Option<CurrencyCode<'a>>,
    /// Digits in which the currency is paid.
    pub minor_units: Option<u32>,
    /// Whether every line is priced or free: only then is `cost` what the drink costs.
    pub complete: bool,
    /// What is priced of it; null where nothing is.
    pub cost: Option<Sum>,
    /// The lines that are not priced.
    pub unpriced: Vec<Text<'a>>,
    /// Their share of what is poured, % by volume.
    #[schemars(range(min = 0, max = 100))]
    pub unpriced_volume_pct: f64,
    pub lines: Vec<Line<'a>>,
    /// The selling price; null where there is none.
    pub price: Option<Decimals>,
    /// What that comes to; null without a price or a cost.
    pub sale: Option<SaleView>,
    /// The selling price at which the pour cost is `target_pct`.
    pub price_for_target: Option<Decimals>,
    pub findings: Vec<CostFinding<'a>>,
    pub assumptions: Vec<Assumption<'a>>,
}

impl<'a> DrinkCost<'a> {
    fn of(costing: &'a Costing, asked: &Asked) -> DrinkCost<'a> {
        let price = asked.price.or(costing.price);
        let sale = price.and_then(|p| costing.at(p, asked.tax));
        let target = asked
            .target_pct
            .and_then(|target| costing.price_for(target, asked.tax));
        let findings = costing.findings_at(price, asked.tax);
        DrinkCost {
            name: (&costing.name).into(),
            book: (&costing.book).into(),
            currency: costing.currency.map(CurrencyCode::from),
            minor_units: costing.currency.map(Currency::minor_units),
            complete: costing.is_complete(),
            cost: costing
                .has_any_price()
                .then(|| Sum::money(costing, &costing.cost)),
            unpriced: costing.unpriced().map(|(line, _)| (&line.name).into()).collect(),
            unpriced_volume_pct: costing.unpriced_pct,
            lines: costing.lines.iter().map(|line| Line::of(costing, line)).collect(),
            price: price.map(|p| costing.rounded(p).into()),
            sale: sale.as_ref().map(|sale| SaleView::of(costing, sale)),
            price_for_target: target.map(|p| costing.rounded(p).into()),
            findings: findings.iter().map(CostFinding::of).collect(),
            assumptions: each(&costing.assumptions),
        }
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "sale")]
pub struct SaleView {
    /// The price without a tax that it is said to hold.
    pub net: Decimals,
    /// Cost over net, %. At least that, where lines are not priced.
    pub pour_cost_pct: Sum,
    /// Net less cost.
    pub margin: Sum,
    /// Margin over net, %.
    pub margin_pct: Sum,
    /// Margin over cost, %; null where it costs nothing.
    pub markup_pct: Option<SignedDecimals>,
}

impl SaleView {
    fn of(costing: &Costing, sale: &Sale) -> SaleView {
        SaleView {
            net: costing.rounded(sale.net).into(),
            pour_cost_pct: Sum::percent(&sale.pour_cost_pct),
            margin: Sum::money(costing, &sale.margin),
            margin_pct: Sum::percent(&sale.margin_pct),
            markup_pct: sale.markup_pct.map(|m| rounded(m, 2).into()),
        }
    }
}

spoken!(cost::CostFinding = "cost_finding_kind": "What wants mending in the money of a drink.");

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "cost_finding")]
pub struct CostFinding<'a> {
    pub kind: Word<cost::CostFinding>,
    pub message: Text<'a>,
}

impl CostFinding<'_> {
    fn of(finding: &cost::CostFinding) -> Self {
        CostFinding {
            kind: finding.into(),
            message: finding.to_string().into(),
        }
    }
}

spoken!(Part = "part");

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "line")]
pub struct Line<'a> {
    /// Its place among the steps; null for a garnish.
    pub position: Option<usize>,
    pub part: Word<Part>,
    pub name: Text<'a>,
    /// The amount as written.
    pub written: &'a str,
    /// What it brings, at 20 °C; 0 for ice and garnish.
    pub volume_ml: f64,
    #[serde(flatten)]
    pub state: LineState<'a>,
}

spoken!(Unpriced = "unpriced_reason": "Why a line is not priced.");

/// Whether it is priced; a line has every key, and null in what its state has not.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(tag = "state", rename_all = "snake_case")]
pub enum LineState<'a> {
    Priced {
        cost: Sum,
        /// As written; of a preparation, that it is made here and how much.
        package: Text<'a>,
        /// Unrounded: what is costed by.
        pours_per_pack: Option<Decimals>,
        /// Rounded down: what is ordered by.
        whole_pours_per_pack: Option<Decimals>,
        since: Day,
        source: Text<'a>,
        reason: (),
        message: (),
    },
    Free {
        cost: (),
        package: (),
        pours_per_pack: (),
        whole_pours_per_pack: (),
        since: (),
        source: Text<'a>,
        reason: (),
        message: (),
    },
    Unpriced {
        cost: (),
        package: (),
        pours_per_pack: (),
        whole_pours_per_pack: (),
        since: (),
        source: (),
        reason: Word<Unpriced>,
        message: Text<'a>,
    },
}

impl<'a> Line<'a> {
    fn of(costing: &'a Costing, line: &'a cost::CostLine) -> Line<'a> {
        let state = match &line.cost {
            LineCost::Priced(priced) => LineState::Priced {
                cost: Sum::money(costing, &priced.sum),
                package: (&priced.package).into(),
                pours_per_pack: priced.pours_per_pack.map(|p| rounded(p, 4).into()),
                whole_pours_per_pack: priced.whole_pours_per_pack().map(Decimals::from),
                since: Day(priced.since),
                source: (&priced.source).into(),
                reason: (),
                message: (),
            },
            LineCost::Free { source } => LineState::Free {
                cost: (),
                package: (),
                pours_per_pack: (),
                whole_pours_per_pack: (),
                since: (),
                source: source.into(),
                reason: (),
                message: (),
            },
            LineCost::Unpriced(why) => LineState::Unpriced {
                cost: (),
                package: (),
                pours_per_pack: (),
                whole_pours_per_pack: (),
                since: (),
                source: (),
                reason: why.into(),
                message: not_priced(why).into(),
            },
        };
        Line {
            position: line.position,
            part: line.part.into(),
            name: (&line.name).into(),
            written: &line.written,
            volume_ml: line.volume_ml,
            state,
        }
    }
}
