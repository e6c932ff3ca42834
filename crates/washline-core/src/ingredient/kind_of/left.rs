//! Which members of a kind the words of a name leave.

use super::heading::Heading;
use super::words::Words;
use crate::ingredient::{Ingredient, Stock};

/// Which members of a kind the words of a name leave.
pub(super) struct Left<'a> {
    /// The one that is usual for it.
    pub(super) usual: &'a Ingredient,
    pub(super) members: Vec<&'a Ingredient>,
    /// Whether a word left fewer of them.
    pub(super) narrowed: bool,
    /// What its strength alone spans, where a word says so.
    pub(super) strength_of: Option<Vec<&'a Ingredient>>,
}

impl<'a> Left<'a> {
    /// What the words before `end` leave, each of which is accounted for.
    pub(super) fn of(
        stock: &'a Stock,
        heading: &Heading<'a>,
        words: &mut Words,
        end: usize,
    ) -> Option<Left<'a>> {
        let kind = heading.kind;
        let usual = heading.own.first().copied().or_else(|| kind.map(|k| k.nominal))?;
        let usual = stock.get(&usual.name).unwrap_or(usual);
        let members = match (heading.own.is_empty(), kind) {
            (true, Some(kind)) => kind.members.clone(),
            _ => heading.own.clone(),
        };
        let mut left = Left {
            usual,
            members,
            narrowed: !heading.own.is_empty(),
            strength_of: None,
        };
        if let Some(kind) = kind {
            for (range, members) in kind.narrow.find(&words.all[..end]) {
                if heading.lets_decide(&range, words, kind) {
                    words.let_decide(&range);
                    left.narrow(members);
                }
            }
        }
        if !left.members.iter().any(|m| m.name == usual.name) {
            left.usual = *left.members.first()?;
        }
        Some(left)
    }

    /// Leave only what is among `members`, as far as there is any.
    fn narrow(&mut self, members: &[&'a Ingredient]) {
        let both: Vec<&Ingredient> = members
            .iter()
            .copied()
            .filter(|m| self.members.iter().any(|l| l.name == m.name))
            .collect();
        if both.is_empty() && self.narrowed && self.usual.is_alcoholic() {
            // "cask-strength Irish whiskey": the strength of the one, the rest of the other.
            self.strength_of = Some(members.to_vec());
        } else {
            self.members = if both.is_empty() { members.to_vec() } else { both };
            self.narrowed = true;
        }
    }
}
