//! The numbers of a sheet: one decimal mark in a column, and no dates.

use super::cut::{Row, Sheet};
use super::{CsvOptions, Decimal, Field, cells, dates};
use crate::exchange::Setting;
use crate::exchange::drafts::Drafts;
use crate::measure::Amount;
use crate::names::Expected;

impl Sheet<'_> {
    /// Bring the numbers of every column to the decimal point, and refuse what has become a date. An amount that
    /// is refused stands as an open one (`?`) in what the sheet comes to.
    pub(super) fn numbers(
        &mut self,
        fields: &[Field],
        options: &CsvOptions,
        drafts: &mut Drafts<'_>,
    ) -> Result<(), Expected> {
        let mut named = Vec::new();
        for heading in &options.decimal_columns {
            named.extend(self.columns(heading)?);
        }
        for (column, field) in fields.iter().enumerate() {
            if !field.is_number() && !named.contains(&column) {
                continue;
            }
            let open = if *field == Field::Amount { "?" } else { "" };
            self.dates(column, open, drafts);
            let said = options
                .decimal
                .filter(|_| named.is_empty() || named.contains(&column));
            let decimal = match said {
                Some(decimal) => Some(decimal),
                None => self.decimal(column, open, drafts),
            };
            if let Some(decimal) = decimal {
                self.point(column, decimal, open, drafts);
                if said.is_none() {
                    let message = format!("column `{}`: decimal commas", self.header[column]);
                    drafts.remark(self.number, self.header_span.start, message);
                }
            }
        }
        Ok(())
    }

    fn dates(&mut self, column: usize, open: &str, drafts: &mut Drafts<'_>) {
        for at in 0..self.rows.len() {
            let row = &self.rows[at];
            let cell = cells::unguarded(&row.cells[column]);
            if let Some(was) = dates::was_a_fraction(cell) {
                let message = format!(
                    "`{cell}` is a date: a spreadsheet has made it of an amount such as {}; write the amount again, as text ('{}) or as a decimal",
                    was.join(" or "),
                    was[0]
                );
                drafts.ask(self.number, self.place(row, column), message, was);
                open.clone_into(&mut self.rows[at].cells[column]);
            }
        }
    }

    /// Whether the numbers of a column have decimal commas. A column that has both marks is a fault, and one that
    /// could part thousands is asked about.
    fn decimal(&mut self, column: usize, open: &str, drafts: &mut Drafts<'_>) -> Option<Decimal> {
        let marked = |row: &Row, mark: char| {
            row.cells[column]
                .split_once(mark)
                .is_some_and(|(whole, part)| digits(whole) && digits(part))
        };
        let with = |mark: char| self.rows.iter().filter(move |row| marked(row, mark));
        let first_comma = with(',').next()?;
        let thousands = |row: &Row| {
            row.cells[column]
                .split_once(',')
                .is_some_and(|(_, part)| part.len() == 3)
        };
        let (at, message) = if let Some(pointed) = with('.').next() {
            let message = format!(
                "`{}` has a decimal point, `{}` in line {} a comma; expected one mark in a column",
                pointed.cells[column],
                first_comma.cells[column],
                self.file.position(first_comma.span.start).0
            );
            (pointed, message)
        } else if with(',').all(thousands) {
            let cell = &first_comma.cells[column];
            let message = format!(
                "`{cell}` is {} or {}: does the comma stand before decimals, or between thousands?",
                cell.replace(',', "."),
                cell.replace(',', "")
            );
            (first_comma, message)
        } else {
            return Some(Decimal::Comma);
        };
        let both = [Decimal::Comma, Decimal::Point].map(|mark| drafts.worded(&Setting::Decimal(mark)));
        drafts.ask(self.number, self.place(at, column), message, both.into());
        for row in &mut self.rows {
            if marked(row, ',') {
                open.clone_into(&mut row.cells[column]);
            }
        }
        None
    }

    fn point(&mut self, column: usize, decimal: Decimal, open: &str, drafts: &mut Drafts<'_>) {
        let mut wrong = Vec::new();
        for row in &mut self.rows {
            let cell = &row.cells[column];
            if !cell.bytes().all(|b| b.is_ascii_digit() || b == b',' || b == b'.') {
                continue;
            }
            let plain = match (decimal, cell.split_once(',')) {
                (Decimal::Comma, _) if cell.contains('.') => None,
                (Decimal::Comma, Some(_)) => Some(cell.replace(',', ".")),
                (Decimal::Point, Some(_)) => {
                    let whole = cell.split('.').next().unwrap_or_default();
                    let groups: Vec<&str> = whole.split(',').collect();
                    let thousands = groups[1..].iter().all(|g| g.len() == 3) && groups[0].len() <= 3;
                    thousands.then(|| cell.replace(',', ""))
                }
                (Decimal::Comma | Decimal::Point, None) => continue,
            };
            match plain {
                // `1.500 ml` is asked about in a book; the column has settled it.
                Some(plain) if !open.is_empty() => {
                    row.cells[column] = Amount::decimal(&plain).map_or(plain, |amount| amount.to_string());
                }
                Some(plain) => row.cells[column] = plain,
                None => {
                    wrong.push((row.span.clone(), cell.clone()));
                    open.clone_into(&mut row.cells[column]);
                }
            }
        }
        let mark = match decimal {
            Decimal::Comma => "comma",
            Decimal::Point => "point",
        };
        for (span, cell) in wrong {
            let message = format!(
                "`{cell}` in a column of decimal {mark}s; expected a number such as 22{}5",
                if decimal == Decimal::Comma { ',' } else { '.' }
            );
            drafts.reject(self.number, span, message);
        }
    }
}

fn digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit())
}
