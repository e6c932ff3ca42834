//! What a pour means beside what it is called: a fruit that is counted, juice by the jigger, a syrup as sweet as it says.

use std::borrow::Cow;
use std::ops::Range;

use super::Resolver;
use super::solution;
use crate::ingredient::{Ingredient, Quantity};
use crate::liquid::Component;
use crate::measure::{Amount, Unit};
use crate::names::key;
use crate::spec::{Named, Pour, PourAmount, Unplaced};
use crate::tables::IngredientKind;

/// What is poured, in what unit.
pub(super) struct Meant<'a> {
    pub ingredient: Cow<'a, Ingredient>,
    pub unit: Option<Unit>,
    /// How sweet the line says it is, °Bx.
    pub brix: Option<f64>,
}

impl<'a> Resolver<'a> {
    /// The ingredient that a pour means, by its name, its unit and what else the line says of it.
    pub(super) fn meant(
        &mut self,
        pour: &Pour,
        named: &Named,
        span: &Range<usize>,
    ) -> Result<Meant<'a>, Unplaced> {
        let (mut ingredient, mut unit) = self.find(named, pour.measure.unit(), pour.strength_pct, span)?;
        if let Some(fruit) = self.whole_fruit(named, pour, unit, &ingredient) {
            self.assume(
                &named.name,
                format!("taken as {}, for it is counted and not measured", fruit.name),
                "write the full name, or an amount with its unit",
            );
            ingredient = Cow::Borrowed(fruit);
            unit = Some(Unit::Piece);
        }
        if let Some(pct) = pour.strength_pct {
            ingredient = self.at_percentage(ingredient, pct, pour.per, span)?;
        }
        // `honey syrup (70 Bx)`: as sweet as the line says.
        let brix = solution::brix_in(&pour.note).filter(|_| {
            matches!(
                ingredient.kind,
                IngredientKind::Syrup
                    | IngredientKind::Sweetener
                    | IngredientKind::Cordial
                    | IngredientKind::Sugar
            )
        });
        if let Some(brix) = brix {
            ingredient = Cow::Owned(ingredient.at_brix(brix));
        }
        if let Some(taken) = self.by_the_jigger(pour, named, unit, &ingredient) {
            ingredient = Cow::Borrowed(taken);
        }
        Ok(Meant {
            ingredient,
            unit,
            brix,
        })
    }

    /// What is poured by volume where the name alone is a thing that nobody jiggers.
    fn by_the_jigger(
        &mut self,
        pour: &Pour,
        named: &Named,
        unit: Option<Unit>,
        ingredient: &Ingredient,
    ) -> Option<&'a Ingredient> {
        // `20 ml ginger`: fruit and roots by the jigger are their juice or purée. By the ounce they may be weighed.
        if matches!(unit, Some(Unit::Millilitre | Unit::Centilitre))
            && self.drink.makes.is_none()
            && ingredient.is_solid()
            && let Some(pressed) = self
                .candidates(&named.name)
                .find(|i| matches!(i.kind, IngredientKind::Juice | IngredientKind::Puree))
        {
            self.assume(
                &named.name,
                format!("by the jigger: taken as {}", pressed.name),
                "write the full name, or grams of the fresh thing",
            );
            return Some(pressed);
        }
        // `20 ml sugar` is a syrup where it is poured by volume: nobody jiggers the dry thing.
        let jiggered = match (&pour.measure, unit) {
            (_, Some(Unit::Millilitre | Unit::Centilitre | Unit::Ounce)) => true,
            (PourAmount::Of(extent, None), None) => {
                extent.nominal >= Amount::raw(5, 1)
                    || self.settings.ounce.is_some() && extent.nominal < Amount::ONE
            }
            _ => false,
        };
        if jiggered
            && self.drink.makes.is_none()
            && ingredient.kind == IngredientKind::Sugar
            && key(&named.name) == "sugar"
            && let Some(syrup) = self.stock.get("simple syrup 1:1 by mass")
        {
            self.assume(
                &named.name,
                "by the jigger: taken as simple syrup 1:1 by mass",
                "write `sugar syrup`, or grams of sugar",
            );
            return Some(syrup);
        }
        None
    }

    /// The alcoholic strength that the line says, % vol; a percentage of something else is said for what it is.
    pub(super) fn strength_of(
        &mut self,
        pour: &Pour,
        named: &Named,
        ingredient: &Ingredient,
        span: &Range<usize>,
    ) -> Result<Option<f64>, Unplaced> {
        let strength = match pour.strength_pct {
            None => None,
            Some(strength) if ingredient.is_alcoholic() => Some(
                solution::strength_pct_vol(strength.to_f64(), pour.per, ingredient, self.convention)
                    .map_err(|expected| Unplaced::reject(span.clone(), expected))?,
            ),
            Some(strength) => {
                // `alcohol-free wine (0.5 % vol)` is what it is called; `cream 35 %` says its fat. Some names hold a
                // percentage that is no strength ("saline 20 %"); those were found whole.
                let said_fat = key(&pour.note).split(' ').any(|w| w == "fat");
                let fat = said_fat
                    || ingredient
                        .figure(Quantity::Part(Component::Fat), self.convention)
                        .is_some_and(|fat| {
                            ingredient.kind == IngredientKind::Dairy
                                && (fat / 10.0 - strength.to_f64()).abs() <= 6.0
                        });
                if fat || strength <= Amount::raw(6, 5) {
                    let said = if fat {
                        format!("its fat; computed as {}", ingredient.name)
                    } else {
                        "too little alcohol to count".to_owned()
                    };
                    self.assume(format!("{} {strength} %", named.name), said, "");
                } else if !key(&ingredient.name).contains(&format!(" {strength}%")) {
                    let near = self.stock.nearest(&format!("{} {strength} %", named.name));
                    let message = format!("`{}` is not {strength} %: which one is it?", ingredient.name);
                    return Err(Unplaced::ask(span.clone(), message, near));
                }
                None
            }
        };
        Ok(strength)
    }
}

/// Whether it is poured hot, by its name or by what is said of it: `hot water`, `apple juice (heated)`,
/// `milk steamed to 65 °C`.
pub(super) fn is_hot(pour: &Pour, named: &Named, ingredient: &Ingredient) -> bool {
    let name_words = key(&named.name);
    let note_words = key(&pour.note);
    // `honey (loosened in a little hot water)`: the water is hot.
    let note_words = note_words.replace("hot water", "").replace("boiling water", "");
    let heated = note_words.split(|c: char| !c.is_alphabetic()).any(|w| {
        matches!(
            w,
            "hot" | "heated" | "steamed" | "boiling" | "boiled" | "warmed" | "simmering"
        )
    });
    let called = ["very ", "piping ", "steaming ", "scalding ", "really "]
        .iter()
        .find_map(|much| name_words.strip_prefix(much))
        .unwrap_or(name_words.as_str());
    (heated || called.starts_with("hot ") || called.starts_with("boiling "))
        // `hot sauce` burns; `hot chocolate` is hot.
        && (!key(&ingredient.name).starts_with("hot ") || ingredient.kind == IngredientKind::CoffeeAndTea)
}
