//! What ingredients, garnishes and ice are bought for.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Serialize;
use washline_core::ingredient::{self, Bought, Offer, SoldBy};
use washline_core::measure::Amount;
use washline_core::service::cost::unit_cost;

use crate::cost::{Tax, digits};
use crate::parts::{CurrencyCode, Day, Decimals, Spoken, Text, Version, Word};

/// What ingredients, garnishes and ice are bought for: all that holds, the history of one (the latest first), or the one
/// just kept.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline ingredient price")]
pub struct Prices<'a> {
    pub schema: Version,
    pub prices: Vec<Price<'a>>,
    /// Where one was kept: whether it stands in the place of one of that day; null where none was.
    pub replaced: Option<bool>,
}

impl<'a> Prices<'a> {
    /// Prices with the book that gives each, if one does.
    pub fn of(all: &[(Option<&'a str>, &'a ingredient::Price)], replaced: Option<bool>) -> Prices<'a> {
        Prices {
            schema: Version,
            prices: all.iter().map(|(book, price)| Price::of(*book, price)).collect(),
            replaced,
        }
    }
}

/// Exact: a decimal or a mixed fraction.
#[derive(Clone, Copy, Debug, Serialize)]
#[serde(transparent)]
pub struct ExactAmount(pub Amount);

impl JsonSchema for ExactAmount {
    fn schema_name() -> Cow<'static, str> {
        "amount".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "Exact: a decimal or a mixed fraction.",
            "type": "string",
            "pattern": "^[0-9]+(\\.[0-9]+)?( [0-9]+/[0-9]+)?$|^[0-9]+/[0-9]+$",
        })
    }
}

impl Spoken for SoldBy {
    const NAME: &'static str = "unit";
    fn words() -> Vec<&'static str> {
        SoldBy::all().map(SoldBy::word).collect()
    }
    fn word(&self) -> &'static str {
        SoldBy::word(*self)
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "price")]
pub struct Price<'a> {
    pub name: Text<'a>,
    /// The book that gives it for its own drinks; null for the house's.
    pub book: Option<Text<'a>>,
    #[serde(flatten)]
    pub offer: OfferView<'a>,
    /// What a drink takes where its spec gives no amount.
    pub portion: Option<Portion<'a>>,
    /// A day, or empty where nobody said.
    pub since: Day,
    pub source: Text<'a>,
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "portion")]
pub struct Portion<'a> {
    pub written: Text<'a>,
    pub amount: ExactAmount,
    pub unit: Word<SoldBy>,
}

/// Whether it is bought; a price has every key, and null in what its offer has not.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(tag = "offer", rename_all = "snake_case")]
pub enum OfferView<'a> {
    Bought(Box<BoughtView<'a>>),
    Free(Nothing),
    Withdrawn(Nothing),
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(inline)]
pub struct BoughtView<'a> {
    /// As written.
    pub package: Text<'a>,
    pub packs: ExactAmount,
    /// What one pack holds, in `sold_by`.
    pub each: ExactAmount,
    pub sold_by: Word<SoldBy>,
    /// For the whole package, as paid.
    pub price: Decimals,
    /// ISO 4217; null: that of the book or house.
    pub currency: Option<CurrencyCode<'a>>,
    /// Null where it is not stated.
    pub tax: Option<Tax>,
    /// Held by the price, comes back.
    pub deposit: Option<Decimals>,
    #[serde(rename = "yield")]
    pub yields: Option<Yield<'a>>,
    pub waste: Option<Lost>,
    pub loss: Option<Lost>,
    /// Without deposit and without a tax that the price holds.
    pub net: Decimals,
    /// What one ml, g or piece of what comes of it costs; null where that is larger than money can be.
    pub unit_cost: Option<UnitCost>,
}

/// What an offer that costs nothing has: no package and no price.
#[derive(Debug, Default, Serialize, JsonSchema)]
#[schemars(inline)]
pub struct Nothing {
    pub package: (),
    pub packs: (),
    pub each: (),
    pub sold_by: (),
    pub price: (),
    pub currency: (),
    pub tax: (),
    pub deposit: (),
    #[serde(rename = "yield")]
    pub yields: (),
    pub waste: (),
    pub loss: (),
    pub net: (),
    pub unit_cost: (),
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "yield")]
pub struct Yield<'a> {
    pub written: Text<'a>,
    pub amount: ExactAmount,
    pub low: ExactAmount,
    pub high: ExactAmount,
    pub unit: Word<SoldBy>,
    pub per: ExactAmount,
    pub per_unit: Word<SoldBy>,
}

/// A share lost, %, with its span.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "lost")]
pub struct Lost {
    pub pct: ExactAmount,
    pub low_pct: ExactAmount,
    pub high_pct: ExactAmount,
}

impl From<&ingredient::Lost> for Lost {
    fn from(lost: &ingredient::Lost) -> Lost {
        Lost {
            pct: ExactAmount(lost.pct),
            low_pct: ExactAmount(lost.low_pct),
            high_pct: ExactAmount(lost.high_pct),
        }
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "unit_cost")]
pub struct UnitCost {
    pub unit: Word<SoldBy>,
    pub value: Decimals,
    pub low: Decimals,
    pub high: Decimals,
}

impl<'a> Price<'a> {
    fn of(book: Option<&'a str>, price: &'a ingredient::Price) -> Price<'a> {
        Price {
            name: (&price.name).into(),
            book: book.map(Text::from),
            offer: match &price.offer {
                Offer::Bought(bought) => OfferView::Bought(Box::new(bought.into())),
                Offer::Free => OfferView::Free(Nothing::default()),
                Offer::Withdrawn => OfferView::Withdrawn(Nothing::default()),
            },
            portion: price.portion.as_ref().map(|portion| Portion {
                written: (&portion.written).into(),
                amount: ExactAmount(portion.amount),
                unit: portion.by.into(),
            }),
            since: Day(price.since),
            source: (&price.source).into(),
        }
    }
}

impl<'a> From<&'a Bought> for BoughtView<'a> {
    fn from(bought: &'a Bought) -> BoughtView<'a> {
        let text = |sum| Decimals::from(digits(bought.currency, sum, 6));
        BoughtView {
            package: (&bought.package.written).into(),
            packs: ExactAmount(bought.package.packs),
            each: ExactAmount(bought.package.each),
            sold_by: bought.package.by.into(),
            price: bought.price.into(),
            currency: bought.currency.map(CurrencyCode::from),
            tax: bought.tax.map(Tax::from),
            deposit: bought.deposit.map(Decimals::from),
            yields: bought.yields.as_ref().map(|y| Yield {
                written: (&y.written).into(),
                amount: ExactAmount(y.amount),
                low: ExactAmount(y.low),
                high: ExactAmount(y.high),
                unit: y.by.into(),
                per: ExactAmount(y.per),
                per_unit: y.per_by.into(),
            }),
            waste: bought.waste.as_ref().map(Lost::from),
            loss: bought.loss.as_ref().map(Lost::from),
            net: digits(bought.currency, bought.net(), 4).into(),
            unit_cost: unit_cost(bought).map(|(sum, by)| UnitCost {
                unit: by.into(),
                value: text(sum.value),
                low: text(sum.low),
                high: text(sum.high),
            }),
        }
    }
}
