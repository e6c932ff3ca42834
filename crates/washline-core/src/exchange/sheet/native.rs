//! Rows of a book as this program writes them, put in order and made lines again.

use std::collections::HashMap;

use super::cells::unguarded;
use super::cut::{Row, Sheet};
use super::out::COLUMNS;
use crate::exchange::drafts::{Drafts, Part, Placed};
use crate::exchange::lines::{Parts, What};
use crate::exchange::{Options, stem};
use crate::names::key;

impl Sheet<'_> {
    /// Rows of a book, as this program writes them.
    pub(super) fn native(&self, folded: &[String], options: &Options, drafts: &mut Drafts<'_>) {
        let column = |name: &str| folded.iter().position(|h| h == name).unwrap_or(0);
        let at = COLUMNS.map(column);
        let [book, line, name, what, key_at, amount, unit, ingredient, text] = at;
        // A sheet that was sorted by something else is put in order again; rows without a number stay below the
        // row they stand under.
        let mut order: Vec<(u64, &Row)> = Vec::new();
        let mut last = 0;
        for row in &self.rows {
            last = row.cells[line].parse().unwrap_or(last);
            order.push((last, row));
        }
        order.sort_by_key(|(number, _)| *number);
        let mut openings: Vec<(usize, Vec<Placed>)> = Vec::new();
        let mut parts: Vec<(usize, Part)> = Vec::new();
        let mut known: HashMap<(usize, String), usize> = HashMap::new();
        for (_, row) in order {
            let cell = |column: usize| unguarded(&row.cells[column]).to_owned();
            let title = match cell(book) {
                title if title.is_empty() => self.title(options),
                title => title,
            };
            let book = drafts.book(Placed {
                text: title,
                file: self.number,
                span: self.place(row, book),
            });
            let Some(sort) = What::from_word(&cell(what)) else {
                let message = format!(
                    "`{}` is no sort of line; expected particular, pour, step, note, comment or blank",
                    cell(what)
                );
                drafts.reject(self.number, self.place(row, what), message);
                continue;
            };
            let made = Parts {
                what: sort,
                key: cell(key_at),
                amount: cell(amount),
                unit: cell(unit),
                ingredient: cell(ingredient),
                text: cell(text),
            };
            let placed = match made.line() {
                Ok(text) => Placed {
                    text,
                    file: self.number,
                    span: row.span.clone(),
                },
                Err(why) => {
                    drafts.reject(self.number, row.span.clone(), why);
                    continue;
                }
            };
            let named = cell(name);
            if named.is_empty() {
                match openings.iter_mut().find(|(b, _)| *b == book) {
                    Some((_, lines)) => lines.push(placed),
                    None => openings.push((book, vec![placed])),
                }
            } else if let Some(at) = known.get(&(book, key(&named))) {
                parts[*at].1.lines.push(placed);
            } else {
                known.insert((book, key(&named)), parts.len());
                let name = Placed {
                    text: named,
                    file: self.number,
                    span: self.place(row, name),
                };
                let lines = vec![placed];
                parts.push((book, Part { name, lines }));
            }
        }
        for (book, lines) in openings {
            drafts.open(book, lines);
        }
        for (book, part) in parts {
            drafts.put(book, part);
        }
    }

    pub(super) fn title(&self, options: &Options) -> String {
        let stem = || stem(&self.file.file).to_owned();
        options.book.clone().unwrap_or_else(stem)
    }
}
