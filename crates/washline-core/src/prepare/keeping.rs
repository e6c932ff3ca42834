//! How long things are usually held, where nobody says: by what is in them.

use crate::ingredient::Ingredient;
use crate::liquid::Liquid;
use crate::names::key;
use crate::tables::IngredientKind;

/// A usual holding time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShelfLife {
    /// Shortest and longest usual, hours.
    pub hours: (f64, f64),
    /// In words, with how it is kept.
    pub words: &'static str,
    /// Why it is counted as that.
    pub because: &'static str,
    /// Who says so.
    pub source: &'static str,
}

/// What decides how long something keeps.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Perishables {
    /// Raw egg.
    pub egg: bool,
    /// Milk or cream that has not been clarified away, or a plant milk.
    pub dairy: bool,
    /// Juice of lemons, limes, grapefruit or oranges, as pressed.
    pub citrus: bool,
    /// Other juice, fruit, herbs or spices.
    pub plants: bool,
}

impl Perishables {
    /// Take in an ingredient; `much` says that it is more than a touch of the whole, `fresh` that nothing has boiled it.
    pub fn take_in(&mut self, ingredient: &Ingredient, much: bool, fresh: bool) {
        match ingredient.kind {
            IngredientKind::Egg => self.egg |= is_raw(ingredient),
            IngredientKind::Dairy | IngredientKind::PlantMilk | IngredientKind::Coconut => {
                self.dairy |= !ingredient.groups.iter().any(|g| g == "fats");
            }
            IngredientKind::Juice => {
                self.citrus |= much && fresh && is_fresh_citrus(ingredient);
                self.plants |= much;
            }
            IngredientKind::Puree
            | IngredientKind::Fruit
            | IngredientKind::Herb
            | IngredientKind::Spice
            | IngredientKind::Vegetable => self.plants = true,
            IngredientKind::CoffeeAndTea | IngredientKind::JuiceDrink | IngredientKind::Nectar => {
                self.plants |= much
            }
            _ => {}
        }
    }

    /// Take in what a preparation holds.
    pub fn join(&mut self, other: Perishables, much: bool) {
        self.egg |= other.egg;
        self.dairy |= other.dairy;
        self.citrus |= other.citrus && much;
        self.plants |= other.plants && much;
    }
}

/// Whether it is egg from the shell.
#[must_use]
pub fn is_raw(egg: &Ingredient) -> bool {
    egg.kind == IngredientKind::Egg && !egg.name.contains("pasteurised") && !egg.name.contains("powder")
}

fn is_fresh_citrus(ingredient: &Ingredient) -> bool {
    let kept = ["bottled", "packaged", "clarified"];
    ingredient.groups.iter().any(|g| g == "citrus juices")
        && !kept.iter().any(|k| ingredient.name.contains(k))
}

/// How many hours after pressing a citrus juice is still at its best, from and to: bar articles, READ (lime, lemon,
/// grapefruit, orange); others as lemon, from memory. `None` of what is no fresh citrus juice.
#[must_use]
pub fn citrus_clock(ingredient: &Ingredient) -> Option<(f64, f64)> {
    if !is_fresh_citrus(ingredient) {
        return None;
    }
    let name = key(&ingredient.name);
    Some(match () {
        () if name.contains("lime") => (4.0, 6.0),
        () if name.contains("grapefruit") || name.contains("pomelo") => (12.0, 18.0),
        () if name.contains("orange") || name.contains("mandarin") => (18.0, 24.0),
        () => (8.0, 12.0),
    })
}

/// Strength from which alcohol alone keeps a mix, % vol. From memory.
pub const KEEPS_FROM_PCT: f64 = 20.0;

/// How long a liquid is usually held at 5 °C or below. The first thing in it that spoils decides.
#[must_use]
pub fn usual(liquid: &Liquid, holds: Perishables) -> ShelfLife {
    let strong = liquid.abv_pct().unwrap_or(0.0) >= KEEPS_FROM_PCT;
    let brix = liquid.brix().unwrap_or(0.0);
    let holding = |hours, words, because, source| ShelfLife {
        hours,
        words,
        because,
        source,
    };
    if holds.egg {
        holding(
            (0.0, 24.0),
            "the same day, at 5 °C or below",
            "raw egg",
            "food-safety handbooks, from memory",
        )
    } else if holds.dairy {
        holding(
            (0.0, 24.0),
            "the same day, at 5 °C or below",
            "milk or cream",
            "food-safety handbooks, from memory",
        )
    } else if holds.citrus {
        holding(
            (4.0, 24.0),
            "the same day: lime is at its best 4 to 6 h, lemon 8 to 12, grapefruit 12 to 18, orange 18 to 24",
            "fresh citrus",
            "bar articles, READ; they disagree, up to 3 days is met",
        )
    } else if strong {
        holding(
            (2160.0, 8760.0),
            "months, closed and away from light",
            "20 % vol or more",
            "common practice, no source",
        )
    } else if holds.plants && brix >= 40.0 {
        holding(
            (168.0, 336.0),
            "up to 2 weeks at 5 °C or below",
            "fruit or plants in syrup",
            "bar handbooks, READ",
        )
    } else if brix >= 60.0 {
        holding(
            (1344.0, 2016.0),
            "8 to 12 weeks at 5 °C or below",
            "a rich syrup",
            "bar handbooks, from memory",
        )
    } else if brix >= 40.0 {
        holding(
            (336.0, 672.0),
            "2 to 4 weeks at 5 °C or below",
            "a syrup",
            "bar handbooks, from memory",
        )
    } else {
        holding(
            (24.0, 72.0),
            "1 to 3 days at 5 °C or below",
            "too little alcohol and sugar to keep by itself",
            "common practice, no source",
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::liquid::Component;

    #[test]
    fn what_spoils_first_decides() {
        let syrup = Liquid::litre(0.0, &[(Component::Sucrose, 615.0)]).unwrap();
        let spirit = Liquid::from_strength(40.0).unwrap();
        assert_eq!(usual(&syrup, Perishables::default()).because, "a syrup");
        assert_eq!(usual(&spirit, Perishables::default()).because, "20 % vol or more");
        let egg = Perishables {
            egg: true,
            ..Perishables::default()
        };
        assert_eq!(usual(&spirit, egg).because, "raw egg");
        let plants = Perishables {
            plants: true,
            ..Perishables::default()
        };
        assert!(usual(&syrup, plants).hours.1 < usual(&syrup, Perishables::default()).hours.1);
    }
}
