//! A line of a book in the parts that a sheet or a program wants, and back to the line.

use crate::names::Expected;
use crate::spec::{self, Book, Entry, Pour, PourAmount, PourMethod, Section, Step};

/// What a line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::EnumString, strum::IntoStaticStr, strum::VariantNames)]
#[strum(serialize_all = "snake_case")]
pub(super) enum What {
    /// `key: value`: a setting of the book, a particular of a drink, a figure of an ingredient.
    Particular,
    /// Something poured or put in.
    Pour,
    /// Any other step.
    Step,
    /// A note to the reader.
    Note,
    /// A comment.
    Comment,
    /// An empty line.
    Blank,
}

crate::ingredient::words!(What);

/// A line in its parts. What a sort of line does not have is empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Parts {
    pub what: What,
    /// The key of a particular; how a pour goes in (`top`, `float` …).
    pub key: String,
    /// The amount of a pour, without its unit: `22.5`, `3/4`, `2-3`, `to taste`.
    pub amount: String,
    pub unit: String,
    /// What is poured, with its strength and what else the line says of it.
    pub ingredient: String,
    /// The words of any other line.
    pub text: String,
}

impl Parts {
    pub fn new(what: What) -> Parts {
        Parts {
            what,
            key: String::new(),
            amount: String::new(),
            unit: String::new(),
            ingredient: String::new(),
            text: String::new(),
        }
    }

    fn saying(what: What, text: &str) -> Parts {
        Parts {
            text: text.to_owned(),
            ..Parts::new(what)
        }
    }

    /// An entry of a book.
    pub fn of(entry: &Entry) -> Parts {
        match entry {
            Entry::Blank => Parts::new(What::Blank),
            Entry::Comment(words) => Parts::saying(What::Comment, words),
            Entry::Note(words) => Parts::saying(What::Note, words),
            Entry::Particular(key, value) => Parts {
                key: key.clone(),
                ..Parts::saying(What::Particular, value)
            },
            Entry::Step(line) => match &line.step {
                Step::Pour(pour) => Parts::of_pour(pour),
                step => Parts::saying(What::Step, &step.to_string()),
            },
        }
    }

    /// A pour, cut where its written form is cut: place, amount, unit, and all the rest.
    fn of_pour(pour: &Pour) -> Parts {
        let written = pour.to_string();
        let place = match pour.place {
            PourMethod::In => "",
            PourMethod::Top => "top",
            PourMethod::Float => "float",
            PourMethod::Rinse => "rinse",
            PourMethod::Mist => "mist",
        };
        let rest = written.strip_prefix(place).unwrap_or(&written).trim_start();
        // `top with soda water`: the joining word is there because no amount is.
        let rest = match pour.measure {
            PourAmount::Fill => rest.strip_prefix("with ").unwrap_or(rest),
            _ => rest,
        };
        let whole = spec::amount_text(pour);
        let unit = match &pour.measure {
            PourAmount::Of(extent, Some(unit)) => unit.written_after(extent.high),
            PourAmount::Open(Some(unit)) => unit.facts().written.0,
            _ => "",
        };
        let number = whole.strip_suffix(unit).unwrap_or(&whole).trim_end();
        // `8 mint leaves`: the unit stands in the name.
        let (amount, unit, ingredient) = match rest.strip_prefix(whole.as_str()) {
            Some(name) if name.starts_with(' ') || whole.is_empty() => (number, unit, name),
            _ => (number, "", rest.strip_prefix(number).unwrap_or(rest)),
        };
        Parts {
            key: place.to_owned(),
            amount: amount.to_owned(),
            unit: unit.to_owned(),
            ingredient: ingredient.trim_start().to_owned(),
            ..Parts::new(What::Pour)
        }
    }

    /// The line of a book that these parts are.
    ///
    /// # Errors
    /// Where they are none: what was expected.
    pub fn line(&self) -> Result<String, Expected> {
        let all = [&self.key, &self.amount, &self.unit, &self.ingredient, &self.text];
        if all.iter().any(|part| part.contains(['\n', '\r'])) {
            return Err(Expected::new(
                "a line break inside a line; expected a row for each line",
            ));
        }
        // Read back, a comment at the end of a line would be cut off it.
        let hidden = |text: &str| text.contains("<!--") && text.ends_with("-->");
        if self.what != What::Comment && all.iter().any(|part| hidden(part)) {
            return Err(Expected::new(
                "a comment inside a line; expected it on a line of its own",
            ));
        }
        let given: Vec<&str> = match self.what {
            What::Particular => vec!["key", "text"],
            What::Pour => vec!["key", "amount", "unit", "ingredient"],
            What::Step | What::Note | What::Comment => vec!["text"],
            What::Blank => Vec::new(),
        };
        let named = ["key", "amount", "unit", "ingredient", "text"];
        if let Some((name, part)) = named
            .iter()
            .zip(all)
            .find(|(name, part)| !part.is_empty() && !given.contains(name))
        {
            return Err(Expected::new(format!(
                "a {} has no {name}; expected `{part}` to be empty or the line to be something else",
                self.what.word()
            )));
        }
        match self.what {
            What::Blank => Ok(String::new()),
            What::Comment => Ok(format!("<!-- {} -->", self.text)),
            What::Note => Ok(format!("> {}", self.text)),
            What::Particular => {
                let plain = self.key.starts_with(|c: char| c.is_alphabetic() || c == '°')
                    && !self.key.contains(|c: char| c == ':' || c.is_ascii_digit());
                if plain {
                    Ok(format!("{}: {}", self.key, self.text))
                } else {
                    Err(Expected::new(format!(
                        "`{}` is no key; expected one such as `glass` or `price`",
                        self.key
                    )))
                }
            }
            What::Step if self.text.trim().is_empty() => Err(Expected::new(
                "a step without words; expected one such as `shake`",
            )),
            What::Step => Ok(format!("- {}", self.text)),
            What::Pour => self.pour(),
        }
    }

    fn pour(&self) -> Result<String, Expected> {
        if self.ingredient.trim().is_empty() {
            return Err(Expected::new("a pour of nothing; expected an ingredient"));
        }
        let place = match (self.key.as_str(), self.amount.as_str()) {
            ("top", "") => "top with",
            (place @ ("" | "top" | "float" | "rinse" | "mist"), _) => place,
            (other, _) => {
                return Err(Expected::new(format!(
                    "`{other}` is no way to pour; expected nothing, top, float, rinse or mist"
                )));
            }
        };
        Ok(format!(
            "- {}",
            joined([place, &self.amount, &self.unit, &self.ingredient])
        ))
    }
}

/// Words with one space between them, empty ones left out.
pub(super) fn joined<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let words: Vec<&str> = words.into_iter().filter(|w| !w.is_empty()).collect();
    words.join(" ")
}

/// The sections of a book with their names and entries, in order.
pub(super) fn sections(book: &Book) -> impl Iterator<Item = (&str, &[Entry])> {
    book.sections.iter().map(|section| match section {
        Section::Drink(drink) | Section::Preparation(drink) => {
            (drink.name.as_str(), drink.entries.as_slice())
        }
        Section::Ingredient(definition) => (definition.name.as_str(), definition.entries.as_slice()),
    })
}
