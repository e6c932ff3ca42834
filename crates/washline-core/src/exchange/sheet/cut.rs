//! A sheet cut into its rows and cells, each with its place in the file.

use crate::names::Expected;
use std::ops::Range;

use super::CsvOptions;
use crate::exchange::Setting;
use crate::exchange::drafts::Drafts;
use crate::names::{key, nearest};
use crate::spec::Source;

/// A row with its place.
pub(super) struct Row {
    pub cells: Vec<String>,
    pub span: Range<usize>,
}

/// A sheet being read.
pub(super) struct Sheet<'a> {
    pub number: usize,
    pub file: &'a Source,
    pub header: Vec<String>,
    pub header_span: Range<usize>,
    pub rows: Vec<Row>,
}

/// The rows of a sheet; `None` where it has none, or cannot be cut into rows.
pub(super) fn sheet<'a>(
    number: usize,
    file: &'a Source,
    options: &CsvOptions,
    drafts: &mut Drafts<'_>,
) -> Option<Sheet<'a>> {
    // Some spreadsheets say their delimiter in a line of its own.
    let (said, start) = match file.text.strip_prefix("sep=") {
        Some(rest) => {
            let end = file.text.find('\n').map_or(file.text.len(), |at| at + 1);
            (rest.bytes().next(), end)
        }
        None => (None, 0),
    };
    let text = &file.text[start..];
    let delimiter = match options.delimiter.or(said) {
        Some(delimiter) => delimiter,
        None => match delimiter_of(text) {
            Ok(delimiter) => delimiter,
            Err(candidates) => {
                let readings = candidates
                    .iter()
                    .map(|c| drafts.worded(&Setting::Delimiter(char::from(*c))))
                    .collect();
                let message = "more than one mark could stand between the cells";
                drafts.ask(number, start..start + line_end(text), message, readings);
                return None;
            }
        },
    };
    if let Err((at, message)) = quotes(text, delimiter) {
        let wide = text[at..].chars().next().map_or(0, char::len_utf8);
        drafts.reject(number, start + at..start + at + wide, message);
        return None;
    }
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let mut rows = Vec::new();
    let mut record = csv::StringRecord::new();
    loop {
        match reader.read_record(&mut record) {
            Ok(true) => {}
            Ok(false) => break,
            Err(error) => {
                drafts.reject(number, start..start, format!("not a sheet: {error}"));
                return None;
            }
        }
        let begins = record.position().map_or(0, csv::Position::byte);
        let ends = reader.position().byte();
        let place = |byte: u64| usize::try_from(byte).unwrap_or(text.len()).min(text.len());
        let raw = &text[place(begins)..place(ends)];
        let lead = raw.len() - raw.trim_start_matches(['\r', '\n']).len();
        let from = start + place(begins) + lead;
        let span = from..from + raw.trim_matches(['\r', '\n']).len();
        // A row of empty cells is what a spreadsheet leaves of an empty line.
        if record.iter().any(|cell| !cell.trim().is_empty()) {
            rows.push(Row {
                cells: record.iter().map(|c| c.trim().to_owned()).collect(),
                span,
            });
        }
    }
    if rows.len() < 2 {
        let message = "no rows under a heading; expected a first row that names the columns";
        drafts.reject(number, start..start + line_end(text), message);
        return None;
    }
    let head = rows.remove(0);
    let mut sheet = Sheet {
        number,
        file,
        header: head.cells,
        header_span: head.span,
        rows,
    };
    sheet.even(drafts);
    Some(sheet)
}

fn line_end(text: &str) -> usize {
    text.find(['\n', '\r']).unwrap_or(text.len())
}

/// The mark between the cells: the one that cuts the first two rows into the same number of cells, two or more.
/// A sheet of one column has none.
fn delimiter_of(text: &str) -> Result<u8, Vec<u8>> {
    let cells = |delimiter: u8| -> Option<usize> {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(delimiter)
            .from_reader(text.as_bytes());
        let mut rows = reader.records().filter_map(Result::ok);
        let (first, second) = (rows.next()?, rows.next());
        let even = second.is_none_or(|second| second.len() == first.len());
        (first.len() > 1 && even).then_some(first.len())
    };
    let fitting: Vec<u8> = [b';', b',', b'\t', b'|']
        .into_iter()
        .filter(|d| cells(*d).is_some())
        .collect();
    match fitting.as_slice() {
        [one] => Ok(*one),
        [] => {
            // No mark cuts both rows alike: the one most seen in the heading will show where they are uneven.
            let head = &text[..line_end(text)];
            let count = |d: u8| head.bytes().filter(|b| *b == d).count();
            let most = [b';', b',', b'\t', b'|']
                .into_iter()
                .max_by_key(|d| (count(*d), *d == b','));
            Ok(most.filter(|d| count(*d) > 0).unwrap_or(b','))
        }
        several => Err(several.to_vec()),
    }
}

/// Quotation marks that RFC 4180 does not allow, which would silently become something else.
fn quotes(text: &str, delimiter: u8) -> Result<(), (usize, &'static str)> {
    #[derive(PartialEq)]
    enum At {
        Begin,
        Bare,
        Quoted(usize),
        /// After a quotation mark inside quotes: the end, or the first of a pair.
        Closed(usize),
    }
    let mut state = At::Begin;
    for (at, byte) in text.bytes().enumerate() {
        let ends = byte == delimiter || byte == b'\n' || byte == b'\r';
        state = match (state, byte) {
            (At::Begin, b'"') => At::Quoted(at),
            (At::Begin | At::Bare, _) if ends => At::Begin,
            (At::Begin | At::Bare, _) => At::Bare,
            (At::Quoted(from), b'"') => At::Closed(from),
            (At::Quoted(from), _) => At::Quoted(from),
            (At::Closed(from), b'"') => At::Quoted(from),
            (At::Closed(_), _) if ends => At::Begin,
            (At::Closed(_), _) => {
                return Err((
                    at,
                    "words after a closing quotation mark; expected the end of the cell",
                ));
            }
        };
    }
    match state {
        At::Quoted(from) => Err((
            from,
            "a quotation mark that is never closed hides all that follows",
        )),
        At::Begin | At::Bare | At::Closed(_) => Ok(()),
    }
}

impl Sheet<'_> {
    /// The columns of that heading, or the one of that number.
    pub(super) fn columns(&self, heading: &str) -> Result<Vec<usize>, Expected> {
        let wanted = key(heading);
        let found: Vec<usize> = (0..self.header.len())
            .filter(|&i| key(&self.header[i]) == wanted)
            .collect();
        if !found.is_empty() {
            return Ok(found);
        }
        if let Ok(number) = heading.trim().parse::<usize>()
            && (1..=self.header.len()).contains(&number)
        {
            return Ok(vec![number - 1]);
        }
        let near = nearest(heading, self.header.iter().map(|h| (h.as_str(), h.as_str())), 3);
        let known = if near.is_empty() {
            self.header.clone()
        } else {
            near
        };
        Err(Expected::new(format!(
            "{} has no column `{heading}`; expected a heading of it ({}) or a number from 1 to {}",
            self.file.file,
            known.join(", "),
            self.header.len()
        )))
    }

    /// Rows that have more or fewer cells than the heading are faults; empty cells too many are nothing.
    pub(super) fn even(&mut self, drafts: &mut Drafts<'_>) {
        let wide = self.header.len();
        let number = self.number;
        self.rows.retain_mut(|row| {
            while row.cells.len() > wide && row.cells.last().is_some_and(String::is_empty) {
                row.cells.pop();
            }
            let even = row.cells.len() == wide;
            if !even {
                let message = format!(
                    "{} cells where the heading has {wide}; expected as many (a cell that holds the delimiter needs quotation marks)",
                    row.cells.len()
                );
                drafts.reject(number, row.span.clone(), message);
            }
            even
        });
    }

    /// Where a cell stands; its row, where it is written in another way than it reads.
    pub(super) fn place(&self, row: &Row, column: usize) -> Range<usize> {
        let raw = self.file.text.get(row.span.clone()).unwrap_or_default();
        let mut at = 0;
        for (i, cell) in row.cells.iter().enumerate().take(column + 1) {
            match raw.get(at..).and_then(|rest| rest.find(cell.as_str())) {
                Some(found) if i == column && !cell.is_empty() => {
                    let start = row.span.start + at + found;
                    return start..start + cell.len();
                }
                Some(found) => at += found + cell.len(),
                None => break,
            }
        }
        row.span.clone()
    }
}
