//! What was done to a house, and how it is taken back.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::store;

use crate::parts::{Moment, Text, Version, shape, texts};
use crate::shared::{Fault, NamedIn, each};

shape! {
    Entry<'a> = "entry" of entry: &'a store::Entry {
        #[schemars(range(min = 1))]
        number: i64 = entry.number,
        /// A moment in universal time, or a day; empty where nobody told.
        at: Moment<'a> = Moment(entry.at.as_ref()),
        /// What was done, in plain words.
        what: &'a str = &entry.what,
        /// The entry that this one took back.
        undoes: Option<i64> = entry.undoes,
        /// The entry that took this one back, as long as that stands.
        undone_by: Option<i64> = entry.undone_by,
    }
}

/// What taking an entry of the journal back did or would do; with --list every entry, the latest first.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
#[schemars(title = "washline undo")]
pub enum Journal<'a> {
    List {
        schema: Version,
        entries: Vec<Entry<'a>>,
    },
    Undone {
        schema: Version,
        entry: Entry<'a>,
        /// What that does to the house, in words.
        effects: Vec<Text<'a>>,
        /// The entry that took it back; null where nothing was done.
        by: Option<i64>,
        done: bool,
    },
}

impl<'a> From<&'a [store::Entry]> for Journal<'a> {
    fn from(entries: &'a [store::Entry]) -> Journal<'a> {
        Journal::List {
            schema: Version,
            entries: each(entries),
        }
    }
}

impl<'a> From<&'a store::Undone> for Journal<'a> {
    fn from(undone: &'a store::Undone) -> Journal<'a> {
        Journal::Undone {
            schema: Version,
            entry: (&undone.entry).into(),
            effects: texts(&undone.effects),
            by: undone.by,
            done: undone.by.is_some(),
        }
    }
}

shape! {
    /// What removing, renaming or putting back did or would do.
    #[schemars(title = "washline remove, washline rename, washline restore")]
    Rearranged<'a> = "rearranged" of done: &'a store::Rearranged {
        schema: Version = Version,
        /// What that does to the house, in words.
        effects: Vec<Text<'a>> = texts(&done.effects),
        /// The drinks and preparations that pour it.
        poured_in: Vec<NamedIn<'a>> = each(&done.poured_in),
        /// What can no longer be worked out after it.
        broken: Vec<Fault<'a>> = each(&done.broken),
        /// The entry of the journal to take back; null where nothing was done.
        entry: Option<i64> = done.entry,
        done: bool = done.entry.is_some(),
    }
}
