//! How things look: text for people, JSON for programs.

pub mod audit;
mod bands;
pub mod batch;
pub mod card;
pub mod compare;
pub mod convert;
pub mod cost;
mod drink;
pub mod exchange;
mod faults;
pub mod find;
mod fit;
mod glance;
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
pub mod swap;
pub mod taste;
pub mod tidy;
pub mod travel;
pub mod weigh;

use drink::band;
pub use drink::{assumptions, cautions, drinks_in_full, estimates, explained, in_full};
pub use faults::faults;
pub use glance::{Reasons, counts, glance, list, list_with, set_aside};
pub use ingredient::{ingredient, ingredients};
pub use ranges::{ranges, span_rows};
pub use record::record;
pub use settings::settings;

pub use crate::plain::plain;
pub(crate) use crate::style;

use comfy_table::{Cell, CellAlignment, ColumnConstraint, ContentArrangement, Table, presets};

/// "1 fault", "3 faults".
pub fn count(n: usize, one: &str, several: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { several })
}

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

/// A figure with so many decimals, or a dash where it has no value.
pub fn figure(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| "–".to_owned(), |v| format!("{v:.decimals$}"))
}

/// A number with at most four decimals and no trailing zeros.
pub fn short(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// An unruled table; columns whose heading begins with `>` are aligned right.
pub fn table(headings: &[&str]) -> Table {
    let mut table = Table::new();
    table
        .load_style(presets::NOTHING)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_width(u16::try_from(width()).unwrap_or(u16::MAX));
    table.set_header(headings.iter().map(|h| {
        let (text, right) = h.strip_prefix('>').map_or((*h, false), |t| (t, true));
        Cell::new(text).set_alignment(if right {
            CellAlignment::Right
        } else {
            CellAlignment::Left
        })
    }));
    for (i, heading) in headings.iter().enumerate() {
        if let Some(column) = table.column_mut(i) {
            column.set_padding((0, 2));
            if heading.starts_with('>') {
                column.set_cell_alignment(CellAlignment::Right);
                // Figures are never broken over two lines; words may be.
                column.set_constraint(ColumnConstraint::ContentWidth);
            }
        }
    }
    table
}

/// A table as lines without trailing blanks.
pub fn lines(table: &Table) -> String {
    let mut text = String::new();
    for line in table.to_string().lines() {
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

/// Words wrapped to the width of the screen, the first line begun with `first`, the others with `indent`. A number stays
/// with the short word after it, which is its unit.
pub fn wrapped(text: &str, first: &str, indent: &str) -> String {
    const JOINED: char = '\u{a0}';
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
    let options = textwrap::Options::new(width())
        .initial_indent(first)
        .subsequent_indent(indent)
        .break_words(false)
        .word_separator(textwrap::WordSeparator::AsciiSpace)
        .word_splitter(textwrap::WordSplitter::NoHyphenation)
        .wrap_algorithm(textwrap::WrapAlgorithm::FirstFit);
    textwrap::fill(&joined, options).replace(JOINED, " ") + "\n"
}

/// The width of the screen: `COLUMNS` first, then the terminal, then 120.
pub fn width() -> usize {
    let said = std::env::var("COLUMNS").ok().and_then(|c| c.parse().ok());
    said.or_else(|| terminal_size::terminal_size().map(|(w, _)| usize::from(w.0)))
        .filter(|w| *w >= 40)
        .unwrap_or(120)
}
