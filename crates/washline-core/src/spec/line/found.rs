//! What a line was read as: its readings, and what each of its words is taken for.

use std::ops::Range;

use super::{Account, Role};
use crate::measure::Amount;
use crate::spec::rewritten::Rewritten;
use crate::spec::{Assumption, Pour, PourAmount, Step, Unplaced, Work};

/// What a run of tokens was read as.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::spec) enum Item {
    /// One pour or several of one amount.
    Pours(Vec<(Pour, Vec<Assumption>)>),
    /// The name of something, without an amount: said again, or put on the drink.
    Mention(Mention),
    /// `top`, `rinse glass` with nothing named: said of what was poured before.
    Placed(crate::spec::PourMethod),
    /// Work.
    Work(Work),
    /// Any other step that carries no amount of a pour.
    Step(Step),
    /// Ice by itself: in the tin or in the glass, by where it stands.
    Ice(String),
    /// A glass, with its size where the line gives one.
    Glass(String, Option<String>),
    /// Something put on the drink.
    Garnish(String),
    /// `serves 8`: how many drinks the amounts are for.
    Serves(Amount),
    /// `pour 90 ml a serve`: the size of one serve of it, as typed.
    ServeOf(String),
    /// `1 part = 30 ml`: the size as typed.
    PartIs(String),
    /// `shares of 90 ml`: the whole that parts are shares of, as typed.
    Total(String),
    /// What follows is done for one drink, what went before for all.
    PerServe,
    /// A word that heads a part of a spec.
    Header,
    /// Joins work to what it is done with.
    With,
    /// `no wait, ten`: what comes next, or this amount, stands in the place of what was said before.
    Correction(Option<PourAmount>),
    /// What is served hot.
    Hot,
    /// How something that is poured is made: nothing of it is poured by saying so.
    Recipe(String),
    /// A mark or word that only parts or joins.
    Joint,
    /// Words to the reader.
    Words,
    /// What cannot be told.
    Fault(Unplaced),
    /// An amount of nothing: asked about where it may be a pour, for the reader in the prose below a list that reads.
    Unread(Unplaced),
}

impl Item {
    /// Whether it is something that could not be read.
    pub(in crate::spec) fn is_unread(&self) -> bool {
        matches!(self, Item::Fault(_) | Item::Unread(_))
    }
}

/// The name of something that stands without an amount.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::spec) struct Mention {
    /// As typed.
    pub name: String,
    /// Whether it is a fruit, herb or spice.
    pub solid: bool,
    /// Whether the name is known, all of it.
    pub known: bool,
    /// `gin 30 %`: a percentage that hangs on it.
    pub percent: Option<Amount>,
}

/// A reading of the tokens `from..to`.
#[derive(Clone, Debug)]
pub(in crate::spec) struct Found {
    pub item: Item,
    pub from: usize,
    pub to: usize,
    /// Places in the source.
    pub span: Range<usize>,
    /// What stands there, as typed.
    pub text: String,
    /// Whether it begins where a line, a sentence or a part of one begins.
    pub begins: bool,
    /// The glass that is named among its words: `fill a large wine glass with ice`, `rinse a coupe with absinthe`.
    pub glass: Option<String>,
    pub(super) cost: u32,
    pub(super) roles: Vec<(usize, usize, Role)>,
}

impl Found {
    /// A whole line that says how something is made.
    pub(in crate::spec) fn recipe(label: String, text: String, span: Range<usize>) -> Found {
        Found::whole(Item::Recipe(label), text, span)
    }

    /// A whole line that is for the reader.
    pub(in crate::spec) fn words(text: String, span: Range<usize>) -> Found {
        Found::whole(Item::Words, text, span)
    }

    /// The same, all of its tokens of one role.
    pub(super) fn all(mut self, role: Role) -> Found {
        self.roles = vec![(self.from, self.to, role)];
        self
    }

    fn whole(item: Item, text: String, span: Range<usize>) -> Found {
        Found {
            item,
            from: 0,
            to: 0,
            span,
            text,
            begins: true,
            glass: None,
            cost: 0,
            roles: Vec::new(),
        }
    }
}

/// What a line came to: its readings in order, and what each word was read as.
#[derive(Clone, Debug, Default)]
pub(in crate::spec) struct LineRead {
    pub found: Vec<Found>,
    pub account: Vec<Account>,
    /// What it says, as typed.
    pub text: String,
    /// What stands before its colon, where it has one.
    pub label: Option<String>,
}

impl LineRead {
    /// The pour that it is, where it is that one pour and nothing else.
    pub fn only_pour(&self) -> Option<&(Pour, Vec<Assumption>)> {
        let mut said = self.found.iter().filter(|f| !matches!(f.item, Item::Joint));
        match (said.next().map(|f| &f.item), said.next()) {
            (Some(Item::Pours(pours)), None) if pours.len() == 1 => pours.first(),
            _ => None,
        }
    }

    /// Whether it pours as much of the same in the same place, whatever else it says.
    pub fn pours_the_same(&self, pour: &Pour) -> bool {
        let name = |pour: &Pour| pour.choices.first().map(|n| crate::names::key(&n.name));
        self.found.iter().any(|f| match &f.item {
            Item::Pours(pours) => pours.iter().any(|(said, _)| {
                said.measure == pour.measure && said.place == pour.place && name(said) == name(pour)
            }),
            _ => false,
        })
    }

    /// Put all that was read on other places of the source.
    pub fn place(&mut self, place: impl Fn(&Range<usize>) -> Range<usize>) {
        for found in &mut self.found {
            found.span = place(&found.span);
            match &mut found.item {
                Item::Pours(pours) => {
                    for named in pours.iter_mut().flat_map(|(pour, _)| &mut pour.choices) {
                        named.span = place(&named.span);
                    }
                }
                Item::Fault(wrong) | Item::Unread(wrong) => wrong.span = place(&wrong.span),
                _ => {}
            }
        }
        for account in &mut self.account {
            account.span = place(&account.span);
        }
    }

    /// Put what was read of a line's new words back on its places in the line as typed, which begins at byte `start` of
    /// the source, and say what was changed.
    pub fn put_back(&mut self, rewritten: &Rewritten, typed: &str, start: usize) {
        for found in &mut self.found {
            let said = rewritten.said_within(&found.span, start);
            if let Item::Pours(pours) = &mut found.item {
                for (_, assumptions) in pours.iter_mut() {
                    assumptions.extend(said.iter().cloned());
                }
            }
        }
        self.place(|span| rewritten.place(span, start));
        for account in &mut self.account {
            if let Some(text) = typed.get(account.span.start - start..account.span.end - start) {
                text.clone_into(&mut account.text);
            }
        }
        self.account.retain(|account| !account.span.is_empty());
        self.account.extend(rewritten.left().iter().map(|left| Account {
            span: start + left.start..start + left.end,
            text: typed[left.clone()].to_owned(),
            role: Role::Note,
        }));
        self.account.sort_by_key(|account| account.span.start);
    }
}
