//! What a drink costs to pour, line by line, and what it should sell for.
//!
//! Every line is priced, said to be free, or named as not priced with its share of the drink: water, ice and
//! garnishes among them. There is no total without that. Money is exact decimal until it is shown; two
//! currencies are never added. The span of a cost is that of what comes of fruit and bottles (yield, waste,
//! loss) and of inexact amounts (a dash, `20-25 ml`).

mod extras;
mod sale;
mod share;
mod sum;

use std::borrow::Cow;
use std::fmt;

use jiff::civil::Date;
use rust_decimal::Decimal;

pub use crate::ingredient::Prices;
use crate::tables::Remedy;
pub use sale::{OneOfEach, Sale, net_price_for, one_of_each};
pub(crate) use share::packages;
pub use share::unit_cost;
pub use sum::Sum;

use share::{Need, decimal, taken};
use sum::Total;

use crate::computed::ComputedDrink;
use crate::ingredient::{Countable, Ingredient, Offer, Price, SoldBy, Stock};
use crate::liquid::ratio;
use crate::measure::{Amount, Currency, Measures, Unit};
use crate::names::key;
use crate::resolve::{Brought, ResolvedPour, ResolvedStep};
use crate::spec::{Assumption, Pour, PourAmount};

/// What sort of line it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::IntoStaticStr, strum::VariantNames)]
#[strum(serialize_all = "snake_case")]
pub enum Part {
    /// Something poured or put in.
    Pour,
    /// Ice.
    Ice,
    /// A garnish.
    Garnish,
}

impl Part {
    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        self.into()
    }
}

/// What one line of a drink costs.
#[derive(Clone, Debug, PartialEq)]
pub struct CostLine {
    /// Its place among the steps, from 0; `None` for a garnish that is no step.
    pub position: Option<usize>,
    /// What sort of line.
    pub part: Part,
    /// What: an ingredient, the words of a garnish or of ice.
    pub name: String,
    /// The amount as written; empty where the spec gives none.
    pub written: String,
    /// What it brings to the drink, ml at 20 °C; 0 for garnish and ice.
    pub volume_ml: f64,
    /// What it costs.
    pub cost: LineCost,
}

/// What is known of what a line costs.
#[derive(Clone, Debug, PartialEq)]
pub enum LineCost {
    /// It costs this.
    Priced(Priced),
    /// It costs nothing, and someone has said so.
    Free {
        /// Who.
        source: String,
    },
    /// Nobody knows.
    Unpriced(Unpriced),
}

/// A line that is priced.
#[derive(Clone, Debug, PartialEq)]
pub struct Priced {
    /// What it costs.
    pub sum: Sum,
    /// The package it is bought in, as written; of a preparation, that it is made here and how much.
    pub package: String,
    /// How many such lines one pack is good for, unrounded: what it is costed by.
    pub pours_per_pack: Option<Decimal>,
    /// Since when the price holds; `None` where nobody said.
    pub since: Option<Date>,
    /// Who says so.
    pub source: String,
}

impl Priced {
    /// How many whole pours one pack is good for: what is ordered by.
    #[must_use]
    pub fn whole_pours_per_pack(&self) -> Option<Decimal> {
        self.pours_per_pack.map(|p| p.floor())
    }
}

/// Why a line is not priced.
#[derive(Clone, Debug, PartialEq, Eq, strum::IntoStaticStr, strum::VariantNames)]
pub enum Unpriced {
    /// Nobody has given one.
    #[strum(serialize = "no price")]
    NoPrice,
    /// It has one, but the spec gives no amount of it.
    #[strum(serialize = "no amount")]
    NoAmount,
    /// It is bought in one thing, used in another, and nothing says how they compare.
    #[strum(serialize = "not comparable")]
    NotComparable {
        /// What it is bought in.
        sold_by: SoldBy,
    },
    /// It is priced in another currency than the rest.
    #[strum(serialize = "other currency")]
    OtherCurrency {
        /// In which.
        currency: Currency,
    },
    /// A part of what it is made of is not priced.
    #[strum(serialize = "part of it")]
    PartOfIt {
        /// Which.
        names: Vec<String>,
    },
    /// The sum is larger than money can be.
    #[strum(serialize = "too large")]
    TooLarge,
}

impl Unpriced {
    /// Its word.
    #[must_use]
    pub fn word(&self) -> &'static str {
        self.into()
    }

    /// What would price it.
    #[must_use]
    pub fn remedy(&self) -> Option<Remedy> {
        match self {
            Unpriced::NoAmount => Some(Remedy::Portion),
            Unpriced::NotComparable { .. } => Some(Remedy::Yield {
                of: None,
                such_as: None,
            }),
            _ => None,
        }
    }
}

impl fmt::Display for Unpriced {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unpriced::NoPrice => f.write_str("no price"),
            Unpriced::NoAmount => f.write_str("priced, but the spec does not say how much"),
            Unpriced::NotComparable { sold_by } => write!(
                f,
                "bought by the {}, and how much of the drink that gives is not known",
                sold_by.word()
            ),
            Unpriced::OtherCurrency { currency } => {
                write!(f, "priced in {currency}: two currencies are never added")
            }
            Unpriced::PartOfIt { names } => write!(f, "made here; not priced in it: {}", names.join(", ")),
            Unpriced::TooLarge => f.write_str("the sum is larger than money can be"),
        }
    }
}

/// Something about the money of a drink that wants mending.
#[derive(Clone, Debug, PartialEq, Eq, strum::IntoStaticStr, strum::VariantNames)]
pub enum CostFinding {
    /// A price is in another currency than the drink is costed in.
    #[strum(serialize = "other currency")]
    OtherCurrency {
        /// Of what; "the selling price" for that.
        what: String,
        /// Its currency.
        currency: Currency,
        /// What the drink is costed in.
        costed_in: Currency,
    },
    /// It sells for less than what is priced of it costs.
    #[strum(serialize = "below cost")]
    BelowCost {
        /// The net price.
        net: Decimal,
        /// The cost.
        cost: Decimal,
    },
}

impl CostFinding {
    /// Its word.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        self.into()
    }
}

impl fmt::Display for CostFinding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            CostFinding::OtherCurrency {
                what,
                currency,
                costed_in,
            } => write!(
                f,
                "{what} is priced in {currency} and the drink is costed in {costed_in}: it is left out, for two currencies are never added"
            ),
            CostFinding::BelowCost { net, cost } => {
                write!(
                    f,
                    "it sells for {net} net and costs {cost}: every one sold is a loss"
                )
            }
        }
    }
}

/// What a drink costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Costing {
    /// Its name.
    pub name: String,
    /// The book it stands in.
    pub book: String,
    /// What it is costed in; `None` where neither house nor book nor prices name a currency.
    pub currency: Option<Currency>,
    /// Every line: pours, ice, garnishes.
    pub lines: Vec<CostLine>,
    /// What is priced of it costs this. See [`Costing::is_complete`] before calling it the cost of the drink.
    pub cost: Sum,
    /// Share of what is poured that is not priced, % by volume.
    pub unpriced_pct: f64,
    /// What it sells for, by its spec, in [`Costing::currency`].
    pub price: Option<Decimal>,
    /// What wants mending.
    pub findings: Vec<CostFinding>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumption>,
}

impl Costing {
    /// The lines that are not priced, each with why.
    pub fn unpriced(&self) -> impl Iterator<Item = (&CostLine, &Unpriced)> {
        self.lines.iter().filter_map(|line| match &line.cost {
            LineCost::Unpriced(why) => Some((line, why)),
            _ => None,
        })
    }

    /// Whether every line is priced or said to be free.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.unpriced().next().is_none()
    }

    /// Whether any line is priced or said to be free.
    #[must_use]
    pub fn has_any_price(&self) -> bool {
        self.lines
            .iter()
            .any(|line| !matches!(line.cost, LineCost::Unpriced(_)))
    }

    /// A sum as it is paid.
    #[must_use]
    pub fn rounded(&self, sum: Decimal) -> Decimal {
        self.to_digits(sum, 0)
    }

    /// A sum with `more` digits than it is paid in.
    #[must_use]
    pub fn to_digits(&self, sum: Decimal, more: u32) -> Decimal {
        match self.currency {
            Some(currency) => currency.to_digits(sum, more),
            None => crate::measure::rounded(sum, 2 + more),
        }
    }
}

/// A name that a line's price may stand under, and how much of that the line takes.
struct Way<'a> {
    name: String,
    ingredient: Option<Cow<'a, Ingredient>>,
    /// How much; `None` where the spec does not say.
    need: Option<Need>,
}

/// A line before it is priced.
struct Draft<'a> {
    position: Option<usize>,
    part: Part,
    name: String,
    written: String,
    volume_ml: f64,
    /// What its price may stand under, the best first.
    ways: Vec<Way<'a>>,
    /// The least and most the amount may be, as factors, and of what that comes.
    span: (Decimal, Decimal, String),
}

/// What a drink costs under these prices.
#[must_use]
pub fn drink_cost(worked: &ComputedDrink, prices: &Prices) -> Costing {
    let drafts = drafts(worked);
    let book = worked.found_in.book.as_str();
    let sells = worked.drink.price.as_ref();
    let sells_in = sells.and_then(|p| p.currency);
    let set = worked.context.settings.currency;
    let currency = set.or(sells_in).or_else(|| bought_in(&drafts, prices, book));
    let mut coster = Coster {
        worked,
        prices,
        currency,
        total: Total::default(),
        findings: Vec::new(),
        assumptions: Vec::new(),
    };
    let lines: Vec<CostLine> = drafts
        .iter()
        .map(|draft| CostLine {
            position: draft.position,
            part: draft.part,
            name: draft.name.clone(),
            written: draft.written.clone(),
            volume_ml: draft.volume_ml,
            cost: coster.line(draft).unwrap_or_else(LineCost::Unpriced),
        })
        .collect();
    let mut findings = coster.findings;
    let mut price = sells.map(|p| p.amount);
    if let (Some(sells_in), Some(costed_in)) = (sells_in, currency)
        && sells_in != costed_in
    {
        price = None;
        findings.push(CostFinding::OtherCurrency {
            what: "the selling price".to_owned(),
            currency: sells_in,
            costed_in,
        });
    }
    let poured: f64 = lines.iter().map(|l| l.volume_ml).sum();
    let unpriced: f64 = lines
        .iter()
        .filter(|l| matches!(l.cost, LineCost::Unpriced(_)))
        .map(|l| l.volume_ml)
        .sum();
    let mut assumptions = coster.assumptions;
    let mut seen = std::collections::HashSet::new();
    assumptions.retain(|a| seen.insert(a.clone()));
    Costing {
        name: worked.drink.name.clone(),
        book: book.to_owned(),
        currency,
        // A sum that money cannot hold has left its lines unpriced: what is left can be added.
        cost: coster.total.sum().unwrap_or_default(),
        unpriced_pct: ratio(100.0 * unpriced, poured).unwrap_or(0.0),
        lines,
        price,
        findings,
        assumptions,
    }
}

/// The currency of the first line that is priced in one, where neither house nor book nor drink names any.
fn bought_in(drafts: &[Draft<'_>], prices: &Prices, book: &str) -> Option<Currency> {
    let ways = drafts.iter().flat_map(|draft| &draft.ways);
    ways.filter_map(|way| prices.of(book, &way.name))
        .find_map(|price| match &price.offer {
            Offer::Bought(bought) => bought.currency,
            Offer::Free | Offer::Withdrawn => None,
        })
}

/// What so much of something costs.
struct Costed {
    total: Total,
    package: String,
    pours_per_pack: Option<Decimal>,
    since: Option<Date>,
    source: String,
    /// Someone has said that it costs nothing.
    free: bool,
}

struct Coster<'a> {
    worked: &'a ComputedDrink,
    prices: &'a Prices,
    currency: Option<Currency>,
    total: Total,
    findings: Vec<CostFinding>,
    assumptions: Vec<Assumption>,
}

impl<'a> Coster<'a> {
    fn price_of(&self, name: &str) -> Option<&'a Price> {
        self.prices.of(&self.worked.found_in.book, name)
    }

    fn line(&mut self, draft: &Draft<'_>) -> Result<LineCost, Unpriced> {
        let preparations = &self.worked.context.preparations;
        let priced = draft.ways.iter().find(|way| self.price_of(&way.name).is_some());
        let way = priced
            .or_else(|| draft.ways.iter().find(|w| preparations.named(&w.name).is_some()))
            .ok_or(Unpriced::NoPrice)?;
        let costed = self.costed(way, draft.part, &mut Vec::new())?;
        if costed.free {
            return Ok(LineCost::Free {
                source: costed.source,
            });
        }
        // An amount that is not exact moves the cost with it.
        let (least, most, cause) = &draft.span;
        let value = costed.total.value();
        let mut own = costed.total;
        let held = value
            .checked_mul(*least)
            .zip(value.checked_mul(*most))
            .and_then(|(low, high)| own.spread(cause, value - low, high - value));
        let sum = held.and_then(|()| own.sum()).ok_or(Unpriced::TooLarge)?;
        let mut total = self.total.clone();
        total.join(&own).ok_or(Unpriced::TooLarge)?;
        total.sum().ok_or(Unpriced::TooLarge)?;
        self.total = total;
        Ok(LineCost::Priced(Priced {
            sum,
            package: costed.package,
            pours_per_pack: costed.pours_per_pack,
            since: costed.since,
            source: costed.source,
        }))
    }

    /// What a way of a line costs: by its price, else by what it is made of.
    fn costed(&mut self, way: &Way<'_>, part: Part, within: &mut Vec<String>) -> Result<Costed, Unpriced> {
        match self.price_of(&way.name) {
            Some(price) => self.bought(way, part, price),
            None => self.made(way, within),
        }
    }

    fn bought(&mut self, way: &Way<'_>, part: Part, price: &Price) -> Result<Costed, Unpriced> {
        let bought = match &price.offer {
            Offer::Bought(bought) => bought,
            Offer::Withdrawn => return Err(Unpriced::NoPrice),
            Offer::Free => {
                return Ok(Costed {
                    total: Total::default(),
                    package: String::new(),
                    pours_per_pack: None,
                    since: price.since,
                    source: price.source.clone(),
                    free: true,
                });
            }
        };
        if let (Some(own), Some(costed_in)) = (bought.currency, self.currency)
            && own != costed_in
        {
            let finding = CostFinding::OtherCurrency {
                what: price.name.clone(),
                currency: own,
                costed_in,
            };
            if !self.findings.contains(&finding) {
                self.findings.push(finding);
            }
            return Err(Unpriced::OtherCurrency { currency: own });
        }
        let portion = price.portion.as_ref().map(Need::of_portion);
        // What the price says of a garnish or of ice goes before what its words are read as.
        let need = match part {
            Part::Pour => way.need.clone(),
            Part::Ice | Part::Garnish => portion.or_else(|| way.need.clone()),
        };
        let need = need.ok_or(Unpriced::NoAmount)?;
        let taken = taken(
            &need,
            bought,
            way.ingredient.as_deref(),
            self.worked.resolved.convention,
        )?;
        let sum = taken.of(bought.net()).ok_or(Unpriced::TooLarge)?;
        let mut total = Total::default();
        total
            .add(sum.value)
            .and_then(|()| {
                let cause = format!("yield of {}", key(&price.name));
                total.spread(&cause, sum.value - sum.low, sum.high - sum.value)
            })
            .ok_or(Unpriced::TooLarge)?;
        self.assumptions.extend(taken.said);
        Ok(Costed {
            total,
            package: bought.package.written.clone(),
            pours_per_pack: taken.per_pack,
            since: price.since,
            source: price.source.clone(),
            free: false,
        })
    }

    /// What so much of a preparation costs: its share of what all its parts cost, through as many preparations as
    /// it takes. `within` are those that are being costed.
    fn made(&mut self, way: &Way<'_>, within: &mut Vec<String>) -> Result<Costed, Unpriced> {
        let preparations = &self.worked.context.preparations;
        let made = preparations
            .named(&way.name)
            .filter(|made| !within.contains(&key(made.name())))
            .ok_or(Unpriced::NoPrice)?;
        let need = way.need.as_ref().ok_or(Unpriced::NoAmount)?;
        let (needed, all) = match (need.ml, need.g) {
            (Some(ml), _) => (ml, decimal(made.yield_ml)),
            (None, Some(g)) => (g, decimal(made.yield_g)),
            (None, None) => {
                return Err(Unpriced::NotComparable {
                    sold_by: SoldBy::Volume,
                });
            }
        };
        let all = all.filter(|all| *all > Decimal::ZERO).ok_or(Unpriced::TooLarge)?;
        within.push(key(made.name()));
        let mut total = Total::default();
        let mut missing: Vec<String> = Vec::new();
        for part in &made.parts {
            let ingredient = self.worked.context.ingredient(&part.ingredient);
            let solid = ingredient.as_deref().is_some_and(Ingredient::is_solid) || part.volume_ml <= 0.0;
            let way = Way {
                name: part.ingredient.clone(),
                ingredient,
                need: Some(Need {
                    ml: (!solid).then(|| decimal(part.volume_ml)).flatten(),
                    g: decimal(part.mass_g),
                    counted: None,
                }),
            };
            match self.costed(&way, Part::Pour, within) {
                Ok(costed) => total.join(&costed.total).ok_or(Unpriced::TooLarge)?,
                Err(Unpriced::PartOfIt { names }) => missing.extend(names),
                Err(_) => missing.push(part.ingredient.clone()),
            }
        }
        within.pop();
        if !missing.is_empty() {
            missing.sort();
            missing.dedup();
            return Err(Unpriced::PartOfIt { names: missing });
        }
        Ok(Costed {
            total: total.share(needed, all).ok_or(Unpriced::TooLarge)?,
            package: format!("made here, {:.0} ml", made.yield_ml),
            pours_per_pack: all.checked_div(needed),
            since: None,
            source: format!("{}, from its parts", made.name()),
            free: false,
        })
    }
}

/// What it adds to the cost of a drink to pour so many ml more (or fewer) of each of these ingredients, to the
/// hundredth of the smallest coin; `None` where one of them has no price.
#[must_use]
pub fn cost_of_change(worked: &ComputedDrink, prices: &Prices, changes: &[(&str, f64)]) -> Option<Decimal> {
    let mut sum = Decimal::ZERO;
    for (name, ml) in changes {
        let each = cost_per_ml(worked, prices, &*worked.context.ingredient(name)?).ok()?;
        let change = each.value.checked_mul(share::decimal(ml.abs())?)?;
        sum = if *ml < 0.0 {
            sum.checked_sub(change)?
        } else {
            sum.checked_add(change)?
        };
    }
    Some(drink_cost(worked, prices).to_digits(sum, 2))
}

/// What a millilitre of an ingredient costs in the drinks of `worked`'s book: by its price, else by what it is made
/// of.
///
/// # Errors
/// Why it has no cost.
pub fn cost_per_ml(
    worked: &ComputedDrink,
    prices: &Prices,
    ingredient: &Ingredient,
) -> Result<Sum, Unpriced> {
    let convention = worked.resolved.convention;
    let density = ingredient
        .liquid(convention, None)
        .ok()
        .and_then(|liquid| liquid.density_g_per_ml())
        .and_then(decimal);
    let mut coster = Coster {
        worked,
        prices,
        currency: worked.context.settings.currency,
        total: Total::default(),
        findings: Vec::new(),
        assumptions: Vec::new(),
    };
    let way = Way {
        name: ingredient.name.clone(),
        ingredient: Some(Cow::Borrowed(ingredient)),
        need: Some(Need {
            ml: Some(Decimal::ONE),
            g: density,
            counted: None,
        }),
    };
    let costed = coster.costed(&way, Part::Pour, &mut Vec::new())?;
    costed.total.sum().ok_or(Unpriced::TooLarge)
}

/// Every line of a drink that could cost something.
fn drafts(worked: &ComputedDrink) -> Vec<Draft<'_>> {
    let stock: &Stock = &worked.context.stock;
    let measures = worked.context.settings.to_measures();
    let mut drafts = Vec::new();
    for (position, step) in worked.resolved.steps.iter().enumerate() {
        match step {
            ResolvedStep::Pour(pour) => {
                let brought = worked.built.brought(pour);
                drafts.push(poured(stock, &measures, position, &pour.typed, pour, &brought));
            }
            _ => drafts.extend(extras::ice(worked, position, &step.written())),
        }
    }
    drafts.extend(extras::garnishes(worked));
    drafts
}

fn poured<'a>(
    stock: &'a Stock,
    measures: &Measures,
    position: usize,
    written: &Pour,
    pour: &ResolvedPour,
    brought: &Brought,
) -> Draft<'a> {
    let ingredient = stock.poured(&pour.ingredient);
    let solid = ingredient.as_deref().is_some_and(Ingredient::is_solid);
    let Brought {
        volume_ml, mass_g, ..
    } = *brought;
    let counted = counted(written);
    let need = Need {
        ml: (!solid).then(|| decimal(volume_ml)).flatten(),
        g: decimal(mass_g),
        counted,
    };
    Draft {
        position: Some(position),
        part: Part::Pour,
        name: pour.ingredient.clone(),
        written: if pour.fills() {
            "to the top".to_owned()
        } else {
            pour.written.clone()
        },
        volume_ml,
        ways: vec![Way {
            name: pour.ingredient.clone(),
            ingredient,
            need: Some(need),
        }],
        span: amount_span(measures, position, written),
    }
}

/// How many of what, where a line counts pieces.
fn counted(pour: &Pour) -> Option<(Decimal, Countable)> {
    let PourAmount::Of(extent, unit) = &pour.measure else {
        return None;
    };
    let thing = match unit {
        // A bare count of eggs or fruit is one of pieces.
        None | Some(Unit::Piece | Unit::Fruit) => Countable::Piece,
        Some(Unit::Leaf) => Countable::Leaf,
        Some(Unit::Sprig) => Countable::Sprig,
        Some(Unit::Slice) => Countable::Slice,
        Some(Unit::Wheel) => Countable::Wheel,
        Some(Unit::Wedge) => Countable::Wedge,
        Some(Unit::Cube) => Countable::Cube,
        Some(Unit::Handful) => Countable::Handful,
        Some(_) => return None,
    };
    Some((extent.nominal.to_decimal()?, thing))
}

/// The least and most an amount may be, as factors, and the cause: the size of a measure, or this line.
fn amount_span(measures: &Measures, position: usize, pour: &Pour) -> (Decimal, Decimal, String) {
    let exact = (Decimal::ONE, Decimal::ONE, String::new());
    let share = |part: Amount, whole: Amount| part.to_decimal()?.checked_div(whole.to_decimal()?);
    match &pour.measure {
        PourAmount::Of(extent, unit) if extent.is_exact() => {
            let Some(size) = unit.and_then(|u| measures.size(u)).filter(|s| s.low != s.high) else {
                return exact;
            };
            let cause = unit.map_or("", |u| u.facts().written.0);
            match (share(size.low, size.nominal), share(size.high, size.nominal)) {
                (Some(low), Some(high)) => (low, high, format!("size of a {cause}")),
                _ => exact,
            }
        }
        PourAmount::Of(extent, _) => match (
            share(extent.low, extent.nominal),
            share(extent.high, extent.nominal),
        ) {
            (Some(low), Some(high)) => (low, high, format!("amount at {position}")),
            _ => exact,
        },
        // An open pour is computed between nothing and twice what is taken.
        PourAmount::Open(_) => (Decimal::ZERO, Decimal::TWO, format!("amount at {position}")),
        PourAmount::Fill | PourAmount::Usual => exact,
    }
}
