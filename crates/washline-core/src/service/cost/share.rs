//! How much of a package a line takes: volumes by volumes, masses by masses, counts by counts, and from one
//! to the other by what is known of the ingredient.

use rust_decimal::Decimal;

use super::{Sum, Unpriced};
use crate::ingredient::{Bought, Convention, Countable, Ingredient, Lost, Portion, Quantity, SoldBy, Value};
use crate::measure::Amount;
use crate::spec::Assumption;
use crate::tables::Remedy;

/// How much of something a line takes, in every way that is known.
#[derive(Clone, Debug, Default)]
pub(super) struct Need {
    /// ml, of what is poured as a liquid.
    pub ml: Option<Decimal>,
    /// Grams put in.
    pub g: Option<Decimal>,
    /// So many of something, where the line counts.
    pub counted: Option<(Decimal, Countable)>,
}

impl Need {
    /// What a portion says.
    pub fn of_portion(portion: &Portion) -> Need {
        let amount = portion.amount.to_decimal();
        match portion.by {
            SoldBy::Volume => Need {
                ml: amount,
                ..Need::default()
            },
            SoldBy::Mass => Need {
                g: amount,
                ..Need::default()
            },
            SoldBy::Count(thing) => Need {
                counted: amount.map(|a| (a, thing)),
                ..Need::default()
            },
        }
    }
}

/// What a line takes of a package.
pub(super) struct Taken {
    /// How much the line takes, in what the package holds.
    needed: Decimal,
    /// What the package gives in all, with its span.
    content: Sum,
    /// How many such lines one pack (bottle, fruit) is good for.
    pub per_pack: Option<Decimal>,
    /// What had to be taken for granted.
    pub said: Option<Assumption>,
}

impl Taken {
    /// What it costs of a package at a price: multiplied before it is divided, so that no digit is lost.
    pub fn of(&self, price: Decimal) -> Option<Sum> {
        Sum::exact(price.checked_mul(self.needed)?).over(&self.content)
    }
}

/// A physical quantity as it meets money: to a billionth, beyond which nothing is known.
pub(super) fn decimal(value: f64) -> Option<Decimal> {
    (value.is_finite() && value.abs() < 1e15)
        .then(|| Decimal::from_str_exact(&format!("{value:.9}")).ok())
        .flatten()
}

fn spanned(value: &Value) -> Option<Sum> {
    Some(Sum {
        value: decimal(value.value)?,
        low: decimal(value.low)?,
        high: decimal(value.high)?,
    })
}

/// The share that is left of what is lost to a share.
fn left(lost: Option<&Lost>) -> Option<Sum> {
    let Some(lost) = lost else {
        return Some(Sum::exact(Decimal::ONE));
    };
    let left = |pct: Amount| {
        let share = pct.to_decimal()?.checked_div(Decimal::ONE_HUNDRED)?;
        Some(Decimal::ONE - share)
    };
    Some(Sum {
        value: left(lost.pct)?,
        low: left(lost.high_pct)?,
        high: left(lost.low_pct)?,
    })
}

/// What a package gives once waste and loss are off it, by its yield where it has one and that is wanted.
fn content(bought: &Bought, by_yield: bool) -> Option<(Sum, SoldBy)> {
    let whole = bought.package.amount().to_decimal()?;
    let content = left(bought.waste.as_ref())?
        .by(&left(bought.loss.as_ref())?)?
        .times(whole)?;
    match &bought.yields {
        Some(yields) if by_yield => {
            let of = |amount: Amount| amount.to_decimal()?.checked_div(yields.per.to_decimal()?);
            let each = Sum {
                value: of(yields.amount)?,
                low: of(yields.low)?,
                high: of(yields.high)?,
            };
            Some((content.by(&each)?, yields.by))
        }
        _ => Some((content, bought.package.by)),
    }
}

/// What one unit (ml, g, piece) of what a package gives costs, and the unit; `None` where that is larger than
/// money can be.
#[must_use]
pub fn unit_cost(bought: &Bought) -> Option<(Sum, SoldBy)> {
    let (content, by) = content(bought, true)?;
    Some((Sum::exact(bought.net()).over(&content)?, by))
}

/// How much of a package a need takes.
pub(super) fn taken(
    need: &Need,
    bought: &Bought,
    ingredient: Option<&Ingredient>,
    convention: Convention,
) -> Result<Taken, Unpriced> {
    let package = &bought.package;
    // A line that counts what is bought by the piece needs no yield: half a lime is half of what a lime costs.
    // A yield in pieces is another thing: eight zests of one lemon.
    let counts_alike = matches!((need.counted, package.by), (Some((_, a)), SoldBy::Count(b)) if a == b);
    let in_pieces = bought
        .yields
        .as_ref()
        .is_some_and(|y| matches!(y.by, SoldBy::Count(_)));
    let (mut content, by) = content(bought, in_pieces || !counts_alike).ok_or(Unpriced::TooLarge)?;
    let mut said = None;
    let figure = |quantity| ingredient.and_then(|i| i.value(quantity, convention));
    let needed = match by {
        SoldBy::Volume => match (need.ml, need.g, figure(Quantity::BulkDensity)) {
            (Some(ml), ..) => ml,
            // A heap of a dry solid, sold by the litre.
            (None, Some(g), Some(bulk)) => {
                let bulk = spanned(bulk).ok_or(Unpriced::TooLarge)?;
                content = content.by(&bulk).ok_or(Unpriced::TooLarge)?;
                g
            }
            _ => return Err(Unpriced::NotComparable { sold_by: by }),
        },
        SoldBy::Mass => need.g.ok_or(Unpriced::NotComparable { sold_by: by })?,
        SoldBy::Count(thing) => match need.counted.filter(|(_, counted)| *counted == thing) {
            Some((count, _)) => count,
            None => {
                let juice = figure(Quantity::JuicePerFruit).filter(|_| thing == Countable::Piece);
                let (each, needed, unit) = match (juice, need.ml, figure(Quantity::Mass(thing)), need.g) {
                    (Some(juice), Some(ml), ..) => (juice, ml, "ml"),
                    (_, _, Some(mass), Some(g)) => (mass, g, "g"),
                    _ => return Err(Unpriced::NotComparable { sold_by: by }),
                };
                content = spanned(each)
                    .and_then(|each| content.by(&each))
                    .ok_or(Unpriced::TooLarge)?;
                let name = ingredient.map_or("it", |i| i.name.as_str());
                said = Some(Assumption::new(
                    format!("what one {} gives of {name}", by.word()),
                    format!(
                        "{} {unit} (between {} and {} {unit}): {}",
                        each.value, each.low, each.high, each.source
                    ),
                    Remedy::Yield {
                        of: Some(name.to_owned()),
                        such_as: Some(format!("{} {unit} per {}", each.value, by.word())),
                    },
                ));
                needed
            }
        },
    };
    let per_pack = content
        .value
        .checked_div(needed)
        .zip(package.packs.to_decimal())
        .and_then(|(per_package, packs)| per_package.checked_div(packs));
    Ok(Taken {
        needed,
        content,
        per_pack,
        said,
    })
}

/// How many whole packages a need takes, to the low end of what they yield, and what is left over at the usual yield, in
/// what it is needed in. `None` where the two do not compare.
pub(crate) fn packages(
    ml: Option<f64>,
    g: Option<f64>,
    ingredient: Option<&Ingredient>,
    bought: &Bought,
    convention: Convention,
) -> Option<(u64, (f64, &'static str))> {
    use rust_decimal::prelude::ToPrimitive;
    let need = Need {
        ml: ml.and_then(decimal),
        g: g.and_then(decimal),
        counted: None,
    };
    let taken = taken(&need, bought, ingredient, convention).ok()?;
    let count = taken.of(Decimal::ONE)?.high.ceil();
    let left = (count.checked_mul(taken.content.value)? - taken.needed).max(Decimal::ZERO);
    let unit = if ml.is_some() && Some(taken.needed) == need.ml {
        "ml"
    } else {
        "g"
    };
    Some((count.to_u64()?, (left.to_f64()?, unit)))
}
