//! From what a drink costs to what it sells for, and back.

use rust_decimal::Decimal;

use super::{CostFinding, Costing, Sum};
use crate::ingredient::Tax;
use crate::measure::Currency;

/// What selling a drink at a price comes to. Margin and markup are two things: 25 on a cost of 50 is a markup
/// of 50 % and a margin of 33.3 %.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sale {
    /// The price as it stands on the menu.
    pub price: Decimal,
    /// What is left of it without a tax that it is said to hold.
    pub net: Decimal,
    /// Cost over the net price, %. Where lines are not priced, it is at least that.
    pub pour_cost_pct: Sum,
    /// Net price less cost: what one drink earns. Its low end is where the cost is high.
    pub margin: Sum,
    /// The same over the net price, %.
    pub margin_pct: Sum,
    /// The same over the cost, %; `None` where it costs nothing.
    pub markup_pct: Option<Decimal>,
}

fn pct(part: Decimal, whole: Decimal) -> Option<Decimal> {
    part.checked_mul(Decimal::ONE_HUNDRED)?.checked_div(whole)
}

/// One with its tax, as a factor.
fn taxed(tax: Option<Tax>) -> Decimal {
    match tax {
        Some(Tax { pct, included: true }) => Decimal::ONE + pct / Decimal::ONE_HUNDRED,
        _ => Decimal::ONE,
    }
}

/// The net price at which a cost is `target_pct` of it: never cost × (1 + …). `None` for a target that is not
/// above 0.
#[must_use]
pub fn net_price_for(cost: Decimal, target_pct: Decimal) -> Option<Decimal> {
    (target_pct > Decimal::ZERO)
        .then(|| pct(cost, target_pct))
        .flatten()
}

impl Costing {
    /// What selling it at a menu price comes to, and under a tax on sales where one is stated. `None` for a
    /// price of nothing, or where nothing of the drink is priced.
    #[must_use]
    pub fn at(&self, price: Decimal, tax: Option<Tax>) -> Option<Sale> {
        if price <= Decimal::ZERO || !self.has_any_price() {
            return None;
        }
        let net = price.checked_div(taxed(tax))?;
        let cost = &self.cost;
        let margin = Sum {
            value: net - cost.value,
            low: net - cost.high,
            high: net - cost.low,
        };
        Some(Sale {
            price,
            net,
            pour_cost_pct: Sum {
                value: pct(cost.value, net)?,
                low: pct(cost.low, net)?,
                high: pct(cost.high, net)?,
            },
            margin_pct: Sum {
                value: pct(margin.value, net)?,
                low: pct(margin.low, net)?,
                high: pct(margin.high, net)?,
            },
            margin,
            markup_pct: pct(margin.value, cost.value),
        })
    }

    /// What wants mending where it sells at `price`: selling below its cost among it.
    #[must_use]
    pub fn findings_at(&self, price: Option<Decimal>, tax: Option<Tax>) -> Vec<CostFinding> {
        let mut findings = self.findings.clone();
        if let Some(sale) = price.and_then(|price| self.at(price, tax))
            && sale.margin.value < Decimal::ZERO
        {
            findings.push(CostFinding::BelowCost {
                net: self.rounded(sale.net),
                cost: self.rounded(self.cost.value),
            });
        }
        findings
    }

    /// The menu price, unrounded, at which its cost is `target_pct` of the net price. `None` where nothing of it
    /// is priced, or the target is not above 0.
    #[must_use]
    pub fn price_for(&self, target_pct: Decimal, tax: Option<Tax>) -> Option<Decimal> {
        if !self.has_any_price() {
            return None;
        }
        net_price_for(self.cost.value, target_pct)?.checked_mul(taxed(tax))
    }
}

/// One of each of some drinks: the mean pour cost of a list, which a mix of sales moves without any loss.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OneOfEach {
    /// In what.
    pub currency: Option<Currency>,
    /// How many drinks: those priced in full that have a selling price.
    pub drinks: usize,
    /// What they cost together.
    pub cost: Decimal,
    /// What they sell for together, net.
    pub net: Decimal,
    /// The one over the other, %.
    pub pour_cost_pct: Decimal,
}

/// One of each drink that is priced in full and has a selling price, by currency.
#[must_use]
pub fn one_of_each(drinks: &[(&Costing, Sale)]) -> Vec<OneOfEach> {
    let mut by_currency: Vec<OneOfEach> = Vec::new();
    for (costing, sale) in drinks.iter().filter(|(c, _)| c.is_complete()) {
        let at = match by_currency.iter().position(|o| o.currency == costing.currency) {
            Some(at) => at,
            None => {
                by_currency.push(OneOfEach {
                    currency: costing.currency,
                    drinks: 0,
                    cost: Decimal::ZERO,
                    net: Decimal::ZERO,
                    pour_cost_pct: Decimal::ZERO,
                });
                by_currency.len() - 1
            }
        };
        let one = &mut by_currency[at];
        if let (Some(cost), Some(net)) = (
            one.cost.checked_add(costing.cost.value),
            one.net.checked_add(sale.net),
        ) {
            (one.cost, one.net) = (cost, net);
            one.drinks += 1;
        }
    }
    for one in &mut by_currency {
        one.pour_cost_pct = pct(one.cost, one.net).unwrap_or_default();
    }
    by_currency
}
