//! The shelf: what one drink alone pours and what it costs to hold, one ingredient under two names, and what nobody
//! pours.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::facts::{DrinkAt, Facts};
use super::finding::{AuditFinding, Found, LonelyIngredient, NearNames, TwoNames, UnpouredPreparation};
use crate::computed::Prepared;
use crate::ingredient::{Ingredient, Offer};
use crate::names::key;
use crate::service::cost::Prices;
use crate::tables::IngredientKind;

/// Kinds that cost nothing to hold, or that every bar has.
const ALWAYS_THERE: [IngredientKind; 1] = [IngredientKind::Water];
/// The fewest drinks among which one can be lonely.
const COMPANY: usize = 3;

/// Ingredients that one drink alone pours, by itself or through what the house makes.
pub(super) fn lonely(drinks: &[Facts<'_>], prices: &Prices, found: &mut Vec<AuditFinding>) {
    // One drink in two books is one drink.
    let names: BTreeSet<String> = drinks.iter().map(Facts::key).collect();
    if names.len() < COMPANY {
        return;
    }
    let mut poured: BTreeMap<String, (String, BTreeSet<String>, &Facts<'_>)> = BTreeMap::new();
    for facts in drinks {
        for name in facts.ingredients() {
            poured
                .entry(key(&name))
                .or_insert_with(|| (name, BTreeSet::new(), facts))
                .1
                .insert(facts.key());
        }
    }
    let mut lonely: Vec<(DrinkAt, LonelyIngredient)> = poured
        .into_values()
        .filter(|(_, pour_it, _)| pour_it.len() == 1)
        .filter_map(|(name, _, facts)| {
            let ingredient = facts.ingredient(&name)?;
            if ALWAYS_THERE.contains(&ingredient.kind) {
                return None;
            }
            let context = &facts.worked.context;
            let bought = match prices.of(&facts.worked.found_in.book, &name).map(|p| &p.offer) {
                Some(Offer::Bought(bought)) => Some(bought),
                _ => None,
            };
            let currency = bought.and_then(|b| {
                let currency = b.currency.or(context.settings.currency)?;
                Some(currency.code().to_owned())
            });
            let of = LonelyIngredient {
                made: context.preparations.named(&name).is_some(),
                ingredient: name,
                package: bought.map(|b| b.package.written.clone()),
                holds: bought.map(|b| crate::measure::rounded(b.net(), 2)),
                currency,
            };
            Some((facts.at(), of))
        })
        .collect();
    // What holds most money first, then by name.
    lonely.sort_by_key(|(_, of)| (std::cmp::Reverse(of.holds), of.ingredient.clone()));
    found.extend(lonely.into_iter().map(|(at, of)| AuditFinding {
        drinks: vec![at],
        found: Found::LonelyIngredient(of),
    }));
}

/// Each drink once, in order.
fn once(drinks: impl Iterator<Item = DrinkAt>) -> Vec<DrinkAt> {
    let mut seen = BTreeSet::new();
    drinks.filter(|d| seen.insert(d.clone())).collect()
}

/// One ingredient that is typed in several ways.
pub(super) fn two_names(drinks: &[Facts<'_>], found: &mut Vec<AuditFinding>) {
    // Ingredient → name as typed, folded → (first spelling, who).
    type Spelt = BTreeMap<String, (String, Vec<DrinkAt>)>;
    let mut all: BTreeMap<String, Spelt> = BTreeMap::new();
    for facts in drinks {
        for (typed, ingredient) in &facts.typed {
            all.entry(ingredient.clone())
                .or_default()
                .entry(key(typed))
                .or_insert_with(|| (typed.clone(), Vec::new()))
                .1
                .push(facts.at());
        }
    }
    for (ingredient, spelt) in all {
        if spelt.len() < 2 {
            continue;
        }
        let mut spelt: Vec<(String, Vec<DrinkAt>)> = spelt.into_values().collect();
        spelt.sort_by_key(|(_, who)| std::cmp::Reverse(who.len()));
        let others = spelt[1..].iter().flat_map(|(_, who)| who.iter().cloned());
        found.push(AuditFinding {
            drinks: once(others),
            found: Found::TwoNames(TwoNames {
                ingredient,
                names: spelt.iter().map(|(typed, _)| typed.clone()).collect(),
            }),
        });
    }
}

/// Words of a name, without the ratio that sets one syrup apart from another.
fn words(name: &str) -> (BTreeSet<String>, bool) {
    let folded = key(name);
    let mut ratio = false;
    let words = folded
        .split(' ')
        .filter(|w| {
            let of_ratio =
                w.starts_with(|c: char| c.is_ascii_digit()) || matches!(*w, "by" | "mass" | "volume");
            ratio |= of_ratio;
            !of_ratio
        })
        .map(str::to_owned)
        .collect();
    (words, ratio)
}

/// Whether two ingredients of one kind have names so near that they could be one bottle: one name is the other
/// without a word or two (`gin`, `London dry gin`), they differ in how a ratio is counted, or in a letter or two.
fn near(a: &Ingredient, b: &Ingredient) -> bool {
    if a.kind != b.kind {
        return false;
    }
    let ((a_words, a_ratio), (b_words, b_ratio)) = (words(&a.name), words(&b.name));
    if a_words == b_words {
        return a_ratio || b_ratio;
    }
    let (few, many) = if a_words.len() <= b_words.len() {
        (&a_words, &b_words)
    } else {
        (&b_words, &a_words)
    };
    if !few.is_empty() && few.is_subset(many) {
        return true;
    }
    let (a, b) = (key(&a.name), key(&b.name));
    // A letter or two in a long name; `lime juice` is not `lemon juice`.
    a.chars().count().min(b.chars().count()) >= 8 && strsim::osa_distance(&a, &b) == 1
}

/// Pairs of ingredients that are both poured and whose names are near.
pub(super) fn near_names(drinks: &[Facts<'_>], found: &mut Vec<AuditFinding>) {
    let mut poured: BTreeMap<String, (Cow<'_, Ingredient>, Vec<DrinkAt>)> = BTreeMap::new();
    for facts in drinks {
        for name in facts.grams.keys() {
            if let Some(ingredient) = facts.ingredient(name) {
                poured
                    .entry(key(name))
                    .or_insert_with(|| (ingredient, Vec::new()))
                    .1
                    .push(facts.at());
            }
        }
    }
    let poured: Vec<(Cow<'_, Ingredient>, Vec<DrinkAt>)> = poured.into_values().collect();
    for (i, (a, pour_a)) in poured.iter().enumerate() {
        for (b, pour_b) in &poured[i + 1..] {
            if near(a, b) {
                let fewer = if pour_a.len() < pour_b.len() {
                    pour_a
                } else {
                    pour_b
                };
                found.push(AuditFinding {
                    drinks: once(fewer.iter().cloned()),
                    found: Found::NearNames(NearNames {
                        ingredient: a.name.clone(),
                        other: b.name.clone(),
                    }),
                });
            }
        }
    }
}

/// What the house makes or its books define, and no drink of its book pours, by itself or through another.
pub(super) fn unpoured(
    drinks: &[Facts<'_>],
    prepared: &[Prepared],
    defined: &[(String, Ingredient)],
    found: &mut Vec<AuditFinding>,
) {
    let mut poured: BTreeSet<(String, String)> = BTreeSet::new();
    for facts in drinks {
        let book = key(&facts.worked.found_in.book);
        poured.extend(facts.ingredients().iter().map(|name| (book.clone(), key(name))));
    }
    let nobody = |book: &str, name: &str| !poured.contains(&(key(book), key(name)));
    for (book, ingredient) in defined {
        let made = prepared
            .iter()
            .any(|p| key(&p.found_in.book) == key(book) && key(p.name()) == key(&ingredient.name));
        if nobody(book, &ingredient.name) {
            found.push(AuditFinding {
                drinks: Vec::new(),
                found: Found::UnpouredPreparation(UnpouredPreparation {
                    ingredient: ingredient.name.clone(),
                    book: book.clone(),
                    made,
                }),
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ingredient::library;

    #[test]
    fn names_that_could_be_one_bottle() {
        let stock = library();
        let near = |a: &str, b: &str| near(stock.get(a).unwrap(), stock.get(b).unwrap());
        assert!(near("gin", "london dry gin"));
        assert!(near("simple syrup 1:1 by mass", "simple syrup 1:1 by volume"));
        assert!(!near("lime juice", "lemon juice"));
        assert!(!near("white rum", "dark rum"));
        assert!(!near("dry vermouth", "sweet red vermouth"));
        assert!(!near("gold rum", "gin"));
    }
}
