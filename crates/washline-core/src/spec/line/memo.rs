//! Lines that were read before: a book says `shake` and `22.5 ml lime juice` many times over.

use std::cell::RefCell;
use std::collections::HashMap;

use super::{Context, LineRead, read};

/// The longest line that is kept, in bytes: a sentence does not come again.
const LONGEST: usize = 80;
/// How many lines are kept of one text.
const MOST: usize = 1024;

/// The lines of one text as they were read, on places from 0. All of them are read with the same names.
#[derive(Default)]
pub(in crate::spec) struct Memo {
    drinks: RefCell<HashMap<Box<str>, LineRead>>,
    preparations: RefCell<HashMap<Box<str>, LineRead>>,
}

impl Memo {
    /// Read a line, or remember how it was read.
    pub fn read(&self, text: &str, start: usize, context: Context) -> LineRead {
        if text.len() > LONGEST {
            return read(text, start, context);
        }
        let kept = if context.preparing {
            &self.preparations
        } else {
            &self.drinks
        };
        if let Some(known) = kept.borrow().get(text) {
            let mut known = known.clone();
            known.place(|span| span.start + start..span.end + start);
            return known;
        }
        let mut fresh = read(text, 0, context);
        let mut kept = kept.borrow_mut();
        if kept.len() < MOST {
            kept.insert(text.into(), fresh.clone());
        }
        fresh.place(|span| span.start + start..span.end + start);
        fresh
    }
}
