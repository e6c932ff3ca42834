//! Books as JSON of this program's own versioned shape (`schema/export.schema.json` in the repository).
//!
//! A book is a title, the lines under it and its sections; a section is a name and its lines. A pour comes in its
//! parts, so that a program need not read amounts out of words; every other line comes as its words.

use std::fmt::Write as _;

use serde::{Deserialize, Serialize};

use super::drafts::{Drafts, Part, Placed};
use super::lines::{Parts, What, sections};
use super::{Options, Shelved, json_text::Locator};
use crate::spec::{Entry, Source};

/// The version of the shape.
const SCHEMA: u64 = 1;

/// A line of a book.
#[derive(Serialize, Deserialize)]
#[serde(tag = "what", rename_all = "snake_case", deny_unknown_fields)]
enum Line {
    Particular {
        key: String,
        value: String,
    },
    Pour {
        place: String,
        amount: Option<String>,
        unit: Option<String>,
        ingredient: String,
    },
    Step {
        text: String,
    },
    Note {
        text: String,
    },
    Comment {
        text: String,
    },
    Blank {},
}

impl Line {
    fn of(entry: &Entry) -> Line {
        let parts = Parts::of(entry);
        let some = |text: String| Some(text).filter(|t| !t.is_empty());
        match parts.what {
            What::Particular => Line::Particular {
                key: parts.key,
                value: parts.text,
            },
            What::Pour => Line::Pour {
                place: some(parts.key).unwrap_or_else(|| "in".to_owned()),
                amount: some(parts.amount),
                unit: some(parts.unit),
                ingredient: parts.ingredient,
            },
            What::Step => Line::Step { text: parts.text },
            What::Note => Line::Note { text: parts.text },
            What::Comment => Line::Comment { text: parts.text },
            What::Blank => Line::Blank {},
        }
    }

    fn parts(self) -> Parts {
        let saying = |what, text| Parts {
            text,
            ..Parts::new(what)
        };
        match self {
            Line::Particular { key, value } => Parts {
                key,
                ..saying(What::Particular, value)
            },
            Line::Pour {
                place,
                amount,
                unit,
                ingredient,
            } => Parts {
                key: if place == "in" { String::new() } else { place },
                amount: amount.unwrap_or_default(),
                unit: unit.unwrap_or_default(),
                ingredient,
                ..Parts::new(What::Pour)
            },
            Line::Step { text } => saying(What::Step, text),
            Line::Note { text } => saying(What::Note, text),
            Line::Comment { text } => saying(What::Comment, text),
            Line::Blank {} => Parts::new(What::Blank),
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    #[serde(rename = "schema")]
    _schema: u64,
    books: Vec<BookIn>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BookIn {
    title: String,
    lines: Vec<Line>,
    sections: Vec<SectionIn>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SectionIn {
    name: String,
    lines: Vec<Line>,
}

/// What every version of the shape begins with.
#[derive(Deserialize)]
struct Head {
    schema: u64,
    #[serde(rename = "books")]
    _books: serde::de::IgnoredAny,
}

/// Whether a text is of this shape, in any version of it.
pub(super) fn is_ours(text: &str) -> bool {
    serde_json::from_str::<Head>(text).is_ok()
}

fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// Books as JSON, one line of text a line of a book.
pub(super) fn write(books: &[Shelved]) -> String {
    let lines = |entries: &[Entry], indent: &str| {
        let lines: Vec<String> = entries
            .iter()
            .map(|e| {
                format!(
                    "{indent}  {}",
                    serde_json::to_string(&Line::of(e)).unwrap_or_default()
                )
            })
            .collect();
        if lines.is_empty() {
            "[]".to_owned()
        } else {
            format!("[\n{}\n{indent}]", lines.join(",\n"))
        }
    };
    let list = |all: Vec<String>, indent: &str| {
        if all.is_empty() {
            "[]".to_owned()
        } else {
            format!("[\n{}\n{indent}]", all.join(",\n"))
        }
    };
    let books: Vec<String> = books
        .iter()
        .map(|shelved| {
            let parts: Vec<String> = sections(&shelved.book)
                .map(|(name, entries)| {
                    format!(
                        "        {{\n          \"name\": {},\n          \"lines\": {}\n        }}",
                        quoted(name),
                        lines(entries, "          ")
                    )
                })
                .collect();
            format!(
                "    {{\n      \"title\": {},\n      \"lines\": {},\n      \"sections\": {}\n    }}",
                quoted(&shelved.title),
                lines(&shelved.book.opening, "      "),
                list(parts, "      ")
            )
        })
        .collect();
    let mut text = String::new();
    let _ = writeln!(
        text,
        "{{\n  \"schema\": {SCHEMA},\n  \"books\": {}\n}}",
        list(books, "  ")
    );
    text
}

/// Read books of this shape.
pub(super) fn read(number: usize, file: &Source, options: &Options, drafts: &mut Drafts<'_>) {
    match serde_json::from_str::<Head>(&file.text) {
        Ok(head) if head.schema != SCHEMA => {
            let message = format!(
                "books of schema {}; this program reads schema {SCHEMA}: a newer one wrote them",
                head.schema
            );
            return drafts.reject(number, 0..file.text.len().min(1), message);
        }
        _ => {}
    }
    let document: Document = match serde_json::from_str(&file.text) {
        Ok(document) => document,
        Err(error) => {
            let at = super::json_text::offset(&file.text, error.line(), error.column());
            return drafts.reject(number, at..at, format!("not books as JSON: {error}"));
        }
    };
    let mut locator = Locator::new(&file.text, 0..file.text.len());
    for book in document.books {
        let said = locator.find(&book.title);
        let text = if one_line(&book.title) {
            book.title.trim().to_owned()
        } else {
            let stem = || super::stem(&file.file).to_owned();
            options.book.clone().unwrap_or_else(stem)
        };
        let title = Placed {
            text,
            file: number,
            span: said,
        };
        let at = drafts.book(title);
        let opening = placed(book.lines, number, &mut locator, drafts);
        drafts.open(at, opening);
        for section in book.sections {
            let span = locator.find(&section.name);
            let lines = placed(section.lines, number, &mut locator, drafts);
            if one_line(&section.name) {
                let name = Placed {
                    text: section.name.trim().to_owned(),
                    file: number,
                    span,
                };
                drafts.put(at, Part { name, lines });
            } else {
                let message = "a section without a name of one line; expected the name of a drink";
                drafts.reject(number, span, message);
            }
        }
    }
}

/// Lines of a book with their places; what can be none is a fault.
fn placed(lines: Vec<Line>, file: usize, locator: &mut Locator<'_>, drafts: &mut Drafts<'_>) -> Vec<Placed> {
    let mut all = Vec::new();
    for line in lines {
        let parts = line.parts();
        let said = [&parts.ingredient, &parts.text, &parts.key]
            .into_iter()
            .find(|t| !t.is_empty());
        let span = locator.find(said.map_or("", String::as_str));
        match parts.line() {
            Ok(text) => all.push(Placed { text, file, span }),
            Err(why) => drafts.reject(file, span, why),
        }
    }
    all
}

/// Words, and no line break among them.
fn one_line(text: &str) -> bool {
    !text.trim().is_empty() && !text.contains(['\n', '\r'])
}
