//! Rows of a foreign sheet: a row an ingredient, or a row a drink.

use std::collections::HashSet;
use std::ops::Range;

use super::Field;
use super::cells::unguarded_if_guarded;
use super::cut::{Row, Sheet};
use crate::exchange::Options;
use crate::exchange::drafts::{Drafts, Part, Placed};
use crate::exchange::lines::joined;
use crate::names::key;

impl Sheet<'_> {
    /// Rows of a foreign sheet: a row an ingredient, or a row a drink.
    pub(super) fn foreign(&self, fields: &[Field], options: &Options, drafts: &mut Drafts<'_>) {
        let columns =
            |wanted: Field| -> Vec<usize> { (0..fields.len()).filter(|&i| fields[i] == wanted).collect() };
        let [books, drinks, amounts, units, ingredients, pours] = [
            Field::Book,
            Field::Drink,
            Field::Amount,
            Field::Unit,
            Field::Ingredient,
            Field::Pour,
        ]
        .map(columns);
        let wide = ingredients.len() > 1 || !pours.is_empty() && ingredients.is_empty();
        let mut found: Vec<Spec> = Vec::new();
        let mut names: HashSet<(String, String)> = HashSet::new();
        let mut continued = 0;
        for row in &self.rows {
            let cell = |column: usize| cell_of(row, column);
            let name = drinks.first().map_or("", |&c| cell(c));
            let title = books.first().map(|&c| cell(c)).filter(|t| !t.is_empty());
            let same = found.last().is_some_and(|spec| {
                key(&spec.name.text) == key(name) && title.is_none_or(|t| key(t) == key(&spec.title))
            });
            if name.is_empty() && (wide || found.is_empty()) {
                drafts.reject(
                    self.number,
                    row.span.clone(),
                    "no drink in this row; expected its name",
                );
                continue;
            }
            if name.is_empty() {
                continued += 1;
            } else if !same || wide {
                let title = title.map_or_else(|| self.title(options), str::to_owned);
                let span = drinks.first().map_or(row.span.clone(), |&c| self.place(row, c));
                if !names.insert((key(&title), key(name))) {
                    let message = format!(
                        "`{name}` stands further up with other drinks between; expected its rows together, or another name"
                    );
                    drafts.reject(self.number, span, message);
                    continue;
                }
                found.push(Spec {
                    title,
                    name: self.here(one_line(name), span),
                    particulars: Vec::new(),
                    lines: Vec::new(),
                    work: Vec::new(),
                });
            }
            let Some(spec) = found.last_mut() else { continue };
            let mut poured = self.pours_in(row, (&ingredients, &amounts, &units), spec, drafts);
            poured |= self.rest_of(row, fields, &ingredients, spec, drafts);
            for column in columns(Field::Step) {
                let span = self.place(row, column);
                let steps = cell(column).lines().map(str::trim).filter(|s| !s.is_empty());
                let steps = steps.map(|s| self.here(format!("- {}", s.trim_end_matches('.')), span.clone()));
                // Work beside a pour is that of the whole drink; in a row of its own it stands in order.
                if poured {
                    spec.work.extend(steps);
                } else {
                    spec.lines.extend(steps);
                }
            }
        }
        if continued > 0 {
            let rows = if continued == 1 {
                "1 row without a name belongs"
            } else {
                &format!("{continued} rows without a name belong")
            };
            let message = format!("{rows} to the drink above");
            drafts.remark(self.number, self.header_span.start, message);
        }
        for spec in found {
            spec.put_into(self.number, drafts);
        }
    }

    fn here(&self, text: String, span: Range<usize>) -> Placed {
        Placed {
            text,
            file: self.number,
            span,
        }
    }

    /// The ingredients of a row with their amounts; whether there is any.
    fn pours_in(
        &self,
        row: &Row,
        (ingredients, amounts, units): (&[usize], &[usize], &[usize]),
        spec: &mut Spec,
        drafts: &mut Drafts<'_>,
    ) -> bool {
        let mut poured = false;
        for (i, &column) in ingredients.iter().enumerate() {
            let (ingredient, span) = (one_line(cell_of(row, column)), self.place(row, column));
            let amount = amounts
                .get(i)
                .map(|&c| one_line(cell_of(row, c)))
                .unwrap_or_default();
            let unit = units
                .get(i)
                .map(|&c| one_line(cell_of(row, c)))
                .unwrap_or_default();
            if ingredient.is_empty() {
                if !amount.is_empty() {
                    let message = format!(
                        "`{}` of nothing; expected an ingredient",
                        joined([amount.as_str(), unit.as_str()])
                    );
                    drafts.reject(self.number, row.span.clone(), message);
                }
                continue;
            }
            poured = true;
            let text = format!(
                "- {}",
                joined([amount.as_str(), unit.as_str(), ingredient.as_str()])
            );
            // The whole row is the pour's place: its parts stand in several cells of it.
            let span = if ingredients.len() > 1 {
                span
            } else {
                row.span.clone()
            };
            spec.lines.push(self.here(text, span));
        }
        poured
    }

    /// The other cells of a row but its steps: whole pours, notes, prices, particulars; whether there is a pour.
    fn rest_of(
        &self,
        row: &Row,
        fields: &[Field],
        ingredients: &[usize],
        spec: &mut Spec,
        drafts: &mut Drafts<'_>,
    ) -> bool {
        let mut poured = false;
        for (column, field) in fields.iter().enumerate() {
            let (text, span) = (cell_of(row, column), self.place(row, column));
            if text.is_empty() {
                continue;
            }
            match field {
                Field::Pour => {
                    poured = true;
                    let pours = text.split(['\n', ';']).map(str::trim).filter(|p| !p.is_empty());
                    spec.lines
                        .extend(pours.map(|p| self.here(format!("- {p}"), span.clone())));
                }
                Field::Note | Field::Comment => {
                    let wrap = |line: &str| {
                        if *field == Field::Note {
                            format!("> {line}")
                        } else {
                            format!("<!-- {line} -->")
                        }
                    };
                    let lines = text.lines().map(str::trim).filter(|l| !l.is_empty());
                    spec.particulars
                        .extend(lines.map(|l| self.here(wrap(l), span.clone())));
                }
                Field::PricePerLitre => {
                    let of: Vec<String> = ingredients.iter().map(|&c| one_line(cell_of(row, c))).collect();
                    let text = format!(
                        "<!-- price per litre of {}: {} -->",
                        of.join(", "),
                        one_line(text)
                    );
                    spec.lines.push(self.here(text, span));
                }
                Field::Particular(word) => {
                    let line = format!("{word}: {}", one_line(text));
                    let before = spec
                        .particulars
                        .iter()
                        .find(|p| p.text.starts_with(&format!("{word}: ")));
                    match before {
                        None => spec.particulars.push(self.here(line, span)),
                        Some(before) if before.text == line => {}
                        Some(before) => {
                            let message = format!("`{line}`, and further up `{}`; expected one", before.text);
                            drafts.reject(self.number, span, message);
                        }
                    }
                }
                _ => {}
            }
        }
        poured
    }
}

fn cell_of(row: &Row, column: usize) -> &str {
    unguarded_if_guarded(&row.cells[column])
}

/// A drink of a foreign sheet being put together.
struct Spec {
    title: String,
    name: Placed,
    particulars: Vec<Placed>,
    lines: Vec<Placed>,
    work: Vec<Placed>,
}

impl Spec {
    fn put_into(self, file: usize, drafts: &mut Drafts<'_>) {
        let book = drafts.book(Placed {
            text: self.title,
            file,
            span: self.name.span.clone(),
        });
        let mut lines = self.particulars;
        if let Some(last) = lines.last().cloned() {
            let text = String::new();
            lines.push(Placed { text, ..last });
        }
        lines.extend(self.lines);
        lines.extend(self.work);
        let part = Part {
            name: self.name,
            lines,
        };
        drafts.put(book, part);
    }
}

/// A cell of several lines as one.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
