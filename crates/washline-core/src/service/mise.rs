//! What to have ready before a list is poured: preparations, what is pressed and cut fresh, what fizzes, garnishes, ice and
//! glasses, and the bottles; each with the drinks that ask for it.

use super::card::ice;
use super::garnish;
use crate::computed::ComputedDrink;
use crate::names::key;
use crate::spec::Keeping;
use crate::tables::IngredientKind;

/// What sort of thing is made ready, in the order of a morning's work.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    strum::IntoStaticStr,
    strum::VariantArray,
    strum::VariantNames,
)]
pub enum Ready {
    /// Made in the house.
    #[strum(serialize = "Made here")]
    Preparation,
    /// Syrups and cordials that nobody says how to make.
    #[strum(serialize = "Syrups and cordials")]
    Syrup,
    /// Juices.
    #[strum(serialize = "Juices")]
    Juice,
    /// Fruit, herbs, eggs, dairy: what does not keep.
    #[strum(serialize = "Fresh: fruit, herbs, eggs, dairy")]
    Fresh,
    /// What goes flat.
    #[strum(serialize = "Cold and fizzy")]
    Fizz,
    /// What goes on the glass.
    #[strum(serialize = "Garnishes")]
    Garnish,
    /// Ice in the glass.
    #[strum(serialize = "Ice in the glass")]
    Ice,
    /// Glasses.
    #[strum(serialize = "Glasses")]
    Glass,
    /// Everything else that is poured.
    #[strum(serialize = "Bottles")]
    Bottle,
}

impl Ready {
    /// All of them, in order.
    pub const ALL: &'static [Ready] = <Ready as strum::VariantArray>::VARIANTS;

    /// Their words.
    pub const WORDS: &'static [&'static str] = <Ready as strum::VariantNames>::VARIANTS;

    /// What it is called over a list of them.
    #[must_use]
    pub fn words(self) -> &'static str {
        self.into()
    }
}

/// One thing to have ready.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadyItem {
    /// What sort.
    pub ready: Ready,
    /// What it is called.
    pub name: String,
    /// How long it keeps, in the writer's words; empty where nobody says.
    pub keeps: String,
    /// The drinks that ask for it, in the order of the list.
    pub drinks: Vec<String>,
}

/// Kinds of things that do not keep.
const FRESH: [IngredientKind; 7] = [
    IngredientKind::Fruit,
    IngredientKind::Vegetable,
    IngredientKind::Herb,
    IngredientKind::Egg,
    IngredientKind::Dairy,
    IngredientKind::Puree,
    IngredientKind::PlantMilk,
];

/// What to have ready for some drinks, by sort and then by how many drinks ask for it.
#[must_use]
pub fn mise(drinks: &[ComputedDrink]) -> Vec<ReadyItem> {
    let mut all: Vec<ReadyItem> = Vec::new();
    for drink in drinks {
        let mut ask = |ready: Ready, name: &str, keeps: Option<&Keeping>| {
            if name.trim().is_empty() {
                return;
            }
            let known = all
                .iter_mut()
                .find(|i| i.ready == ready && key(&i.name) == key(name));
            let asked = drink.name().to_owned();
            match known {
                Some(item) if item.drinks.last() == Some(&asked) => {}
                Some(item) => item.drinks.push(asked),
                None => all.push(ReadyItem {
                    ready,
                    name: name.to_owned(),
                    keeps: keeps.map_or_else(String::new, |k| k.words.clone()),
                    drinks: vec![asked],
                }),
            }
        };
        for (_, pour) in drink.resolved.pours() {
            let made = drink.context.preparations.named(&pour.ingredient);
            let kind = &pour.kind;
            let ready = match () {
                () if made.is_some() => Ready::Preparation,
                () if matches!(kind, IngredientKind::Syrup | IngredientKind::Cordial) => Ready::Syrup,
                () if *kind == IngredientKind::Juice => Ready::Juice,
                () if pour.egg || pour.needs_pressing || FRESH.contains(kind) => Ready::Fresh,
                () if pour.carbonated => Ready::Fizz,
                () => Ready::Bottle,
            };
            ask(ready, &pour.ingredient, made.and_then(|m| m.keeps.as_ref()));
        }
        for words in garnish::items(drink) {
            ask(Ready::Garnish, words, None);
        }
        if let Some(form) = ice(drink) {
            ask(Ready::Ice, form.written(), None);
        }
        if let Some(glass) = &drink.drink.glass {
            let words = match glass.capacity_ml {
                Some(ml) => format!("{}, {ml} ml", glass.name),
                None => glass.name.clone(),
            };
            ask(Ready::Glass, &words, None);
        }
    }
    all.sort_by(|a, b| (a.ready, b.drinks.len(), &a.name).cmp(&(b.ready, a.drinks.len(), &b.name)));
    all
}
