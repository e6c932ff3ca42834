//! A bar to pour drinks in: home, another bar, or home with one difference of it.

use crate::balance::{Evaluation, Figures, Ranges, evaluate, nominal};
use crate::build::{Built, build};
use crate::computed::ComputedDrink;
use crate::ingredient::{Convention, Ingredient, Origin, Stock};
use crate::names::key;
use crate::prepare::{self, Preparations, Written};
use crate::resolve::{Resolved, resolve};
use crate::spec::{Drink, Fault, Settings, Source, read_under};

use super::Home;
use super::gap::{GapKind, item_is_of, settings};
use super::sheet::{Item, StockSheet, poured_there};

/// A bar: what it pours from and under which settings.
pub(super) struct Venue {
    pub stock: Stock,
    pub settings: Settings,
    preparations: Preparations,
    /// Folded names of glasses whose size here stands over the spec's own.
    glasses: Vec<String>,
}

/// A drink that is computed at home as it is poured in another place. It is weighed up only where that is asked for: of
/// most the figures are enough.
pub(super) struct Poured {
    pub drink: Drink,
    pub resolved: Resolved,
    pub built: Built,
}

impl Poured {
    pub fn evaluation(&self, ranges: &Ranges) -> Evaluation {
        evaluate(&self.resolved, &self.built, ranges)
    }

    pub fn figures(&self) -> Figures {
        nominal(&self.resolved, &self.built)
    }
}

/// What a book pours from before anything is made: the house's stock and the ingredients the book itself defines.
fn unmade(home: &Home<'_>, traveller: &ComputedDrink) -> Stock {
    let made = &traveller.context.preparations;
    let is_made = |name: &str| {
        made.made.iter().any(|m| m.ingredient.name == name)
            || made.failed.iter().any(|(failed, _)| failed == name)
    };
    let mut stock = home.pantry.clone();
    let own = traveller
        .context
        .stock
        .iter()
        .filter(|i| i.origin == Origin::Book);
    own.filter(|i| !is_made(&i.name))
        .for_each(|i| stock.put(i.clone()));
    stock
}

impl Venue {
    /// Home itself, its juices counted by another convention.
    pub fn home(home: &Home<'_>, traveller: &ComputedDrink, convention: Convention) -> Venue {
        let settings = Settings {
            convention: Some(convention),
            ..(*traveller.context.settings).clone()
        };
        Venue::made(unmade(home, traveller), settings, traveller, None, None)
    }

    /// The bar of a sheet, or home with only one difference of it.
    pub fn of(
        home: &Home<'_>,
        traveller: &ComputedDrink,
        sheet: &StockSheet,
        only: Option<&GapKind>,
    ) -> Venue {
        let settings = settings(sheet, &traveller.context.settings, only);
        let mut stock = unmade(home, traveller);
        let convention = settings.convention.unwrap_or_default();
        for item in sheet.items.iter().filter(|i| item_is_of(only, i)) {
            if let Item::Figures(definition) = item {
                let at_home = known(&traveller.context.stock, item);
                if let Some(ingredient) = poured_there(definition, at_home, convention) {
                    put_for(&mut stock, &ingredient, item.also());
                }
            }
        }
        // A word that the sheet settles goes before what the home book calls so.
        for said in sheet
            .settings
            .meanings
            .keys()
            .filter(|said| settings.meanings.get(*said) == sheet.settings.meanings.get(*said))
        {
            if only.is_some_and(|only| *only != GapKind::Word(said.clone())) {
                continue;
            }
            let of_home = |i: &&Ingredient| {
                i.origin == Origin::Book && !sheet.items.iter().any(|item| item.answers_to(&key(&i.name)))
            };
            if let Some(ingredient) = stock.get(said).filter(of_home).cloned() {
                stock.put(Ingredient {
                    origin: Origin::House,
                    ..ingredient
                });
            }
        }
        Venue::made(stock, settings, traveller, Some(sheet), only)
    }

    /// With everything made: what the sheet makes, and what the home book makes unless the sheet has it.
    fn made(
        mut stock: Stock,
        settings: Settings,
        traveller: &ComputedDrink,
        sheet: Option<&StockSheet>,
        only: Option<&GapKind>,
    ) -> Venue {
        let of_sheet: Vec<&Item> = sheet
            .iter()
            .flat_map(|s| s.items.iter())
            .filter(|i| item_is_of(only, i))
            .collect();
        let words: Vec<&String> = match (sheet, only) {
            (Some(sheet), None) => sheet.settings.meanings.keys().collect(),
            (Some(_), Some(GapKind::Word(said))) => vec![said],
            _ => Vec::new(),
        };
        let read: Vec<(Source, Drink, usize)> = traveller
            .context
            .preparations
            .made
            .iter()
            .filter(|made| {
                let names: Vec<String> = std::iter::once(&made.ingredient.name)
                    .chain(&made.ingredient.aliases)
                    .map(|n| key(n))
                    .collect();
                !names
                    .iter()
                    .any(|n| of_sheet.iter().any(|i| i.answers_to(n)) || words.contains(&n))
            })
            .filter_map(|made| {
                let source = Source::new(traveller.source.file.clone(), made.preparation.text.clone());
                let preparation = read_under(&source, &settings).book.take_preparation()?;
                Some((source, preparation, made.line))
            })
            .collect();
        let there: Vec<(&Source, &Drink)> = sheet
            .iter()
            .flat_map(|s| {
                of_sheet.iter().filter_map(|item| match item {
                    Item::Made(preparation) => Some((&s.source, preparation)),
                    Item::Figures(_) => None,
                })
            })
            .collect();
        let written: Vec<Written<'_>> = read
            .iter()
            .map(|(source, preparation, line)| Written {
                preparation,
                source,
                line: *line,
                sound: true,
            })
            .chain(there.into_iter().map(|(source, preparation)| Written {
                preparation,
                source,
                line: preparation.line,
                sound: true,
            }))
            .collect();
        let preparations = prepare::make(&written, &mut stock, &settings);
        for item in &of_sheet {
            if let (Item::Made(_), Some(made)) = (item, preparations.named(item.name())) {
                put_for(&mut stock, &made.ingredient, item.also());
            }
        }
        let glasses = match (sheet, only) {
            (Some(sheet), None) => sheet.settings.glasses.keys().cloned().collect(),
            (Some(_), Some(GapKind::Glass(name))) => vec![name.clone()],
            _ => Vec::new(),
        };
        Venue {
            stock,
            settings,
            preparations,
            glasses,
        }
    }

    /// The drink read again and poured here.
    pub fn pour(&self, traveller: &ComputedDrink) -> Result<Poured, Vec<Fault>> {
        let mut reading = read_under(&traveller.source, &self.settings);
        let Some(mut drink) = reading.book.take_drink() else {
            return Err(reading.faults);
        };
        if let Some(glass) = &mut drink.glass
            && self.glasses.contains(&key(&glass.name))
        {
            glass.capacity_ml = None;
        }
        self.pour_as(drink, traveller)
    }

    /// A drink of the same spec with other amounts, poured here.
    pub fn pour_as(&self, drink: Drink, traveller: &ComputedDrink) -> Result<Poured, Vec<Fault>> {
        let (source, at_home) = (&traveller.source, &traveller.resolved);
        let mut resolved = resolve(&drink, &self.stock, &self.settings, source)?;
        resolved.own_melt = at_home.own_melt.clone();
        if resolved.cold != at_home.cold {
            // What was weighed at home was weighed off the ice there.
            resolved.own_melt.weighed = None;
        }
        let missing = self.preparations.missing_in(&resolved, source);
        if !missing.is_empty() {
            return Err(self.preparations.faults.iter().cloned().chain(missing).collect());
        }
        Ok(Poured {
            built: build(&resolved),
            drink,
            resolved,
        })
    }
}

/// What an item of a sheet is poured in the place of at home.
pub(super) fn known<'a>(home: &'a Stock, item: &Item) -> Option<&'a Ingredient> {
    std::iter::once(item.name())
        .chain(item.also().iter().map(String::as_str))
        .find_map(|name| home.usual(name))
}

/// Put an ingredient in, and in the place of everything it also stands for.
fn put_for(stock: &mut Stock, ingredient: &Ingredient, also: &[String]) {
    let replaced: Vec<Ingredient> = also
        .iter()
        .filter_map(|name| stock.get(name))
        .filter(|other| key(&other.name) != key(&ingredient.name))
        .map(|other| Ingredient {
            name: other.name.clone(),
            aliases: other.aliases.clone(),
            ..ingredient.clone()
        })
        .collect();
    stock.put(ingredient.clone());
    replaced.into_iter().for_each(|i| stock.put(i));
}
