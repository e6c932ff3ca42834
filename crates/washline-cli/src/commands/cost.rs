use std::path::PathBuf;
use washline_core::names::Expected;

use clap::Args;
use jiff::civil::Date;
use rust_decimal::Decimal;
use washline_core::ingredient::{Tax, percentage};
use washline_core::service::cost::{Costing, drink_cost};
use washline_core::spec::Money;

use super::price::{OptionFaults, date};
use super::{Call, show};
use crate::asked::Asked;
use crate::clock;
use crate::error::CliError;
use crate::output::Output;
use crate::render;

/// What does each drink cost to pour, what does it earn, and what should it sell for?
///
/// Line by line where one is named, one a line for a list. Every line is priced, free, or named as not priced
/// with its share of the drink; there is no total without that. Prices are those of the house (`washline
/// ingredient price`), over them those that a book gives for its own ingredients.
///
/// Example: washline cost "Platform Fog" --target 20 --tax 20 --tax-included
#[derive(Debug, Args)]
pub struct Cost {
    /// The drinks to cost; without any, all of them.
    #[arg(value_name = "NAME")]
    names: Vec<String>,

    /// Look in this book and not in the house; `-` for standard input. Prices are the house's all the same.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,

    /// The pour cost to aim at, % of the net price: what each should sell for.
    #[arg(long, value_name = "PCT", conflicts_with = "margin")]
    target: Option<String>,
    /// The margin to aim at, % of the net price: the rest of it is the cost.
    #[arg(long, value_name = "PCT")]
    margin: Option<String>,
    /// Take this as the selling price, in the place of the one the spec gives.
    #[arg(long, value_name = "MONEY")]
    price: Option<String>,

    /// The tax on what is sold.
    #[arg(long, value_name = "PCT")]
    tax: Option<String>,
    /// Selling prices hold that tax; without this it comes on top of them.
    #[arg(long, requires = "tax")]
    tax_included: bool,

    /// With the prices of that day, `2026-06-30`; without it, today's.
    #[arg(long, value_name = "DATE")]
    on: Option<String>,

    /// Exit with status 1 if a line is not priced, currencies differ, or a drink sells below its cost.
    #[arg(long)]
    strict: bool,
}

impl Cost {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let (asked, money, on) = self.asked()?;
        let opened = show::open(call, self.book.as_ref())?;
        let prices = opened.drink_source.prices(call.house.as_deref(), on)?;
        let (opened, worked) = show::drinks_of(opened, &self.names)?;
        let costings: Vec<Costing> = worked.iter().map(|w| drink_cost(w, &prices)).collect();
        if let Some(Money {
            currency: Some(asked),
            ..
        }) = &money
            && let Some(other) = costings
                .iter()
                .find(|c| c.currency.is_some_and(|own| own != *asked))
        {
            return Err(CliError::usage(format!(
                "--price is in {asked}, {} is costed in {}: two currencies are never compared",
                other.name,
                other.currency.map_or("", |c| c.code())
            )));
        }
        let found = self.strict && costings.iter().any(|c| to_mend(c, &asked));
        let out = if call.json {
            render::written(&washline_view::cost::Costs::of(&costings, &asked, &opened.faults))
        } else if self.names.is_empty() {
            render::cost::list(&costings, &asked, prices.is_empty())
        } else {
            render::cost::in_full(&costings, &asked)
        };
        Ok(Output {
            found,
            ..opened.leave(out)
        })
    }

    /// The options as figures; everything wrong with them at once.
    fn asked(&self) -> Result<(Asked, Option<Money>, Option<Date>), CliError> {
        let mut wrongs = OptionFaults::default();
        let above_0 = |text: &str| match percentage(text) {
            Ok(pct) if pct > Decimal::ZERO => Ok(pct),
            _ => Err(Expected::new(
                "expected a percentage above 0 and up to 100, such as `20 %`",
            )),
        };
        let below_100 = |text: &str| match percentage(text) {
            Ok(pct) if pct < Decimal::ONE_HUNDRED => Ok(pct),
            _ => Err(Expected::new(
                "a margin is a share of the price and below 100 %; expected one such as `80 %` (a markup is another thing: 80 % of margin is 400 % of markup)",
            )),
        };
        let target = wrongs.maybe("target", self.target.as_ref(), above_0);
        let margin = wrongs.maybe("margin", self.margin.as_ref(), below_100);
        let money = wrongs.maybe("price", self.price.as_ref(), |text| {
            let money: Money = text.parse()?;
            if money.amount > Decimal::ZERO {
                Ok(money)
            } else {
                Err(Expected::new("expected a price above 0"))
            }
        });
        let tax = wrongs.maybe("tax", self.tax.as_ref(), percentage);
        let on = match &self.on {
            Some(on) => wrongs.take("on", on, date(on)),
            None => Some(clock::today()),
        };
        wrongs.done()?;
        let asked = Asked {
            target_pct: target.or(margin.map(|m| Decimal::ONE_HUNDRED - m)),
            price: money.as_ref().map(|m| m.amount),
            tax: tax.map(|pct| Tax {
                pct,
                included: self.tax_included,
            }),
        };
        Ok((asked, money, on))
    }
}

/// Whether a drink's money wants mending.
fn to_mend(costing: &Costing, asked: &Asked) -> bool {
    !costing.is_complete()
        || !costing
            .findings_at(asked.price.or(costing.price), asked.tax)
            .is_empty()
}
