//! What adding a book did, told by name.

use super::versions::Kept;

/// What adding a book did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Added {
    /// The book's title.
    pub book: String,
    /// Drinks and preparations that were not in it before.
    pub new: Vec<String>,
    /// Those whose spec is another: a new version is kept beside the old.
    pub changed: Vec<String>,
    /// Those that are as they were.
    pub unchanged: Vec<String>,
    /// Those that were in it and are no longer; their versions are kept.
    pub removed: Vec<String>,
}

impl Added {
    /// Note a section of that name by what it is to those that stood in its book.
    pub(super) fn note(&mut self, name: String, kept: Kept) {
        match kept {
            Kept::New => self.new.push(name),
            Kept::Changed => self.changed.push(name),
            Kept::Unchanged => self.unchanged.push(name),
        }
    }

    /// The list and how many of what: `"Winter list": 26 new, 1 changed`.
    pub(super) fn in_short(&self) -> String {
        let counts: Vec<String> = [
            (&self.new, "new"),
            (&self.changed, "changed"),
            (&self.removed, "no longer in it"),
        ]
        .into_iter()
        .filter(|(names, _)| !names.is_empty())
        .map(|(names, word)| format!("{} {word}", names.len()))
        .collect();
        match counts.is_empty() {
            true => format!("\"{}\"", self.book),
            false => format!("\"{}\": {}", self.book, counts.join(", ")),
        }
    }
}
