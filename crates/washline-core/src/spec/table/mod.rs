//! Drinks typed or pasted as tables: each row becomes the line of a spec that it stands for.
//!
//! A table is a row of headings with rows under it, or rows that all have one bare number and one name. What a column
//! holds is told by its heading; what its heading does not tell is for the reader, and that is said once. A row that does
//! not fit is left to be read as an ordinary line, so no line that reads by itself is taken for a row.

mod cells;
mod headings;

use std::collections::HashMap;
use std::ops::Range;

use self::cells::{Mark, Sort, cells, in_characters, is_rule, sort};
pub(super) use self::headings::has;
use self::headings::{Column, column, is_total};
use super::rewritten::Rewritten;
use super::{Assumption, Source, Unplaced};
use crate::measure::Amount;
use crate::names::key;

/// What a row of a table stands for.
pub(super) enum Row {
    /// A pour.
    Pour(Rewritten),
    /// `key: value`.
    Label(Rewritten),
    /// Words for the reader: headings, totals.
    Note(String),
    /// A line drawn between rows.
    Rule,
    /// What has to be asked, its place counted from where the line begins.
    Ask(Unplaced),
}

/// The particulars a row may stand for, and the labels it then begins with.
const LABELS: &[(&str, &str)] = &[
    (
        "Method",
        "method technique preparation directions instructions build methode zubereitung",
    ),
    ("Glass", "glass glassware vessel glas verre vaso"),
    ("Garnish", "garnish decoration deko dekoration garnitur garniture"),
    ("Ice", "ice eis"),
    ("Note", "note notes remark story comment"),
];

/// The rows of every table of a text, by the number of their line, from 0.
pub(super) fn rows(source: &Source, loose: bool) -> HashMap<usize, Row> {
    let mut rows = HashMap::new();
    for body in source.bodies(loose) {
        read_section(&body, &mut rows);
    }
    rows
}

fn read_section(lines: &[(usize, &str)], rows: &mut HashMap<usize, Row>) {
    let mut table: Option<Table> = None;
    let mut after_gap = true;
    for (at, &(number, line)) in lines.iter().enumerate() {
        if line.trim().is_empty() {
            after_gap = true;
            if let Some(table) = &mut table {
                table.ended = true;
            }
            continue;
        }
        let below = || {
            lines[at + 1..]
                .iter()
                .map(|(_, line)| *line)
                .take_while(|line| !line.trim().is_empty())
        };
        if let Some(mut found) = Table::headed(line)
            && below().any(|line| matches!(found.row(line), Some(Row::Pour(_))))
        {
            found.untold = true;
            let mut others = lines.iter().filter(|(other, _)| *other != number);
            let for_many = others.any(|(_, line)| headings::is_for_many(line));
            rows.insert(number, found.heading_row(line, for_many));
            table = Some(found);
        } else if let Some(row) = table.as_mut().and_then(|t| t.row(line)) {
            rows.insert(number, row);
        } else if after_gap && let Some(mut found) = Table::bare(std::iter::once(line).chain(below())) {
            if let Some(row) = found.row(line) {
                rows.insert(number, row);
            }
            table = Some(found);
        }
        after_gap = false;
    }
}

/// A table being read.
struct Table {
    mark: Mark,
    columns: Vec<Column>,
    /// Where the headings stand, in characters, for rows that leave cells out.
    places: Vec<Range<usize>>,
    name: usize,
    amount: usize,
    /// What is taken for granted of it.
    said: Option<Assumption>,
    /// Whether that has still to be said.
    untold: bool,
    /// Whether a blank line came after it.
    ended: bool,
}

impl Table {
    /// The table that a row of headings begins.
    fn headed(line: &str) -> Option<Table> {
        [Mark::Tab, Mark::Pipe, Mark::Semicolon, Mark::Gap, Mark::Comma]
            .into_iter()
            .find_map(|mark| Table::headed_by(line, mark))
    }

    fn headed_by(line: &str, mark: Mark) -> Option<Table> {
        let cells = cells(line, mark)?;
        // An amount heads nothing: `aquavit   1 cl` is a pour.
        let measures = |c: &Range<usize>| matches!(sort(&line[c.clone()]), Sort::Number | Sort::Measured);
        if cells.iter().any(measures) {
            return None;
        }
        let told: Vec<Option<Column>> = cells.iter().map(|c| column(&line[c.clone()])).collect();
        let strange = told.iter().filter(|c| c.is_none()).count();
        if strange > 0 && mark == Mark::Comma {
            return None;
        }
        let find = |wanted: &dyn Fn(Column) -> bool| told.iter().position(|c| c.is_some_and(wanted));
        // Amounts for one drink, else for a batch.
        let amount =
            find(&|c| matches!(c, Column::Amount(_))).or(find(&|c| matches!(c, Column::Batch(..))))?;
        let name = match find(&|c| c == Column::Name) {
            Some(name) => name,
            None if strange > 1 || mark == Mark::Comma => return None,
            // The names stand under no heading, or under the name of the drink.
            None if strange == 1 => told
                .iter()
                .position(Option::is_none)
                .filter(|at| !line[cells[*at].clone()].contains(|c: char| c.is_ascii_digit()))?,
            None => find(&|c| c == Column::Blank)?,
        };
        let columns: Vec<Column> = told.into_iter().map(|c| c.unwrap_or(Column::Unread)).collect();
        let quoted = |at: usize| format!("`{}`", &line[cells[at].clone()]);
        let left: Vec<String> = (0..columns.len())
            .filter(|at| *at != amount && *at != name)
            .filter(|at| {
                matches!(
                    columns[*at],
                    Column::Unread | Column::Batch(..) | Column::Amount(_)
                )
            })
            .map(quoted)
            .collect();
        let said = (!left.is_empty()).then(|| {
            Assumption::new(
                "the columns of the table",
                format!(
                    "{} is what is poured; not read: {}",
                    quoted(amount),
                    left.join(", ")
                ),
                "write the pours as lines such as `50 ml gin`",
            )
        });
        let places = cells.iter().map(|c| in_characters(line, c)).collect();
        Some(Table {
            mark,
            columns,
            places,
            name,
            amount,
            said,
            untold: false,
            ended: false,
        })
    }

    /// The table of rows without headings: in each one number and one name, in the same places. Rows that read as lines
    /// are left to be: only where the number stands first and bare, or a total closes the rows, it takes a table.
    fn bare<'a>(lines: impl Iterator<Item = &'a str> + Clone) -> Option<Table> {
        [Mark::Tab, Mark::Pipe, Mark::Semicolon, Mark::Dots]
            .into_iter()
            .find_map(|mark| {
                let mut shape: Option<(usize, usize)> = None;
                let mut pours = 0;
                let mut needed = false;
                for line in lines.clone().filter(|line| !is_rule(line)) {
                    let cells = cells(line, mark)?;
                    let filled: Vec<usize> = (0..cells.len()).filter(|at| !cells[*at].is_empty()).collect();
                    let [a, b] = filled[..] else { return None };
                    let kind = |at: usize| sort(&line[cells[at].clone()]);
                    let (amount, name) = match (kind(a), kind(b)) {
                        (Sort::Number | Sort::Measured, Sort::Words) => (a, b),
                        (Sort::Words, Sort::Number | Sort::Measured) => (b, a),
                        _ => return None,
                    };
                    if *shape.get_or_insert((amount, name)) != (amount, name) {
                        return None;
                    }
                    let total = is_total(&line[cells[name].clone()]);
                    needed |= total || amount < name && kind(amount) == Sort::Number;
                    pours += usize::from(!total);
                }
                let (amount, name) = shape.filter(|_| pours > 1 && needed)?;
                let mut columns = vec![Column::Unread; amount.max(name) + 1];
                columns[amount] = Column::Amount(None);
                columns[name] = Column::Name;
                Some(Table {
                    mark,
                    columns,
                    places: Vec::new(),
                    name,
                    amount,
                    said: None,
                    untold: false,
                    ended: false,
                })
            })
    }

    /// The headings: for the reader, but for how many drinks a batch is.
    ///
    /// Of a sheet that is `for_many` a column of one, beside a column of many, is for each.
    fn heading_row(&self, line: &str, for_many: bool) -> Row {
        let cells = cells(line, self.mark).unwrap_or_default();
        if let Column::Batch(Some(count), _) = self.columns[self.amount] {
            let mut serves = Rewritten::default();
            serves.change(cells[self.amount].clone(), &format!("serves: {count}"), None);
            return Row::Label(serves);
        }
        let batched = for_many && self.columns.iter().any(|c| matches!(c, Column::Batch(..)));
        if batched && headings::is_of_one(&line[cells[self.amount].clone()]) {
            let mut each = Rewritten::default();
            each.change(cells[self.amount].clone(), "per serve:", None);
            return Row::Label(each);
        }
        note(line, &cells)
    }

    /// What a line under the headings stands for. `None` where it is no row.
    fn row(&mut self, line: &str) -> Option<Row> {
        if is_rule(line) {
            return (!self.ended).then_some(Row::Rule);
        }
        let typed = cells(line, self.mark)?;
        if let Some(row) = self.label(line, &typed) {
            return Some(row);
        }
        // After a blank line a comma or a wide space is more likely prose.
        if self.ended && matches!(self.mark, Mark::Gap | Mark::Comma | Mark::Dots) {
            return None;
        }
        let cells = self.in_columns(line, typed)?;
        let text = |at: usize| &line[cells[at].clone()];
        let amount = self.amount_cell(line, &cells);
        if is_total(text(self.name)) || text(self.name).is_empty() && amount.is_some() {
            return Some(note(line, &cells));
        }
        let has_words = text(self.name).contains(char::is_alphabetic);
        if !has_words || text(self.name).contains(": ") {
            return None;
        }
        let pour = self.pour(line, &cells, amount)?;
        Some(Row::Pour(pour))
    }

    /// `Glass;Highball`: a row that begins with the name of a particular.
    fn label(&self, line: &str, cells: &[Range<usize>]) -> Option<Row> {
        let filled: Vec<&Range<usize>> = cells.iter().filter(|c| !c.is_empty()).collect();
        let [first, rest @ ..] = filled.as_slice() else {
            return None;
        };
        let said = key(line[(*first).clone()].trim_end_matches(':'));
        let (name, _) = LABELS.iter().find(|(_, labels)| has(labels, &said))?;
        let [value, others @ ..] = rest else { return None };
        // `Ice | 120 g` is a row like any other.
        if sort(&line[(*value).clone()]) != Sort::Words {
            return None;
        }
        let mut label = Rewritten::default();
        label.change((*first).clone(), name, None);
        label.join(": ");
        if self.mark == Mark::Comma {
            // A comma in what is said parts no cells.
            label.copy(line, value.start..line.trim_end_matches([',', ' ', '\r']).len());
        } else if let Some((count, _)) = others
            .split_first()
            .filter(|(c, _)| sort(&line[(**c).clone()]) != Sort::Words)
        {
            // `Garnish | lime wheel | 1 | pc`.
            label.copy(line, (*count).clone());
            for other in &others[1..] {
                label.join(" ");
                label.copy(line, (*other).clone());
            }
            label.join(" ");
            label.copy(line, (*value).clone());
        } else {
            label.copy(line, (*value).clone());
            for other in others {
                label.join(", ");
                label.copy(line, (*other).clone());
            }
        }
        Some(Row::Label(label))
    }

    /// The cells of a row under their headings.
    fn in_columns(&self, line: &str, mut cells: Vec<Range<usize>>) -> Option<Vec<Range<usize>>> {
        let wanted = self.columns.len();
        match self.mark {
            Mark::Comma | Mark::Dots => (cells.len() == wanted).then_some(cells),
            Mark::Gap if cells.len() == wanted => Some(cells),
            Mark::Gap => {
                let mut placed = vec![0..0; wanted];
                for cell in cells.into_iter().filter(|c| !c.is_empty()) {
                    let here = in_characters(line, &cell);
                    let away = |there: &Range<usize>| {
                        if here.start < there.end && there.start < here.end {
                            return 0;
                        }
                        here.start.abs_diff(there.start).min(here.end.abs_diff(there.end))
                    };
                    let (at, _) = self
                        .places
                        .iter()
                        .enumerate()
                        .min_by_key(|(_, there)| away(there))?;
                    if !placed[at].is_empty() {
                        return None;
                    }
                    placed[at] = cell;
                }
                Some(placed)
            }
            Mark::Tab | Mark::Pipe | Mark::Semicolon => {
                cells.resize(wanted.max(cells.len()), 0..0);
                Some(cells)
            }
        }
    }

    /// The column this row's amount stands in: that of the serve, else another where this one has none.
    fn amount_cell(&self, line: &str, cells: &[Range<usize>]) -> Option<usize> {
        let holds = |at: &usize| !matches!(line[cells[*at].clone()].trim_matches(['-', '–', '—']), "");
        Some(self.amount).filter(holds).or_else(|| {
            (0..self.columns.len())
                .filter(|at| matches!(self.columns[*at], Column::Amount(_)))
                .find(holds)
        })
    }

    /// The pour of a row as an ordinary line: amount, unit, name, strength, notes.
    fn pour(&mut self, line: &str, cells: &[Range<usize>], amount: Option<usize>) -> Option<Rewritten> {
        let text = |at: usize| &line[cells[at].clone()];
        let mut read = vec![false; cells.len()];
        let mut pour = Rewritten::default();
        if let Some(at) = amount {
            read[at] = true;
            match sort(text(at)) {
                Sort::Number => {
                    match self.decimal(text(at)) {
                        Some(number) => pour.change(cells[at].clone(), &number, None),
                        None => pour.copy(line, cells[at].clone()),
                    }
                    let unit = self.columns.iter().position(|c| *c == Column::Unit);
                    let headed = match self.columns[at] {
                        Column::Amount(unit) | Column::Batch(_, unit) => unit,
                        _ => None,
                    };
                    if let Some(unit) = unit.filter(|at| !text(*at).is_empty()) {
                        read[unit] = true;
                        pour.join(" ");
                        pour.copy(line, cells[unit].clone());
                    } else if let Some(unit) = headed {
                        pour.join(" ");
                        pour.join(unit.written_after(Amount::ONE));
                    }
                }
                Sort::Measured => pour.copy(line, cells[at].clone()),
                // `top`, `a splash`: short, or it is no amount at all.
                Sort::Words if text(at).split_whitespace().count() <= 2 => pour.copy(line, cells[at].clone()),
                Sort::Words => return None,
            }
            pour.join(" ");
        }
        read[self.name] = true;
        pour.copy(line, cells[self.name].clone());
        for at in 0..self.columns.len() {
            match self.columns[at] {
                Column::Strength => {
                    let number = text(at).trim_end_matches(['%', ' ']);
                    if sort(number) == Sort::Number && number.contains(|c| ('1'..='9').contains(&c)) {
                        read[at] = true;
                        pour.join(" (");
                        pour.copy(line, cells[at].start..cells[at].start + number.len());
                        pour.join(" %)");
                    }
                }
                Column::Notes if text(at).contains(char::is_alphanumeric) => {
                    read[at] = true;
                    let words = text(at).replace(['(', ')', '[', ']'], ",");
                    if amount.is_none() {
                        // `Soda | | to top`: the note is how much.
                        pour.join(" ");
                        pour.change(cells[at].clone(), &words, None);
                    } else {
                        pour.join(" (");
                        pour.change(cells[at].clone(), &words, None);
                        pour.join(")");
                    }
                }
                _ => {}
            }
        }
        for (at, cell) in cells.iter().enumerate() {
            if !read[at] {
                pour.leave(cell.clone());
            }
        }
        if std::mem::take(&mut self.untold)
            && let Some(said) = &self.said
        {
            pour.say(said.clone());
        }
        Some(pour)
    }

    /// `4,50` where a comma is a decimal mark beyond doubt: the same with a point, no zeros at its end.
    fn decimal(&self, number: &str) -> Option<String> {
        let (whole, part) = number.split_once(',')?;
        let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
        let sure = match self.mark {
            Mark::Semicolon => true,
            Mark::Tab => part.len() != 3 || whole == "0",
            _ => false,
        };
        if !sure || !digits(whole) || !digits(part) {
            return None;
        }
        let number = format!("{whole}.{part}");
        Some(number.trim_end_matches('0').trim_end_matches('.').to_owned())
    }
}

fn note(line: &str, cells: &[Range<usize>]) -> Row {
    let words: Vec<&str> = cells
        .iter()
        .map(|c| &line[c.clone()])
        .filter(|c| !c.is_empty())
        .collect();
    Row::Note(words.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> Vec<String> {
        let source = Source::new("t", text);
        let rows = rows(&source, false);
        let mut numbers: Vec<&usize> = rows.keys().collect();
        numbers.sort();
        numbers
            .into_iter()
            .map(|n| match &rows[n] {
                Row::Pour(line) | Row::Label(line) => line.text.clone(),
                Row::Note(words) => format!("> {words}"),
                Row::Rule => "---".to_owned(),
                Row::Ask(wrong) => wrong.message.clone(),
            })
            .collect()
    }

    #[test]
    fn rows_become_lines() {
        for (typed, expected) in [
            (
                "Item\tQty\tUnit\tCost\tNotes\nAged rum\t45\tml\t1.20\t\nSaline\t3\tdrops\t0\t20%\nTOTAL\t48\t\t1.20\t\nGlass\tcoupe\t\t\t",
                &[
                    "> Item, Qty, Unit, Cost, Notes",
                    "45 ml Aged rum",
                    "3 drops Saline (20%)",
                    "> TOTAL, 48, 1.20",
                    "Glass: coupe",
                ][..],
            ),
            (
                "| oz | Ingredient | ABV |\n|---|---|---|\n| 1.5 | Rum, dark | 57% |\n| 0.75 | Lime juice | - |",
                &[
                    "> oz, Ingredient, ABV",
                    "---",
                    "1.5 oz Rum, dark (57 %)",
                    "0.75 oz Lime juice",
                ],
            ),
            (
                "Zutat;cl;% vol\nGin;4,50;43\nLime juice;2,0;\n\nDeko;lime wheel;",
                &[
                    "> Zutat, cl, % vol",
                    "4.5 cl Gin (43 %)",
                    "2 cl Lime juice",
                    "Garnish: lime wheel",
                ],
            ),
            (
                "step,ml,ingredient,cost\n1,40,Rye,1.1\n2,20,\"Vermouth, dry\",0.4\nmethod,stir 20 s, strain",
                &[
                    "> step, ml, ingredient, cost",
                    "40 ml Rye",
                    "20 ml Vermouth, dry",
                    "Method: stir 20 s, strain",
                ],
            ),
            (
                "              x1      x10\nPlum brandy   40 ml   400 ml\nLemon juice   20 ml   200 ml\n              60 ml   600 ml",
                &[
                    "> x1, x10",
                    "40 ml Plum brandy",
                    "20 ml Lemon juice",
                    "> 60 ml, 600 ml",
                ],
            ),
            (
                "Item        ml     Notes\nGin         50\nSoda               to top",
                &["> Item, ml, Notes", "50 ml Gin", "Soda to top"],
            ),
            (
                "Item;x10 (ml)\nGin;400\nLime juice;200",
                &["serves: 10", "400 ml Gin", "200 ml Lime juice"],
            ),
            ("45 | Gin\n20 | Lime juice", &["45 Gin", "20 Lime juice"]),
            ("Gin ....... 45 ml\nLime juice . 20 ml", &[]),
            (
                "Gin ....... 45 ml\nLime juice ... 20 ml\nTotal ... 65 ml",
                &["45 ml Gin", "20 ml Lime juice", "> Total, 65 ml"],
            ),
        ] {
            assert_eq!(lines(typed), expected, "{typed}");
        }
    }

    #[test]
    fn lines_that_read_by_themselves_are_no_rows() {
        for plain in [
            "50 gin, 25 lemon, 15 syrup\n10 rum, 5 lime, 2 sugar",
            "Gin | 1.5 oz | 45 ml\nLime | 0.75 oz | 22 ml",
            "| Gin | 45 ml | |\n| Lime | 20 ml | |",
            "gin  50\nlime  20",
            "gin, lime, sugar\nshake; strain; coupe",
            "60 rum / 22 lime / 15 syrup",
        ] {
            assert_eq!(lines(plain), Vec::<String>::new(), "{plain}");
        }
    }
}
