//! Whether a drink pours a thing: by what it is called, by what it was typed as and by its kind, through every
//! preparation.

use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::{HashMap, HashSet};

use super::words::Phrase;
use crate::computed::{ComputedDrink, Context};
use crate::ingredient::{Found, Ingredient, Stock, as_kind, kind_members, library};
use crate::names::key;
use crate::service::garnish;

/// A thing that is looked for among what is poured.
pub(super) struct Wanted {
    said: String,
    phrase: Phrase,
    /// The kind that the words name ("gin"), with the members that the library lists.
    kind: Option<(String, HashSet<String>)>,
    /// The ingredient that the words are a name or an alias of.
    own: Option<String>,
    /// What was told of an ingredient of a stock before.
    known: RefCell<HashMap<(usize, String), bool>>,
}

impl Wanted {
    pub fn new(said: &str) -> Wanted {
        let kind = as_kind(library(), said)
            .filter(|answer| answer.deciding.is_empty() && answer.unknown.is_empty() && !answer.alcohol_free)
            .filter(|answer| answer.head.len() == key(said).split(' ').count())
            .and_then(|answer| {
                let members = kind_members(&answer.kind)?;
                Some((answer.kind, members.map(key).collect()))
            });
        Wanted {
            said: said.to_owned(),
            phrase: Phrase::new(said),
            kind,
            own: library().get(said).map(|i| key(&i.name)),
            known: RefCell::default(),
        }
    }

    /// Whether anything is so called: by a stock, as a kind, or in what one of the drinks was typed with. A word that means
    /// nothing at all would be found nowhere, and `not` would find it everywhere.
    pub fn means_something(&self, drinks: &[ComputedDrink]) -> bool {
        let mut seen = HashSet::new();
        let stocks = drinks
            .iter()
            .map(|d| &*d.context.stock)
            .chain(std::iter::once(library()))
            .filter(|stock| seen.insert(std::ptr::from_ref(*stock)));
        let by_stock = |stock: &Stock| {
            !matches!(stock.find(&self.said), Found::Unknown) || stock.iter().any(|i| self.is_said_of(i))
        };
        as_kind(library(), &self.said).is_some_and(|answer| answer.unknown.is_empty())
            || stocks.into_iter().any(by_stock)
            || drinks.iter().any(|d| self.is_typed(d) || self.garnishes(d))
    }

    /// The names nearest to one that means nothing.
    pub fn nearest(&self, drinks: &[ComputedDrink]) -> Vec<String> {
        drinks.first().map_or_else(
            || library().nearest(&self.said),
            |d| d.context.stock.nearest(&self.said),
        )
    }

    /// Whether a drink pours it.
    pub fn is_poured(&self, drink: &ComputedDrink) -> bool {
        if self.is_typed(drink) {
            return true;
        }
        drink
            .resolved
            .pours()
            .any(|(_, pour)| self.is_called(&pour.ingredient, &drink.context))
    }

    /// Whether what a list pours under a name is it, or a preparation that pours it.
    pub fn is_called(&self, name: &str, context: &Context) -> bool {
        self.is_in(name, context, &mut HashSet::new())
    }

    /// Whether a drink is garnished with it.
    pub fn garnishes(&self, drink: &ComputedDrink) -> bool {
        garnish::items(drink).any(|words| {
            self.phrase.names(words)
                || garnish::ingredient(drink, words)
                    .is_some_and(|i| self.is_of_stock(i, &drink.context.stock))
        })
    }

    /// Whether a line of it was typed with the words.
    fn is_typed(&self, drink: &ComputedDrink) -> bool {
        drink.resolved.pours().any(|(_, pour)| {
            pour.typed
                .choices
                .iter()
                .any(|named| self.phrase.names(&named.full) && !self.is_only_like(&named.name))
        })
    }

    /// Whether an ingredient is it, or a preparation that pours it.
    fn is_in(&self, name: &str, context: &Context, within: &mut HashSet<String>) -> bool {
        let stock = &context.stock;
        let is = match context.ingredient(name) {
            Some(Cow::Borrowed(listed)) => self.is_of_stock(listed, stock),
            Some(Cow::Owned(answered)) => self.is_it(&answered),
            None => self.phrase.names(name),
        };
        if is {
            return true;
        }
        match context.preparations.named(name) {
            Some(made) if within.insert(key(made.name())) => made
                .parts
                .iter()
                .any(|part| self.is_in(&part.ingredient, context, within)),
            _ => false,
        }
    }

    fn is_of_stock(&self, ingredient: &Ingredient, stock: &Stock) -> bool {
        let at = (std::ptr::from_ref(stock).addr(), ingredient.name.clone());
        if let Some(known) = self.known.borrow().get(&at) {
            return *known;
        }
        let is = self.is_it(ingredient);
        self.known.borrow_mut().insert(at, is);
        is
    }

    fn is_it(&self, ingredient: &Ingredient) -> bool {
        if self.is_only_like(&ingredient.name) {
            return false;
        }
        self.is_said_of(ingredient) || self.is_of_kind(&ingredient.name)
    }

    /// By its name, its kind or a name of all of them; by an alias only as a whole, for an alias tells what it is made
    /// from too.
    fn is_said_of(&self, ingredient: &Ingredient) -> bool {
        self.phrase.names(&ingredient.name)
            || self.phrase.is(ingredient.kind.word())
            || ingredient.groups.iter().any(|group| self.phrase.names(group))
            || ingredient.aliases.iter().any(|alias| self.phrase.is(alias))
            || self.own.as_ref().is_some_and(|own| *own == key(&ingredient.name))
    }

    /// Whether a name is that of a member of the kind that is looked for.
    fn is_of_kind(&self, name: &str) -> bool {
        let Some((kind, members)) = &self.kind else {
            return false;
        };
        members.contains(&key(name))
            || as_kind(library(), name).is_some_and(|answer| answer.kind == *kind && !answer.alcohol_free)
    }

    /// Whether a name is that of the kind without its alcohol.
    fn is_only_like(&self, name: &str) -> bool {
        self.kind.is_some() && as_kind(library(), name).is_some_and(|answer| answer.alcohol_free)
    }
}
