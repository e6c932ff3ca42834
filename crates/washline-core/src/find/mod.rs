//! Which drinks? One small language, asked of computed drinks wherever they come from.
//!
//! ```
//! use washline_core::find::{Query, find};
//! let drinks = washline_core::check(
//!     "## Distant Signal\n- 60 ml white rum\n- 22.5 ml lime juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n- strain\n\n## Snow Line\n\
//!      - 50 ml pisco\n- 25 ml lime juice\n- 20 ml simple syrup 1:1 by mass\n- 1 egg white\n- dry shake\n- shake\n- strain\n",
//! )?;
//! let query = Query::read("pours lime and not egg")?;
//! assert_eq!(query.to_string(), "pours lime and not pours egg");
//! let found = find(&drinks, &query)?;
//! assert_eq!(found.drinks.len(), 1);
//! assert_eq!(found.drinks[0].name(), "Distant Signal");
//! // What nobody has priced is neither cheap nor dear.
//! let found = find(&drinks, &Query::read("cost < 2.50")?)?;
//! assert_eq!((found.drinks.len(), found.untold.len()), (0, 2));
//! // A fault points at its word.
//! let wrong = Query::read("strenght < 14").unwrap_err();
//! assert_eq!((wrong.0[0].column, wrong.0[0].suggestions[0].as_str()), (1, "strength"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # The language
//!
//! A test is a field and what is said of it: `pours lime`, `strength < 14`, `garnish "lemon zest"`; [`fields`] lists them.
//! `and`, `or`, `not` and brackets join tests; `and` binds closer than `or`, and `not` closest. A test without a field takes
//! the field before it (`pours gin or vodka`, `strength over 10 and under 14`); without any before it, it asks for words of
//! names, notes and garnishes. Words beside each other stand beside each other; quotation marks make words of what would be
//! read otherwise. Case, accents and plurals make no difference.
//!
//! A test is told or not: a drink whose cost, allergens or tasting nobody knows is not found, and is not passed over
//! either. It is named, with why ([`Untold`]). Figures are compared by their usual value, as it is printed.

mod answer;
mod facts;
mod fields;
mod listed;
#[cfg(feature = "store")]
mod narrow;
mod poured;
mod read;
mod tokens;
mod units;
mod words;

use std::fmt;
use std::ops::Range;

use jiff::civil::Date;

pub use answer::{Found, Told, Untold, ask, find, find_with};
pub use facts::{Facts, Kept};
pub use fields::{Field, FieldFacts, Takes, fields};
#[cfg(feature = "store")]
pub(crate) use narrow::{Narrow, Pours, Row};
pub use units::{Limit, LimitUnit};

use crate::computed::Faults;
use crate::spec::Source;

/// How a question is called where a fault of it is told.
pub const QUESTION: &str = "the question";

/// A question that reads.
#[derive(Clone, Debug)]
pub struct Query {
    ask: Ask,
    source: Source,
}

impl PartialEq for Query {
    fn eq(&self, other: &Query) -> bool {
        self.ask == other.ask
    }
}

/// What is asked: tests, and what joins them.
#[derive(Clone, Debug, PartialEq)]
pub enum Ask {
    /// One test.
    Test(Test),
    /// It does not hold.
    Not(Box<Ask>),
    /// All of them hold: two or more.
    All(Vec<Ask>),
    /// Any of them holds: two or more.
    Any(Vec<Ask>),
}

/// A field and what is said of it.
#[derive(Clone, Debug)]
pub struct Test {
    /// What is asked for.
    pub field: Field,
    /// What is said of it.
    pub is: Is,
    /// Where what is said stands in the question.
    pub span: Range<usize>,
}

impl PartialEq for Test {
    fn eq(&self, other: &Test) -> bool {
        (self.field, &self.is) == (other.field, &other.is)
    }
}

/// What is said of a field.
#[derive(Clone, Debug, PartialEq)]
pub enum Is {
    /// That there is any.
    Any,
    /// These words.
    Said(String),
    /// It compares so with a limit.
    Compared(Comparison, Limit),
    /// It lies between two limits, both included.
    Between(Limit, Limit),
    /// On that day or after.
    Since(Date),
    /// Before that day.
    Before(Date),
}

/// A comparison.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Comparison {
    /// `<`
    Below,
    /// `<=`
    UpTo,
    /// `>`
    Above,
    /// `>=`
    From,
    /// `=`
    Is,
}

impl Comparison {
    /// Whether it holds of two numbers.
    #[must_use]
    pub fn holds<N: PartialOrd>(self, value: N, limit: N) -> bool {
        match self {
            Comparison::Below => value < limit,
            Comparison::UpTo => value <= limit,
            Comparison::Above => value > limit,
            Comparison::From => value >= limit,
            Comparison::Is => value == limit,
        }
    }

    fn mark(self) -> &'static str {
        match self {
            Comparison::Below => "<",
            Comparison::UpTo => "<=",
            Comparison::Above => ">",
            Comparison::From => ">=",
            Comparison::Is => "=",
        }
    }
}

impl Query {
    /// Read a question.
    ///
    /// # Errors
    /// Every fault of it, with its place in the text.
    pub fn read(text: &str) -> Result<Query, Faults> {
        read::read(text)
    }

    /// What it asks.
    #[must_use]
    pub fn ask(&self) -> &Ask {
        &self.ask
    }

    /// The text it was read from.
    #[must_use]
    pub fn source(&self) -> &Source {
        &self.source
    }

    /// Whether a test of it asks for that.
    #[must_use]
    pub fn asks_for(&self, field: Field) -> bool {
        self.tests().any(|test| test.field == field)
    }

    /// Its tests, in order.
    pub fn tests(&self) -> impl Iterator<Item = &Test> {
        let mut all = Vec::new();
        self.ask.tests(&mut all);
        all.into_iter()
    }
}

impl Ask {
    fn tests<'a>(&'a self, all: &mut Vec<&'a Test>) {
        match self {
            Ask::Test(test) => all.push(test),
            Ask::Not(ask) => ask.tests(all),
            Ask::All(parts) | Ask::Any(parts) => parts.iter().for_each(|part| part.tests(all)),
        }
    }
}

impl fmt::Display for Query {
    /// As it was understood: every field said, brackets where they are needed. It reads as the same question.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.ask.fmt(f)
    }
}

impl fmt::Display for Ask {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let joined = |f: &mut fmt::Formatter<'_>, parts: &[Ask], word: &str, bracketed: fn(&Ask) -> bool| {
            for (at, part) in parts.iter().enumerate() {
                if at > 0 {
                    write!(f, " {word} ")?;
                }
                if bracketed(part) {
                    write!(f, "({part})")?;
                } else {
                    part.fmt(f)?;
                }
            }
            Ok(())
        };
        match self {
            Ask::Test(test) => test.fmt(f),
            Ask::Not(ask) if matches!(**ask, Ask::All(_) | Ask::Any(_)) => write!(f, "not ({ask})"),
            Ask::Not(ask) => write!(f, "not {ask}"),
            Ask::All(parts) => joined(f, parts, "and", |p| matches!(p, Ask::All(_) | Ask::Any(_))),
            Ask::Any(parts) => joined(f, parts, "or", |p| matches!(p, Ask::Any(_))),
        }
    }
}

impl fmt::Display for Test {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.field.facts().word)?;
        match &self.is {
            Is::Any => Ok(()),
            Is::Said(said) if words::needs_quotes(said) => write!(f, " \"{}\"", said.replace('"', "\"\"")),
            Is::Said(said) => write!(f, " {said}"),
            Is::Compared(comparison, limit) => write!(f, " {} {limit}", comparison.mark()),
            Is::Between(low, high) => write!(f, " {low} to {high}"),
            Is::Since(day) => write!(f, " since {day}"),
            Is::Before(day) => write!(f, " before {day}"),
        }
    }
}
