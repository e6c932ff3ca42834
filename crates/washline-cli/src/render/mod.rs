//! How things look: text for people, JSON for programs.

pub mod audit;
mod bands;
pub mod batch;
pub mod change;
pub mod compare;
pub mod convert;
pub mod cost;
mod drink;
pub mod exchange;
mod faults;
pub mod find;
mod glance;
mod grid;
pub mod history;
mod ingredient;
pub mod json;
pub mod label;
pub mod mend;
pub mod over_time;
pub mod preparation;
mod ranges;
mod record;
pub mod report;
mod settings;
pub mod streamed;
pub mod swap;
mod tally;
pub mod taste;
pub mod tidy;
pub mod travel;
pub mod undo;
pub mod weigh;
mod writer;

pub use drink::{cautions, drink_in_full, estimates, explained, heading, in_full};
pub use faults::faults;
pub use glance::{Glance, Reasons, found, list, list_with};
pub use grid::table;
pub use ingredient::{ingredient, ingredients};
pub use ranges::{ranges, span_rows};
pub use record::record;
pub use settings::settings;
pub use tally::Tally;
pub use writer::written;

use std::fmt::{Display, Write as _};

use washline_core::store::Refreshed;

use self::style::{DIM, GOOD, NAME};
use crate::asked::Done;
pub use crate::plain::plain;
pub(crate) use crate::style;
pub use washline_core::tables::printed;
pub use washline_pages::words::{count, figure, in_brackets, interval, number, short, structure};

/// What belongs to one book after what belongs to another, each book where its first one stands.
pub fn books<'a, T>(all: &'a [T], book: impl Fn(&'a T) -> &'a str) -> Vec<Vec<&'a T>> {
    let mut titles: Vec<&str> = Vec::new();
    let mut books: Vec<Vec<&T>> = Vec::new();
    for one in all {
        let title = book(one);
        // Books of a house come one after the other: the last is the likeliest.
        match titles.iter().rposition(|t| *t == title) {
            Some(at) => books[at].push(one),
            None => {
                titles.push(title);
                books.push(vec![one]);
            }
        }
    }
    books
}

/// Stands for a space that no line may end at while a text is laid out: of private use, one cell wide, and no white space.
const JOINED: char = '\u{e000}';

/// A text with single spaces, in which a number stays with the short word after it, which is its unit.
fn joined(text: &str) -> String {
    let mut joined = String::with_capacity(text.len());
    let mut after_number = false;
    for word in text.split_whitespace() {
        if !joined.is_empty() {
            joined.push(if after_number && word.chars().count() <= 2 {
                JOINED
            } else {
                ' '
            });
        }
        joined.push_str(word);
        after_number = word.ends_with(|c: char| c.is_ascii_digit());
    }
    joined
}

/// Words wrapped to the width of the screen, the first line begun with `first`, the others with `indent`.
pub fn wrapped(text: &str, first: &str, indent: &str) -> String {
    let options = textwrap::Options::new(width())
        .initial_indent(first)
        .subsequent_indent(indent)
        .break_words(false)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation)
        .wrap_algorithm(textwrap::WrapAlgorithm::FirstFit);
    textwrap::fill(&joined(text), options).replace(JOINED, " ") + "\n"
}

/// Words wrapped to the width of the screen.
pub fn paragraph(text: &str) -> String {
    wrapped(text, "", "")
}

/// The same beside the point: what figures are in, what marks mean.
pub fn aside(text: &str) -> String {
    format!("{DIM}{}{DIM:#}\n", wrapped(text, "", "  ").trim_end())
}

/// One of several things told below a heading, on lines of its own.
pub fn item(text: &str) -> String {
    wrapped(&plain(text), "  ", "    ")
}

/// The same of a thing that has a mark for how grave it is.
pub fn marked((mark, style): (char, anstyle::Style), text: impl Display) -> String {
    wrapped(
        &plain(&text.to_string()),
        &format!("    {style}{mark}{style:#} "),
        "      ",
    )
}

/// A name as a heading, and where it stands.
pub fn titled(name: &str, where_it_stands: &str) -> String {
    format!(
        "{NAME}{}{NAME:#}  {DIM}{}{DIM:#}\n",
        plain(name),
        plain(where_it_stands)
    )
}

/// The drinks that are other than they were, each once; that there is none, where none cannot be worked out either.
pub fn worked_out_anew(refreshed: &Refreshed) -> String {
    let names: Vec<&str> = refreshed
        .recomputed
        .iter()
        .map(|(drink, _)| drink.as_str())
        .collect();
    match (names.is_empty(), refreshed.broken.is_empty()) {
        (true, true) => return "no drink comes to anything else\n".to_owned(),
        (true, false) => return String::new(),
        (false, _) => {}
    }
    let said = format!("worked out anew ({}): {}", names.len(), names.join("; "));
    wrapped(&plain(&said), "", "  ")
}

/// What is said of a thing on lines of its own below it, behind a word: `  note water from ice as it was weighed`.
pub fn under(style: anstyle::Style, word: &str, text: impl Display) -> String {
    wrapped(
        &plain(&text.to_string()),
        &format!("  {style}{word}{style:#} "),
        "    ",
    )
}

/// What was kept in the house, and what was written.
pub fn done(done: &Done, indent: &str) -> String {
    let mut text = String::new();
    if let Some((from, to)) = done.kept {
        let _ = writeln!(
            text,
            "{indent}{GOOD}kept{GOOD:#} in the house: version {to}, made from version {from}"
        );
    }
    if let Some(file) = &done.written {
        let _ = writeln!(text, "{indent}{GOOD}written{GOOD:#} into {}", plain(file));
    }
    text
}

/// What stands over what was taken for granted.
const TAKEN_FOR_GRANTED: &str = "Taken for granted";

/// What is said where faults kept books from being stored.
pub fn not_stored(faults: usize) -> String {
    format!(
        "nothing was stored: {} to mend\n",
        count(faults, "fault", "faults")
    )
}

/// What is said where the house has a new version and the file it came from has not.
pub fn book_is_old() -> String {
    paragraph(
        "The written book still has the old spec: --write FILE changes it too, or adding it again brings the old one back.",
    )
}

/// The width of the screen: `COLUMNS` first, then the terminal, then 120.
pub fn width() -> usize {
    let said = std::env::var("COLUMNS").ok().and_then(|c| c.parse().ok());
    said.or_else(|| terminal_size::terminal_size().map(|(w, _)| usize::from(w.0)))
        .filter(|w| *w >= 40)
        .unwrap_or(120)
}
