//! What helps, as data: what is to be done, and to what. Whoever speaks to a person words it; a command line as a command.

use std::fmt;

use serde::{Deserialize, Serialize};

/// What helps.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Remedy {
    /// Something to do in the text or at the bar, in words; empty where the line itself is the place.
    Words(String),
    /// Work out the smallest change that brings it into balance.
    Mend {
        /// The drink.
        drink: String,
    },
    /// Read, weigh or titrate what figures from memory stand for.
    Measure,
    /// Measure it again.
    MeasureAgain {
        /// The ingredient.
        of: String,
    },
    /// Say what it is bought for.
    Price {
        /// The ingredient.
        of: String,
    },
    /// Say how much comes of what it is bought by.
    Yield {
        /// The ingredient; `None` where the sentence names it.
        of: Option<String>,
        /// Such as `30 ml per piece`.
        such_as: Option<String>,
    },
    /// Say how much of it a drink takes where the spec does not.
    Portion,
    /// Say how large a bottle is, or what it is bought in.
    Bottle,
    /// Serve a batch with all of its water, or with none.
    OtherServing,
    /// Keep a book, which makes a house.
    AddBook,
    /// Ask whoever has the house for its specs as a book.
    AskForBook,
}

impl Remedy {
    /// Whether there is nothing to say.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        matches!(self, Remedy::Words(words) if words.is_empty())
    }
}

impl From<&str> for Remedy {
    fn from(words: &str) -> Remedy {
        Remedy::Words(words.to_owned())
    }
}

impl From<String> for Remedy {
    fn from(words: String) -> Remedy {
        Remedy::Words(words)
    }
}

/// As one says it who knows no command.
impl fmt::Display for Remedy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Remedy::Words(words) => f.write_str(words),
            Remedy::Mend { drink } => write!(f, "mend {drink}"),
            Remedy::Measure => f.write_str("read labels, weigh, titrate, and keep what was measured"),
            Remedy::MeasureAgain { of } => write!(f, "measure {of} again"),
            Remedy::Price { of } => write!(f, "say what {of} is bought for"),
            Remedy::Yield { of, such_as } => {
                let of = of.as_deref().unwrap_or("it");
                write!(f, "say how much comes of {of}")?;
                such_as
                    .as_ref()
                    .map_or(Ok(()), |such| write!(f, ", such as {such}"))
            }
            Remedy::Portion => f.write_str("say how much of it a drink takes"),
            Remedy::Bottle => f.write_str("`bottle:` in the book, or say what it is bought in"),
            Remedy::OtherServing => f.write_str("serve it ready, or to order"),
            Remedy::AddBook => f.write_str("keeping a book starts a house there"),
            Remedy::AskForBook => f.write_str("ask for it as a book, or restore a backup"),
        }
    }
}
