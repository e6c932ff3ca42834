//! Amounts as the bar measures them: what no jigger holds, millilitres beside ounces, two ounces in one place.
//!
//! Where the house sets its jiggers (`jigger set:`), an amount is measured if up to six pours of them make it, or if
//! it is below the smallest and a multiple of a 2.5 ml spoon; a single size is a step. Elsewhere the usual steps
//! hold: multiples of 2.5 ml, and 1.25 ml; eighths and thirds of an ounce. Dashes, drops, splashes and cubes are
//! counted, spoons halved, cups and parts quartered. What is topped is poured from its bottle and not measured here.

use std::collections::{BTreeMap, BTreeSet};

use super::facts::{DrinkAt, Facts};
use super::finding::{AuditFinding, Found, MixedUnits, TwoOunces, UnpouredAmount};
use crate::measure::{Amount, Ounce, Unit};
use crate::spec::{Extent, Pour, PourAmount, PourMethod, Step};
use crate::tables::printed::trimmed;

/// The step of a spoon, ml.
const SPOON: Amount = Amount::raw(5, 2);
/// The usual jigger step, ml.
const STEP: Amount = Amount::raw(5, 2);
/// Half a spoon, the smallest that is usually measured, ml.
const SMALLEST: Amount = Amount::raw(5, 4);
/// Pours of jiggers that one amount is made of.
const MOST_POURS: usize = 6;
/// How near a written amount must be to another ounce's to be taken for it, ml: what rounding to a tenth leaves.
const NEAR_ML: f64 = 0.06;

/// How large one of a metric or ounce unit is, ml.
fn ml_each(unit: Unit, ounce: Ounce) -> Option<Amount> {
    Some(match unit {
        Unit::Millilitre => Amount::ONE,
        Unit::Centilitre => Amount::raw(10, 1),
        Unit::Decilitre => Amount::raw(100, 1),
        Unit::Litre => Amount::raw(1000, 1),
        Unit::Ounce => ounce.ml(),
        _ => return None,
    })
}

/// Whether `amount` is a whole number of steps.
fn is_multiple(amount: Amount, step: Amount) -> bool {
    let of = amount.to_f64() / step.to_f64();
    #[expect(
        clippy::cast_possible_truncation,
        reason = "an amount is at most a thousand million"
    )]
    let n = of.round() as i128;
    Amount::ratio(n, 1)
        .and_then(|n| n.times(step))
        .is_ok_and(|again| again == amount)
}

/// The multiples of a step next below and above an amount; nothing below the first.
fn around(amount: Amount, step: Amount) -> (Option<Amount>, Option<Amount>) {
    let of = amount.to_f64() / step.to_f64();
    #[expect(
        clippy::cast_possible_truncation,
        reason = "an amount is at most a thousand million"
    )]
    let n = of.floor() as i128;
    let at = |n: i128| {
        Amount::ratio(n, 1)
            .and_then(|n| n.times(step))
            .ok()
            .filter(|a| !a.is_zero())
    };
    (at(n), at(n + 1))
}

/// What up to six pours of a jigger set make, and what a spoon makes below it, up to just over `most` ml.
fn measures(set: &[Amount], most: Amount) -> BTreeSet<Amount> {
    let (Some(smallest), Some(largest)) = (set.first(), set.last()) else {
        return BTreeSet::new();
    };
    let limit = most + *largest;
    let mut all: BTreeSet<Amount> = BTreeSet::new();
    let mut last: BTreeSet<Amount> = BTreeSet::from([Amount::ZERO]);
    // A single size is a step, poured as often as it takes.
    let times = if set.len() == 1 { 400 } else { MOST_POURS };
    for _ in 0..times {
        last = last
            .iter()
            .flat_map(|a| set.iter().filter_map(|b| a.plus(*b).ok()))
            .filter(|a| *a <= limit)
            .collect();
        if last.is_empty() {
            break;
        }
        all.extend(last.iter().copied());
    }
    if set.len() > 1 {
        all.extend(
            (1..)
                .map(|n| SPOON * Amount::raw(n, 1))
                .take_while(|a| a < smallest)
                .take(400),
        );
    }
    all
}

/// What can be measured next to an amount that cannot.
type Neighbours = (Option<Amount>, Option<Amount>);

/// The neighbours of an amount of a unit that no jigger measures; `None` where it can be measured, or where a bar
/// has no rule for the unit.
pub(super) fn unmeasured(amount: Amount, unit: Unit, ounce: Ounce, set: &[Amount]) -> Option<Neighbours> {
    if let Some(each) = ml_each(unit, ounce) {
        let ml = amount.times(each).ok()?;
        let back = |a: Amount| {
            let (top, bottom) = (a.to_f64(), each.to_f64());
            // Exactly, by the ratio: an ounce is no decimal.
            let eighths = (8.0 * top / bottom).round();
            #[expect(clippy::cast_possible_truncation, reason = "a serve")]
            let amount = Amount::raw(eighths as i128, 8);
            if unit == Unit::Ounce {
                amount
            } else {
                Amount::decimal(&trimmed(top / bottom, 3)).unwrap_or(amount)
            }
        };
        if !set.is_empty() {
            let all = measures(set, ml);
            if all.contains(&ml) {
                return None;
            }
            let below = all.range(..ml).next_back().copied();
            let above = all.range(ml..).next().copied();
            return Some((below.map(back), above.map(back)));
        }
        return if unit == Unit::Ounce {
            let fits = [(1, 8), (1, 3)]
                .iter()
                .any(|(n, d)| is_multiple(amount, Amount::raw(*n, *d)));
            (!fits).then(|| around(amount, Amount::raw(1, 8)))
        } else if is_multiple(ml, STEP) || ml == SMALLEST {
            None
        } else {
            let (below, above) = around(ml, STEP);
            Some((below.map(back), above.map(back)))
        };
    }
    let step = match unit {
        Unit::Dash | Unit::Drop | Unit::Splash | Unit::Cube => Amount::ONE,
        Unit::Barspoon | Unit::Teaspoon | Unit::Tablespoon => Amount::raw(1, 4),
        Unit::Cup | Unit::Part => Amount::raw(1, 8),
        _ => return None,
    };
    (!is_multiple(amount, step)).then(|| around(amount, step))
}

/// The ounce that a metric amount was converted from, with how many of it, where it is not the book's own and no
/// metric measure.
fn converted(ml: Amount, own: Ounce) -> Option<(Ounce, Amount)> {
    if is_multiple(ml, STEP) || ml == SMALLEST {
        return None;
    }
    [own, Ounce::Us, Ounce::Uk].into_iter().find_map(|ounce| {
        let eighths = (8.0 * ml.to_f64() / ounce.ml().to_f64()).round();
        #[expect(clippy::cast_possible_truncation, reason = "a serve")]
        let of = Amount::raw(eighths as i128, 8);
        let near = (of.to_f64() * ounce.ml().to_f64() - ml.to_f64()).abs() <= NEAR_ML;
        (near && eighths >= 1.0).then_some((ounce, of))
    })
}

/// The exact amount of a pour with its unit, where it has both and is measured.
fn written(pour: &Pour) -> Option<(Amount, Unit)> {
    match &pour.measure {
        PourAmount::Of(extent @ Extent { nominal, .. }, Some(unit))
            if extent.is_exact() && extent.word.is_none() =>
        {
            Some((*nominal, *unit))
        }
        _ => None,
    }
}

/// What one book pours by which unit.
#[derive(Default)]
struct Units {
    title: String,
    ounce: Ounce,
    metric: Vec<DrinkAt>,
    ounces: Vec<DrinkAt>,
    /// Amounts converted from another ounce: how it shows, and where.
    other: BTreeMap<String, (Ounce, Vec<String>, Vec<DrinkAt>)>,
}

/// Everything about amounts.
pub(super) fn amounts(drinks: &[Facts<'_>], found: &mut Vec<AuditFinding>) {
    let mut books: BTreeMap<String, Units> = BTreeMap::new();
    for facts in drinks {
        let settings = &facts.worked.context.settings;
        let ounce = settings.ounce.unwrap_or_default();
        let book = books.entry(facts.worked.found_in.book.clone()).or_default();
        book.title.clone_from(&facts.worked.found_in.book);
        book.ounce = ounce;
        for line in facts.worked.drink.lines() {
            let Step::Pour(pour) = &line.step else { continue };
            let Some((amount, unit)) = written(pour) else {
                continue;
            };
            // Whatever ounce it is of, it is measured by that.
            if book.sees(facts, amount, unit) || pour.place == PourMethod::Top {
                continue;
            }
            if let Some((below, above)) = unmeasured(amount, unit, ounce, &settings.jigger_set) {
                let said = |a: Amount| format!("{} {}", unit.amount_text(a), unit.written_after(a));
                let name = pour.choices.first().map_or("", |c| c.name.as_str());
                found.push(AuditFinding {
                    drinks: vec![facts.at()],
                    found: Found::UnpouredAmount(UnpouredAmount {
                        ingredient: name.to_owned(),
                        written: said(amount),
                        below: below.map(said),
                        above: above.map(said),
                    }),
                });
            }
        }
    }
    for book in books.values() {
        found.extend(book.mixed());
        found.extend(book.other.values().map(|(other, shown_by, drinks)| AuditFinding {
            drinks: drinks.clone(),
            found: Found::TwoOunces(TwoOunces {
                book_ounce_ml: book.ounce.ml().to_f64(),
                other_ounce_ml: other.ml().to_f64(),
                shown_by: shown_by.clone(),
            }),
        }));
    }
    between_books(&books, found);
}

impl Units {
    /// Note the unit of a pour; whether it is an ounce put into millilitres.
    fn sees(&mut self, facts: &Facts<'_>, amount: Amount, unit: Unit) -> bool {
        if unit == Unit::Ounce {
            self.ounces.push(facts.at());
            return false;
        }
        let Some(each) = ml_each(unit, self.ounce) else {
            return false;
        };
        self.metric.push(facts.at());
        let converted = amount.times(each).ok().and_then(|ml| converted(ml, self.ounce));
        let Some((other, of)) = converted else {
            return false;
        };
        if other != self.ounce {
            let shown = format!(
                "{} {} is {} oz of {} ml",
                unit.amount_text(amount),
                unit.written_after(amount),
                of.mixed_fraction(),
                trimmed(other.ml().to_f64(), 2)
            );
            let (_, shown_by, drinks) = self
                .other
                .entry(other.written().to_owned())
                .or_insert_with(|| (other, Vec::new(), Vec::new()));
            if !shown_by.contains(&shown) {
                shown_by.push(shown);
            }
            if !drinks.contains(&facts.at()) {
                drinks.push(facts.at());
            }
        }
        true
    }

    /// Ounces and millilitres in one book: the drinks of the fewer.
    fn mixed(&self) -> Option<AuditFinding> {
        let (metric, ounces) = (self.metric.len(), self.ounces.len());
        if metric == 0 || ounces == 0 {
            return None;
        }
        let fewer = if metric < ounces {
            &self.metric
        } else {
            &self.ounces
        };
        let mut drinks = fewer.clone();
        drinks.dedup();
        Some(AuditFinding {
            drinks,
            found: Found::MixedUnits(MixedUnits {
                book: self.title.clone(),
                metric,
                ounces,
            }),
        })
    }
}

/// Books that both pour ounces, and not the same ones.
fn between_books(books: &BTreeMap<String, Units>, found: &mut Vec<AuditFinding>) {
    let pouring: Vec<&Units> = books.values().filter(|b| !b.ounces.is_empty()).collect();
    let Some((first, rest)) = pouring.split_first() else {
        return;
    };
    for other in rest.iter().filter(|b| b.ounce != first.ounce) {
        found.push(AuditFinding {
            drinks: Vec::new(),
            found: Found::TwoOunces(TwoOunces {
                book_ounce_ml: first.ounce.ml().to_f64(),
                other_ounce_ml: other.ounce.ml().to_f64(),
                shown_by: vec![
                    format!("{} counts in ounces of {}", first.title, first.ounce.written()),
                    format!("{} in ounces of {}", other.title, other.ounce.written()),
                ],
            }),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(amount: &str, unit: Unit, set: &[i128]) -> String {
        let set: Vec<Amount> = set.iter().map(|ml| Amount::raw(*ml, 1)).collect();
        match unmeasured(amount.parse().unwrap(), unit, Ounce::Bar30, &set) {
            None => "measured".to_owned(),
            Some((below, above)) => {
                let said = |a: Option<Amount>| a.map_or("none".to_owned(), |a| unit.amount_text(a));
                format!("{} or {}", said(below), said(above))
            }
        }
    }

    #[test]
    fn usual_steps() {
        for fine in ["1.25", "2.5", "22.5", "37.5", "60", "100"] {
            assert_eq!(told(fine, Unit::Millilitre, &[]), "measured", "{fine}");
        }
        assert_eq!(told("23", Unit::Millilitre, &[]), "22.5 or 25");
        assert_eq!(told("2.3", Unit::Centilitre, &[]), "2.25 or 2.5");
        assert_eq!(told("1.5", Unit::Millilitre, &[]), "none or 2.5");
        assert_eq!(told("3/4", Unit::Ounce, &[]), "measured");
        assert_eq!(told("2/3", Unit::Ounce, &[]), "measured");
        assert_eq!(told("0.8", Unit::Ounce, &[]), "3/4 or 7/8");
        assert_eq!(told("2", Unit::Dash, &[]), "measured");
        assert_eq!(told("1/2", Unit::Dash, &[]), "none or 1");
        assert_eq!(told("1/2", Unit::Barspoon, &[]), "measured");
        assert_eq!(told("7", Unit::Leaf, &[]), "measured");
    }

    #[test]
    fn the_jiggers_of_the_house() {
        assert_eq!(told("50", Unit::Millilitre, &[20, 30]), "measured");
        assert_eq!(told("17.5", Unit::Millilitre, &[20, 30]), "measured");
        assert_eq!(told("22.5", Unit::Millilitre, &[20, 30]), "20 or 30");
        assert_eq!(told("15", Unit::Millilitre, &[10]), "10 or 20");
        assert_eq!(told("300", Unit::Millilitre, &[10]), "measured");
        // Half an ounce of 30 ml is a 15 ml jigger.
        assert_eq!(told("1/2", Unit::Ounce, &[15, 30]), "measured");
        assert_eq!(told("3/4", Unit::Ounce, &[15, 30]), "1/2 or 1");
    }

    #[test]
    fn amounts_converted_from_an_ounce() {
        let of =
            |ml: &str| converted(ml.parse().unwrap(), Ounce::Bar30).map(|(o, n)| (o, n.mixed_fraction()));
        assert_eq!(of("44.4"), Some((Ounce::Us, "1 1/2".to_owned())));
        assert_eq!(of("22.2"), Some((Ounce::Us, "3/4".to_owned())));
        assert_eq!(of("28.4"), Some((Ounce::Uk, "1".to_owned())));
        assert_eq!(of("45"), None);
        assert_eq!(of("23"), None);
    }
}
