//! What adding books did.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::spec;
use washline_core::store;

use crate::parts::{Text, Version, shape, texts};
use crate::shared::{DrinkOf, Fault, each};

/// What adding books did, or every fault that kept them out.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline add")]
pub struct Added<'a> {
    pub schema: Version,
    pub books: Vec<Book<'a>>,
    /// Drinks worked out anew.
    pub recomputed: Vec<DrinkOf<'a>>,
    pub faults: Vec<Fault<'a>>,
}

impl<'a> Added<'a> {
    pub fn of(added: &'a [store::Added], refreshed: &'a store::Refreshed) -> Added<'a> {
        Added {
            schema: Version,
            books: each(added),
            recomputed: each(&refreshed.recomputed),
            faults: each(&refreshed.broken),
        }
    }

    /// Nothing was added.
    pub fn nothing(faults: &'a [spec::Fault]) -> Added<'a> {
        Added {
            schema: Version,
            books: Vec::new(),
            recomputed: Vec::new(),
            faults: each(faults),
        }
    }
}

shape! {
    Book<'a> = "added_book" of added: &'a store::Added {
        /// Its title.
        book: Text<'a> = (&added.book).into(),
        #[schemars(extend("uniqueItems" = true))]
        new: Vec<Text<'a>> = texts(&added.new),
        #[schemars(extend("uniqueItems" = true))]
        changed: Vec<Text<'a>> = texts(&added.changed),
        #[schemars(extend("uniqueItems" = true))]
        unchanged: Vec<Text<'a>> = texts(&added.unchanged),
        /// No longer in the book; their versions are kept.
        #[schemars(extend("uniqueItems" = true))]
        removed: Vec<Text<'a>> = texts(&added.removed),
    }
}
