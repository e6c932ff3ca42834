//! Tables on the screen: words are never split, and what is said of a row stands under that row.

use comfy_table::{Cell, CellAlignment, ColumnConstraint, ContentArrangement, Table, Width, presets};
use unicode_width::UnicodeWidthStr;

use super::style::DIM;
use super::{JOINED, joined, width, wrapped};

/// What stands between two columns.
const GAP: usize = 2;
/// What stands before a note, and before the figures of a row that has no room for columns.
const NOTE: &str = "    ";
/// Marks the first line of a row while the table library lays it out; takes no room and is in no text of ours.
const ROW: char = '\u{2063}';

/// A table: headings, rows, and notes under rows.
#[derive(Debug)]
pub struct Grid {
    columns: Vec<Column>,
    rows: Vec<Row>,
}

#[derive(Debug)]
struct Column {
    heading: String,
    right: bool,
}

#[derive(Debug)]
struct Row {
    cells: Vec<String>,
    aside: String,
    notes: Vec<Note>,
}

#[derive(Debug)]
struct Note {
    mark: String,
    text: String,
    quiet: bool,
}

impl Note {
    fn quiet(text: String) -> Note {
        Note {
            mark: NOTE.to_owned(),
            text,
            quiet: true,
        }
    }
}

/// An unruled table; columns whose heading begins with `>` are aligned right.
pub fn table<T: AsRef<str>>(headings: &[T]) -> Grid {
    let columns = headings
        .iter()
        .map(AsRef::as_ref)
        .map(|h| Column {
            heading: h.strip_prefix('>').unwrap_or(h).to_owned(),
            right: h.starts_with('>'),
        })
        .collect();
    Grid {
        columns,
        rows: Vec::new(),
    }
}

impl Grid {
    /// One more row.
    pub fn add_row<T: Into<String>>(&mut self, cells: impl IntoIterator<Item = T>) {
        // The library that lays tables out counts colours as text.
        let cells = cells.into_iter().map(|cell| bare(&cell.into())).collect();
        self.rows.push(Row {
            cells,
            aside: String::new(),
            notes: Vec::new(),
        });
    }

    /// What is said beside the last row where there is room for all that is said so, and under it where there is not.
    pub fn aside(&mut self, text: impl Into<String>) {
        if let Some(row) = self.rows.last_mut() {
            row.aside = text.into();
        }
    }

    /// Something to be said quietly under the last row.
    pub fn note(&mut self, text: impl Into<String>) {
        self.under(Note::quiet(text.into()));
    }

    /// Something to be seen under the last row, begun with a mark of four cells.
    pub fn marked(&mut self, mark: impl Into<String>, text: impl Into<String>) {
        self.under(Note {
            mark: mark.into(),
            text: text.into(),
            quiet: false,
        });
    }

    fn under(&mut self, note: Note) {
        if let Some(row) = self.rows.last_mut() {
            row.notes.push(note);
        }
    }

    /// As lines without trailing blanks, the headings first where there are any.
    pub fn lines(self) -> String {
        self.on(width())
    }

    fn on(mut self, width: usize) -> String {
        self.place_asides(width);
        self.drawn(width)
    }

    /// Make what is said beside rows a last column, or notes under them.
    fn place_asides(&mut self, width: usize) {
        let longest =
            |texts: &mut dyn Iterator<Item = &String>| texts.map(|t| bare(t).width()).max().unwrap_or(0);
        let aside = longest(&mut self.rows.iter().map(|r| &r.aside));
        if aside == 0 {
            return;
        }
        let columns: usize = (0..self.columns.len())
            .map(|i| {
                let cells = self.rows.iter().filter_map(|r| r.cells.get(i));
                longest(&mut cells.chain([&self.columns[i].heading])) + GAP
            })
            .sum();
        let beside = columns + aside <= width;
        for row in &mut self.rows {
            let text = std::mem::take(&mut row.aside);
            if beside {
                row.cells.push(text);
            } else if !text.is_empty() {
                row.notes.insert(0, Note::quiet(text));
            }
        }
        if beside {
            self.columns.push(Column {
                heading: String::new(),
                right: false,
            });
        }
    }

    fn drawn(&self, width: usize) -> String {
        let indent = self.indent();
        let room = width.saturating_sub(indent.len());
        let least: usize = (0..self.columns.len()).map(|i| self.least(i, indent) + GAP).sum();
        // Nothing stands behind the last column.
        if least.saturating_sub(GAP) > room {
            return self.without_columns();
        }
        let mut text = String::new();
        let mut notes: &[Note] = &[];
        let mut rows = self.rows.iter();
        for line in self.laid_out(indent, room + GAP).to_string().lines() {
            let first = line.contains(ROW);
            if first {
                tell(&mut text, notes);
                notes = rows.next().map_or(&[][..], |r| r.notes.as_slice());
            }
            let line = format!("{indent}{}", line.replace(ROW, "").replace(JOINED, " "));
            let line = line.trim_end();
            if !text.is_empty() || first {
                text.push_str(line);
                text.push('\n');
            } else if !line.is_empty() {
                text.push_str(&format!("{DIM}{line}{DIM:#}\n"));
            }
        }
        tell(&mut text, notes);
        text
    }

    /// What all first cells begin with.
    fn indent(&self) -> &'static str {
        let first = |cells: &Vec<String>| cells.first().cloned().unwrap_or_default();
        let mut all = self
            .rows
            .iter()
            .map(|r| first(&r.cells))
            .chain(self.columns.first().map(|c| c.heading.clone()))
            .filter(|cell| !cell.is_empty())
            .peekable();
        if all.peek().is_some() && all.all(|cell| cell.starts_with("  ")) {
            "  "
        } else {
            ""
        }
    }

    /// The least room that a column takes: its longest word, or all of it where figures stand in it.
    fn least(&self, column: usize, indent: &str) -> usize {
        let of = |text: &str| {
            let text = bare(text.strip_prefix(indent).unwrap_or(text));
            if self.columns[column].right {
                text.width()
            } else {
                joined(&text)
                    .split(' ')
                    .map(UnicodeWidthStr::width)
                    .max()
                    .unwrap_or(0)
            }
        };
        let cells = self
            .rows
            .iter()
            .filter_map(|r| r.cells.get(column))
            .map(|c| of(c));
        cells.max().unwrap_or(0).max(of(&self.columns[column].heading))
    }

    fn laid_out(&self, indent: &str, room: usize) -> Table {
        let mut table = Table::new();
        table
            .load_style(presets::NOTHING)
            .set_content_arrangement(ContentArrangement::Dynamic)
            .set_width(u16::try_from(room).unwrap_or(u16::MAX));
        let side = |c: &Column| {
            if c.right {
                CellAlignment::Right
            } else {
                CellAlignment::Left
            }
        };
        table.set_header(
            self.columns.iter().map(|c| {
                Cell::new(c.heading.strip_prefix(indent).unwrap_or(&c.heading)).set_alignment(side(c))
            }),
        );
        for (i, column) in self.columns.iter().enumerate() {
            let least = u16::try_from(self.least(i, indent) + GAP).unwrap_or(u16::MAX);
            if let Some(drawn) = table.column_mut(i) {
                drawn.set_padding((0, 2));
                drawn.set_cell_alignment(side(column));
                // Figures are never broken over two lines; words may be, between words.
                drawn.set_constraint(if column.right {
                    ColumnConstraint::ContentWidth
                } else {
                    ColumnConstraint::LowerBoundary(Width::Fixed(least))
                });
            }
        }
        for row in &self.rows {
            table.add_row(row.cells.iter().enumerate().map(|(i, cell)| {
                let cell = cell.strip_prefix(indent).filter(|_| i == 0).unwrap_or(cell);
                if i == 0 {
                    format!("{ROW}{cell}")
                } else {
                    cell.to_owned()
                }
            }));
        }
        table
    }

    /// Where there is no room for columns: the first cell, and under it the others with their headings.
    fn without_columns(&self) -> String {
        let mut text = String::new();
        for row in &self.rows {
            let mut cells = row.cells.iter().zip(&self.columns);
            if let Some((first, _)) = cells.next()
                && !first.trim().is_empty()
            {
                let begins = &first[..first.len() - first.trim_start().len()];
                text.push_str(&wrapped(first, begins, NOTE));
            }
            let said: Vec<String> = cells
                .filter(|(cell, _)| !cell.trim().is_empty())
                .map(|(cell, column)| format!("{} {}", column.heading, cell.trim()).trim().to_owned())
                .collect();
            if !said.is_empty() {
                text.push_str(&wrapped(&said.join("; "), NOTE, NOTE));
            }
            tell(&mut text, &row.notes);
        }
        text
    }
}

/// Text without what colours it.
fn bare(text: &str) -> String {
    anstream::adapter::strip_str(text).to_string()
}

fn tell(text: &mut String, notes: &[Note]) {
    for note in notes {
        let said = wrapped(&note.text, &note.mark, "      ");
        if note.quiet {
            for line in said.lines() {
                text.push_str(&format!("{DIM}{line}{DIM:#}\n"));
            }
        } else {
            text.push_str(&said);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid() -> Grid {
        let mut grid = table(&["  what", ">g/L", "who says so"]);
        grid.add_row(["  sugars unspecified", "16", "a table of juices"]);
        grid.note("A note that belongs to the sugars and is longer than the narrowest of the screens here.");
        grid.add_row(["  citric acid", "40.25", "titration"]);
        grid.note("A note on the acid.");
        grid
    }

    #[test]
    fn no_word_is_split_and_no_note_slips() {
        for width in 20..=120 {
            let text = bare(&grid().on(width));
            let words: Vec<&str> = text.split_whitespace().collect();
            for word in ["unspecified", "titration", "juices", "narrowest", "40.25"] {
                assert!(
                    words.iter().any(|w| w.trim_matches(';') == word),
                    "{width}: {text}"
                );
            }
            let at = |word: &str| {
                text.find(word)
                    .unwrap_or_else(|| panic!("{width}: {word} in {text}"))
            };
            assert!(
                at("16") < at("belongs") && at("belongs") < at("40.25"),
                "{width}: {text}"
            );
            assert!(at("40.25") < at("on the acid"), "{width}: {text}");
        }
    }
}
