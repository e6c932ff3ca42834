//! What could not be read: where, what stood there, what was expected, what was meant perhaps.

use std::ops::Range;

use serde::Serialize;

use crate::tables::Remedy;

/// A fault in a text. The drinks without one are still computed by a check; nothing of the text is stored.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fault {
    /// The file, or `<standard input>`.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The offending text, as a byte range of the source.
    #[serde(skip)]
    pub span: Range<usize>,
    /// What sort of fault.
    pub kind: FaultKind,
    /// What is wrong, and what was expected.
    pub message: String,
    /// Nearest known names, or the readings to choose from.
    pub suggestions: Vec<String>,
    /// What helps with every fault of its sort.
    #[serde(skip)]
    pub cure: Option<Cure>,
}

/// What helps with every fault of a sort: said once, however many there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cure {
    /// Nothing of that name is known.
    Define,
    /// A word has several meanings.
    Settle,
}

impl std::fmt::Display for Fault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}:{}: {}", self.file, self.line, self.column, self.message)?;
        match self.suggestions.as_slice() {
            [] => Ok(()),
            near => write!(f, " ({})", near.join(", ")),
        }
    }
}

impl std::error::Error for Fault {}

/// What sort of fault it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FaultKind {
    /// Two readings that mean different drinks: the writer has to say which.
    Ask,
    /// Nothing that this line could mean.
    Reject,
}

/// A fault before its place in the file is worked out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Unplaced {
    pub span: Range<usize>,
    pub kind: FaultKind,
    pub message: String,
    pub suggestions: Vec<String>,
    pub cure: Option<Cure>,
}

impl Unplaced {
    pub fn reject(span: Range<usize>, message: impl Into<String>) -> Unplaced {
        Unplaced {
            span,
            kind: FaultKind::Reject,
            message: message.into(),
            suggestions: Vec::new(),
            cure: None,
        }
    }

    pub fn ask(span: Range<usize>, message: impl Into<String>, readings: Vec<String>) -> Unplaced {
        Unplaced {
            span,
            kind: FaultKind::Ask,
            message: message.into(),
            suggestions: readings,
            cure: None,
        }
    }

    pub fn with(mut self, suggestions: Vec<String>) -> Unplaced {
        self.suggestions = suggestions;
        self
    }

    /// With what helps with every fault of its sort.
    pub fn cured_by(mut self, cure: Cure) -> Unplaced {
        self.cure = Some(cure);
        self
    }

    pub fn at(self, source: &super::Source) -> Fault {
        let (line, column) = source.position(self.span.start);
        Fault {
            file: source.file.clone(),
            line,
            column,
            span: self.span,
            kind: self.kind,
            message: self.message,
            suggestions: self.suggestions,
            cure: self.cure,
        }
    }
}

/// Something taken for granted that the writer did not say, with where to change it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, serde::Deserialize)]
pub struct Assumption {
    /// What it is about: a measure, an ingredient, a word.
    pub about: String,
    /// What was taken.
    pub taken: String,
    /// Where it can be changed; empty where the line itself is the place.
    pub change: Remedy,
}

impl Assumption {
    pub(crate) fn new(
        about: impl Into<String>,
        taken: impl Into<String>,
        change: impl Into<Remedy>,
    ) -> Assumption {
        Assumption {
            about: about.into(),
            taken: taken.into(),
            change: change.into(),
        }
    }
}
