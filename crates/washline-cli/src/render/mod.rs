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

pub use drink::{
    assumptions, cautions, counts, drinks_in_full, explained, in_full, list, list_with, overview,
};
pub use faults::faults;
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

/// Words wrapped to the width of the screen, each line begun with `indent`.
pub fn wrapped(text: &str, first: &str, indent: &str) -> String {
    let width = width();
    let mut lines = String::from(first);
    let mut column =
        unicode_width::UnicodeWidthStr::width(anstream::adapter::strip_str(first).to_string().as_str());
    let mut fresh = true;
    for word in text.split_whitespace() {
        let long = unicode_width::UnicodeWidthStr::width(word);
        if !fresh && column + 1 + long > width {
            lines.push('\n');
            lines.push_str(indent);
            column = unicode_width::UnicodeWidthStr::width(indent);
            fresh = true;
        }
        if !fresh {
            lines.push(' ');
            column += 1;
        }
        lines.push_str(word);
        column += long;
        fresh = false;
    }
    lines.push('\n');
    lines
}

/// The width of the screen: `COLUMNS` first, then the terminal, then 120.
pub fn width() -> usize {
    let said = std::env::var("COLUMNS").ok().and_then(|c| c.parse().ok());
    said.or_else(|| terminal_size::terminal_size().map(|(w, _)| usize::from(w.0)))
        .filter(|w| *w >= 40)
        .unwrap_or(120)
}
