//! Books as a sheet: RFC 4180, one row a line of the book.
//!
//! Every cell is guarded against formulas and dates as [`super::cells`] says. `line` numbers the rows of a book,
//! so that a sheet can be sorted by ingredient and put in order again.

use super::cells::guarded;
use crate::exchange::Shelved;
use crate::exchange::lines::{Parts, sections};
use crate::spec::Entry;

/// The columns, in order.
pub(super) const COLUMNS: [&str; 9] = [
    "book",
    "line",
    "name",
    "what",
    "key",
    "amount",
    "unit",
    "ingredient",
    "text",
];

/// Books as rows, each row ended by CRLF.
pub(in crate::exchange) fn write(books: &[Shelved], delimiter: u8) -> String {
    let mut writer = csv::WriterBuilder::new()
        .delimiter(delimiter)
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    // Writing to memory cannot fail, and every row has as many cells as there are columns.
    let _ = writer.write_record(COLUMNS);
    for shelved in books {
        let mut line = 0_usize;
        let mut rows = |name: &str, entries: &[Entry]| {
            for entry in entries {
                line += 1;
                let parts = Parts::of(entry);
                let cells = [
                    guarded(&shelved.title),
                    line.to_string(),
                    guarded(name),
                    parts.what.word().to_owned(),
                    guarded(&parts.key),
                    guarded(&parts.amount),
                    guarded(&parts.unit),
                    guarded(&parts.ingredient),
                    guarded(&parts.text),
                ];
                let _ = writer.write_record(&cells);
            }
        };
        rows("", &shelved.book.opening);
        for (name, entries) in sections(&shelved.book) {
            rows(name, entries);
        }
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}
