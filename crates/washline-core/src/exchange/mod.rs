//! Data in and out: books as sheets, as JSON and as recipes of the open web vocabulary, and back.
//!
//! Everything here is a pure function between a book and a text. What comes in becomes the text of a book,
//! which then goes the way of any other book: read, resolved, kept whole or not at all.
//!
//! | format | out and in again |
//! |---|---|
//! | book text | the same bytes, where the house has the text as it was added |
//! | JSON | the same book: title, settings, notes, comments, order, every step as the program writes it |
//! | CSV | the same |
//! | recipe JSON-LD | a reading for others; [`recipe`] says what it loses |

mod decode;
mod drafts;
mod html;
mod json;
mod json_text;
mod lines;
mod prose;
pub mod recipe;
mod setting;
mod sheet;

use crate::names::Expected;
use std::fmt;

use crate::names::key;
use crate::spec::{Book, Fault, Section, Settings, Source, read_under};

pub use decode::{Undecoded, Undecoding, decode};
pub use setting::{Setting, Worded};
pub use sheet::{CsvOptions, Decimal, FIELDS};

/// The formats a book can be written in.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, strum::IntoStaticStr, strum::VariantArray, strum::VariantNames,
)]
#[strum(serialize_all = "kebab-case")]
pub enum Format {
    /// Comma-separated values (RFC 4180), one row a line of the book.
    Csv,
    /// JSON of this program's own versioned shape.
    Json,
    /// The book as people write it.
    Book,
    /// The Recipe type of the vocabulary at schema.org, as JSON-LD.
    #[strum(serialize = "recipe-json-ld")]
    Recipe,
}

impl Format {
    /// All of them, in order.
    pub const ALL: &'static [Format] = <Format as strum::VariantArray>::VARIANTS;

    /// Their words.
    pub const WORDS: &'static [&'static str] = <Format as strum::VariantNames>::VARIANTS;

    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        self.into()
    }

    /// The format so called.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Format> {
        let wanted = key(word);
        Format::ALL.iter().copied().find(|f| key(f.word()) == wanted)
    }

    /// What a file is by its name and, where that does not say, by how it begins.
    #[must_use]
    pub fn guess(source: &Source) -> Option<Format> {
        let ending = source.file.rsplit_once('.').map(|(_, e)| e.to_lowercase());
        let begins = source.text.trim_start();
        match ending.as_deref() {
            Some("csv" | "tsv") => Some(Format::Csv),
            Some("md" | "txt") => Some(Format::Book),
            Some("html" | "htm" | "xhtml" | "jsonld") => Some(Format::Recipe),
            _ if begins.starts_with('<') => Some(Format::Recipe),
            _ if begins.starts_with(['{', '[']) => Some(if json::is_ours(begins) {
                Format::Json
            } else {
                Format::Recipe
            }),
            _ => None,
        }
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// What is said of a second book of one title, where each may stand once.
#[must_use]
pub fn second_book(title: &str) -> String {
    format!("a second book called `{title}` in one run; expected each title once")
}

/// A book as it leaves the house.
#[derive(Clone, Debug, PartialEq)]
pub struct Shelved {
    /// Its title: the heading, else the name of the file it came from.
    pub title: String,
    /// Its text as it was added, where the house has it.
    pub text: String,
    /// The same as read.
    pub book: Book,
}

impl Shelved {
    /// A text as a book that can leave the house.
    #[must_use]
    pub fn read(source: &Source) -> Shelved {
        let book = crate::spec::read(source).book;
        let title = if book.title.is_empty() {
            &source.file
        } else {
            &book.title
        };
        Shelved {
            title: title.clone(),
            text: source.text.clone(),
            book,
        }
    }

    /// The same book with only those of its drinks that `keep` names; everything else in it stays, to the byte. The text
    /// is read under `settings`.
    #[must_use]
    pub fn with_only(&self, settings: &Settings, keep: &dyn Fn(&str) -> bool) -> Shelved {
        let mut source = Source::new(self.title.clone(), self.text.clone());
        // From the last to the first, so that what stands before stays where it is.
        let starts: Vec<(usize, bool)> = {
            let book = read_under(&source, settings).book;
            let start = |span: &std::ops::Range<usize>| {
                source.text[..span.start]
                    .rfind(['\n', '\r'])
                    .map_or(0, |at| at + 1)
            };
            let of = |section: &Section| match section {
                Section::Drink(d) => (start(&d.span), !keep(&d.name)),
                Section::Preparation(d) => (start(&d.span), false),
                Section::Ingredient(d) => (start(&d.span), false),
            };
            book.sections.iter().map(of).collect()
        };
        let mut end = source.text.len();
        for (start, goes) in starts.into_iter().rev() {
            if goes {
                source.text.replace_range(start..end, "");
            }
            end = start;
        }
        let book = read_under(&source, settings).book;
        Shelved {
            title: self.title.clone(),
            text: source.text,
            book,
        }
    }
}

/// Books as one text of a format. The book text holds one book only: several are written one after another,
/// each to be kept in a file of its own.
#[must_use]
pub fn write(books: &[Shelved], format: Format, delimiter: u8) -> String {
    match format {
        Format::Csv => sheet::out::write(books, delimiter),
        Format::Json => json::write(books),
        Format::Book => {
            let texts: Vec<&str> = books.iter().map(|b| b.text.as_str()).collect();
            texts.join("\n")
        }
        Format::Recipe => recipe::write(books),
    }
}

/// What files came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Import {
    /// The books they hold, each once.
    pub books: Vec<Made>,
    /// What was done with them that their writer may want to know.
    pub remarks: Vec<Remark>,
    /// What could not be read, with its place in the file it came from.
    pub faults: Vec<Fault>,
}

/// A book made from files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// Its title.
    pub title: String,
    /// Its text, as [`crate::spec::read()`] takes it.
    pub text: String,
}

impl Made {
    /// The text as a source, called by the file it came from.
    #[must_use]
    pub fn source(&self, files: &[Source]) -> Source {
        let name = match files {
            [only] => format!("{}, as a book", only.file),
            _ => format!("{}, as a book", self.title),
        };
        Source::new(name, self.text.clone())
    }
}

/// Something to know about what was imported: what was taken for granted, divided or left out.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Remark {
    /// The file.
    pub file: String,
    /// Its line, from 1.
    pub line: usize,
    /// What.
    pub message: String,
}

/// What the caller settles that a file leaves open.
#[derive(Clone, Debug)]
pub struct Options {
    /// The format; told from each file where it is not given.
    pub format: Option<Format>,
    /// The title of the book where a file names none; everything goes into this one.
    pub book: Option<String>,
    /// How many serves the amounts of a recipe are for, where the page does not say it.
    pub serves: Option<u32>,
    /// How a sheet is to be read.
    pub csv: CsvOptions,
    /// How what would settle a question is worded.
    pub worded: Worded,
}

impl Default for Options {
    fn default() -> Options {
        Options {
            format: None,
            book: None,
            serves: None,
            csv: CsvOptions::default(),
            worded: |setting| setting.to_string(),
        }
    }
}

/// Read files of any format into the text of books. Nothing is left out silently: what does not read is a
/// fault or a remark with its place.
///
/// # Errors
/// Where an option fits no file: what was expected.
pub fn import(files: &[Source], options: &Options) -> Result<Import, Expected> {
    let mut drafts = drafts::Drafts::new(files, options.worded);
    for (number, file) in files.iter().enumerate() {
        let format = options.format.or_else(|| Format::guess(file)).ok_or_else(|| {
            format!(
                "{} could be anything; expected {}",
                file.file,
                (options.worded)(&Setting::Format)
            )
        })?;
        match format {
            Format::Csv => sheet::read(number, file, options, &mut drafts)?,
            Format::Json => json::read(number, file, options, &mut drafts),
            Format::Recipe => recipe::read(number, file, options, &mut drafts),
            Format::Book => drafts.take_book(number, file, options),
        }
    }
    Ok(drafts.finish())
}

/// The name of a file without folder and ending: what a book is called that has no title.
fn stem(file: &str) -> &str {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    match name.rsplit_once('.') {
        Some((stem, _)) if !stem.is_empty() => stem,
        _ => name,
    }
}
