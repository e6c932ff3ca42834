//! What every word of a line was read as.

use std::ops::Range;

use serde::Serialize;

use super::{Found, Item, Reader};

/// What a word of a spec was read as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// How much.
    Amount,
    /// Of which unit.
    Unit,
    /// Of what.
    Name,
    /// What the name is like: a strength, a ratio, what stands in brackets.
    Qualifier,
    /// What was poured before, said again.
    Mention,
    /// Work.
    Work,
    /// How long it takes.
    Time,
    /// Ice.
    Ice,
    /// The glass.
    Glass,
    /// The garnish.
    Garnish,
    /// How many it is for, or how it is served.
    Serve,
    /// A word that joins.
    Joint,
    /// A mark, a heading.
    Mark,
    /// A word to the reader.
    Note,
    /// What was asked about.
    Asked,
}

impl Role {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Role::Amount => "amount",
            Role::Unit => "unit",
            Role::Name => "name",
            Role::Qualifier => "qualifier",
            Role::Mention => "mention",
            Role::Work => "step",
            Role::Time => "time",
            Role::Ice => "ice",
            Role::Glass => "glass",
            Role::Garnish => "garnish",
            Role::Serve => "serve",
            Role::Joint => "joint",
            Role::Mark => "mark",
            Role::Note => "note",
            Role::Asked => "asked",
        }
    }
}

/// A run of a spec with what it was read as.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Account {
    /// Where it stands in the source, bytes.
    #[serde(skip)]
    pub span: Range<usize>,
    /// As typed.
    pub text: String,
    /// What it was read as.
    pub role: Role,
}

/// The account of a line whose readings are `found`: every token once, in order.
pub(super) fn of(reader: &Reader, found: &[Found]) -> Vec<Account> {
    let mut account: Vec<Account> = Vec::new();
    for reading in found {
        let whole = [(reading.from, reading.to, usual(&reading.item))];
        let roles = if reading.roles.is_empty() {
            &whole[..]
        } else {
            &reading.roles[..]
        };
        let mut at = reading.from;
        for &(from, to, role) in roles {
            if from > at {
                push(reader, &mut account, at, from, Role::Qualifier);
            }
            push(reader, &mut account, from.max(at), to, role);
            at = at.max(to);
        }
        if at < reading.to {
            push(reader, &mut account, at, reading.to, Role::Qualifier);
        }
    }
    account
}

fn push(reader: &Reader, account: &mut Vec<Account>, from: usize, to: usize, role: Role) {
    if from < to {
        account.push(Account {
            span: reader.span(from, to),
            text: reader.raw(from, to).to_owned(),
            role,
        });
    }
}

fn usual(item: &Item) -> Role {
    match item {
        Item::Pours(_) => Role::Name,
        Item::Mention(_) => Role::Mention,
        Item::Work(_) | Item::Step(_) | Item::Placed(_) => Role::Work,
        Item::Ice(_) => Role::Ice,
        Item::Glass(..) => Role::Glass,
        Item::Garnish(_) => Role::Garnish,
        Item::Serves(_) | Item::ServeOf(_) | Item::PartIs(_) | Item::Total(_) | Item::PerServe => Role::Serve,
        Item::Header | Item::Joint => Role::Mark,
        Item::With => Role::Joint,
        Item::Correction(_) => Role::Amount,
        Item::Hot => Role::Serve,
        Item::Words | Item::Recipe(_) => Role::Note,
        Item::Fault(_) | Item::Unread(_) => Role::Asked,
    }
}
