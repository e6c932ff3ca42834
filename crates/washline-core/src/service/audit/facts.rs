//! What the audit needs to know of each drink, gathered once.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::computed::ComputedDrink;
use crate::ingredient::{Ingredient, Quantity};
use crate::names::key;
use crate::resolve::ResolvedStep;
use crate::service::comparison::pours;
use crate::tables::IngredientKind;

/// A drink and the book it stands in.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct DrinkAt {
    /// Its name.
    pub name: String,
    /// The title of its book.
    pub book: String,
}

/// A drink of the list with what follows from it.
pub(super) struct Facts<'a> {
    /// The drink.
    pub worked: &'a ComputedDrink,
    /// What is poured of each ingredient, g.
    pub grams: BTreeMap<String, f64>,
    /// What its alcohol mostly comes from; `None` of a drink without any.
    pub base: Option<String>,
    /// The names as typed, each with the ingredient it led to.
    pub typed: Vec<(String, String)>,
}

impl<'a> Facts<'a> {
    pub fn of(worked: &'a ComputedDrink) -> Facts<'a> {
        let mut grams: BTreeMap<String, f64> = BTreeMap::new();
        for (ingredient, poured) in pours(worked) {
            *grams.entry(ingredient).or_default() += poured.mass_g;
        }
        let mut typed = Vec::new();
        for (_, poured) in worked.resolved.pours() {
            // A choice of several names no ingredient by another name.
            if let [only] = poured.typed.choices.as_slice()
                && !only.any
            {
                typed.push((only.name.clone(), poured.ingredient.clone()));
            }
        }
        Facts {
            worked,
            grams,
            base: base(worked),
            typed,
        }
    }

    pub fn at(&self) -> DrinkAt {
        DrinkAt {
            name: self.worked.name().to_owned(),
            book: self.worked.found_in.book.clone(),
        }
    }

    pub fn key(&self) -> String {
        key(self.worked.name())
    }

    /// A figure as it is computed; 0 where it has no value.
    pub fn value(&self, figure: &str) -> f64 {
        self.worked
            .evaluation
            .figures
            .named()
            .into_iter()
            .find(|(name, _)| *name == figure)
            .and_then(|(_, f)| f.value)
            .unwrap_or(0.0)
    }

    /// Every ingredient it pours, and those that what it pours is made of, all the way down.
    pub fn ingredients(&self) -> BTreeSet<String> {
        let mut found = BTreeSet::new();
        let mut open: Vec<String> = self.grams.keys().cloned().collect();
        while let Some(name) = open.pop() {
            if let Some(made) = self.worked.context.preparations.named(&name) {
                open.extend(
                    made.parts
                        .iter()
                        .map(|p| p.ingredient.clone())
                        .filter(|p| !found.contains(p)),
                );
            }
            found.insert(name);
        }
        found
    }

    pub fn ingredient(&self, name: &str) -> Option<Cow<'_, Ingredient>> {
        self.worked.context.ingredient(name)
    }
}

/// Groups that say how a spirit is kept and not what it is.
const NOT_A_BASE: [&str; 7] = [
    "white spirits",
    "aged spirits",
    "flavoured spirits",
    "fruit spirits",
    "neutral spirits",
    "cane spirits",
    "tequilas",
];

/// What sort of thing it is as the base of a drink: gins, whiskies; else its kind.
fn family(ingredient: &Ingredient) -> String {
    let spirit = matches!(
        ingredient.kind,
        IngredientKind::Spirit | IngredientKind::FlavouredSpirit
    );
    ingredient
        .groups
        .iter()
        .find(|g| spirit && !NOT_A_BASE.contains(&g.as_str()))
        .map_or(ingredient.kind.word(), String::as_str)
        .to_owned()
}

/// What most of a drink's alcohol comes from; where that is made here, what most of its alcohol comes from.
fn base(worked: &ComputedDrink) -> Option<String> {
    let pours = worked.resolved.steps.iter().filter_map(|step| match step {
        ResolvedStep::Pour(p) => Some((p.ingredient.as_str(), worked.built.brought(p).liquid.ethanol_g())),
        _ => None,
    });
    let (mut name, grams) = pours.fold(("", 0.0), |best, p| if p.1 > best.1 { p } else { best });
    if grams <= 0.0 {
        return None;
    }
    let (stock, made) = (&worked.context.stock, &worked.context.preparations);
    // No preparation is deeper than there are preparations.
    for _ in 0..made.made.len() {
        let Some(of) = made.named(name) else { break };
        let strength = |part: &str| {
            stock
                .poured(part)
                .and_then(|i| i.figure(Quantity::Strength, worked.resolved.convention))
                .unwrap_or(0.0)
        };
        let strongest = of
            .parts
            .iter()
            .map(|p| (p.ingredient.as_str(), p.volume_ml * strength(&p.ingredient)))
            .fold(("", 0.0), |best, p| if p.1 > best.1 { p } else { best });
        if strongest.0.is_empty() {
            break;
        }
        name = strongest.0;
    }
    stock.poured(name).map(|i| family(&i))
}
