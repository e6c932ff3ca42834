//! A stock of ingredients to find names in: the reference library, and over it what the house
//! and the book say.

use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::Arc;

use super::{Ingredient, as_kind};
use crate::names::{key, nearest_folded};

/// Ingredients by name. Later ones of the same name stand over earlier ones.
///
/// Every book has a stock of its own, and most pour from nothing but the library: what is the same is shared until
/// something is put in.
#[derive(Clone, Debug, Default)]
pub struct Stock {
    all: Arc<Entries>,
}

#[derive(Clone, Debug, Default)]
struct Entries {
    ingredients: Vec<Arc<Ingredient>>,
    by_key: HashMap<String, usize>,
    meanings: HashMap<String, Meaning>,
}

/// What a word that could mean several things is taken for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// Computed as this, and shown.
    Taken {
        /// The ingredient it is taken for.
        target: String,
        /// What else it could mean.
        candidates: Vec<String>,
        /// Why this one.
        why: String,
        /// Whether the others are computed beside it, for the doubt of the figures.
        spans: bool,
    },
    /// Two readings that mean different drinks: asked about.
    Asked {
        /// What it could mean.
        candidates: Vec<String>,
        /// What sets them apart.
        why: String,
    },
}

/// What a name led to.
#[derive(Clone, Debug)]
pub enum Found<'a> {
    /// This ingredient, by its name or an alias that says the same thing.
    Sure(&'a Ingredient),
    /// This ingredient, by an assumption that must be shown.
    Taken(&'a Ingredient, String),
    /// One of these: the writer has to say which.
    Ask(Vec<String>, String),
    /// Nothing of that name.
    Unknown,
}

/// Words that say how a thing is bought or kept, not what it is.
const DROPPED: [&str; 21] = [
    "from the freezer",
    "from the fridge",
    "freezer cold",
    "fridge cold",
    "ice cold",
    "freezer",
    "fridge",
    "freshly squeezed",
    "freshly pressed",
    "fresh squeezed",
    "freshly",
    "fresh",
    "chilled",
    "cold",
    "hot",
    "raw",
    "good",
    "plain",
    "pure",
    "strong",
    "large",
];

impl Stock {
    /// Put an ingredient in; it stands over one of the same name.
    pub fn put(&mut self, ingredient: Ingredient) {
        let own = key(&ingredient.name);
        let all = Arc::make_mut(&mut self.all);
        let at = match all.by_key.get(&own) {
            Some(&at) if key(&all.ingredients[at].name) == own => at,
            _ => all.ingredients.len(),
        };
        // An alias never takes another ingredient's name from it.
        for alias in &ingredient.aliases {
            all.by_key.entry(key(alias)).or_insert(at);
        }
        all.by_key.insert(own, at);
        if at == all.ingredients.len() {
            all.ingredients.push(Arc::new(ingredient));
        } else {
            all.ingredients[at] = Arc::new(ingredient);
        }
    }

    /// Say what a word with several meanings is taken for.
    pub(crate) fn explain(&mut self, said: String, meaning: Meaning) {
        Arc::make_mut(&mut self.all).meanings.insert(said, meaning);
    }

    /// How many ingredients there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.all.ingredients.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.all.ingredients.is_empty()
    }

    /// All of them, in the order they were put in.
    pub fn iter(&self) -> impl Iterator<Item = &Ingredient> {
        self.all.ingredients.iter().map(|one| &**one)
    }

    /// Whether a name or alias leads to an ingredient without any assumption.
    #[must_use]
    pub fn has(&self, name: &str) -> bool {
        self.all.by_key.contains_key(&key(name))
    }

    /// The ingredient of that name or alias.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Ingredient> {
        self.all
            .by_key
            .get(&key(name))
            .map(|&i| &*self.all.ingredients[i])
    }

    /// The ingredient that is poured under a name: that of the stock, else what the name is answered as by its kind.
    #[must_use]
    pub fn poured(&self, name: &str) -> Option<Cow<'_, Ingredient>> {
        match self.get(name) {
            Some(listed) => Some(Cow::Borrowed(listed)),
            None => as_kind(self, name).map(|answer| Cow::Owned(answer.ingredient)),
        }
    }

    /// The ingredient of that name or alias, or the one that a word with several meanings is taken for.
    pub(crate) fn usual(&self, name: &str) -> Option<&Ingredient> {
        match self.by_exact_key(&key(name))? {
            Found::Sure(ingredient) | Found::Taken(ingredient, _) => Some(ingredient),
            Found::Ask(..) | Found::Unknown => None,
        }
    }

    /// What a word with several meanings is taken for, by its folded key.
    pub(crate) fn meaning(&self, key: &str) -> Option<&Meaning> {
        self.all.meanings.get(key)
    }

    /// The words with several meanings, and what they are taken for.
    pub fn meanings(&self) -> impl Iterator<Item = (&str, &Meaning)> {
        self.all
            .meanings
            .iter()
            .map(|(said, meaning)| (said.as_str(), meaning))
    }

    /// What `name`, as typed in a spec, leads to.
    #[must_use]
    pub fn find(&self, name: &str) -> Found<'_> {
        let typed = key(name);
        if let Some(found) = self.by_exact_key(&typed) {
            return found;
        }
        let mut bare = format!(" {typed} ");
        for word in DROPPED {
            bare = bare.replace(&format!(" {word} "), " ");
        }
        let bare = bare.trim().to_owned();
        let singular = bare.strip_suffix('s').unwrap_or(&bare);
        for candidate in [bare.as_str(), singular] {
            if candidate != typed
                && let Some(found) = self.by_exact_key(candidate)
            {
                return found;
            }
        }
        Found::Unknown
    }

    /// What a folded key leads to, without dropping a word of it.
    pub(super) fn by_exact_key(&self, key: &str) -> Option<Found<'_>> {
        if let Some(&at) = self.all.by_key.get(key) {
            return Some(Found::Sure(&self.all.ingredients[at]));
        }
        match self.all.meanings.get(key)? {
            Meaning::Taken {
                target,
                candidates,
                why,
                ..
            } => {
                let ingredient = self.get(target)?;
                let others: Vec<&str> = candidates
                    .iter()
                    .filter(|c| *c != target)
                    .map(String::as_str)
                    .collect();
                let mut said = format!("taken as {target}");
                if !why.is_empty() {
                    said = format!("{said}: {why}");
                }
                if !others.is_empty() {
                    said = format!("{said} (could also be {})", others.join(", "));
                }
                Some(Found::Taken(ingredient, said))
            }
            Meaning::Asked { candidates, why } => Some(Found::Ask(candidates.clone(), why.clone())),
        }
    }

    /// The members of a group ("anise liqueurs"), by its name in singular or plural, in the order of the library.
    #[must_use]
    pub fn group(&self, name: &str) -> Vec<&Ingredient> {
        let wanted = key(name);
        let is = |group: &String| {
            let group = key(group);
            group == wanted || singulars(&group).contains(&wanted)
        };
        self.iter().filter(|i| i.groups.iter().any(is)).collect()
    }

    /// The names nearest to one that was not found, best first.
    #[must_use]
    pub fn nearest(&self, name: &str) -> Vec<String> {
        let candidates = self
            .all
            .by_key
            .iter()
            .map(|(seen, &at)| (seen.as_str(), self.all.ingredients[at].name.as_str()));
        // A word with several meanings leads to what it is taken for, or to the first it could be.
        let meant = self
            .all
            .meanings
            .iter()
            .filter_map(|(said, meaning)| match meaning {
                Meaning::Taken { target, .. } => Some((said.as_str(), target.as_str())),
                Meaning::Asked { candidates, .. } => Some((said.as_str(), candidates.first()?.as_str())),
            });
        nearest_folded(name, candidates.chain(meant), 3)
    }
}

/// What one member of a kind may be called, the kind being named by its folded plural.
fn singulars(plural: &str) -> Vec<String> {
    let endings = [
        ("s", ""),
        ("es", ""),
        ("ies", "y"),
        ("ies", "ey"),
        ("ies", "i"),
        ("i", "o"),
    ];
    let mut names: Vec<String> = endings
        .iter()
        .filter_map(|(many, one)| plural.strip_suffix(many).map(|stem| format!("{stem}{one}")))
        .collect();
    names.push(plural.replacen("eaux", "eau", 1));
    names
}
