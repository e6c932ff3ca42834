//! What nobody has written down: glass, price, garnish, allergens, figures of ingredients that are only from memory;
//! and what was measured or priced too long ago.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::facts::{DrinkAt, Facts};
use super::finding::{AuditFinding, Fact, Found, MissingFact, OldMeasurement};
use crate::ingredient::{Ingredient, Quantity, Status};
use crate::names::key;
use crate::service::cost::Prices;
use crate::tables::day;

/// Measurements and prices are old from so many days: this program's own convention.
pub const OLD_DAYS: i64 = 365;

/// Facts that drinks lack.
pub(super) fn facts(drinks: &[Facts<'_>], found: &mut Vec<AuditFinding>) {
    let mut lacking = |fact: Fact, lacks: &dyn Fn(&Facts<'_>) -> bool| {
        let all: Vec<DrinkAt> = drinks.iter().filter(|f| lacks(f)).map(Facts::at).collect();
        if !all.is_empty() {
            found.push(AuditFinding {
                drinks: all,
                found: Found::MissingFact(MissingFact {
                    fact,
                    ingredients: Vec::new(),
                    of: drinks.len(),
                }),
            });
        }
    };
    lacking(Fact::Glass, &|f| f.worked.drink.glass.is_none());
    lacking(Fact::GlassSize, &|f| {
        let assumed = f
            .worked
            .resolved
            .glass
            .as_ref()
            .is_none_or(|g| g.assumed_ml.is_some());
        f.worked.drink.glass.is_some() && assumed
    });
    lacking(Fact::Price, &|f| f.worked.drink.price.is_none());
    lacking(Fact::Garnish, &|f| {
        f.worked.drink.garnishes_said().next().is_none()
    });
    let poured = poured(drinks);
    let mut of_ingredients = |fact: Fact, lacks: &dyn Fn(&Ingredient) -> bool| {
        let mut all: Vec<&(Cow<'_, Ingredient>, BTreeSet<DrinkAt>)> =
            poured.values().filter(|(i, _)| lacks(i)).collect();
        // What is poured by most first.
        all.sort_by_key(|(_, pour_it)| std::cmp::Reverse(pour_it.len()));
        let drinks: BTreeSet<DrinkAt> = all.iter().flat_map(|(_, d)| d.iter().cloned()).collect();
        if !all.is_empty() {
            found.push(AuditFinding {
                drinks: drinks.into_iter().collect(),
                found: Found::MissingFact(MissingFact {
                    fact,
                    ingredients: all.iter().map(|(i, _)| i.name.clone()).collect(),
                    of: poured.len(),
                }),
            });
        }
    };
    of_ingredients(Fact::Allergens, &|i| {
        i.allergens_eu.unknown || i.allergens_us.unknown
    });
    of_ingredients(Fact::Figures, &|i| {
        let mut figures = i
            .values
            .iter()
            .filter(|v| matches!(v.quantity, Quantity::Strength | Quantity::Part(_)))
            .peekable();
        figures.peek().is_some() && figures.all(|v| v.status == Status::Memory)
    });
}

/// Every ingredient that comes into a drink, by itself or through what the house makes, with the drinks.
fn poured<'a>(drinks: &'a [Facts<'_>]) -> BTreeMap<String, (Cow<'a, Ingredient>, BTreeSet<DrinkAt>)> {
    let mut all: BTreeMap<String, (Cow<'_, Ingredient>, BTreeSet<DrinkAt>)> = BTreeMap::new();
    for facts in drinks {
        for name in facts.ingredients() {
            // What is made here is as well known as what it is made of.
            if facts.worked.context.preparations.named(&name).is_some() {
                continue;
            }
            if let Some(ingredient) = facts.ingredient(&name) {
                all.entry(key(&name))
                    .or_insert_with(|| (ingredient, BTreeSet::new()))
                    .1
                    .insert(facts.at());
            }
        }
    }
    all
}

/// Measurements and prices that are older than [`OLD_DAYS`] on a day.
pub(super) fn old(drinks: &[Facts<'_>], prices: &Prices, today: Date, found: &mut Vec<AuditFinding>) {
    for (ingredient, pour_it) in poured(drinks).values() {
        let mut add = |what: String, since: Date| {
            let days = today.duration_since(since).as_hours() / 24;
            if days > OLD_DAYS {
                found.push(AuditFinding {
                    drinks: pour_it.iter().cloned().collect(),
                    found: Found::OldMeasurement(OldMeasurement {
                        ingredient: ingredient.name.clone(),
                        what,
                        since,
                        days,
                        limit_days: OLD_DAYS,
                    }),
                });
            }
        };
        let mut said = BTreeSet::new();
        for value in ingredient.values.iter().filter(|v| v.status == Status::Measured) {
            // One reading of a refractometer gives several figures; it is said once.
            if let Some(since) = date_in(&value.source).filter(|d| said.insert(*d)) {
                add(value.quantity.name().to_owned(), since);
            }
        }
        let books: BTreeSet<&str> = pour_it.iter().map(|d| d.book.as_str()).collect();
        let since: BTreeSet<Date> = books
            .iter()
            .filter_map(|book| prices.of(book, &ingredient.name))
            .filter_map(|p| p.since)
            .collect();
        for since in since {
            add("price".to_owned(), since);
        }
    }
}

const MONTHS: [&str; 12] = [
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
];

/// The first full date in words of a source: `titration, 2025-11-03`, `label, 3 November 2025`, `November 2025` (the
/// first of the month). Without a year there is none.
fn date_in(text: &str) -> Option<Date> {
    let words: Vec<&str> = text
        .split(|c: char| !(c.is_alphanumeric() || c == '-'))
        .filter(|w| !w.is_empty())
        .collect();
    words.iter().enumerate().find_map(|(at, word)| {
        if let Some(day) = day(word) {
            return Some(day);
        }
        let month = MONTHS.iter().position(|m| {
            word.get(..3).is_some_and(|start| start.eq_ignore_ascii_case(m))
                && word.chars().all(char::is_alphabetic)
        })?;
        let year: i16 = words.get(at + 1).filter(|y| y.len() == 4)?.parse().ok()?;
        let day: i8 = at
            .checked_sub(1)
            .and_then(|before| words[before].parse().ok())
            .filter(|day| (1..=31).contains(day))
            .unwrap_or(1);
        Date::new(year, i8::try_from(month + 1).ok()?, day).ok()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_in_words() {
        let of = |t: &str| date_in(t).map(|day| day.to_string());
        assert_eq!(of("titration, 2025-11-03").as_deref(), Some("2025-11-03"));
        assert_eq!(
            of("refractometer, 3 November 2025").as_deref(),
            Some("2025-11-03")
        );
        assert_eq!(of("label of Nov 2025").as_deref(), Some("2025-11-01"));
        assert_eq!(of("titration, 3 November"), None);
        assert_eq!(of("label 1975"), None);
        assert_eq!(of("31 February 2025"), None);
    }
}
